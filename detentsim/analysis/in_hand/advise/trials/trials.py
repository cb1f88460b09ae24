"""Trials: changed designs solved on the kernel, with their distance to the aims and their side effects.

Best amounts by grid search with successive refinement, all moves in step; `advise` ranks the trials.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.aims import UNTRUE, Aim, graded, results_for
from detentsim.analysis.in_hand.advise.thresholds import MOVING, NOTICED
from detentsim.analysis.in_hand.advise.trials.single import single
from detentsim.analysis.in_hand.advise.trials.solved import Solved, Trial
from detentsim.analysis.results import in_unit, number
from detentsim.knife.outcomes import FATAL, RESULTS, UNSOUND
from detentsim.knife.record.fields import assemble
from detentsim.knife.target.target import FELT
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.analysis.in_hand.advise.trials.solved import Search
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array, Truth


class Trials:
    """Plain numbers of a build and its aims; solves changed designs against them."""

    def __init__(self, numbers: Plain, aims: Sequence[Aim], watch: Callable[[int], None] | None = None) -> None:
        self.numbers, self.watch, self.names = numbers, watch, results_for(aims)
        self.moving = tuple(name for name in self.names if name in MOVING)
        self.still = tuple(name for name in self.names if name not in MOVING) or NOTICED[:1]
        self.base = self.solve({}, tuple(dict.fromkeys([*self.names, *NOTICED])))
        self.aims = tuple(graded(aim, self.base.first) for aim in aims)
        self.held = tuple(aim.name for aim in self.aims if float(aim.distance(self.base.results)[0]) == 0)

    def solve(self, columns: Columns, names: Sequence[str] | None = None) -> Solved:
        """Results and flags of designs with some numbers in place of the build's own.

        Parameters
        ----------
        columns : dict of str to array
            By dotted name, shape (n,).
        names : sequence of str, optional
            Results to give; those that the aims are about by default.
        """
        response = respond(assemble({**self.numbers, **columns}), tuple(names or self.names))
        known = {name: np.atleast_1d(in_unit(name, value)) for name, value in response.results.items()}
        if self.watch is not None:
            self.watch(next(iter(known.values())).size)
        return Solved(known, {name: np.atleast_1d(flag) for name, flag in response.flags.items()})

    def miss(self, solved: Solved, without: Sequence[str] = ()) -> Array:
        """Root sum of squares of the distances to all aims, in tenths, shape (n,).

        Parameters
        ----------
        solved : Solved
        without : sequence of str
            Results whose aims are left out.
        """
        squares = [aim.distance(solved.results) ** 2 for aim in self.aims if aim.name not in without]
        count = next(iter(solved.flags.values())).shape
        return np.asarray(np.sqrt(np.sum(squares, axis=0))) if squares else np.zeros(count)

    def margin(self, solved: Solved) -> Array:
        """Margin inside the tightest aim, in tenths, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        return np.asarray(np.min([aim.inside(solved.results) for aim in self.aims], axis=0))

    def raised(self, solved: Solved) -> Truth:
        """Mask of new or fatal flags, shape (n, flags of `UNSOUND`).

        Parameters
        ----------
        solved : Solved
        """
        return np.stack([solved.flags[f] & (~self.base.flags[f][0] | (f in FATAL)) for f in UNSOUND], axis=-1)

    def side_effects(self, solved: Solved) -> Array:
        """Sum of the changes of noticed results that are no aims, in tenths, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        wanted = {aim.name for aim in self.aims}
        return np.asarray(np.sum([self.steps(name, solved) for name in NOTICED if name not in wanted], axis=0))

    def steps(self, name: str, solved: Solved) -> Array:
        """Absolute change of one result, in tenths, shape (n,).

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

    def reaches(self, solved: Solved) -> Truth:
        """Mask of designs that meet all aims and raise no new flag, shape (n,).

        Parameters
        ----------
        solved : Solved
        """
        return np.asarray((self.miss(solved) == 0) & ~np.any(self.raised(solved), axis=-1))

    def solve_each(self, parts: Sequence[Columns], names: Sequence[str]) -> list[Solved]:
        """Solve several sets of designs in one call; a number that a set does not vary is the build's own.

        Parameters
        ----------
        parts : sequence of dict of str to array
            As `solve` takes them.
        names : sequence of str
            Results to give.
        """
        if not parts:
            return []
        counts = [next(iter(part.values())).size for part in parts]

        def column(name: str) -> Array:
            pairs, own = zip(parts, counts, strict=True), number(self.numbers, name)
            return np.concatenate([part[name] if name in part else np.full(count, own) for part, count in pairs])

        solved = self.solve({name: column(name) for name in dict.fromkeys(n for part in parts for n in part)}, names)
        return [solved.part(slice(low, high)) for low, high in pairwise(np.cumsum([0, *counts]))]

    def all_of(self, searches: Sequence[Search]) -> list[Trial]:
        """Best trial of each search; what all want of the same results is solved in one call for each round.

        Parameters
        ----------
        searches : sequence of Search
        """
        trials: dict[int, Trial] = {}
        asked = {i: next(search) for i, search in enumerate(searches)}
        while asked:
            answers: dict[int, Solved] = {}
            for names in dict.fromkeys(ask.names for ask in asked.values()):
                columns = {i: ask.columns for i, ask in asked.items() if ask.names == names}
                answers |= dict(zip(columns, self.solve_each(list(columns.values()), names), strict=True))
            asked = {}
            for i, answer in answers.items():
                try:
                    asked[i] = searches[i].send(answer)
                except StopIteration as end:
                    trials[i] = end.value
        return [trials[i] for i in range(len(searches))]

    def best_of(self, moves: Sequence[Move]) -> list[Trial]:
        """Each move at the amount that meets the aims best; the smallest amount where several do.

        Parameters
        ----------
        moves : sequence of Move
        """
        return self.all_of([single(self, move) for move in moves])


def need_aims(aims: object) -> None:
    """Refuse what are no aims, such as a build's targets.

    Parameters
    ----------
    aims : object
        None asks for those of the build's target.

    Raises
    ------
    InputError
    """
    if aims is not None and not (isinstance(aims, tuple) and all(isinstance(one, Aim) for one in aims)):
        text = 'is no tuple of Aim; a target is changed by build.change({"target.drag_force": {"at_most": "2 N"}})'
        raise InputError("aims", aims, f"{shown(aims)} {text}")
