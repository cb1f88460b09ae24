"""Torques at the pivot and the finger's force: pivot friction, lever of the finger, weight of the blade.

Self-contained; the breakout force (``detent.opening``) and the motion of the blade use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record, Truth

# Below this share of the opener's radius the finger pushes almost through the pivot and no force is given.
LEAST_LEVER = 0.05

# Standard acceleration of free fall, ISO 80000-3 [m/s^2].
GRAVITY = 9.80665


def collar_radius(outer: ArrayLike, inner: ArrayLike) -> Array:
    """Friction radius of a washer face by uniform wear, `(Do + Di)/4` [m]; the torque is `mu F` times it.

    Source: any machine-design text on clutches and collars, uniform wear.

    >>> 0.1 * 10.0 * float(collar_radius(10.0, 5.0))
    3.75
    """
    return np.asarray((np.asarray(outer, float) + np.asarray(inner, float)) / 4)


def tilted_radius(outer: ArrayLike, inner: ArrayLike, arm: ArrayLike) -> Array:
    """Friction radius of snug washers whose faces press evenly, under a force beside the pivot [m].

    Parameters
    ----------
    outer, inner : array_like
        Diameters of the washers, one on each side of the blade [m].
    arm : array_like
        rho, from the pivot to the force on the blade [m].

    Returns
    -------
    array
        Friction torque over `mu F`: at least `arm`, and at least the radius of an even pressure.

    Notes
    -----
    The faces press in proportion to how far the tilted blade comes into them (straight-line pressure, as under an
    eccentrically loaded footing in any text on statics). One washer or the other bears everywhere, so that the blade
    tilts about a line at `a = I/(A rho) = (Ro^2 + Ri^2)/(4 rho)` from the pivot, and the torque is
    `mu F (rho/I) integral of r |r cos(phi) + a| dA` (derived; the integral over the circle is elementary). A force near
    the pivot gives the even pressure's `(Do^3 - Di^3)/(3 (Do^2 - Di^2))`, one far outside `4 rho/pi`. Washers with play
    bear on their rims, which gives `rho` there.

    Examples
    --------
    >>> round(float(tilted_radius(10.0, 5.0, 1.0)), 5), round(float(tilted_radius(10.0, 5.0, 1000.0)) / 1000, 5)
    (3.88889, 1.27324)
    """
    outer, inner, arm = (np.asarray(size, float) for size in (outer, inner, arm))
    edge, hole = outer / 2, inner / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        tilts_at = (edge**2 + hole**2) / (4 * arm)
        inertia = np.pi * (edge**4 - hole**4) / 4
        tilted = 4 * arm / inertia * (_pressed(edge, tilts_at) - _pressed(hole, tilts_at))
        even = 2 / 3 * (edge**3 - hole**3) / (edge**2 - hole**2)
        return np.where(tilts_at >= edge, even, tilted)


def _pressed(r: Array, a: Array) -> Array:
    """Antiderivative over r of `r^2 (sqrt(r^2 - a^2) + a arcsin(a/r))`, the arcsine pi/2 and the root 0 below a."""
    root = np.sqrt(np.maximum(r * r - a * a, 0))
    angle = np.arcsin(np.minimum(a / r, 1))
    whole = r * root * (r * r / 4 + a * a / 24) + a * r**3 * angle / 3
    return np.asarray(whole + a**4 * np.log(np.maximum(r, a) + root) / 24)


def gap_opened(play: ArrayLike, outer: ArrayLike, arm: ArrayLike) -> Array:
    """Distance by which the ball's push moves the tang away from the bar, by the blade's end play [m].

    Parameters
    ----------
    play : array_like
        How far the blade moves along its pivot between the washers [m].
    outer : array_like
        Diameter of the washers [m].
    arm : array_like
        rho, from the pivot to the ball [m].

    Returns
    -------
    array
        `play` for a ball within the washers; outside them the blade tilts from rim to rim: `play (1 + 2 rho/Do)/2`.

    Notes
    -----
    Rigid blade and washers: it bears on the far washer's rim on the ball's side and on the near washer's rim opposite
    (derived).

    Examples
    --------
    >>> float(gap_opened(0.02, 10.0, 4.0)), round(float(gap_opened(0.02, 10.0, 10.0)), 6)
    (0.02, 0.03)
    """
    outside = np.maximum(2 * np.asarray(arm, float) / np.asarray(outer, float), 1)
    return np.asarray(np.asarray(play, float) * (1 + outside) / 2)


def friction_circle(diameter: ArrayLike, friction: ArrayLike) -> Array:
    """Radius of the friction circle of a bore on its pin, `r sin(arctan mu)` [m].

    A force through the pivot makes that radius times itself of friction torque. Source: Beer and Johnston, Vector
    Mechanics for Engineers: Statics, section on journal bearings, axle friction.

    >>> round(float(friction_circle(4.0, 0.75)), 9)
    1.2
    """
    mu = np.asarray(friction, float)
    return np.asarray(np.asarray(diameter, float) / 2 * mu / np.sqrt(1 + mu * mu))


def pivot_torque(record: Record, push: ArrayLike, ball: ArrayLike = 0.0) -> Array:
    """Friction torque of the pivot under the force `push` [N] of the bar on the tang and its torque `ball` [N m].

    `T_0 + mu_w max(r_w, rho) N + r_f |T|/rho`: the measured part; the washers, on which the force tilts the blade, so
    that the arm is at least `rho` (`tilted_radius`); and the pin, which the ball's force across it presses on at the
    friction circle's radius `r_f`. The finger's share of the pin's friction stands in `lever`. Source: any
    machine-design text, uniform wear; journal friction by the friction circle, Beer and Johnston, Statics, section on
    journal bearings; the arm derived in studies/00-the-model.ipynb. Left out: what the pivot screw's squeeze changes.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> worn = knife._replace(washer_friction=np.array(0.1))
    >>> float(pivot_torque(worn, 10.0) - pivot_torque(knife, 10.0)) / float(knife.pivot_to_ball)
    1.0
    """
    arm = np.maximum(record.washer_radius, record.pivot_to_ball)
    rubbed = record.pivot_torque + record.washer_friction * arm * np.asarray(push, float)
    return np.asarray(rubbed + _journal(record, np.abs(ball)))


def _journal(record: Record, ball: ArrayLike) -> Array:
    """Friction torque of the pin under the ball's torque, `r_f/rho` times it; 0 without a pin, though the ball lock."""
    if not np.any(record.friction_circle):
        return np.zeros(())
    with np.errstate(invalid="ignore"):
        return np.where(
            record.friction_circle > 0, record.friction_circle / record.pivot_to_ball * np.asarray(ball, float), 0.0
        )


def lever(record: Record, blade_angle: ArrayLike) -> Array:
    """Lever of the finger's force about the pivot at blade angles [rad], in [m]; NaN where it is too short.

    `r_o cos(push_angle - theta) - r_f` for a push fixed in the handle, `r_o cos(push_angle) - r_f` for one that turns
    with the blade; derived in studies/00-the-model.ipynb. The finger presses the blade on its pin, whose friction takes
    the friction circle's radius `r_f` from the lever: the most it can be, as if ball and push pressed the same way.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(lever(knife, knife.push_angle) / knife.opener_radius)
    1.0
    """
    turned = record.push_angle - np.where(record.push_follows > 0, 0, np.asarray(blade_angle, float))
    # A blade that never opens has no finite angle, and so no lever.
    arm = record.opener_radius * np.cos(np.where(np.isfinite(turned), turned, np.nan))
    net = arm - record.friction_circle
    return np.where(net > LEAST_LEVER * record.opener_radius, net, np.nan)


def lever_lasts(record: Record, first: ArrayLike, last: ArrayLike) -> Truth:
    """Truth of the finger having a lever at every blade angle from `first` to `last` [rad]; they broadcast.

    The lever is long enough over one range about the angle of best leverage (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> bool(lever_lasts(knife, 0.0, 1.0)), bool(lever_lasts(knife, 0.0, 3.0))
    (True, False)
    """
    least = np.minimum(LEAST_LEVER + record.friction_circle / record.opener_radius, 1.0)
    half = np.arccos(least)
    begins = np.remainder(np.asarray(first, float) - record.push_angle + np.pi, 2 * np.pi) - np.pi
    fixed = (begins > -half) & (begins + (np.asarray(last, float) - first) < half)
    return np.where(record.push_follows > 0, np.cos(record.push_angle) > least, fixed)


def finger_force(record: Record, theta: ArrayLike, torque: ArrayLike, push: ArrayLike) -> Array:
    """Force of the finger against a torque and the pivot's friction, `(T + T_piv)/lever` [N]; NaN without a lever.

    Parameters
    ----------
    record : Record
        Broadcasts against the rest.
    theta : array_like
        Blade angle [rad].
    torque : array_like
        Of the ball against opening [N m].
    push : array_like
        Force of the bar on the tang [N].

    Returns
    -------
    array

    Notes
    -----
    Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(finger_force(knife, 0.0, 0.1, 5.0) * lever(knife, 0.0) - pivot_torque(knife, 5.0, 0.1))
    0.1
    """
    return np.asarray((np.asarray(torque, float) + pivot_torque(record, push, torque)) / lever(record, theta))


def finger_slope(record: Record, theta: ArrayLike, force: ArrayLike, slopes: tuple[Array, Array, Array]) -> Array:
    """Slope of `finger_force` over any variable, from those of torque, push and blade angle over it.

    Parameters
    ----------
    record : Record
        Broadcasts against the rest.
    theta, force : array_like
        Blade angle [rad], and `finger_force` there [N].
    slopes : tuple of array
        Of the ball's torque [N m], of the bar's force on the tang [N] and of the blade angle [rad], per unit of the
        variable.

    Returns
    -------
    array
        [N] per unit of the variable; NaN without a lever.

    Notes
    -----
    Quotient rule (derived), for a ball that resists.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> near, far = (float(finger_force(knife, 0.1 + step, 0.1, 5.0)) for step in (0.0, 1e-6))
    >>> round((far - near) / 1e-6 / float(finger_slope(knife, 0.1, near, (0.0, 0.0, 1.0))), 5)
    1.0
    """
    torque, push, turning = slopes
    arm = np.maximum(record.washer_radius, record.pivot_to_ball)
    with np.errstate(invalid="ignore"):
        sine = np.sin(record.push_angle - np.asarray(theta, float))
        shift = np.where(record.push_follows > 0, 0, record.opener_radius * sine) * turning
        rise = torque + _journal(record, torque) + record.washer_friction * arm * push - np.asarray(force) * shift
        return np.asarray(rise / lever(record, theta))


def gravity_torque(record: Record, blade_angle: ArrayLike) -> Array:
    """Torque of the blade's weight at blade angles [rad], opening positive [N m]; NaN where mass or balance is unknown.

    `m g r_c cos(tilt) sin(alpha_g - theta)`, derived in studies/00-the-model.ipynb; g = 9.80665 m/s^2 (ISO 80000-3).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> abs(float(gravity_torque(knife, knife.down_angle)))
    0.0
    """
    weight = record.blade_mass * GRAVITY * record.balance_radius * np.cos(record.tilt)
    return np.asarray(weight * np.sin(record.down_angle - np.asarray(blade_angle, float)))
