"""Torques at the pivot and the finger's force: pivot friction, lever of the finger, weight of the blade.

Stands alone; the breakout force (``detent.opening``) and the motion of the blade stand on it.
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


def pivot_torque(record: Record, push: ArrayLike) -> Array:
    """Friction torque of the pivot under the force `push` [N] of the bar on the tang [N m].

    `T_0 + mu_w max(r_w, rho) N`: the measured part, and one washer face; the force tilts the blade onto the washer's
    rim, so that the arm is at least `rho`. Source: any machine-design text, uniform wear; the arm derived in
    studies/00-the-model.ipynb. Left out: journal friction, tilt of the blade.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> worn = knife._replace(washer_friction=np.array(0.1))
    >>> float(pivot_torque(worn, 10.0) - pivot_torque(knife, 10.0)) / float(knife.pivot_to_ball)
    1.0
    """
    arm = np.maximum(record.washer_radius, record.pivot_to_ball)
    return np.asarray(record.pivot_torque + record.washer_friction * arm * np.asarray(push, float))


def lever(record: Record, blade_angle: ArrayLike) -> Array:
    """Lever of the finger's force about the pivot at blade angles [rad], in [m]; NaN where it is too short.

    `r_o cos(push_angle - theta)` for a push fixed in the handle, `r_o cos(push_angle)` for one that turns with the
    blade; derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(lever(knife, knife.push_angle) / knife.opener_radius)
    1.0
    """
    turned = record.push_angle - np.where(record.push_follows > 0, 0, np.asarray(blade_angle, float))
    # A blade that never opens has no finite angle, and so no lever.
    arm = record.opener_radius * np.cos(np.where(np.isfinite(turned), turned, np.nan))
    return np.where(arm > LEAST_LEVER * record.opener_radius, arm, np.nan)


def lever_lasts(record: Record, first: ArrayLike, last: ArrayLike) -> Truth:
    """Truth of the finger having a lever at every blade angle from `first` to `last` [rad]; they broadcast.

    The lever is long enough over one range about the angle of best leverage (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> bool(lever_lasts(knife, 0.0, 1.0)), bool(lever_lasts(knife, 0.0, 3.0))
    (True, False)
    """
    half = np.arccos(LEAST_LEVER)
    begins = np.remainder(np.asarray(first, float) - record.push_angle + np.pi, 2 * np.pi) - np.pi
    fixed = (begins > -half) & (begins + (np.asarray(last, float) - first) < half)
    return np.where(record.push_follows > 0, np.cos(record.push_angle) > LEAST_LEVER, fixed)


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
    >>> float(finger_force(knife, 0.0, 0.1, 5.0) * lever(knife, 0.0) - pivot_torque(knife, 5.0))
    0.1
    """
    return np.asarray((np.asarray(torque, float) + pivot_torque(record, push)) / lever(record, theta))


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
    Quotient rule (derived).

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
        rise = torque + record.washer_friction * arm * push - np.asarray(force) * shift
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
