"""Designs solved along one axis, and the best trial of one move."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.mechanics.names import ALL_NAMES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.in_hand.advise.aims import Values
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials import Trials
    from detentsim.mechanics.record import Truth


@dataclass(frozen=True, eq=False)
class Solved:
    """Designs along one axis: results in their units (truths as 0 and 1) and flags."""

    results: dict[str, Values]
    flags: dict[str, Truth]


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


def everything(bench: Trials, columns: Mapping[str, npt.ArrayLike]) -> Solved:
    """All results of one design.

    Parameters
    ----------
    bench : Trials
    columns : dict of str to array_like
        Values in place of the build's own [SI].
    """
    return bench.solve({name: np.atleast_1d(np.asarray(value, float)) for name, value in columns.items()}, ALL_NAMES)
