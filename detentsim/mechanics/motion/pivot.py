"""Pivot friction, the finger's lever, and the blade's weight."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record

# Below this share of the opener's radius the finger pushes almost through the pivot and no force is quoted.
LEAST_LEVER = 0.05

# Standard acceleration of free fall, ISO 80000-3 [m/s^2].
GRAVITY = 9.80665


def collar_radius(outer: ArrayLike, inner: ArrayLike) -> Array:
    """Friction radius of a washer face by uniform wear, `(Do + Di)/4` [m]; torque is `mu F` times it.

    Source: any machine-design text on clutches and collars, uniform wear.

    >>> 0.1 * 10.0 * float(collar_radius(10.0, 5.0))
    3.75
    """
    return np.asarray((np.asarray(outer, float) + np.asarray(inner, float)) / 4)


def pivot_torque(record: Record, push: ArrayLike) -> Array:
    """Friction torque of the pivot under the bar's push on the tang [N m].

    The measured part, plus `mu_w max(r_w, rho) N` of one washer face: the ball's push tilts onto the washer's rim, so
    the arm is never less than where it acts. Journal friction and tilt of the blade are left aside.
    """
    arm = np.maximum(record.washer_radius, record.pivot_to_ball)
    return np.asarray(record.pivot_torque + record.washer_friction * arm * np.asarray(push, float))


def lever(record: Record, blade_angle: ArrayLike) -> Array:
    """Arm of the finger's push about the pivot [m]; NaN where it is too short to quote a force.

    `r_o cos(push_angle - theta)` for a push fixed in the handle, `r_o cos(push_angle)` for one that follows.
    """
    turned = record.push_angle - np.where(record.push_follows > 0, 0, np.asarray(blade_angle, float))
    # A blade that never comes free has no angle, and no lever either.
    arm = record.opener_radius * np.cos(np.where(np.isfinite(turned), turned, np.nan))
    return np.where(arm > LEAST_LEVER * record.opener_radius, arm, np.nan)


def finger_force(record: Record, theta: ArrayLike, torque: ArrayLike, push: ArrayLike) -> Array:
    """Force of the finger [N] against a torque, with the pivot's friction; NaN where the lever is too short."""
    return np.asarray((np.asarray(torque, float) + pivot_torque(record, push)) / lever(record, theta))


def gravity_torque(record: Record, blade_angle: ArrayLike) -> Array:
    """Torque of the blade's weight, opening positive [N m]; NaN where mass or balance is unknown.

    `m g r_c cos(tilt) sin(alpha_g - theta)`, g = 9.80665 m/s^2 (ISO 80000-3 standard value).
    """
    weight = record.blade_mass * GRAVITY * record.balance_radius * np.cos(record.tilt)
    return np.asarray(weight * np.sin(record.down_angle - np.asarray(blade_angle, float)))
