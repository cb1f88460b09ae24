"""Likelihood of readings: how well each of many knives agrees with what was read and seen on one.

Knows results and inputs of knives by name, not how they are solved or drawn.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.measured.readings import Reading, Sighting
    from detentsim.mechanics.record import Array, Truth

FREEDOM = 4.0
"""Degrees of freedom of a reading's error. At 4 one reading in 37 is off by more than three standard errors (of a
normal, one in 370), so a slip of the hand pulls the fit little. Judgement; 4 is the usual choice of robust fits (Lange,
Little and Taylor, J. Am. Stat. Assoc. 84 (1989) 881-896, from memory)."""

CENTRAL = 1.1416
"""Of Student's t with `FREEDOM` degrees, where the middle 68.27 % end: one standard error stands there, as a normal's
does. The scale is the standard error over it."""

FAR = 30.0
"""Standard errors at which a knife counts that has no such result: one whose ball floats, say, where a breakout was
read. Not impossible, since the reading itself may be wrong."""

MISREAD = 0.03
"""Chance that what is seen is noted wrongly. Judgement, no source."""

REPEATABLE = 0.10
"""Part by which drag and work differ from try to try on one knife; sets how near the edge it happens sometimes.
Judgement, no source."""

SPARE = {"falls_shut": ("closing_spare", "drag_torque"), "opens_fully": ("opening_spare", "breakout_energy")}
"""Of each yes-no result: what the blade has to spare, and what that is compared with."""


class KnifeValues(NamedTuple):
    """Values of many knives that a likelihood needs."""

    results: Mapping[str, npt.NDArray[Any]]  # in their own units
    flags: Mapping[str, Truth]
    inputs: Mapping[str, Array]  # that vary [SI]
    excluded: Truth  # knives whose sizes do not fit together

    def of(self, what: str) -> Array:
        """Return a result or an input of each knife, in the unit of its readings; NaN where there is none."""
        values = self.results[what] if what in self.results else self.inputs[what]
        return np.where(self.excluded, math.nan, values)


def log_likelihood(seen: KnifeValues, taken: tuple[Reading, ...], saw: tuple[Sighting, ...]) -> Array:
    """Natural logarithm of the likelihood of all readings, up to a constant; -inf for what makes no knife.

    Parameters
    ----------
    seen : KnifeValues
        With the results that are read, and for sightings those of `needed`.
    taken : tuple of Reading
    saw : tuple of Sighting

    Returns
    -------
    array, shape (n,)
    """
    missed = residuals(seen, taken, saw)
    return np.where(seen.excluded, -math.inf, -0.5 * np.sum(missed**2, axis=1))


def residuals(seen: KnifeValues, taken: tuple[Reading, ...], saw: tuple[Sighting, ...]) -> Array:
    """Residuals of each knife against the readings: half their sum of squares is minus the log likelihood.

    Parameters
    ----------
    seen : KnifeValues
    taken : tuple of Reading
    saw : tuple of Sighting

    Returns
    -------
    array, shape (n, readings)
        Of a reading below zero where the knife gives less than was read.
    """
    columns = [np.zeros(len(seen.excluded))]
    for reading in taken:
        values = seen.of(reading.what)
        side = np.where(values < reading.value, -1.0, 1.0)
        columns.append(side * np.sqrt(-2 * of_reading(values, reading)))
    columns += [np.sqrt(np.maximum(-2 * _of_sighting(seen, sighting), 0)) for sighting in saw]
    return np.stack(columns, axis=1)


def needed(taken: tuple[Reading, ...], saw: tuple[Sighting, ...], results: tuple[str, ...]) -> tuple[str, ...]:
    """Names of the results that the likelihood of some readings needs.

    Parameters
    ----------
    taken : tuple of Reading
    saw : tuple of Sighting
    results : tuple of str
        Every name of a result.
    """
    names = [reading.what for reading in taken if reading.what in results]
    for sighting in saw:
        names += [sighting.what, *SPARE.get(sighting.what, ())] if sighting.what in results else []
    return tuple(dict.fromkeys(names))


def of_reading(values: Array, reading: Reading) -> Array:
    """Natural logarithm of the likelihood of one reading, up to a constant.

    Student's t about each knife's own value.

    Parameters
    ----------
    values : array, shape (n,)
        What each knife gives; NaN where it gives none.
    reading : Reading

    Returns
    -------
    array, shape (n,)
        0 where the knife gives what was read.

    Examples
    --------
    >>> from detentsim.knife.measured.readings import Reading
    >>> of_reading(np.array([9.0, 8.5]), Reading("breakout_force", 9.0, 0.5)).round(2).tolist()
    [0.0, -0.7]
    """
    away = np.abs(values - reading.value) / reading.error
    away = np.where(np.isnan(away), FAR, away) * CENTRAL
    return np.asarray(-(FREEDOM + 1) / 2 * np.log1p(away**2 / FREEDOM))


def below(values: Array, reading: Reading) -> Array:
    """Probability that each knife would read lower than was read; NaN where it has no such result.

    Parameters
    ----------
    values : array, shape (n,)
    reading : Reading
    """
    from scipy.special import stdtr

    return np.asarray(stdtr(FREEDOM, (reading.value - values) / reading.error * CENTRAL))


def chance(seen: KnifeValues, what: str) -> Array:
    """Chance that each knife is seen to do something at one try.

    Parameters
    ----------
    seen : KnifeValues
    what : str
        Yes-no result or flag.

    Returns
    -------
    array, shape (n,)
        Of a blade that flies open or falls shut, by what it has to spare over what differs from try to try, as a
        normal; of anything else 0 or 1. Then drawn toward 1/2 by `MISREAD` on either side.
    """
    known = np.asarray((seen.flags if what in seen.flags else seen.results)[what], float)
    if what in SPARE:
        spare, scale = (np.asarray(seen.results[name], float) for name in SPARE[what])
        known = _by_spare(known, spare, REPEATABLE * np.abs(scale))
    return MISREAD + (1 - 2 * MISREAD) * known


def _by_spare(known: Array, spare: Array, scale: Array) -> Array:
    from scipy.special import ndtr

    sure = np.isfinite(spare) & (scale > 0)
    ratio = np.divide(spare, scale, out=np.zeros_like(known), where=sure)
    return np.where(sure, ndtr(ratio), known)


def _of_sighting(seen: KnifeValues, sighting: Sighting) -> Array:
    """Natural logarithm of the likelihood of one thing seen, shape (n,).

    Sometimes means two of four tries: most likely of a knife on the edge, where the chance at a try is 1/2.
    """
    likely = chance(seen, sighting.what)
    if sighting.seen is None:
        return np.asarray(np.log(6 * (likely * (1 - likely)) ** 2))
    return np.asarray(np.log(likely if sighting.seen else 1 - likely))
