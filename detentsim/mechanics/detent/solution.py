"""Arrays of a solved design: the bar as a spring, the ball's contact, torques at ball angles.

Stands alone; ``spring`` and ``balance`` fill them, and everything about torque takes them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from detentsim.mechanics.contact import outline
    from detentsim.mechanics.record import Array, Record


class Spring(NamedTuple):
    """The bar as a spring at the ball; fields of the designs' shape."""

    stiffness: Array  # k [N/m]
    reach: Array  # Y, depth of the free ball's tip below the flat, grip included [m]
    protrusion: Array  # p [m]
    twist_give: Array  # twist compliance C = 1/(k_lat rho^2), blade angle per torque [rad/(N m)]
    swing: Array  # chi sin(beta): travel of the contact along the path per unit lift [-]


class BallContact(NamedTuple):
    """Contact of the ball in the dimple; fields with the ball angle on the last axis."""

    depth: Array  # e, of the ball's tip below the face [m]
    sine: Array  # sin(psi), psi the contact angle [-]
    along: Array  # c_ut, share of the slope along the ball's path [-]


class SolvedDetent(NamedTuple):
    """A design with its bar stiffness and its dimple geometry, solved once."""

    record: Record
    spring: Spring
    shape: outline.Pieces


class Torques(NamedTuple):
    """Torques at ball angles; all of one shape."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    force: Array  # on the ball [N]
    push: Array  # of the bar on the tang, through ball or face [N]
    depth: Array  # ball tip below the face [m]
    sine: Array  # of the contact angle [-]
