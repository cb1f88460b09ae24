"""Chances of a change: to land inside, to overshoot, to bring a new warning; and ranges of what else changes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.chances.judged import judged, results_of
from detentsim.analysis.in_hand.advise.chances.sample import carried
from detentsim.analysis.in_hand.advise.thresholds import NOTICED
from detentsim.knife.outcomes import RESULTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move, Values
    from detentsim.analysis.in_hand.advise.trials.solved import Solved


class Chances(NamedTuple):
    """What a change brings about, as shares of the knives that this one may be."""

    lands: float  # every aim met; no new warning of an unsound design, and none of a detent that does not work
    overshoots: float  # an aim left behind: past its far end, or lost
    warns: float  # a warning of an unsound design that the knife has not now


def slips(sample: Sample, number: int, count: int = 1) -> Values:
    """Errors of the bench for each knife, in standard deviations, the same for every move and amount.

    Parameters
    ----------
    sample : Sample
    number : int
        Of the setting: each is made with errors of its own.
    count : int
        How often they are repeated.
    """
    drawn = np.random.default_rng([7, number]).standard_normal(sample.size)
    return np.tile(drawn, count) if sample.size > 1 else np.zeros(count)


def carried_out(sample: Sample, moves: Sequence[Move], values: Sequence[float]) -> Columns:
    """Columns of the knives with moves carried out together, each with errors of its own.

    Parameters
    ----------
    sample : Sample
    moves : sequence of Move
    values : sequence of float
        Where each ends on the sample's build [SI].
    """
    columns: Columns = {}
    for i, (move, value) in enumerate(zip(moves, values, strict=True)):
        columns |= carried(sample, move, np.full(sample.size, value), slips(sample, i))
    return columns


def chances(
    sample: Sample, before: Solved, aims: Sequence[Aim], moves: Sequence[Move], values: Sequence[float]
) -> Chances:
    """Chances of moves together, each at one amount.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with `results_of` the aims.
    aims : sequence of Aim
    moves : sequence of Move
        None: the knives as they stand.
    values : sequence of float
        Where each ends on the sample's build [SI].
    """
    columns = carried_out(sample, moves, values)
    after = sample.solve(columns, results_of(aims)) if columns else before
    return Chances(*(float(np.mean(part)) for part in judged(aims, before, after)))


def side_effects(
    sample: Sample, before: Solved, moves: Sequence[Move], values: Sequence[float]
) -> dict[str, tuple[float, float]]:
    """Changes of what a hand notices, as parts of the knife's own: the range of nine knives in ten.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with the results of `NOTICED`.
    moves : sequence of Move
    values : sequence of float
        Where each ends on the sample's build [SI].

    Returns
    -------
    dict of str to tuple of float
        By result; without truths and what no knife has.
    """
    after = sample.solve(carried_out(sample, moves, values), NOTICED)
    names = [name for name in NOTICED if not RESULTS[name].is_truth]
    ranges = {name: _range(before.results[name], after.results[name]) for name in names}
    return {name: ends for name, ends in ranges.items() if math.isfinite(ends[0])}


def _range(own: Values, values: Values) -> tuple[float, float]:
    """Range of the change of a result over its own value, of nine knives in ten."""
    known = np.isfinite(own) & np.isfinite(values) & (own != 0)
    if not np.any(known):
        return math.nan, math.nan
    change = (values[known] - own[known]) / np.abs(own[known])
    low, high = np.quantile(change, [0.05, 0.95])
    return float(low), float(high)
