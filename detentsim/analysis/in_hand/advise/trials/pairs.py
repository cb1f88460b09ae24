"""Best amounts of two moves together: a coarse grid of every pair, then finer grids of the pairs that may still win."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.trials.settled import settled
from detentsim.analysis.in_hand.advise.trials.single import least, rooms
from detentsim.analysis.in_hand.advise.trials.solved import Trial
from detentsim.knife.outcomes import UNSOUND

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.solved import Search
    from detentsim.analysis.in_hand.advise.trials.trials import Trials
    from detentsim.mechanics.record import Array, Truth

    Two = tuple[Move, Move]

# Points along each axis of the coarse grid and of a finer one, of the grid about a pair's best amounts, and of a line.
COARSE, FINER, AROUND, ALONG = 13, 9, 33, 121

# Where blades move: points about a pair's best amounts, and designs of the coarse grid that are moved in one round.
NEARBY, MOVED = 17, 16

# Rounds of finer grids.
ROUNDS = 2

# Moves that cut or press paired at most, the nearest to the aims first; pairs refined.
PAIRED, KEPT = 8, 5


def reaching_pairs(bench: Trials, tries: Sequence[Trial], whole: bool = False) -> list[Trial]:
    """Pairs that meet the aims: of moves that can be undone; where none of these does surely, of others too.

    Parameters
    ----------
    bench : Trials
    tries : sequence of Trial
        Single moves at their best.
    whole : bool
        Whether others are tried in any case.
    """
    soft, mixed = _twos(tries)
    found = [t for t in _refined(bench, soft) if t.reaches]
    if not whole and (any(t.room >= 1 for t in found) or any(t.reaches for t in tries)):
        return found
    return found + [t for t in _refined(bench, mixed) if t.reaches]


def nearest_pairs(bench: Trials, tries: Sequence[Trial]) -> list[Trial]:
    """Pairs that come nearest to the aims, whether they meet them or not.

    Parameters
    ----------
    bench : Trials
    tries : sequence of Trial
        Single moves at their best.
    """
    return [t for twos in _twos(tries) for t in _refined(bench, twos)]


def _twos(tries: Sequence[Trial]) -> tuple[list[Two], list[Two]]:
    """Pairs of moves that can be undone, and pairs with one that cannot."""
    ordered = [t.moves[0] for t in sorted(tries, key=lambda t: t.miss)]
    soft = [move for move in ordered if move.undo]
    hard = [move for move in ordered if not move.undo][:PAIRED]
    mixed = [(a, b) for a, b in combinations([*soft, *hard], 2) if not (a.undo and b.undo)]
    return list(combinations(soft, 2)), mixed


def _refined(bench: Trials, twos: Sequence[Two]) -> list[Trial]:
    """The pairs that promise most on a coarse grid, each at its best amounts."""
    able = [two for two in twos if not _clash(*two)]
    coarse = bench.all_of([_coarse(bench, two) for two in able])
    kept = sorted(coarse, key=lambda t: (not t.sound, t.miss, -t.margin))[:KEPT]
    return bench.all_of([pair(bench, t.moves[0], t.moves[1], t) for t in kept])


def _clash(first: Move, second: Move) -> bool:
    """Whether two moves change the same input."""
    return not set(first.inputs).isdisjoint(second.inputs)


def _coarse(bench: Trials, two: Two) -> Search:
    """Search a pair's whole range on a coarse grid."""
    axes = [_whole(move, COARSE) for move in two]
    return (yield from _best_of(bench, two, axes, most=MOVED))


def pair(bench: Trials, first: Move, second: Move, start: Trial | None = None) -> Search:
    """Search for the best amounts of two moves together.

    Parameters
    ----------
    bench : Trials
    first, second : Move
    start : Trial, optional
        The best of their coarse grid, where that is solved already.

    Yields
    ------
    Ask
        Designs to solve.
    """
    two = (first, second)
    axes = [_whole(move, COARSE) for move in two]
    t = start or (yield from _best_of(bench, two, axes))
    for _ in range(ROUNDS):
        axes = [_about(move, axis, v) for move, axis, v in zip(two, axes, t.values, strict=True)]
        t = yield from _best_of(bench, two, axes)
    if not t.reaches:
        return t
    return (yield from _best_room(bench, two, t.values))


def _whole(move: Move, count: int) -> Array:
    """Values over the whole range; what can be bought as it is."""
    return np.array(sorted(move.only)) if move.only else np.linspace(move.low, move.high, count)


def _about(move: Move, axis: Array, value: float) -> Array:
    """Finer values about one, as far as the neighbours on the axis."""
    if move.only:
        return axis
    step = axis[1] - axis[0]
    return np.linspace(max(value - step, axis[0]), min(value + step, axis[-1]), FINER)


def _best_of(bench: Trials, two: Two, axes: Sequence[Array], by_room: bool = False, most: int | None = None) -> Search:
    """Search the grid of two axes; `by_room` counts the room along both axes too."""
    (first, second), shape = two, tuple(axis.size for axis in axes)
    one, other = (grid.ravel() for grid in np.meshgrid(*axes, indexing="ij"))
    amounts = np.hypot(*(_amount(m, v) for m, v in zip(two, (one, other), strict=True)))
    none = np.minimum(*(_amount(m, v) for m, v in zip(two, (one, other), strict=True))) <= 1e-6
    solved = yield from settled(bench, first.columns(one) | second.columns(other), none, most=most)
    merit = bench.margin(solved)
    if by_room:
        reaches = bench.reaches(solved).reshape(shape)
        down = np.stack([_room(first, axes[0], line) for line in reaches.T], axis=1)
        along = np.stack([_room(second, axes[1], line) for line in reaches])
        merit = np.minimum(merit, np.minimum(down, along).ravel())
    at = least(bench, solved, amounts, none, merit)
    raised, miss = bench.raised(solved)[at], float(bench.miss(solved)[at])
    flags = tuple(f for f, hit in zip(UNSOUND, raised, strict=True) if hit)
    margin, ends = float(bench.margin(solved)[at]), (float(one[at]), float(other[at]))
    return Trial(two, ends, miss, margin, not flags, miss == 0, flags, (), 0.0)


def _room(move: Move, axis: Array, reaches: Truth) -> Array:
    """Room along an axis, in errors of a careful bench; infinite for what is bought."""
    return rooms(axis, reaches) / move.near if move.near else np.full(axis.shape, np.inf)


def _amount(move: Move, values: Array) -> Array:
    """How far a move goes, in errors of a careful bench; one step for what is bought."""
    return np.abs(values - move.start) / move.near if move.near else np.ones_like(values)


def _best_room(bench: Trials, two: Two, values: tuple[float, ...]) -> Search:
    """Search about the best amounts for those with most room, and measure that room along each move's whole range."""
    count = NEARBY if bench.moving else AROUND
    around = [_window(move, value, count) for move, value in zip(two, values, strict=True)]
    t = yield from _best_of(bench, two, around, by_room=True)
    lines = [np.union1d(_whole(move, ALONG), [v]) for move, v in zip(two, t.values, strict=True)]
    sizes = [line.size for line in lines]
    one = np.concatenate([lines[0], np.full(sizes[1], t.values[0])])
    other = np.concatenate([np.full(sizes[0], t.values[1]), lines[1]])
    solved = yield from settled(bench, two[0].columns(one) | two[1].columns(other), np.ones(one.shape, bool))
    parts = np.split(bench.reaches(solved), [sizes[0]])
    found = (
        float(_room(move, line, part)[np.argmin(np.abs(line - v))])
        for move, line, part, v in zip(two, lines, parts, t.values, strict=True)
    )
    return replace(t, room=min(found))


def _window(move: Move, value: float, count: int) -> Array:
    """Values within twice the error of a careful bench about one; what can be bought as it is."""
    if move.only:
        return np.array([value])
    low, high = np.clip((value - 2 * move.near, value + 2 * move.near), move.low, move.high)
    return np.union1d(np.linspace(float(low), float(high), count), [value])
