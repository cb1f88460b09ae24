"""Pressure that an edge of some hardness bears: once, and from a ball that slides over it for ever."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.hertz import VICKERS

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array

# Projected area of a Vickers indentation over the area of its four faces, sin(68 deg) (ISO 6507-1).
PROJECTED = 0.927

# Mean pressure of a fully plastic indentation over the yield strength (D. Tabor, The Hardness of Metals, 1951).
CONSTRAINT = 3.0

# Friction of a sliding line contact, and the greatest shear along the surface over the peak pressure [-]; above the
# last it lies in the surface and is the friction (derived, as in `shakedown_limit`).
SHEAR_BY_FRICTION = (0.0, 0.1, 0.2, 0.3, 0.367), (0.25, 0.2806, 0.3123, 0.3449, 0.367)


def meyer_pressure(hardness: ArrayLike) -> Array:
    """Mean pressure of an indentation on its projected area, from the Vickers number [Pa].

    `HV * 9.80665 MPa / 0.927`: the Vickers number takes the area of the pyramid's faces. Source: ISO 6507-1; K. L.
    Johnson, Contact Mechanics (1985), section 6.3.

    >>> round(float(meyer_pressure(700.0)) / 1e6)
    7405
    """
    return np.asarray(np.asarray(hardness, float) * VICKERS / PROJECTED)


def shear_strength(hardness: ArrayLike) -> Array:
    """Shear strength k of metal of a Vickers number, `p_m/(3 sqrt(3))` [Pa].

    Tabor's constraint of 3 and the von Mises criterion: D. Tabor, The Hardness of Metals (1951).

    >>> round(float(shear_strength(700.0)) / 1e6)
    1425
    """
    return np.asarray(meyer_pressure(hardness) / (CONSTRAINT * np.sqrt(3)))


def crushing_pressure(hardness: ArrayLike, wedge: ArrayLike) -> Array:
    """Mean pressure at which a wedge of metal flows under a flat on its edge [Pa].

    Parameters
    ----------
    hardness : array_like
        Vickers number.
    wedge : array_like
        Angle that the metal fills, alpha [rad]; pi for a half space.

    Returns
    -------
    array

    Notes
    -----
    Slip lines under a truncated wedge, `2 k (1 + alpha/2)`: R. Hill, The Mathematical Theory of Plasticity (1950),
    from memory; L. Prandtl's solution for pi. Scaled to the measured hardness of the half space (a constraint of 3
    rather than 2.97).

    Examples
    --------
    >>> round(float(crushing_pressure(700.0, np.pi / 2) / crushing_pressure(700.0, np.pi)), 3)
    0.694
    """
    return np.asarray(meyer_pressure(hardness) * (1 + np.asarray(wedge, float) / 2) / (1 + np.pi / 2))


def first_limit(hardness: ArrayLike, wedge: ArrayLike) -> Array:
    """Peak elastic pressure of an edge that its first load has coined, `4/pi` times `crushing_pressure` [Pa].

    The ball leaves a shape that it touches, loaded again by as much, elastically over the same width: K. L. Johnson,
    Contact Mechanics (1985), section 6.4. Parameters as in `crushing_pressure`.

    >>> round(float(first_limit(700.0, np.pi)) / 1e6)
    9429
    """
    return np.asarray(4 / np.pi * crushing_pressure(hardness, wedge))


def shakedown_limit(hardness: ArrayLike, friction: ArrayLike) -> Array:
    """Peak pressure of a line contact that may slide over metal for ever without coining it further [Pa].

    Parameters
    ----------
    hardness : array_like
        Vickers number.
    friction : array_like
        [-].

    Returns
    -------
    array

    Notes
    -----
    Melan's theorem: residual stress in a half space cannot take away the shear `tau_xz` along the surface, so its
    greatest value under pressure and traction must stay below k; 4 k without friction. Source: K. L. Johnson, Contact
    Mechanics (1985), section 9.2; stresses: eqs. 4.49 and 7.7.

    Examples
    --------
    >>> round(float(shakedown_limit(700.0, 0.0) / shear_strength(700.0)), 2)
    4.0
    """
    shear = np.maximum(np.interp(np.asarray(friction, float), *SHEAR_BY_FRICTION), friction)
    return np.asarray(shear_strength(hardness) / shear)
