"""Elastic contact of the ball on the tang's flat: pressure, yield, dent, ring crack.

Self-contained; the contact limits and the flag `dents_tang` use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index, Record

# ISO 76:2006 static limit for ball bearings: a permanent dent of about 1e-4 of the ball's diameter in bearing steel.
ISO_76_PRESSURE = 4200e6  # [Pa]

# Softest bearing steel that limit is meant for, 58 HRC by ASTM E140 [Vickers]; the limit falls with hardness below
# it, since a dent depends on pressure over yield strength (derived).
ISO_76_HARDNESS = 653.0

# A Vickers number as a pressure, the kilogram-force per square millimetre of its definition [Pa].
VICKERS = 9.80665e6

# Auerbach's coefficient of a sphere on a flat (B. R. Lawn 1998, from memory).
RING_CRACK = 8.6e3


def contact_modulus(e1: ArrayLike, nu1: ArrayLike, e2: ArrayLike, nu2: ArrayLike) -> Array:
    """Effective modulus E* of two bodies, `1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2` [Pa].

    Source: K. L. Johnson, Contact Mechanics (1985), section 4.2.

    >>> round(float(contact_modulus(200e9, 0.3, 200e9, 0.3)) / 1e9, 3)
    109.89
    """
    give = (1 - np.asarray(nu1, float) ** 2) / e1 + (1 - np.asarray(nu2, float) ** 2) / e2
    return np.asarray(1 / give)


def peak_pressure(force: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Peak pressure under a sphere on a flat, `(6 N E*^2 / (pi^3 R^2))^(1/3)` [Pa].

    `force` N [N], `radius` R [m], `modulus` E* [Pa]. Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.24.

    >>> round(float(peak_pressure(500, 0.025, 200e9 / (2 * (1 - 0.3**2)))) / 1e6, 2)
    1231.88
    """
    top = 6 * np.asarray(force, float) * np.asarray(modulus, float) ** 2
    return np.asarray(np.cbrt(top / (np.pi**3 * np.asarray(radius, float) ** 2)))


def pressure_on_tang(record: Record, force: ArrayLike) -> Array:
    """Peak pressure of the ball on the tang's flat under `force` [N], by `peak_pressure` [Pa].

    Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.24.

    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> round(float(pressure_on_tang(response.load.record, response.results["riding_force"])) / 1e6, 1)
    2879.7
    """
    modulus = contact_modulus(record.ball_modulus, record.ball_poisson, record.tang_modulus, record.tang_poisson)
    return peak_pressure(force, record.ball_radius, modulus)


def pressure_limit(hardness: ArrayLike) -> Array:
    """Peak pressure on a flat of Vickers number `hardness` that leaves a dent of 1e-4 of the ball's diameter [Pa].

    Source: ISO 76:2006 for steel of 58 HRC and harder; lowered in proportion to hardness below that (derived).

    >>> float(pressure_limit(700.0)) / 1e6
    4200.0
    """
    return np.asarray(ISO_76_PRESSURE * np.minimum(1, np.asarray(hardness, float) / ISO_76_HARDNESS))


def contact_radius(force: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Radius of the contact under a sphere on a flat, `(3 N R/(4 E*))^(1/3)` [m].

    `force` N [N], `radius` R [m], `modulus` E* [Pa]. Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.22.

    >>> round(float(contact_radius(500, 0.025, 200e9 / (2 * (1 - 0.3**2)))) * 1e3, 6)
    0.440221
    """
    return np.asarray(np.cbrt(0.75 * np.asarray(force, float) * np.asarray(radius, float) / modulus))


def approach(force: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Approach of sphere and flat by their elastic deformation, `a^2/R` [m].

    `force` N [N], `radius` R [m], `modulus` E* [Pa]. Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.23.

    >>> round(float(approach(500, 0.025, 200e9 / (2 * (1 - 0.3**2)))) * 1e6, 5)
    7.75179
    """
    return np.asarray(contact_radius(force, radius, modulus) ** 2 / np.asarray(radius, float))


def force_at_pressure(pressure: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Force on a sphere on a flat for a peak pressure, `pi^3 p0^3 R^2/(6 E*^2)` [N].

    Inverse of `peak_pressure`. Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.24.

    >>> round(float(force_at_pressure(peak_pressure(500, 0.025, 110e9), 0.025, 110e9)), 9)
    500.0
    """
    top = (np.pi * np.asarray(pressure, float)) ** 3 * np.asarray(radius, float) ** 2
    return np.asarray(top / (6 * np.asarray(modulus, float) ** 2))


def shear_below(depth: ArrayLike, poissons_ratio: ArrayLike) -> Array:
    """Shear stress on the axis under a round contact over its peak pressure [-], at `depth` over the contact's radius.

    Source: Shigley's Mechanical Engineering Design, 9th ed., eqs. 3-70 and 3-71 (stresses on the axis).

    >>> round(float(shear_below(0.48, 0.3)), 3)
    0.31
    """
    z, nu = np.asarray(depth, float), np.asarray(poissons_ratio, float)
    reach = 1 - z * np.arctan2(1.0, z)
    return np.asarray(np.abs(1.5 / (1 + z**2) - (1 + nu) * reach) / 2)


def largest_shear(poissons_ratio: ArrayLike) -> tuple[Array, Array]:
    """Largest shear stress under a round contact over its peak pressure, and its depth over the contact's radius [-].

    Maximum of `shear_below`, where its slope is zero. Source: Shigley's Mechanical Engineering Design, 9th ed.,
    eqs. 3-70 and 3-71.

    >>> ratio, depth = largest_shear(0.30)
    >>> round(float(ratio), 4), round(float(depth), 3)
    (0.31, 0.481)
    """
    nu = np.asarray(poissons_ratio, float)
    row = nu.ravel()

    def slope(depth: Array, index: Index) -> Array:
        square = 1 + depth**2
        return (1 + row[index]) * (np.arctan2(1.0, depth) - depth / square) - 3 * depth / square**2

    depth = bracketed_root(slope, np.full(row.size, 0.2), np.full(row.size, 1.0))
    return shear_below(depth, row).reshape(nu.shape), depth.reshape(nu.shape)


def first_yield_pressure(yield_strength: ArrayLike, poissons_ratio: ArrayLike) -> Array:
    """Peak pressure at which a flat first yields, below its surface, by the largest shear stress (Tresca) [Pa].

    About 1.6 times the yield strength. Source: K. L. Johnson, Contact Mechanics (1985), section 6.1.

    >>> round(float(first_yield_pressure(1.0, 0.3)), 2)
    1.61
    """
    return np.asarray(np.asarray(yield_strength, float) / (2 * largest_shear(poissons_ratio)[0]))


def edge_tension(pressure: ArrayLike, poissons_ratio: ArrayLike) -> Array:
    """Largest tension in the surface, at the edge of the contact, `(1 - 2 nu) p0/3` [Pa].

    It starts a ring crack in a brittle ball. Source: K. L. Johnson, Contact Mechanics (1985), eq. 3.48.

    >>> round(float(edge_tension(3e9, 0.25)) / 1e6, 6)
    500.0
    """
    return np.asarray((1 - 2 * np.asarray(poissons_ratio, float)) * np.asarray(pressure, float) / 3)


def ring_crack_force(toughness: ArrayLike, modulus: ArrayLike, radius: ArrayLike) -> Array:
    """Force on a ball at which a ring crack starts round its contact, `8.6e3 R K^2/E` [N].

    Parameters
    ----------
    toughness : array_like
        K_Ic of the brittle body [Pa m^0.5].
    modulus : array_like
        Its Young's modulus [Pa].
    radius : array_like
        Of the ball [m].

    Returns
    -------
    array

    Notes
    -----
    Auerbach's law: in so small a contact the tension falls off before a flaw can run, so the force goes with the radius
    and the bending strength of a large piece is too low a limit. Source: B. R. Lawn, Indentation of ceramics with
    spheres: a century after Hertz, J. Am. Ceram. Soc. 81 (1998), coefficient for a hard ball on a flat, from memory.

    Examples
    --------
    >>> round(float(ring_crack_force(6e6, 310e9, 0.79375e-3)))
    793
    """
    grown = np.asarray(toughness, float) ** 2 / np.asarray(modulus, float)
    return np.asarray(RING_CRACK * grown * np.asarray(radius, float))


def dent_depth(record: Record, force: ArrayLike) -> Array:
    """Estimated depth of the dent that a ball leaves in the tang's flat [m]; 0 below first yield.

    Parameters
    ----------
    record : Record
        Ball and tang.
    force : array_like
        On the ball [N].

    Returns
    -------
    array

    Notes
    -----
    1e-4 of the ball's diameter at the limit of `pressure_limit` (ISO 76), growing with the square of the force
    (A. Palmgren's law for balls, from memory), and at most the dent of a wholly plastic flat,
    `N/(2 pi R H)` (D. Tabor, The Hardness of Metals, 1951: pressure = hardness). A ball that slides back and forth cuts
    deeper in time; wear is not computed.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(dent_depth(knife, 0.01)), bool(dent_depth(knife, 500.0) > 0)
    (0.0, True)
    """
    n, radius = np.asarray(force, float), record.ball_radius
    modulus = contact_modulus(record.ball_modulus, record.ball_poisson, record.tang_modulus, record.tang_poisson)
    hardness = np.asarray(record.tang_hardness, float) * VICKERS
    start = first_yield_pressure(hardness / 3, record.tang_poisson)
    marked = 2e-4 * radius * (n / force_at_pressure(pressure_limit(record.tang_hardness), radius, modulus)) ** 2
    plastic = n / (2 * np.pi * radius * hardness)
    return np.where(peak_pressure(n, radius, modulus) > start, np.minimum(marked, plastic), 0.0)
