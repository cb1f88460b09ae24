"""Best amount of one move: a grid along its range, refined about the best value and the ends of what meets."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.trials.settled import settled
from detentsim.analysis.in_hand.advise.trials.solved import Trial
from detentsim.knife.outcomes import UNSOUND

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.solved import Search, Solved
    from detentsim.analysis.in_hand.advise.trials.trials import Trials
    from detentsim.mechanics.record import Array, Truth

# Points along a move, about the best and the ends of what reaches, and rounds of these; fewer where blades move.
POINTS, FINER, ROUNDS = 61, 21, 3
FEWER_POINTS, FEWER_FINER = 31, 11

# Every n-th point is looked at for what a move could do if the other aims were dropped.
LOOKED = 3


def single(bench: Trials, move: Move) -> Search:
    """Search for the amount of a move that meets the aims best; the smallest amount where several do.

    Parameters
    ----------
    bench : Trials
    move : Move

    Yields
    ------
    Ask
        Designs to solve; those that are solved already are not asked for again.
    """
    points, finer = (FEWER_POINTS, FEWER_FINER) if bench.moving else (POINTS, FINER)
    values = np.array(move.only) if move.only else np.union1d(np.linspace(move.low, move.high, points), [move.start])
    looked = np.arange(values.size) % LOOKED == 0
    solved = yield from settled(bench, move.columns(values), _none(move, values), looked)
    for _ in range(0 if move.only else ROUNDS):
        new = _finer(bench, move, values, solved, finer)
        if new.size:
            more = yield from settled(bench, move.columns(new), _none(move, new))
            both, order = np.concatenate([values, new]), np.argsort(np.concatenate([values, new]))
            values, solved = both[order], solved.joined(more).part(order)
    return _chosen(bench, move, values, solved)


def _none(move: Move, values: Array) -> Truth:
    """Values at which nothing is changed."""
    return np.asarray(np.abs(values - move.start) <= 1e-9 * max(abs(move.start), move.near))


def _finer(bench: Trials, move: Move, values: Array, solved: Solved, count: int) -> Array:
    """New values about the best one and about the ends of the run of reaching values that it lies in."""
    at = _pick(bench, move, values, solved)
    places = (at, *_ends(bench.reaches(solved), at))
    return np.setdiff1d(np.concatenate([_near(values, i, count) for i in places]), values)


def _pick(bench: Trials, move: Move, values: Array, solved: Solved) -> int:
    """Index of the best design: a change, sound, least miss, most margin in feel and at the bench, least amount."""
    room = rooms(values, bench.reaches(solved)) / move.near if move.near else np.full(values.shape, np.inf)
    amounts = np.abs(values - move.start)
    return least(bench, solved, amounts, _none(move, values), np.minimum(bench.margin(solved), room))


def least(bench: Trials, solved: Solved, amounts: Array, none: Truth, merit: Array) -> int:
    """Index of the best design: a change, sound, least miss, most merit, least amount.

    Parameters
    ----------
    bench : Trials
    solved : Solved
    amounts : array, shape (n,)
    none : array of bool, shape (n,)
        Designs that change nothing.
    merit : array, shape (n,)
    """
    miss, sound = bench.miss(solved), ~np.any(bench.raised(solved), axis=-1)
    keys = (amounts, -np.round(merit, 3), np.round(miss, 6), miss > 0, ~sound, none)
    return int(np.lexsort(keys)[0])


def _chosen(bench: Trials, move: Move, values: Array, solved: Solved) -> Trial:
    at = _pick(bench, move, values, solved)
    raised, miss, reaches = bench.raised(solved), bench.miss(solved), bench.reaches(solved)
    in_the_way = raised[(miss == 0) & ~reaches] if not np.any(reaches) else raised[[at]]
    flags = tuple(f for f, hit in zip(UNSOUND, np.any(in_the_way, axis=0), strict=True) if hit)
    room = rooms(values, reaches)[at] / move.near if move.near else np.inf
    return Trial(
        (move,),
        (float(values[at]),),
        float(miss[at]),
        float(bench.margin(solved)[at]),
        not np.any(raised[at]),
        bool(np.any(miss == 0)),
        flags,
        () if np.any(reaches) else _lost(bench, solved, raised),
        float(room) if reaches[at] else 0.0,
    )


def _lost(bench: Trials, solved: Solved, raised: Truth) -> tuple[str, ...]:
    """Aims that are met now and fail at every sound amount that meets the others."""
    holds = [float(aim.distance(bench.base.results)[0]) == 0 for aim in bench.aims]
    missed = [aim for aim, held in zip(bench.aims, holds, strict=True) if not held]
    kept = [aim for aim, held in zip(bench.aims, holds, strict=True) if held]
    there = ~np.any(raised, axis=-1)
    for aim in missed:
        there &= aim.distance(solved.results) == 0
    if not np.any(there):
        return ()
    return tuple(aim.name for aim in kept if np.all(aim.distance(solved.results)[there] > 0))


def _near(values: Array, at: int, count: int) -> Array:
    """Finer values between the neighbours of one value."""
    return np.linspace(values[max(at - 1, 0)], values[min(at + 1, values.size - 1)], count)


def _ends(reaches: Truth, at: int) -> tuple[int, ...]:
    """Indices just outside the run of reaching values about one; none where that one does not reach."""
    missed = np.flatnonzero(~reaches)
    if not reaches[at]:
        return ()
    return (*missed[missed < at][-1:].tolist(), *missed[missed > at][:1].tolist())


def rooms(values: Array, reaches: Truth) -> Array:
    """Distance from each value to the nearer end of its run of reaching values; infinite to an end of the range.

    Parameters
    ----------
    values : array, shape (n,)
        Ascending.
    reaches : array of bool, shape (n,)
    """
    places = np.arange(values.size)
    missed = np.flatnonzero(~reaches)
    after = np.append(missed, values.size)[np.searchsorted(missed, places)]
    before = np.insert(missed, 0, -1)[np.searchsorted(missed, places)]
    below = np.where(before < 0, np.inf, values - values[np.minimum(before + 1, values.size - 1)])
    above = np.where(after == values.size, np.inf, values[after - 1] - values)
    return np.asarray(np.where(reaches, np.minimum(below, above), 0.0))
