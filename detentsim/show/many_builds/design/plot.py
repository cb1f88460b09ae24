"""Proposed designs drawn: breakout across, share of the knives inside up, each with its drills.

Takes finished designs.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.outcomes import RESULTS, label
from detentsim.show.many_builds.design.report import TOLD, size_words, wanted_lines
from detentsim.show.theme.labels import Labels, about
from detentsim.show.theme.page import FULL, page, title_of
from detentsim.show.theme.style import (
    INK,
    METAL,
    OPENING,
    SMALL,
    WANTED,
    figure_style,
    lines_of,
    need,
    need_axes,
    new_axes,
)
from detentsim.show.theme.ticks import round_ticks
from detentsim.units.numbers import percent

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from detentsim.analysis.many_builds.design.proposals import DesignProposal, Designs

CHIEF = "breakout_force"

# Most proposals that are numbered; a page has no room for more.
MOST = 12

# Room for the list of drills at the right of the axes [mm].
NAMES = 33.0

# Ways a number may stand off its dot, in the order they are liked.
_WAYS = ((1, 0), (-1, 0), (0, 1), (0, -1), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7))


def proposals(found: Designs, ax: Axes | None = None, most: int = TOLD) -> Axes:
    """Draw each proposal's share of knives inside over its breakout; the first ones by number with their drills.

    Parameters
    ----------
    found : Designs
        From `detentsim.design`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a page wide.
    most : int
        Proposals with number and drills, at most 12; the others are faint dots.

    Returns
    -------
    Axes
        Breakout across [N, ticks in the build's units], share of the knives inside up [%].
    """
    need(found, "Designs")
    need_axes(ax)
    with figure_style():
        ax = _own_axes() if ax is None else ax
        units = found.build.units
        shown = [p for p in found.proposals if p.results[CHIEF] is not None]
        _frame(ax, found, shown)
        round_ticks(ax.xaxis, units.scale(RESULTS[CHIEF].unit))
        ax.set_xlabel(f"{label(CHIEF)} [{units.unit(RESULTS[CHIEF].unit)}]")
        ax.set_ylabel("knives inside [%]")
        if not shown:
            words = found.words or "No proposal has a breakout to draw."
            ax.text(0.5, 0.5, lines_of(words, 60), transform=ax.transAxes, ha="center", va="center", parse_math=False)
        told = found.proposals[: min(most, MOST)]
        _draw(ax, [p for p in shown if p not in told], False)
        _draw(ax, [p for p in shown if p in told], True)
        _name(ax, shown, {number: p for number, p in enumerate(told, start=1) if p in shown})
    return ax


def _own_axes() -> Axes:
    ax = new_axes(FULL, 90)
    box = ax.get_position()
    ax.set_position((box.x0, box.y0, 1 - NAMES / FULL - box.x0, box.height))
    return ax


def _place(p: DesignProposal) -> tuple[float, float]:
    """Breakout [N] and share of the knives inside [%]."""
    return float(p.results[CHIEF] or 0.0), 100 * p.inside


def _frame(ax: Axes, found: Designs, shown: list[DesignProposal]) -> None:
    """Set the scales about the proposals, and shade as much of the wanted band as they show."""
    aims = [aim for aim in found.aims if aim.name == CHIEF and aim.truth is None]
    forces = [_place(p)[0] for p in shown] or [end for aim in aims for end in (aim.low, aim.high) if math.isfinite(end)]
    low, high = min(forces, default=0.0), max(forces, default=1.0)
    room = max(0.2 * (high - low), 0.03 * high)
    shares = [_place(p)[1] for p in shown] or [0.0]
    ax.set_xlim(low - room, high + room)
    ax.set_ylim(max(0.0, min(shares) - 12), min(104.0, max(shares) + 12))
    for aim in aims:
        left, right = max(aim.low, low - room), min(aim.high, high + room)
        ax.axvspan(left, right, fc=WANTED, alpha=0.16, lw=0, zorder=0, gid="wanted")


def _draw(ax: Axes, dots: list[DesignProposal], told: bool) -> None:
    points = np.array([_place(p) for p in dots]).reshape(-1, 2)
    colour = OPENING if told else METAL
    ax.plot(
        *points.T, ls="none", marker="o", ms=5 if told else 3, color=colour, zorder=4, gid="told" if told else "others"
    )


def _name(ax: Axes, shown: list[DesignProposal], told: dict[int, DesignProposal]) -> None:
    """Number the first proposals beside their dots, and list their drills at the right of the axes."""
    labels = Labels(ax, [np.array([[force], [share]]) for force, share in map(_place, shown)])
    for number, p in told.items():
        force, share = _place(p)
        labels.put(str(number), about(force, share, (4.5, 7.0, 10.0), _WAYS), weight="bold", color=INK)
    lines = ["drills", *(f"{number}  {_drills(p)}" for number, p in told.items())]
    style: dict[str, Any] = {"va": "top", "size": SMALL, "linespacing": 1.5, "parse_math": False}
    ax.text(1.02, 1.0, "\n".join(lines if told else []), transform=ax.transAxes, **style)


def _drills(p: DesignProposal) -> str:
    """First drill and second drill of a proposal, as bought."""
    names = ("dimple.pilot_drill", "dimple.rim_drill")
    return " + ".join(p.sizes[name] for name in names if p.sizes.get(name, "none") != "none")


def design_figure(found: Designs, most: int = TOLD) -> Figure:
    """Draw the proposals over breakout and share inside, with the sizes of each in words underneath.

    Parameters
    ----------
    found : Designs
        From `detentsim.design`.
    most : int
        Proposals with number, drills and words, at most 12.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(found, "Designs")
    body, best = 84.0, found.best
    strips = None if best is None else {"Proposal 1:": best.summary.answers}
    with page(title_of(found.build, "Designs: "), _notes(found, most), body, under=12.0, strips=strips) as sheet:
        proposals(found, sheet.axes(13, NAMES, 0, body), most)
    return sheet.figure


def _notes(found: Designs, most: int) -> str:
    wanted = f"Wanted (shaded where it is of breakout): {'; '.join(wanted_lines(found))}."
    told = [_sizes(number, p, found) for number, p in enumerate(found.proposals[: min(most, MOST)], start=1)]
    inside = "Knives inside: of those made so, with the usual shop errors, the share on target with no warning."
    words = [wanted, *told, inside] if told else [wanted, f"No design meets the target. {found.words}"]
    return "\n".join(lines_of(line, 118) for line in words)


def _sizes(number: int, p: DesignProposal, found: Designs) -> str:
    """Every size of a proposal, with its breakout and its share inside."""
    force = p.results[CHIEF]
    breakout = "no breakout" if force is None else f"breakout {found.build.units.pull(float(force))}"
    return f"{number}. {size_words(p, found.build.units)}: {breakout}, {percent(p.inside)} inside."
