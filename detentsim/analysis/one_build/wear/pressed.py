"""How far use presses back both edges of many dimples: the outer first, then the inner beside the outer as it has worn.

An inner edge that stands out over what carries the ball beside it goes back no farther than until it is level with
that. Designs stand in one row of n, as in ``passes``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.one_build.wear.passes import INNER, UPPER, carrier, chosen, passes, points_on
from detentsim.mechanics.contact.coining import recession, strength
from detentsim.mechanics.contact.dimple import PIECE
from detentsim.mechanics.contact.envelope import pieces
from detentsim.mechanics.detent import balance
from detentsim.mechanics.record import Record

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.passes import Carrier, Passes, Points
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Index, Truth

HALVINGS = 16
"""Of the radii between which an edge no longer stands out: to a thousandth of a micrometre."""

GUESS = 10e-6
"""Recession at which the place that goes back farthest is first looked for [m]."""

CLOSE = 1e-10
"""Recession that counts as none [m]."""

APART = 8
"""Points from one that is looked at to the next, before those between the two beside the worst of them."""


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


def pressed_back(points: Points, limit: Array) -> tuple[Array, Array]:
    """How far each edge goes back until it bears the ball wherever the ball rides on it, and how much rounder that is.

    Parameters
    ----------
    points : Points
    limit : array, shape (n,)
        Peak pressure that the edge of each design bears [Pa].

    Returns
    -------
    recession, rounder : array, shape (n,)
        Of the place that goes back farthest: along its normal, and growth of the radius [m]; 0 where no point of a
        design lies on the edge, inf where it does not bear the ball anywhere.

    Notes
    -----
    As the pressure of each place falls with the recession, that place is found without the roots of the others: solve
    the place with about most pressure, look whether others still bear too much, and go on with the worst of those. How
    round the edge gets hangs on the contact angle there, which is read between points (`_sine_at_summit`).
    """
    back, rounder, left = np.zeros(limit.shape), np.zeros(limit.shape), points
    place = np.zeros(limit.shape, np.intp)
    worst, which = _first_worst(left, np.full(limit.shape, GUESS)), np.arange(left.row.size)
    while worst.size:
        top = chosen(left, worst)
        found = recession.coined_recession(top.edge, top.moduli, top.force, top.offset, limit[top.row])
        more = found > back[top.row]
        back[top.row[more]], place[top.row[more]] = found[more], which[worst[more]]
        pressure = _pressure(left, np.minimum(back + CLOSE, recession.FARTHEST))
        over = (pressure > limit[left.row]) & np.isfinite(back[left.row])
        over[worst] = False
        left, pressure, which = chosen(left, over), pressure[over], which[over]
        worst = _highest(left.row, pressure)
    some = np.flatnonzero(back)
    if some.size:
        edge = chosen(points, place[some]).edge._replace(sine=_sine_at_summit(points, place[some], back))
        rounder[some] = back[some] / recession.recession_by_radius(edge)
    return back, rounder


def _first_worst(points: Points, back: Array) -> Index:
    """Place of about the highest pressure of each design, found among a few of its points and then beside that."""
    row = points.row
    few = np.flatnonzero(_begins(row) | (np.arange(row.size) % APART == 0))
    place = few[_highest(row[few], _pressure(chosen(points, few), back))]
    return _highest_beside(points, place, back, APART - 1)


def _highest_beside(points: Points, place: Index, back: Array, reach: int) -> Index:
    """Place of the highest pressure of the same design, among each of some points and those up to `reach` beside it."""
    row, near = points.row, _beside(points, place, reach)
    pressure = _pressure(chosen(points, near.ravel()), back).reshape(near.shape)
    best = np.argmax(np.where(row[near] == row[place], pressure, -1), axis=0)
    found: Index = np.take_along_axis(near, best[None], 0)[0]
    return found


def _beside(points: Points, place: Index, reach: int) -> Index:
    """Places up to `reach` before and past each of some points, shape (2 reach + 1, ...)."""
    near: Index = np.clip(place + np.arange(-reach, reach + 1)[:, None], 0, points.row.size - 1)
    return near


def _sine_at_summit(points: Points, place: Index, back: Array) -> Array:
    """Sine of the contact angle where the pressure is highest, at or beside each of some points, shape of `place` [-].

    At the vertex of the parabola through the pressures of the highest point there and those next to it on its edge.
    """
    row, back = points.row, np.minimum(back, recession.FARTHEST)
    place = _highest_beside(points, place, back, 1)
    near = _beside(points, place, 1)
    some = chosen(points, near.ravel())
    top, sine, offset = (np.reshape(part, near.shape) for part in (_pressure(some, back), some.edge.sine, some.offset))
    inner, outer = np.diff(offset, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        rise, fall = (top[1] - top[0]) / inner, (top[1] - top[2]) / outer
        shift = (rise * outer - fall * inner) / (rise + fall) / 2
        step = shift * np.where(shift > 0, (sine[2] - sine[1]) / outer, (sine[1] - sine[0]) / inner)
    inside = np.all(row[near] == row[place], axis=0) & (rise > 0) & (fall > 0) & (-inner < shift) & (shift < outer)
    return np.asarray(np.where(inside, sine[1] + np.where(inside, step, 0.0), sine[1]))


def bears(points: Points, at: Carrier, limit: Array) -> tuple[Array, Array]:
    """Recession of each edge at which it bears the ball, and its radius there, shape (n,) [m].

    Parameters
    ----------
    points : Points
    at : Carrier
        Of the same edge.
    limit : array, shape (n,)
        Peak pressure that it bears [Pa].
    """
    back, rounder = pressed_back(points, limit)
    return back, np.minimum(at.own + rounder, np.maximum(at.room, at.own))


def settles(record: Record, points: Points, at: Carrier) -> tuple[Array, Array]:
    """Recession and radius of each worn-in edge, shape (n,) [m].

    It bears the lower of two pressures: that of its first load, and that which it bears for ever.

    Parameters
    ----------
    record : Record
        Fields of shape (n,).
    points : Points
    at : Carrier
        Of the same edge.
    """
    for_ever = strength.shakedown_limit(record.tang_hardness, record.friction)
    return bears(points, at, np.minimum(strength.first_limit(record.tang_hardness, at.wedge), for_ever))


def _pressure(points: Points, back: Array) -> Array:
    """Peak pressure at each point where the edges have gone back, shape (k,); `back` of shape (n,)."""
    return recession.coined(points.edge, points.moduli, points.force, points.offset, back[points.row]).pressure


def _highest(row: Index, value: Array) -> Index:
    """Place of the highest value of each design among points that stand in the order of the designs."""
    starts = np.flatnonzero(_begins(row))
    top = np.repeat(np.maximum.reduceat(value, starts), np.diff(np.append(starts, row.size))) if row.size else value
    hits = np.flatnonzero(value == top)
    return hits[_begins(row[hits])]


def _begins(row: Index) -> Truth:
    """Whether each point is the first of its design."""
    return np.append(True, row[1:] != row[:-1])[: row.size]
