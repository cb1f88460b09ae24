"""Draws and solves a batch: knives made to one drawing, each uncertain input taken from its distribution."""

from __future__ import annotations

import operator
import warnings
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.batch.drawing import draw, spread_points
from detentsim.analysis.many_builds.batch.knives import Batch
from detentsim.analysis.many_builds.batch.shares import REPLICATES
from detentsim.analysis.many_builds.sweep.blocks import Progress, progress_line
from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.analysis.many_builds.sweep.wanted import lacking, names_of, unanswered
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.checks.tolerance import Tolerance, parse_tolerance, tolerance_problems
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.doubts import Doubt, doubts
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS, suggestion
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from concurrent.futures import Executor

FIRST = 4_096
"""Knives of a batch whose count is not given, before it grows."""

MOST = 1 << 20
"""Knives of one batch: what its results take must fit in memory."""

GROWN = 32_768
"""Knives at which a batch whose count is not given stops growing."""

SURE = 0.01
"""Half the interval of the share inside at which such a batch is large enough."""


def batch(
    build: Build,
    count: int | None = None,
    seed: int = 0,
    vary: Sequence[str] | Mapping[str, object] | None = None,
    of: Sequence[str] | str | None = None,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> Batch:
    """Draw thousands of knives made to one drawing and solve each.

    Every uncertain input follows its tolerance, or its packaged band (`detentsim.knife.record.doubts`), independently
    of the others; all others are as in the build. The knives are the points of 16 independently scrambled Sobol'
    sequences, so the same seed gives the same points to every design: two designs are compared on the same errors.

    Parameters
    ----------
    build : Build
    count : int, optional
        Knives; rounded up to 16 times a power of two. Left out: 4,096, doubled until the share inside the target is
        known to within 0.01, at most 32,768.
    seed : int
        Not negative.
    vary : sequence of str or mapping, optional
        Names: only these inputs vary. Mapping: tolerances by dotted name, as in ``[tolerance]``, in place of or beside
        the build's own.
    of : sequence of str, optional
        Results to give; by default the static ones, and those that the targets are about.
    executor : Executor, optional
        Where to solve; here without one.
    progress : callable, optional
        Told ``(knives done, of how many)``; by default a line on standard error where that is a terminal.

    Returns
    -------
    Batch
        What makes no knife is kept, and counts as outside.

    Raises
    ------
    InputError
        For a wrong count, seed, name or tolerance, and for a result that lacks an input.

    Examples
    --------
    >>> import detentsim as ds
    >>> b = batch(ds.demo(), 256, of="breakout_force", vary=["dimple.rim_feed"])
    >>> len(b), sorted(b.inputs)
    (256, ['dimple.rim_feed'])
    """
    need_build(build)
    seed, size = _whole("seed", seed, 0), FIRST if count is None else _size(_whole("count", count, 1))
    spread = _varied(build, vary)
    wanted = _wanted(build, of)
    report = progress or progress_line("{done:,} of {total:,} knives")
    made = _made(build, spread, (seed, size), wanted, executor, report)
    while count is None and len(made) < GROWN and bool(np.all(made.done)) and not _is_sure(made):
        made = _made(build, spread, (seed, 2 * len(made)), wanted, executor, report)
    if not np.all(made.done):
        warnings.warn(f"stopped: {np.count_nonzero(made.done):,} of {len(made):,} knives are solved", stacklevel=2)
    return made


def _made(
    build: Build,
    spread: tuple[Doubt, ...],
    points: tuple[int, int],
    wanted: tuple[str, ...],
    executor: Executor | None,
    progress: Progress,
) -> Batch:
    seed, size = points
    found = draw(build, spread, spread_points(len(spread), size, seed))
    faults = [Problem("", None, "of", text) for text in lacking(found.record, wanted)]
    if faults:
        raise BuildError(faults)
    solved = solve_all(found.record, found.excluded, wanted, executor, progress)
    return Batch(build, spread, seed, found, solved.results, solved.flags, solved.done)


def _varied(build: Build, vary: object) -> tuple[Doubt, ...]:
    """Distributions of the inputs that vary."""
    numbers = plain(build)
    if isinstance(vary, Mapping):
        given = dict(build.tolerance) | _tolerances(build, vary)
        return doubts(build, numbers, given)  # type: ignore[arg-type]  # the build's own are Tolerance too
    known = doubts(build, numbers)
    if vary is None:
        return known
    names = [vary] if isinstance(vary, str) or not isinstance(vary, Sequence) else list(vary)
    uncertain = {doubt.name: doubt for doubt in known}
    wrong = [name for name in names if name not in uncertain]
    if wrong:
        hint = suggestion(str(wrong[0]), uncertain) or f"; uncertain are {', '.join(uncertain) or 'none'}"
        raise InputError("vary", wrong[0], f"{shown(wrong[0])} is no uncertain input of this build{hint}")
    return tuple(doubt for doubt in known if doubt.name in names)


def _tolerances(build: Build, vary: Mapping[object, object]) -> dict[str, Tolerance]:
    for name in vary:
        if name not in INPUTS:
            raise InputError("vary", name, f"{shown(name)} is no input{suggestion(str(name), INPUTS)}")
    read = {str(name): parse_tolerance(str(name), raw) for name, raw in vary.items()}
    wrong = tolerance_problems(build.values, read)
    if wrong:
        raise BuildError([Problem("", None, key, text) for key, text in wrong])
    return read


def _wanted(build: Build, of: object) -> tuple[str, ...]:
    """Names of the results to solve: those asked for, and those that the targets are about."""
    names = RESULT_NAMES if of is None else names_of(of)
    faults = [Problem("", None, "of", text) for text in unanswered(names)]
    if faults:
        raise BuildError(faults)
    return tuple(dict.fromkeys((*map(str, names), *(target.name for target in build.target))))


def _whole(name: str, value: object, least: int) -> int:
    """A whole number from a least one on."""
    try:
        whole = operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        whole = least - 1
    if isinstance(value, bool) or not least <= whole <= (MOST if name == "count" else 2**63):
        ends = f"{least} to {MOST:,}, such as count={FIRST}" if name == "count" else f"{least} or more, such as seed=0"
        raise InputError(name, value, f"{shown(value)} is not a whole number of {ends}")
    return whole


def _size(count: int) -> int:
    """The next number of knives that fills the sequences evenly."""
    size = REPLICATES
    while size < count:
        size *= 2
    return size


def _is_sure(made: Batch) -> bool:
    """Whether the share inside is known well enough; so it is where nothing is wanted."""
    if not made.build.target:
        return True
    _, low, high = made.share()
    return high - low <= 2 * SURE
