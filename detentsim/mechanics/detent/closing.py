"""The closing way: from where the ball alone pulls the blade in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path import extrema, segments

if TYPE_CHECKING:
    from detentsim.mechanics.path.at_ball_angle import Torques
    from detentsim.mechanics.path.segments import Segments
    from detentsim.mechanics.record import Array, Index, Truth


def _closing(ways: Segments, phi: Array) -> Array:
    return segments.torque(ways, phi, opening=False)


def _ahead(ways: Segments, phi: Array) -> Array:
    return -segments.closing_angle(ways, phi)


def pull_in(ways: Segments, found: Torques) -> Array:
    """Largest blade angle on the closing path at which the ball alone pulls in, shape (n,) [rad]; NaN if it never does.

    Parameters
    ----------
    ways : Stretches
        From rest to the flat.
    found : Torques
        At the stretches' ends.
    """
    pulls = (found.closing > 0) & (found.force > 0)
    last = segments.last(ways, np.any(pulls, axis=1))
    some = last >= 0
    stretch = last[some]
    turn = np.full(last.size, np.nan)
    turn[some] = _sign_change(ways, stretch, pulls[stretch])
    eps = np.zeros(last.size)
    eps[:] = ways.record.overclose[ways.first] if np.ndim(ways.record.overclose) else ways.record.overclose
    # A closing blade that snaps in gets to the pull at the angle it snaps from.
    return np.asarray(np.minimum(turn - eps, _least_beyond(ways, turn)))


def _sign_change(ways: Segments, stretch: Index, pulls: Truth) -> Array:
    """Ball angle on these stretches beyond which the ball pulls no more [rad]."""
    part = segments.select(ways, stretch)
    phi = segments.points(part, segments.ENDS)
    point = 3 - np.argmax(pulls[:, ::-1], axis=1)
    low = phi[np.arange(stretch.size), point]
    inside = np.flatnonzero(point < 3)
    if inside.size:
        here = segments.select(part, inside)
        low[inside] = segments.root(here, low[inside], here.right, _closing)
    return np.asarray(low)


def _least_beyond(ways: Segments, turn: Array) -> Array:
    """Smallest blade angle of the closing ball beyond `turn` [rad]; inf where there is none."""
    keep = np.flatnonzero((ways.right > turn[ways.design]) & (ways.spring.twist_give > 0))
    least = np.full(turn.size, np.inf)
    if not keep.size:
        return least
    part = segments.select(ways, keep)
    part = part._replace(left=np.maximum(part.left, turn[part.design]))
    phi = segments.points(part, segments.ENDS)
    top, _ = extrema.crests(part, _ahead(part, phi), _ahead)
    np.minimum.at(least, part.design, -top)
    return least
