"""Result of a batch: inputs, results and flags of each knife, the share inside the target, ranges, capability."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.batch.shares import Share, share_of
from detentsim.analysis.many_builds.sweep.family import Family, family
from detentsim.analysis.many_builds.sweep.solving import answer
from detentsim.analysis.results import heading, single
from detentsim.knife.outcomes import FLAGS, RESULTS, UNSOUND
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import suggestion
from detentsim.knife.table.value import SHOWN_UNITS
from detentsim.knife.target.target import ends
from detentsim.knife.target.verdict import meets
from detentsim.units.errors import InputError
from detentsim.units.quantities import factor, quantity
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Record, Truth


class Capability(NamedTuple):
    """Process capability of a result against its target band [-]; None where an end is missing.

    ``cp`` is the band over six standard deviations; ``cpk`` the nearer end's distance from the mean over three.
    """

    cp: float | None
    cpk: float | None


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
    drawn : dict of str to array, shape (n,)
        Values of the inputs that vary [SI].
    results : dict of str to array, shape (n,)
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`; NaN where there is none. Truths are boolean.
    flags : dict of str to array of bool, shape (n,)
    misfits : dict of str to array of bool, shape (n,)
        Knives whose sizes do not fit together, by what is wrong, in words.
    done : array of bool, shape (n,)
        False for what Ctrl-C left unsolved.
    """

    build: Build
    spread: tuple[Doubt, ...]
    seed: int
    drawn: dict[str, Array]
    results: dict[str, npt.NDArray[Any]]
    flags: dict[str, Truth]
    misfits: dict[str, Truth]
    done: Truth
    record: Record

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
        return MappingProxyType({name: quantity(self._shown(name), self._unit(name)) for name in self.drawn})

    def _unit(self, name: str) -> str:
        """Unit in which an input that varies is given."""
        kind = "ratio" if name == "bar.calibration" else self.build.values[name].kind
        return SHOWN_UNITS.get("length" if name == "dimple.overclose" or kind == "drill" else kind, "")

    def _shown(self, name: str) -> Array:
        return self.drawn[name] / factor(self._unit(name))

    @property
    def excluded(self) -> Truth:
        """Knives whose sizes do not fit together, whatever the reason."""
        return np.asarray(np.any([np.zeros(len(self), bool), *self.misfits.values()], axis=0))

    @property
    def aims(self) -> tuple[Target, ...]:
        """The build's targets."""
        return self.build.target

    @cached_property
    def inside(self) -> Truth:
        """Knives that meet every target and have no warning of an unsound design.

        A wanted change counts from the drawing itself. What makes no knife, or was not solved, is outside.
        """
        return np.asarray(~np.any([np.zeros(len(self), bool), *self.outside.values()], axis=0))

    @cached_property
    def outside(self) -> dict[str, Truth]:
        """Why knives are outside: target missed below or above, warning, no knife; a knife may have several.

        Keys are ``breakout_force below``, ``breakout_force above``, ``breakout_force none``, ``falls_shut``, the name
        of a flag, the words of a misfit, ``not solved``.
        """
        alive = self.done & ~self.excluded
        why: dict[str, Truth] = {}
        for wanted in self.aims:
            why |= {key: where & alive for key, where in self._missed(wanted).items()}
        why |= {name: self.flags[name] for name in UNSOUND}
        why |= self.misfits | {"not solved": ~self.done}
        return {key: where for key, where in why.items() if np.any(where)}

    def _missed(self, wanted: Target) -> dict[str, Truth]:
        values, name = self.results[wanted.name], wanted.name
        if wanted.truth is not None:
            return {name: values != wanted.truth}
        low, _ = ends(wanted, self._own(name))
        none = np.isnan(values)
        met = meets(wanted, values, self._own(name))
        below = ~none & (values < (-np.inf if low is None else low))
        return {f"{name} below": below, f"{name} above": ~met & ~none & ~below, f"{name} none": none}

    def _own(self, name: str) -> float | None:
        """A result of the drawing itself, in its unit."""
        solved = answer(assemble(plain(self.build)), (name,)).results
        return single({name: solved[name]})[name]

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
            if not self.aims:
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
        wanted = next((aim for aim in self.aims if aim.name == name), None)
        if wanted is None:
            raise InputError("capability", name, f"{shown(name)} has no target band in this build")
        low, high = ends(wanted, self._own(name))
        mean, scatter = (float(np.mean(known)), float(np.std(known, ddof=1))) if known.size > 1 else (np.nan, 0.0)
        if not scatter > 0:
            return Capability(None, None)
        room = [] if low is None else [mean - low]
        room += [] if high is None else [high - mean]
        cp = None if low is None or high is None else (high - low) / (6 * scatter)
        return Capability(cp, min(room) / (3 * scatter) if room else None)

    def _known(self, name: str) -> Array:
        values = self[name]
        if RESULTS[name].is_truth:
            raise InputError("of", name, f"{shown(name)} is true or false; ask for its share")
        known: Array = np.asarray(values.magnitude, float)
        return np.extract(np.isfinite(known), known)

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
        return family(self.record, self.excluded, at)

    def to_records(self) -> npt.NDArray[Any]:
        """Return one row for each knife: inputs, results, flags; headings carry the unit.

        Returns
        -------
        structured array, shape (n,)
            Rows as table libraries read them (``pandas.DataFrame``).
        """
        columns: dict[str, npt.NDArray[Any]] = {
            heading(name, self._unit(name)): self._shown(name) for name in self.drawn
        }
        columns |= {heading(name, RESULTS[name].unit): array for name, array in self.results.items()}
        columns |= self.flags | {"excluded": self.excluded, "inside": self.inside, "done": self.done}
        rows = np.empty(len(self), [(name, array.dtype) for name, array in columns.items()])
        for name, array in columns.items():
            rows[name] = array
        return rows

    def __repr__(self) -> str:
        share = f"; {100 * self.share().share:.0f} % inside the target" if self.aims else ""
        return f"<Batch of {self.build.name!r}: {len(self):,} knives, {len(self.spread)} inputs vary{share}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook: the share inside, what spoils the rest, the range of each result."""
        rows = []
        if self.aims:
            share, low, high = (100 * part for part in self.share())
            rows.append(("inside the target", f"{share:.1f} % ({low:.1f} to {high:.1f} %)"))
        rows += [(FLAGS.get(key, key), f"{100 * np.mean(where):.1f} %") for key, where in self.outside.items()]
        for name, values in self.results.items():
            if values.dtype == bool:
                rows.append((name, f"true for {100 * np.mean(values):.1f} %"))
            else:
                low_, high_ = self.interval(name)
                rows.append((name, f"{low_.m:.3g} to {high_.m:.3g} {RESULTS[name].unit}".rstrip()))
        body = "".join(f"<tr><th>{escape(name)}</th><td>{escape(text)}</td></tr>" for name, text in rows)
        return f"<table><caption>{escape(self.build.name)}: {len(self):,} knives, 90 % ranges</caption>{body}</table>"

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)
