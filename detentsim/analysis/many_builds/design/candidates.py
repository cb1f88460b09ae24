"""Candidate designs of a search, solved or not.

``evaluation`` solves them; ``grid`` and ``evolution`` propose them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.moves.move import Columns
    from detentsim.mechanics.record import Array, Truth

Index = npt.NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Candidates:
    """Candidate designs: a combination of bought sizes each, with values of the sizes that are set.

    Attributes
    ----------
    row : array of int, shape (n,)
        Row of `Choices`: the combination of bought sizes.
    at : dict of str to array, shape (n,)
        Values of the settable sizes [m].
    cost : array, shape (n,)
        Quantity that the search minimises: distance to the target, then margin, then drag.
    meets : array of bool, shape (n,)
        Sound, and all aims met.
    """

    row: Index
    at: Columns
    cost: Array
    meets: Truth

    def take(self, which: npt.NDArray[np.intp] | Truth) -> Candidates:
        """Subset of the candidates.

        Parameters
        ----------
        which : array of int or bool
            Index or mask.
        """
        at = {name: values[which] for name, values in self.at.items()}
        return Candidates(self.row[which], at, self.cost[which], self.meets[which])

    def joined(self, other: Candidates) -> Candidates:
        """Candidates followed by others.

        Parameters
        ----------
        other : Candidates
        """
        at = {name: np.concatenate([values, other.at[name]]) for name, values in self.at.items()}
        row, cost = np.concatenate([self.row, other.row]), np.concatenate([self.cost, other.cost])
        return Candidates(row, at, cost, np.concatenate([self.meets, other.meets]))

    def improved(self, other: Candidates) -> Candidates:
        """Element-wise cheaper of two sets of equal length; own on a tie.

        Parameters
        ----------
        other : Candidates
        """
        take = other.cost < self.cost
        at = {name: np.where(take, other.at[name], values) for name, values in self.at.items()}
        row, cost = np.where(take, other.row, self.row), np.where(take, other.cost, self.cost)
        return Candidates(row, at, cost, np.where(take, other.meets, self.meets))
