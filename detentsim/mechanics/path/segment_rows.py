"""Rows of segments for many designs at once: the arrays, choosing rows, and searching them design by design.

All segments of all designs stand in one flat list, in the order of the designs and outward. ``segments`` cuts the path
into them; ``extrema`` and ``stable`` stand on both.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from detentsim.mechanics.detent.solution import SolvedDetent, Spring
    from detentsim.mechanics.record import Array, Index, Record, Truth

T = TypeVar("T", bound=np.generic)


class Segments(NamedTuple):
    """Segments of ball angle on which contact does not change; fields of shape (m,) unless noted."""

    design: Index  # row of its design; not decreasing
    first: Index  # row of each design's first segment, shape (n,)
    left: Array  # ball angle at the inner end [rad]
    right: Array  # at the outer end [rad]
    r: Array  # of the piece of the dimple that carries the ball, as in `dimple.Pieces` [m]
    z: Array  # [m]
    size: Array  # [m], of a straight piece [-]
    straight: Truth  # True on a flank or cone, False on a circle
    bears: Truth  # True where the ball carries the bar, False where the bar's face lies on the tang
    record: Record  # of the segment's design; fields that all designs share stay 0-d
    spring: Spring  # likewise


Rule = Callable[[Segments, "Array"], "Array"]


def select_designs(solved: SolvedDetent, index: Index | Truth) -> SolvedDetent:
    """Some designs of a flattened `SolvedDetent`, by row numbers or truths; shared fields stay without an axis."""
    record, spring = record_and_spring(solved, index)
    pieces = (field[index] if field.ndim > 1 else field for field in solved.shape)
    return solved._replace(record=record, spring=spring, shape=type(solved.shape)(*pieces))


def record_and_spring(solved: SolvedDetent, index: Index | Truth) -> tuple[Record, Spring]:
    """Record and spring of some designs; shared fields stay without an axis."""
    record, spring = solved.record, solved.spring
    return type(record)(*(_of(field, index) for field in record)), type(spring)(
        *(_of(field, index) for field in spring)
    )


def _of(field: NDArray[T], index: Index | Truth) -> NDArray[T]:
    return np.asarray(field[index]) if np.ndim(field) else field


def select(ways: Segments, index: Index | Truth) -> Segments:
    """Some segments, by row numbers or truths; `first` is no longer valid."""
    return _each(ways, lambda field: _of(field, index))._replace(design=ways.design[index])


def _each(ways: Segments, change: Callable[[NDArray[Any]], NDArray[Any]]) -> Segments:
    """Segments with a function applied to every field, those of their designs included."""
    left, right, r, z, size = (change(field) for field in ways[2:7])
    record, spring = type(ways.record)(*map(change, ways.record)), type(ways.spring)(*map(change, ways.spring))
    straight, bears = change(ways.straight), change(ways.bears)
    return Segments(ways.design, ways.first, left, right, r, z, size, straight, bears, record, spring)


def widened(ways: Segments) -> Segments:
    """Segments with fields of shape (m, 1), to broadcast against several ball angles of each."""

    def wide(field: NDArray[Any]) -> NDArray[Any]:
        return field[:, None] if np.ndim(field) == 1 else field

    return _each(ways, wide)


def last(ways: Segments, truth: Truth) -> Index:
    """Row of each design's last segment on which `truth` holds, shape (n,); -1 where none."""
    return np.maximum.reduceat(np.where(truth, np.arange(ways.design.size), -1), ways.first)


def first(ways: Segments, truth: Truth) -> Index:
    """Row of each design's first segment on which `truth` holds, shape (n,); m where none."""
    count = ways.design.size
    return np.minimum.reduceat(np.where(truth, np.arange(count), count), ways.first)


def any_of(ways: Segments, truth: Truth) -> Truth:
    """Truth of each design that `truth` holds on any of its segments, shape (n,)."""
    return np.logical_or.reduceat(truth, ways.first)
