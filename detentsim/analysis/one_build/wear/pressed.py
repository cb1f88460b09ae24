"""How far use presses back both edges of many dimples: the outer first, then the inner beside the outer as it has worn.

An inner edge that stands out over what carries the ball beside it goes back no farther than until it is level with
that. Designs stand in one row of n, as in ``passes``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.one_build.wear.passes import INNER, UPPER, carrier, passes, points_on, settles
from detentsim.mechanics.contact.dimple import PIECE
from detentsim.mechanics.contact.envelope import pieces
from detentsim.mechanics.detent import balance
from detentsim.mechanics.record import Record

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.passes import Carrier, Passes, Points
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Truth

HALVINGS = 16
"""Of the radii between which an edge no longer stands out: to a thousandth of a micrometre."""


class Pressed(NamedTuple):
    """One edge of n designs that has been pressed back; arrays of shape (n,)."""

    record: Record  # with the edges as they were before
    passed: Passes
    at: Carrier
    points: Points
    back: Array  # recession along the normal [m]
    radius: Array  # of the edge, its own where it carries nothing [m]


def pressed_edges(solved: SolvedDetent, rest: Array, dead: Truth) -> dict[str, Pressed]:
    """Both edges once they have settled.

    Parameters
    ----------
    solved : SolvedDetent
        In one row, with the edges as drilled.
    rest : array, shape (n,)
        Ball angle at rest [rad].
    dead : array of bool, shape (n,)
        Designs that do not wear in.

    Returns
    -------
    dict of str to Pressed
        By field of the record, outermost first.
    """
    found: dict[str, Pressed] = {}
    for name in (UPPER, INNER):
        record, passed = solved.record, passes(solved, rest)
        at, typed = carrier(record, name, passed), np.asarray(getattr(record, name))
        at = at._replace(on=at.on & ~dead[:, None])
        points = points_on(record, at, passed)
        back, settled = settles(record, points, at)
        if name == INNER:
            level = _level(record, rest, (at.own, settled))
            with np.errstate(divide="ignore", invalid="ignore"):
                back = np.where(level < settled, back * (level - at.own) / (settled - at.own), back)
            settled = level
        radius = np.where(at.on.any(axis=-1), np.maximum(settled, typed), typed)
        found[name] = Pressed(record, passed, at, points, back, radius)
        record = record._replace(**{name: radius})
        solved = solved._replace(record=record, shape=pieces(record))
    return found


def _level(record: Record, rest: Array, ends: tuple[Array, Array]) -> Array:
    """Radius of the inner edge, of two: the larger one, or that at which it is level with what is beside it [m]."""
    low, high = ends
    first = np.abs(balance.offset_at_phi(record, rest)[0])
    at = np.flatnonzero((high > low) & ~_stands_out(record, first, high))
    if not at.size:
        return high
    some, start, below, above = Record(*(field[at] for field in record)), first[at], low[at], high[at]
    for _ in range(HALVINGS):
        middle = (below + above) / 2
        stands = _stands_out(some, start, middle)
        below, above = np.where(stands, middle, below), np.where(stands, above, middle)
    level = np.array(high)
    level[at] = above  # past level: no sliver of it is left to carry the ball
    return level


def _stands_out(record: Record, first: Array, radius: Array) -> Truth:
    """Whether the inner edge of a radius carries the ball anywhere outside its offset at rest [m]."""
    start = pieces(record._replace(inner_edge_radius=radius)).start
    return np.asarray(start[..., PIECE.inner_edge + 1] > np.maximum(start[..., PIECE.inner_edge], first))
