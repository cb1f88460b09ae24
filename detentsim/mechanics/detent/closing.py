"""Closing: the largest blade angle from which the ball alone pulls the blade shut, and a burr that it meets before.

Stands on the path from rest to the flat; ``response``, ``motion.panels`` and the curve stand on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path import at_blade_angle, burr, contact_at, extrema, segment_rows, segments, stable
from detentsim.mechanics.path.at_blade_angle import Torque

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.path.at_blade_angle import TorqueTable
    from detentsim.mechanics.path.segment_rows import Path, Segments
    from detentsim.mechanics.record import Array, Index, Truth


def _drawn(ways: Segments, phi: Array) -> Array:
    """What the ball draws along the path over the contact force, friction against closing [-]."""
    touch = contact_at.on_rim(ways, contact_at.contact(ways, phi), opening=False)
    return contact_at.pushed_and_carried(ways, touch, opening=False)[1]


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
    ways = way.ways
    pulls = _pulls(ways)
    last = segment_rows.last(ways, pulls[0] | pulls[1])
    some = last >= 0
    rows = last[some]
    turn = np.full(last.size, np.nan)
    turn[some] = _sign_change(ways, rows, pulls[1, rows])
    eps = ways.overclose[ways.first] if np.ndim(ways.overclose) else ways.overclose
    # A closing blade that snaps in is pulled from the angle at which it snaps.
    return np.asarray(np.minimum(turn - eps, _least_beyond(ways, turn)))


def _pulls(ways: Segments) -> Truth:
    """Truth of the ball pulling in at both ends of each segment, shape (2, m)."""
    closing = segments.torque(ways, segments.ends(ways), opening=False)
    pulls = closing > 0
    # The torque of a ball that comes to bear just there grows from 0.
    rows = np.flatnonzero(closing[0] == 0)
    if rows.size:
        begin = segment_rows.select(ways, rows)
        pulls[0, rows] = segments.climb(begin, begin.left, opening=False)[1] > 0
    return pulls


def _sign_change(ways: Segments, rows: Index, to_the_end: Truth) -> Array:
    """Ball angle on the given segments beyond which the ball no longer pulls in [rad]."""
    turn = ways.right[rows]
    inside = np.flatnonzero(~to_the_end)
    if inside.size:
        part = segment_rows.select(ways, rows[inside])
        turn[inside] = segments.root(part, part.left, part.right, _drawn)
    return turn


def _least_beyond(ways: Segments, turn: Array) -> Array:
    """Smallest blade angle of the closing ball beyond ball angle `turn` [rad]; inf where there is none."""
    least = np.full(turn.size, np.inf)
    keep = np.flatnonzero((ways.right > turn[ways.design]) & (ways.give > 0))
    if not keep.size:
        return least
    part = segment_rows.select(ways, keep)
    part = part.between(np.maximum(part.left, turn[part.design]), part.right)
    fall = stable.downhill(stable.climb(opening=False))
    top, _ = extrema.crests(part, *fall(part, segments.ends(part)), fall)
    np.minimum.at(least, part.design, -top)
    return least


# Points of a curve on the way up a burr, ends included.
LIP_POINTS = 9


def lip_angles(table: TorqueTable) -> Array:
    """Blade angles on the burrs of all designs, in one row [rad]; a plot of the closing curve needs these points.

    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> lip_angles(at_blade_angle.closing_table(response.load, response.rest.phi)).size
    0
    """
    over = burr.lip(table)
    known = np.isfinite(over.touch)
    share = np.linspace(0, 1, LIP_POINTS)
    return np.ravel(over.crest[known, None] * (1 - share) + over.touch[known, None] * share)


def felt_at(table: TorqueTable, theta: ArrayLike, *, above: bool) -> Torque:
    """Closing torque at given blade angles, as `at_blade_angle.torque_at`, with the burr round the dimple.

    Parameters
    ----------
    table : TorqueTable
        Of the closing of designs of shape (...).
    theta : array_like, shape (..., m)
        Blade angles not below rest [rad].
    above : bool
        At a jump, the limit from larger angles (True) or from smaller ones.

    Returns
    -------
    Torque
        Fields of shape (..., m).

    Notes
    -----
    `burr.on_lip` between its angles, derived there.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> table = at_blade_angle.closing_table(response.load, response.rest.phi)
    >>> bool(felt_at(table, [1.0], above=True).torque[0] < 0)
    True
    """
    plain = at_blade_angle.torque_at(table, theta, opening=False, above=above)
    if not np.any(table.load.record.burr_height):
        return plain
    over = burr.lip(table)
    wide = np.broadcast_to(np.asarray(theta, float), plain.torque.shape)
    rows = wide.reshape(table.phi.size, -1)
    crest, touch = over.crest[:, None], over.touch[:, None]
    climbs = (rows >= crest) & (rows < touch) if above else (rows > crest) & (rows <= touch)
    climbs &= np.reshape(plain.push, rows.shape) > 0
    torque, push = burr.on_lip(table, np.nan_to_num(over.crest), rows)
    fields = zip((torque, push, np.zeros_like(push)), plain, strict=True)
    return Torque(*(np.where(climbs, felt, np.reshape(flat, rows.shape)).reshape(wide.shape) for felt, flat in fields))
