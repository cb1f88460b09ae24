"""Press fit of the ball in its hole in the bar: grip pressure, yield of the metal around it, holding force.

A ball touches its hole along a belt and not over a length, so the values for a cylinder of its size are an upper
guide. Self-contained; the limits of the ball's hole use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index

Metal = tuple[ArrayLike, ArrayLike]
"""Young's modulus [Pa] and Poisson's ratio."""


def lame_pressure(interference: ArrayLike, shaft: ArrayLike, outer: ArrayLike, hub: Metal, core: Metal) -> Array:
    """Pressure between a solid shaft and the ring it is pressed into, both elastic [Pa].

    Parameters
    ----------
    interference : array_like
        Shaft's diameter less the hole's [m].
    shaft, outer : array_like
        Diameters of the joint and of the ring's outside [m].
    hub, core : Metal
        Of ring and shaft.

    Returns
    -------
    array

    Notes
    -----
    `p = delta/(d ((D^2+d^2)/(D^2-d^2)+nu_o)/E_o + d (1-nu_i)/E_i)`, plane stress. Source: G. Lame; DIN 7190.

    Examples
    --------
    >>> round(float(lame_pressure(0.04e-3, 0.05, 0.08, (200e9, 0.3), (200e9, 0.3))) / 1e6, 2)
    48.75
    """
    d, big = np.asarray(shaft, float), np.asarray(outer, float)
    ring = ((big**2 + d**2) / (big**2 - d**2) + hub[1]) / hub[0]
    return np.asarray(np.asarray(interference, float) / (d * (ring + (1 - np.asarray(core[1], float)) / core[0])))


def plastic_pressure(reach: ArrayLike, outer: ArrayLike, yield_strength: ArrayLike) -> Array:
    """Pressure in a hole whose ring is plastic out to `reach`, `Y ln c + Y/2 (1 - c^2/b^2)` [Pa].

    Parameters
    ----------
    reach, outer : array_like
        Radii of the plastic zone and of the ring's outside, over the hole's radius.
    yield_strength : array_like
        [Pa].

    Returns
    -------
    array

    Notes
    -----
    Tresca; first yield at reach 1. Source: R. Hill, The Mathematical Theory of Plasticity (1950), ch. V.

    Examples
    --------
    >>> float(plastic_pressure(1.0, 2.0, 800.0))
    300.0
    """
    c, b = np.asarray(reach, float), np.asarray(outer, float)
    return np.asarray(np.asarray(yield_strength, float) * (np.log(c) + (1 - (c / b) ** 2) / 2))


def plastic_growth(reach: ArrayLike, outer: ArrayLike, hub: Metal, yield_strength: ArrayLike) -> Array:
    """Radial growth of a hole over its radius with its ring plastic out to `reach` [-].

    `(1-nu^2) Y c^2/E - (1+nu)(1-2nu) p/E`, plane strain; reach and outer as in `plastic_pressure`. Source: R. Hill,
    The Mathematical Theory of Plasticity (1950), ch. V.

    >>> bool(plastic_growth(2.0, 4.0, (200e9, 0.3), 500e6) > plastic_growth(1.0, 4.0, (200e9, 0.3), 500e6))
    True
    """
    modulus, nu = (np.asarray(part, float) for part in hub)
    strain = np.asarray(yield_strength, float) / modulus
    pressed = plastic_pressure(reach, outer, yield_strength) / modulus
    return np.asarray((1 - nu**2) * strain * np.asarray(reach) ** 2 - (1 + nu) * (1 - 2 * nu) * pressed)


def grip_pressure(
    interference: ArrayLike, hole: ArrayLike, outer: ArrayLike, hub: Metal, core: Metal, yield_strength: ArrayLike
) -> tuple[Array, Array]:
    """Pressure of a hole on the shaft pressed into it, and radius of the plastic zone around it.

    Parameters
    ----------
    interference : array_like
        Shaft's diameter less the hole's [m]; none, or less, grips nothing.
    hole, outer : array_like
        Diameters of the hole and of the ring's outside [m].
    hub, core : Metal
        Of ring and shaft; the shaft stays elastic.
    yield_strength : array_like
        Of the ring [Pa].

    Returns
    -------
    pressure : array
        [Pa]; NaN where the whole ring is plastic and bursts.
    reach : array
        Radius of the plastic zone over the hole's; 1 while the ring is elastic, NaN where it bursts.

    Notes
    -----
    `lame_pressure` in plane strain, then R. Hill's elastic-plastic ring (The Mathematical Theory of Plasticity, 1950,
    ch. V), which continues it at first yield.

    Examples
    --------
    >>> pressure, reach = grip_pressure(2e-6, 1.6e-3, 8e-3, (114e9, 0.34), (310e9, 0.26), 830e6)
    >>> round(float(pressure) / 1e6, 1), float(reach)
    (84.5, 1.0)
    """
    names = (interference, hole, outer, *hub, *core, yield_strength)
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in names))
    shape, (delta, d, big, modulus, nu, hard, hard_nu, strength) = parts[0].shape, (part.ravel() for part in parts)
    ratio = big / d
    flat = modulus / (1 - nu**2), nu / (1 - nu)
    elastic = lame_pressure(np.maximum(delta, 0), d, big, flat, (hard, hard_nu))

    def miss(reach: Array, i: Index) -> Array:
        squeezed = plastic_pressure(reach, ratio[i], strength[i]) * (1 - hard_nu[i]) / hard[i]
        grown = plastic_growth(reach, ratio[i], (modulus[i], nu[i]), strength[i])
        return np.asarray(grown + squeezed - delta[i] / d[i])

    yields = elastic > plastic_pressure(1.0, ratio, strength)
    reach = np.where(yields, bracketed_root(miss, np.ones(delta.size), ratio, close=1e-12), 1.0)
    pressure = np.where(yields, plastic_pressure(reach, ratio, strength), elastic)
    return pressure.reshape(shape), reach.reshape(shape)


def belt(ball: ArrayLike, hole: ArrayLike) -> Array:
    """Length of the belt along which a ball fills a hole smaller than itself, `sqrt(D^2 - d^2)` [m].

    Plain geometry (derived); diameters `ball` D and `hole` d [m].

    >>> float(belt(5.0, 4.0))
    3.0
    """
    return np.asarray(np.sqrt(np.maximum(np.asarray(ball, float) ** 2 - np.asarray(hole, float) ** 2, 0)))


def holding_force(pressure: ArrayLike, diameter: ArrayLike, length: ArrayLike, friction: ArrayLike) -> Array:
    """Axial force that friction holds in a press fit, `mu p pi d l` [N]; pressure in [Pa], lengths in [m].

    Source: DIN 7190; any text on machine elements.

    >>> round(float(holding_force(48.75e6, 0.05, 0.04, 0.15)), 1)
    45945.8
    """
    around = np.pi * np.asarray(diameter, float) * np.asarray(length, float)
    return np.asarray(np.asarray(friction, float) * np.asarray(pressure, float) * around)
