"""Circles and straight flanks of the dimple that may carry the ball: their order and their arrays.

Stands alone; ``envelope`` says where each takes over, ``dimple`` reads the ball's height off them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Index


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


class Pieces(NamedTuple):
    """Pieces of the dimple that carry the ball, outward; last axis: the piece."""

    start: Array  # (..., 8): offsets where pieces begin; the last is where the flat begins [m]
    r: Array  # (..., 7): circle: radius of its centre; straight: radius where `z` is taken [m]
    z: Array  # (..., 7): depth there [m]
    size: Array  # (..., 7): circle: distance from its centre to the ball's; straight: the slope's tangent
    ball: Array  # (..., 1): ball radius [m]


def one_piece(shape: Pieces, piece: int) -> tuple[Array, Array, Array]:
    """Radius, depth and size of one piece, each of the designs' shape; see `Pieces` for the units.

    >>> import detentsim as ds
    >>> shape = ds.curve(ds.demo()).response.load.shape
    >>> bool(one_piece(shape, PIECE.inner_edge)[2] == shape.ball[0])
    True
    """
    return shape.r[..., piece], shape.z[..., piece], shape.size[..., piece]


def take_piece(field: Array, index: Index) -> Array:
    """Value of one piece for each design; `index` has the field's shape without the piece axis.

    >>> take_piece(np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([1, 0])).tolist()
    [2.0, 3.0]
    """
    return np.asarray(np.take_along_axis(field, index[..., None], axis=-1)[..., 0])
