"""The fit as a result: weighted knives that agree with the readings, their ranges, and conflicts with the drawing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.fit.answers.conflicts import Conflict, conflicts_of
from detentsim.analysis.in_hand.fit.answers.next_reading import NextReading, next_readings
from detentsim.analysis.in_hand.fit.answers.tied import Tied, tied
from detentsim.analysis.in_hand.fit.sampled.share import weighted_share
from detentsim.analysis.in_hand.fit.sampled.weighted import effective, quantiles, resampled
from detentsim.analysis.many_builds.batch.knives.knives import Knives, need_share
from detentsim.analysis.many_builds.batch.knives.tables import shown_inputs
from detentsim.analysis.many_builds.sweep.family import Family, family
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.drawing import with_values
from detentsim.knife.table.summary import notebook_table
from detentsim.units.quantities import quantity

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.batch.counts.shares import Share
    from detentsim.knife.measured.readings import Readings
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array

CURVES = 512
"""Knives behind the curves, equally weighted."""


@dataclass(frozen=True, eq=False, repr=False)
class Fit(Knives):
    """Knives made to one drawing, weighted by how well they read like the one on the bench.

    `build` is the fitted build: the likeliest of these knives, with the ranges of what varies as tolerances.

    Attributes
    ----------
    drawing : Build
        The build that was fitted.
    knife_weights : array, shape (n,)
        Their sum is 1.
    readings : Readings
        Those of a measured curve among them.
    again : frozenset of str
        Inputs that the drawing states without doubt and that were measured again; they vary by the error of that.
    seed : int
    unread : int
        The first knives, drawn as in a batch: what the drawing alone lets expect.
    """

    drawing: Build
    knife_weights: Array
    readings: Readings
    again: frozenset[str]
    seed: int
    unread: int

    @property
    def weights(self) -> Array:
        """Weight of each knife; their sum is 1, shape (n,)."""
        return self.knife_weights

    @property
    def effective(self) -> float:
        """Effective sample size: how many knives of equal weight would tell as much."""
        return effective(self.knife_weights)

    @cached_property
    def summary(self) -> Summary:
        """Verdict on the fitted build, the likeliest of these knives."""
        return summary(self.build)

    def share(self, of: str | None = None) -> Share:
        """Probability that this knife is inside the target, has a flag, or that a yes-no result is true of it.

        Parameters
        ----------
        of : str, optional
            As for a batch.

        Returns
        -------
        Share
            With the 95 % confidence interval of the sampling.

        Raises
        ------
        InputError
            As for a batch.
        """
        return weighted_share(self.truths(of), self.weights)

    def middle(self, name: str) -> Any:
        """Median of a result or of an input that varies [quantity].

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            For any other name.
        """
        return quantity(self.middle_number(name), self._unit(name))

    def middle_number(self, name: str) -> float:
        """Number of `middle` in its unit, for reports, which need no quantities.

        Parameters
        ----------
        name : str
        """
        return self._quantiles(name, [0.5])[0]

    def before(self, name: str, share: float = 0.9) -> tuple[Any, Any]:
        """Range to expect from the drawing alone, before the readings.

        Parameters
        ----------
        name : str
            As for `interval`.
        share : float

        Raises
        ------
        InputError
            As `interval`.
        """
        low, high = self.before_ends(name, share)
        return quantity(low, self._unit(name)), quantity(high, self._unit(name))

    def before_ends(self, name: str, share: float = 0.9) -> tuple[float, float]:
        """Ends of `before` as numbers in their unit, for reports, which need no quantities.

        Parameters
        ----------
        name : str
        share : float

        Raises
        ------
        InputError
            As `interval`.
        """
        need_share("before", share)
        first = np.where(np.arange(len(self)) < self.unread, 1.0, 0.0)
        low, high = self._quantiles(name, [(1 - share) / 2, (1 + share) / 2], first)
        return low, high

    def _quantiles(self, name: str, shares: list[float], weights: Array | None = None) -> list[float]:
        """Quantiles of a result or an input, in its unit; knives without a value do not count."""
        weights = self.weights if weights is None else weights
        values = shown_inputs(self)[name][0] if name in self.found.values else self._numbers(name)
        known = np.isfinite(values)
        return [float(one) for one in quantiles(values[known], weights[known], shares)]

    def _unit(self, name: str) -> str:
        """Unit of a result or an input."""
        return shown_inputs(self)[name][1] if name in self.found.values else RESULTS[name].unit

    def alike(self, name: str) -> Array:
        """Return the known values of a result, for knives drawn by their weights; shape (m,).

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            As for a batch.
        """
        self.known(name)
        values = self.results[name][resampled(self.weights, len(self))]
        return np.extract(np.isfinite(values), values)

    def curves(self, at: object = None) -> Family:
        """Feel curves of knives drawn by their weights, at the same blade angles.

        Parameters
        ----------
        at : array quantity, (start, stop, count) or list of angles, optional

        Returns
        -------
        Family
            Of `CURVES` knives, each as likely as any other.

        Raises
        ------
        InputError
            Where the angles cannot be read.
        """
        which = resampled(self.weights, CURVES)
        found = with_values(self.drawing, {name: array[which] for name, array in self.found.values.items()}, CURVES)
        return family(found.record, found.excluded, at)

    def drawing_curves(self, at: object = None) -> Family:
        """Feel curves of knives to expect from the drawing alone, at the same blade angles.

        Parameters
        ----------
        at : array quantity, (start, stop, count) or list of angles, optional

        Returns
        -------
        Family
            Of the first knives, `CURVES` at most, as a batch draws them.

        Raises
        ------
        InputError
            Where the angles cannot be read.
        """
        count = min(CURVES, self.unread)
        found = with_values(self.drawing, {name: array[:count] for name, array in self.found.values.items()}, count)
        return family(found.record, found.excluded, at)

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Readings that fewer than one in a hundred knives of the drawing would give, and what to check first."""
        return conflicts_of(self, self.readings, self.knife_weights, self.unread)

    @cached_property
    def tied(self) -> tuple[Tied, ...]:
        """Pairs of inputs that the readings cannot tell apart, the strongest first."""
        return tied(self.found.values, self.weights)

    def next_readings(self, name: str = "breakout_force") -> tuple[NextReading, ...]:
        """By how much each reading that is not yet taken would narrow the range of a result, the best first.

        Parameters
        ----------
        name : str
            A result that is no truth.

        Raises
        ------
        InputError
            For any other name.
        """
        self.known(name)
        if name not in self._next:  # a report asks for its page and for its document
            self._next[name] = next_readings(self, name, self.readings, self.knife_weights, self.seed)
        return self._next[name]

    @cached_property
    def _next(self) -> dict[str, tuple[NextReading, ...]]:
        """Next readings of the results that were asked for."""
        return {}

    def to_records(self) -> npt.NDArray[Any]:
        """Return one row for each knife, as a batch does, with its weight."""
        from numpy.lib.recfunctions import append_fields

        return np.asarray(append_fields(super().to_records(), "weight", self.weights, usemask=False))

    def __repr__(self) -> str:
        count = len(self.readings.taken) + len(self.readings.saw)
        read = f"{count} reading{'s' * (count != 1)}"
        return (
            f"<Fit of {self.build.name!r} to {read}: {len(self):,} knives, as good as {self.effective:,.0f} equal ones>"
        )

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        names = [
            name for name in (*self.found.values, *self.results) if name in self.found.values or self._number(name)
        ]
        rows = []
        for name in names:
            (low, high), middle = self.interval(name), self.middle(name)
            rows.append((name, f"{middle:.3g~P} ({low.m:.3g} to {high.m:.3g})"))
        return notebook_table(f"{self.build.name}: {self.effective:,.0f} knives, medians and 90 % ranges", rows)

    def _number(self, name: str) -> bool:
        return not RESULTS[name].is_truth and bool(np.any(np.isfinite(self.results[name])))
