"""Which reading to take next: how much each would narrow the range of a result, on average over its possible values."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.fit.likelihood import KnifeValues, of_reading
from detentsim.analysis.in_hand.fit.sampled.weighted import quantiles, resampled
from detentsim.analysis.many_builds.sweep.blocks import no_progress
from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.analysis.many_builds.sweep.wanted import lacking
from detentsim.knife.measured.readings import Reading
from detentsim.knife.measured.tools import readable_results, tool
from detentsim.knife.record.drawing import with_values

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.knife.measured.readings import Readings
    from detentsim.mechanics.record import Array

KNIVES = 1_024
"""Equally weighted knives of the fit that stand for what this knife may be."""

SHOWN = 48
"""Of them, the knives whose reading is imagined."""

SHARE = 0.9
"""Share that the range holds whose width counts."""

WORTH = 0.02
"""Least part by which a reading must narrow the range to be named."""


class NextReading(NamedTuple):
    """A reading not yet taken, and how much it would narrow a range."""

    what: str
    narrows: float  # expected width of the 90 % range after it over that before it, less than 1
    effort: int  # 1: nothing is taken apart; 2: the blade is out
    how: str


def next_readings(fit: Fit, name: str, readings: Readings, weights: Array, seed: int) -> tuple[NextReading, ...]:
    """Readings that would narrow the range of a result, the best first.

    Parameters
    ----------
    fit : Fit
    name : str
        Result.
    readings : Readings
        What is taken already.
    weights : array, shape (n,)
    seed : int

    Returns
    -------
    tuple of NextReading
        Where the result itself can be read, that reading is among them. What narrows it by less than `WORTH` is left
        out.
    """
    which = resampled(weights, KNIVES)
    knives = with_values(fit.drawing, {one: array[which] for one, array in fit.found.values.items()}, KNIVES)
    taken = {reading.what for reading in readings.taken}
    results = [one for one in readable_results() if one not in taken and not list(lacking(knives.record, (one,)))]
    inputs = [one for one in fit.found.values if one not in taken and tool(one) is not None]
    wanted = tuple(dict.fromkeys((name, *results)))
    solved = solve_all(knives.record, knives.excluded, wanted, None, no_progress)
    seen = KnifeValues(solved.results, solved.flags, knives.values, knives.excluded)
    answer = seen.of(name)
    found = [_worth(seen.of(one), one, answer, seed) for one in (*results, *inputs)]
    good = [one for one in found if one is not None and one.narrows < 1 - WORTH]
    return tuple(sorted(good, key=lambda one: (round(one.narrows, 2), one.effort)))


def _worth(values: Array, what: str, answer: Array, seed: int) -> NextReading | None:
    """Expected width of the answer's range after one reading, over that before it."""
    usual = tool(what)
    known = np.isfinite(values) & np.isfinite(answer)
    if usual is None or np.count_nonzero(known) < KNIVES // 2 or np.ptp(values[known]) == 0:
        return None
    values, answer = values[known], answer[known]
    before = _width(answer, np.ones(answer.size))
    if not before > 0:
        return None
    rng = np.random.default_rng([seed, 6])
    shown = (np.arange(SHOWN) * values.size) // SHOWN
    widths = []
    for value, slip in zip(values[shown], rng.standard_normal(SHOWN), strict=True):
        error = usual.error(float(value))
        logs = of_reading(values, Reading(what, float(value) + error * float(slip), error))
        widths.append(_width(answer, np.exp(logs - np.max(logs))))
    return NextReading(what, float(np.mean(widths)) / before, usual.effort, usual.how)


def _width(values: Array, weights: Array) -> float:
    low, high = quantiles(values, weights, [(1 - SHARE) / 2, (1 + SHARE) / 2])
    return float(high - low)
