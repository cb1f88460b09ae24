"""The possible knives as an equally weighted sample, and bench moves carried out on each of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.analysis.in_hand.fit.sampled.weighted import effective, resampled
from detentsim.analysis.results import in_unit
from detentsim.knife.record.doubts import INSIDE, doubts
from detentsim.knife.record.drawing import FEW, spread_points
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn, plain
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.analysis.many_builds.batch.knives.knives import Knives
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array

# Knives on which amounts and steps are chosen, at most; others on which chances are counted.
CHOSEN, COUNTED = 192, 1_024

# One knife in `ONE_IN` is kept for choosing; where those would count for fewer than `FEWEST`, all choose and all count.
ONE_IN, FEWEST = 4, 32


@dataclass(frozen=True, eq=False)
class Sample:
    """Equally weighted knives.

    Attributes
    ----------
    build : Build
        Whose moves are tried: the drawing, or the likeliest of the knives.
    numbers : dict
        Plain numbers of the knives; an array of shape (n,) where they differ.
    size : int
    known : Solved or None
        What is solved of them already.
    """

    build: Build
    numbers: Plain
    size: int
    known: Solved | None = None

    def solve(self, columns: Columns, names: Sequence[str]) -> Solved:
        """Results and flags of the knives with some numbers changed.

        Parameters
        ----------
        columns : dict of str to array, shape (n,)
            By dotted name.
        names : sequence of str
            Results.

        Returns
        -------
        Solved
            Of shape (n,); results in their units, truths as 0 and 1.
        """
        if self.known is not None and not columns and set(names) <= set(self.known.results):
            return self.known
        found = respond(assemble({**self.numbers, **columns}), tuple(names))
        results = {name: np.array(np.broadcast_to(in_unit(name, found.results[name]), self.size)) for name in names}
        return Solved(results, {name: np.array(np.broadcast_to(one, self.size)) for name, one in found.flags.items()})

    def changed(self, columns: Columns) -> Sample:
        """Return the knives with some numbers changed.

        Parameters
        ----------
        columns : dict of str to array, shape (n,)
        """
        return Sample(self.build, {**self.numbers, **columns}, self.size)

    def repeated(self, count: int) -> Sample:
        """Return the knives in their order, so many times.

        Parameters
        ----------
        count : int
        """
        arrays = {name: np.asarray(value) for name, value in self.numbers.items()}
        numbers: Plain = {name: np.tile(array, count) if array.ndim else array for name, array in arrays.items()}
        return Sample(self.build, numbers, self.size * count)

    def part(self, rows: npt.NDArray[np.intp]) -> Sample:
        """Return some of the knives.

        Parameters
        ----------
        rows : array of int, shape (m,)
        """
        numbers: Plain = {name: _kept(value, rows) for name, value in self.numbers.items()}
        return Sample(self.build, numbers, rows.size, None if self.known is None else self.known.part(rows))

    def few(self, count: int) -> Sample:
        """Return some of the knives, evenly spread.

        Parameters
        ----------
        count : int
            At most.
        """
        return self.part(np.linspace(0, self.size - 1, min(count, self.size)).astype(np.intp))

    def beside(self, *others: Sample) -> Sample:
        """Return these knives followed by others of the same build.

        Parameters
        ----------
        *others : Sample
            Perhaps with some numbers changed that these have not.
        """
        parts, numbers = (self, *others), {}
        for name in dict.fromkeys(name for one in parts for name in one.numbers):
            arrays = [np.asarray(one.numbers.get(name, np.nan)) for one in parts]
            same = all(array.ndim == 0 for array in arrays)
            wide = [np.broadcast_to(array, one.size) for array, one in zip(arrays, parts, strict=True)]
            numbers[name] = self.numbers[name] if same else np.concatenate(wide)
        known = None
        if all(one.known is not None for one in parts):
            known = reduce(Solved.joined, (one.known for one in parts if one.known is not None))
        return Sample(self.build, numbers, sum(one.size for one in parts), known)


def solved_together(samples: Sequence[Sample], names: Sequence[str]) -> list[Solved]:
    """Results and flags of several samples of one build, in one call of the kernel.

    Parameters
    ----------
    samples : sequence of Sample
    names : sequence of str
        Results.
    """
    if not samples:
        return []
    solved = samples[0].beside(*samples[1:]).solve({}, names)
    return [solved.part(slice(*ends)) for ends in pairwise(accumulate((one.size for one in samples), initial=0))]


def slips(count: int, number: int) -> Array:
    """Errors of the bench for each knife, in standard deviations, the same for every move and amount.

    Parameters
    ----------
    count : int
        Knives; one that stands for all is made without error.
    number : int
        Of the setting: each is made with errors of its own.
    """
    return np.random.default_rng([7, number]).standard_normal(count) if count > 1 else np.zeros(count)


def drawing_sample(build: Build, count: int = FEW) -> Sample:
    """Knives made to a drawing, the first of its batch of seed 0.

    Parameters
    ----------
    build : Build
    count : int
        A multiple of 16 and a power of two. One knife stands for all where nothing is uncertain.

    Returns
    -------
    Sample
        Without the knives whose sizes do not fit together.
    """
    spread = doubts(build, plain(build))
    if not spread:
        return Sample(build, plain(build), 1)
    points = spread_points(len(spread), count)
    return _sample(build, build, {doubt.name: doubt.at(points[:, i]) for i, doubt in enumerate(spread)}, count)


def knives_samples(knives: Knives) -> tuple[Sample, Sample]:
    """Equally weighted knives of a batch or a fit: those on which to choose, and others on which to count.

    Parameters
    ----------
    knives : Batch or Fit

    Returns
    -------
    chosen, counted : Sample
        Of a batch the first ones of either; of a fit drawn by their weights.
    """
    weights = np.where(knives.excluded, 0.0, knives.weights)
    if not knives.found.values or not np.any(weights > 0):
        one = Sample(knives.build, plain(knives.build), 1)
        return one, one
    choose = np.arange(weights.size) % ONE_IN == 0
    halves = np.where(choose, weights, 0.0), np.where(choose, 0.0, weights)
    if min(effective(half) for half in halves) < FEWEST:
        halves = weights, weights
    return _drawn(knives, halves[0], CHOSEN), _drawn(knives, halves[1], COUNTED)


def _drawn(knives: Knives, weights: Array, count: int) -> Sample:
    even = np.ptp(knives.weights) == 0
    which = np.flatnonzero(weights > 0)[:count] if even else resampled(weights / np.sum(weights), count)
    values = {name: array[which] for name, array in knives.found.values.items()}
    results = {name: np.asarray(array[which], float) for name, array in knives.results.items()}
    known = Solved(results, {name: array[which] for name, array in knives.flags.items()})
    drawing = getattr(knives, "drawing", knives.build)
    return _sample(knives.build, drawing, values, which.size, known)


def _sample(build: Build, drawing: Build, values: dict[str, Array], count: int, known: Solved | None = None) -> Sample:
    laid = drawn(drawing, values)
    fits = ~laid.excluded(count)
    if not np.any(fits):
        return Sample(build, plain(build), 1)
    numbers: Plain = {name: _kept(value, fits) for name, value in laid.numbers.items()}
    rows = np.flatnonzero(fits)
    return Sample(build, numbers, rows.size, None if known is None else known.part(rows))


def _kept(value: npt.ArrayLike, which: npt.NDArray[np.bool_] | npt.NDArray[np.intp]) -> Array:
    array = np.asarray(value)
    return array if array.ndim == 0 else array[which]


def carried(sample: Sample, move: Move, values: Array, slips: Array) -> Columns:
    """Columns of knives on each of which a move is carried out.

    Parameters
    ----------
    sample : Sample
    move : Move
        Of the sample's build.
    values : array, shape (count * n,)
        Where the move would end on the sample's build [SI].
    slips : array, shape (count * n,)
        Errors of the bench, in standard deviations; a careful bench comes within `Move.near` 95 times in 100. What
        cannot be undone never ends short of where it starts.

    Returns
    -------
    dict of str to array, shape (count * n,)
        A move by an amount adds it to each knife's own size; one to a size puts that in its place.
    """
    ends = values + slips * move.near / INSIDE
    if not move.undo:
        ends = np.where(values >= move.start, np.maximum(ends, move.start), np.minimum(ends, move.start))
    after = move.columns(ends)
    if move.way == "to":
        return after
    before = move.columns(np.full_like(ends, move.start))
    return {name: _moved(sample, move.way, name, after[name], before[name]) for name in after}


def _moved(sample: Sample, way: str, name: str, after: Array, before: Array) -> Array:
    own = np.asarray(sample.numbers.get(name, np.nan), float)
    own = np.broadcast_to(own, sample.size)
    own = np.tile(own, after.size // sample.size)
    own = np.where(np.isnan(own), before, own)  # what no knife has is as the build has it
    return own * after / before if way == "times" else own + (after - before)
