"""How high the ball's centre stands over a dimple drilled with one or two drills: geometry alone.

The dimple is the union of two drilled cuts on one axis in a flat face. The height of the ball's centre is the
grey-scale dilation of that surface by the sphere; for any surface of revolution the nearest azimuth wins, so it is
a plane problem. Going outward the ball is carried by one piece (`PIECE`) after another, each a straight flank or a
circle, then by the flat face.

The contact's radius never falls as the ball moves outward, so the pieces keep this order and each owns one range
of offsets, possibly empty. Depths count downward from the face.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.envelope import PIECE, PIECES, STRAIGHT, Pieces, take_piece

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index, Truth


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
    r, z, size = (
        take_piece(np.broadcast_to(f, (*target.shape, PIECES)), piece) for f in (shape.r, shape.z, shape.size)
    )
    with np.errstate(invalid="ignore"):
        circle = r - np.sqrt(np.maximum(size**2 - np.maximum(target + z, 0) ** 2, 0))
        line = r - (shape.ball[..., 0] * np.sqrt(1 + size**2) - target - z) / size
    found = np.where(STRAIGHT[piece], line, circle)
    starts = np.broadcast_to(starts, (*target.shape, PIECES + 1))
    low, high = take_piece(starts, piece), take_piece(starts, piece + 1)
    return np.where(seat_depth(shape) <= depth, 0.0, np.clip(found, low, high))


def rests_on_floor(shape: Pieces) -> Truth:
    """Tell whether the centred ball stands on the drill-point floor instead of an edge."""
    return shape.start[..., PIECE.inner_edge] > 0
