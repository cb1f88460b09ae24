"""How high the ball's centre stands over a dimple drilled with one or two drills: geometry alone.

The dimple is the union of two drilled cuts on one axis in a flat face. The height of the ball's centre is the
grey-scale dilation of that surface by the sphere; for any surface of revolution the nearest azimuth wins, so it is
a plane problem. Going outward the ball is carried by one *piece* after another, each a straight flank or a circle:

    0 floor (steeper cone)   1 floor corner   2 floor (flatter cone)   3 inner edge
    4 flank of the rim cut   5 upper edge     6 rounded edge           then the flat face

The contact's radius never falls as the ball moves outward, so the pieces keep this order and each owns one range
of offsets, possibly empty. Depths count downward from the face.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize.elementwise import find_root

from .record import Array, Index, Record, Truth

PIECES = 7
# By how much of itself an offset is passed, so that rounding does not leave a touch just out of reach.
TOUCHES = 1e-12
STRAIGHT = np.array([True, False, True, False, True, False, False])


class Section(NamedTuple):
    """Half section of the dimple; lengths [m], each an array of the record's shape."""

    fillet_r: Array  # radius of the rounded edge's centre circle; the mouth
    fillet_sin: Array  # largest sine of the slope on the rounded edge
    edge_r: Array  # its lower end
    edge_z: Array
    inner_r: Array  # inner edge of the rim cut, on the pilot's wall
    inner_z: Array
    flank_tan: Array  # slope of the rim cut's flank
    corner_r: Array  # where the two cones of the floor cross
    steep_tan: Array  # slopes of the floor, and depths of its lines at the pilot's radius
    steep_z: Array
    flat_tan: Array
    flat_z: Array


class Pieces(NamedTuple):
    """What carries the ball, outward; last axis: the piece."""

    start: Array  # (..., 8): offsets where pieces begin; the last is where the flat begins [m]
    r: Array  # (..., 7): circle: radius of its centre; straight: radius where `z` is taken [m]
    z: Array  # (..., 7): depth there [m]
    size: Array  # (..., 7): circle: distance from its centre to the ball's; straight: the slope's tangent
    ball: Array  # (..., 1): ball radius [m]


def section(record: Record) -> Section:
    """Half section of the drilled and broken-edged dimple.

    The edge radius is a disc rolled in the outermost cut: against its wall where the cutter's full diameter reaches
    deeper than the radius, against the wall's lower end or the cone below that. In a pilot shallower than its own
    rounding the rounding runs out on the floor. Exact but for one corner that no knife has: a pilot shallower
    than the edge radius with a steeper second drill through its floor, where a few um are missed.
    """
    fillet_r, sine = _rounded_edge(record)
    a1, r_e = record.pilot_radius, record.edge_radius
    reaches, inner_r, run = _rounding_ends(record, fillet_r, r_e * sine)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.where(reaches & (r_e > 0), np.minimum(run / r_e, 1), sine)
    edge_r = np.where(reaches, inner_r, fillet_r - r_e * sine)
    edge_z = r_e * (1 - np.sqrt(1 - sine**2))
    inner_z = np.where(reaches, edge_z, record.rim_feed)
    corner, steep, steep_z, flat, flat_z = _floor(record)
    cut = a1 - inner_r
    floor = (np.minimum(corner, inner_r), steep, steep_z + cut * steep, flat, flat_z + cut * flat)
    return Section(fillet_r, sine, edge_r, edge_z, inner_r, inner_z, 1 / record.rim_tangent, *floor)


def _rounding_ends(record: Record, fillet_r: Array, natural: Array) -> tuple[Truth, Array, Array]:
    """Tell whether the rounding reaches the pilot, what its inner radius then is, and how far it runs inward [m]."""
    a1, r_e, tangent = record.pilot_radius, record.edge_radius, 1 / record.pilot_tangent
    at_wall = fillet_r - a1
    reaches = natural >= at_wall - 1e-12 * a1
    left = np.sqrt(np.maximum(r_e**2 - at_wall**2, 0))
    walled = record.pilot_depth >= r_e - left
    # Where the pilot's point comes out of the rounding again: line against circle.
    drop = r_e - record.pilot_depth + at_wall * tangent
    under = (1 + tangent**2) * r_e**2 - drop**2
    meet = (drop * tangent - np.sqrt(np.maximum(under, 0))) / (1 + tangent**2)
    run = np.where((under > 0) & (meet > at_wall) & (meet < natural), meet, natural)
    run = np.where(walled, at_wall, run)
    return reaches, np.where(reaches & ~walled, fillet_r - run, a1), run


def _rounded_edge(record: Record) -> tuple[Array, Array]:
    """Centre radius of the rolled disc and the largest sine of slope on it."""
    tau, r_e = record.rim_tangent, record.edge_radius
    rim = np.minimum(record.rim_radius, record.pilot_radius + record.rim_feed * tau)
    wall = np.maximum(0, record.rim_feed - (record.rim_radius - record.pilot_radius) / tau)
    slope = np.arctan(1 / tau)
    on_wall, on_corner = wall >= r_e, wall >= r_e * (1 - np.cos(slope))
    corner = np.sqrt(np.maximum(2 * r_e * wall - wall**2, 0))
    reach = np.where(on_corner, corner, tau * wall + r_e * np.tan(slope / 2))
    reach = np.where(on_wall, r_e, reach)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.where(on_corner, corner / r_e, np.sin(slope))
    return rim + reach, np.where(on_wall, 1.0, sine)


def _floor(record: Record) -> tuple[Array, Array, Array, Array, Array]:
    """Find the floor inside the pilot's radius: the deeper of the two drill points at each radius."""
    pilot, rim = 1 / record.pilot_tangent, 1 / record.rim_tangent
    pilot_z, rim_z = record.pilot_depth, record.rim_feed
    steep_is_pilot = (pilot > rim) | ((pilot == rim) & (pilot_z >= rim_z))
    steep, flat = np.where(steep_is_pilot, pilot, rim), np.where(steep_is_pilot, rim, pilot)
    steep_z, flat_z = np.where(steep_is_pilot, pilot_z, rim_z), np.where(steep_is_pilot, rim_z, pilot_z)
    with np.errstate(divide="ignore", invalid="ignore"):
        corner = record.pilot_radius - (flat_z - steep_z) / (steep - flat)
    corner = np.where(steep == flat, record.pilot_radius, corner)
    return np.clip(corner, 0, record.pilot_radius), steep, steep_z, flat, flat_z


def pieces(record: Record) -> Pieces:
    """Find what carries the ball from the centre of the dimple out to the flat, and where each piece takes over."""
    sec = section(record)
    ball = np.broadcast_arrays(record.ball_radius, *sec)[0]
    r_e = record.edge_radius
    corner_z = sec.steep_z + (sec.inner_r - sec.corner_r) * sec.steep_tan
    one = np.ones_like(ball)
    shape = Pieces(
        np.zeros((*ball.shape, PIECES + 1)),
        _stack(one, sec.inner_r, sec.corner_r, sec.inner_r, sec.inner_r, sec.inner_r, sec.edge_r, sec.fillet_r),
        _stack(one, sec.steep_z, corner_z, sec.flat_z, sec.inner_z, sec.inner_z, sec.edge_z, r_e),
        _stack(one, sec.steep_tan, ball, sec.flat_tan, ball, sec.flank_tan, ball, ball + r_e),
        ball[..., None],
    )
    return shape._replace(start=_starts(shape, sec))


def _stack(one: Array, *parts: Array) -> Array:
    return np.stack([one * part for part in parts], axis=-1)


def _starts(shape: Pieces, sec: Section) -> Array:
    """Offsets at which one piece hands over to the next, shape (..., 8)."""
    ball = shape.ball[..., 0]
    own = _own_ends(shape, sec)
    outer = _rim_takes_over(shape, sec, own)
    inner = np.minimum(_floor_lets_go(shape, own, outer), np.maximum(own[2], 0))
    # Nothing of the cut below is left to touch where the floor hands over to the upper edge itself.
    inner = np.where(np.abs(inner - outer) <= 1e-9 * ball, outer, inner)
    outer = np.maximum(outer, inner)
    mouth = np.maximum(np.broadcast_to(sec.fillet_r, ball.shape), 0)
    starts = [0 * ball, np.clip(own[0], 0, inner), np.clip(own[1], 0, inner), inner]
    starts += [np.clip(own[3], inner, outer), outer, np.clip(own[5], outer, mouth), mouth]
    return np.maximum.accumulate(np.stack(starts, axis=-1), axis=-1)


def _own_ends(shape: Pieces, sec: Section) -> list[Array]:
    """Offset at which the contact runs off the outer end of each piece, other pieces left aside."""
    ball = shape.ball[..., 0]

    def sine(tangent: Array) -> Array:
        return tangent / np.sqrt(1 + tangent**2)

    steep, flat, flank = ball * sine(sec.steep_tan), ball * sine(sec.flat_tan), ball * sine(sec.flank_tan)
    upper = sec.fillet_r - shape.size[..., 6] * sec.fillet_sin
    return [
        sec.corner_r - steep,
        sec.corner_r - flat,
        sec.inner_r - flat,
        sec.inner_r - flank,
        sec.edge_r - flank,
        upper,
    ]


def _rim_takes_over(shape: Pieces, sec: Section, own: list[Array]) -> Array:
    """Offset at which the upper edge (or its rounding) takes the ball from the inner edge or the flank.

    In closed form: circle against circle, or line against circle, whichever pair meets.
    """
    at_flank, at_arc = np.maximum(own[3], 0), np.maximum(own[5], 0)
    behind = _rim_height(shape, own, at_flank) < _cut_height(shape, own, at_flank)
    on_flank = behind & (sec.edge_r > sec.inner_r)
    before_arc = _rim_height(shape, own, at_arc) >= _cut_height(shape, own, at_arc)
    upper = np.where(before_arc, 5, 6)
    r, z, size = (_take(field, upper) for field in (shape.r, shape.z, shape.size))
    inner = _circles_meet(shape.r[..., 3], shape.z[..., 3], shape.size[..., 3], r, z, size)
    flank = _line_meets(shape.r[..., 4], shape.z[..., 4], shape.size[..., 4], shape.ball[..., 0], r, z, size)
    meet = np.where(on_flank, flank, inner)
    touch = np.maximum(shape.r[..., 5] - shape.ball[..., 0], 0)
    hits_wall = _cut_height(shape, own, touch) < -shape.z[..., 5]
    meet = np.where(np.isnan(meet) | (hits_wall & (touch > 0)), touch, meet)
    centre = np.zeros_like(meet)
    first = _rim_height(shape, own, centre)
    leads = np.isfinite(first) & (first >= _cut_height(shape, own, centre))
    return np.where(leads | (sec.edge_r <= sec.inner_r), 0, np.maximum(meet, 0))


def _floor_lets_go(shape: Pieces, own: list[Array], outer: Array) -> Array:
    """Offset up to which the ball rests on the floor; 0 in a dimple that is deep enough."""
    centre = np.zeros_like(outer)
    rests = _edge_lead(shape, own, centre) < 0
    if not np.any(rests):
        return centre
    shape = Pieces(*(np.broadcast_to(f, (*centre.shape, f.shape[-1]))[rests] for f in shape))
    own = [np.broadcast_to(end, centre.shape)[rests] for end in own]

    def lead(s: Array, design: Index) -> Array:
        return _edge_lead(Pieces(*(field[design] for field in shape)), [end[design] for end in own], s)

    # A ball smaller than the hole meets no edge before here; where it meets one at once above the floor, this is it.
    index = np.arange(len(own[0]))
    first = np.maximum(np.minimum(shape.r[..., 3], shape.r[..., 5]) - shape.ball[..., 0], 0) * (1 + TOUCHES)
    met = lead(first, index) >= 0
    found = find_root(lead, (first, shape.r[..., 6]), args=(index,))
    centre[rests] = np.where(met, first, found.x)
    return centre


def _edge_lead(shape: Pieces, own: list[Array], s: Array) -> Array:
    """How much higher the edges carry the ball than the floor would; rising with offset."""
    edge = np.maximum(_cut_height(shape, own, s), _rim_height(shape, own, s))
    # -1 m stands for "out of reach": finite, so that a solver can bracket it.
    return np.maximum(edge, -1.0) - np.maximum(_floor_height(shape, own, s), -1.0)


def _floor_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre were there only the floor."""
    parts = [_height(shape, i, s) for i in (0, 1, 2)]
    foot = np.maximum(shape.z[..., 0], shape.z[..., 2])
    wall = _circle(shape.r[..., 2] - s, foot, shape.ball[..., 0])
    return np.select([s < own[0], s < own[1], s < own[2]], parts, wall)


def _cut_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre were there only the rim cut below its upper edge."""
    upper = _height(shape, 5, s)
    return np.select([s < own[3], s < own[4]], [_height(shape, 3, s), _height(shape, 4, s)], upper)


def _rim_height(shape: Pieces, own: list[Array], s: Array) -> Array:
    """Height of the ball's centre were there only the upper edge, its rounding and the face."""
    face = np.broadcast_to(shape.ball[..., 0], np.shape(s))
    choices = [_height(shape, 5, s), _height(shape, 6, s)]
    return np.select([s < own[5], s < shape.r[..., 6]], choices, face)


def _height(shape: Pieces, i: int, s: Array) -> Array:
    r, z, size = shape.r[..., i], shape.z[..., i], shape.size[..., i]
    return _straight(r - s, z, size, shape.ball[..., 0]) if STRAIGHT[i] else _circle(r - s, z, size)


def _circle(u: Array, z: Array, size: Array) -> Array:
    """Height over a circle whose centre lies `u` outward; -inf out of reach."""
    left = size**2 - u**2
    return np.where(left >= 0, -z + np.sqrt(np.maximum(left, 0)), -np.inf)


def _straight(u: Array, z: Array, tangent: Array, ball: Array) -> Array:
    """Height over a flank that is `z` deep at `u` outward."""
    return -z - u * tangent + ball * np.sqrt(1 + tangent**2)


def _circles_meet(r1: Array, z1: Array, d1: Array, r2: Array, z2: Array, d2: Array) -> Array:
    """Offset at which two upper half circles cross, the second farther out and higher; NaN where they don't."""
    dr, dz = r2 - r1, z1 - z2
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.hypot(dr, dz)
        along = (apart**2 + d1**2 - d2**2) / (2 * apart)
        across = np.sqrt(d1**2 - along**2)
        return np.asarray(r1 + (along * dr - across * dz) / apart)


def _line_meets(r1: Array, z1: Array, tangent: Array, ball: Array, r2: Array, z2: Array, d2: Array) -> Array:
    """Offset at which an upper half circle overtakes a flank; tangent where they only touch."""
    top = _straight(r1 - r2, z1, tangent, ball) + z2
    left = (1 + tangent**2) * d2**2 - top**2
    return np.asarray(r2 - (top * tangent + np.sqrt(np.maximum(left, 0))) / (1 + tangent**2))


def _take(field: Array, index: Index) -> Array:
    """Pick one piece's value for each design; `index` has the field's shape without the piece axis."""
    return np.asarray(np.take_along_axis(field, index[..., None], axis=-1)[..., 0])


def piece_at(shape: Pieces, s: ArrayLike, *, outward: bool = True) -> Index:
    """Index of the piece that carries the ball at offset `s`; `PIECES` on the flat.

    Parameters
    ----------
    shape : Pieces
        With shape (..., 8) and (..., 7).
    s : array_like
        Offsets [m], shape (..., m): angle axis last.
    outward : bool
        At a hand-over, the piece outward of it (True) or inward of it.
    """
    s = np.asarray(s, float)[..., None]
    starts = shape.start[..., None, 1:]
    return np.asarray(np.sum(s >= starts if outward else s > starts, axis=-1))


def height_and_slope(shape: Pieces, s: ArrayLike, piece: Index) -> tuple[Array, Array]:
    """Height of the ball's centre and sine of the contact angle on the named piece.

    Parameters
    ----------
    shape : Pieces
    s : array_like
        Offset of the ball from the dimple's axis [m], shape (..., m).
    piece : array of int
        Which piece carries it, same shape.

    Returns
    -------
    height, sine : array
        Height c of the ball's centre over the face [m]; sin psi [-]. `dc/ds = tan(psi)`.
    """
    s = np.asarray(s, float)
    flat = piece >= PIECES
    index = np.minimum(piece, PIECES - 1)
    index, s_wide = np.broadcast_arrays(index, s)
    r, z, size = (_gather(field, index) for field in (shape.r, shape.z, shape.size))
    height, sine = on_piece(s_wide, r, z, size, STRAIGHT[index], shape.ball)
    return np.where(flat, shape.ball, height), np.where(flat, 0.0, sine)


def on_piece(s: Array, r: Array, z: Array, size: Array, straight: Truth, ball: Array) -> tuple[Array, Array]:
    """Height of the ball's centre [m] and sin psi on pieces given as in `Pieces`; all broadcast.

    The flat is a straight piece of slope and depth 0.
    """
    on_circle = np.clip((r - s) / np.where(straight, 1.0, size), -1, 1)
    root = np.sqrt(1 + np.where(straight, size, 0.0) ** 2)
    sine = np.where(straight, size / root, on_circle)
    circle = -z + size * np.sqrt(1 - on_circle**2)
    height = np.where(straight, -z - (r - s) * size + ball * root, circle)
    return height, np.maximum(sine, 0)


def _gather(field: Array, index: Index) -> Array:
    """Pick pieces along the last axis for (..., m) indices from a (..., 7) field."""
    wide = np.broadcast_to(field, (*index.shape[:-1], field.shape[-1]))
    return np.asarray(np.take_along_axis(wide, index, axis=-1))


def ball_height(shape: Pieces, s: ArrayLike) -> tuple[Array, Array]:
    """Height of the ball's centre over the face [m] and tan(psi), at offsets `s` [m] of shape (..., m)."""
    s = np.abs(np.asarray(s, float))
    height, sine = height_and_slope(shape, s, piece_at(shape, s))
    with np.errstate(divide="ignore"):
        return height, sine / np.sqrt(1 - sine**2)


def seat_depth(shape: Pieces) -> Array:
    """How far the ball's tip sits below the face when centred, e(0) [m]."""
    ball = shape.ball[..., 0]
    centre = np.zeros((*ball.shape, 1))
    return ball - ball_height(shape, centre)[0][..., 0]


def offset_at_depth(shape: Pieces, depth: ArrayLike) -> Array:
    """Offset at which the ball's tip stands `depth` below the face; 0 where the seat is shallower [m].

    Parameters
    ----------
    shape : Pieces
    depth : array_like
        [m], the designs' shape.
    """
    depth = np.asarray(depth, float)
    starts = shape.start
    target = np.broadcast_arrays(shape.ball[..., 0] - depth, starts[..., 0])[0]
    index = np.arange(PIECES)
    ends, _ = height_and_slope(shape, starts[..., 1:], np.broadcast_to(index, starts[..., 1:].shape))
    # Empty pieces end nowhere; the height reached before them stands.
    ends = np.maximum.accumulate(np.where(starts[..., 1:] > starts[..., :-1], ends, -np.inf), axis=-1)
    piece = np.minimum(np.sum(ends < target[..., None], axis=-1), PIECES - 1)
    r, z, size = (_take(np.broadcast_to(f, (*target.shape, PIECES)), piece) for f in (shape.r, shape.z, shape.size))
    with np.errstate(invalid="ignore"):
        circle = r - np.sqrt(np.maximum(size**2 - np.maximum(target + z, 0) ** 2, 0))
        line = r - (shape.ball[..., 0] * np.sqrt(1 + size**2) - target - z) / size
    found = np.where(STRAIGHT[piece], line, circle)
    starts = np.broadcast_to(starts, (*target.shape, PIECES + 1))
    low, high = _take(starts, piece), _take(starts, piece + 1)
    return np.where(seat_depth(shape) <= depth, 0.0, np.clip(found, low, high))


def rests_on_floor(shape: Pieces) -> Truth:
    """Tell whether the centred ball stands on the drill-point floor instead of an edge."""
    return shape.start[..., 3] > 0
