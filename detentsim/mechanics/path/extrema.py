"""Largest values along the path: crests inside segments and at their ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.path.segments import Rule, Segments, first, select

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index, Truth

ZOOM_POINTS, ZOOM_ROUNDS = 9, 7


class Peak(NamedTuple):
    """Largest value of something on each design's way; shape (n,)."""

    value: Array
    phi: Array  # ball angle there [rad]
    stretch: Index  # where it stands in the list: at a hand-over only one of two has the supremum


def crests(ways: Segments, values: Array, rule: Rule, also: Truth | None = None) -> tuple[Array, Array]:
    """Largest value on each stretch and its ball angle [rad].

    Parameters
    ----------
    ways : Stretches
    values : array, shape (m, 4)
        The quantity at `points(ways, ENDS)`; -inf where it must not count.
    rule : callable
        `rule(stretches, phi)` gives the quantity at `phi` of shape (m, k).
    also : array of bool, shape (m,), optional
        Stretches to search whatever their slopes say.

    Returns
    -------
    value, phi : array, shape (m,)
    """
    at_right = values[:, 3] > values[:, 0]
    top = np.where(at_right, values[:, 3], values[:, 0])
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
    """Tell from the slopes at the ends of each stretch whether a quantity has a crest between them."""
    return np.asarray((values[:, 1] > values[:, 0]) & (values[:, 2] > values[:, 3]))


def peak(ways: Segments, values: Array, rule: Rule, also: Truth | None = None) -> Peak:
    """Largest value over each design's way.

    Parameters
    ----------
    ways : Stretches
    values : array, shape (m, 4)
        As for `crests`.
    rule : callable
        As for `crests`.
    also : array of bool, optional
        As for `crests`.

    Returns
    -------
    Peak
    """
    top, where = crests(ways, values, rule, also)
    best = np.maximum.reduceat(top, ways.first)
    stretch = first(ways, top == best[ways.design])
    return Peak(best, where[stretch], stretch)


def zoom(ways: Segments, rule: Rule, low: Array, high: Array) -> tuple[Array, Array]:
    """Crest of a quantity between two ball angles of each stretch, and its ball angle [rad]."""
    shares = np.linspace(0, 1, ZOOM_POINTS)
    rows = np.arange(low.size)
    for _ in range(ZOOM_ROUNDS):
        near = low[:, None] + (high - low)[:, None] * shares
        found = rule(ways, near)
        index = np.argmax(found, axis=-1)
        low, high = near[rows, np.maximum(index - 1, 0)], near[rows, np.minimum(index + 1, ZOOM_POINTS - 1)]
    inner = np.clip(index, 1, ZOOM_POINTS - 2)
    before, at, after = (found[rows, inner + i] for i in (-1, 0, 1))
    # The crest of the parabola through the three highest points.
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = (before - after) / (before - 2 * at + after) / 2
    shift = np.where((np.abs(shift) < 1) & (index == inner), shift, 0.0)
    where = near[rows, index] + shift * (near[:, 1] - near[:, 0])
    top = rule(ways, where)
    return np.maximum(top, found[rows, index]), where
