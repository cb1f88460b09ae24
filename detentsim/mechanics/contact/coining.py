"""Edge radius that use gives a drilled edge: coined by the ball's pressure, then worn by its sliding.

A sharp edge yields under the ball until it is as round as its hardness demands: at first to the pressure at which a
wedge of metal flows, over many passes to the shakedown limit of a rolling or sliding line contact. Sliding then wears
it by Archard's law. The ball is taken as harder than the edge, its pressure as that of ``rim``.

Stands on ``rim`` alone; the analysis of wear in one build takes the loads along the ball's path to it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.hertz import VICKERS
from detentsim.mechanics.contact.rim import Edge, Moduli, bedded
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index

# Projected area of a Vickers indentation over the area of its four faces, sin(68 deg) (ISO 6507-1).
PROJECTED = 0.927

# Mean pressure of a fully plastic indentation over the yield strength (D. Tabor, The Hardness of Metals, 1951).
CONSTRAINT = 3.0

# Wear coefficients K of Archard's law, least and most [-]. Dry: ferritic stainless on tool steel 1.7e-5, hardened
# tool steel on itself 1.3e-4 (J. F. Archard and W. Hirst, Proc. R. Soc. A 236, 1956, from memory). Oiled or greased:
# from good to poor boundary lubrication (E. Rabinowicz, Friction and Wear of Materials, from memory).
WEAR = {"oiled": (1e-7, 1e-5), "dry": (1e-5, 1.3e-4)}

# Friction of a sliding line contact, and the greatest shear along the surface over the peak pressure [-]; above the
# last it lies in the surface and is the friction (derived, as in `shakedown_limit`).
SHEAR_BY_FRICTION = (0.0, 0.1, 0.2, 0.3, 0.367), (0.25, 0.2806, 0.3123, 0.3449, 0.367)

# Largest edge radius looked for [m]; an edge that does not bear the load at it counts as one of infinite radius.
BROADEST = 0.01

SHARPEST = 1e-8  # edge radius below which an edge counts as sharp [m]


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


def coined_radius(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike, limit: ArrayLike) -> Array:
    """Edge radius at which the ball's pressure falls to a limit [m]; the edge's own where that bears it.

    Parameters
    ----------
    edge : Edge
        As it is; `sine` is that of the contact angle under the load.
    moduli : Moduli
    force : array_like
        Along the dimple's axis [N].
    offset : array_like
        Of the ball from the dimple's axis [m].
    limit : array_like
        Peak pressure that the edge bears [Pa].

    Returns
    -------
    array
        inf where no edge, however broad, bears the load.

    Notes
    -----
    Pressure by `rim.bedded`, without friction.

    Examples
    --------
    >>> edge = Edge(0.8e-3, 0.9, 0.0, np.pi / 2, np.pi / 4)
    >>> radius = coined_radius(edge, (230e9, 230e9), 10.0, 0.05e-3, [5e9, 7e9])
    >>> (radius * 1e3).round(3).tolist()
    [0.126, 0.057]
    """
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in (*edge, *moduli, force, offset, limit)))
    shape, flat = parts[0].shape, [part.ravel() for part in parts]
    own = flat[2]

    def above(log_radius: Array, i: Index) -> Array:
        bent = Edge(flat[0][i], flat[1][i], np.exp(log_radius), flat[3][i], flat[4][i])
        return np.asarray(peak_pressure(bent, (flat[5][i], flat[6][i]), flat[7][i], flat[8][i]) - flat[9][i])

    low = np.log(np.maximum(own, SHARPEST))
    high = np.full(own.size, np.log(BROADEST))
    every = np.arange(own.size)
    yields, fails = above(low, every) > 0, above(high, every) > 0
    root = bracketed_root(lambda log, i: -above(log, i), low, np.maximum(high, low), close=1e-6)
    radius = np.where(fails, np.inf, np.where(yields, np.exp(root), own))
    return np.where(own >= BROADEST, own, radius).reshape(shape)


def peak_pressure(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike) -> Array:
    """Peak pressure of the ball on its edge at a contact angle under load [Pa]; parameters as in `coined_radius`.

    Source: `rim.bedded`.

    >>> edge = Edge(0.8e-3, 0.9, 0.03e-3, np.pi / 2, np.pi / 4)
    >>> round(float(peak_pressure(edge, (230e9, 230e9), 10.0, 0.05e-3)) / 1e9, 1)
    9.3
    """
    return bedded(centred(edge, offset), moduli, force, offset).pressure


def centred(edge: Edge, offset: ArrayLike) -> Edge:
    """Edge whose `sine` is that of the centred ball, from that at an offset [m]: `sin psi + s/(R + r)` (derived).

    >>> round(float(centred(Edge(0.9e-3, 0.5, 0.1e-3, np.pi / 2, np.pi / 4), 0.2e-3).sine), 3)
    0.7
    """
    size = np.asarray(edge.ball, float) + np.asarray(edge.rounding, float)
    return edge._replace(sine=edge.sine + np.asarray(offset, float) / size)


def worn_area(load_by_path: ArrayLike, hardness: ArrayLike, coefficient: ArrayLike) -> Array:
    """Section of metal that sliding wears off an edge, `K (w l)/H` [m^2].

    Parameters
    ----------
    load_by_path : array_like
        Line load times the way it slides, of all passes together [N].
    hardness : array_like
        Vickers number; H is its `meyer_pressure`.
    coefficient : array_like
        K [-].

    Returns
    -------
    array

    Notes
    -----
    J. F. Archard, Journal of Applied Physics 24 (1953) 981, `V = K W s/H`, for each unit of length along the edge.

    Examples
    --------
    >>> round(float(worn_area(1e4 * 30.0, 700.0, 1e-6)) * 1e12, 1)
    40.5
    """
    return np.asarray(np.asarray(coefficient, float) * load_by_path / meyer_pressure(hardness))


def worn_radius(radius: ArrayLike, wedge: ArrayLike, area: ArrayLike) -> Array:
    """Radius of an edge after more of its section has worn off [m].

    Parameters
    ----------
    radius : array_like
        Before [m].
    wedge : array_like
        Angle that the metal fills, alpha [rad], below pi.
    area : array_like
        Worn off [m^2].

    Returns
    -------
    array

    Notes
    -----
    A rounding that touches both faces takes `r^2 (cot(alpha/2) - (pi - alpha)/2)` off a sharp edge (derived).

    Examples
    --------
    >>> round(float(worn_radius(0.0, np.pi / 2, 1 - np.pi / 4)), 12)
    1.0
    """
    turn = (np.pi - np.asarray(wedge, float)) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        more = np.asarray(area, float) / (np.tan(turn) - turn)
    return np.asarray(np.sqrt(np.asarray(radius, float) ** 2 + np.where(np.asarray(area, float) > 0, more, 0.0)))
