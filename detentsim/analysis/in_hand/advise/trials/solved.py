"""Solved designs, the best trial of one move or pair, and what a search for it asks and returns."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.results import told

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.moves.move import Columns, Move
    from detentsim.mechanics.record import Array, Truth


@dataclass(frozen=True, eq=False)
class Solved:
    """Designs along one axis: results in their units (truths as 0 and 1) and flags."""

    results: dict[str, Array]
    flags: dict[str, Truth]

    @property
    def first(self) -> dict[str, float]:
        """Results of the first design."""
        return {name: float(values[0]) for name, values in self.results.items()}

    @property
    def told(self) -> list[dict[str, float | bool | None]]:
        """Results of each design as answers: truths as such, None where there is no value."""
        count = next(iter(self.results.values())).size
        return [{name: told(name, values[i]) for name, values in self.results.items()} for i in range(count)]

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

    def in_rows(self, count: int) -> Solved:
        """The designs as a table of so many rows.

        Parameters
        ----------
        count : int
        """
        results = {name: values.reshape(count, -1) for name, values in self.results.items()}
        return Solved(results, {name: hit.reshape(count, -1) for name, hit in self.flags.items()})


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
        Tenths outside the aims; 0 meets them.
    margin : float
        Tenths inside the tightest aim.
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
