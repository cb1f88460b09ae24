"""Moves tried on the kernel: how far each gets to what is wanted, and what else it changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from detentsim.build.outcomes import RESULTS
from detentsim.build.record import Plain, assemble
from detentsim.mechanics.record import Truth
from detentsim.mechanics.response import ALL_NAMES, respond

from .aims import Aim, Values
from .feed import FELT
from .moves import Columns, Move
from .numbers import in_unit

# What a hand or an eye notices beside what is wanted; changes of these are a move's side effects.
NOTICED = ("breakout_force", "drag_force", "draw_torque", "let_go_angle", "falls_shut")
# Flags that a move must not raise.
UNSOUND = (
    "floats",
    "hangs_loose",
    "bar_on_tang",
    "ball_on_floor",
    "locks_solid",
    "stands_proud",
    "loses_bend",
    "dents_tang",
)
POINTS, FINER, ROUNDS = 61, 21, 2
PAIR_POINTS, PAIRED = 17, 7


@dataclass(frozen=True, eq=False)
class Solved:
    """Designs along one axis: results in their units (truths as 0 and 1) and flags."""

    results: dict[str, Values]
    flags: dict[str, Truth]


@dataclass(frozen=True)
class Try:
    """One move, or a pair, at its best.

    Attributes
    ----------
    moves : tuple of Move
    values : tuple of float
        Where each ends [SI].
    miss : float
        Hand-steps outside what is wanted; 0 reaches it.
    margin : float
        Hand-steps inside it.
    sound : bool
        Whether it raises no flag that was not raised.
    would : bool
        Whether it would reach what is wanted if it did not raise one.
    raised : tuple of str
        Flags in its way, or that it raises.
    loses : tuple of str
        Wanted results that the build has and that would be lost where the others are reached.
    room : float
        How far off it may end with what is wanted still reached, over what a careful bench misses by; infinite for what
        is bought.
    """

    moves: tuple[Move, ...]
    values: tuple[float, ...]
    miss: float
    margin: float
    sound: bool
    would: bool
    raised: tuple[str, ...]
    loses: tuple[str, ...]
    room: float


class Bench:
    """A build's numbers, with what is wanted of them."""

    def __init__(self, numbers: Plain, aims: Sequence[Aim]) -> None:
        self.numbers, self.aims = numbers, tuple(aims)
        self.names = tuple(dict.fromkeys([*(aim.name for aim in aims), *NOTICED]))
        self.base = self.solve({})

    def solve(self, columns: Columns, names: Sequence[str] | None = None) -> Solved:
        """Designs with some numbers in place of the build's own.

        Parameters
        ----------
        columns : dict of str to array
            By dotted name, shape (n,).
        names : sequence of str, optional
            Results to give; what is wanted and noticed by default.
        """
        response = respond(assemble({**self.numbers, **columns}), tuple(names or self.names))
        known = {name: np.atleast_1d(in_unit(name, value)) for name, value in response.results.items()}
        return Solved(known, {name: np.atleast_1d(flag) for name, flag in response.flags.items()})

    def miss(self, solved: Solved) -> Values:
        """Hand-steps outside what is wanted, added in squares."""
        squares = [aim.miss(solved.results[aim.name]) ** 2 for aim in self.aims]
        return np.asarray(np.sqrt(np.sum(squares, axis=0)))

    def margin(self, solved: Solved) -> Values:
        """Hand-steps inside, of the tightest aim."""
        return np.asarray(np.min([aim.margin(solved.results[aim.name]) for aim in self.aims], axis=0))

    def raised(self, solved: Solved) -> Truth:
        """Where a flag is raised that the build has not; shape (n, flags of `UNSOUND`)."""
        return np.stack([solved.flags[f] & ~self.base.flags[f][0] for f in UNSOUND], axis=-1)

    def side_effects(self, solved: Solved) -> Values:
        """Hand-steps by which what is noticed changes beside what is wanted."""
        wanted = {aim.name for aim in self.aims}
        return np.asarray(np.sum([self.steps(name, solved) for name in NOTICED if name not in wanted], axis=0))

    def steps(self, name: str, solved: Solved) -> Values:
        """Change of one result in hand-steps, without sign."""
        own, values = self.base.results[name][0], solved.results[name]
        if RESULTS[name].is_truth:
            return np.where(values == own, 0.0, 5.0)
        scale = FELT * max(abs(own) if np.isfinite(own) else 0.0, 1e-6)
        known = np.isfinite(values) & np.isfinite(own)
        return np.where(known, np.abs(values - own) / scale, 5.0 if np.isfinite(own) else 0.0)

    def best(self, move: Move) -> Try:
        """A move at the amount that meets what is wanted best; the smallest amount where several do.

        Parameters
        ----------
        move : Move
        """
        if move.only:
            values = np.array(move.only)
            solved = self.solve(move.columns(values))
            return self._chosen(move, values, solved)
        values = _along(move, move.low, move.high, POINTS)
        solved = self.solve(move.columns(values))
        at = self._pick(values - move.start, solved)
        for _ in range(ROUNDS):
            low, high = values[max(at - 1, 0)], values[min(at + 1, values.size - 1)]
            finer = np.union1d(values, _along(move, low, high, FINER))
            solved, values = self.solve(move.columns(finer)), finer
            at = self._pick(values - move.start, solved)
        return self._chosen(move, values, solved)

    def _pick(self, amounts: Values, solved: Solved) -> int:
        """Place of the best design: sound, least miss, most margin, least amount."""
        sound = ~np.any(self.raised(solved), axis=-1)
        keys = (np.abs(amounts), -np.round(self.margin(solved), 3), np.round(self.miss(solved), 6), ~sound)
        return int(np.lexsort(keys)[0])

    def _chosen(self, move: Move, values: Values, solved: Solved) -> Try:
        at = self._pick(values - move.start, solved)
        raised, miss = self.raised(solved), self.miss(solved)
        reaches = (miss == 0) & ~np.any(raised, axis=-1)
        in_the_way = raised[(miss == 0) & ~reaches] if not np.any(reaches) else raised[[at]]
        flags = tuple(f for f, hit in zip(UNSOUND, np.any(in_the_way, axis=0), strict=True) if hit)
        room = _room(values, reaches, at) / move.near if move.near else np.inf
        return Try(
            (move,),
            (float(values[at]),),
            float(miss[at]),
            float(self.margin(solved)[at]),
            not np.any(raised[at]),
            bool(np.any(miss == 0)),
            flags,
            () if np.any(reaches) else self._lost(solved, raised),
            float(room) if reaches[at] else 0.0,
        )

    def _lost(self, solved: Solved, raised: Truth) -> tuple[str, ...]:
        """Aims that hold now and fail wherever a sound amount reaches the others."""
        holds = [float(aim.miss(self.base.results[aim.name])[0]) == 0 for aim in self.aims]
        missed = [aim for aim, held in zip(self.aims, holds, strict=True) if not held]
        kept = [aim for aim, held in zip(self.aims, holds, strict=True) if held]
        there = ~np.any(raised, axis=-1)
        for aim in missed:
            there &= aim.miss(solved.results[aim.name]) == 0
        if not np.any(there):
            return ()
        return tuple(aim.name for aim in kept if np.all(aim.miss(solved.results[aim.name])[there] > 0))

    def best_pair(self, first: Move, second: Move) -> Try:
        """Two moves together at their best amounts.

        Parameters
        ----------
        first, second : Move
            Along scales.
        """
        ends = [(m.low, m.high) for m in (first, second)]
        for _ in range(ROUNDS + 1):
            axes = [_along(m, *end, PAIR_POINTS) for m, end in zip((first, second), ends, strict=True)]
            one, two = (grid.ravel() for grid in np.meshgrid(*axes, indexing="ij"))
            solved = self.solve(first.columns(one) | second.columns(two))
            amounts = np.hypot((one - first.start) / first.near, (two - second.start) / second.near)
            at = self._pick(amounts, solved)
            ends = [_about(axis, value) for axis, value in zip(axes, (one[at], two[at]), strict=True)]
        raised, miss = self.raised(solved), self.miss(solved)
        reaches = ((miss == 0) & ~np.any(raised, axis=-1)).reshape(PAIR_POINTS, PAIR_POINTS)
        i, j = divmod(at, PAIR_POINTS)
        rooms = (_room(axes[0], reaches[:, j], i) / first.near, _room(axes[1], reaches[i], j) / second.near)
        flags = tuple(f for f, hit in zip(UNSOUND, raised[at], strict=True) if hit)
        values = float(one[at]), float(two[at])
        found = float(miss[at]), float(self.margin(solved)[at])
        return Try((first, second), values, *found, not flags, bool(np.any(miss == 0)), flags, (), float(min(rooms)))

    def pairs(self, tries: Sequence[Try]) -> tuple[Try, ...]:
        """Pairs of the moves that help most by themselves, each pair at its best.

        Parameters
        ----------
        tries : sequence of Try
            Single moves at their best.
        """
        scales = [t.moves[0] for t in sorted(tries, key=lambda t: t.miss) if t.moves[0].near]
        some = scales[:PAIRED]
        return tuple(self.best_pair(a, b) for a, b in combinations(some, 2) if not _clash(a, b))


def _clash(first: Move, second: Move) -> bool:
    """Whether two moves turn on one input."""
    probe = np.zeros(1)
    return not set(first.columns(probe)).isdisjoint(second.columns(probe))


def _along(move: Move, low: float, high: float, count: int) -> Values:
    """Values between two ends, the build's own left out."""
    values = np.linspace(low, high, count)
    return (
        values[np.abs(values - move.start) > 1e-9 * max(abs(move.start), move.near)] if count != PAIR_POINTS else values
    )


def _about(axis: Values, value: float) -> tuple[float, float]:
    step = axis[1] - axis[0]
    return float(max(value - step, axis[0])), float(min(value + step, axis[-1]))


def _room(values: Values, reaches: Truth, at: int) -> float:
    """How far from one value the run of values that reach goes, to its nearer end that was tried."""
    if not reaches[at]:
        return 0.0
    first = last = at
    while first > 0 and reaches[first - 1]:
        first -= 1
    while last < reaches.size - 1 and reaches[last + 1]:
        last += 1
    below = values[at] - values[first] if first > 0 else np.inf
    above = values[last] - values[at] if last < reaches.size - 1 else np.inf
    return float(min(below, above))


def everything(bench: Bench, columns: Mapping[str, npt.ArrayLike]) -> Solved:
    """One design with every result there is."""
    return bench.solve({name: np.atleast_1d(np.asarray(value, float)) for name, value in columns.items()}, ALL_NAMES)
