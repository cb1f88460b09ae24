"""The bend in the bar: where the free bar stands, and whether service takes bend back out.

Elastic-perfectly-plastic rectangle, reversed loading by Masing's rule (no Bauschinger effect). A wide relief
yields later than the beam taken here, so the verdict leans to the safe side.
"""

import numpy as np
from numpy.typing import ArrayLike

from .record import Array, Record, Truth


def bend_centre(record: Record) -> Array:
    """Distance from the root about which the bent bar swings, the centroid of plastic curvature [m].

    A quarter of the relief's length where the relief takes the bend; the place itself where it was bent at one;
    for a bar of even curvature along its length the centre that gives `y = b (x/x_tip)^2` at the ball.
    """
    a, tip = record.ball_from_root, record.tip_from_root
    spread = a * tip / (a + tip)
    centre = np.where(record.bend_along > 0, spread, record.relief_length / 4)
    return np.where(np.isnan(record.bend_at), centre, record.bend_at)


def free_offset(record: Record) -> Array:
    """Inward offset y_f of the free bar at the ball, `b (a - x_h)/(x_tip - x_h)` [m]; 0 short of the bend."""
    centre = bend_centre(record)
    return record.bend * np.maximum(record.ball_from_root - centre, 0) / (record.tip_from_root - centre)


def permanent_curvature(moment_ratio: ArrayLike) -> Array:
    """Curvature left after a moment `m = M/M_y` is taken off, over the yield curvature [-].

    `1/sqrt(3 - 2m) - m` for 1 <= m < 1.5, else 0. Source: F. P. Beer and E. R. Johnston, Mechanics of Materials,
    plastic bending of a rectangle: `M = 1.5 M_y (1 - (kappa_y/kappa)^2/3)`, elastic unloading.

    >>> float(permanent_curvature(36.8 / 28.8)) * 240e6 / (200e9 * 0.060) * 225.0
    1.0
    """
    m = np.clip(np.asarray(moment_ratio, float), 1, None)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.where(m < 1.5, 1 / np.sqrt(np.maximum(3 - 2 * m, 0)), np.inf) - m
    return np.asarray(left)


def tip_offset_left(moment_ratio: ArrayLike, relief_share: ArrayLike) -> Array:
    """Tip offset left by a push at the tip, over `kappa_y x_tip^2` [-] (closed form, derived).

    Parameters
    ----------
    moment_ratio : array_like
        Root moment of the push over the first-yield moment; no bend is left up to 1, and 1.5 is a hinge.
    relief_share : array_like
        Relief length over tip distance; no metal yields beyond it.

    Notes
    -----
    Integral of `permanent_curvature(m) m` over m, times `1/m0^2`, from max(1, m0 (1 - share)) to m0.
    """
    m0 = np.clip(np.asarray(moment_ratio, float), 1, 1.5)
    end = np.maximum(1, m0 * (1 - np.asarray(relief_share, float)))
    return np.asarray((_bend_area(m0) - _bend_area(end)) / m0**2)


def _bend_area(m: Array) -> Array:
    """Antiderivative of (1/sqrt(3-2m) - m) m."""
    root = np.sqrt(3 - 2 * m)
    return -1.5 * root + root**3 / 6 - m**3 / 3


def service_share(record: Record, stiffness: ArrayLike, travel: ArrayLike) -> Array:
    """Root moment of pushing the ball out by `travel` from free, over first yield `M_y` [-]."""
    yield_moment = record.yield_strength * record.width * record.relief_thickness**2 / 6
    force = np.asarray(stiffness, float) * np.maximum(np.asarray(travel, float), 0)
    return np.asarray(force * record.ball_from_root / yield_moment)


def loses_bend(record: Record, stiffness: ArrayLike, travel: ArrayLike) -> Truth:
    """Tell whether pushing the ball out by `travel` from free takes bend back out of the bar.

    The push works against the bending-in moment: it yields where `M_service > 2 M_y - M_bend`, with
    `M_bend` the moment that made the bend (1.5 M_y where bent at one place). Instead of solving for
    M_bend, the bend is compared with the one that the allowed M_bend leaves, which is the same question.
    """
    share = service_share(record, stiffness, travel)
    allowed = np.clip(2 - share, 1, 1.5)
    curvature = 2 * record.yield_strength / (record.youngs_modulus * record.relief_thickness)
    tip = record.tip_from_root
    in_relief = tip_offset_left(allowed, record.relief_length / tip) * curvature * tip**2
    along = permanent_curvature(allowed) * curvature * tip**2 / 2
    room = np.where(record.bend_along > 0, along, in_relief)
    room = np.where(np.isnan(record.bend_at), room, 0)
    return (share > 1) | ((share > 0.5) & (record.bend > room))
