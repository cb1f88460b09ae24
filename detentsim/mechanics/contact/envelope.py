"""Pieces of the dimple that carry the ball, and the offsets at which one hands over to the next.

Each piece is a circle or a straight flank; the ball rests on the highest. Uses ``section`` and ``dimple``, which
reads the heights off.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.contact.dimple import PIECE, PIECES, STRAIGHT, Pieces, ball_height, take_piece
from detentsim.mechanics.contact.section import Section, section, sine_of
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index, Record, Truth

# Share by which an offset is passed, so that rounding does not leave a contact just out of reach.
TOUCHES = 1e-12


def pieces(record: Record) -> Pieces:
    """Pieces that carry the ball from the dimple's centre to the flat, and the offset at which each takes over.

    Parameters
    ----------
    record : Record
        Designs of shape (...).

    Returns
    -------
    Pieces
        Fields of shape (..., 8), (..., 7) and (..., 1).

    Notes
    -----
    Upper envelope of circles and lines, derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> shape = pieces(ds.curve(ds.demo()).response.load.record)
    >>> shape.start.shape, bool(np.all(np.diff(shape.start) >= 0))
    ((8,), True)
    """
    sec = section(record)
    ball = np.broadcast_arrays(record.ball_radius, *sec)[0]
    r_e = record.edge_radius
    corner_z = sec.steep_z + (sec.inner_r - sec.corner_r) * sec.steep_tan
    wide, inner, rounded = ball.shape, sec.inner_r, sec.inner_round
    shape = Pieces(
        np.zeros((*ball.shape, PIECES + 1)),
        _side_by_side(wide, inner, sec.corner_r, inner, inner + rounded, inner, sec.edge_r, sec.fillet_r),
        _side_by_side(wide, sec.steep_z, corner_z, sec.flat_z, sec.inner_centre, sec.inner_z, sec.edge_z, r_e),
        _side_by_side(wide, sec.steep_tan, ball, sec.flat_tan, ball + rounded, sec.flank_tan, ball, ball + r_e),
        ball[..., None],
        np.zeros((*ball.shape, 1)),
    )
    shape = shape._replace(start=_starts(shape, sec))
    return shape._replace(seat=shape.ball - ball_height(shape, np.zeros((*ball.shape, 1)))[0])


def hand_over(record: Record, shape: Pieces) -> Array:
    """`dimple.hand_over`, and where a ball that is centred on the rim's edge would leave the one between the drills.

    There the offset is negative: the outer edge carries the centred ball already, but a rim that gives may let it sink
    onto the inner one as well.

    >>> import detentsim as ds
    >>> load = ds.curve(ds.demo()).response.load
    >>> bool(np.all(hand_over(load.record, load.shape) == dimple.hand_over(load.shape)))
    True
    """
    found = dimple.hand_over(shape)
    outer = shape.start[..., PIECE.upper_edge] <= 0
    if not outer.any():
        return found
    sec = section(record)
    own = _own_ends(shape, sec)
    on_edge, on_upper = own[PIECE.inner_edge] > 0, own[PIECE.upper_edge] > 0
    inner = np.where(on_edge, PIECE.inner_edge, PIECE.flank)
    upper = np.where(on_upper, PIECE.upper_edge, PIECE.rounding)
    taken = [take_piece(field, upper) for field in (shape.r, shape.z, shape.size)]
    edge = _circles_meet(*one_piece(shape, PIECE.inner_edge), *taken)
    flank = _line_meets(*one_piece(shape, PIECE.flank), shape.ball[..., 0], *taken)
    place = np.where(on_edge, edge, flank)

    def angle(piece: int) -> Array:
        return dimple.angle_on(shape, place, piece)

    before = np.where(on_edge, angle(PIECE.inner_edge), angle(PIECE.flank))
    after = np.where(on_upper, angle(PIECE.upper_edge), angle(PIECE.rounding))
    there = np.moveaxis(dimple.met(place, (before, after), (inner, upper)), 0, -1)
    outer &= (sec.edge_r > sec.inner_r) & (place < 0) & (after - before > found[..., 1] + dimple.NO_TURN)
    return np.where(outer[..., None], there, found)


def one_piece(shape: Pieces, piece: int) -> tuple[Array, Array, Array]:
    """Radius, depth and size of one piece, each of the designs' shape; see `Pieces` for the units.

    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> bool(one_piece(shape, PIECE.inner_edge)[2] == shape.ball[0])
    True
    """
    return shape.r[..., piece], shape.z[..., piece], shape.size[..., piece]


def _side_by_side(shape: tuple[int, ...], *parts: Array) -> Array:
    """Parts on a last axis, each in a row of its own in memory, since it is read by itself."""
    rows = np.empty((len(parts), *shape))
    for piece, part in enumerate(parts):
        rows[piece] = part
    return np.moveaxis(rows, 0, -1)


def _starts(shape: Pieces, sec: Section) -> Array:
    """Offsets at which one piece hands over to the next, shape (..., 8)."""
    ball = shape.ball[..., 0]
    own = _own_ends(shape, sec)
    centre = np.zeros_like(ball)
    rim, cut = _rim_height(shape, own, centre), _cut_height(shape, own, centre)
    outer = _rim_takes_over(shape, sec, own, np.isfinite(rim) & (rim >= cut))
    rests = _lead(np.maximum(cut, rim), _floor_height(shape, own, centre)) < 0
    inner = np.minimum(_floor_lets_go(shape, own, rests), np.maximum(own[PIECE.flat_floor], 0))
    # Where the floor hands over to the upper edge, the cut between them is never touched.
    inner = np.where(rests & (np.abs(inner - outer) <= 1e-9 * ball), outer, inner)
    outer = np.maximum(outer, inner)
    mouth = np.maximum(np.broadcast_to(sec.fillet_r, ball.shape), 0)
    ends = [centre, _within(own[PIECE.steep_floor], centre, inner), _within(own[PIECE.floor_corner], centre, inner)]
    ends += [inner, _within(own[PIECE.inner_edge], inner, outer)]
    ends += [outer, _within(own[PIECE.upper_edge], outer, mouth), mouth]
    for piece in range(1, len(ends)):
        ends[piece] = np.maximum(ends[piece - 1], ends[piece])
    return _side_by_side(ball.shape, *ends)


def _within(offset: Array, low: Array, high: Array) -> Array:
    return np.minimum(np.maximum(offset, low), high)


def _own_ends(shape: Pieces, sec: Section) -> list[Array]:
    """Offset at which the contact leaves the outer end of each piece, whatever the other pieces."""
    ball = shape.ball[..., 0]
    steep, flat, flank = sine_of(sec.steep_tan), sine_of(sec.flat_tan), sine_of(sec.flank_tan)
    return [
        sec.corner_r - ball * steep,
        sec.corner_r - ball * flat,
        sec.inner_r - ball * flat,
        shape.r[..., PIECE.inner_edge] - shape.size[..., PIECE.inner_edge] * flank,
        sec.edge_r - ball * flank,
        sec.edge_r - ball * sec.fillet_sin,
    ]


def _rim_takes_over(shape: Pieces, sec: Section, own: list[Array], leads: Truth) -> Array:
    """Offset at which the upper edge (or its rounding) takes the ball from the inner edge or the flank.

    Where no wall stands above the cut's cone the edge is tangent to the flank, and begins where the flank ends. Else in
    closed form: circle against circle, or line against circle, whichever pair meets, and at the latest where the edge
    is as steep as the flank; `leads` where the centred ball is on that edge already.
    """
    flank_sine = sine_of(sec.flank_tan)
    at_flank, at_arc = np.maximum(own[PIECE.inner_edge], 0), np.maximum(own[PIECE.upper_edge], 0)
    behind = _rim_height(shape, own, at_flank) < _past_inner(shape, own, at_flank)
    on_flank = behind & (sec.edge_r > sec.inner_r)
    before_arc = _past_upper(shape, at_arc) >= _cut_height(shape, own, at_arc)
    upper = np.where(before_arc, PIECE.upper_edge, PIECE.rounding)
    r, z, size = (take_piece(field, upper) for field in (shape.r, shape.z, shape.size))
    inner = _circles_meet(*one_piece(shape, PIECE.inner_edge), r, z, size)
    flank = _line_meets(*one_piece(shape, PIECE.flank), shape.ball[..., 0], r, z, size)
    meet = np.where(on_flank, flank, inner)
    touch = np.maximum(shape.r[..., PIECE.upper_edge] - shape.ball[..., 0], 0)
    hits_wall = _cut_height(shape, own, touch) < -shape.z[..., PIECE.upper_edge]
    meet = np.where(np.isnan(meet) | (hits_wall & (touch > 0)), touch, meet)
    meet = np.where(leads, 0, np.minimum(meet, r - size * flank_sine))
    meet = np.where(sec.fillet_sin <= flank_sine, own[PIECE.flank], meet)
    return np.where(sec.edge_r <= sec.inner_r, 0, np.maximum(meet, 0))


def _floor_lets_go(shape: Pieces, own: list[Array], rests: Truth) -> Array:
    """Offset up to which the ball rests on the floor; 0 where the dimple is so deep that the centred ball does not."""
    centre = np.zeros(rests.shape)
    if not rests.any():
        return centre
    shape = Pieces(*(np.broadcast_to(f, (*centre.shape, f.shape[-1]))[rests] for f in shape))
    own = [np.broadcast_to(end, centre.shape)[rests] for end in own]

    def lead(s: Array, design: Index) -> Array:
        return _edge_lead(Pieces(*(field[design] for field in shape)), [end[design] for end in own], s)

    # A ball smaller than the hole meets no edge before this offset; where an edge already leads here, it is the root.
    lone = shape.r - shape.size
    edge = np.minimum(lone[..., PIECE.inner_edge], lone[..., PIECE.upper_edge])
    first = np.maximum(edge, 0) * (1 + TOUCHES)
    met = lead(first, np.arange(first.size)) >= 0
    centre[rests] = np.where(met, first, bracketed_root(lead, first, shape.r[..., PIECE.rounding]))
    return centre


def _edge_lead(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball on the edges less that on the floor [m]; increases with offset."""
    edge = np.maximum(_cut_height(shape, own, s), _rim_height(shape, own, s))
    return _lead(edge, _floor_height(shape, own, s))


def _lead(edge: Array, floor: Array) -> Array:
    # -1 m stands for "no contact": finite, so that a solver can bracket the root.
    return np.asarray(np.maximum(edge, -1.0) - np.maximum(floor, -1.0))


def _floor_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre on the floor alone."""
    foot = np.maximum(shape.z[..., PIECE.steep_floor], shape.z[..., PIECE.flat_floor])
    height = _circle(shape.r[..., PIECE.flat_floor] - s, foot, shape.ball[..., 0])
    for piece in (PIECE.flat_floor, PIECE.floor_corner, PIECE.steep_floor):
        height = np.where(s < own[piece], _height(shape, piece, s), height)
    return height


def _cut_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre on the rim cut below its upper edge alone."""
    return np.where(s < own[PIECE.inner_edge], _height(shape, PIECE.inner_edge, s), _past_inner(shape, own, s))


def _past_inner(shape: Pieces, own: list[Array], s: Array) -> Array:
    """The same where the contact has left the inner edge."""
    above = _height(shape, PIECE.upper_edge, s)
    return np.where(s < own[PIECE.flank], _height(shape, PIECE.flank, s), above)


def _rim_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre on the upper edge, its rounding and the face alone."""
    return np.where(s < own[PIECE.upper_edge], _height(shape, PIECE.upper_edge, s), _past_upper(shape, s))


def _past_upper(shape: Pieces, s: Array) -> Array:
    """The same where the contact has left the upper edge."""
    rounding = _height(shape, PIECE.rounding, s)
    return np.where(s < shape.r[..., PIECE.rounding], rounding, shape.ball[..., 0])


def _height(shape: Pieces, piece: int, s: Array) -> Array:
    r, z, size = one_piece(shape, piece)
    return _straight(r - s, z, size, shape.ball[..., 0]) if STRAIGHT[piece] else _circle(r - s, z, size)


def _circle(u: Array, z: Array, size: Array) -> Array:
    """Height over a circle whose centre lies `u` outward; -inf where the ball does not touch it."""
    left = size**2 - u**2
    return np.where(left >= 0, -z + np.sqrt(np.maximum(left, 0)), -np.inf)


def _straight(u: Array, z: Array, tangent: Array, ball: Array) -> Array:
    """Height over a flank that is `z` deep at `u` outward."""
    return -z - u * tangent + ball * np.sqrt(1 + tangent**2)


def _circles_meet(r1: Array, z1: Array, d1: Array, r2: Array, z2: Array, d2: Array) -> Array:
    """Offset at which two upper half circles cross, the second farther out and higher; NaN where they don't."""
    dr, dz = r2 - r1, z1 - z2
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.sqrt(dr * dr + dz * dz)
        along = (apart**2 + d1**2 - d2**2) / (2 * apart)
        across = np.sqrt(d1**2 - along**2)
        return np.asarray(r1 + (along * dr - across * dz) / apart)


def _line_meets(r1: Array, z1: Array, tangent: Array, ball: Array, r2: Array, z2: Array, d2: Array) -> Array:
    """Offset at which an upper half circle overtakes a flank; that of tangency where they only touch."""
    top = _straight(r1 - r2, z1, tangent, ball) + z2
    left = (1 + tangent**2) * d2**2 - top**2
    return np.asarray(r2 - (top * tangent + np.sqrt(np.maximum(left, 0))) / (1 + tangent**2))
