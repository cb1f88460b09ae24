"""Full-factorial sweep: any inputs varied, every combination solved, every result by name.

`axis` reads the values, `blocks` and `solving` solve, `designs` holds the result.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.sweep.axis import Axis
from detentsim.analysis.many_builds.sweep.blocks import Progress, no_progress, progress_line
from detentsim.analysis.many_builds.sweep.designs import Sweep
from detentsim.analysis.many_builds.sweep.shares import check_over, with_shares
from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.analysis.many_builds.sweep.wanted import need_inputs, read_names
from detentsim.analysis.one_build.wear.worn_records import check_wears
from detentsim.analysis.results import SPARES
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import swept
from detentsim.knife.table.columns import Column, read_columns
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from concurrent.futures import Executor

MOST_DESIGNS = 50_000_000
"""Designs of one sweep: what its results take must fit in memory."""


def sweep(
    build: Build,
    vary: Mapping[str, object],
    of: Sequence[str] | str | None = None,
    *,
    over: str | None = None,
    worn_in: bool = False,
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
    over : str, optional
        ``"batch"``: 256 knives are made to each design, on the same errors, and the first result, ``share_inside``,
        is the share of them that meet the build's target and have no warning of an unsound design, 0 to 1. The other
        results are the designs' own as drawn, those of the target unless `of` names some.
    worn_in : bool
        Whether each design answers worn in, its dimple's edges rounded as `detentsim.worn_in` rounds them; over a
        batch, each knife of it. A wanted change still counts from the build as it is.
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
    aimed = () if over is None else tuple(target.name for target in build.target)
    columns, wanted = _request(vary, aimed if over is not None and of is None else of, typed)
    wanted = tuple(dict.fromkeys((*wanted, *aimed)))
    shape = tuple(len(column) for column in columns)
    check_over(build, over, math.prod(shape))
    if math.prod(shape) > MOST_DESIGNS:
        text = f"{math.prod(shape):,} designs are too many; at most {MOST_DESIGNS:,}: give fewer values"
        raise InputError("sweep", vary, text)
    check_wears(build, worn_in, columns)
    laid = swept(build, columns)
    record = assemble(laid.numbers)
    need_inputs(record, wanted)
    misfits = {words: np.broadcast_to(where, shape) for words, where in laid.misfits.items()}
    report = progress or progress_line("{done:,} of {total:,} designs")
    spares = {name: SPARES[name] for name in wanted if name in SPARES}
    asked = tuple(dict.fromkeys((*wanted, *spares.values())))
    solved = solve_all(record, laid.excluded(shape), asked, executor, no_progress if over else report, worn_in)
    axes = tuple(Axis(column, build[column.name]) for column in columns)
    results = {name: solved.results[name] for name in wanted}
    spare = {name: solved.results[other] for name, other in spares.items()}
    s = Sweep(build, axes, results, solved.flags, misfits, solved.done, solved.record, spare, record, worn_in)
    s = with_shares(s, executor, report) if over else s
    if not np.all(s.done):
        warnings.warn(f"stopped: {np.count_nonzero(s.done):,} of {s.done.size:,} designs are solved", stacklevel=2)
    return s


def _request(vary: object, of: Sequence[str] | str | None, typed: bool) -> tuple[tuple[Column, ...], tuple[str, ...]]:
    """Axes and results of the sweep; raises with all errors in either."""
    problems: list[Problem] = []
    columns: tuple[Column, ...] = ()
    names: tuple[str, ...] = ()
    try:
        columns = read_columns(vary, typed=typed)
    except BuildError as error:
        problems += error.problems
    try:
        names = read_names(of)
    except BuildError as error:
        problems += error.problems
    if problems:
        raise BuildError(problems)
    return columns, names
