"""Designs solved along one axis, and the best trial of one move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.mechanics.response import ALL_NAMES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.advise.aims import Values
    from detentsim.analysis.advise.moves.move import Move
    from detentsim.analysis.advise.trials import Trials
    from detentsim.mechanics.record import Truth


@dataclass(frozen=True, eq=False)
class Solved:
    """Designs along one axis: results in their units (truths as 0 and 1) and flags."""

    results: dict[str, Values]
    flags: dict[str, Truth]


@dataclass(frozen=True)
class Trial:
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


def everything(bench: Trials, columns: Mapping[str, npt.ArrayLike]) -> Solved:
    """One design with every result there is."""
    return bench.solve({name: np.atleast_1d(np.asarray(value, float)) for name, value in columns.items()}, ALL_NAMES)
