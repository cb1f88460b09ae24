"""Solved designs, the best trial of one move or pair, and searches that run in step to share kernel calls."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from detentsim.analysis.in_hand.advise.aims import Values
    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.mechanics.record import Truth


@dataclass(frozen=True, eq=False)
class Solved:
    """Designs along one axis: results in their units (truths as 0 and 1) and flags."""

    results: dict[str, Values]
    flags: dict[str, Truth]

    @property
    def first(self) -> dict[str, float]:
        """Results of the first design."""
        return {name: float(values[0]) for name, values in self.results.items()}

    def part(self, at: slice | npt.NDArray[np.intp]) -> Solved:
        """Some of the designs.

        Parameters
        ----------
        at : slice or array of int
        """
        results = {name: values[at] for name, values in self.results.items()}
        return Solved(results, {name: hit[at] for name, hit in self.flags.items()})

    def joined(self, more: Solved) -> Solved:
        """These designs followed by others with the same results.

        Parameters
        ----------
        more : Solved
        """
        results = {name: np.concatenate([values, more.results[name]]) for name, values in self.results.items()}
        return Solved(results, {name: np.concatenate([hit, more.flags[name]]) for name, hit in self.flags.items()})


class Ask(NamedTuple):
    """Designs that a search wants solved, and for which results."""

    columns: Columns
    names: tuple[str, ...]


@dataclass(frozen=True)
class Trial:
    """One move, or a pair, at its best amount.

    Attributes
    ----------
    moves : tuple of Move
    values : tuple of float
        Final value of each move's input [SI].
    miss : float
        Hand-steps outside the aims; 0 meets them.
    margin : float
        Hand-steps inside the tightest aim.
    sound : bool
        Whether it raises no new flag.
    would : bool
        Whether it would meet the aims if new flags were allowed.
    raised : tuple of str
        Flags in its way, or that it raises.
    loses : tuple of str
        Aims that the build meets and that fail where the others are met.
    room : float
        Error of the amount with which the aims are still met, over the error of a careful bench; infinite for what
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

    @property
    def columns(self) -> Columns:
        """Columns of the one design that it leads to."""
        columns: Columns = {}
        for move, value in zip(self.moves, self.values, strict=True):
            columns |= move.columns(np.array([value]))
        return columns

    @property
    def reaches(self) -> bool:
        """Whether it meets the aims and raises no new flag."""
        return self.miss == 0 and self.sound

    @property
    def undo(self) -> bool:
        """Whether all of it can be undone."""
        return all(move.undo for move in self.moves)


# A search yields designs, is sent them solved, and returns the best trial.
Search = Generator[Ask, Solved, Trial]


def in_step(
    solve: Callable[[Columns, tuple[str, ...]], Solved], own: Callable[[str], float], searches: Sequence[Search]
) -> list[Trial]:
    """Best trial of each search; what all searches want of the same results is solved in one call per round.

    Parameters
    ----------
    solve : callable
        Solves designs given as columns, for results given by name.
    own : callable
        Gives the value that stands for a column which one search varies and another does not [SI].
    searches : sequence of Search
    """
    trials: dict[int, Trial] = {}
    asked = {i: next(search) for i, search in enumerate(searches)}
    while asked:
        answers = _answers(solve, own, asked)
        asked = {}
        for i, answer in answers.items():
            try:
                asked[i] = searches[i].send(answer)
            except StopIteration as end:
                trials[i] = end.value
    return [trials[i] for i in range(len(searches))]


def _answers(
    solve: Callable[[Columns, tuple[str, ...]], Solved], own: Callable[[str], float], asked: dict[int, Ask]
) -> dict[int, Solved]:
    answers: dict[int, Solved] = {}
    for names in dict.fromkeys(ask.names for ask in asked.values()):
        columns = {i: ask.columns for i, ask in asked.items() if ask.names == names}
        parts = solved_together(_for_results(solve, names), own, list(columns.values()))
        answers |= dict(zip(columns, parts, strict=True))
    return answers


def _for_results(
    solve: Callable[[Columns, tuple[str, ...]], Solved], names: tuple[str, ...]
) -> Callable[[Columns], Solved]:
    return lambda columns: solve(columns, names)


def solved_together(
    solve: Callable[[Columns], Solved], own: Callable[[str], float], parts: Sequence[Columns]
) -> list[Solved]:
    """Designs of several sets of columns, solved in one call.

    Parameters
    ----------
    solve : callable
    own : callable
        Gives the value of a column that a set does not vary [SI].
    parts : sequence of dict of str to array
    """
    if not parts:
        return []
    counts = [next(iter(part.values())).size for part in parts]
    names = dict.fromkeys(name for part in parts for name in part)

    def column(name: str) -> Values:
        pairs = zip(parts, counts, strict=True)
        return np.concatenate([part[name] if name in part else np.full(n, own(name)) for part, n in pairs])

    solved, ends = solve({name: column(name) for name in names}), np.cumsum([0, *counts])
    return [solved.part(slice(low, high)) for low, high in pairwise(ends)]
