"""What figures of sweeps share: plain names, an input as a scale or as words along an axis, flags as marked regions."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from detentsim.analysis.designs import Axis, Sweep
from detentsim.build.outcomes import RESULTS, UNSOUND
from detentsim.build.schema import INPUTS
from detentsim.build.target import Target
from detentsim.shop.drills import drills
from detentsim.shop.units import InputError
from detentsim.shop.wording import shown
from detentsim.show.style import SMALL, new_axes

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]

LAST_WORDS = ("at", "from")
"""Endings of keys that say too little without their section."""


class Mark(NamedTuple):
    """How a flagged region looks."""

    words: str
    hatch: str
    severe: bool


_WORDS_AND_HATCHES = {
    "floats": ("ball off the tang", "xxxx"),
    "hangs_loose": ("ball hangs loose", "////"),
    "bar_on_tang": ("bar lies on tang", "----"),
    "ball_on_floor": ("ball on hole's floor", "++++"),
    "locks_solid": ("locks solid", "||||"),
    "loses_bend": ("bar loses bend", "\\\\\\\\"),
    "dents_tang": ("ball dents tang", "o"),
    "stands_proud": ("stands proud", ".."),
    "snaps": ("ball snaps out", "..."),
}

MARKS = {name: Mark(*mark, severe=name in UNSOUND) for name, mark in _WORDS_AND_HATCHES.items()}
"""Each flag in a few words and a hatch of its own; one that is no fault is drawn only where no fault is."""

NO_KNIFE = "XX"
"""Hatch of sizes that do not fit together, which are named in their own words."""


UNSOLVED = Mark("not solved", "\\", True)
"""Designs that a stopped sweep did not come to."""


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
    def is_named(self) -> bool:
        """Whether some value is a word without a size, so that nothing lies between two of them."""
        return self.is_words and bool(np.any(np.isnan(self.axis.column.si)))

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
    """What is flagged anywhere in a sweep, the designs that are no knife, and those that were not solved."""
    found = [Region(name, MARKS[name], where) for name, where in s.flags.items() if np.any(where)]
    found += [Region(words, Mark(words, NO_KNIFE, True), where) for words, where in s.misfits.items()]
    return found if np.all(s.done) else [*found, Region(UNSOLVED.words, UNSOLVED, ~s.done)]


def values_of(s: Sweep, name: str) -> Array:
    """A result as numbers, a truth as 0 or 1; NaN where there is none or it was not solved."""
    return np.where(s.done, np.asarray(s.results[name], float), np.nan)


def check_sweep(s: object) -> None:
    """Raise InputError for what is no sweep."""
    if not isinstance(s, Sweep):
        raise InputError("sweep", s, f"{shown(s)} is no sweep; give one, such as ds.sweep({_VARIED})")


_VARIED = 'build, {"bar.bend": ("1 mm", "3 mm", 21)}'


def names_in(of: object) -> tuple[str, ...]:
    """Names of results, each once, in the order given; InputError for what is no name."""
    given = tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)
    for name in given:
        if not isinstance(name, str):
            raise InputError("of", name, f'{shown(name)} is no name of a result; give one such as "breakout_force"')
    return tuple(dict.fromkeys(given))


def hold(count: int, most: int) -> str:
    """What to do about more inputs than a figure takes.

    >>> hold(4, 3), hold(4, 2)
    ('hold one at a single value', 'hold 2 of them at a single value each')
    """
    over = count - most
    return "hold one at a single value" if over == 1 else f"hold {over} of them at a single value each"


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


LABEL = 7.5
"""Text of axis labels, whoever made the axes [pt]."""

LEFT = 15.0
"""Room for the scale up [mm]."""


def fresh_axes(width: float, height: float, right: float, top: float, x: Scale) -> Axes:
    """Axes of a new figure with room for second scales and for the texts of ticks [mm]."""
    ax = new_axes(width, height)
    bottom = foot(x, width - LEFT - right)
    ax.set_position((LEFT / width, bottom / height, 1 - (LEFT + right) / width, 1 - (bottom + top) / height))
    return ax


def foot(x: Scale, width: float) -> float:
    """Room that the scale across needs below axes of a width [mm]."""
    if not x.is_words:
        return 9.5
    texts = _fitting(width / 25.4 * 72, x.axis.labels)
    return 9.5 + 3.0 * max(text.count("\n") for text in texts)


def dress_x(ax: Axes, scale: Scale, *, second: bool = True) -> None:
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


def dress_y(ax: Axes, scale: Scale, *, second: bool = True) -> None:
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


def _inches(scale: Scale, limits: tuple[float, float]) -> tuple[float, str]:
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
