"""Contact, push and torque of the ball at ball angles of segments: the innermost formulas of the path.

Stands on the rows of segments; everything that asks for a torque along the path stands on this file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array


class Contact(NamedTuple):
    """Contact of the ball at ball angles; all of their shape."""

    sine: Array  # of the contact angle [-]
    cosine: Array  # [-]
    uphill: Array  # sin(psi) c_ut [-]
    path: Array  # sqrt(cos(psi)^2 + (sin(psi) c_ut)^2) [-]
    push: Array  # of the bar on the tang [N]


class Felt(NamedTuple):
    """Torques in both senses and what they come from, at ball angles; all of their shape."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    push: Array  # of the bar on the tang, through ball or face [N]
    sine: Array  # of the contact angle [-]


def contact(ways: Segments, phi: Array) -> Contact:
    """Contact of the ball and push of the bar at ball angles `phi` [rad] of shape (m,) or (k, m).

    Offset and share of the slope as in `balance.offset_at_phi`, height as in `dimple.on_piece`.
    """
    at = ways.at
    half = np.tan(0.5 * phi)
    square = half * half
    cosine_half = 1 / np.sqrt(1 + square)
    offset = at.twice_ball * (half * cosine_half)
    along = cosine_half
    if not ways.simple:
        sine_half = half * cosine_half
        offset = np.sqrt(at.miss_squared + at.twice_ball * at.twice_dimple * (sine_half * sine_half))
        centred = offset == 0
        along = at.twice_dimple * sine_half * cosine_half / np.where(centred, 1.0, offset)
        along = np.where(centred, 1.0, along) if centred.any() else along
    sine = np.maximum(at.sine - at.turn * offset, 0)
    level = np.maximum(1 - sine * sine, 0)
    cosine, uphill = np.sqrt(level), sine * along
    push = np.maximum(at.push + at.push_cosine * cosine + at.push_offset * offset, 0)
    return Contact(sine, cosine, uphill, np.sqrt(level + uphill * uphill), push)


def torque_of(ways: Segments, touch: Contact, *, opening: bool, static: bool = False) -> Array:
    """Torque in one sense of motion [N m] for a contact; inf where the ball locks.

    Balance of forces as in `balance.torque`, derived in studies/00-the-model.ipynb; `static` takes the static
    coefficient of friction.
    """
    at = ways.at
    mu = at.static_friction if static else at.friction
    rub = (mu if opening else -mu) / touch.path
    pushed = touch.uphill + rub * touch.cosine
    carried = touch.cosine - rub * touch.uphill
    if not ways.simple:
        carried = carried - at.swing * pushed
    force = at.arm * touch.push
    locks = carried <= 0
    if not locks.any():
        return np.asarray(force * pushed / carried)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(force <= 0, 0.0, np.where(locks, np.inf, force * pushed / carried))


def torques(ways: Segments, phi: Array) -> Felt:
    """Torques in both senses at ball angles `phi` [rad] on each segment; fields of shape (m,) or (k, m).

    Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    touch = contact(ways, phi)
    opening, closing = (torque_of(ways, touch, opening=sense) for sense in (True, False))
    return Felt(opening, closing, touch.push, touch.sine)


def torque_and_push(ways: Segments, phi: Array) -> tuple[Array, Array]:
    """Torque against opening [N m] and force of the bar on the tang [N] at ball angles `phi` [rad].

    Shapes (m,) or (k, m). Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    touch = contact(ways, phi)
    return torque_of(ways, touch, opening=True), touch.push


def face_drag(ways: Segments, push: Array) -> Array:
    """Drag torque of the bar's face where it lies on the tang under the force `push` [N], `mu rho N` (Coulomb) [N m].

    0 where the ball carries the bar.
    """
    at = ways.at
    # The arm is 0 where the face carries the bar.
    return np.asarray(at.friction * (at.twice_ball / 2 - at.arm) * push)
