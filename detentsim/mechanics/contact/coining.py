"""How far the ball presses back and wears away a drilled edge: coined by its pressure, then worn by its sliding.

An edge yields under the ball until the pressure has fallen to what the edge's hardness bears: in the first openings the
pressure at which a wedge of metal flows, over many openings the shakedown limit of a sliding line contact. As the edge
recedes it
becomes rounder along the ball's path and takes the ball's own shape across it, so that the load spreads. Sliding then
wears it by Archard's law. The ball is taken as harder than the edge; its pressure on the edge as cut is that of
``rim``, without the traction of friction.

Uses ``rim`` alone; the analysis of wear in one build takes the loads along the ball's path to it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact.hertz import VICKERS
from detentsim.mechanics.contact.rim import Edge, Moduli, bedded, line_pressure, reduced
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

# Farthest that an edge is looked for [m]; one that does not bear the load there bears it nowhere.
FARTHEST = 0.3e-3

# Least recession over the radius of the rounding: an edge almost as flat as its faces is no edge [-].
FLATTEST = 1e-3


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


class Coined(NamedTuple):
    """Contact of the ball on an edge that has gone back by some recession."""

    line_load: Array  # greatest, in the middle of the loaded length [N/m]
    pressure: Array  # peak of it [Pa]


def recession_by_radius(edge: Edge) -> Array:
    """How far a rounding that touches both faces goes back along the contact's normal, over its radius [-].

    `cos(psi - middle)/sin(alpha/2) - 1` from the sharp edge, with the angle alpha that the metal fills (derived).

    >>> round(float(recession_by_radius(Edge(1e-3, np.sin(np.pi / 4), 0.0, np.pi / 2, np.pi / 4))), 6)
    0.414214
    """
    lean = np.arcsin(np.clip(np.asarray(edge.sine, float), 0, 1)) - edge.middle
    return np.asarray(np.maximum(np.cos(lean) / np.sin(np.asarray(edge.wedge, float) / 2) - 1, FLATTEST))


def coined(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike, recession: ArrayLike) -> Coined:
    """Line load and peak pressure of the ball on an edge that has gone back.

    Parameters
    ----------
    edge : Edge
        As cut; `sine` is that of the contact angle under the load.
    moduli : Moduli
    force : array_like
        Along the dimple's axis [N].
    offset : array_like
        Of the ball from the dimple's axis [m].
    recession : array_like
        d, along the contact's normal from the edge as cut [m].

    Returns
    -------
    Coined

    Notes
    -----
    Along the path the edge is rounder by `d/recession_by_radius`. Across it the edge has the ball's shape over a length
    `l^2 = 2 R'' d` either way, where `R'' = a R/s` is the relative radius of ball and edge there; that and the length
    of the elastic contact add as squares, under a load that falls off as a parabola (derived).

    Examples
    --------
    >>> edge = Edge(0.8e-3, 0.8, 0.0, np.pi / 2, np.pi / 4)
    >>> (coined(edge, (230e9, 230e9), 10.0, 0.1e-3, [1e-6, 1e-5]).pressure / 1e9).round(1).tolist()
    [27.1, 7.0]
    """
    back, aside = np.asarray(recession, float), np.asarray(offset, float)
    ball, sine = np.asarray(edge.ball, float), np.asarray(edge.sine, float)
    rounder = edge._replace(rounding=np.asarray(edge.rounding, float) + back / recession_by_radius(edge))
    normal = np.asarray(force, float) / np.sqrt(1 - np.minimum(sine, 0.9999) ** 2)
    at = aside + ball * sine
    elastic = bedded(centred(rounder, offset), moduli, force, offset).line_load
    with np.errstate(divide="ignore", invalid="ignore"):
        length = 0.75 * normal / elastic
        spread = elastic / np.sqrt(1 + 2 * at * ball * back / (aside * length**2))
    # A load far past what any edge bears presses the contact wider than the dimple, where its stiffness has no meaning.
    load = np.where(elastic > 0, np.minimum(elastic, np.fmax(spread, normal / (2 * np.pi * at))), 0.0)
    joined = 1 / (1 / np.asarray(moduli[0], float) + 1 / np.asarray(moduli[1], float))
    pressure = line_pressure(load, reduced(rounder), joined)
    return Coined(load, np.where((normal > 0) & ~(elastic > 0), np.inf, pressure))


def centred(edge: Edge, offset: ArrayLike) -> Edge:
    """Edge whose `sine` is that of the centred ball, from that at an offset [m]: `sin psi + s/(R + r)` (derived).

    >>> round(float(centred(Edge(0.9e-3, 0.5, 0.1e-3, np.pi / 2, np.pi / 4), 0.2e-3).sine), 3)
    0.7
    """
    size = np.asarray(edge.ball, float) + np.asarray(edge.rounding, float)
    return edge._replace(sine=np.asarray(edge.sine, float) + np.asarray(offset, float) / size)


def coined_recession(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike, limit: ArrayLike) -> Array:
    """Recession at which the ball's pressure on an edge falls to a limit [m]; 0 where the edge as cut bears it.

    Parameters
    ----------
    edge, moduli, force, offset
        As in `coined`.
    limit : array_like
        Peak pressure that the edge bears [Pa].

    Returns
    -------
    array
        inf where the edge does not bear the load wherever it goes.

    Notes
    -----
    Root of `coined` (derived).

    Examples
    --------
    >>> edge = Edge(0.8e-3, 0.8, 0.0, np.pi / 2, np.pi / 4)
    >>> (coined_recession(edge, (230e9, 230e9), 10.0, 0.1e-3, [5e9, 7e9, np.inf]) * 1e6).round(1).tolist()
    [16.3, 9.9, 0.0]
    """
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in (*edge, *moduli, force, offset, limit)))
    shape, flat = parts[0].shape, [part.ravel() for part in parts]

    def spare(back: Array, i: Index) -> Array:
        bent, two = Edge(*(part[i] for part in flat[:5])), (flat[5][i], flat[6][i])
        return np.asarray(flat[9][i] - coined(bent, two, flat[7][i], flat[8][i], back).pressure)

    every = np.arange(flat[0].size)
    low, high = np.zeros(every.size), np.full(every.size, FARTHEST)
    first, last = spare(low, every), spare(high, every)
    root = bracketed_root(spare, low, high, close=1e-10, ends=(first, last))
    return np.where(first >= 0, 0.0, np.where(last < 0, np.inf, root)).reshape(shape)


def worn_area(load_by_path: ArrayLike, hardness: ArrayLike, coefficient: ArrayLike) -> Array:
    """Section of metal that sliding wears off an edge, `K (w l)/H` [m^2].

    `load_by_path` w l, line load times the way it slides [N]; `hardness` in Vickers, H its `meyer_pressure`;
    `coefficient` K [-]. Source: J. F. Archard, Journal of Applied Physics 24 (1953) 981, for each unit of the edge.

    >>> round(float(worn_area(1e4 * 30.0, 700.0, 1e-6)) * 1e12, 1)
    40.5
    """
    return np.asarray(np.asarray(coefficient, float) * load_by_path / meyer_pressure(hardness))


def worn_radius(radius: ArrayLike, wedge: ArrayLike, area: ArrayLike) -> Array:
    """Radius of an edge after more of its section has worn off under a load that spreads as it does [m].

    Parameters
    ----------
    radius : array_like
        Before, r0 [m].
    wedge : array_like
        Angle that the metal fills, alpha [rad], below pi.
    area : array_like
        That the load before would wear off [m^2].

    Returns
    -------
    array

    Notes
    -----
    A rounding that touches both faces takes `q r^2`, `q = cot(alpha/2) - (pi - alpha)/2`, off a sharp edge. The length
    that bears the load grows as the root of the recession (`coined`), so that `2 q r dr = sqrt(r0/r) dA` and
    `r^(5/2) = r0^(5/2) + 5/4 sqrt(r0) A/q` (derived).

    Examples
    --------
    >>> round(float(worn_radius(1.0, np.pi / 2, 1e-6 * (1 - np.pi / 4)) - 1.0) * 1e6, 3)
    0.5
    """
    turn = (np.pi - np.asarray(wedge, float)) / 2
    before = np.asarray(radius, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        more = 1.25 * np.sqrt(before) * np.asarray(area, float) / (np.tan(turn) - turn)
    return np.asarray((before**2.5 + np.where(np.asarray(area, float) > 0, more, 0.0)) ** 0.4)
