"""Result of a batch: inputs, results and flags of each knife, the share inside the target, ranges, capability."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.batch.bands import Capability, capability_of, missed
from detentsim.analysis.many_builds.batch.drawing import Drawn, draw
from detentsim.analysis.many_builds.batch.indices import Indices, indices
from detentsim.analysis.many_builds.batch.shares import Share, share_of
from detentsim.analysis.many_builds.batch.tables import html_table, records, shown_inputs
from detentsim.analysis.many_builds.sweep.family import Family, family
from detentsim.analysis.many_builds.sweep.solving import own_results, solve_all
from detentsim.knife.outcomes import RESULTS, UNSOUND
from detentsim.knife.table.schema import suggestion
from detentsim.knife.target.target import ends
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Truth


@dataclass(frozen=True, eq=False, repr=False)
class Batch:
    """Knives made to one drawing.

    Attributes
    ----------
    build : Build
        The drawing.
    spread : tuple of Doubt
        Distribution of each input that varies [SI].
    seed : int
    found : Drawn
        The knives' inputs in SI.
    results : dict of str to array, shape (n,)
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`; NaN where there is none. Truths are boolean.
    flags : dict of str to array of bool, shape (n,)
    done : array of bool, shape (n,)
        False for what Ctrl-C left unsolved.
    """

    build: Build
    spread: tuple[Doubt, ...]
    seed: int
    found: Drawn
    results: dict[str, npt.NDArray[Any]]
    flags: dict[str, Truth]
    done: Truth

    def __len__(self) -> int:
        """Return the number of knives."""
        return int(self.done.size)

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

    @cached_property
    def inside(self) -> Truth:
        """Knives that meet every target and have no warning of an unsound design.

        A wanted change counts from the drawing itself. What makes no knife, or was not solved, is outside.
        """
        return np.asarray(~np.any([np.zeros(len(self), bool), *self.outside.values()], axis=0))

    @cached_property
    def outside(self) -> dict[str, Truth]:
        """Why knives are outside: target missed below or above, warning, no knife; a knife may have several.

        Keys are ``breakout_force below``, ``breakout_force above``, ``breakout_force none``, ``falls_shut false``, the
        name of a flag, the words of a misfit, ``not solved``.
        """
        alive = self.done & ~self.excluded
        why: dict[str, Truth] = {}
        for wanted in self.build.target:
            why |= {
                key: where & alive
                for key, where in missed(wanted, self.results[wanted.name], self._start(wanted)).items()
            }
        why |= {name: self.flags[name] for name in UNSOUND}
        why |= self.found.misfits | {"not solved": ~self.done}
        return {key: where for key, where in why.items() if np.any(where)}

    @cached_property
    def own(self) -> dict[str, float | bool | None]:
        """Results that the targets are about, of the drawing itself, in their units; None for one it lacks."""
        return own_results(self.build, [wanted.name for wanted in self.build.target])

    def _start(self, wanted: Target) -> float | None:
        """Value from which a wanted change counts; None where no change is wanted."""
        return None if wanted.change is None else self.own[wanted.name]

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
        if of is None:
            if not self.build.target:
                text = 'the build has no target; give one, such as breakout_force = { at_least = "9 N" } in [target]'
                raise InputError("share", None, text)
            return share_of(self.inside)
        truths = {name: values for name, values in self.results.items() if values.dtype == bool} | self.flags
        if of not in truths:
            hint = suggestion(str(of), truths) or f"; there are {', '.join(truths)}"
            raise InputError("share", of, f"{shown(of)} is no flag or yes-no result of this batch{hint}")
        return share_of(truths[of])

    def interval(self, name: str, share: float = 0.9) -> tuple[Any, Any]:
        """Range that holds the middle share of the knives.

        Parameters
        ----------
        name : str
            A result that is no truth.
        share : float
            0 to 1; 0.9 leaves 5 % of the knives below and 5 % above.

        Returns
        -------
        tuple of quantity
            In the result's unit; knives without a value do not count. NaN where none has one.

        Raises
        ------
        InputError
            For a name that is no such result, or a share outside 0 to 1.
        """
        if not 0 < share < 1:
            raise InputError("interval", share, f"{shown(share)} is not a share between 0 and 1, such as 0.9")
        known = self._known(name)
        low, high = np.quantile(known, [(1 - share) / 2, (1 + share) / 2]) if known.size else (np.nan, np.nan)
        unit = RESULTS[name].unit
        return quantity(float(low), unit), quantity(float(high), unit)

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
        known = self._known(name)
        wanted = next((aim for aim in self.build.target if aim.name == name), None)
        if wanted is None:
            raise InputError("capability", name, f"{shown(name)} has no target band in this build")
        return capability_of(known, ends(wanted, self._start(wanted)))

    def _known(self, name: str) -> Array:
        values = self[name]
        if RESULTS[name].is_truth:
            raise InputError("of", name, f"{shown(name)} is true or false; ask for its share")
        known: Array = np.asarray(values.magnitude, float)
        return np.extract(np.isfinite(known), known)

    def matters(self, name: str | None = None) -> Indices:
        """How much each input that varies matters: its share of the variance, alone and with the others.

        Parameters
        ----------
        name : str, optional
            A result, a yes-no result or a flag; left out, whether a knife is inside.

        Returns
        -------
        Indices
            From knives of their own, `detentsim.analysis.many_builds.batch.indices.KNIVES` pairs of them.

        Raises
        ------
        InputError
            As `share`, or where the batch has no such result.
        """
        if name is None or name in self.flags:
            self.share(name)
        else:
            self[name]
        wanted = tuple(self.own) if name is None else (name,) if name in self.results else ()

        def outcome(shares: Array) -> Array:
            found = draw(self.build, self.spread, shares)
            solved = solve_all(found.record, found.excluded, wanted, None, lambda _done, _total: None)
            made = replace(self, found=found, results=solved.results, flags=solved.flags, done=solved.done)
            return np.asarray(made.inside if name is None else (made.results | made.flags)[name], float)

        return indices(outcome, tuple(doubt.name for doubt in self.spread), self.seed)

    def __getitem__(self, name: str) -> Any:
        """Return a result of each knife: a quantity in its unit, or an array of truths.

        Raises
        ------
        InputError
            Where the batch has no such result.
        """
        if name not in self.results:
            hint = suggestion(str(name), self.results) or f"; it has {', '.join(self.results)}"
            raise InputError("of", name, f"{shown(name)} is no result of this batch{hint}")
        values = self.results[name]
        return values if RESULTS[name].is_truth else quantity(values, RESULTS[name].unit)

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
        share = f"; {100 * self.share().share:.0f} % inside the target" if self.build.target else ""
        return f"<Batch of {self.build.name!r}: {len(self):,} knives, {len(self.spread)} inputs vary{share}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        return html_table(self)

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)
