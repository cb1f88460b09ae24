"""A symptom as an observation: how usual it is for a drawing, and what the knives that show it have in common."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.symptoms.said import SEEN
from detentsim.analysis.in_hand.fit.answers.fitted_build import fitted_build
from detentsim.analysis.in_hand.fit.sampled.weighted import effective, quantiles
from detentsim.analysis.one_build.motion.motion import motion
from detentsim.analysis.results import SPARES
from detentsim.knife.measured.readings import Readings, Sighting
from detentsim.knife.outcomes import RESULTS

if TYPE_CHECKING:
    import numpy.typing as npt

    from detentsim.analysis.in_hand.advise.symptoms.case import Symptom
    from detentsim.analysis.in_hand.fit.answers.next_reading import NextReading
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.analysis.one_build.motion.holding import Holding
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array

# Effective number of knives with the symptom below which it is taken as not explained by the drawing.
FEW = 12.0

CERTAIN = 0.95
"""Chance of the symptom by the readings alone from which nothing need confirm it."""

# Inputs named at most, and the shift of their middle that earns a place, in standard deviations of the drawing's.
NAMED, SHIFTED = 3, 0.3


class Common(NamedTuple):
    """What an input is on the knives with a symptom, and on all that agree with the readings; nine in ten, in SI."""

    name: str
    low: float
    high: float
    all_low: float
    all_high: float
    shift: float  # of the middle, in standard deviations; positive: more than on the others


@dataclass(frozen=True, eq=False)
class Evidence:
    """A symptom seen on a knife.

    Attributes
    ----------
    symptom : Symptom
        As the drawing tells it.
    usual : float
        Share of the knives made to the drawing that have it.
    likely : float
        Chance that the knife has it by its readings alone.
    explained : bool
        Whether enough knives have it to say more.
    fit : Fit
        Knives that agree with the readings and have the symptom; without those that have it where it is not explained.
    common : tuple of Common
        What they have in common, the most telling first.
    confirm : NextReading or None
        Reading that would confirm it best; None where the readings do already.
    holding : Holding or None
        Torques on the blade of the likeliest knife where it hangs.
    """

    symptom: Symptom
    usual: float
    likely: float
    explained: bool
    fit: Fit
    common: tuple[Common, ...]
    confirm: NextReading | None
    holding: Holding | None


def evidence(build: Build, readings: Readings, seen: Symptom, seed: int = 0) -> Evidence:
    """Condition the knives of a drawing on readings and on a symptom that was seen.

    Parameters
    ----------
    build : Build
    readings : Readings
        May be empty.
    seen : Symptom
        With aims; a knife has it that is what `SEEN` says, else one that misses an aim.
    seed : int

    Returns
    -------
    Evidence
    """
    from detentsim.analysis.in_hand.fit.fit import fit

    names = [aim.name for aim in seen.aims]
    more = [SPARES[name] for name in (*names, SEEN.get(seen.name, ("", True))[0]) if name in SPARES]
    found = fit(build, _with_sighting(readings, seen.name), seed, of=[*names, *more])
    shows = _shows(found, seen)
    first = np.arange(len(found)) < found.unread
    usual = float(np.mean(shows[first]))
    weights = np.where(shows & ~found.excluded, found.weights, 0.0)
    likely, explained = float(np.sum(weights)), effective(weights) >= FEW
    alike = _likeliest(found, weights / np.sum(weights)) if explained else found
    answer = more[0] if more else names[0]
    nexts = () if RESULTS[answer].is_truth or likely >= CERTAIN else found.next_readings(answer)
    common = _common(found, alike) if explained else ()
    held = motion(alike.build).holding if seen.name == "will not fall shut" else None
    return Evidence(seen, usual, likely, explained, alike, common, nexts[0] if nexts else None, held)


def _with_sighting(readings: Readings, name: str) -> Readings:
    """Readings with the symptom among what was seen, where it is a yes-no result or flag and was not noted already."""
    if name not in SEEN or SEEN[name][0] in [one.what for one in readings.saw]:
        return readings
    return replace(readings, saw=(*readings.saw, Sighting(*SEEN[name])))


def _shows(found: Fit, seen: Symptom) -> npt.NDArray[np.bool_]:
    """Knives that have the symptom."""
    if seen.name in SEEN:
        what, truth = SEEN[seen.name]
        return np.asarray((found.flags | found.results)[what] == truth)
    values = {aim.name: np.asarray(found.results[aim.name], float) for aim in seen.aims}
    if seen.name in ("too stiff", "too light"):  # past one end of its band, not the other
        (aim,) = seen.aims
        past = values[aim.name] > aim.high if seen.name == "too stiff" else values[aim.name] < aim.low
        return np.asarray(past | (found.flags["locks_solid"] & (seen.name == "too stiff")))
    return np.asarray(np.any([aim.miss(values[aim.name]) > 0 for aim in seen.aims], axis=0))


def _likeliest(found: Fit, weights: Array) -> Fit:
    """The knives with other weights; the build is the one nearest the middle of them."""
    values = found.found.values
    if not values:
        return replace(found, knife_weights=weights)
    columns = np.stack(list(values.values()), axis=1)
    middle = weights @ columns
    spread = np.sqrt(np.maximum(weights @ (columns - middle) ** 2, 1e-300))
    away = np.sum(((columns - middle) / spread) ** 2, axis=1)
    at = int(np.argmin(np.where(weights > 0, away, np.inf)))
    likeliest = {name: float(array[at]) for name, array in values.items()}
    noted = (
        found.readings if found.readings.taken or found.readings.saw else Readings((), (Sighting("a symptom", True),))
    )
    build = fitted_build(found.drawing, likeliest, values, weights, noted)
    return replace(found, knife_weights=weights, build=build)


def _common(found: Fit, alike: Fit) -> tuple[Common, ...]:
    """Inputs whose middle lies elsewhere on the knives with the symptom than on the drawing's."""
    first = np.where(np.arange(len(found)) < found.unread, 1.0, 0.0) / found.unread
    told = []
    for name, values in found.found.values.items():
        middle = float(first @ values)
        spread = float(np.sqrt(first @ (values - middle) ** 2))
        if not spread > 0 or name in found.again:
            continue
        shift = (float(alike.weights @ values) - middle) / spread
        low, high = quantiles(values, alike.weights, [0.05, 0.95])
        all_low, all_high = quantiles(values, first, [0.05, 0.95])
        told.append(Common(name, float(low), float(high), float(all_low), float(all_high), shift))
    far = [one for one in told if abs(one.shift) >= SHIFTED]
    return tuple(sorted(far, key=lambda one: -abs(one.shift))[:NAMED])
