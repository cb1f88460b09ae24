"""Chances of a change: to land inside, to overshoot, to raise a new warning; and ranges of its side effects."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.chances.judged import Chances, Judged, judged, shares, warned
from detentsim.analysis.in_hand.advise.chances.sample import carried, slips
from detentsim.analysis.in_hand.advise.thresholds import MOVING, NOTICED
from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.knife.outcomes import RESULTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.mechanics.record import Array, Truth

    Done = tuple[Sequence[Move], Sequence[float]]

# A result that costs little, where only flags are asked for.
_LITTLE = ("riding_force",)

FELT_NUMBERS = tuple(name for name in NOTICED if not RESULTS[name].is_truth)
"""What a hand notices that is a number."""


def _solved_after(sample: Sample, before: Solved, aims: Sequence[Aim], columns: Columns) -> Solved:
    """Knives after a change, with what `judged` needs to know.

    The blade moves only where it can still land or be lost; of the others a wanted truth is given as missed, and what
    is no truth as NaN.
    """
    moved = [aim for aim in aims if aim.name in MOVING]
    still = [aim for aim in aims if aim.name not in MOVING]
    after = sample.solve(columns, tuple(aim.name for aim in still) or _LITTLE)
    if not moved:
        return after
    _, barred = warned(before, after)
    open_ = np.all([~barred, *(aim.miss(after.results[aim.name]) == 0 for aim in still)], axis=0)
    open_ |= np.any([_may_be_lost(aim, before.results[aim.name]) for aim in moved], axis=0)
    rows, results = np.flatnonzero(open_), dict(after.results)
    some = {name: values[rows] for name, values in columns.items()}
    part = sample.part(rows).solve(some, tuple(aim.name for aim in moved)) if rows.size else None
    for aim in moved:
        results[aim.name] = np.full(sample.size, np.nan if aim.truth is None else float(not aim.truth))
        if part is not None:
            results[aim.name][rows] = part.results[aim.name]
    return Solved(results, after.flags)


def _may_be_lost(aim: Aim, own: Array) -> Truth:
    """Knives that have a truth as wanted, and all for a number: what may overshoot."""
    return np.ones(own.shape, bool) if aim.truth is None else np.asarray(np.isfinite(own) & ((own > 0) == aim.truth))


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
        columns |= carried(sample, move, np.full(sample.size, value), slips(sample.size, i))
    return columns


def chances(sample: Sample, before: Solved, aims: Sequence[Aim], done: Sequence[Done]) -> list[Chances]:
    """Chances of several changes, each by itself, solved in one call.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with the results that the aims are about.
    aims : sequence of Aim
    done : sequence of (moves, values)
        Moves carried out together, and where each ends on the sample's build [SI]; without moves the knives as they
        stand.
    """
    changed = [carried_out(sample, *one) for one in done]
    some = [columns for columns in changed if columns]
    found = iter(_chances(sample, before, aims, some)) if some else iter(())
    return [next(found) if columns else shares(judged(aims, before, before)) for columns in changed]


def _chances(sample: Sample, before: Solved, aims: Sequence[Aim], changed: Sequence[Columns]) -> list[Chances]:
    count = len(changed)
    names = dict.fromkeys(name for columns in changed for name in columns)
    own = {name: np.broadcast_to(np.asarray(sample.numbers.get(name, np.nan), float), sample.size) for name in names}
    whole = {name: np.concatenate([columns.get(name, own[name]) for columns in changed]) for name in names}
    many = before.part(np.tile(np.arange(sample.size), count))
    found = judged(aims, many, _solved_after(sample.repeated(count), many, aims, whole))
    parts = zip(*(np.split(part, count) for part in found), strict=True)
    return [shares(Judged(*part)) for part in parts]


def side_effects(
    sample: Sample, before: Solved, moves: Sequence[Move], values: Sequence[float]
) -> dict[str, tuple[float, float]]:
    """Changes of what a hand notices, as parts of the knife's own: the range of nine knives in ten.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with the numbers of `NOTICED`.
    moves : sequence of Move
    values : sequence of float
        Where each ends on the sample's build [SI].

    Returns
    -------
    dict of str to tuple of float
        By result; without truths and what no knife has.
    """
    after = sample.solve(carried_out(sample, moves, values), FELT_NUMBERS)
    ranges = {name: _range(before.results[name], after.results[name]) for name in FELT_NUMBERS}
    return {name: ends for name, ends in ranges.items() if math.isfinite(ends[0])}


def _range(own: Array, values: Array) -> tuple[float, float]:
    """Range of the change of a result over its own value, of nine knives in ten."""
    known = np.isfinite(own) & np.isfinite(values) & (own != 0)
    if not np.any(known):
        return math.nan, math.nan
    change = (values[known] - own[known]) / np.abs(own[known])
    low, high = np.quantile(change, [0.05, 0.95])
    return float(low), float(high)
