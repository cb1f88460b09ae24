"""Pull-in angle: largest blade angle from which the ball alone pulls the blade shut.

Stands on the segments of the path from rest to the flat; ``response`` gives the result.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path import extrema, segment_rows, segments

if TYPE_CHECKING:
    from detentsim.mechanics.path.contact_at import Felt
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array, Index, Truth


def _closing(ways: Segments, phi: Array) -> Array:
    return segments.torque(ways, phi, opening=False)


def _ahead(ways: Segments, phi: Array) -> Array:
    return -segments.closing_angle(ways, phi)


def pull_in(ways: Segments, at_ends: Felt) -> Array:
    """Pull-in angle: largest blade angle at which the ball alone pulls the blade shut [rad]; NaN where it never does.

    Parameters
    ----------
    ways : Segments
        Of n designs, from rest to the flat.
    at_ends : Felt
        At `segments.points(ways, segments.ENDS)`, shape (4, m).

    Returns
    -------
    array, shape (n,)

    Notes
    -----
    Largest root of `T_close = 0` on the path, as blade angle; where the blade snaps in, the angle at which it snaps.
    Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> ways = segments.cut(segments.flatten(response.load, ()), np.ravel(response.rest.phi), np.full(1, 0.2))
    >>> from detentsim.mechanics.path import contact_at
    >>> turn = pull_in(ways, contact_at.torques(ways, segments.points(ways, segments.ENDS)))
    >>> float(turn[0] / response.results["pull_in_angle"])
    1.0
    """
    pulls = at_ends.closing > 0
    last = segment_rows.last(ways, np.any(pulls, axis=0))
    some = last >= 0
    rows = last[some]
    turn = np.full(last.size, np.nan)
    turn[some] = _sign_change(ways, rows, pulls[:, rows])
    eps = np.zeros(last.size)
    eps[:] = ways.overclose[ways.first] if np.ndim(ways.overclose) else ways.overclose
    # A closing blade that snaps in is pulled from the angle at which it snaps.
    return np.asarray(np.minimum(turn - eps, _least_beyond(ways, turn)))


def _sign_change(ways: Segments, rows: Index, pulls: Truth) -> Array:
    """Ball angle on the given segments beyond which the ball no longer pulls in [rad]."""
    part = segment_rows.select(ways, rows)
    phi = segments.points(part, segments.ENDS)
    point = 3 - np.argmax(pulls[::-1], axis=0)
    low = phi[point, np.arange(rows.size)]
    inside = np.flatnonzero(point < 3)
    if inside.size:
        here = segment_rows.select(part, inside)
        low[inside] = segments.root(here, low[inside], here.right, _closing)
    return np.asarray(low)


def _least_beyond(ways: Segments, turn: Array) -> Array:
    """Smallest blade angle of the closing ball beyond ball angle `turn` [rad]; inf where there is none."""
    keep = np.flatnonzero((ways.right > turn[ways.design]) & (ways.give > 0))
    least = np.full(turn.size, np.inf)
    if not keep.size:
        return least
    part = segment_rows.select(ways, keep)
    part = part.between(np.maximum(part.left, turn[part.design]), part.right)
    phi = segments.points(part, segments.ENDS)
    top, _ = extrema.crests(part, _ahead(part, phi), _ahead)
    np.minimum.at(least, part.design, -top)
    return least
