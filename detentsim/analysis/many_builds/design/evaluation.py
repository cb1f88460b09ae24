"""Solves blocks of candidate designs for a search: results, flags, cost, and yield under shop errors.

`grid` and `evolution` propose candidates and `search` runs both; here the candidates are solved on the kernel in
blocks. A motion followed along its path costs more than the rest, so it is followed only for designs that are sound and
meet all other aims.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.analysis.inside import unsound
from detentsim.analysis.many_builds.design.candidates import Candidates, Index
from detentsim.analysis.many_builds.design.shop_errors import Offsets, missed
from detentsim.analysis.many_builds.sweep.blocks import Answers, Box, Progress, view_of
from detentsim.analysis.many_builds.sweep.solving import solve
from detentsim.analysis.results import in_unit
from detentsim.analysis.share_inside import first_knives, solved_together
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.drawing import FEW
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.names import FOLLOWED_NAMES, MOTION_NAMES

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.moves.move import Columns
    from detentsim.analysis.many_builds.design.choices import Choices
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array, Truth

# Stages of the work, and the share of the whole that is done at the end of each.
GRID, PATTERN, YIELD, EVOLUTION, REPORT = range(5)

SHARES = (0.36, 0.46, 0.64, 0.88, 1.0)

TICKS = 1000


class Evaluation:
    """Solves candidate designs against the aims and reports progress.

    Attributes
    ----------
    bench : Trials
        Build numbers and aims.
    stage : int
        Stage of the work, for the progress: `GRID` to `REPORT`.
    solved : int
        Designs solved.
    stopped : bool
        Whether Ctrl-C ended the work.
    """

    def __init__(
        self,
        numbers: Plain,
        aims: tuple[Aim, ...],
        choices: Choices,
        progress: Progress,
        executor: Executor | None = None,
    ) -> None:
        self.numbers, self.choices, self.executor = numbers, choices, executor
        self.bench, self._progress = Trials(numbers, aims), progress
        self.solved, self.stopped, self.stage, self._ticks = 0, False, GRID, 0
        wanted = tuple(dict.fromkeys([*(aim.name for aim in aims), "drag_torque"]))
        self._moving = tuple(n for n in wanted if n in MOTION_NAMES)
        self._first = tuple(n for n in wanted if n not in FOLLOWED_NAMES)
        self._followed = tuple(n for n in wanted if n in FOLLOWED_NAMES)

    def solve_grid(
        self, row: Index, at: Columns, idle: Truth, share: tuple[float, float] | None = (0, 1)
    ) -> tuple[Solved, Truth]:
        """Results and flags of combinations at values of their settable sizes; the second array marks what was solved.

        Parameters
        ----------
        row : array of int, shape (n,)
            Rows of the choices.
        at : dict of str to array
            Values of the settable sizes, shape (n, k) or (1, k) [m].
        idle : array of bool, shape (n, k)
            Designs to skip.
        share : tuple of float, optional
            Start and end within the stage's progress; None reports nothing.
        """
        columns = {name: values[row][:, None] for name, values in self.choices.columns.items()} | at
        thick = columns.get("bar.relief_thickness", np.zeros((1, 1)))
        return self._solve(columns, idle | (thick > columns["bar.thickness"]), share)

    def feasible(self, candidates: Candidates) -> Truth:
        """Candidates that meet the aims at their nominal sizes.

        Parameters
        ----------
        candidates : Candidates
        """
        at = {name: values[:, None] for name, values in candidates.at.items()}
        solved, done = self.solve_grid(candidates.row, at, np.zeros((candidates.row.size, 1), bool), None)
        return np.asarray((self.meets(solved) & done)[:, 0])

    def yields(self, candidates: Candidates, added: Offsets, share: tuple[float, float]) -> Array:
        """Yield: share of the error points under which a design stays sound and meets all aims; NaN if unsolved.

        Parameters
        ----------
        candidates : Candidates
        added : dict of str to array
            As `shop_errors.offsets` gives it.
        share : tuple of float
            Start and end within the stage's progress.
        """
        columns = {name: values[candidates.row] for name, values in self.choices.columns.items()} | candidates.at
        points = next((offset.shape[1] for offset in added.values()), 1)
        spread = missed(columns, self.numbers, added)
        solved, done = self._solve(spread, np.zeros((candidates.row.size, points), bool), share)
        good = self.meets(solved) & done
        known = np.count_nonzero(done, axis=1)
        return np.where(known > 0, np.count_nonzero(good, axis=1) / np.maximum(known, 1), np.nan)

    def shares_inside(self, builds: Sequence[Build], done: float) -> list[float]:
        """Share of the knives made to each build that are sound and meet all aims: the first of its batch.

        Parameters
        ----------
        builds : sequence of Build
        done : float
            Share of the stage that is complete then.
        """
        knives, names = [first_knives(build) for build in builds], (*self._first, *self._followed)
        records = [
            assemble(plain(build)) if found is None else found.record
            for build, found in zip(builds, knives, strict=True)
        ]
        shares = []
        for found, (results, flags) in zip(knives, solved_together(records, names), strict=True):
            good = self.meets(Solved({name: in_unit(name, values) for name, values in results.items()}, flags))
            shares.append(float(np.mean(good if found is None else good & ~found.excluded)))
        self.solved += FEW * len(builds)
        self._progress_within((0.0, done))(1, 1)
        return shares

    def _solve(self, columns: Columns, out: Truth, share: tuple[float, float] | None) -> tuple[Solved, Truth]:
        """Results, flags and a mask of what was solved, over two axes; motion is told only where all else is met."""
        solved, done = self._blocks(columns, out, self._first, share)
        if not self._moving:
            return solved, done
        likely = self.meets(solved, still=True) & done & np.array_equal(done, ~out)
        moving = {name: np.full(out.shape, np.nan) for name in self._moving}
        for name in set(self._first) & set(moving):
            moving[name][likely] = solved.results[name][likely]
        if self._followed and np.any(likely):
            some = {n: np.broadcast_to(v, out.shape)[likely] for n, v in columns.items()}
            followed, done_too = self._blocks(some, np.zeros(np.count_nonzero(likely), bool), self._followed, None)
            for name, values in followed.results.items():
                moving[name][likely] = values
            done[likely] &= done_too
        return Solved(solved.results | moving, solved.flags), done

    def _blocks(
        self, columns: Columns, out: Truth, names: tuple[str, ...], share: tuple[float, float] | None
    ) -> tuple[Solved, Truth]:
        results = {name: np.full(out.shape, np.nan) for name in names}
        flags = {name: np.ones(out.shape, bool) for name in UNSOUND}
        done = np.zeros(out.shape, bool)

        def keep(place: Box, chosen: Truth | None, answers: Answers) -> None:
            where = ... if chosen is None else chosen
            for name in names:
                results[name][view_of(place)][where] = in_unit(name, answers.results[name])
            for name in UNSOUND:
                flags[name][view_of(place)][where] = answers.flags[name]
            done[view_of(place)][where] = True

        record = assemble({**self.numbers, **columns})
        self.stopped |= not solve(record, out, names, keep, self.executor, self._progress_within(share))
        self.solved += int(np.count_nonzero(done))
        return Solved(results, flags), done

    def _progress_within(self, share: tuple[float, float] | None) -> Progress:
        """Progress of one part, scaled to the whole work."""
        before = SHARES[self.stage - 1] if self.stage else 0.0
        width = SHARES[self.stage] - before

        def report(done: int, total: int) -> None:
            if share is not None:
                part = share[0] + (share[1] - share[0]) * done / total
                self._report(round(TICKS * (before + width * part)))

        return report

    def _report(self, tick: int) -> None:
        """Report progress, only ever forwards."""
        if tick > self._ticks:
            self._ticks = tick
            self._progress(tick, TICKS)

    def end(self) -> None:
        """Report that the work is complete."""
        self._report(TICKS)

    def meets(self, solved: Solved, still: bool = False) -> Truth:
        """Designs that are sound and meet every aim.

        Parameters
        ----------
        solved : Solved
        still : bool
            Leave out the aims for blade motion.
        """
        good = ~unsound(solved.flags)
        for aim in self.bench.aims:
            if not (still and aim.name in MOTION_NAMES):
                good &= aim.miss(solved.results[aim.name]) == 0
        return np.asarray(good)

    def best_per_row(self, row: Index, at: Columns, solved: Solved, done: Truth) -> Candidates:
        """Cheapest design along the second axis, one per row.

        Parameters
        ----------
        row : array of int, shape (n,)
        at : dict of str to array, shape (n, k)
        solved : Solved
        done : array of bool, shape (n, k)
            As `solve_grid` gives them.
        """
        drag = solved.results["drag_torque"]
        base = max(float(self.bench.solve({}, ("drag_torque",)).results["drag_torque"][0]), 1e-9)
        cost = 100 * np.minimum(self.bench.miss(solved), 1e3) - 10 * self.bench.margin(solved)
        cost = np.where(
            done, cost + np.nan_to_num(drag / (drag + base)) + np.where(unsound(solved.flags), 1e6, 0.0), np.inf
        )
        pick, lines = np.argmin(cost, axis=1), np.arange(row.size)
        meets = self.meets(solved) & done
        chosen = {name: np.asarray(values[lines, pick]) for name, values in at.items()}
        return Candidates(row, chosen, cost[lines, pick], meets[lines, pick])
