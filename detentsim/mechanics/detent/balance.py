"""Force and torque of the ball in its dimple, from the balance of forces in space.

The ball is pressed into the bar and does not roll. Its place in the dimple is the ball angle `phi`, 0 on the line from
the pivot to the dimple. Assumptions: rigid ball and rim, no tilt of the bar at the ball, Coulomb friction. Stands
alone. `torque` is the reference: the path runs on the same balance written for segments, with its slopes
(``path.contact_at``), and tests compare the two. Offset, force, drag and twist are computed here for both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.detent.solution import SolvedDetent, Spring
    from detentsim.mechanics.record import Array, Record


class BallContact(NamedTuple):
    """Contact of the ball in the dimple; fields with the ball angle on the last axis."""

    depth: Array  # e, of the ball's tip below the face [m]
    sine: Array  # sin(psi), psi the contact angle [-]
    along: Array  # c_ut, share of the slope along the ball's path [-]


def phi_at_offset(record: Record, offset: ArrayLike) -> Array:
    """Ball angle at which the ball is `offset` [m] from the dimple's axis [rad]; 0 where it never comes that near.

    Notes
    -----
    Inverse of `offset_at_phi`; law of cosines, any text on trigonometry.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(offset_at_phi(knife, phi_at_offset(knife, 0.3e-3))[0]) * 1e3
    0.3
    """
    inner, outer = record.pivot_to_ball, record.pivot_to_ball + record.radial_error
    square = (np.asarray(offset, float) ** 2 - record.radial_error**2) / (4 * inner * outer)
    return np.asarray(2 * np.arcsin(np.sqrt(np.minimum(np.maximum(square, 0), 1))))


def offset_at_phi(record: Record, phi: ArrayLike) -> tuple[Array, Array]:
    """Offset of the ball from the dimple's axis [m], and the share of the slope along its path [-], at ball angles.

    Parameters
    ----------
    record : Record
        Broadcasts against `phi` (see `record.last_axis`).
    phi : array_like
        Ball angle, >= 0 [rad].

    Returns
    -------
    offset, along : array
        `s = sqrt((rho_d - rho)^2 + 4 rho rho_d sin^2(phi/2))` and `c_ut = rho_d sin(phi)/s`; `c_ut = 1` at `s = 0`.

    Notes
    -----
    Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> offset, along = offset_at_phi(knife, 0.1)
    >>> round(float(offset / knife.pivot_to_ball / (2 * np.sin(0.05))), 9), round(float(along), 6)
    (1.0, 0.99875)
    """
    inner, outer = record.pivot_to_ball, record.pivot_to_ball + record.radial_error
    # The sine from the tangent: numpy computes a tangent faster.
    tangent = np.tan(np.asarray(phi, float) / 2)
    square = tangent**2
    half = tangent / np.sqrt(1 + square)
    offset = np.sqrt(record.radial_error**2 + 4 * inner * outer * half**2)
    with np.errstate(divide="ignore", invalid="ignore"):
        along = 2 * outer * (tangent / (1 + square)) / offset
    return offset, np.where(offset > 0, along, 1.0)


def ball_force(bar: Spring, depth: ArrayLike) -> Array:
    """Force N of the bar on the ball with its tip `depth` below the face [N]; 0 where the bar's face lies on the tang.

    Parameters
    ----------
    bar : Spring
        Fields broadcast against `depth`.
    depth : array_like
        Depth of the ball's tip [m].

    Returns
    -------
    array

    Notes
    -----
    `N = max(0, k (Y - e))` for `e <= p`. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> from detentsim.mechanics.detent.solution import Spring
    >>> bar = Spring(*map(np.array, (20e3, 0.5e-3, 0.6e-3, 0.0, 0.0)))
    >>> float(ball_force(bar, 0.1e-3)), float(ball_force(bar, 0.7e-3))
    (8.0, 0.0)
    """
    depth = np.asarray(depth, float)
    return np.where(depth <= bar.protrusion, tang_force(bar, depth), 0.0)


def tang_force(bar: Spring, depth: ArrayLike) -> Array:
    """Force of the bar on the tang, through the ball or through the bar's face [N]; `depth` of the ball's tip in [m].

    `N = max(0, k (Y - min(e, p)))`. Derived in studies/00-the-model.ipynb.

    >>> from detentsim.mechanics.detent.solution import Spring
    >>> bar = Spring(*map(np.array, (20e3, 0.7e-3, 0.6e-3, 0.0, 0.0)))
    >>> round(float(tang_force(bar, 0.1e-3)), 9), round(float(tang_force(bar, 0.65e-3)), 9)
    (12.0, 2.0)
    """
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
        N, of the bar on the ball [N].
    touch : BallContact
        Contact of the ball.
    friction : array_like
        mu [-].
    arm : array_like
        rho, pivot to ball [m].
    swing : array_like
        chi sin(beta) of a ball that does not travel square across the bar [-].
    opening : bool
        Sense of motion: in opening a positive torque resists, in closing it pulls in.

    Returns
    -------
    torque : array
        inf where the ball locks: friction alone holds it, whatever the finger's force.

    Notes
    -----
    `F_n = N/(cos psi -+ mu m/v)`, `T = rho F_n (sin psi c_ut +- mu/v)`, `m = tan(psi) c_ut`, `v = sqrt(1+m^2)`, derived
    in studies/00-the-model.ipynb; without radial error the wedge of any statics text,
    `N rho (tan psi +- mu)/(1 -+ mu tan psi)`.

    Examples
    --------
    >>> touch = BallContact(np.array(0.0), np.array(0.5), np.array(1.0))
    >>> wedge = 0.007 * 10 * np.tan(np.arcsin(0.5) + np.arctan(0.12))
    >>> float(torque(10.0, touch, 0.12, 0.007, opening=True) / wedge)
    1.0
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
    """Drag torque of the ball that rides the flat, against the motion: positive in opening, negative in closing [N m].

    `T = mu N(0) rho/(1 - mu chi sin(beta))` in opening; `mu N(0) rho` where the ball travels square across the bar.
    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> solved = ds.curve(ds.demo()).response.load
    >>> knife = solved.record
    >>> float(drag(solved, opening=True) / (knife.friction * ball_force(solved.spring, 0.0) * knife.pivot_to_ball))
    1.0
    """
    record, riding = solved.record, ball_force(solved.spring, 0.0)
    rub = record.friction if opening else -record.friction
    carried = 1 - solved.spring.swing * rub
    with np.errstate(divide="ignore", invalid="ignore"):
        value = record.pivot_to_ball * riding * rub / carried
    return np.where(riding <= 0, 0.0, np.where(carried > 0, value, np.inf))


def twist(give: Array, torque: Array) -> Array:
    """Blade angle by which the bar yields sideways under a torque, `C T` [rad]; 0 for a rigid bar.

    Zero for a rigid bar even where the torque is infinite. `give` is the twist compliance `C = 1/(k_lat rho^2)` [rad/(N
    m)], `torque` in [N m]; they broadcast. Derived in studies/00-the-model.ipynb.

    >>> float(twist(np.array(0.02), np.array(0.5))), float(twist(np.array(0.0), np.array(np.inf)))
    (0.01, 0.0)
    """
    rigid = give <= 0
    return np.asarray(give * (np.where(rigid, 0.0, torque) if rigid.any() else torque))
