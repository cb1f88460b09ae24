"""Chances of a change: which knives land, overshoot or have a new warning after it; and ranges of what else changes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.aims import SPARES
from detentsim.analysis.in_hand.advise.chances.sample import carried, slips
from detentsim.analysis.in_hand.advise.thresholds import MOVING, NOTICED
from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.knife.outcomes import FATAL, RESULTS, UNSOUND

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move, Values
    from detentsim.mechanics.record import Truth

# A result that costs little, where only flags are asked for.
_LITTLE = ("riding_force",)

FELT_NUMBERS = tuple(name for name in NOTICED if not RESULTS[name].is_truth)
"""What a hand notices that is a number."""


class Judged(NamedTuple):
    """Knives after a change, of any one shape."""

    lands: Truth  # every aim met, no warning of an unsound design: inside, as a batch counts it
    overshoots: Truth  # an aim left behind: past its far end, or lost
    warns: Truth  # a warning of an unsound design that the knife has not now
    meets: Truth  # every aim met, no new warning and none of a detent that does not work; others may stand


class Chances(NamedTuple):
    """What a change brings about, as shares of the knives that this one may be; as in `Judged`."""

    lands: float
    overshoots: float
    warns: float
    meets: float


def judged(aims: Sequence[Aim], before: Solved, after: Solved) -> Judged:
    """Which knives land, overshoot or have a new warning.

    Parameters
    ----------
    aims : sequence of Aim
    before, after : Solved
        The same knives, with the results that the aims are about.

    Returns
    -------
    Judged
        A result overshoots where it has moved farther beyond an end of its band; what was true and is wanted so, where
        it is lost. `snaps` is a trait, which no report calls unsound, and counts as no warning here either.
    """
    inside = np.all([aim.miss(after.results[aim.name]) == 0 for aim in aims], axis=0)
    past = np.any([_past(aim, before.results[aim.name], after.results[aim.name]) for aim in aims], axis=0)
    new, barred = _warned(before, after)
    sound = ~np.any([after.flags[flag] for flag in UNSOUND], axis=0)
    return Judged(*(np.asarray(part) for part in (inside & sound, past, new, inside & ~barred)))


def _warned(before: Solved, after: Solved) -> tuple[Truth, Truth]:
    """Knives with a new warning; and with them those of a detent that does not work."""
    new = np.any([after.flags[flag] & ~before.flags[flag] for flag in UNSOUND], axis=0)
    return np.asarray(new), np.asarray(new | np.any([after.flags[flag] for flag in FATAL], axis=0))


def _past(aim: Aim, own: Values, values: Values) -> Truth:
    if aim.truth is not None:
        return np.asarray(((own > 0) == aim.truth) & ((values > 0) != aim.truth) & np.isfinite(own))
    return np.asarray(((values > aim.high) & ~(values <= own)) | ((values < aim.low) & ~(values >= own)))


def results_of(aims: Sequence[Aim]) -> tuple[str, ...]:
    """Names of the results that the aims are about, those by which truths are graded among them.

    Parameters
    ----------
    aims : sequence of Aim
    """
    names = [aim.name for aim in aims]
    return tuple(dict.fromkeys([*names, *(SPARES[name] for name in names if name in SPARES)]))


def solved_after(sample: Sample, before: Solved, aims: Sequence[Aim], columns: Columns) -> Solved:
    """Knives after a change, with what `judged` needs to know.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with the results that the aims are about.
    aims : sequence of Aim
    columns : dict of str to array, shape (n,)

    Returns
    -------
    Solved
        The blade moves only where it can still land or be lost; of the others a wanted truth is given as missed, and
        what is no truth as NaN.
    """
    moved = [aim for aim in aims if aim.name in MOVING]
    still = [aim for aim in aims if aim.name not in MOVING]
    after = sample.solve(columns, tuple(aim.name for aim in still) or _LITTLE)
    if not moved:
        return after
    _, barred = _warned(before, after)
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


def _may_be_lost(aim: Aim, own: Values) -> Truth:
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


def chances(
    sample: Sample, before: Solved, aims: Sequence[Aim], moves: Sequence[Move], values: Sequence[float]
) -> Chances:
    """Chances of moves together, each at one amount.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand, with the results that the aims are about.
    aims : sequence of Aim
    moves : sequence of Move
        None: the knives as they stand.
    values : sequence of float
        Where each ends on the sample's build [SI].
    """
    columns = carried_out(sample, moves, values)
    after = solved_after(sample, before, aims, columns) if columns else before
    return shares(judged(aims, before, after))


def shares(found: Judged) -> Chances:
    """Shares of knives that are judged.

    Parameters
    ----------
    found : Judged
    """
    return Chances(*(float(np.mean(part)) for part in found))


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


def _range(own: Values, values: Values) -> tuple[float, float]:
    """Range of the change of a result over its own value, of nine knives in ten."""
    known = np.isfinite(own) & np.isfinite(values) & (own != 0)
    if not np.any(known):
        return math.nan, math.nan
    change = (values[known] - own[known]) / np.abs(own[known])
    low, high = np.quantile(change, [0.05, 0.95])
    return float(low), float(high)
