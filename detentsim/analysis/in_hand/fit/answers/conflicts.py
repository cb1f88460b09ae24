"""Conflicts with the drawing: readings that hardly any of its knives would give, and which size to check first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.fit.answers.suspects import FARTHEST, Suspect, suspects
from detentsim.analysis.in_hand.fit.likelihood import MISREAD, KnifeValues, below, chance, of_reading
from detentsim.analysis.in_hand.fit.sampled.weighted import effective, quantiles
from detentsim.analysis.one_build.sizes import AGREES
from detentsim.knife.measured.tools import shown_unit, sight_words, unit_of
from detentsim.knife.outcomes import RESULTS, label
from detentsim.knife.record.doubts import INSIDE
from detentsim.knife.record.fields import MEASURED
from detentsim.knife.record.record import plain
from detentsim.units.numbers import digits, two_digits
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.knife.measured.readings import Reading, Readings
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array
    from detentsim.units.systems import UnitSystem

RARE = 0.01
"""Share of the drawing's knives below which a reading is in conflict with it, both tails together."""

ENOUGH = 30.0
"""Effective number of knives that a comparison with the other readings needs."""

STIFFNESS_HALF = 0.1
"""Half the packaged band of `bar.calibration`, measured over computed stiffness of a bar where nothing is measured."""


@dataclass(frozen=True)
class Conflict:
    """One reading that the drawing hardly allows.

    Attributes
    ----------
    what : str
        Result, input, yes-no result or flag; ``bar.stiffness`` for one that stands in the build.
    chance : float
        Share of the knives that would read so or farther off, both tails together.
    beside : str
        ``drawing``; ``other readings`` where the drawing allows it but the others do not.
    check : tuple of str
        What to check first: the reading itself, then sizes that would explain it, the least change first.
    words : str
        One or two sentences.
    explained : bool
        Whether some knives of the drawing, those that the fit holds for likely, do read so.
    """

    what: str
    chance: float
    beside: str
    check: tuple[str, ...]
    words: str
    explained: bool = True


def conflicts_of(fit: Fit, readings: Readings, weights: Array, unread: int) -> tuple[Conflict, ...]:
    """Conflicts of the readings with the drawing, and among themselves.

    Parameters
    ----------
    fit : Fit
    readings : Readings
    weights : array, shape (n,)
    unread : int
        The first knives are the drawing's own.

    Returns
    -------
    tuple of Conflict
        The least likely first.
    """
    seen = KnifeValues(fit.results, fit.flags, fit.found.values, fit.excluded)
    own = np.arange(len(weights)) < unread
    equal = np.where(own & ~fit.excluded, 1.0, 0.0)
    found = [*_stiffness(fit.drawing)]
    for reading in readings.taken:
        found += _of_reading(fit, seen, reading, (equal, weights))
    for sighting in readings.saw:
        share = (_average(chance(seen, sighting.what), equal) - MISREAD) / (1 - 2 * MISREAD)
        if sighting.seen is not None and (likely := share if sighting.seen else 1 - share) < RARE:
            found.append(_sight(sighting.what, sighting.seen, likely))
    return tuple(sorted(found, key=lambda one: one.chance))


def _average(values: Array, weights: Array) -> float:
    known = np.isfinite(values) & (weights > 0)
    return float(np.average(values[known], weights=weights[known])) if np.any(known) else math.nan


def _tail(values: Array, reading: Reading, weights: Array) -> float:
    """Share of the weight that would read so or farther off; knives without the result count as not reading so."""
    lower = below(values, reading)
    known = np.isfinite(lower) & (weights > 0)
    if not np.any(known):
        return 0.0
    share = float(np.sum(weights[known]) / np.sum(weights))
    under = _average(lower, weights)
    return min(1.0, 2 * share * min(under, 1 - under))


def _of_reading(fit: Fit, seen: KnifeValues, reading: Reading, weights: tuple[Array, Array]) -> list[Conflict]:
    values, (equal, posterior) = seen.of(reading.what), weights
    if reading.what in fit.again:
        drawn = fit.drawing.si(reading.what)
        tail = _tail(np.full(1, drawn), reading, np.ones(1))
        return [_again(fit.drawing.units, reading, drawn, tail)] if tail < RARE else []
    tail = _tail(values, reading, equal)
    if tail < RARE:
        return [_beside_drawing(fit, reading, values, equal, tail, _tail(values, reading, posterior) >= RARE)]
    logs = of_reading(values, reading)
    without = np.where(np.isfinite(logs), posterior * np.exp(-logs), 0.0)
    if len(fit.readings.taken) + len(fit.readings.saw) < 2 or effective(without) < ENOUGH:
        return []
    tail = _tail(values, reading, without)
    return [_beside_others(fit.drawing.units, reading, values, without, tail)] if tail < RARE else []


def _beside_drawing(fit: Fit, reading: Reading, values: Array, equal: Array, tail: float, explained: bool) -> Conflict:
    known, units = np.isfinite(values), fit.drawing.units
    low, middle, high = quantiles(values[known], equal[known], [0.05, 0.5, 0.95])
    sizes = suspects(fit.drawing, reading.what, reading.value, float(middle)) if reading.what in RESULTS else ()
    expected = "no knife of the drawing has any"
    if np.any(known):
        expected = f"the drawing gives {_range(reading.what, low, high, units)} nine times in ten"
    advice = "check the reading and its unit first"
    advice += _then(sizes) if reading.what in RESULTS else ""
    words = f"{_named(reading.what)} reads {_said(reading.what, reading.value, units)}; {expected}: {advice}."
    return Conflict(reading.what, tail, "drawing", (reading.what, *(size.name for size in sizes)), words, explained)


def _beside_others(units: UnitSystem, reading: Reading, values: Array, without: Array, tail: float) -> Conflict:
    known = np.isfinite(values)
    low, high = quantiles(values[known], without[known], [0.05, 0.95])
    words = (
        f"{_named(reading.what)} reads {_said(reading.what, reading.value, units)}; going by the other readings it is "
        f"{_range(reading.what, low, high, units)}: take it again, and the one it disagrees with."
    )
    return Conflict(reading.what, tail, "other readings", (reading.what,), words)


def _again(units: UnitSystem, reading: Reading, drawn: float, tail: float) -> Conflict:
    said = _said(reading.what, reading.value, units)
    words = (
        f"{reading.what} measures {said}, the build file has {_said(reading.what, drawn, units)}: the fit takes what "
        "was measured; check its unit, and correct the build file if it holds."
    )
    return Conflict(reading.what, tail, "drawing", (reading.what,), words)


def _sight(what: str, seen: bool, likely: float) -> Conflict:
    named = label(what) if what in RESULTS else what.replace("_", " ")
    seen_so = f"Seen: {named}: {'yes' if seen else 'no'} ({_lower(sight_words(what))})"
    words = f"{seen_so}; hardly any knife of the drawing is so: look again."
    return Conflict(what, likely, "drawing", (what,), words)


def _lower(sentence: str) -> str:
    """A sentence to stand in brackets."""
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def _stiffness(build: Build) -> list[Conflict]:
    """Conflict of a stiffness that stands measured in the build with its sizes, where the verdict doubts it as well."""
    given = [name for name in ("bar.stiffness", "bar.measured.pull") if build[name] is not None]
    if not given:
        return []
    from scipy.special import ndtr

    ratio = float(np.asarray(plain(build)["bar.calibration"]))
    if AGREES[0] <= ratio <= AGREES[1]:
        return []
    tail = 2 * float(ndtr(-INSIDE * abs(ratio - 1) / STIFFNESS_HALF))
    sizes = suspects(
        build.change({name: None for name in MEASURED if build[name] is not None}), "bar_stiffness", ratio, 1.0
    )
    words = (
        f"the measured stiffness in the build is {two_digits(ratio)} times what the bar's sizes give "
        f"({AGREES[0]:g} to {AGREES[1]:g} may be): check the measurement and its unit first{_then(sizes)}."
    )
    return [Conflict(given[0], tail, "drawing", (given[0], *(size.name for size in sizes)), words)]


def _then(sizes: tuple[Suspect, ...]) -> str:
    if not sizes:
        return f"; no size within a factor of {FARTHEST:g} of its own explains it alone"
    return "; then " + ", or ".join(size.words for size in sizes)


def _named(what: str) -> str:
    return label(what) if what in RESULTS else what


def _shown(what: str, value: float, units: UnitSystem) -> tuple[float, str]:
    """Return a value of a reading in the units of the report."""
    unit = shown_unit(what)
    own = value if what in RESULTS or not unit else value * factor(unit_of(what)) / factor(unit)
    return units.pair(own, unit)


def _said(what: str, value: float, units: UnitSystem) -> str:
    number, unit = _shown(what, value, units)
    return f"{digits(number, 3)} {unit}".strip()


def _range(what: str, low: float, high: float, units: UnitSystem) -> str:
    (one, unit), (other, last) = _shown(what, low, units), _shown(what, high, units)
    return f"{digits(one, 3)}{f' {unit}' if unit != last else ''} to {digits(other, 3)} {last}".strip()
