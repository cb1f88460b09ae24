"""Closed loops of straight edges and arcs: the pieces of an outline, whether it crosses itself, edges as arrays.

Uses `detentsim.mechanics.contact.plan.plane`; `outlines` and `dxf` make loops.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact.plan.plane import Array, Edges
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

Point = tuple[float, float]

MOST = 4000
"""Most edges of a tang that are read."""

_ROWS = 64


class Piece(NamedTuple):
    """One edge of a loop."""

    start: Point  # [m]
    end: Point  # [m]
    centre: Point  # its start where the edge is straight [m]
    sweep: float  # 0 straight, positive counterclockwise [rad]
    called: str  # empty where it has no name
    chamfer: float  # not a number: as round the whole tang [m]


class Loop(NamedTuple):
    """A closed loop: the outline or a hole."""

    pieces: tuple[Piece, ...]
    called: str


def arc_through(start: Point, middle: Point, end: Point, field: str) -> tuple[Point, float]:
    """Centre and sweep of the arc through three points.

    Parameters
    ----------
    start, middle, end : tuple of float
        In the order of the way [m].
    field : str
        Name for messages.

    Returns
    -------
    tuple
        Centre [m] and sweep, positive counterclockwise [rad].

    Raises
    ------
    InputError
        Where the three lie on a line.

    Examples
    --------
    >>> (x, y), sweep = arc_through((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), "arc")
    >>> round(x, 9), round(y, 9), round(math.degrees(sweep))
    (0.0, 0.0, 180)
    """
    a, b, c = (complex(*p) for p in (start, middle, end))
    flat = ((b - a).conjugate() * (c - a)).imag
    if abs(flat) < 1e-6 * abs(c - a) * max(abs(b - a), abs(c - a), 1e-12) or abs(b - c) == 0:
        text = "lies in line with the ends of its arc; give a point off that line, or leave it out for a straight edge"
        raise InputError(field, None, text)
    one, two = b - a, c - a
    middle_of = a + 1j * (one * abs(two) ** 2 - two * abs(one) ** 2) / (2 * flat)
    sweep = math.remainder(np.angle((c - middle_of) / (a - middle_of)), 2 * math.pi)
    turn = math.copysign(1.0, flat)
    return (middle_of.real, middle_of.imag), sweep if sweep * turn > 0 else sweep + turn * 2 * math.pi


def need_simple(loop: Loop, field: str) -> Loop:
    """Return a loop unchanged and refuse one that crosses itself or encloses nothing.

    Parameters
    ----------
    loop : Loop
    field : str
        Name for messages.
    """
    line, owner = polyline(loop)
    if abs(area(line)) < 1e-10:
        raise InputError(field, None, "encloses nothing; give three points at least that are not in line")
    crossing = _crossing(line, owner)
    if crossing is not None:
        x, y = crossing * 1e3
        text = f"crosses itself near ({x:.3g} mm, {y:.3g} mm); give its points in order round the tang"
        raise InputError(field, None, text)
    return loop


def polyline(loop: Loop, step: float = math.pi / 24) -> tuple[Array, Array]:
    """Points along a loop, arcs in chords; and the piece each belongs to.

    Parameters
    ----------
    loop : Loop
    step : float
        Largest turn of a chord [rad].

    Returns
    -------
    tuple of arrays
        Shapes (n, 2) [m] and (n,).
    """
    rows, owner = [], []
    for number, piece in enumerate(loop.pieces):
        count = max(1, math.ceil(abs(piece.sweep) / step))
        if piece.sweep:
            out = complex(*piece.start) - complex(*piece.centre)
            spots = complex(*piece.centre) + out * np.exp(1j * piece.sweep * np.arange(count) / count)
            rows.append(np.stack([spots.real, spots.imag], axis=1))
        else:
            rows.append(np.array([piece.start]))
        owner += [number] * count
    return np.concatenate(rows), np.array(owner)


def area(line: Array) -> float:
    """Area within a closed line, positive counterclockwise [m^2].

    Parameters
    ----------
    line : array, shape (n, 2)
        [m]
    """
    x, y = line.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def _crossing(line: Array, owner: Array) -> Array | None:
    """Where two chords of different pieces cross inside both; None where none do."""
    ways = np.roll(line, -1, axis=0) - line
    for first in range(0, len(line), _ROWS):  # in blocks, or a long outline takes gigabytes
        rows = slice(first, first + _ROWS)
        one, between = ways[rows, None], line[None] - line[rows, None]
        cross = _cross(one, ways[None])
        with np.errstate(divide="ignore", invalid="ignore"):
            s, t = _cross(between, ways[None]) / cross, _cross(between, one) / cross
        hit = (s > 1e-6) & (s < 1 - 1e-6) & (t > 1e-6) & (t < 1 - 1e-6) & (owner[rows, None] != owner)
        if hit.any():
            i, j = np.argwhere(hit)[0]
            return np.asarray(line[first + i] + s[i, j] * ways[first + i])
    return None


def _cross(one: Array, other: Array) -> Array:
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def edges_of(loops: Iterable[Loop], chamfer: float) -> tuple[Edges, Array, tuple[str, ...]]:
    """Edges of loops as arrays, the chamfer along each, and its name.

    Parameters
    ----------
    loops : iterable of Loop
        The outline first.
    chamfer : float
        Where an edge has none of its own [m].
    """
    pairs = [(number, loop, piece) for number, loop in enumerate(loops) for piece in loop.pieces]
    pieces = [piece for _, _, piece in pairs]
    own = np.array([piece.chamfer for piece in pieces])
    edges = Edges(
        np.array([piece.start for piece in pieces]),
        np.array([piece.end for piece in pieces]),
        np.array([piece.centre for piece in pieces]),
        np.array([piece.sweep for piece in pieces]),
        np.array([number for number, _, _ in pairs]),
    )
    names = tuple(piece.called or loop.called for _, loop, piece in pairs)
    return edges, np.where(np.isnan(own), chamfer, own), names
