"""Axes of sweep figures: labels, ticks in mm and inch, wrapped words."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np
from matplotlib.ticker import MaxNLocator

from detentsim.shop.drills import drills
from detentsim.show.many_builds.sweep.scales import AxisScale, with_unit
from detentsim.show.theme.style import LABEL, SMALL, new_axes, size_on_paper
from detentsim.show.theme.ticks import round_ticks
from detentsim.units.systems import INCH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.axis import XAxis, YAxis

    from detentsim.units.systems import UnitSystem

LEFT = 15.0
"""Room for the scale up [mm]."""


def fresh_axes(width: float, height: float, right: float, top: float, x: AxisScale) -> Axes:
    """Axes of a new figure with room for second scales and for the texts of ticks [mm]."""
    ax = new_axes(width, height)
    bottom = room_below(x, width - LEFT - right)
    ax.set_position((LEFT / width, bottom / height, 1 - (LEFT + right) / width, 1 - (bottom + top) / height))
    return ax


def room_below(x: AxisScale, width: float) -> float:
    """Room that the scale across needs below axes of a width [mm]."""
    if not x.is_words:
        return 9.5
    texts = _fitting(width / 25.4 * 72, x.labels)
    return 9.5 + 3.0 * max(text.count("\n") for text in texts)


def set_axis(ax: Axes, scale: AxisScale, along: Literal["x", "y"], units: UnitSystem, *, second: bool = True) -> None:
    """Ticks, label and a second scale, in the other system's lengths or drill sizes, for an input across or up."""
    side = _SIDES[along]
    axis: XAxis | YAxis = getattr(ax, f"{along}axis")
    low, high = axis.get_view_interval()
    per, unit = _shown(scale, (low, high), units)
    getattr(ax, f"set_{along}label")(scale.label if scale.is_words else with_unit(scale.name, unit), size=LABEL)
    ax.tick_params(axis=along, labelsize=SMALL)
    long = float(size_on_paper(ax)[0 if along == "x" else 1])
    if scale.is_words:
        labels = scale.labels
        texts = _fitting(long, labels) if along == "x" else [_short(text, 12) for text in labels]
        axis.set_ticks(np.arange(len(labels)), texts, **side.words)
        return
    if per == 1:
        axis.set_major_locator(_round(side.ticks))
    else:
        round_ticks(axis, 1 / per, side.ticks)
    if second and scale.axis.unit == "mm":
        per, words = _other(scale, (low, high), units)
        other = getattr(ax, f"secondary_{along}axis")(side.opposite, functions=_ratio(per))
        getattr(other, f"{along}axis").set_major_locator(_round(side.ticks))
        other.spines[side.opposite].set_visible(True)
        getattr(other, f"set_{along}label")(words, labelpad=2)
        if "drill" in scale.axis.column.kinds:
            sizes, names = _drills((low, high - side.spare * (high - low)), long / side.drill)
            getattr(other, f"set_{along}ticks")(sizes, names)


class _Side(NamedTuple):
    """How an input across, or up, is dressed."""

    opposite: str  # where the second scale stands
    ticks: int  # most of them
    drill: float  # room for the name of one [pt]
    spare: float  # share of the scale whose end takes no drill's name
    words: dict[str, Any]  # how words stand at their ticks


_SIDES = {
    "x": _Side("top", 5, 34, 0.05, {}),
    "y": _Side("right", 6, 12, 0.0, {"rotation": 90, "va": "center"}),
}


def _round(most: int) -> MaxNLocator:
    return MaxNLocator(most, steps=[1, 2, 2.5, 5, 10])


def _ratio(per: float) -> tuple[Any, Any]:
    """To a unit given in millimetres and back."""
    return (lambda given: np.asarray(given) / per), (lambda given: np.asarray(given) * per)


def _shown(scale: AxisScale, limits: tuple[float, float], units: UnitSystem) -> tuple[float, str]:
    """Data units in one of the unit that the maker reads, and its name."""
    unit = scale.axis.unit
    if unit == "mm" and units.length == "in":
        return _inches(limits)
    return 1 / units.scale(unit), units.unit(unit)


def _other(scale: AxisScale, limits: tuple[float, float], units: UnitSystem) -> tuple[float, str]:
    """Millimetres in one of the second scale's unit, and its label; drills stand at their size."""
    if "drill" in scale.axis.column.kinds:
        return 1.0, "drill size"
    per, unit = (1.0, "mm") if units.length == "in" else _inches(limits)
    return per, with_unit(scale.name, unit)


def _inches(limits: tuple[float, float]) -> tuple[float, str]:
    """Millimetres in an inch, or in a thou where the scale is short, and the unit's name."""
    scale, unit = INCH.heading("mm", max(abs(end) for end in limits))
    return 1 / scale, unit


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 2].rstrip() + " …"


def _fitting(wide: float, labels: Sequence[str]) -> list[str]:
    """Tick texts wrapped to their share of the width [pt]; every other one, or fewer, if need be."""
    every = max(1, int(np.ceil(24 * len(labels) / wide)))
    letters = max(3, int(wide * every / 4.6 / len(labels)) - 1)
    return [_folded(text, letters) if i % every == 0 else "" for i, text in enumerate(labels)]


def _folded(text: str, letters: int) -> str:
    """Text wrapped at a number of letters, four lines at most."""
    lines = textwrap.wrap(text, letters, break_long_words=True, max_lines=4, placeholder="…")
    return "\n".join(lines) or text


def _drills(limits: tuple[float, float], most: float) -> tuple[list[float], list[str]]:
    """Drills of the tables within limits [mm], no more of them than there is room for."""
    low, high = min(limits), max(limits)
    room = (high - low) / max(most, 1)
    chosen: list[tuple[float, str]] = []
    for drill in drills():
        size = drill.diameter * 1e3
        if low <= size <= high and (not chosen or size - chosen[-1][0] >= room):
            chosen.append((size, drill.name))
    return [size for size, _ in chosen], [name for _, name in chosen]
