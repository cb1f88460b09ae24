"""Axes of sweep figures: labels, ticks in mm and inch, folded words."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from detentsim.shop.drills import drills
from detentsim.show.many_builds.sweep.scales import AxisScale, with_unit
from detentsim.show.theme.style import SMALL, new_axes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

LABEL = 7.5
"""Text of axis labels, whoever made the axes [pt]."""

LEFT = 15.0
"""Room for the scale up [mm]."""


def fresh_axes(width: float, height: float, right: float, top: float, x: AxisScale) -> Axes:
    """Axes of a new figure with room for second scales and for the texts of ticks [mm]."""
    ax = new_axes(width, height)
    bottom = foot(x, width - LEFT - right)
    ax.set_position((LEFT / width, bottom / height, 1 - (LEFT + right) / width, 1 - (bottom + top) / height))
    return ax


def foot(x: AxisScale, width: float) -> float:
    """Room that the scale across needs below axes of a width [mm]."""
    if not x.is_words:
        return 9.5
    texts = _fitting(width / 25.4 * 72, x.axis.labels)
    return 9.5 + 3.0 * max(text.count("\n") for text in texts)


def dress_x(ax: Axes, scale: AxisScale, *, second: bool = True) -> None:
    """Ticks, label and a second scale for an input across: inch or thou, or drill sizes."""
    ax.set_xlabel(scale.label, size=LABEL)
    ax.tick_params(axis="x", labelsize=SMALL)
    if scale.is_words:
        wide = ax.bbox.width * 72 / ax.figure.dpi
        ax.set_xticks(np.arange(len(scale.axis)), _fitting(wide, scale.axis.labels))
        return
    ax.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    if second and scale.axis.unit == "mm":
        per, words = _inches(scale, ax.get_xlim())
        top = ax.secondary_xaxis("top", functions=_ratio(per))
        top.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
        top.spines["top"].set_visible(True)
        top.set_xlabel(words, labelpad=2)
        if "drill" in scale.axis.column.kinds:
            low, high = ax.get_xlim()
            sizes, names = _drills((low, high - 0.05 * (high - low)), ax.bbox.width * 72 / ax.figure.dpi / 34)
            top.set_xticks(sizes, names)


def dress_y(ax: Axes, scale: AxisScale, *, second: bool = True) -> None:
    """Ticks, label and, for a length, a second scale in inch or thou for an input up."""
    ax.set_ylabel(scale.label, size=LABEL)
    ax.tick_params(axis="y", labelsize=SMALL)
    if scale.is_words:
        texts = [_short(text, 12) for text in scale.axis.labels]
        ax.set_yticks(np.arange(len(scale.axis)), texts, rotation=90, va="center")
        return
    ax.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
    if second and scale.axis.unit == "mm":
        per, words = _inches(scale, ax.get_ylim())
        right = ax.secondary_yaxis("right", functions=_ratio(per))
        right.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
        right.spines["right"].set_visible(True)
        right.set_ylabel(words, labelpad=2)
        if "drill" in scale.axis.column.kinds:
            sizes, names = _drills(ax.get_ylim(), ax.bbox.height * 72 / ax.figure.dpi / 12)
            right.set_yticks(sizes, names)


def _ratio(per: float) -> tuple[Any, Any]:
    """To a unit of so many millimetres and back."""
    return (lambda given: np.asarray(given) / per), (lambda given: np.asarray(given) * per)


def _inches(scale: AxisScale, limits: tuple[float, float]) -> tuple[float, str]:
    """Millimetres in one of the second scale's unit, and its label; drills stand at their size."""
    if "drill" in scale.axis.column.kinds:
        return 1.0, "drill size"
    per, unit = (25.4, "inch") if max(abs(end) for end in limits) >= 10 else (0.0254, "thou")
    return per, with_unit(scale.name, unit)


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 2].rstrip() + " …"


def _fitting(wide: float, labels: Sequence[str]) -> list[str]:
    """Tick texts on as many lines as their share of so many points asks for; every other one, or fewer, if need be."""
    every = max(1, int(np.ceil(24 * len(labels) / wide)))
    letters = max(3, int(wide * every / 4.6 / len(labels)) - 1)
    return [_folded(text, letters) if i % every == 0 else "" for i, text in enumerate(labels)]


def _folded(text: str, letters: int) -> str:
    """Text on lines of so many letters, four lines at most."""
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
