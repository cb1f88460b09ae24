"""Regions of a map by their borders: outlines through given points between designs, not in steps along the grid."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.path import Path

from detentsim.analysis.one_build.curve.intervals import runs
from detentsim.show.theme.style import Array

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.show.many_builds.sweep.regions import Mask

Point = tuple[float, float]
Turns = tuple["Array", "Array"]


def region_of(x: Array, y: Array, mask: Mask, turns: Turns | None) -> tuple[Path | None, list[Array]]:
    """Region where a mask holds, and its border inside the grid.

    Parameters
    ----------
    x, y : array, shape (nx,), (ny,)
        Places across and up, rising.
    mask : array of bool, shape (nx, ny)
    turns : tuple of two arrays, shape (nx - 1, ny) and (nx, ny - 1), or None
        Share of the way between neighbours across, and up, at which it turns; None for half way.

    Returns
    -------
    path : Path or None
        Of one piece for each cell or row of whole cells; None where the mask holds nowhere.
    border : list of array, shape (2, 2)
        Short lines, across and up by columns' ends.
    """
    shares = (np.full((x.size - 1, y.size), 0.5), np.full((x.size, y.size - 1), 0.5)) if turns is None else turns
    pieces: list[Sequence[Point]] = []
    border: list[Array] = []
    for j in range(y.size - 1):
        corners = mask[:-1, j].astype(int) + mask[1:, j] + mask[1:, j + 1] + mask[:-1, j + 1]
        for i in np.flatnonzero((corners > 0) & (corners < 4)):
            piece, lines = _cell(x, y, mask, shares, int(i), j)
            pieces.append(piece)
            border += lines
        pieces += [_block(x, y, first, last, j) for first, last in runs(corners == 4).tolist()]
    if not pieces:
        return None, []
    parts = [np.array([*piece, piece[0]]) for piece in pieces]
    codes = [[Path.MOVETO, *[Path.LINETO] * (len(part) - 2), Path.CLOSEPOLY] for part in parts]
    return Path(np.concatenate(parts), np.concatenate(codes)), border


def _block(x: Array, y: Array, first: int, last: int, j: int) -> list[Point]:
    left, right, low, high = float(x[first]), float(x[last]), float(y[j]), float(y[j + 1])
    return [(left, low), (right, low), (right, high), (left, high)]


def _cell(x: Array, y: Array, mask: Mask, turns: Turns, i: int, j: int) -> tuple[list[Point], list[Array]]:
    """Piece of a cell where a mask holds, counter-clockwise, and the border through it."""
    across, up = turns
    corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
    sides = [_at(x[i : i + 2], across[i, j]), _at(y[j : j + 2], up[i + 1, j])]
    sides += [_at(x[i : i + 2], across[i, j + 1]), _at(y[j : j + 2], up[i, j])]
    crossed = [
        (sides[0], float(y[j])), (float(x[i + 1]), sides[1]), (sides[2], float(y[j + 1])), (float(x[i]), sides[3])
    ]  # fmt: skip
    piece: list[Point] = []
    crossings: list[Point] = []
    leaves = True
    for k, (a, b) in enumerate(corners):
        after = corners[(k + 1) % 4]
        if mask[a, b]:
            piece.append((float(x[a]), float(y[b])))
        if mask[a, b] != mask[after]:
            leaves = bool(mask[a, b]) if not crossings else leaves
            piece.append(crossed[k])
            crossings.append(crossed[k])
    if not leaves:  # each line goes from where the border leaves the region to where it comes back
        crossings = [*crossings[1:], crossings[0]]
    lines = [np.array(crossings[k : k + 2]).T for k in range(0, len(crossings), 2)]
    return piece, lines


def _at(ends: Array, share: float) -> float:
    return float(ends[0] + share * (ends[1] - ends[0]))
