"""Questions to a batch: what matters, how many of twelve, the worst knives, what to hold, where to aim."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.batch.answers.aiming import Aimed, aim
from detentsim.analysis.many_builds.batch.answers.corners import Corners, corners
from detentsim.analysis.many_builds.batch.answers.holding import Held, hold
from detentsim.analysis.many_builds.batch.answers.indices import Indices, matters
from detentsim.analysis.many_builds.batch.answers.nested import MOST_OF, count_inside
from detentsim.analysis.many_builds.batch.counts.counted import Count
from detentsim.analysis.many_builds.batch.knives.cloud import Cloud, cloud_at
from detentsim.analysis.many_builds.batch.knives.knives import Knives, need_share
from detentsim.analysis.many_builds.sweep.blocks import Progress, progress_line
from detentsim.knife.record.drawing import draw, spread_points
from detentsim.knife.table.schema import suggestion
from detentsim.units.errors import InputError
from detentsim.units.whole import whole_number
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping


TRIED = "{done:,} choices of tolerances tried"
"""Line that tells of the progress of `Batch.hold`."""


@dataclass(frozen=True, eq=False, repr=False)
class Batch(Knives):
    """Knives made to one drawing, and the questions that they and others like them answer.

    Attributes
    ----------
    seed : int
        Of the points at which the knives are drawn.
    vary : object
        What was said to vary, as `detentsim.batch` took it.
    """

    seed: int
    vary: object

    @classmethod
    def of_cloud(cls, cloud: Cloud, seed: int, vary: object) -> Batch:
        """Return the batch of knives that are solved.

        Parameters
        ----------
        cloud : Cloud
        seed : int
        vary : object
        """
        return cls(**{field.name: getattr(cloud, field.name) for field in fields(Cloud)}, seed=seed, vary=vary)

    @cached_property
    def fresh(self) -> Batch:
        """The same knives with their edges as drilled; this batch itself where it is not worn in."""
        if not self.worn:
            return self
        found = draw(self.build, self.spread, spread_points(len(self.spread), len(self), self.seed))
        return Batch.of_cloud(cloud_at(replace(self, worn=False), found, tuple(self.results)), self.seed, self.vary)

    def matters(self, name: str | None = None) -> Indices:
        """How much each input that varies matters: its share of the variance, alone and with the others.

        Parameters
        ----------
        name : str, optional
            A result, a yes-no result or a flag; left out, whether a knife is inside.

        Returns
        -------
        Indices
            From knives of their own, `detentsim.analysis.many_builds.batch.answers.indices.KNIVES` pairs of them.

        Raises
        ------
        InputError
            As `share`, or where the batch has no such result.
        """
        if name is None or name in self.flags:
            self.share(name)
        else:
            self[name]
        return matters(self, (name,), self.seed)[0]

    def of(self, count: int, name: str | None = None) -> Count:
        """How many knives of one small batch are inside: the middle case, and the range of nine batches in ten.

        What is unknown of the shop is the same for all knives of one batch, so such batches differ more than chance
        alone would make them.

        Parameters
        ----------
        count : int
            Knives of the batch.
        name : str, optional
            A flag or yes-no result; left out, the knives of `inside`.

        Returns
        -------
        Count
            From knives of their own, `detentsim.analysis.many_builds.batch.answers.nested`.

        Raises
        ------
        InputError
            As `share`, or for a wrong count.
        """
        count = whole_number("of", count, (1, MOST_OF), 12)
        self.share(name)
        return count_inside(self, count, self.seed, name)

    def worst(self, name: str) -> Corners:
        """Knives with the lowest and the highest result that the bands of the inputs allow.

        Parameters
        ----------
        name : str
            A result that is no truth.

        Returns
        -------
        Corners
            Every input at an end or the middle of its band. Such knives are rare: all inputs at their worst at once.

        Raises
        ------
        InputError
            For a name that is no such result.
        """
        self.known(name)
        return corners(self, name)

    def hold(
        self, share: float = 0.9, cost: Mapping[str, float] | None = None, *, progress: Progress | None = None
    ) -> Held:
        """Which tolerances to halve so that a wanted share of the knives is inside, at the least cost.

        Parameters
        ----------
        share : float
            Wanted, 0 to 1.
        cost : mapping of str to float, optional
            Cost of halving the band of an input; 1 where it is left out.
        progress : callable, optional
            Told ``(choices tried, of how many at most)``; by default a line on standard error where that is a terminal.

        Returns
        -------
        Held

        Raises
        ------
        InputError
            Where the build has no target; for a share outside 0 to 1, a name that does not vary from knife to knife,
            or a cost that is not above 0.
        """
        self.share()
        need_share("hold", share)
        own = [doubt.name for doubt in self.spread if not doubt.of_shop]
        for name, price in (cost or {}).items():
            if name not in own:
                hint = suggestion(str(name), own) or f"; those are {', '.join(own) or 'none'}"
                raise InputError("cost", name, f"{shown(name)} does not vary from knife to knife here{hint}")
            if not _is_cost(price):
                raise InputError("cost", price, f"{shown(price)} is no cost above 0, such as {{{name!r}: 2.0}}")
        return hold(self, share, self.seed, cost, progress or progress_line(TRIED))

    def aim(self, settings: Mapping[str, object], *, progress: Progress | None = None) -> Aimed:
        """Find the setting of the drawing with which most knives are inside.

        Parameters
        ----------
        settings : mapping of str to values
            Inputs and their values, as in `detentsim.sweep`; every combination is tried on the same errors.
        progress : callable, optional
            Told ``(settings done, of how many)``; by default a line on standard error where that is a terminal.

        Returns
        -------
        Aimed
            The best setting that passes no limit of bar, ball and tang.

        Raises
        ------
        InputError
            Where the build has no target, or the settings cannot be read.
        """
        self.share()
        return aim(
            self,
            settings,
            (self.seed, len(self)),
            self.vary,
            progress or progress_line("{done:,} of {total:,} settings"),
        )


def _is_cost(price: object) -> bool:
    """Whether something is a finite number above 0."""
    return isinstance(price, int | float | np.number) and not isinstance(price, bool) and bool(0 < price < np.inf)
