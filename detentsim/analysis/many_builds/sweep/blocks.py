"""Cuts many designs into blocks that fit the cache.

`solving` solves them; `sweep` and `design` put the answers in their places.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Mapping
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from detentsim.mechanics.record import Array, Record, Truth

# Designs of a block: the kernel's arrays stay within some tens of megabytes, and calls cost little beside the work.
DESIGNS = 16_384

Box = tuple[slice, ...]

Progress = Callable[[int, int], None]


def progress_line(words: str) -> Progress:
    """Progress callback that writes a line on standard error after a second; silent where that is no terminal.

    Parameters
    ----------
    words : str
        Text of the line, with ``{done}``, ``{total}`` or ``{share}`` in it.
    """
    start = time.monotonic()
    seen = sys.stderr is not None and sys.stderr.isatty()

    def tell(done: int, total: int) -> None:
        if seen and time.monotonic() - start > 1.0:
            line = words.format(done=done, total=total, share=done / max(total, 1))
            print(f"\r{line}", end="\n" if done >= total else "", file=sys.stderr, flush=True)

    return tell


def no_progress(_done: int, _total: int) -> None:
    """Progress that nobody watches."""


class Answers(NamedTuple):
    """Results and flags of a block; arrays of the block's shape."""

    results: dict[str, Array]  # [SI]; truths as 0 or 1
    flags: dict[str, Truth]
    radii: Mapping[str, Array] = {}  # of worn-in edges by field of the record [m]; empty of fresh ones


def cut(shape: tuple[int, ...], most: int = DESIGNS) -> Iterator[Box]:
    """Cut the shape of a sweep into boxes of a limited size, the last axes whole where they fit.

    Parameters
    ----------
    shape : tuple of int
        Length of each axis.
    most : int
        Most designs of one box.

    Yields
    ------
    Box
        A slice for each axis.

    Examples
    --------
    >>> [tuple((s.start, s.stop) for s in box) for box in cut((3, 4), 8)]
    [((0, 2), (0, 4)), ((2, 3), (0, 4))]
    """
    room, steps = most, []
    for length in reversed(shape):
        step = max(1, min(length, room))
        steps.append(step)
        room = room // step if step == length else 1
    ranges = [range(0, length, step) for length, step in zip(shape, reversed(steps), strict=True)]
    for corner in product(*ranges):
        sizes = zip(corner, shape, reversed(steps), strict=True)
        yield tuple(slice(start, min(start + step, length)) for start, length, step in sizes)


def view_of(place: Box) -> Any:
    """Index that gives a writable view of a box, also of a 0-d array.

    Parameters
    ----------
    place : tuple of slice
    """
    return (*place, ...)


def part_of_record(record: Record, place: Box) -> Record:
    """Part of a record for one block; fields keep the axes they broadcast over.

    Parameters
    ----------
    record : Record
    place : tuple of slice
    """

    def part(field: Array) -> Array:
        if field.ndim == 0:
            return field
        return np.ascontiguousarray(
            field[tuple(slice(None) if n == 1 else s for n, s in zip(field.shape, place, strict=True))]
        )

    return Record(*(part(np.asarray(field)) for field in record))


def block_of(record: Record, excluded: Truth, place: Box) -> tuple[Record, Truth | None]:
    """Part of a record for one block, and a mask of its designs where some are excluded.

    Parameters
    ----------
    record : Record
    excluded : array of bool
    place : tuple of slice
    """
    part, out = part_of_record(record, place), excluded[place]
    if not np.any(out):
        return part, None
    return Record(*(np.broadcast_to(field, out.shape)[~out] for field in part)), ~out
