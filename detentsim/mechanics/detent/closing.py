"""Pull-in angle: largest blade angle from which the ball alone pulls the blade shut.

Stands on the segments of the path from rest to the flat; ``response`` gives the result.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path import contact_at, extrema, segment_rows, segments, stable

if TYPE_CHECKING:
    from detentsim.mechanics.path.segment_rows import Path, Segments
    from detentsim.mechanics.record import Array, Index, Truth


def _drawn(ways: Segments, phi: Array) -> Array:
    """What the ball draws along the path over the contact force, friction against closing [-]."""
    return contact_at.pushed_and_carried(ways, contact_at.contact(ways, phi), opening=False)[1]


def pull_in(way: Path) -> Array:
    """Pull-in angle: largest blade angle at which the ball alone pulls the blade shut [rad]; NaN where it never does.

    Parameters
    ----------
    way : Path
        Of n designs, from rest to the flat.

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
    >>> from detentsim.mechanics.path import segments
    >>> response = ds.curve(ds.demo()).response
    >>> way = segments.walk(segments.flatten(response.load, ()), np.full(1, 0.2))
    >>> float(pull_in(way)[0] / response.results["pull_in_angle"])
    1.0
    """
    ways, at = way
    # The torque of a ball that comes to bear just there grows from 0.
    pulls = (at.closing > 0) | ((at.closing == 0) & (at.closing_slope > 0))
    pulls[1] = at.closing[1] > 0
    last = segment_rows.last(ways, pulls[0] | pulls[1])
    some = last >= 0
    rows = last[some]
    turn = np.full(last.size, np.nan)
    turn[some] = _sign_change(ways, rows, pulls[1, rows])
    eps = ways.overclose[ways.first] if np.ndim(ways.overclose) else ways.overclose
    # A closing blade that snaps in is pulled from the angle at which it snaps.
    return np.asarray(np.minimum(turn - eps, _least_beyond(way, turn)))


def _sign_change(ways: Segments, rows: Index, to_the_end: Truth) -> Array:
    """Ball angle on the given segments beyond which the ball no longer pulls in [rad]."""
    turn = ways.right[rows]
    inside = np.flatnonzero(~to_the_end)
    if inside.size:
        part = segment_rows.select(ways, rows[inside])
        turn[inside] = segments.root(part, part.left, part.right, _drawn)
    return turn


def _least_beyond(way: Path, turn: Array) -> Array:
    """Smallest blade angle of the closing ball beyond ball angle `turn` [rad]; inf where there is none."""
    least = np.full(turn.size, np.inf)
    keep = np.flatnonzero((way.ways.right > turn[way.ways.design]) & (way.ways.give > 0))
    if not keep.size:
        return least
    part = segment_rows.select(way.ways, keep)
    torque, slope = (field.take(keep, axis=1) for field in (way.at_ends.closing, way.at_ends.closing_slope))
    begun = np.flatnonzero(part.left < turn[part.design])
    if begun.size:
        left = np.array(part.left)
        left[begun] = turn[part.design[begun]]
        part = part.between(left, part.right)
        there = segment_rows.select(part, begun)
        torque[0, begun], slope[0, begun] = contact_at.climb(there, there.left, opening=False)
    theta, slopes = segments.angle(part, segments.ends(part), torque), segments.turning(part, slope)
    top, _ = extrema.crests(part, -theta, -slopes, stable.downhill(stable.climb(opening=False)))
    np.minimum.at(least, part.design, -top)
    return least
