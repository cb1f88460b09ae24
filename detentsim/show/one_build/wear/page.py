"""Drawings of a wear-in: feel curves fresh and worn in, and breakout over openings; and the page that holds both."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator

from detentsim.analysis.one_build.wear.allowance import BAND
from detentsim.show.one_build.wear.report import LEFT_OUT
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import CLOSING, INK, METAL, OPENING, SMALL, drawing, lines_of, need

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from detentsim.analysis.one_build.wear.worn_in import WornIn

LOOKS: dict[str, dict[str, Any]] = {
    "fresh": {"color": OPENING, "ls": "-", "lw": 1.8},
    "worn in": {"color": INK, "ls": (0, (5, 2)), "lw": 1.3},
}
"""Lines by stage; told apart by their dashes too."""

BANDS: dict[str, dict[str, Any]] = {
    "oiled": {"fc": OPENING, "hatch": "", "alpha": 0.35, "ec": OPENING},
    "dry": {"fc": CLOSING, "hatch": "////", "alpha": 0.35, "ec": CLOSING},
}
"""Bands by state; told apart by their hatch too."""

CROWDED = 1e5  # openings above which every other power of ten is named

USUAL = 8.0  # shown without a let-go [deg]


def worn_curves(w: WornIn, ax: Axes | None = None) -> Axes:
    """Draw the feel curves fresh and worn in over each other: force at the opener over blade angle.

    Parameters
    ----------
    w : WornIn
        From `detentsim.worn_in`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure.

    Returns
    -------
    Axes
        Blade angle [deg] across, force up in the build's units.
    """
    need(w, "WornIn")
    with drawing(ax, 85, 64) as ax:
        scale = w.build.units.scale("N")
        end = 1.2 * max(stage.results["let_go_angle"] or USUAL / 1.2 for stage in w.stages)
        top = 0.0
        for name, columns in w.curves.items():
            seen = columns[0] <= end
            ax.plot(columns[0], scale * columns[3], label=name, zorder=3, **LOOKS[name])
            top = max(top, float(np.nanmax(scale * columns[3][seen], initial=0.0)))
        ax.axhline(0, color=METAL, lw=0.6, zorder=1)
        ax.set(xlim=(0, end), ylim=(-0.04 * top, 1.3 * top or 1.0))
        _frame(ax, "blade angle [deg]", f"force at the opener [{w.build.units.unit('N')}]")
    return ax


def wear_history(w: WornIn, ax: Axes | None = None) -> Axes:
    """Draw breakout over openings, oiled and dry as bands from the least to the most wear.

    Parameters
    ----------
    w : WornIn
        From `detentsim.worn_in`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure.

    Returns
    -------
    Axes
        Openings across, in powers of ten; force up in the build's units, not from 0.
    """
    need(w, "WornIn")
    with drawing(ax, 85, 64) as ax:
        fresh, scale = w["fresh"].results["breakout_force"], w.build.units.scale("N")
        if not w.history or fresh is None:
            ax.set_axis_off()
            ax.text(
                0.5, 0.5, lines_of(w.advice, 40), ha="center", va="center", transform=ax.transAxes, parse_math=False
            )
            return ax
        count = w.history["openings"]
        forces = np.concatenate([[scale * fresh], *(scale * w.history[state].ravel() for state in BANDS)])
        for state, style in BANDS.items():
            low, high = scale * w.history[state]
            ax.fill_between(count, low, high, lw=0.8, zorder=2, label=f"{state}, least to most", **style)
        ax.axhline(scale * fresh, zorder=3, label="fresh", **LOOKS["fresh"])
        low, high = float(np.nanmin(forces)), float(np.nanmax(forces))
        room = max(high - low, 0.02 * abs(high) or 1.0)
        ax.set_xscale("log")
        ax.set(xlim=(1, count[-1]), ylim=(low - 0.12 * room, high + 0.6 * room))
        ax.xaxis.set_major_locator(LogLocator(base=10 if count[-1] <= CROWDED else 100))
        ax.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:,.0f}"))
        _frame(ax, "openings [-]", f"breakout [{w.build.units.unit('N')}]", across=False)
    return ax


def _frame(ax: Axes, across_words: str, up_words: str, across: bool = True) -> None:
    """Label the axes, set their ticks, and a legend where no line is."""
    if across:
        ax.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    ax.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    ax.set(xlabel=across_words, ylabel=up_words)
    ax.legend(loc="upper right" if across else "upper left", fontsize=SMALL, framealpha=0.92, edgecolor="none")


def worn_figure(w: WornIn) -> Figure:
    """Draw the feel curves fresh and worn in beside breakout over openings, with what to do about it underneath.

    Parameters
    ----------
    w : WornIn
        From `detentsim.worn_in`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(w, "WornIn")
    body = 58.0
    notes = "\n".join(lines_of(words, 118) for words in ([w.advice] if w.untold else [w.advice, BAND, LEFT_OUT]))
    with page(
        title_of(w.build, "Worn in: "), notes, body, under=12.0, strips={"As it is, fresh:": w.summary.answers}
    ) as sheet:
        worn_curves(w, sheet.axes(13, 90, 0, body))
        wear_history(w, sheet.axes(97, 7, 0, body))
    return sheet.figure
