"""Straight and circular edges in a plane: distance from points, inside or outside, where a circle meets them.

The tang as it lies under the ball is a set of closed loops of such edges: its outline and its holes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


class Edges(NamedTuple):
    """Edges of closed loops, all arrays of one length [m].

    An edge goes straight where its sweep is 0, else along a circle, counterclockwise where the sweep is positive.
    """

    start: Array  # (n, 2) [m]
    end: Array  # (n, 2) [m]
    centre: Array  # (n, 2) of the circle; the start of a straight edge [m]
    sweep: Array  # (n,) angle that an arc turns through, 0 straight [rad]
    loop: npt.NDArray[np.int64]  # (n,) which closed loop the edge belongs to

    @property
    def radius(self) -> Array:
        """Radius of each arc, 0 for a straight edge; shape (n,) [m]."""
        return np.asarray(np.hypot(*(self.start - self.centre).T))


def nearest(edges: Edges, points: npt.ArrayLike) -> Array:
    """Nearest point of each edge to each of some points.

    Parameters
    ----------
    edges : Edges
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array, shape (..., n, 2)
        [m]

    Examples
    --------
    >>> line = Edges(*np.array([[[0.0, 0]], [[2.0, 0]], [[0.0, 0]]]), np.zeros(1), np.zeros(1, int))
    >>> nearest(line, (1.0, 3.0)).tolist()
    [[1.0, 0.0]]
    """
    at = np.asarray(points, float)[..., None, :]
    return np.where((edges.sweep == 0)[:, None], _on_straight(edges, at), _on_arc(edges, at))


def _on_straight(edges: Edges, at: Array) -> Array:
    along = edges.end - edges.start
    square = np.sum(along**2, axis=1)
    part = np.sum((at - edges.start) * along, axis=-1) / np.where(square > 0, square, 1.0)
    return np.asarray(edges.start + np.clip(part, 0, 1)[..., None] * along)


def _on_arc(edges: Edges, at: Array) -> Array:
    out = at - edges.centre
    far = np.hypot(out[..., 0], out[..., 1])
    unit = np.where(far[..., None] > 0, out / np.where(far > 0, far, 1.0)[..., None], (1.0, 0.0))
    round_it = edges.centre + edges.radius[:, None] * unit
    first = edges.start - edges.centre
    turned = np.arctan2(out[..., 1], out[..., 0]) - np.arctan2(first[:, 1], first[:, 0])
    within = np.mod(np.where(edges.sweep < 0, -turned, turned), 2 * np.pi) <= np.abs(edges.sweep)
    ends = np.stack([np.broadcast_to(edges.start, out.shape), np.broadcast_to(edges.end, out.shape)])
    gaps = np.sum((ends - at) ** 2, axis=-1)
    end = np.where((gaps[0] <= gaps[1])[..., None], ends[0], ends[1])
    return np.where((within & (far > 0))[..., None], round_it, end)


def distance(edges: Edges, points: npt.ArrayLike) -> Array:
    """Distance of points from each edge.

    Parameters
    ----------
    edges : Edges
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array, shape (..., n)
        Never negative [m].
    """
    away = nearest(edges, points) - np.asarray(points, float)[..., None, :]
    return np.asarray(np.hypot(away[..., 0], away[..., 1]))


def inside(edges: Edges, points: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether points lie within each closed loop, by its winding about them; exact for arcs.

    Parameters
    ----------
    edges : Edges
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array of bool, shape (..., loops)

    Notes
    -----
    An arc winds about a point as its chord does, and once more where the point lies between the two.

    Examples
    --------
    >>> circle = Edges(np.array([[1.0, 0]]), np.array([[1.0, 0]]), np.zeros((1, 2)), np.array([6.3]), np.zeros(1, int))
    >>> inside(circle, [(0.5, 0.5), (0.8, 0.8)]).ravel().tolist()
    [True, False]
    """
    at = np.asarray(points, float)[..., None, :]
    one, other = edges.start - at, edges.end - at
    cross = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    chord = np.arctan2(cross, np.sum(one * other, axis=-1))
    off = at - edges.centre
    turn = np.sign(edges.sweep)
    whole = np.all(edges.start == edges.end, axis=1)
    beyond = whole | (turn * cross < 0)  # on the arc's side of its chord
    between = (edges.sweep != 0) & (np.hypot(off[..., 0], off[..., 1]) < edges.radius) & beyond
    wound = np.where(whole, 0.0, chord) + 2 * np.pi * turn * between
    loops = int(edges.loop.max()) + 1
    total = np.stack([np.sum(np.where(edges.loop == i, wound, 0.0), axis=-1) for i in range(loops)], axis=-1)
    return np.asarray(np.abs(total) > np.pi)


def depth(edges: Edges, points: npt.ArrayLike) -> Array:
    """Signed distance of points from the nearest edge: positive on the metal, negative off the outline or over a hole.

    Parameters
    ----------
    edges : Edges
        Loop 0 is the outline, the others are holes.
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array, shape (...)
        [m]
    """
    sign = np.where(on_metal(edges, points), 1.0, -1.0)
    return np.asarray(sign * distance(edges, points).min(axis=-1))


def on_metal(edges: Edges, points: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether points lie within the outline and over no hole.

    Parameters
    ----------
    edges : Edges
        Loop 0 is the outline, the others are holes.
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array of bool, shape (...)
    """
    within = inside(edges, points)
    return np.asarray(within[..., 0] & ~within[..., 1:].any(axis=-1))


def circle_meets(edges: Edges, middle: npt.ArrayLike, radius: float, off: npt.ArrayLike = 0.0) -> Array:
    """Directions from a circle's middle in which it may meet the edges, or lines beside them.

    Parameters
    ----------
    edges : Edges
    middle : array, shape (2,)
        Of the circle [m].
    radius : float
        Of the circle [m].
    off : array, shape (n,)
        How far beside each edge, on both sides, the lines lie that are to be met; 0: the edges themselves [m].

    Returns
    -------
    array, shape (m,)
        Angles [rad]; every meeting is among them, and meetings with edges prolonged are too.
    """
    centre, aside = np.asarray(middle, float), np.broadcast_to(np.asarray(off, float), edges.sweep.shape)
    straight = edges.sweep == 0
    found = [_meets_lines(edges, straight, centre, radius, side * aside) for side in (-1, 1)]
    found += [_meets_circles(edges.centre, edges.radius + side * aside, centre, radius) for side in (-1, 1)]
    found += [_meets_circles(edges.start, aside, centre, radius), _meets_circles(edges.end, aside, centre, radius)]
    return np.concatenate(found)


def _meets_lines(edges: Edges, straight: npt.NDArray[np.bool_], centre: Array, radius: float, aside: Array) -> Array:
    """Directions in which a circle meets straight edges shifted sideways."""
    start, along = edges.start[straight], (edges.end - edges.start)[straight]
    unit = along / np.maximum(np.hypot(*along.T), 1e-300)[:, None]
    normal = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    gap = np.sum((start - centre) * normal, axis=1) + aside[straight]
    half = np.arccos(np.clip(gap / radius, -1, 1))[np.abs(gap) <= radius]
    toward = np.arctan2(normal[:, 1], normal[:, 0])[np.abs(gap) <= radius]
    return np.concatenate([toward - half, toward + half])


def _meets_circles(centres: Array, radii: Array, centre: Array, radius: float) -> Array:
    """Directions in which a circle meets others, by the cosine rule."""
    away = centres - centre
    far = np.hypot(*away.T)
    with np.errstate(divide="ignore", invalid="ignore"):
        cosine = (radius**2 + far**2 - radii**2) / (2 * radius * far)
    ok = np.abs(cosine) <= 1
    half, toward = np.arccos(cosine[ok]), np.arctan2(away[ok, 1], away[ok, 0])
    return np.concatenate([toward - half, toward + half])
