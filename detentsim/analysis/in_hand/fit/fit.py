"""Fits a build to readings: which of the knives made to its drawing is the one on the bench."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.fit.answers.fitted_build import fitted_build
from detentsim.analysis.in_hand.fit.fitted import Fit
from detentsim.analysis.in_hand.fit.likelihood import KnifeValues, log_likelihood, needed, residuals
from detentsim.analysis.in_hand.fit.sampled.peak import peak
from detentsim.analysis.in_hand.fit.sampled.sampling import MOST, STEP, Sampled, sample
from detentsim.analysis.many_builds.batch.knives.cloud import aimed_at
from detentsim.analysis.many_builds.sweep.blocks import Progress, progress_line
from detentsim.analysis.many_builds.sweep.solving import Solved, solve_all, starts
from detentsim.analysis.many_builds.sweep.wanted import need_inputs, read_names
from detentsim.knife.checks.bands import allowed
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.measured.reading_file import read_readings
from detentsim.knife.measured.readings import Reading, Readings
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.doubts import INSIDE, Doubt, doubts
from detentsim.knife.record.drawing import Drawn, draw, off_ends, spread_points
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS
from detentsim.mechanics.names import ALL_NAMES, RESULT_NAMES
from detentsim.units.quantities import factor
from detentsim.units.whole import whole_number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.mechanics.record import Array

UNREAD = 4_096
"""Knives where nothing is read: as many as a batch begins with, at the same points."""

SPARED = 1e-4
"""Weight of the knives that are left out, since they do not agree with what was read."""

HEIGHT = "dimple.loose_ball_height"
"""Input that stands for the second drill's feed; the result of that name has no doubt of its own then."""


def fit(
    build: Build,
    readings: object,
    seed: int = 0,
    of: Sequence[str] | str | None = None,
    *,
    progress: Progress | None = None,
) -> Fit:
    """Find the knives made to a drawing that read like the one on the bench.

    The knives of the batch (`detentsim.batch`) are the prior. Each is weighted by how well it agrees with the readings
    (`likelihood`), and more are drawn where the weights are great (`sampling`). An input that is measured again though
    the drawing leaves it no doubt is taken as measured, with the error of that reading.

    Parameters
    ----------
    build : Build
    readings : str, Path or mapping
        A readings file; or from a result's or an input's name to ``"6.4 N"``, ``("6.4 N", "0.2 N")`` with one standard
        error, a list of repeats, or a truth or ``"sometimes"`` for what is seen.
    seed : int
        Not negative.
    of : sequence of str, optional
        More results to give than the static ones, those of the targets and those that are read.
    progress : callable, optional
        Told ``(knives done, of how many at most)``; by default a line on standard error where that is a terminal.

    Returns
    -------
    Fit

    Raises
    ------
    InputError
        With every problem of the readings; for a wrong seed, and for a result that lacks an input.

    Examples
    --------
    >>> import detentsim as ds
    >>> found = fit(ds.demo(), {"breakout_force": ("9 N", "0.1 N")})
    >>> low, high = found.interval("breakout_force")
    >>> low.m < 9 < high.m, (high - low).m < 0.6
    (True, True)
    """
    need_build(build)
    seed = whole_number("seed", seed, (0, 2**63), 0)
    given = _as_typed(build, _with_curve(build, read_readings(readings)))
    spread, again = _prior(build, given.taken)
    report = progress or progress_line("{done:,} of {total:,} knives")
    knives = _Knives(build, spread, again, given, _wanted(build, given, of), report)
    first = spread_points(len(spread), STEP if knives.taken or given.saw else UNREAD, seed)
    found = sample(knives.log_likelihood, _normals(first), seed)
    return knives.fit(found, seed, len(first))


def _prior(build: Build, taken: Sequence[Reading]) -> tuple[tuple[Doubt, ...], frozenset[str]]:
    """Distributions of the inputs before results are read, and the names of those that were measured again.

    An input that the drawing states without doubt but that is measured again is normal about that reading.
    """
    own = doubts(build, plain(build))
    in_doubt = {doubt.name for doubt in own}
    again = [reading for reading in taken if reading.what in INPUTS and reading.what not in in_doubt]
    absent = [reading.what for reading in again if math.isnan(build.si(reading.what))]
    if absent:
        text = "is read, but this build does not have it as a number; give it in the build first"
        raise BuildError([Problem("", None, f"readings.{what}", text) for what in absent])
    measured = (_measured(build, reading) for reading in again)
    return (*own, *measured), frozenset(reading.what for reading in again)


def _measured(build: Build, reading: Reading) -> Doubt:
    half = INSIDE * reading.error
    low, high = reading.value - half, reading.value + half
    ends = allowed(reading.what, build.values[reading.what].kind)
    return Doubt(reading.what, reading.value, low, high, *ends, "normal", False)


def _with_curve(build: Build, given: Readings) -> Readings:
    """Readings with those of a measured curve among them: breakout, work to break out and let-go.

    A result that is also read by itself keeps that reading.
    """
    if given.curve is None:
        return given
    from detentsim.analysis.in_hand.fit.from_curve import curve_readings

    names = {reading.what for reading in given.taken}
    more = [reading for reading in curve_readings(build, given.curve) if reading.what not in names]
    return Readings((*given.taken, *more), given.saw, given.curve, given.source)


def _as_typed(build: Build, given: Readings) -> Readings:
    """Readings of the loose ball's height as readings of the input that fixes it, where the build has that input."""
    if build[HEIGHT] is None:
        return given
    scale = factor(RESULTS["loose_ball_height"].unit)
    taken = [
        Reading(HEIGHT, one.value * scale, one.error * scale, one.count) if one.what == "loose_ball_height" else one
        for one in given.taken
    ]
    return replace(given, taken=tuple(taken))


def _wanted(build: Build, given: Readings, of: object) -> tuple[str, ...]:
    """Names of the results to solve."""
    read = needed(given.taken, given.saw, ALL_NAMES)
    return tuple(dict.fromkeys((*RESULT_NAMES, *aimed_at(build), *read, *read_names(of))))


def _normals(shares: Array) -> Array:
    from scipy.special import ndtri

    return np.asarray(ndtri(shares))


def _shares(points: Array) -> Array:
    from scipy.special import ndtr

    return off_ends(np.asarray(ndtr(points)))


class _Knives:
    """Solves knives round by round for what is read, and those that count for everything."""

    def __init__(
        self,
        build: Build,
        spread: tuple[Doubt, ...],
        again: frozenset[str],
        given: Readings,
        wanted: tuple[str, ...],
        progress: Progress,
    ) -> None:
        self.build, self.spread, self.again, self.given = build, spread, again, given
        self.wanted, self.progress, self.done = wanted, progress, 0
        self.kept: list[dict[str, npt.NDArray[Any]]] = []  # what was read, of each round
        self.read = needed(given.taken, given.saw, ALL_NAMES)
        # what was measured again is in the distributions already
        self.taken, self.saw = tuple(one for one in given.taken if one.what not in self.again), given.saw

    def log_likelihood(self, points: Array) -> Array:
        """Solve knives at points in standard normals for the results that are read."""
        seen = self._seen(points)
        self.kept.append(dict(seen.results))
        return log_likelihood(seen, self.taken, self.saw)

    def residuals(self, points: Array) -> Array:
        """Solve knives at points in standard normals for what they miss the readings by, in errors."""
        return residuals(self._seen(points), self.taken, self.saw)

    def _seen(self, points: Array) -> KnifeValues:
        """What is read of knives at points in standard normals; nothing is solved where only inputs are."""
        found = self._drawn(points)
        if not self.done:
            self._need_inputs(found)
        if not (self.read or self.saw):
            return KnifeValues({}, {}, found.values, found.excluded)
        solved = self._solved(found, self.read)
        return KnifeValues(solved.results, solved.flags, found.values, found.excluded)

    def _drawn(self, points: Array) -> Drawn:
        return draw(self.build, self.spread, _shares(points))

    def _solved(self, found: Drawn, wanted: tuple[str, ...]) -> Solved:
        start, total = self.done, max(MOST, self.done + len(found.excluded))
        solved = solve_all(
            found.record, found.excluded, wanted, None, lambda done, _: self.progress(start + done, total)
        )
        self.done += len(found.excluded)
        if not np.all(solved.done):
            raise KeyboardInterrupt
        return solved

    def _need_inputs(self, found: Drawn) -> None:
        """Refuse results that lack an input, and say what asks for them."""
        asking = dict.fromkeys(self.wanted, "of") | {wanted.name: "target" for wanted in self.build.target}
        asking |= dict.fromkeys(self.read, "readings")
        need_inputs(found.record, self.wanted, asking)

    def fit(self, sampled: Sampled, seed: int, first: int) -> Fit:
        """Solve the knives that count and return them with their weights."""
        which = _counting(sampled.weights, first)
        drawn = self._drawn(sampled.points[which])
        weights = sampled.weights[which] / np.sum(sampled.weights[which])
        solved = self._solved(drawn, tuple(name for name in self.wanted if name not in self.read))
        known = {name: np.concatenate([part[name] for part in self.kept])[which] for name in self.read}
        results = {name: (known | solved.results)[name] for name in self.wanted}
        best = peak(self.residuals, _likeliest(sampled)) if self.taken or self.saw else np.zeros(len(self.spread))
        likeliest = {name: float(values[0]) for name, values in self._drawn(best[None]).values.items()}
        build = fitted_build(self.build, likeliest, drawn.values, weights, self.given)
        cloud = build, self.spread, starts(self.build), drawn, results, solved.flags, solved.done
        return Fit(*cloud, self.build, weights, self.given, self.again, seed, first)


def _likeliest(sampled: Sampled) -> Array:
    """Point of the sample with the greatest posterior density."""
    density = sampled.log_likelihood - 0.5 * np.sum(sampled.points**2, axis=1)
    return np.asarray(sampled.points[int(np.argmax(density))])


def _counting(weights: Array, first: int) -> npt.NDArray[np.intp]:
    """Indices of the first knives, and of those with the greatest weights that hold all but `SPARED` of the rest."""
    order = np.argsort(-weights, kind="stable")
    enough = int(np.searchsorted(np.cumsum(weights[order]), 1 - SPARED)) + 1
    return np.union1d(np.arange(first), order[:enough])
