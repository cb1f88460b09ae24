"""Elastic contact of the ball on the flat of the tang, and what a hard flat takes without a dent."""

import numpy as np
from numpy.typing import ArrayLike

from .record import Array, Record

# ISO 76:2006 static limit for ball bearings: a permanent dent of about 1e-4 of the ball's diameter in bearing steel.
ISO_76_PRESSURE = 4200e6  # [Pa]
# Softest bearing steel that limit is meant for, 58 HRC by ASTM E140 [Vickers]; the limit falls with hardness below
# it, since a dent depends on pressure over yield strength (derived).
ISO_76_HARDNESS = 653.0


def contact_modulus(e1: ArrayLike, nu1: ArrayLike, e2: ArrayLike, nu2: ArrayLike) -> Array:
    """Effective modulus E* of two bodies, `1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2` [Pa].

    Source: K. L. Johnson, Contact Mechanics (1985), section 4.2.
    """
    give = (1 - np.asarray(nu1, float) ** 2) / e1 + (1 - np.asarray(nu2, float) ** 2) / e2
    return np.asarray(1 / give)


def peak_pressure(force: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Largest pressure under a sphere on a flat, `(6 N E*^2 / (pi^3 R^2))^(1/3)` [Pa].

    Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.24.

    >>> round(float(peak_pressure(500, 0.025, 200e9 / (2 * (1 - 0.3**2)))) / 1e6, 2)
    1231.88
    """
    top = 6 * np.asarray(force, float) * np.asarray(modulus, float) ** 2
    return np.asarray(np.cbrt(top / (np.pi**3 * np.asarray(radius, float) ** 2)))


def pressure_on_tang(record: Record, force: ArrayLike) -> Array:
    """Peak pressure of the ball on the tang's flat under `force` [Pa]."""
    modulus = contact_modulus(record.ball_modulus, record.ball_poisson, record.tang_modulus, record.tang_poisson)
    return peak_pressure(force, record.ball_radius, modulus)


def pressure_limit(hardness: ArrayLike) -> Array:
    """Peak pressure a flat of this Vickers hardness takes with a dent of 1e-4 of the ball's diameter [Pa].

    Source: ISO 76:2006 for steel of 58 HRC and harder; lowered in proportion to hardness below that (derived).
    """
    return np.asarray(ISO_76_PRESSURE * np.minimum(1, np.asarray(hardness, float) / ISO_76_HARDNESS))
