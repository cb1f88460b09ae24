"""Solves many designs in blocks that fit the cache, one kernel call each, here or in other processes.

`sweep` and `design` use it.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from detentsim.mechanics.record import Array, Record, Truth
from detentsim.mechanics.response import respond

# Designs of a block: the kernel's arrays stay within some tens of megabytes, and calls cost little beside the work.
DESIGNS = 16_384

# Blocks handed to an executor and not yet back: enough to keep it busy, few enough to hold in memory.
IN_FLIGHT = 32

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


class Answers(NamedTuple):
    """Results and flags of a block; arrays of the block's shape."""

    results: dict[str, Array]  # [SI]; truths as 0 or 1
    flags: dict[str, Truth]


def answer(record: Record, wanted: tuple[str, ...]) -> Answers:
    """Solve one block.

    Parameters
    ----------
    record : Record
        Fields that broadcast to the block's shape.
    wanted : tuple of str
        Result names.

    Returns
    -------
    Answers
    """
    response = respond(record, wanted)
    results = dict(response.results)
    return Answers({name: results[name] for name in wanted}, response.flags)


def cut(shape: tuple[int, ...], most: int = DESIGNS) -> Iterator[Box]:
    """Cut a shape into boxes of at most so many designs, the last axes whole where they can be.

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


def box(record: Record, place: Box) -> Record:
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


def knives(record: Record, excluded: Truth, place: Box) -> tuple[Record, Truth | None]:
    """Part of a record for one block, and a mask of its designs where some are excluded.

    Parameters
    ----------
    record : Record
    excluded : array of bool
    place : tuple of slice
    """
    part, out = box(record, place), excluded[place]
    if not np.any(out):
        return part, None
    return Record(*(np.broadcast_to(field, out.shape)[~out] for field in part)), ~out


def solve(
    record: Record,
    excluded: Truth,
    wanted: tuple[str, ...],
    keep: Callable[[Box, Truth | None, Answers], None],
    executor: Executor | None,
    progress: Progress,
) -> bool:
    """Solve a whole sweep block by block.

    Parameters
    ----------
    record : Record
        Every field 0-d or with the sweep's axes.
    excluded : array of bool
        Designs of the sweep to skip, since their sizes do not fit together.
    wanted : tuple of str
        Result names.
    keep : callable
        Takes each block's place, which of its designs were solved (None for all) and the answers, in any order.
    executor : Executor or None
        Where to solve; here without one.
    progress : callable
        Told how many designs are done, of how many.

    Returns
    -------
    bool
        False where Ctrl-C stopped it; what was kept stays.
    """
    total, done = excluded.size, 0
    work = ((place, *knives(record, excluded, place)) for place in cut(excluded.shape))
    results = _spread(executor, work, wanted) if executor else _in_turn(work, wanted)
    try:
        for place, chosen, answers in results:
            keep(place, chosen, answers)
            done += math.prod(part.stop - part.start for part in place)
            progress(done, total)
    except KeyboardInterrupt:
        return False
    return True


_Work = Iterator[tuple[Box, Record, Truth | None]]

_Done = Iterator[tuple[Box, Truth | None, Answers]]


def _in_turn(work: _Work, wanted: tuple[str, ...]) -> _Done:
    for place, part, chosen in work:
        yield place, chosen, answer(part, wanted)


def _spread(executor: Executor, work: _Work, wanted: tuple[str, ...]) -> _Done:
    """Hand blocks to an executor, a bounded number at a time, and give their answers as they come."""
    running: dict[Future[Answers], tuple[Box, Truth | None]] = {}
    try:
        for place, part, chosen in work:
            running[executor.submit(answer, part, wanted)] = (place, chosen)
            while len(running) >= IN_FLIGHT:
                yield from _finished(running)
        while running:
            yield from _finished(running)
    finally:
        for future in running:
            future.cancel()


def _finished(running: dict[Future[Answers], tuple[Box, Truth | None]]) -> _Done:
    done, _ = wait(running, return_when=FIRST_COMPLETED)
    for future in done:
        place, chosen = running.pop(future)
        yield place, chosen, future.result()
