"""How far an edge goes back under the ball until it bears the pressure.

As the edge recedes it becomes rounder along the ball's path and takes the ball's own shape across it, so that the load
spreads. The ball is taken as harder than the edge; its pressure on the edge as cut is that of ``loaded_arc``, without
the traction of friction.

The analysis of wear in one build takes the loads along the ball's path to it, and the pressures that an edge bears from
``strength``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact.coining.loaded_arc import line_load
from detentsim.mechanics.contact.rim import Edge, Moduli, line_pressure, reduced
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index

# Farthest that an edge is looked for [m]; one that does not bear the load there bears it nowhere.
FARTHEST = 0.3e-3

# Least recession over the radius of the rounding: an edge almost as flat as its faces is no edge [-].
FLATTEST = 1e-3


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
    [28.2, 7.1]
    """
    back, aside = np.asarray(recession, float), np.asarray(offset, float)
    ball, sine = np.asarray(edge.ball, float), np.asarray(edge.sine, float)
    rounder = edge._replace(rounding=np.asarray(edge.rounding, float) + back / recession_by_radius(edge))
    normal = np.asarray(force, float) / np.sqrt(1 - np.minimum(sine, 0.9999) ** 2)
    at = aside + ball * sine
    elastic = line_load(rounder, moduli, force, offset)
    with np.errstate(divide="ignore", invalid="ignore"):
        length = 0.75 * normal / elastic
        spread = elastic / np.sqrt(1 + 2 * at * ball * back / (aside * length**2))
    # A load far past what any edge bears presses the contact wider than the dimple, where its stiffness has no meaning.
    load = np.where(elastic > 0, np.minimum(elastic, np.fmax(spread, normal / (2 * np.pi * at))), 0.0)
    joined = 1 / (1 / np.asarray(moduli[0], float) + 1 / np.asarray(moduli[1], float))
    pressure = line_pressure(load, reduced(rounder), joined)
    return Coined(load, np.where((normal > 0) & ~(elastic > 0), np.inf, pressure))


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
    [16.5, 10.1, 0.0]
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
