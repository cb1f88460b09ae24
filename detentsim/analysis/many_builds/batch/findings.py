"""What a maker wants to know of a batch: how many are inside, what spoils the rest, where to aim, what to hold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.batch.answers.holding import Held, hold
from detentsim.analysis.many_builds.batch.answers.indices import matters
from detentsim.analysis.many_builds.batch.answers.nested import count_inside
from detentsim.analysis.many_builds.batch.knives.knives import need_share
from detentsim.analysis.many_builds.batch.questions import TRIED, Batch
from detentsim.analysis.many_builds.sweep.blocks import progress_line
from detentsim.analysis.many_builds.sweep.family import family
from detentsim.analysis.many_builds.sweep.solving import own_results
from detentsim.analysis.many_builds.sweep.wanted import YES_NO, lacking
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.record import record
from detentsim.knife.target.target import ends
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.many_builds.batch.answers.aiming import Aimed
    from detentsim.analysis.many_builds.batch.answers.corners import Corners
    from detentsim.analysis.many_builds.batch.answers.indices import Indices
    from detentsim.analysis.many_builds.batch.counts.counted import Count
    from detentsim.analysis.many_builds.sweep.family import ForceRange
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target

LEAST_STEP = {"mm": 0.05, "in": 0.0508}
"""Steps of bend that a bench can set [mm]; 2 thou in the inch system. Judgement, no source."""

MOST_STEPS = 31
"""Bends tried; of a wide range the step is doubled until it fits."""


@dataclass(frozen=True, eq=False, repr=False)
class Findings:
    """Answers to the questions about a batch.

    Attributes
    ----------
    batch : Batch
    drawing : Summary
        Verdict on the drawing itself.
    of : int
        Knives of the maker's own batch.
    count : Count or None
        How many of them are inside; None without a target.
    aimed : Aimed or None
        Best setting; None without a target or settings to try.
    aimed_count : Count or None
        How many are inside with it; None where no setting is better.
    held : Held or None
        Tolerances to hold with that setting; None without a target.
    wanted : float
        Share inside that the tolerances are to reach.
    matters : dict of str to Indices
        By the results that the targets are about, then by the breakout force.
    corners : dict of str to Corners
        By those of them that are numbers.
    own : dict of str to float, bool or None
        Results of the drawing itself, in their units; worn in where the knives are.
    """

    batch: Batch
    drawing: Summary
    of: int
    count: Count | None
    aimed: Aimed | None
    aimed_count: Count | None
    held: Held | None
    wanted: float
    matters: Mapping[str, Indices]
    corners: Mapping[str, Corners]
    own: Mapping[str, float | bool | None]

    @property
    def chief(self) -> str:
        """The result that figures show: the first target that is a number, else the breakout force."""
        numbers = [target.name for target in self.batch.build.target if not RESULTS[target.name].is_truth]
        return numbers[0] if numbers else "breakout_force"

    @property
    def target(self) -> Target | None:
        """The target of that result; None where it has none."""
        return next((target for target in self.batch.build.target if target.name == self.chief), None)

    @property
    def target_ends(self) -> tuple[float | None, float | None]:
        """Ends of that target in the result's unit, a wanted change counted from the drawing; None where it is open."""
        wanted = self.target
        return (None, None) if wanted is None else ends(wanted, self.batch.start.get(wanted.name))

    @cached_property
    def fresh_count(self) -> Count | None:
        """How many of the maker's own batch are inside fresh; None without a target."""
        return self.batch.fresh.of(self.of) if self.batch.build.target else None

    @property
    def both(self) -> float:
        """Share of the knives that are inside fresh and stay so worn in, 0 to 1."""
        return float(np.mean(self.batch.inside & self.batch.fresh.inside))

    @cached_property
    def force_ranges(self) -> tuple[ForceRange, ForceRange]:
        """Range of the finger force of nine knives in ten, and of half of them, over blade angle."""
        curves = family(self.batch.found.record, self.batch.excluded, closing=False)
        return curves.force_range(0.9), curves.force_range(0.5)

    def __repr__(self) -> str:
        inside = "" if self.count is None else f", middle {self.count.middle} of {self.of} inside"
        return f"<Findings on {self.batch!r}{inside}>"


def results_of(build: Build) -> tuple[str, ...]:
    """Names of the results that a batch is asked for: the static ones, and of the moving blade those that it can have.

    Parameters
    ----------
    build : Build
    """
    numbers = record(build)
    return (*RESULT_NAMES, *(name for name in YES_NO if not list(lacking(numbers, (name,)))))


def bends(build: Build) -> dict[str, object]:
    """Bends of the bar to try, from half to double of the drawing's, in steps that a bench can set; as for a sweep.

    Parameters
    ----------
    build : Build

    Returns
    -------
    dict of str to list of str
        Empty for a bar that is not bent inward.
    """
    bend, step = 1e3 * build.si("bar.bend"), LEAST_STEP[build.units.length]
    if not bend > 0:
        return {}
    while 1.5 * bend / step > MOST_STEPS - 1:
        step *= 2
    first, last = max(1, round(0.5 * bend / step)), max(2, round(2 * bend / step))
    return {"bar.bend": [_length(i * step, build.units.length) for i in range(first, last + 1)]}


def _length(millimetres: float, unit: str) -> str:
    return f"{millimetres / 0.0254:.4g} thou" if unit == "in" else f"{millimetres:.4g} mm"


def findings(batch: Batch, of: int = 12, wanted: float = 0.9, settings: Mapping[str, object] | None = None) -> Findings:
    """Ask a batch all that a maker wants to know.

    Parameters
    ----------
    batch : Batch
        With the results that the targets are about, and the breakout force.
    of : int
        Knives of the maker's own batch.
    wanted : float
        Share inside that tolerances are to reach, 0 to 1.
    settings : mapping of str to values, optional
        Where the drawing may aim, as in `detentsim.sweep`; by default `bends`.

    Returns
    -------
    Findings

    Raises
    ------
    InputError
        For what is no batch, or lacks one of those results; for a wrong count, share or setting.

    Examples
    --------
    >>> import detentsim as ds
    >>> found = findings(ds.batch(ds.demo(), 16, vary=["bar.bend"]), settings={})
    >>> found.chief, found.count.of, sorted(found.corners)
    ('breakout_force', 12, ['breakout_force'])
    """
    _need_batch(batch)
    need_share("wanted", wanted)
    build = batch.build
    asked = list(dict.fromkeys((*(target.name for target in build.target), "breakout_force")))
    told = dict(zip(asked, matters(batch, asked, batch.seed), strict=True))
    corners = {name: batch.worst(name) for name in asked if not RESULTS[name].is_truth}
    own = own_results(build, batch.results, batch.worn)
    if not build.target:
        return Findings(batch, summary(build), of, None, None, None, None, wanted, told, corners, own)
    count, tried = batch.of(of), bends(build) if settings is None else settings
    aimed = batch.aim(tried) if tried else None
    better = None if aimed is None or not aimed.setting else aimed.cloud
    held = batch.hold(wanted) if better is None else hold(better, wanted, batch.seed, progress=progress_line(TRIED))
    aimed_count = None if better is None else count_inside(better, of, batch.seed)
    return Findings(batch, summary(build), of, count, aimed, aimed_count, held, wanted, told, corners, own)


def _need_batch(batch: object) -> None:
    if not isinstance(batch, Batch):
        text = f"{shown(batch)} is no batch; give one such as ds.batch(build)"
        raise InputError("batch", batch, text)
    if "breakout_force" not in batch:
        text = 'was asked for none; leave `of` out, or name "breakout_force" too'
        raise InputError("batch.breakout_force", None, text)
