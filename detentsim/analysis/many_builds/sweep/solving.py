"""Solves many designs in blocks, one kernel call each, here or in other processes.

`blocks` cuts the designs; `sweep` and `design` use this.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.sweep.blocks import Answers, Box, Progress, block_of, cut, view_of
from detentsim.analysis.one_build.wear.worn_records import RADII, worn_radii
from detentsim.analysis.results import in_unit, told
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.record import Record, Truth
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.model import Build

# Blocks handed to an executor and not yet back: enough to keep it busy, few enough to hold in memory.
IN_FLIGHT = 32


def answer(record: Record, wanted: tuple[str, ...], worn: bool = False) -> Answers:
    """Solve one block.

    Parameters
    ----------
    record : Record
        Fields that broadcast to the block's shape.
    wanted : tuple of str
        Result names.
    worn : bool
        Whether each design is to answer with its edges worn in.

    Returns
    -------
    Answers
    """
    radii = worn_radii(respond(record, ())) if worn else {}
    response = respond(record._replace(**radii), wanted)
    return Answers({name: response.results[name] for name in wanted}, response.flags, radii)


def solve(
    record: Record,
    excluded: Truth,
    wanted: tuple[str, ...],
    keep: Callable[[Box, Truth | None, Answers], None],
    executor: Executor | None,
    progress: Progress,
    worn: bool = False,
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
    worn : bool
        Whether each design is to answer with its edges worn in.

    Returns
    -------
    bool
        False where Ctrl-C stopped it; what was kept stays.

    Raises
    ------
    InputError
        For what is no executor.
    """
    _need_executor(executor)
    total, done = excluded.size, 0
    work = ((place, *block_of(record, excluded, place)) for place in cut(excluded.shape))
    results = _spread(executor, work, (wanted, worn)) if executor else _in_turn(work, (wanted, worn))
    try:
        for place, chosen, answers in results:
            keep(place, chosen, answers)
            done += math.prod(part.stop - part.start for part in place)
            progress(done, total)
    except KeyboardInterrupt:
        return False
    return True


def _need_executor(given: object) -> None:
    if given is not None and not isinstance(given, Executor):
        text = "is no pool of concurrent.futures, such as ProcessPoolExecutor(); a dask client has get_executor()"
        raise InputError("executor", given, f"{shown(given)} {text}")


def own_results(build: Build, wanted: Iterable[str], worn: bool = False) -> dict[str, float | bool | None]:
    """Results of a build by itself, in their units; None for one it lacks.

    Parameters
    ----------
    build : Build
    wanted : iterable of str
        Result names.
    worn : bool
        Whether it is to answer with its edges worn in.
    """
    solved = answer(assemble(plain(build)), tuple(wanted), worn).results
    return {name: told(name, in_unit(name, value)) for name, value in solved.items()}


def starts(build: Build) -> dict[str, float | bool | None]:
    """Results from which the wanted changes of a build count: its own, in their units.

    Parameters
    ----------
    build : Build
    """
    changes = [wanted.name for wanted in build.target if wanted.change is not None]
    return own_results(build, changes) if changes else {}


class Solved(NamedTuple):
    """Answers on every design of a shape, in the results' own units."""

    results: dict[str, npt.NDArray[Any]]  # NaN where there is none; truths are boolean, false where unknown
    flags: dict[str, Truth]
    done: Truth  # false for what Ctrl-C left unsolved
    record: Record  # with the radii of edges that are worn in


def solve_all(
    record: Record,
    excluded: Truth,
    wanted: tuple[str, ...],
    executor: Executor | None,
    progress: Progress,
    worn: bool = False,
) -> Solved:
    """Solve every design and keep all answers.

    Parameters
    ----------
    record : Record
        Every field 0-d or with the axes of `excluded`.
    excluded : array of bool
        Designs to skip, since their sizes do not fit together; they count as done.
    wanted : tuple of str
        Result names.
    executor : Executor or None
    progress : callable
    worn : bool
        Whether each design is to answer with its edges worn in.

    Returns
    -------
    Solved
    """
    results: dict[str, npt.NDArray[Any]] = {name: _blank(name, excluded.shape) for name in wanted}
    flags = {name: np.zeros(excluded.shape, bool) for name in FLAGS}
    done = np.array(excluded)
    radii = {name: np.array(np.broadcast_to(getattr(record, name), excluded.shape)) for name in RADII if worn}

    def keep(place: Box, chosen: Truth | None, answers: Answers) -> None:
        where = ... if chosen is None else chosen
        for name in wanted:
            value = in_unit(name, answers.results[name])
            # an unknown truth (of a floating ball, say) counts as false
            results[name][view_of(place)][where] = value > 0 if RESULTS[name].is_truth else value
        for name in FLAGS:
            flags[name][view_of(place)][where] = answers.flags[name]
        for name, radius in answers.radii.items():
            radii[name][view_of(place)][where] = radius
        done[place] = True

    solve(record, excluded, wanted, keep, executor, progress, worn)
    return Solved(results, flags, done, record._replace(**radii))


def _blank(name: str, shape: tuple[int, ...]) -> npt.NDArray[Any]:
    return np.zeros(shape, bool) if RESULTS[name].is_truth else np.full(shape, np.nan)


_Work = Iterator[tuple[Box, Record, Truth | None]]

_Done = Iterator[tuple[Box, Truth | None, Answers]]

_Asked = tuple[tuple[str, ...], bool]  # what `answer` takes beside the designs


def _in_turn(work: _Work, asked: _Asked) -> _Done:
    for place, part, chosen in work:
        yield place, chosen, answer(part, *asked)


def _spread(executor: Executor, work: _Work, asked: _Asked) -> _Done:
    """Hand blocks to an executor, a bounded number at a time, and give their answers as they come."""
    running: dict[Future[Answers], tuple[Box, Truth | None]] = {}
    try:
        for place, part, chosen in work:
            running[executor.submit(answer, part, *asked)] = (place, chosen)
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
