"""Largest values along the path: at the ends of segments and at crests inside them.

A smooth quantity has one crest at most on a segment, so its largest value is exact. Stands on ``segments``; breakout,
let-go and pull-in stand on it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path.segment_rows import Rule, Segments, first, select, some_or_all
from detentsim.mechanics.roots import Bracket, bracketed_root

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index, Truth

# Each round of a zoom looks at so many points and keeps the two cells beside the highest: a quarter is left.
ZOOM_POINTS, ZOOM_ROUNDS = 9, 7
SHARES = np.linspace(0, 1, ZOOM_POINTS)

# Share of the ball angle by which crests of torque and of the finger's force lie apart on an elastic rim, at most of
# designs less.
ASIDE = 0.012

# Accuracy of a crest's ball angle [rad].
NEAR = 1e-11

# The same where rims give; a crest there is some 1e-3 rad wide, its value 1e-11 of itself off [rad].
NEAR_ON_BED = 1e-9

# Slope at the inner end over that at the outer one, both falling, below which two edges that share the load may hide a
# crest: as one takes over from the other, the torque gains slope for a while, 13 % of what they add to it (derived).
HIDES = 0.2

Climb = Callable[[Segments, "Array"], "tuple[Array, Array]"]
"""Gives a quantity and its slope over the ball angle at ball angles of shape (m,) or (k, m)."""


def crests(
    ways: Segments,
    values: Array,
    slopes: Array,
    climb: Climb,
    also: Truth | None = None,
    near: Array | None = None,
    rule: Rule | None = None,
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
    near : array, shape (m,), optional
        Ball angles near which the crests lie, if known [rad].
    rule : callable, optional
        `rule(ways, phi)` gives the quantity alone, if that costs less.

    Returns
    -------
    value, phi : array, shape (m,)
        The quantity, in its own unit, and the ball angle [rad].

    Notes
    -----
    The one crest of a segment is derived in ``segments``; it is located by `summit`.
    """
    top, where = np.maximum(values[0], values[1]), np.where(values[1] > values[0], ways.right, ways.left)
    may = has_crest(slopes) if also is None else has_crest(slopes) | also
    inside = np.flatnonzero(may if ways.bed is None else may | hides_crest(ways, slopes))
    if inside.size:
        part = select(ways, inside)
        there = None if near is None else near[inside]
        crest, at = summit(part, climb, part.left, part.right, slopes.take(inside, axis=1), there, rule)
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


def hides_crest(ways: Segments, slopes: Array) -> Truth:
    """Truth of each segment on which two edges share the load having a crest that its ends may not show, shape (m,)."""
    shares, falls = ways.at.parts > 0, (slopes[0] <= 0) & (slopes[0] > HIDES * slopes[1])
    return np.asarray(shares & falls)


def highest(ways: Segments, top: Array) -> Index:
    """Row of each design's first segment with its largest value, shape (n,); `top` has the segments' shape (m,)."""
    return first(ways, top == np.maximum.reduceat(top, ways.first)[ways.design])


def summit(
    ways: Segments,
    climb: Climb,
    low: Array,
    high: Array,
    slopes: Array,
    near: Array | None = None,
    rule: Rule | None = None,
) -> tuple[Array, Array]:
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
    near, rule
        As in `crests`.

    Returns
    -------
    value, phi : array, shape (m,)

    Notes
    -----
    Root of the slope where it changes from rising to falling; else an end that is the highest of a grid and falls
    inward, or by `zoom`.
    """
    plain = has_crest(slopes)
    if plain.all():
        return _root_of_slope(ways, climb, (low, high, slopes[0], slopes[1]), near)
    value, where = np.empty(low.size), np.empty(low.size)
    odd, rows = np.flatnonzero(~plain), np.flatnonzero(plain)
    alone = rule or (lambda some, phi: climb(some, phi)[0])
    value[odd], where[odd] = _from_ends(select(ways, odd), alone, low[odd], high[odd], slopes.take(odd, axis=1))
    if rows.size:
        bracket = low[rows], high[rows], slopes[0, rows], slopes[1, rows]
        there = None if near is None else near[rows]
        value[rows], where[rows] = _root_of_slope(select(ways, rows), climb, bracket, there)
    return value, where


def _root_of_slope(ways: Segments, climb: Climb, bracket: Bracket, near: Array | None) -> tuple[Array, Array]:
    """Value of a quantity, and the ball angle [rad], where its slope changes from rising to falling."""
    low, high, rises, falls = bracket
    value, base = np.full(low.size, np.nan), 0.01 * high

    def slope(phi: Array, index: Index) -> Array:
        value[index], rise = climb(some_or_all(ways, index), phi)
        return rise * weight(phi, index)

    def weight(phi: Array, index: Index) -> Array | float:
        if ways.bed is None:
            return 1.0
        # Steep as the rise on an elastic rim is, its slope falls as a power of the angle: weighted it runs straighter.
        root = np.cbrt(phi + base[index])
        return (root * root) ** 2 * root

    every = np.arange(low.size)
    bracket = low, high, rises * weight(low, every), falls * weight(high, every)
    if near is not None:
        bracket = _about(slope, near, bracket)
        value[:] = np.nan  # the place that was looked at last may be the other end
    close = NEAR if ways.bed is None else NEAR_ON_BED
    where = bracketed_root(slope, bracket[0], bracket[1], close, ends=bracket[2:])
    # The value hardly changes from the last place that was looked at to the crest; some crests needed no look.
    bare = np.flatnonzero(np.isnan(value))
    if bare.size:
        value[bare] = climb(some_or_all(ways, bare), where[bare])[0]
    return value, where


def _about(slope: Callable[[Array, Index], Array], near: Array, bracket: Bracket) -> Bracket:
    """Brackets narrowed by the slope at ball angles `near` [rad], and a little to the side on which the crest lies."""
    low, high, rises, falls = (np.array(end) for end in bracket)
    place = near
    for _ in range(2):
        rows = np.flatnonzero((place > low) & (place < high))
        there = slope(place[rows], rows)
        up, down = rows[there > 0], rows[there <= 0]
        low[up], rises[up] = place[up], there[there > 0]
        high[down], falls[down] = place[down], there[there <= 0]
        place = np.where(high == near, near * (1 - ASIDE), near * (1 + ASIDE))
    return low, high, rises, falls


def zoom(ways: Segments, rule: Rule, low: Array, high: Array) -> tuple[Array, Array]:
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
    shares, rows = SHARES[:, None], np.arange(low.size)
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


def _from_ends(ways: Segments, rule: Rule, low: Array, high: Array, slopes: Array) -> tuple[Array, Array]:
    """`zoom`, spared where the highest point of a first grid is an end and the slope there falls inward."""
    grid = rule(ways, low + (high - low) * SHARES[:, None])
    index = np.argmax(grid, axis=0)
    first, final = (index == 0) & (slopes[0] < 0), (index == ZOOM_POINTS - 1) & (slopes[1] > 0)
    value, where = np.where(first, grid[0], grid[-1]), np.where(first, low, high)
    rows = np.flatnonzero(~(first | final))
    if rows.size:
        value[rows], where[rows] = zoom(select(ways, rows), rule, low[rows], high[rows])
    return value, where
