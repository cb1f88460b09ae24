"""Search of `design`: grid search, pattern search, selection by share inside and an evolution strategy, in this order.

`grid` and `evolution` hold the algorithms, `evaluation` solves the candidates in blocks; `design` turns the candidates
kept here into proposals.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.design.candidates import Candidates, Index
from detentsim.analysis.many_builds.design.evaluation import EVOLUTION, PATTERN, REPORT, YIELD, Evaluation
from detentsim.analysis.many_builds.design.evolution import Evolution
from detentsim.analysis.many_builds.design.grid import NO_STATISTICS, Grid, refine
from detentsim.analysis.many_builds.design.shop_errors import Offsets, offsets
from detentsim.knife.record.drawing import TOGETHER

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.many_builds.design.choices import Choices, SettableSize
    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array

# Combinations of one ball and pilot drill that the pattern search starts from.
STARTS = 4

# Designs of one ball and pilot drill whose yield is estimated from a few error points; the leading ones from more.
CANDIDATES, FEW, LEADING, MANY = 24, 16, 3, 64

# Designs that meet the aims whose yields are all estimated; and, with nothing to set, so few that none needs to be.
ALL, FULL = 1000, 150

# Balls with pilot drills that are proposed at most.
PROPOSED = 30

# Balls with pilot drills whose best design the evolution strategy improves.
EVOLVED = 12


class Search:
    """One search over the choices of a build.

    Attributes
    ----------
    evaluation : Evaluation
    choices : Choices
        Combinations of bought sizes.
    numbers : dict
        Plain numbers of the build.
    kept : Candidates
        Designs that meet the aims; once the search is complete, one of each ball and pilot drill.
    statistics : GridStatistics
        Counts over the grid.
    """

    def __init__(
        self,
        numbers: Plain,
        aims: tuple[Aim, ...],
        choices: Choices,
        scales: tuple[SettableSize, ...],
        progress: Progress,
        executor: Executor | None = None,
    ) -> None:
        self.numbers, self.choices, self._scales = numbers, choices, scales
        self.evaluation = Evaluation(numbers, aims, choices, progress, executor)
        self.bench = self.evaluation.bench
        self.kept = Candidates(np.zeros(0, np.intp), {}, np.zeros(0), np.zeros(0, bool))
        self.statistics = NO_STATISTICS

    @property
    def stopped(self) -> bool:
        """Whether Ctrl-C ended the search."""
        return self.evaluation.stopped

    def run(self, spread: tuple[Doubt, ...]) -> None:
        """Search; `kept` holds the designs reached so far, also after Ctrl-C.

        Parameters
        ----------
        spread : tuple of Doubt
            Shop errors, as `shop_errors.errors` gives them.
        """
        if not len(self.choices):
            return
        try:
            self._run(spread)
        except KeyboardInterrupt:
            self.evaluation.stopped = True

    def _run(self, spread: tuple[Doubt, ...]) -> None:
        grid = Grid(self.evaluation, self._scales)
        self.statistics, self.kept = grid.statistics, grid.met
        self.evaluation.stage = PATTERN
        starts = grid.best.take(self._leading(grid.best, grid.best.cost, STARTS))
        best = refine(starts, self.evaluation, self._scales)
        self.kept = grid.met.joined(best.take(best.meets))
        if self.kept.row.size:
            self.kept = self._improved(self.kept, spread)

    def shares(self, builds: Sequence[Build]) -> Array:
        """Share inside of the knives made to each proposal, at the end of the work; NaN for what Ctrl-C leaves.

        Parameters
        ----------
        builds : sequence of Build
        """
        self.evaluation.stage = REPORT
        shares = np.full(len(builds), np.nan)
        try:
            for first in range(0, len(builds), TOGETHER):
                some = slice(first, min(first + TOGETHER, len(builds)))
                shares[some] = self.evaluation.shares_inside(builds[some], some.stop / len(builds))
        except KeyboardInterrupt:
            self.evaluation.stopped = True
        return shares

    def _improved(self, kept: Candidates, spread: tuple[Doubt, ...]) -> Candidates:
        """Design of highest yield of each ball and pilot drill, the best of them improved by evolution.

        Selection is by successive halving: many designs on a few error points, the leading ones on more.
        """
        self.evaluation.stage = YIELD
        if not self._scales and kept.row.size <= FULL:
            return kept
        if kept.row.size > ALL or self.stopped:
            count = LEADING if self.stopped else CANDIDATES
            kept = kept.take(self._leading(kept, _shuffled(kept.row.size), count))
        for points, count, share in ((FEW, LEADING, (0.0, 0.7)), (MANY, 1, (0.7, 1.0))):
            estimate = np.nan_to_num(self.evaluation.yields(kept, offsets(spread, points), share))
            kept = replace(kept, cost=-estimate)
            kept = kept.take(self._leading(kept, kept.cost, count))
        return self._evolved(kept.take(np.arange(kept.row.size) < PROPOSED), offsets(spread, MANY))

    def _evolved(self, kept: Candidates, added: Offsets) -> Candidates:
        """Designs in order of yield, the first of them improved by evolution."""
        self.evaluation.stage = EVOLUTION
        if self.stopped or not self._scales:
            return kept
        place = np.arange(kept.row.size)
        first = Evolution(self.evaluation, self._scales, added).run(kept.take(place < EVOLVED))
        return first.joined(kept.take(place >= EVOLVED))

    def _leading(self, candidates: Candidates, cost: Array, count: int) -> Index:
        """Indices of the cheapest few of each ball and pilot drill, in order of cost."""
        kinds = self.choices.kinds[candidates.row]
        seen: dict[int, int] = {}
        places = []
        for place in np.argsort(cost, kind="stable"):
            kind = int(kinds[place])
            seen[kind] = seen.get(kind, 0) + 1
            if seen[kind] <= count:
                places.append(place)
        return np.array(places, np.intp)


def _shuffled(count: int) -> Array:
    """Pseudo-random order, the same every time."""
    return np.asarray(np.random.default_rng(3).random(count))
