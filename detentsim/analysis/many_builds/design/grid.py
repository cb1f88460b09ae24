"""Grid search over every combination of bought sizes, then pattern search with step halving about the best of them.

First and second step of `search`; the candidates are solved by `evaluation`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.design.candidates import Candidates, Index
from detentsim.analysis.many_builds.design.choices import BENDS, FEEDS, RELIEFS, SettableSize
from detentsim.analysis.results import number
from detentsim.knife.outcomes import UNSOUND

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.moves.move import Columns
    from detentsim.analysis.in_hand.advise.trials.solved import Solved
    from detentsim.analysis.many_builds.design.evaluation import Evaluation
    from detentsim.mechanics.record import Array, Truth

# Bends at which a bar is checked for lost bend and dented tang.
BEND_LOOKS = 41

# Rounds of the pattern search; the step halves with each.
LOOKS = 3


@dataclass(frozen=True)
class GridStatistics:
    """Counts over the designs of the grid, to explain why nothing meets the aims.

    Attributes
    ----------
    sound : int
        Sound designs.
    raised : dict of str to int
        Designs by the flag they raise.
    near : dict of str to (int, float)
        By result: sound designs that meet its aim, and its value in the nearest one.
    together : dict of (str, str) to int
        Sound designs that meet both of two aims.
    """

    sound: int
    raised: dict[str, int]
    near: dict[str, tuple[int, float]]
    together: dict[tuple[str, str], int]


NO_STATISTICS = GridStatistics(0, {}, {}, {})


class Grid:
    """Full-factorial grid: every combination of bought sizes at a few values of each settable size.

    Attributes
    ----------
    best : Candidates
        Best design of each combination.
    met : Candidates
        All designs that meet the aims.
    statistics : GridStatistics
    """

    def __init__(self, evaluation: Evaluation, scales: tuple[SettableSize, ...]) -> None:
        self._evaluation, self._scales = evaluation, scales
        at, choices = self._cells(), evaluation.choices
        count, cells = len(choices), next((values.shape[1] for values in at.values()), 1)
        idle = np.zeros((count, cells), bool)
        if "dimple.rim_feed" in at:
            idle |= choices.plain_holes[:, None] & (at["dimple.rim_feed"] > at["dimple.rim_feed"].min())
        rows = np.arange(count)
        solved, done = evaluation.solve_grid(rows, at, idle)
        whole = {n: np.broadcast_to(v, (count, cells)) for n, v in at.items()}
        self.statistics = _statistics(evaluation, solved, done)
        self.met = _feasible(whole, evaluation.meets(solved) & done)
        self.best = evaluation.best_per_row(rows, whole, solved, done)

    def _cells(self) -> Columns:
        """Grid values of each settable size, shape (1, cells), for the bend (rows, cells) [m]."""
        reliefs = self._reliefs
        shares, feeds, relief = (
            grid.ravel() for grid in np.meshgrid(BENDS, FEEDS, np.arange(reliefs.size), indexing="ij")
        )
        if self._scale("dimple.rim_feed") is None:
            keep = feeds == FEEDS[0]
            shares, feeds, relief = shares[keep], feeds[keep], relief[keep]
        bend = self._scale("bar.bend")
        if bend is None:
            keep = shares == BENDS[0]
            shares, feeds, relief = shares[keep], feeds[keep], relief[keep]
        top, bar = self._largest_bend()
        values = {"dimple.rim_feed": feeds[None], "bar.relief_thickness": reliefs[relief][None]}
        if bend is not None:
            values["bar.bend"] = bend.low + shares[None] * (top[bar][:, relief] - bend.low)
        return {scale.name: scale.at(values[scale.name]) for scale in self._scales}

    def _largest_bend(self) -> tuple[Array, Index]:
        """Largest bend that each bar keeps without denting the tang [m], shape (bars, reliefs), and each row's bar.

        Rows share a bar where slab, cutter and ball (which meets the tang) are the same.
        """
        bend, choices = self._scale("bar.bend"), self._evaluation.choices
        names = ("ball.diameter", "bar.thickness", "bar.relief_length")
        sizes = np.stack([choices.columns[name] for name in names if name in choices.columns], axis=-1)
        _, first, bar = np.unique(sizes, axis=0, return_index=True, return_inverse=True)
        reliefs = self._reliefs
        if bend is None or not bar.size:
            return np.zeros((first.size, reliefs.size)), bar.ravel()
        bends = np.linspace(bend.low, bend.high, BEND_LOOKS)
        columns = {n: v[first][:, None, None] for n, v in choices.columns.items()}
        columns |= {"bar.bend": bends[None, None]}
        columns |= {"bar.relief_thickness": reliefs[None, :, None]} if np.isfinite(reliefs).all() else {}
        flags = self._evaluation.bench.solve(columns, ("drag_torque",)).flags
        sound = ~(flags["loses_bend"] | flags["dents_tang"])
        return np.max(np.where(sound, bends, bend.low), axis=-1), bar.ravel()

    def _scale(self, name: str) -> SettableSize | None:
        return next((scale for scale in self._scales if scale.name == name), None)

    @property
    def _reliefs(self) -> Array:
        own, scale = number(self._evaluation.numbers, "bar.relief_thickness"), self._scale("bar.relief_thickness")
        return np.array([own]) if scale is None else scale.at(own * RELIEFS)


def _feasible(at: Columns, good: Truth) -> Candidates:
    """All designs of the grid that meet the aims."""
    lines, cells = np.nonzero(good)
    chosen = {name: values[lines, cells] for name, values in at.items()}
    return Candidates(lines, chosen, np.zeros(lines.size), np.ones(lines.size, bool))


def _statistics(evaluation: Evaluation, solved: Solved, done: Truth) -> GridStatistics:
    """Count the designs that meet each aim, and each pair of aims."""
    flags = {flag: solved.flags[flag] & done for flag in UNSOUND}
    raised = {flag: int(np.count_nonzero(hit)) for flag, hit in flags.items() if np.any(hit)}
    sound = done & ~np.any(list(flags.values()), axis=0)
    met, near = {}, {}
    for aim in evaluation.bench.aims:
        values = solved.results[aim.name]
        miss = np.where(sound, aim.miss(values), np.inf)
        met[aim.name] = miss == 0
        at = np.unravel_index(np.argmin(miss), miss.shape)
        near[aim.name] = int(np.count_nonzero(miss == 0)), float(values[at])
    names = list(met)
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
    together = {(a, b): int(np.count_nonzero(met[a] & met[b])) for a, b in pairs}
    return GridStatistics(int(np.count_nonzero(sound)), raised, near, together)


def refine(candidates: Candidates, evaluation: Evaluation, scales: tuple[SettableSize, ...]) -> Candidates:
    """Candidates improved by pattern search: the best of all neighbours one step away, the step halved each round.

    Parameters
    ----------
    candidates : Candidates
        Starting points.
    evaluation : Evaluation
    scales : tuple of SettableSize
        Settable sizes, with the first step of each.
    """
    for look in range(LOOKS):
        if evaluation.stopped or not scales:
            break
        candidates = _best_neighbour(candidates, evaluation, scales, look)
    return candidates


def _best_neighbour(
    candidates: Candidates, evaluation: Evaluation, scales: tuple[SettableSize, ...], look: int
) -> Candidates:
    """Best of each candidate and its 3**n - 1 neighbours, n settable sizes."""
    moves = np.array(list(product((0, -1, 1), repeat=len(scales))), float)
    at = {
        s.name: s.at(candidates.at[s.name][:, None] + moves[None, :, i] * s.step * 0.5**look)
        for i, s in enumerate(scales)
    }
    # without a second drill its feed changes nothing
    idle = np.zeros((candidates.row.size, len(moves)), bool)
    for i, scale in enumerate(scales):
        if scale.name == "dimple.rim_feed":
            idle |= evaluation.choices.plain_holes[candidates.row][:, None] & (moves[None, :, i] != 0)
    solved, done = evaluation.solve_grid(candidates.row, at, idle, (look / LOOKS, (look + 1) / LOOKS))
    best = evaluation.best_per_row(candidates.row, at, solved, done)
    return best if np.all(np.isfinite(best.cost)) else candidates.improved(best)
