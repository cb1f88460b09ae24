"""Knives of a batch as results: inputs, results and flags of each, shares, ranges, capability, curves, a table."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.batch.counts.bands import Capability, capability_of
from detentsim.analysis.many_builds.batch.counts.shares import Share, share_of
from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
from detentsim.analysis.many_builds.batch.knives.tables import html_table, records, shown_inputs
from detentsim.analysis.many_builds.sweep.family import Family, family
from detentsim.analysis.results import ByKey
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.table.schema import suggestion
from detentsim.knife.target.target import ends
from detentsim.units.errors import InputError
from detentsim.units.numbers import percent
from detentsim.units.quantities import quantity
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.mechanics.record import Array, Truth


@dataclass(frozen=True, eq=False, repr=False)
class Knives(Cloud, ByKey):
    """Knives made to one drawing, and what can be read from them."""

    @property
    def weights(self) -> Array:
        """Weight of each knife; all equal, their sum is 1."""
        return np.full(len(self), 1 / len(self))

    @property
    def inputs(self) -> Mapping[str, Any]:
        """Values of each input that varies, by dotted name [quantity, mm, deg, N ...]; shape (n,).

        Over-close is a length at the ball.
        """
        return MappingProxyType({name: quantity(values, unit) for name, (values, unit) in shown_inputs(self).items()})

    @property
    def excluded(self) -> Truth:
        """Knives whose sizes do not fit together, whatever the reason."""
        return self.found.excluded

    @property
    def misfits(self) -> Mapping[str, Truth]:
        """Knives whose sizes do not fit together, by what is wrong, in words; arrays of bool, shape (n,)."""
        return self.found.misfits

    def share(self, of: str | None = None) -> Share:
        """Share of the knives inside the target, or with a flag, or for which a yes-no result is true.

        Parameters
        ----------
        of : str, optional
            Flag or yes-no result; left out, the knives of `inside`.

        Returns
        -------
        Share
            With its 95 % confidence interval.

        Raises
        ------
        InputError
            Where the build has no target, or there is no such flag or yes-no result.
        """
        return share_of(self.truths(of))

    def truths(self, of: str | None = None) -> Truth:
        """Return the knives inside the target, or with a flag, or for which a yes-no result is true; shape (n,).

        Parameters
        ----------
        of : str, optional
            As for `share`.

        Raises
        ------
        InputError
            As `share`.
        """
        if of is None:
            if not self.build.target:
                text = 'the build has no target; give one, such as breakout_force = { at_least = "9 N" } in [target]'
                raise InputError("share", None, text)
            return self.inside
        truths = {name: values for name, values in self.results.items() if values.dtype == bool} | self.flags
        if of not in truths:
            hint = suggestion(str(of), truths) or f'; there are {", ".join(truths)}, asked for like share("snaps")'
            raise InputError("share", of, f"{shown(of)} is no flag or yes-no result of this batch{hint}")
        return truths[of]

    def interval(self, name: str, share: float = 0.9) -> tuple[Any, Any]:
        """Range that holds the middle share of the knives; of a fit, that holds this knife with such a probability.

        Parameters
        ----------
        name : str
            A result that is no truth; of a fit also an input that varies.
        share : float
            0 to 1; 0.9 leaves 5 % of the knives below and 5 % above.

        Returns
        -------
        tuple of quantity
            Knives without a value do not count. NaN where none has one.

        Raises
        ------
        InputError
            For any other name, or a share outside 0 to 1.
        """
        low, high = self.interval_ends(name, share)
        return quantity(low, self._unit(name)), quantity(high, self._unit(name))

    def interval_ends(self, name: str, share: float = 0.9) -> tuple[float, float]:
        """Ends of `interval` as numbers in their unit, for reports, which need no quantities.

        Parameters
        ----------
        name : str
        share : float

        Raises
        ------
        InputError
            As `interval`.
        """
        need_share("interval", share)
        low, high = self._quantiles(name, [(1 - share) / 2, (1 + share) / 2])
        return low, high

    def _quantiles(self, name: str, shares: list[float]) -> list[float]:
        """Quantiles of a result, in its unit; knives without a value do not count."""
        known = self.known(name)
        return [float(one) for one in np.quantile(known, shares)] if known.size else [np.nan] * len(shares)

    def _unit(self, name: str) -> str:
        return RESULTS[name].unit

    def capability(self, name: str) -> Capability:
        """Process capability of a result against its target band.

        Parameters
        ----------
        name : str
            A result with a target.

        Returns
        -------
        Capability

        Raises
        ------
        InputError
            Where the result has no target band.

        Notes
        -----
        ISO 22514-1, from memory: Cp = (U - L) / 6 s, Cpk = min(U - m, m - L) / 3 s; meant for a normal spread.
        """
        known = self.alike(name)
        wanted = next((aim for aim in self.build.target if aim.name == name), None)
        if wanted is None:
            example = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'
            text = f"{shown(name)} has no target band in this build; give it one in [target], such as {example}"
            raise InputError("capability", name, text)
        return capability_of(known, ends(wanted, self.start.get(name)))

    def known(self, name: str) -> Array:
        """Return the values of a result, in its unit, of the knives that have one; shape (m,).

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            For a name that is no result, or a truth.
        """
        values = self._numbers(name)
        return np.extract(np.isfinite(values), values)

    def alike(self, name: str) -> Array:
        """Return the values of a result, of knives that count alike; shape (m,).

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            As `known`.
        """
        return self.known(name)

    def __getitem__(self, name: str) -> Any:
        """Return a result of each knife: a quantity in its unit, or an array of truths.

        Raises
        ------
        InputError
            Where the batch has no such result.
        """
        values = self._values(name)
        return values if RESULTS[name].is_truth else quantity(values, RESULTS[name].unit)

    def _numbers(self, name: str) -> Array:
        """Result of each knife, in its unit, where it is no truth."""
        values = self._values(name)
        if RESULTS[name].is_truth:
            raise InputError("of", name, f"{shown(name)} is true or false; ask for its share, like share({name!r})")
        return np.asarray(values, float)

    def _values(self, name: str) -> npt.NDArray[Any]:
        """Result of each knife, in its unit."""
        self.need(name)
        return self.results[name]

    def curves(self, at: object = None) -> Family:
        """Feel curves of all knives at the same blade angles.

        Parameters
        ----------
        at : array quantity, (start, stop, count) or list of angles, optional

        Returns
        -------
        Family
            Arrays of shape (n, m).

        Raises
        ------
        InputError
            Where the angles cannot be read, or the arrays would not fit in memory.
        """
        return family(self.found.record, self.excluded, at)

    def to_records(self) -> npt.NDArray[Any]:
        """Return one row for each knife: inputs, results, flags; headings carry the unit.

        Returns
        -------
        structured array, shape (n,)
            Rows as table libraries read them (``pandas.DataFrame``).
        """
        return records(self)

    def __repr__(self) -> str:
        share = f"; {percent(self.share().share)} inside the target" if self.build.target else ""
        worn = " worn in" if self.worn else ""
        vary = "1 input varies" if len(self.spread) == 1 else f"{len(self.spread)} inputs vary"
        return f"<Batch of {self.build.name!r}: {len(self):,} knives{worn}, {vary}{share}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        return html_table(self)

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)


def need_share(field: str, share: object) -> float:
    """Return a share; raises `InputError` for what is none between 0 and 1.

    Parameters
    ----------
    field : str
        Name of the input.
    share : object
    """
    if not isinstance(share, int | float) or not 0 < share < 1:
        raise InputError(field, share, f"{shown(share)} is not a share between 0 and 1, such as 0.9")
    return share
