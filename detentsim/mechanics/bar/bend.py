"""Offset of the free bent bar from flat.

Self-contained; the detent's preload (``detent.balance``) and the bar in service use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record


def bend_centre(record: Record) -> Array:
    """Distance from the root of the point about which the bent bar swings, the centroid of plastic curvature [m].

    A quarter of the relief's length where the relief takes the bend; `bend_at` where it was bent at one place; for an
    even curvature along the bar the centre that gives `y = b (x/x_tip)^2` at the ball. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(bend_centre(knife) / knife.relief_length)
    0.25
    """
    a, tip = record.ball_from_root, record.tip_from_root
    spread = a * tip / (a + tip)
    centre = np.where(record.bend_along > 0, spread, record.relief_length / 4)
    return np.where(np.isnan(record.bend_at), centre, record.bend_at)


def free_offset(record: Record) -> Array:
    """Inward offset y_f of the free bar at the ball, `b (a - x_h)/(x_tip - x_h)` [m]; 0 short of the bend.

    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(free_offset(knife._replace(ball_from_root=knife.tip_from_root)) / knife.bend)
    1.0
    """
    centre = bend_centre(record)
    return record.bend * np.maximum(record.ball_from_root - centre, 0) / (record.tip_from_root - centre)


def free_at(record: Record, place: ArrayLike) -> Array:
    """Inward offset of the free bar at a distance `place` from the root [m].

    Straight beyond the bend's centre, `y = b (x/x_tip)^2` for an even curvature (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(free_at(knife, knife.ball_from_root) / free_offset(knife))
    1.0
    """
    x, tip, centre = np.asarray(place, float), record.tip_from_root, bend_centre(record)
    along = (np.asarray(record.bend_along) > 0) & np.isnan(record.bend_at)
    straight = np.maximum(x - centre, 0) / (tip - centre)
    return np.asarray(record.bend * np.where(along, (x / tip) ** 2, straight))


def unlock_travel(record: Record) -> Array:
    """Outward travel of the ball, from free until its tip clears the tang's flat, `y_f - (g - p)` [m].

    Plain geometry, derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> round(float(unlock_travel(ds.curve(ds.demo()).response.load.record)) * 1e3, 3)
    2.072
    """
    return free_offset(record) - record.face_gap + record.protrusion
