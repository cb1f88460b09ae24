"""Torques at ball angles of whole designs, and the places on the ball's way that other modules start from.

The bar gives sideways, so the ball's angle `phi` in the dimple and the blade's angle `theta` differ:
`theta = phi - eps + C T(phi)`, C the twist give. Along the way `phi` is the parameter; where `theta(phi)` turns back
the blade jumps at constant `theta`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.record import Array, Index, Truth, last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.detent.balance import SolvedDetent


class Torques(NamedTuple):
    """Torques at ball angles; all of one shape."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    force: Array  # on the ball [N]
    push: Array  # of the bar on the tang, through ball or face [N]
    depth: Array  # ball tip below the face [m]
    sine: Array  # of the contact angle [-]


T = TypeVar("T", bound=np.generic)


def loose_offset(solved: SolvedDetent) -> Array:
    """Offset within which the ball hangs loose or the bar's face lies on the tang, s_L; else 0 [m]."""
    limit = np.minimum(solved.spring.protrusion, solved.spring.reach)
    return dimple.offset_at_depth(solved.shape, np.maximum(limit, 0))


def mouth_angle(solved: SolvedDetent) -> Array:
    """Ball angle at which the ball comes onto the flat [rad]."""
    return balance.phi_at_offset(solved.record, solved.shape.start[..., -1])


def torques(solved: SolvedDetent, phi: Array, piece: Index, bears: Truth, static: bool = False) -> Torques:
    """Torques at ball angles `phi` [rad] on named pieces, all of shape (..., m)."""
    record = last_axis(solved.record)
    bar = balance.Spring(*(np.asarray(field)[..., None] for field in solved.spring))
    touch = balance.contact(solved, phi, piece)
    push = balance.tang_force(bar, touch.depth)
    force = np.where(bears, push, 0.0)
    mu = record.static_friction if static else record.friction
    arm = record.pivot_to_ball
    opening = balance.torque(force, touch, mu, arm, bar.swing, opening=True)
    closing = balance.torque(force, touch, mu, arm, bar.swing, opening=False)
    return Torques(opening, closing, force, push, touch.depth, touch.sine)


def here(solved: SolvedDetent, phi: Array, *, outward: bool = True, static: bool = False) -> Torques:
    """Torques at one ball angle for each design, as a limit from outward or inward; shape (...)."""
    offset, _ = balance.offset_at_phi(solved.record, phi)
    piece = dimple.piece_at(solved.shape, offset[..., None], outward=outward)
    touch = balance.contact(solved, phi[..., None], piece)
    # A hair of depth decides between ball and face at the very offset where one takes over from the other.
    slack = 1e-12 * solved.shape.ball
    bears = touch.depth <= solved.spring.protrusion[..., None] + (slack if outward else -slack)
    found = torques(solved, phi[..., None], piece, bears, static)
    return Torques(*(field[..., 0] for field in found))


def twist(give: Array, torque: Array) -> Array:
    """Angle by which the bar gives under a torque, 0 for a rigid one whatever the torque [rad]."""
    with np.errstate(invalid="ignore"):
        return np.where(give > 0, give * torque, 0.0)
