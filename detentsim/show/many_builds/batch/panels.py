"""Panels of a batch: a dot for each knife over the target, the range of the feel curve, what the spread depends on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.outcomes import RESULTS, label
from detentsim.knife.target.words import wanted_words
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import INK, METAL, OPENING, SMALL, WANTED, drawing, need
from detentsim.show.theme.ticks import feel_axes, round_ticks
from detentsim.units.numbers import percent

if TYPE_CHECKING:
    import numpy.typing as npt
    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.batch.findings import Findings

# Knives drawn as dots, the columns they are stacked in, and the least height of the axes in dots.
DOTS, COLUMNS, LEAST = 512, 80, 12

# Bars drawn, the longest first.
BARS = 7


def knife_dots(found: Findings, ax: Axes | None = None) -> Axes:
    """Draw a dot for each knife, over the target band; filled where the knife is inside.

    Parameters
    ----------
    found : Findings
        From `detentsim.findings`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a page wide.

    Returns
    -------
    Axes
        The result across: data in its own unit, ticks in the build's units; limits set before are kept. Dots of about
        equal result are stacked.
    """
    need(found, "Findings")
    with drawing(ax, 170, 50) as ax:
        units, outcome = found.batch.build.units, RESULTS[found.chief]
        values = np.asarray(found.batch.results[found.chief][:DOTS], float)
        low, high = _across(found, values) if ax.get_autoscalex_on() else ax.get_xlim()
        ax.set_xlim(low, high)
        inside = found.batch.inside[:DOTS]
        x, y, order = _stacked(values, inside, low, high)
        ax.set_ylim(0, max(LEAST, y.max(initial=0) + 1.5) * 1.4)
        _draw_wanted(found, ax)
        size = _dot_size(ax)
        inside = inside[order]
        style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": size, "zorder": 3}
        ax.plot(x[~inside], y[~inside], mfc="white", mec=METAL, mew=0.6, gid="outside", **style)
        ax.plot(x[inside], y[inside], mfc=OPENING, mec=OPENING, mew=0.6, gid="inside", **style)
        round_ticks(ax.xaxis, units.scale(outcome.unit))
        ax.set_yticks([])
        ax.spines["left"].set_visible(False)
        ax.set_xlabel(_named(found, found.chief))
        _label_dots(found, ax)
    return ax


def _named(found: Findings, name: str) -> str:
    unit = found.batch.build.units.unit(RESULTS[name].unit)
    return f"{label(name)} [{unit}]" if unit else label(name)


def _ends(found: Findings) -> list[float]:
    """Ends of the target band of the result drawn."""
    return [end for end in found.target_ends if end is not None and np.isfinite(end)]


def _across(found: Findings, values: npt.NDArray[np.float64]) -> tuple[float, float]:
    """Least and greatest value shown: the target, the drawing and all but a few knives."""
    known = values[np.isfinite(values)]
    own = found.own[found.chief]
    seen = [*np.quantile(known, [0.005, 0.995]), *_ends(found)] if known.size else [0.0, *_ends(found)]
    seen += [] if own is None else [float(own)]
    low, high = min(seen), max(seen)
    margin = 0.06 * (high - low) or 0.06 * abs(high) or 1.0
    return low - margin, high + margin


def _stacked(
    values: npt.NDArray[np.float64], inside: npt.NDArray[np.bool_], low: float, high: float
) -> tuple[npt.NDArray[Any], ...]:
    """Places of the dots in columns, those inside at the bottom, and the knives they stand for."""
    order = np.flatnonzero(np.isfinite(values) & (values > low) & (values < high))
    order = order[np.argsort(~inside[order], kind="stable")]
    column = np.floor((values[order] - low) / (high - low) * COLUMNS).astype(int)
    rank = np.empty(order.size, int)
    for one in np.unique(column):
        rank[column == one] = np.arange(np.count_nonzero(column == one))
    return low + (column + 0.5) * (high - low) / COLUMNS, rank + 0.75, order


def _dot_size(ax: Axes) -> float:
    """Diameter at which dots neither overlap across nor up [pt]."""
    box = ax.get_window_extent()
    across = box.width / COLUMNS
    up = box.height / ax.get_ylim()[1]
    return float(0.82 * min(across, up) * 72 / ax.figure.dpi)


def _draw_wanted(found: Findings, ax: Axes) -> None:
    if not _ends(found):
        return
    (low, high), (least, most) = ax.get_xlim(), found.target_ends
    ends = (low if least is None else least, high if most is None else most)
    ax.axvspan(*ends, color=WANTED, alpha=0.17, lw=0, zorder=0.5, gid="target")
    for end in _ends(found):
        ax.axvline(end, color=WANTED, lw=0.6, ls=(0, (1, 1.5)), zorder=0.6)


def _label_dots(found: Findings, ax: Axes) -> None:
    """Name target, drawing and dots above the highest column."""
    units, own = found.batch.build.units, found.own[found.chief]
    (low, high), top = ax.get_xlim(), ax.get_ylim()[1]
    labels = Labels(ax, [])
    if own is not None:
        ax.axvline(float(own), color=INK, lw=0.8, ls=(0, (1, 2)), zorder=2, gid="drawing")
        drawing = "the drawing worn in" if found.batch.worn else "the drawing"
        words = f"{drawing} {units.two_digits(float(own), RESULTS[found.chief].unit)}"
        labels.put(words, _lanes(float(own), top))
    if found.target is not None and _ends(found):
        middle = float(np.mean(np.clip(_ends(found), low, high)))
        labels.put(f"target {wanted_words(found.target, units)}", _lanes(middle, top), color=INK)
    if found.count is not None:
        share = percent(found.batch.share().share)
        words = f"filled: inside ({share} of {len(found.batch):,} knives; {_drawn(found)} drawn)"
        labels.put(words, [*_lanes(low, top), *_lanes(high, top)])


def _drawn(found: Findings) -> str:
    """How many knives are looked at for dots; a knife without a value has none."""
    values = np.asarray(found.batch.results[found.chief][:DOTS], float)
    return f"{values.size} are" if np.any(np.isfinite(values)) else f"none has a {label(found.chief)} to be"


def _lanes(x: float, top: float) -> list[Spot]:
    ways = [("left", 3.0), ("right", -3.0)]
    return [Spot(x, top, dx, -down, ha, "top") for down in (0, 11, 22) for ha, dx in ways]


def force_range(found: Findings, ax: Axes | None = None) -> Axes:
    """Draw the range of the finger force over blade angle: nine knives in ten, and half of them.

    Parameters
    ----------
    found : Findings
        From `detentsim.findings`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across; force up: data in N, ticks in the build's units.
    """
    need(found, "Findings")
    with drawing(ax, 85, 62) as ax:
        units = found.batch.build.units
        wide, half = found.force_ranges
        style: dict[str, Any] = {"color": OPENING, "lw": 0, "zorder": 1}
        ax.fill_between(wide.angle, wide.low, wide.high, alpha=0.18, gid="nine in ten", **style)
        ax.fill_between(half.angle, half.low, half.high, alpha=0.28, gid="half", **style)
        ax.plot(wide.angle, wide.middle, color=OPENING, zorder=3, gid="middle")
        top = float(np.nanmax(wide.high, initial=0.0))
        ax.set_xlim(0, float(wide.angle[-1]))
        ax.set_ylim(min(0.0, 1.05 * float(np.nanmin(wide.low, initial=0.0))), 1.35 * top or 1.0)
        feel_axes(ax, units)
        words = "line: median\ndark: half of the knives\nlight: nine in ten"
        ax.text(0.98, 0.97, words, transform=ax.transAxes, ha="right", va="top", size=SMALL, linespacing=1.3)
    return ax


def index_bars(found: Findings, ax: Axes | None = None) -> Axes:
    """Draw how much of a result's spread each input answers for, with 95 % intervals.

    Parameters
    ----------
    found : Findings
        From `detentsim.findings`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Total Sobol' index across [%]; a bar for each input, the longest on top.
    """
    need(found, "Findings")
    with drawing(ax, 85, 62) as ax:
        known = sorted(found.matters[found.chief].inputs.items(), key=lambda item: -item[1].in_all)[:BARS]
        for i, (_, index) in enumerate(known):
            ax.barh(i, 100 * index.in_all, height=0.62, color=OPENING, alpha=0.75)
            ax.plot([100 * index.in_all_low, 100 * index.in_all_high], [i, i], color=INK, lw=1.1)
        ax.set_ylim(max(len(known), 1) - 0.4, -0.6)
        ax.set_yticks(range(len(known)), [name for name, _ in known])
        ax.tick_params(axis="y", length=0)
        ax.set_xlim(0, max(100.0, *(100 * index.in_all_high for _, index in known)) if known else 100.0)
        round_ticks(ax.xaxis, 1.0, 5)
        ax.set_xlabel(f"share of the spread\nof {label(found.chief)} [%]")
    return ax
