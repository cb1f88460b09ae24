"""(1 + 8) evolution strategy with a shrinking step: raises the yield of designs that already meet the aims.

Last step of `search`. Each parent has `CHILDREN` random children a generation, and the best of parent and children
survives. Where a child fails at its nominal sizes, its yield is not computed.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.design.candidates import Candidates, Index

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.design.choices import SettableSize
    from detentsim.analysis.many_builds.design.evaluation import Evaluation
    from detentsim.analysis.many_builds.design.shop_errors import Offsets

# Generations, children of each parent, and the share of them that take other bought sizes.
GENERATIONS, CHILDREN, OTHERS = 6, 8, 0.3

# Factor on the standard deviation of the mutations from one generation to the next.
SHRINK = 0.75


class Evolution:
    """Evolution strategy over settable sizes and bought sizes of the same ball and pilot drill."""

    def __init__(self, evaluation: Evaluation, scales: tuple[SettableSize, ...], added: Offsets) -> None:
        self._evaluation, self._scales, self._added = evaluation, scales, added
        self._rng = np.random.default_rng(2)

    def run(self, parents: Candidates) -> Candidates:
        """Parents, each replaced by its descendant of highest yield.

        Parameters
        ----------
        parents : Candidates
            Cost is the negative yield over the same error points.
        """
        for generation in range(GENERATIONS):
            if self._evaluation.stopped:
                break
            parents = self._next(parents, generation)
        return parents

    def _next(self, parents: Candidates, generation: int) -> Candidates:
        """Best of each parent and its children, by yield."""
        share = generation / GENERATIONS, (generation + 1) / GENERATIONS
        children = self._mutated(parents, float(SHRINK**generation))
        feasible = self._evaluation.feasible(children)
        yields = np.full(children.row.size, -1.0)
        if np.any(feasible):
            solved = self._evaluation.yields(children.take(feasible), self._added, share)
            yields[feasible] = np.nan_to_num(solved, nan=-1.0)
        if self._evaluation.stopped:
            return parents
        children = replace(children, cost=-yields)
        count = parents.row.size
        best = children.take(np.arange(count) + count * np.argmin(children.cost.reshape(-1, count), axis=0))
        return parents.improved(best)

    def _mutated(self, parents: Candidates, step: float) -> Candidates:
        """Children with Gaussian changes of all settable sizes, a share of them with other bought sizes.

        Where the relief grows thicker by a factor, the bend is divided by its cube: stiffness grows with the cube of
        the thickness, so the bar's force stays about the same.
        """
        rows = np.tile(parents.row, CHILDREN)
        kinds, rng = self._evaluation.choices.kinds, self._rng
        other = np.array([rng.choice(self._rows_of_kind[int(kinds[row])]) for row in rows], np.intp)
        rows = np.where(rng.random(rows.size) < OTHERS, other, rows)
        at = {}
        stiffer = np.exp(step * rng.normal(0, 0.12, rows.size))
        for scale in self._scales:
            own = np.tile(parents.at[scale.name], CHILDREN)
            if scale.name == "bar.relief_thickness":
                own = own * stiffer
            elif scale.name == "bar.bend" and any(s.name == "bar.relief_thickness" for s in self._scales):
                own = own * stiffer**-3
            at[scale.name] = scale.at(own + step * scale.step * rng.normal(0, 1, rows.size))
        return Candidates(rows, at, np.zeros(rows.size), np.ones(rows.size, bool))

    @cached_property
    def _rows_of_kind(self) -> dict[int, Index]:
        """Rows of the choices by ball and pilot drill."""
        kinds = self._evaluation.choices.kinds
        return {int(kind): np.flatnonzero(kinds == kind) for kind in np.unique(kinds)}
