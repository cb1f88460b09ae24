"""Solves moves on the kernel: distance to the aims, side effects, and the best amount of each move or pair.

Best amounts by grid search with successive refinement; `advise` ranks the trials.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.aims import UNTRUE, Aim, Values
from detentsim.analysis.in_hand.advise.solved import Solved, Trial
from detentsim.analysis.in_hand.advise.thresholds import NOTICED
from detentsim.analysis.results import in_unit
from detentsim.knife.outcomes import FATAL, RESULTS, UNSOUND
from detentsim.knife.record.fields import assemble
from detentsim.knife.target.target import FELT
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Truth

POINTS, FINER, ROUNDS = 61, 21, 3

PAIR_POINTS, PAIRED = 17, 7

# Points of the grid about a pair's best amounts, and of a line through them.
AROUND, ALONG = 33, 241


class Trials:
    """Plain numbers of a build and its aims; solves changed designs against them."""

    def __init__(self, numbers: Plain, aims: Sequence[Aim]) -> None:
        self.numbers, self.aims = numbers, tuple(aims)
        self.names = tuple(dict.fromkeys([*(aim.name for aim in aims), *NOTICED]))
        self.base = self.solve({})

    def solve(self, columns: Columns, names: Sequence[str] | None = None) -> Solved:
        """Results and flags of designs with some numbers in place of the build's own.

        Parameters
        ----------
        columns : dict of str to array
            By dotted name, shape (n,).
        names : sequence of str, optional
            Results to give; aims and noticed results by default.
        """
        response = respond(assemble({**self.numbers, **columns}), tuple(names or self.names))
        known = {name: np.atleast_1d(in_unit(name, value)) for name, value in response.results.items()}
        return Solved(known, {name: np.atleast_1d(flag) for name, flag in response.flags.items()})

    def miss(self, solved: Solved) -> Values:
        """Root sum of squares of the distances to all aims, in hand-steps, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        squares = [aim.miss(solved.results[aim.name]) ** 2 for aim in self.aims]
        return np.asarray(np.sqrt(np.sum(squares, axis=0)))

    def margin(self, solved: Solved) -> Values:
        """Margin inside the tightest aim, in hand-steps, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        return np.asarray(np.min([aim.margin(solved.results[aim.name]) for aim in self.aims], axis=0))

    def raised(self, solved: Solved) -> Truth:
        """Mask of new or fatal flags, shape (n, flags of `UNSOUND`).

        Parameters
        ----------
        solved : Solved
        """
        return np.stack([solved.flags[f] & (~self.base.flags[f][0] | (f in FATAL)) for f in UNSOUND], axis=-1)

    def side_effects(self, solved: Solved) -> Values:
        """Sum of the changes of noticed results that are no aims, in hand-steps, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        wanted = {aim.name for aim in self.aims}
        return np.asarray(np.sum([self.steps(name, solved) for name in NOTICED if name not in wanted], axis=0))

    def steps(self, name: str, solved: Solved) -> Values:
        """Absolute change of one result, in hand-steps, shape (n,).

        Parameters
        ----------
        name : str
        solved : Solved
        """
        own, values = self.base.results[name][0], solved.results[name]
        if RESULTS[name].is_truth:
            return np.where((values == own) | np.isnan(own), 0.0, UNTRUE)
        scale = FELT * max(abs(own) if np.isfinite(own) else 0.0, 1e-6)
        known = np.isfinite(values) & np.isfinite(own)
        return np.where(known, np.abs(values - own) / scale, UNTRUE if np.isfinite(own) else 0.0)

    def best(self, move: Move) -> Trial:
        """Move at the amount that meets the aims best; the smallest amount where several do.

        Parameters
        ----------
        move : Move
        """
        if move.only:
            values = np.array(move.only)
            return self._chosen(move, values, self.solve(move.columns(values)))
        values = np.union1d(np.linspace(move.low, move.high, POINTS), [move.start])
        for _ in range(ROUNDS):
            solved = self.solve(move.columns(values))
            at = self._pick(move, values, solved)
            ends = _ends(self.reaches(solved), at)
            values = np.unique(
                np.concatenate([values, _near(values, at, FINER), *(_near(values, i, FINER) for i in ends)])
            )
        return self._chosen(move, values, self.solve(move.columns(values)))

    def reaches(self, solved: Solved) -> Truth:
        """Mask of designs that meet all aims and raise no new flag, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        return np.asarray((self.miss(solved) == 0) & ~np.any(self.raised(solved), axis=-1))

    def _pick(self, move: Move, values: Values, solved: Solved) -> int:
        """Index of the best design: a change, sound, least miss, most margin in feel and at the bench, least amount."""
        near = move.near or np.inf
        rooms = _rooms(values, self.reaches(solved)) / near if move.near else np.full(values.shape, np.inf)
        amounts = np.abs(values - move.start)
        none = amounts <= 1e-9 * max(abs(move.start), move.near)
        return self._least(amounts, none, np.minimum(self.margin(solved), rooms), solved)

    def _least(self, amounts: Values, none: Truth, merit: Values, solved: Solved) -> int:
        miss, sound = self.miss(solved), ~np.any(self.raised(solved), axis=-1)
        keys = (amounts, -np.round(merit, 3), np.round(miss, 6), miss > 0, ~sound, none)
        return int(np.lexsort(keys)[0])

    def _chosen(self, move: Move, values: Values, solved: Solved) -> Trial:
        at = self._pick(move, values, solved)
        raised, miss, reaches = self.raised(solved), self.miss(solved), self.reaches(solved)
        in_the_way = raised[(miss == 0) & ~reaches] if not np.any(reaches) else raised[[at]]
        flags = tuple(f for f, hit in zip(UNSOUND, np.any(in_the_way, axis=0), strict=True) if hit)
        room = _rooms(values, reaches)[at] / move.near if move.near else np.inf
        return Trial(
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
        """Aims that are met now and fail at every sound amount that meets the others."""
        holds = [float(aim.miss(self.base.results[aim.name])[0]) == 0 for aim in self.aims]
        missed = [aim for aim, held in zip(self.aims, holds, strict=True) if not held]
        kept = [aim for aim, held in zip(self.aims, holds, strict=True) if held]
        there = ~np.any(raised, axis=-1)
        for aim in missed:
            there &= aim.miss(solved.results[aim.name]) == 0
        if not np.any(there):
            return ()
        return tuple(aim.name for aim in kept if np.all(aim.miss(solved.results[aim.name])[there] > 0))

    def best_pair(self, first: Move, second: Move) -> Trial:
        """Two moves together at their best amounts.

        Parameters
        ----------
        first, second : Move
            Along scales.
        """
        two = (first, second)
        ends = [(m.low, m.high) for m in two]
        for _ in range(ROUNDS):
            axes = [np.linspace(*end, PAIR_POINTS) for end in ends]
            values = self._pick_pair(two, axes, None)
            ends = [_about(axis, value) for axis, value in zip(axes, values, strict=True)]
        wide = [np.clip((v - 2 * m.near, v + 2 * m.near), m.low, m.high) for m, v in zip(two, values, strict=True)]
        around = [
            np.union1d(np.linspace(float(end[0]), float(end[1]), AROUND), [v])
            for end, v in zip(wide, values, strict=True)
        ]
        return self._paired(two, self._pick_pair(two, around, around))

    def _pick_pair(self, two: tuple[Move, Move], axes: Sequence[Values], room: Sequence[Values] | None) -> Values:
        """Best values of two moves on a grid; `room` gives the axes along which room at the bench counts too."""
        first, second = two
        grids = np.meshgrid(*axes, indexing="ij")
        one, other = (grid.ravel() for grid in grids)
        solved = self.solve(first.columns(one) | second.columns(other))
        merit = self.margin(solved)
        if room is not None:
            reaches = self.reaches(solved).reshape(grids[0].shape)
            down = np.stack([_rooms(axes[0], line) for line in reaches.T], axis=1) / first.near
            along = np.stack([_rooms(axes[1], line) for line in reaches]) / second.near
            merit = np.minimum(merit, np.minimum(down, along).ravel())
        amounts = np.hypot((one - first.start) / first.near, (other - second.start) / second.near)
        at = self._least(amounts, amounts <= 1e-6, merit, solved)
        return np.array([one[at], other[at]])

    def _paired(self, two: tuple[Move, Move], values: Values) -> Trial:
        first, second = two
        solved = self.solve(first.columns(values[:1]) | second.columns(values[1:]))
        raised, miss = self.raised(solved)[0], float(self.miss(solved)[0])
        flags = tuple(f for f, hit in zip(UNSOUND, raised, strict=True) if hit)
        room = min(self._room_along(two, values, 0), self._room_along(two, values, 1)) if miss == 0 else 0.0
        margin, ends = float(self.margin(solved)[0]), (float(values[0]), float(values[1]))
        return Trial(two, ends, miss, margin, not flags, miss == 0, flags, (), room)

    def _room_along(self, two: tuple[Move, Move], values: Values, i: int) -> float:
        """Room of one move of a pair with the other held."""
        move, held = two[i], two[1 - i]
        line = np.union1d(np.linspace(move.low, move.high, ALONG), [values[i]])
        solved = self.solve(move.columns(line) | held.columns(np.full(line.shape, values[1 - i])))
        at = int(np.argmin(np.abs(line - values[i])))
        return float(_rooms(line, self.reaches(solved))[at] / move.near)

    def pairs(self, tries: Sequence[Trial]) -> tuple[Trial, ...]:
        """Pairs of the moves that help most by themselves, each pair at its best amounts.

        Parameters
        ----------
        tries : sequence of Trial
            Single moves at their best.
        """
        scales = [t.moves[0] for t in sorted(tries, key=lambda t: t.miss) if t.moves[0].near]
        some = scales[:PAIRED]
        return tuple(self.best_pair(a, b) for a, b in combinations(some, 2) if not _clash(a, b))


def _clash(first: Move, second: Move) -> bool:
    """Whether two moves change the same input."""
    probe = np.zeros(1)
    return not set(first.columns(probe)).isdisjoint(second.columns(probe))


def _near(values: Values, at: int, count: int) -> Values:
    """Finer values between the neighbours of one value."""
    return np.linspace(values[max(at - 1, 0)], values[min(at + 1, values.size - 1)], count)


def _ends(reaches: Truth, at: int) -> tuple[int, ...]:
    """Indices just outside the run of reaching values about one; none where that one does not reach."""
    missed = np.flatnonzero(~reaches)
    if not reaches[at]:
        return ()
    return (*missed[missed < at][-1:].tolist(), *missed[missed > at][:1].tolist())


def _about(axis: Values, value: float) -> tuple[float, float]:
    step = axis[1] - axis[0]
    return float(max(value - step, axis[0])), float(min(value + step, axis[-1]))


def _rooms(values: Values, reaches: Truth) -> Values:
    """Distance from each value to the nearer end of its run of reaching values; infinite to an end of the range."""
    places = np.arange(values.size)
    missed = np.flatnonzero(~reaches)
    after = np.append(missed, values.size)[np.searchsorted(missed, places)]
    before = np.insert(missed, 0, -1)[np.searchsorted(missed, places)]
    below = np.where(before < 0, np.inf, values - values[np.minimum(before + 1, values.size - 1)])
    above = np.where(after == values.size, np.inf, values[after - 1] - values)
    return np.asarray(np.where(reaches, np.minimum(below, above), 0.0))
