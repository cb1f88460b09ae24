"""What figures of sweeps share: plain names, an input as a scale or as words along an axis, flags as marked regions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.knife.outcomes import OUTCOMES
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.target.words import wanted_words as typed_words
from detentsim.show.theme.style import Array
from detentsim.units.errors import InputError
from detentsim.units.systems import METRIC, UnitSystem
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.sweep.axis import Axis
    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.knife.target.target import Target

LAST_WORDS = ("at", "from")
"""Endings of keys that say too little without their section."""


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


def result_label(name: str, units: UnitSystem = METRIC, worn: bool = False) -> str:
    """Label of an axis or a colour bar; says where the designs are worn in.

    >>> result_label("breakout_force", worn=True)
    'breakout force, worn in [N]'
    """
    return with_unit(result_name(name) + ", worn in" * worn, units.unit(OUTCOMES[name].unit))


def amount(value: float, name: str, units: UnitSystem = METRIC) -> str:
    """A value of a result with the unit that an axis of it has, to three figures.

    >>> amount(12.34, "breakout_force")
    '12.3 N'
    """
    unit = OUTCOMES[name].unit
    return f"{value * units.scale(unit):.3g} {units.unit(unit)}".rstrip()


@dataclass(frozen=True, eq=False)
class AxisScale:
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
        return self.axis.column.texts is not None and (not self.axis.is_scale or self.axis.is_states)

    @property
    def labels(self) -> tuple[str, ...]:
        """Each value as text; a word for a size with that size."""
        texts, unit, choices = self.axis.labels, self.axis.unit, INPUTS[self.axis.name].choices
        if not self.axis.is_states:
            return texts
        sizes = [f"{value:.3g} {unit}".rstrip() for value in self.axis.values]
        pairs = zip(texts, sizes, strict=True)
        return tuple(f"{text}, {size}" if text in choices else text for text, size in pairs)

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

    def text(self, index: int, units: UnitSystem) -> str:
        """One value as text: as typed, or rounded and in the units given where it comes from a range."""
        if self.axis.column.texts is not None:
            return self.axis.labels[index]
        number, unit = units.pair(float(self.axis.values[index]), self.axis.unit)
        return f"{number:.4g} {unit}".rstrip()

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


def varied(s: Sweep) -> list[AxisScale]:
    """Inputs of a sweep with more than one value."""
    return [AxisScale(axis, i) for i, axis in enumerate(s.axes) if len(axis) > 1]


def values_of(s: Sweep, name: str) -> Array:
    """A result as numbers, a truth as 0 or 1; NaN where there is none or it was not solved."""
    return np.where(s.done, np.asarray(s.results[name], float), np.nan)


def names_in(of: object) -> tuple[str, ...]:
    """Names of results, each once, in the order given; InputError for what is no name."""
    given = tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)
    for name in given:
        if not isinstance(name, str):
            raise InputError("of", name, f'{shown(name)} is no name of a result; give one such as "breakout_force"')
    return tuple(dict.fromkeys(given))


def fewer_inputs_words(count: int, most: int) -> str:
    """Advice for a sweep of more inputs than a figure takes.

    >>> fewer_inputs_words(4, 3), fewer_inputs_words(4, 2)
    ('hold one at a single value', 'hold 2 of them at a single value each')
    """
    over = count - most
    return "hold one at a single value" if over == 1 else f"hold {over} of them at a single value each"


def cut_of(s: Sweep, array: npt.NDArray[Any], keep: Sequence[AxisScale], fixed: dict[int, int] | None = None) -> Any:
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


def wanted_words(target: Target, units: UnitSystem = METRIC) -> str:
    """A target's bounds in words, as typed; computed ones in the units given.

    >>> from detentsim.knife.target.target import Target
    >>> wanted_words(Target("breakout_force", 9.0, 13.0))
    'target 9 to 13 N'
    """
    return f"target {typed_words(target, units)}"
