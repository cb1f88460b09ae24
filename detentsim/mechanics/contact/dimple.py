"""Height and contact angle of the ball over a dimple drilled with one or two drills.

The dimple is the union of two drilled cuts on one axis in a flat face. The height of the ball's centre is the
grey-scale dilation of that surface by the sphere; for any surface of revolution the nearest azimuth counts, so it is a
plane problem. Outward, the ball is carried by one piece (`PIECE`) after another, each a straight flank or a circle, and
then by the flat face. The contact's radius never decreases outward, so the pieces keep this order and each has one
range of offsets, possibly empty. Depths count downward from the face. Derived in studies/00-the-model.ipynb.

Self-contained; ``envelope`` says where each piece takes over, and the path of the ball (``path.segments``) uses both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index, Truth


class _Piece(NamedTuple):
    """Index, on the last axis of `Pieces`, of each piece that may carry the ball, outward."""

    steep_floor: int = 0  # the steeper cone of the floor
    floor_corner: int = 1
    flat_floor: int = 2  # its flatter cone
    inner_edge: int = 3
    flank: int = 4  # of the rim cut
    upper_edge: int = 5
    rounding: int = 6  # the rounded edge


PIECE = _Piece()

PIECES = len(PIECE)

STRAIGHT = np.isin(PIECE, (PIECE.steep_floor, PIECE.flat_floor, PIECE.flank))


# Steepest angle that has a tangent; less turn of the normal comes from rounding [rad].
UPMOST, NO_TURN = 1.55, 1e-6


class Pieces(NamedTuple):
    """Pieces of the dimple that carry the ball, outward; last axis: the piece."""

    start: Array  # (..., 8): offsets where pieces begin; the last is where the flat begins [m]
    r: Array  # (..., 7): circle: radius of its centre; straight: radius where `z` is taken [m]
    z: Array  # (..., 7): depth there [m]
    size: Array  # (..., 7): circle: distance from its centre to the ball's; straight: the slope's tangent
    ball: Array  # (..., 1): ball radius [m]
    seat: Array  # (..., 1): depth of the centred ball's tip below the face [m]
    meet: Array = np.zeros(6)  # (..., 6), elastic rim alone: where two edges share the load, `envelope.hand_over`


def take_piece(field: Array, index: Index) -> Array:
    """Value of one piece for each design; `index` has the field's shape without the piece axis.

    >>> take_piece(np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([1, 0])).tolist()
    [2.0, 3.0]
    """
    return np.asarray(np.take_along_axis(field, index[..., None], axis=-1)[..., 0])


def piece_at(shape: Pieces, s: ArrayLike, *, outward: bool = True) -> Index:
    """Index of the piece that carries the ball at given offsets; `PIECES` on the flat.

    Parameters
    ----------
    shape : Pieces
        Fields of shape (..., 8) and (..., 7).
    s : array_like, shape (..., m)
        Offsets of the ball from the dimple's axis [m].
    outward : bool
        Where two pieces meet, the one outward of it (True) or inward of it.

    Returns
    -------
    array of int, shape (..., m)

    Examples
    --------
    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> int(piece_at(shape, [1e-2])[0]) == PIECES
    True
    """
    s = np.asarray(s, float)[..., None]
    starts = shape.start[..., None, 1:]
    return np.asarray(np.sum(s >= starts if outward else s > starts, axis=-1))


def height_and_slope(shape: Pieces, s: ArrayLike, piece: Index) -> tuple[Array, Array]:
    """Height of the ball's centre over the face [m] and sine of the contact angle [-] on given pieces.

    Parameters
    ----------
    shape : Pieces
        Of designs of shape (...).
    s : array_like, shape (..., m)
        Offset of the ball from the dimple's axis [m].
    piece : array of int, shape (..., m)
        Piece that carries the ball.

    Returns
    -------
    height, sine : array, shape (..., m)
        `c` [m] and `sin psi` [-], with `dc/ds = tan(psi)`.

    Notes
    -----
    Circle or straight flank of each piece, derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> height, sine = height_and_slope(shape, [1e-2], np.array([PIECES]))
    >>> float(height[0] / shape.ball[0]), float(sine[0])
    (1.0, 0.0)
    """
    s = np.asarray(s, float)
    flat = piece >= PIECES
    index = np.minimum(piece, PIECES - 1)
    index, s_wide = np.broadcast_arrays(index, s)
    r, z, size = (_gather(field, index) for field in (shape.r, shape.z, shape.size))
    height, sine = on_piece(s_wide, r, z, size, STRAIGHT[index], shape.ball)
    return np.where(flat, shape.ball, height), np.where(flat, 0.0, sine)


def hand_over(shape: Pieces) -> Array:
    """Where one edge takes the ball over from another that it is no tangent to; (..., 6), zeros where none does.

    Offset there [m], turn of the contact's normal [rad], its tangents before and after [-], numbers of the piece that
    lets go and of the one that takes over. Where several do, the one at which the normal turns most.

    >>> import detentsim as ds
    >>> place = hand_over(ds.curve(ds.demo()).response.load.shape)
    >>> place.shape, bool(place[3] >= place[2])
    ((6,), True)
    """
    found = np.zeros((6, *shape.start.shape[:-1]))
    # Angle where the last piece that is there let go, and its number.
    let_go, last = np.full(found.shape[1:], np.nan), np.zeros(found.shape[1:])
    for piece in range(PIECES):
        begin, end = shape.start[..., piece], shape.start[..., piece + 1]
        there = end > begin
        if there.any():
            takes = angle_on(shape, begin, piece)
            place = met(begin, (let_go, takes), (last, np.full(last.shape, float(piece))))
            found = np.where(there & (place[1] > found[1] + NO_TURN), place, found)
            let_go, last = np.where(there, angle_on(shape, end, piece), let_go), np.where(there, piece, last)
    return np.moveaxis(found, 0, -1)


def met(offset: Array, angles: tuple[Array, Array], pieces: tuple[Array, Array]) -> Array:
    """What `hand_over` gives, on the first axis, for an offset [m], contact angles before and after [rad] and pieces.

    >>> met(*map(np.array, (1e-4, (0.0, 0.1), (3, 5)))).round(3).tolist()
    [0.0, 0.1, 0.0, 0.1, 3.0, 5.0]
    """
    before, after = np.fmin(angles, UPMOST)
    return np.stack([offset, angles[1] - angles[0], np.tan(before), np.tan(after), *pieces])


def angle_on(shape: Pieces, s: Array, piece: int) -> Array:
    """Contact angle at offsets `s` of the designs' shape on one piece [rad], as in `on_piece`.

    >>> import detentsim as ds
    >>> load = ds.curve(ds.demo()).response.load
    >>> float(angle_on(load.shape, load.shape.start[..., -1], PIECE.rounding))
    0.0
    """
    size = shape.size[..., piece]
    if STRAIGHT[piece]:
        return np.asarray(np.arctan(np.maximum(size, 0)))
    return np.asarray(np.arcsin(np.clip((shape.r[..., piece] - s) / size, 0, 1)))


def on_piece(s: Array, r: Array, z: Array, size: Array, straight: Truth, ball: Array) -> tuple[Array, Array]:
    """Height of the ball's centre [m] and sine of the contact angle [-] on pieces given as in `Pieces`; all broadcast.

    `c = -z + sqrt(size^2 - (r - s)^2)` on a circle, `c = -z - (r - s) t + R sqrt(1 + t^2)` on a straight piece of slope
    t; the flat is a straight piece of slope and depth 0. Derived in studies/00-the-model.ipynb.

    >>> height, sine = on_piece(*map(np.array, (0.0, 0.3, 0.0, 0.5, False, 0.5)))
    >>> round(float(height), 9), round(float(sine), 9)
    (0.4, 0.6)
    """
    on_circle = np.clip((r - s) / np.where(straight, 1.0, size), -1, 1)
    root = np.sqrt(1 + np.where(straight, size, 0.0) ** 2)
    sine = np.where(straight, size / root, on_circle)
    circle = -z + size * np.sqrt(1 - on_circle**2)
    height = np.where(straight, -z - (r - s) * size + ball * root, circle)
    return height, np.maximum(sine, 0)


def _gather(field: Array, index: Index) -> Array:
    """Values of given pieces, (..., m) from a field of shape (..., 7)."""
    wide = np.broadcast_to(field, (*index.shape[:-1], field.shape[-1]))
    return np.asarray(np.take_along_axis(wide, index, axis=-1))


def ball_height(shape: Pieces, s: ArrayLike) -> tuple[Array, Array]:
    """Height of the ball's centre over the face [m] and `tan(psi)` [-] at offsets `s` [m] of shape (..., m).

    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> height, slope = ball_height(shape, [1e-2])
    >>> float(height[0] / shape.ball[0]), float(slope[0])
    (1.0, 0.0)
    """
    s = np.abs(np.asarray(s, float))
    height, sine = height_and_slope(shape, s, piece_at(shape, s))
    with np.errstate(divide="ignore"):
        return height, sine / np.sqrt(1 - sine**2)


def seat_depth(shape: Pieces) -> Array:
    """Depth of the centred ball's tip below the face, `e(0) = R - c(0)`, shape (...) [m].

    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> float(seat_depth(response.load.shape) / response.results["seat_depth"])
    1.0
    """
    return np.asarray(shape.seat[..., 0])


def offset_at_depth(shape: Pieces, depth: ArrayLike) -> Array:
    """Offset at which the ball's tip is `depth` below the face [m]; 0 where the seat is shallower.

    Parameters
    ----------
    shape : Pieces
        Of designs of shape (...).
    depth : array_like, shape (...)
        [m].

    Returns
    -------
    array, shape (...)

    Notes
    -----
    Inverse of `height_and_slope`, in closed form on each piece (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> depth = 0.9 * seat_depth(shape)
    >>> float((shape.ball[0] - ball_height(shape, offset_at_depth(shape, depth)[None])[0][0]) / depth)
    1.0
    """
    depth = np.broadcast_to(np.asarray(depth, float), np.broadcast_shapes(np.shape(depth), shape.seat.shape[:-1]))
    above = seat_depth(shape) > depth
    offset = np.zeros(depth.shape)
    if above.any():
        wide = (np.broadcast_to(field, (*depth.shape, field.shape[-1]))[above] for field in shape)
        offset[above] = _offset_off_seat(Pieces(*wide), depth[above])
    return offset


def _offset_off_seat(shape: Pieces, depth: Array) -> Array:
    """Offset at which the ball's tip is `depth` (n,) [m] below the face, less deep than its seat; in closed form."""
    starts, target = shape.start, shape.ball[..., 0] - depth
    index = np.arange(PIECES)
    ends, _ = height_and_slope(shape, starts[..., 1:], np.broadcast_to(index, starts[..., 1:].shape))
    # An empty piece has no end of its own; the height reached before it counts.
    ends = np.maximum.accumulate(np.where(starts[..., 1:] > starts[..., :-1], ends, -np.inf), axis=-1)
    piece = np.minimum(np.sum(ends < target[..., None], axis=-1), PIECES - 1)
    r, z, size = (take_piece(field, piece) for field in (shape.r, shape.z, shape.size))
    with np.errstate(invalid="ignore"):
        circle = r - np.sqrt(np.maximum(size**2 - np.maximum(target + z, 0) ** 2, 0))
        line = r - (shape.ball[..., 0] * np.sqrt(1 + size**2) - target - z) / size
    low, high = take_piece(starts, piece), take_piece(starts, piece + 1)
    return np.clip(np.where(STRAIGHT[piece], line, circle), low, high)


def rests_on_floor(shape: Pieces) -> Truth:
    """Truth of each design that the centred ball touches the drill-point floor and not an edge, shape (...).

    >>> import detentsim as ds
    >>> bool(rests_on_floor(ds.curve(ds.demo()).response.load.shape))
    False
    """
    return shape.start[..., PIECE.inner_edge] > 0
