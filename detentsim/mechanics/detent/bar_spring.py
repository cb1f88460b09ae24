"""The bar as a spring at the ball, and a design solved once: bar stiffness and dimple geometry.

Stands on ``bar`` and on the envelope of the dimple; ``response`` starts here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.contact import envelope
from detentsim.mechanics.detent.solution import SolvedDetent, Spring

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Record


def spring(record: Record) -> Spring:
    """Bar as a spring at the ball: stiffness, reach, protrusion, twist compliance; fields of the designs' shape.

    Notes
    -----
    `Y = y_f - g + p + grip/k`: fingers on the bar push the ball in by their force over the stiffness, so that a light
    grip on a bar that stands clear of the tang carries nothing. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> bar = spring(ds.curve(ds.demo()).response.load.record)
    >>> round(float(bar.stiffness) / 1e3, 3), round(float(bar.reach) * 1e3, 3)
    (3.313, 2.072)
    """
    k = beam.bar_stiffness(record)
    give = beam.lateral_compliance(record) / record.pivot_to_ball**2
    reach = bend.free_offset(record) - record.face_gap + record.protrusion + grip_at_ball(record) / k
    lever = record.ball_from_root - bend.bend_centre(record)
    swing = beam.contact_height(record) / lever * np.sin(record.travel_angle)
    return Spring(*np.broadcast_arrays(k, reach, record.protrusion, give, swing))


def grip_at_ball(record: Record) -> Array:
    """Force at the ball from fingers that press the bar inward, `P delta(x_P, a)/delta(a, a)` [N].

    `delta` is the flexibility of the bar (`beam.flexibility`). Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(grip_at_ball(knife._replace(grip_force=np.array(10.0), grip_from_root=knife.ball_from_root)))
    10.0
    """
    if not np.any(record.grip_force):
        return np.zeros_like(record.grip_force)
    a = record.ball_from_root
    ratio = beam.flexibility(record, record.grip_from_root, a) / beam.flexibility(record, a, a)
    return record.grip_force * ratio


def solve(record: Record) -> SolvedDetent:
    """Bar stiffness and dimple geometry of a record, solved once; fields broadcast.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> solve(knife).spring.protrusion == knife.protrusion
    np.True_
    """
    return SolvedDetent(record, spring(record), envelope.pieces(record))
