"""What figures of sweeps share: plain names, an input as a scale or as words along an axis, flags as marked regions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, MaxNLocator

from detentsim.analysis.sweep import Axis, Sweep
from detentsim.build.outcomes import RESULTS
from detentsim.build.schema import INPUTS
from detentsim.build.target import Target
from detentsim.shop.drills import drills
from detentsim.show.style import new_axes

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

LAST_WORDS = ("at", "from")
"""Endings of keys that say too little without their section."""


class Mark(NamedTuple):
    """How a flagged region looks."""

    words: str
    hatch: str
    severe: bool


MARKS = {
    "floats": Mark("ball off the tang", "xxxx", True),
    "hangs_loose": Mark("ball hangs loose", "////", True),
    "bar_on_tang": Mark("bar lies on tang", "----", True),
    "ball_on_floor": Mark("ball on hole's floor", "++++", True),
    "locks_solid": Mark("locks solid", "||||", True),
    "loses_bend": Mark("bar loses bend", "\\\\\\\\", True),
    "dents_tang": Mark("ball dents tang", "oo", True),
    "stands_proud": Mark("stands proud", "..", False),
    "snaps": Mark("ball snaps out", "...", False),
}
"""Each flag in a few words and a hatch of its own; the last two are traits rather than faults."""

NO_KNIFE = Mark("sizes do not fit", "XX", True)


class Region(NamedTuple):
    """Designs that something is said of."""

    name: str
    mark: Mark
    where: Mask


def input_name(name: str) -> str:
    """Plain words for a dotted input name; the section where the key alone would be unclear.

    >>> input_name("dimple.rim_feed"), input_name("bar.bend"), input_name("friction.ball_on_tang")
    ('rim feed', 'bar bend', 'friction of ball on tang')
    """
    section, _, key = name.rpartition(".")
    section, words = section.rpartition(".")[2], key.split("_")
    if section == "friction":
        return ("static " if words[-1] == "static" else "") + "friction of ball on tang"
    twins = [other for other in INPUTS if other.rpartition(".")[2] == key]
    short = len(words) == 1 or words[0] == "from" or words[-1] in LAST_WORDS or len(twins) > 1
    return " ".join([section, *words] if short and section else words)


def result_name(name: str) -> str:
    """Plain words for a result.

    >>> result_name("breakout_force")
    'breakout force'
    """
    return name.replace("_", " ")


def with_unit(words: str, unit: str) -> str:
    """Words with their unit in brackets, where there is one.

    >>> with_unit("preload", "N"), with_unit("falls shut", "truth")
    ('preload [N]', 'falls shut')
    """
    return f"{words} [{unit}]" if unit and unit != "truth" else words


def result_label(name: str) -> str:
    """Label of an axis or a colour bar."""
    return with_unit(result_name(name), RESULTS[name].unit)


def amount(value: float, name: str) -> str:
    """A value of a result with its unit, to three figures."""
    return f"{value:.3g} {RESULTS[name].unit}".rstrip()


@dataclass(frozen=True, eq=False)
class Scale:
    """An input along an axis of a figure: its sizes, or one place after the other for what is bought or named.

    Attributes
    ----------
    axis : Axis
        Of the sweep.
    place : int
        Which of the sweep's axes it is.
    """

    axis: Axis
    place: int

    @property
    def is_words(self) -> bool:
        """Whether the values stand side by side, told apart by their text."""
        return not self.axis.is_scale and self.axis.column.texts is not None

    @property
    def at(self) -> Array:
        """Where each value stands."""
        return np.arange(len(self.axis), dtype=float) if self.is_words else np.asarray(self.axis.values, float)

    @property
    def here(self) -> float:
        """Where the build's own value stands; NaN where it is none of the words."""
        if not self.is_words:
            return self.axis.here
        own = self.axis.own
        if own is not None and own.text in self.axis.labels:
            return float(self.axis.labels.index(own.text))
        same = np.flatnonzero(np.isclose(self.axis.values, self.axis.here, rtol=1e-9))
        return float(same[0]) if same.size else float("nan")

    @property
    def name(self) -> str:
        """In plain words."""
        return input_name(self.axis.name)

    @property
    def label(self) -> str:
        """Name with the unit."""
        return self.name if self.is_words else with_unit(self.name, self.axis.unit)

    def text(self, index: int) -> str:
        """One value as text: as typed, or rounded where it comes from a range."""
        if self.axis.column.texts is not None:
            return self.axis.labels[index]
        return f"{self.axis.values[index]:.4g} {self.axis.unit}".rstrip()

    @property
    def own_text(self) -> str:
        """The build's own value as typed."""
        return "" if self.axis.own is None else self.axis.own.text

    def limits(self, pad: float = 0.0) -> tuple[float, float]:
        """Ends of the axis, apart even for a single value."""
        if self.is_words:
            return -0.5, len(self.axis) - 0.5
        low, high = float(self.at.min()), float(self.at.max())
        if low == high:
            half = 0.1 * abs(low) or 0.1
            return low - half, high + half
        return low - pad * (high - low), high + pad * (high - low)


def varied(s: Sweep) -> list[Scale]:
    """Inputs of a sweep with more than one value."""
    return [Scale(axis, i) for i, axis in enumerate(s.axes) if len(axis) > 1]


def regions(s: Sweep) -> list[Region]:
    """What is flagged anywhere in a sweep, and the designs that are no knife."""
    found = [Region(name, MARKS[name], where) for name, where in s.flags.items() if np.any(where)]
    if np.any(s.excluded):
        found.append(Region("excluded", NO_KNIFE, s.excluded))
    return found


def cut_of(s: Sweep, array: npt.NDArray[Any], keep: Sequence[Scale], fixed: dict[int, int] | None = None) -> Any:
    """Array over the kept inputs alone, in their order; the others at an index, the first by default."""
    places = [scale.place for scale in keep]
    index = tuple(slice(None) if i in places else (fixed or {}).get(i, 0) for i in range(len(s.axes)))
    return np.transpose(array[index], np.argsort(np.argsort(places)))


def band_of(s: Sweep, name: str) -> Target | None:
    """The target on a result that can be drawn: bounds, not a change."""
    for target in s.build.target:
        if target.name == name and (target.at_least is not None or target.at_most is not None):
            return target
    return None


def wanted_words(target: Target) -> str:
    """A target's bounds in words.

    >>> wanted_words(Target("breakout_force", 9.0, 13.0))
    'target 9 to 13 N'
    """
    unit = RESULTS[target.name].unit
    bounds = [f"{bound:.3g}" for bound in (target.at_least, target.at_most) if bound is not None]
    if len(bounds) == 2:
        return f"target {bounds[0]} to {bounds[1]} {unit}".rstrip()
    word = "at least" if target.at_least is not None else "at most"
    return f"target {word} {bounds[0]} {unit}".rstrip()


def fresh_axes(width: float, height: float, right: float, top: float) -> Axes:
    """Axes of a new figure with room for second scales [mm]."""
    ax = new_axes(width, height)
    ax.set_position((13 / width, 9.5 / height, 1 - (13 + right) / width, 1 - (9.5 + top) / height))
    return ax


def dress_x(ax: Axes, scale: Scale, *, second: bool = True) -> None:
    """Ticks, label and, for a length, a second scale in inch or thou for an input across."""
    ax.set_xlabel(scale.label)
    if scale.is_words:
        ax.set_xticks(np.arange(len(scale.axis)), _fitting(ax, scale.axis.labels))
    elif not _drill_ticks(ax, scale):
        ax.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    if second and scale.axis.unit == "mm" and not scale.is_words:
        per, unit = _inches(ax.get_xlim())
        top = ax.secondary_xaxis("top", functions=_ratio(per))
        top.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
        top.spines["top"].set_visible(True)
        top.set_xlabel(with_unit(scale.name, unit), labelpad=2)


def dress_y(ax: Axes, scale: Scale, *, second: bool = True) -> None:
    """Ticks, label and, for a length, a second scale in inch or thou for an input up."""
    ax.set_ylabel(scale.label)
    if scale.is_words:
        texts = [_short(text, 12) for text in scale.axis.labels]
        ax.set_yticks(np.arange(len(scale.axis)), texts, rotation=90, va="center")
    elif not _drill_ticks(ax, scale, up=True):
        ax.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
    if second and scale.axis.unit == "mm" and not scale.is_words:
        per, unit = _inches(ax.get_ylim())
        right = ax.secondary_yaxis("right", functions=_ratio(per))
        right.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
        right.spines["right"].set_visible(True)
        right.set_ylabel(with_unit(scale.name, unit), labelpad=2)


def _ratio(per: float) -> tuple[Any, Any]:
    """To a unit of so many millimetres and back."""
    return (lambda given: np.asarray(given) / per), (lambda given: np.asarray(given) * per)


def _inches(limits: tuple[float, float]) -> tuple[float, str]:
    """Millimetres in one of the second scale's unit, and its name."""
    return (25.4, "inch") if max(abs(end) for end in limits) >= 5 else (0.0254, "thou")


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 2].rstrip() + " …"


def _fitting(ax: Axes, labels: Sequence[str]) -> list[str]:
    """Tick texts on as many lines as their share of the axis asks for."""
    letters = max(3, int(ax.bbox.width * 72 / ax.figure.dpi / 4.6 / len(labels)))
    every = max(1, round(3 / letters * max(len(text) for text in labels) / 3)) if letters <= 4 else 1
    return [_folded(text, letters) if i % every == 0 else "" for i, text in enumerate(labels)]


def _folded(text: str, letters: int) -> str:
    lines = [""]
    for word in text.replace("-", "-\u200b").replace("\u200b", " \u200b").split(" "):
        bare = word.lstrip("\u200b")
        joint = "" if word.startswith("\u200b") or not lines[-1] else " "
        if lines[-1] and len(lines[-1]) + len(joint) + len(bare) > letters:
            lines.append(bare)
        else:
            lines[-1] += joint + bare
    return "\n".join(lines)


def _drill_ticks(ax: Axes, scale: Scale, *, up: bool = False) -> bool:
    """Ticks at the drills of the tables where a range of drill diameters is varied; told whether."""
    if scale.is_words or "drill" not in scale.axis.column.kinds:
        return False
    low, high = ax.get_ylim() if up else ax.get_xlim()
    room = (high - low) * (18 if up else 32) / ((ax.bbox.height if up else ax.bbox.width) * 72 / ax.figure.dpi)
    chosen: list[tuple[float, str]] = []
    for drill in drills():
        size = drill.diameter * 1e3
        if low <= size <= high and (not chosen or size - chosen[-1][0] >= room):
            chosen.append((size, drill.name))
    if not chosen:
        return False
    axis = ax.yaxis if up else ax.xaxis
    axis.set_major_locator(FixedLocator([size for size, _ in chosen]))
    axis.set_ticklabels([f"{name}\n{size:.3g}" if not up else name for size, name in chosen])
    return True
