"""Largest values along the path: at the ends of segments and at crests inside them.

A smooth quantity has one crest at most on a segment, so its largest value is exact. Stands on ``segments``; breakout,
let-go and pull-in stand on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.path.segment_rows import Rule, Segments, first, select

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index, Truth

# Each round looks at so many points and keeps the two cells beside the highest: a quarter of the width is left.
ZOOM_POINTS, ZOOM_ROUNDS = 9, 7


class Peak(NamedTuple):
    """Largest value of a quantity along each design's path; fields of shape (n,)."""

    value: Array  # in the quantity's unit
    phi: Array  # ball angle there [rad]
    segment: Index  # row of its segment: where two segments meet, only one of them has the largest value


def crests(ways: Segments, values: Array, rule: Rule, also: Truth | None = None) -> tuple[Array, Array]:
    """Largest value of a quantity on each segment, and its ball angle [rad].

    Parameters
    ----------
    ways : Segments
        m segments.
    values : array, shape (4, m)
        The quantity at `segments.points(ways, segments.ENDS)`; -inf where it must not count.
    rule : callable
        `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (k, m).
    also : array of bool, shape (m,), optional
        Segments to search whatever the slopes at their ends are.

    Returns
    -------
    value, phi : array, shape (m,)
        The quantity, in its own unit, and the ball angle [rad].

    Notes
    -----
    The one crest of a segment is derived in ``segments``; it is located by `zoom`.
    """
    at_right = values[3] > values[0]
    top = np.maximum(values[3], values[0])
    where = np.where(at_right, ways.right, ways.left)
    inside = np.flatnonzero(has_crest(values) if also is None else has_crest(values) | also)
    if inside.size:
        part = select(ways, inside)
        crest, at = zoom(part, rule, part.left, part.right)
        higher = crest >= top[inside]
        top[inside] = np.where(higher, crest, top[inside])
        where[inside] = np.where(higher, at, where[inside])
    return top, where


def has_crest(values: Array) -> Truth:
    """Truth of each segment having a crest inside, by the slopes at its ends; shape (m,).

    `values` is the quantity at `segments.ENDS`, shape (4, m): it must rise at the left end and fall at the right end.

    >>> has_crest(np.array([[0.0, 0.1, 0.1, 0.0], [0.0, 0.1, 0.9, 1.0]]).T).tolist()
    [True, False]
    """
    return np.asarray((values[1] > values[0]) & (values[2] > values[3]))


def peak(ways: Segments, values: Array, rule: Rule, also: Truth | None = None) -> Peak:
    """Largest value of a quantity along each design's path.

    Parameters
    ----------
    ways : Segments
        m segments of n designs.
    values : array, shape (4, m)
        The quantity at `segments.points(ways, segments.ENDS)`; -inf where it must not count.
    rule : callable
        `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (k, m).
    also : array of bool, shape (m,), optional
        Segments to search whatever the slopes at their ends are.

    Returns
    -------
    Peak
        Fields of shape (n,).
    """
    top, where = crests(ways, values, rule, also)
    segment = highest(ways, top)
    return Peak(top[segment], where[segment], segment)


def highest(ways: Segments, top: Array) -> Index:
    """Row of each design's first segment with its largest value, shape (n,); `top` has the segments' shape (m,)."""
    return first(ways, top == np.maximum.reduceat(top, ways.first)[ways.design])


def zoom(ways: Segments, rule: Rule, low: Array, high: Array) -> tuple[Array, Array]:
    """Crest of a quantity between two ball angles of each segment: its value, and its ball angle [rad].

    Parameters
    ----------
    ways : Segments
        m segments.
    rule : callable
        `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (k, m).
    low, high : array, shape (m,)
        Ball angles that enclose the crest [rad].

    Returns
    -------
    value, phi : array, shape (m,)

    Notes
    -----
    Repeated grids about the highest point, then the vertex of the parabola through the three highest points (derived).

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
