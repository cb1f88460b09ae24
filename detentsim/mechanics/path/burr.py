"""A burr round the dimple's mouth that a closing ball climbs: where it lies, and the torque on its outer side.

Stands on ``detent.balance``; ``detent.closing`` lays it over the closing torque, ``motion.panels`` over the way shut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import Spring
from detentsim.mechanics.record import last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.path.at_blade_angle import TorqueTable
    from detentsim.mechanics.record import Array


# Torque on a burr that a ball cannot climb for its friction [N m]: no blade comes over it.
LOCKED = 1e3


class Lip(NamedTuple):
    """Blade angles between which a closing ball climbs a burr round the dimple, shape (n,) [rad]; NaN without one."""

    crest: Array  # where the dimple lets the ball in
    touch: Array  # where the ball meets the burr, farther open


def lip(table: TorqueTable) -> Lip:
    """Blade angles between which the closing ball climbs the burr round its dimple.

    Parameters
    ----------
    table : TorqueTable
        Of the closing of n designs.

    Returns
    -------
    Lip

    Notes
    -----
    A sharp lip of height h where the flat ends lifts a ball of radius R from `sqrt(2 R h - h^2)` before it (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo().change({"dimple.burr": "0.02 mm"})).response
    >>> from detentsim.mechanics.path import at_blade_angle
    >>> over = lip(at_blade_angle.closing_table(response.load, response.rest.phi))
    >>> round(float(np.degrees(over.touch - over.crest)[0]), 2)
    1.63
    """
    record, count = table.load.record, table.phi.size
    crest = np.full(count, -np.inf)
    np.maximum.at(crest, table.met.ways.design, table.met.high)
    height, ball = record.burr_height, record.ball_radius
    rim = table.load.shape.start[..., -1]
    far = rim + np.sqrt(np.maximum((2 * ball - height) * height, 0))
    turned = balance.phi_at_offset(record, far) - balance.phi_at_offset(record, rim)
    known = np.isfinite(crest) & (height > 0)
    return Lip(np.where(known, crest, np.nan), np.where(known, crest + turned, np.nan))


def on_lip(table: TorqueTable, crest: Array, theta: Array) -> tuple[Array, Array]:
    """Torque and push of a closing ball on a burr's outer side, at blade angles of shape (n, m) [rad].

    Parameters
    ----------
    table : TorqueTable
        Of the closing of n designs.
    crest : array, shape (n,)
        Blade angle at which the ball stands on the burr [rad].
    theta : array, shape (n, m)
        Blade angles from there to where it meets the burr [rad].

    Returns
    -------
    torque, push : array, shape (n, m)
        Against closing, negative [N m], and of the bar on the tang [N].

    Notes
    -----
    The ball climbs an edge: `sin(psi) = (s - s_rim)/R`, a wedge up which friction and slope both resist, at the first
    touch `cos(psi) = 1 - h/R`. Derived; the balance is that of opening, `balance.torque`. Rigid burr, sharp and upright
    on the dimple's mouth; the bar's give sideways on the burr is left out, and so is what the burr does inside: there
    the ball stands higher by at most its height, and in opening it slides off the burr's outer side.
    """
    record, height = last_axis(table.load.record), table.load.record.burr_height[..., None]
    bar = Spring(*(np.asarray(field)[..., None] for field in table.load.spring))
    rim = table.load.shape.start[..., -1:]
    phi = balance.phi_at_offset(record, rim) + np.maximum(theta - crest[:, None], 0)
    offset, along = balance.offset_at_phi(record, phi)
    ball = record.ball_radius
    steepest = np.sqrt(np.maximum((2 * ball - height) * height, 0)) / ball
    sine = np.clip((offset - rim) / ball, 0, steepest)
    lift = np.maximum(height - ball * (1 - np.sqrt(1 - sine**2)), 0)
    push = balance.ball_force(bar, -lift)
    touch = balance.BallContact(-lift, sine, along)
    climbed = balance.torque(push, touch, record.friction, record.pivot_to_ball, -bar.swing, opening=True)
    return -np.minimum(climbed, LOCKED), push
