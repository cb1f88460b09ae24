"""Force and torque of the ball in its dimple, from the balance of forces in space.

The ball is pressed into the bar and does not roll. Its place in the dimple is the angle `phi` (0 where the ball is
on the line from the pivot to the dimple). Height and slope come from one function of the geometry, so another
contact model can take its place. Simplifications: rigid ball and rim, bar tilt at the ball left aside, Coulomb
friction.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.record import Array, Index, Record, last_axis

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


class Spring(NamedTuple):
    """The bar as the ball feels it; arrays of the designs' shape."""

    stiffness: Array  # k [N/m]
    reach: Array  # Y: how far the free ball's tip would stand inside the flat, grip included [m]
    protrusion: Array  # p [m]
    twist_give: Array  # C = 1/(k_lat rho^2), blade angle per torque [rad/(N m)]
    swing: Array  # chi sin(beta): travel of the contact along the path per unit lift [-]


class BallContact(NamedTuple):
    """The ball somewhere in its dimple; arrays with the angle on the last axis."""

    depth: Array  # e: ball tip below the face [m]
    sine: Array  # sin(psi) [-]
    along: Array  # c_ut: share of the slope that lies along the ball's path [-]


class SolvedDetent(NamedTuple):
    """A design with its bar and its dimple solved once."""

    record: Record
    spring: Spring
    shape: envelope.Pieces


def spring(record: Record) -> Spring:
    """Solve the bar once: stiffness, reach and side give.

    Notes
    -----
    `Y = y_f - g + p + grip/k`: a grip pushes the ball in by its force over the stiffness, so that a light grip
    on a bar that stands clear of the tang carries nothing.
    """
    k = beam.bar_stiffness(record)
    give = beam.lateral_compliance(record) / record.pivot_to_ball**2
    reach = bend.free_offset(record) - record.face_gap + record.protrusion + grip_at_ball(record) / k
    lever = record.ball_from_root - bend.bend_centre(record)
    swing = beam.contact_height(record) / lever * np.sin(record.travel_angle)
    return Spring(*np.broadcast_arrays(k, reach, record.protrusion, give, swing))


def grip_at_ball(record: Record) -> Array:
    """Force on the held ball from fingers pressing the bar inward, `P` times the flexibility ratio [N]."""
    a = record.ball_from_root
    ratio = beam.flexibility(record, record.grip_from_root, a) / beam.flexibility(record, a, a)
    return record.grip_force * ratio


def solve(record: Record) -> SolvedDetent:
    """Solve bar and dimple of a record once."""
    return SolvedDetent(record, spring(record), envelope.pieces(record))


def phi_at_offset(record: Record, offset: ArrayLike) -> Array:
    """Ball angle at which the ball is `offset` from the dimple's axis; 0 where it never comes that near [rad].

    Parameters
    ----------
    record : Record
    offset : array_like
        [m], broadcasts against the record.
    """
    inner, outer = record.pivot_to_ball, record.pivot_to_ball + record.radial_error
    square = (np.asarray(offset, float) ** 2 - record.radial_error**2) / (4 * inner * outer)
    return np.asarray(2 * np.arcsin(np.sqrt(np.clip(square, 0, 1))))


def offset_at_phi(record: Record, phi: ArrayLike) -> tuple[Array, Array]:
    """Offset s of the ball from the dimple's axis [m] and c_ut, the share of it along the path [-].

    Parameters
    ----------
    record : Record
        Broadcasts against `phi` (give it a last axis first).
    phi : array_like
        Ball angle, >= 0 [rad].
    """
    inner, outer = record.pivot_to_ball, record.pivot_to_ball + record.radial_error
    # The sine by way of the tangent, which is the quicker of the two to compute.
    tangent = np.tan(np.asarray(phi, float) / 2)
    square = tangent**2
    half = tangent / np.sqrt(1 + square)
    offset = np.sqrt(record.radial_error**2 + 4 * inner * outer * half**2)
    with np.errstate(divide="ignore", invalid="ignore"):
        along = 2 * outer * (tangent / (1 + square)) / offset
    return offset, np.where(offset > 0, along, 1.0)


def contact(solved: SolvedDetent, phi: ArrayLike, piece: Index) -> BallContact:
    """Where the ball touches at ball angles `phi` [rad], shape (..., m).

    Parameters
    ----------
    solved : Load
    phi : array_like
        Ball angle, >= 0; angle on the last axis.
    piece : array of int
        Which piece of the dimple carries the ball.
    """
    offset, along = offset_at_phi(last_axis(solved.record), phi)
    height, sine = dimple.height_and_slope(solved.shape, offset, piece)
    return BallContact(solved.shape.ball - height, sine, along)


def ball_force(bar: Spring, depth: ArrayLike) -> Array:
    """Force N on the ball with its tip `depth` below the face; 0 where the bar's face lies on the tang [N].

    Parameters
    ----------
    bar : Spring
        Arrays that broadcast against `depth`.
    depth : array_like
        [m].
    """
    depth = np.asarray(depth, float)
    return np.where(depth <= bar.protrusion, tang_force(bar, depth), 0.0)


def tang_force(bar: Spring, depth: ArrayLike) -> Array:
    """Force of the bar on the tang, through the ball or through the bar's face [N]."""
    depth = np.minimum(depth, bar.protrusion)
    return np.asarray(bar.stiffness * np.maximum(0, bar.reach - depth))


def torque(
    force: ArrayLike,
    touch: BallContact,
    friction: ArrayLike,
    arm: ArrayLike,
    swing: ArrayLike = 0.0,
    *,
    opening: bool,
) -> Array:
    """Torque on the blade from the ball pressed by `force`, friction against the motion [N m].

    Parameters
    ----------
    force : array_like
        N [N].
    touch : Contact
    friction : array_like
        mu [-].
    arm : array_like
        rho, pivot to ball [m].
    swing : array_like
        chi sin(beta) of a ball that does not travel square across the bar [-].
    opening : bool
        Sense of motion: opening resists positive, closing pulls in where positive.

    Returns
    -------
    torque : array
        inf where the ball locks solid: friction alone holds it however hard the finger pushes.

    Notes
    -----
    `F_n = N/(cos psi -+ mu m/v)`, `T = rho F_n (sin psi c_ut +- mu/v)`, m = tan(psi) c_ut, v = sqrt(1+m^2);
    without radial error the wedge of any statics text, `N rho (tan psi +- mu)/(1 -+ mu tan psi)`.
    """
    mu = np.asarray(friction, float) * (1 if opening else -1)
    swing = np.asarray(swing, float)
    cosine = np.sqrt(1 - touch.sine**2)
    uphill = touch.sine * touch.along
    path = np.sqrt(cosine**2 + uphill**2)
    carried = cosine - swing * uphill - mu * (uphill + swing * cosine) / path
    pushed = uphill + mu * cosine / path
    force = np.asarray(force, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.asarray(arm, float) * force * pushed / carried
    return np.where(force <= 0, 0.0, np.where(carried > 0, value, np.inf))


def drag(solved: SolvedDetent, *, opening: bool) -> Array:
    """Torque of the ball riding the flat, against the motion: positive in opening, negative in closing [N m].

    `mu N(0) rho` where the ball travels square across the bar; else the swinging bar adds or takes a little.
    """
    record = solved.record
    flat = BallContact(np.zeros_like(record.friction), np.zeros_like(record.friction), np.ones_like(record.friction))
    riding = ball_force(solved.spring, flat.depth)
    return torque(riding, flat, record.friction, record.pivot_to_ball, solved.spring.swing, opening=opening)
