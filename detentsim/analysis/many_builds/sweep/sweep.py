"""Full-factorial sweep: any inputs varied, every combination solved, every result by name.

`axis` reads the values, `blocks` and `solving` solve, `designs` holds the result.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.sweep.axis import Axis
from detentsim.analysis.many_builds.sweep.blocks import Answers, Box, Progress, progress_line, view_of
from detentsim.analysis.many_builds.sweep.designs import Sweep
from detentsim.analysis.many_builds.sweep.solving import solve
from detentsim.analysis.results import in_unit
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import swept
from detentsim.knife.table.columns import Column, read_columns
from detentsim.knife.table.schema import suggestion
from detentsim.mechanics.names import LIMIT_NAMES, MOTION_NAMES, RESULT_NAMES
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from detentsim.mechanics.record import Record, Truth

NAMED_ONLY = (*LIMIT_NAMES, *MOTION_NAMES)
"""Results given only when requested by name."""

MOST_DESIGNS = 50_000_000
"""Designs of one sweep: what its results take must fit in memory."""

_BLADE = {"blade.mass": "blade_mass", "blade.balance_radius": "balance_radius"}


def sweep(
    build: Build,
    vary: Mapping[str, object],
    of: Sequence[str] | str | None = None,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    typed: bool = False,
) -> Sweep:
    """Solve a build with any number of inputs varied, every combination of their values.

    Parameters
    ----------
    build : Build
        Supplies every input that is not varied.
    vary : mapping
        By dotted input name: ``(start, stop, whole count)``, a list of values, or an array quantity. Drills,
        materials and words by list.
    of : sequence of str, optional
        Results to give; all static ones by default. Limits and motion only when named.
    executor : Executor, optional
        Where to solve the blocks: a process pool, or a cluster's; here without one.
    progress : callable, optional
        Told ``(designs done, of how many)``; by default a line on standard error where that is a terminal.
    typed : bool
        Whether the request came from a command line, so that examples in messages can be typed there.

    Returns
    -------
    Sweep
        Ctrl-C ends it early with a warning; what was solved is kept and `done` tells which.

    Raises
    ------
    InputError
        With everything that is wrong with the request, one line each; never for a design that makes no knife.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> s = sweep(demo(), {"dimple.rim_feed": ("0 mm", "0.15 mm", 4), "bar.bend": ["2 mm", "2.6 mm"]})
    >>> s["breakout_force"].shape, bool(s.flags["floats"].any())
    ((4, 2), False)
    """
    need_build(build)
    columns, wanted = _request(vary, of, typed)
    shape = tuple(len(column) for column in columns)
    if math.prod(shape) > MOST_DESIGNS:
        text = f"{math.prod(shape):,} designs are too many; at most {MOST_DESIGNS:,}: give fewer values"
        raise InputError("sweep", vary, text)
    laid = swept(build, columns)
    record = assemble(laid.numbers)
    lacking = [Problem("", None, "of", text) for text in _lacking(record, wanted)]
    if lacking:
        raise BuildError(lacking)
    misfits = {words: np.broadcast_to(where, shape) for words, where in laid.misfits.items()}
    results: dict[str, npt.NDArray[Any]] = {name: _blank(name, shape) for name in wanted}
    flags = {name: np.zeros(shape, bool) for name in FLAGS}
    excluded = np.any([np.zeros(shape, bool), *misfits.values()], axis=0)
    done = np.array(excluded)

    def keep(place: Box, chosen: Truth | None, answers: Answers) -> None:
        where = ... if chosen is None else chosen
        for name in wanted:
            value = in_unit(name, answers.results[name])
            # an unknown truth (of a floating ball, say) counts as false
            results[name][view_of(place)][where] = value > 0 if RESULTS[name].is_truth else value
        for name in FLAGS:
            flags[name][view_of(place)][where] = answers.flags[name]
        done[place] = True

    report = progress or progress_line("{done:,} of {total:,} designs")
    if not solve(record, excluded, wanted, keep, executor, report):
        warnings.warn(f"stopped: {np.count_nonzero(done):,} of {done.size:,} designs are solved", stacklevel=2)
    axes = tuple(Axis(column, build[column.name]) for column in columns)
    return Sweep(build, axes, results, flags, misfits, done, record)


def _request(vary: object, of: Sequence[str] | str | None, typed: bool) -> tuple[tuple[Column, ...], tuple[str, ...]]:
    """Axes and results of the sweep; raises with all errors in either."""
    problems: list[Problem] = []
    columns: tuple[Column, ...] = ()
    try:
        columns = read_columns(vary, typed=typed)
    except BuildError as error:
        problems += error.problems
    names = _names(of)
    problems += [Problem("", None, "of", text) for text in _unanswered(names)]
    if problems:
        raise BuildError(problems)
    return columns, tuple(dict.fromkeys(str(name) for name in names))


def _names(of: object) -> tuple[object, ...]:
    """Names of the requested results, as given."""
    if of is None:
        return RESULT_NAMES
    return tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)


def _unanswered(names: tuple[object, ...]) -> Iterator[str]:
    """Errors in the requested results."""
    known = (*RESULT_NAMES, *NAMED_ONLY)
    yield from (f"{shown(name)} is no result of a sweep{_near(name)}" for name in names if name not in known)


def _lacking(record: Record, names: tuple[str, ...]) -> Iterator[str]:
    """Inputs that the blade lacks for the requested motion results."""
    missing = [name for name, field in _BLADE.items() if np.all(np.isnan(getattr(record, field)))]
    weighed = [name for name in names if name in ("falls_shut", "hang_angle", "closing_spare", "carry_g")]
    if weighed and missing:
        yield f'{weighed[0]} needs {" and ".join(missing)}, such as "24 gram" at "34 mm"'
    moved = [name for name in names if name in MOTION_NAMES and name not in weighed]
    if moved and np.all(np.isnan(record.blade_inertia)):
        yield f'{moved[0]} needs blade.inertia, such as "40 kg*mm**2", or its pendulum_period, or its shape'


def _near(name: object) -> str:
    known = (*RESULT_NAMES, *NAMED_ONLY)
    if str(name) in FLAGS:
        return "; it is a flag, and every flag is given whatever results are asked for"
    return suggestion(str(name), known) or f"; there are {', '.join(known)}"


def _blank(name: str, shape: tuple[int, ...]) -> npt.NDArray[Any]:
    return np.zeros(shape, bool) if RESULTS[name].is_truth else np.full(shape, np.nan)
