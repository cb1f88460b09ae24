"""Largest values along the path: at the ends of segments and at crests inside them.

A smooth quantity has one crest at most on a segment, so its largest value is exact. Stands on ``segments``; breakout,
let-go and pull-in stand on it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.path.segment_rows import Segments, first, select, some_or_all
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index, Truth

# Each round of a zoom looks at so many points and keeps the two cells beside the highest: a quarter is left.
ZOOM_POINTS, ZOOM_ROUNDS = 9, 7

# Accuracy of a crest's ball angle [rad].
NEAR = 1e-11

# The same where rims give; a crest there is some 1e-3 rad wide, its value 1e-11 of itself off [rad].
NEAR_ON_BED = 1e-9

Climb = Callable[[Segments, "Array"], "tuple[Array, Array]"]
"""Gives a quantity and its slope over the ball angle at ball angles of shape (m,) or (k, m)."""


class Peak(NamedTuple):
    """Largest value of a quantity along each design's path; fields of shape (n,)."""

    value: Array  # in the quantity's unit
    phi: Array  # ball angle there [rad]
    segment: Index  # row of its segment: where two segments meet, only one of them has the largest value


def crests(
    ways: Segments, values: Array, slopes: Array, climb: Climb, also: Truth | None = None
) -> tuple[Array, Array]:
    """Largest value of a quantity on each segment, and its ball angle [rad].

    Parameters
    ----------
    ways : Segments
        m segments.
    values, slopes : array, shape (2, m)
        The quantity and its slope at both ends of each segment; -inf where it must not count.
    climb : callable
        `climb(ways, phi)` gives the quantity and its slope at ball angles `phi`.
    also : array of bool, shape (m,), optional
        Segments to search whatever the slopes at their ends are.

    Returns
    -------
    value, phi : array, shape (m,)
        The quantity, in its own unit, and the ball angle [rad].

    Notes
    -----
    The one crest of a segment is derived in ``segments``; it is located by `summit`.
    """
    top, where = np.maximum(values[0], values[1]), np.where(values[1] > values[0], ways.right, ways.left)
    inside = np.flatnonzero(has_crest(slopes) if also is None else has_crest(slopes) | also)
    if inside.size:
        part = select(ways, inside)
        crest, at = summit(part, climb, part.left, part.right, slopes.take(inside, axis=1))
        higher = crest >= top[inside]
        top[inside] = np.where(higher, crest, top[inside])
        where[inside] = np.where(higher, at, where[inside])
    return top, where


def has_crest(slopes: Array) -> Truth:
    """Truth of each segment having a crest inside, by the slopes at its ends, shape (2, m); shape (m,).

    >>> has_crest(np.array([[1.0, 1.0], [-1.0, 2.0]])).tolist()
    [True, False]
    """
    return np.asarray((slopes[0] > 0) & (slopes[1] < 0))


def peak(ways: Segments, values: Array, slopes: Array, climb: Climb, also: Truth | None = None) -> Peak:
    """Largest value of a quantity along each design's path.

    Parameters
    ----------
    ways : Segments
        m segments of n designs.
    values, slopes : array, shape (2, m)
        The quantity and its slope at both ends of each segment; -inf where it must not count.
    climb : callable
        `climb(ways, phi)` gives the quantity and its slope at ball angles `phi`.
    also : array of bool, shape (m,), optional
        Segments to search whatever the slopes at their ends are.

    Returns
    -------
    Peak
        Fields of shape (n,).
    """
    top, where = crests(ways, values, slopes, climb, also)
    segment = highest(ways, top)
    return Peak(top[segment], where[segment], segment)


def highest(ways: Segments, top: Array) -> Index:
    """Row of each design's first segment with its largest value, shape (n,); `top` has the segments' shape (m,)."""
    return first(ways, top == np.maximum.reduceat(top, ways.first)[ways.design])


def summit(ways: Segments, climb: Climb, low: Array, high: Array, slopes: Array) -> tuple[Array, Array]:
    """Crest of a quantity between two ball angles of each segment: its value, and its ball angle [rad].

    Parameters
    ----------
    ways : Segments
        m segments.
    climb : callable
        `climb(ways, phi)` gives the quantity and its slope at ball angles `phi`.
    low, high : array, shape (m,)
        Ball angles that enclose the crest [rad].
    slopes : array, shape (2, m)
        Slope at both.

    Returns
    -------
    value, phi : array, shape (m,)

    Notes
    -----
    Root of the slope where it changes from rising to falling, else by `zoom`.
    """
    plain = has_crest(slopes)
    if not plain.all():
        odd = np.flatnonzero(~plain)
        value, where = np.empty(low.size), np.empty(low.size)
        value[odd], where[odd] = zoom(select(ways, odd), lambda some, phi: climb(some, phi)[0], low[odd], high[odd])
        rows = np.flatnonzero(plain)
        if rows.size:
            value[rows], where[rows] = summit(select(ways, rows), climb, low[rows], high[rows], slopes[:, rows])
        return value, where

    def slope(phi: Array, index: Index) -> Array:
        return climb(some_or_all(ways, index), phi)[1] * weight(phi, index)

    def weight(phi: Array, index: Index) -> Array | float:
        # Steep as the rise on an elastic rim is, its slope falls as a power of the angle: weighted it runs straighter.
        return 1.0 if ways.bed is None else (phi + 0.01 * high[index]) ** (5 / 3)

    every = np.arange(low.size)
    ends = slopes[0] * weight(low, every), slopes[1] * weight(high, every)
    where = bracketed_root(slope, low, high, NEAR if ways.bed is None else NEAR_ON_BED, ends=ends)
    return climb(ways, where)[0], where


def zoom(ways: Segments, rule: Callable[[Segments, Array], Array], low: Array, high: Array) -> tuple[Array, Array]:
    """Highest point of a quantity between two ball angles of each segment: its value, and its ball angle [rad].

    Parameters
    ----------
    ways : Segments
        m segments.
    rule : callable
        `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (m,) or (k, m).
    low, high : array, shape (m,)
        Ball angles that enclose the crest [rad].

    Returns
    -------
    value, phi : array, shape (m,)

    Notes
    -----
    Repeated grids about the highest point, then the vertex of the parabola through the three highest points (derived);
    for a quantity that jumps, or has more than one crest.

    Examples
    --------
    >>> bump = lambda ways, phi: -((phi - np.array([0.3, 0.7])) ** 2)
    >>> zoom(None, bump, np.zeros(2), np.ones(2))[1].round(9).tolist()
    [0.3, 0.7]
    """
    shares = np.linspace(0, 1, ZOOM_POINTS)[:, None]
    rows = np.arange(low.size)
    for _ in range(ZOOM_ROUNDS):
        near = low + (high - low) * shares
        values = rule(ways, near)
        index = np.argmax(values, axis=0)
        low, high = near[np.maximum(index - 1, 0), rows], near[np.minimum(index + 1, ZOOM_POINTS - 1), rows]
    inner = np.clip(index, 1, ZOOM_POINTS - 2)
    before, at, after = (values[inner + i, rows] for i in (-1, 0, 1))
    # The crest of the parabola through the three highest points.
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = (before - after) / (before - 2 * at + after) / 2
    shift = np.where((np.abs(shift) < 1) & (index == inner), shift, 0.0)
    where = near[index, rows] + shift * (near[1] - near[0])
    top = rule(ways, where)
    return np.maximum(top, values[index, rows]), where
