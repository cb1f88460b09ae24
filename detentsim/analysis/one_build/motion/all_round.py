"""What a blade does when let go, for every turn of the handle: falls shut, stays open or hangs, swings open.

Reads `falling` for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.motion.falling import falls_toward

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Record

# Directions of straight down that are tried first [deg], parts of a step between two unlike ones, and how often.
STEP, PARTS, ROUNDS = 5.0, 10, 2

OUTCOMES = ("falls shut", "stays or hangs", "swings open")


@dataclass(frozen=True)
class Span:
    """Neighbouring attitudes of the handle in which the let-go blade does the same.

    Attributes
    ----------
    outcome : str
        ``falls shut``, ``stays or hangs`` where it is let go or part of the way, or ``swings open``.
    low, high : float
        From the closed blade's direction to straight down, in the opening sense [deg]; `low` from -180 to 180, `high`
        above it, by 360 where every attitude is alike.
    """

    outcome: str
    low: float
    high: float


def all_round(record: Record) -> tuple[Span, ...]:
    """Spans of attitudes, all the way round, by what a blade let go at rest does; empty without a blade mass.

    Parameters
    ----------
    record : Record
        One design.

    Notes
    -----
    Solved every 5 deg, the ends of each span to 0.05 deg; a span between two tries alike is not seen.
    """
    down = np.arange(-180.0, 180.0, STEP)
    told = _outcomes(record, down)
    if not told.size:
        return ()
    turns = np.flatnonzero(told != np.roll(told, -1))
    if not turns.size:
        return (Span(OUTCOMES[int(told[0])], -180.0, 180.0),)
    ends = _ends(record, down[turns], told[turns])
    starts = np.roll(ends, 1)
    named = [OUTCOMES[int(one)] for one in told[turns]]
    return tuple(
        Span(name, float(low), float(low + np.mod(high - low, 360)))
        for name, low, high in zip(named, (starts + 180) % 360 - 180, ends, strict=True)
    )


def _outcomes(record: Record, down: Array) -> Array:
    """Place in `OUTCOMES` for each direction of straight down; none without a blade mass."""
    found = falls_toward(record, down)
    return np.zeros(0) if found is None else np.where(np.isnan(found.stop), 0.0, np.where(found.opens, 2.0, 1.0))


def _ends(record: Record, low: Array, told: Array) -> Array:
    """Last direction after each of `low` in which the blade still does what it does there [deg]."""
    step = STEP
    for _ in range(ROUNDS):
        tried = low[:, None] + step / PARTS * np.arange(1, PARTS)
        again = _outcomes(record, tried.ravel())
        alike = np.logical_and.accumulate(again.reshape(tried.shape) == told[:, None], axis=1)
        step /= PARTS
        low = low + step * np.count_nonzero(alike, axis=1)
    return low + step / 2
