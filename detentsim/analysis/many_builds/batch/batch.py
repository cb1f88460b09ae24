"""Draws and solves a batch: knives made to one drawing, each uncertain input taken from its distribution."""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.batch.knives.cloud import aimed_at, solved_cloud
from detentsim.analysis.many_builds.batch.knives.varied import varied
from detentsim.analysis.many_builds.batch.questions import Batch
from detentsim.analysis.many_builds.sweep.blocks import Progress, progress_line
from detentsim.analysis.many_builds.sweep.solving import starts
from detentsim.analysis.many_builds.sweep.wanted import need_inputs, read_names
from detentsim.analysis.one_build.wear.worn_records import check_wears
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.drawing import REPLICATES, draw, spread_points
from detentsim.units.whole import whole_number

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
    worn_in: bool = False,
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
    worn_in : bool
        Whether the knives answer worn in, each with its dimple's edges as `detentsim.worn_in` rounds them; ``fresh`` of
        the batch then holds the same knives fresh. A wanted change still counts from the drawing as it is.
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
        For a wrong count, seed, name or tolerance, for a result that lacks an input, and where edges that are to wear
        in have worn in already.

    Examples
    --------
    >>> import detentsim as ds
    >>> b = batch(ds.demo(), 256, of="breakout_force", vary=["dimple.rim_feed"])
    >>> len(b), sorted(b.inputs)
    (256, ['dimple.rim_feed'])
    """
    need_build(build)
    seed = whole_number("seed", seed, (0, 2**63), 0)
    size = FIRST if count is None else _size(whole_number("count", count, (1, MOST), FIRST))
    spread = varied(build, vary)
    wanted = tuple(dict.fromkeys((*read_names(of), *aimed_at(build))))
    report = progress or progress_line("{done:,} of {total:,} knives")
    check_wears(build, worn_in)

    def drawn(knives: int) -> Batch:
        found = draw(build, spread, spread_points(len(spread), knives, seed))
        need_inputs(found.record, wanted)
        cloud = solved_cloud(build, spread, starts(build), found, wanted, executor, report, worn_in)
        return Batch.of_cloud(cloud, seed, vary)

    made = drawn(size)
    while count is None and len(made) < GROWN and bool(np.all(made.done)) and not _is_sure(made):
        made = drawn(2 * len(made))
    if not np.all(made.done):
        warnings.warn(f"stopped: {np.count_nonzero(made.done):,} of {len(made):,} knives are solved", stacklevel=2)
    return made


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
