"""Result of a sweep: inputs, results and flags of each design, one array axis per varied input.

`sweep` makes it; `family` solves its curves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.sweep.axis import Axis
from detentsim.analysis.many_builds.sweep.family import Family, family
from detentsim.analysis.many_builds.sweep.reading import tables
from detentsim.analysis.many_builds.sweep.reading.borders import Cut, Turns, flag_turns
from detentsim.analysis.many_builds.sweep.solving import own_results, starts
from detentsim.analysis.results import ByKey
from detentsim.analysis.share_inside import share_inside
from detentsim.knife.outcomes import OUTCOMES, SHARE_INSIDE
from detentsim.knife.record.fields import MEASURED
from detentsim.knife.target.verdict import meets
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Record, Truth


@dataclass(frozen=True, eq=False, repr=False)
class Sweep(ByKey):
    """Results of many designs, each an array with one axis per varied input.

    Attributes
    ----------
    build : Build
        Build that all designs share.
    axes : tuple of Axis
        Varied inputs, in the order given.
    results : dict of str to array
        By result name, in the unit of `detentsim.knife.outcomes.OUTCOMES`; NaN where there is none. Truths are
        boolean, false where `unknown`.
    flags : dict of str to array of bool
        By flag name.
    misfits : dict of str to array of bool
        Designs that are no knife at all, by what is wrong, in words.
    done : array of bool
        False for what Ctrl-C left unsolved.
    spare : dict of str to array
        By the name of a yes-no result of motion: what is to spare, below zero where it does not hold.
    made : Record
        Numbers of the designs as they are made, fresh; `record` holds those that were solved.
    worn : bool
        Whether the designs are worn in; `build_at` gives them as they are made, fresh.
    """

    _called = "sweep"

    build: Build
    axes: tuple[Axis, ...]
    results: dict[str, npt.NDArray[Any]]
    flags: dict[str, Truth]
    misfits: dict[str, Truth]
    done: Truth
    record: Record
    spare: dict[str, npt.NDArray[Any]]
    made: Record
    worn: bool = False

    @property
    def shape(self) -> tuple[int, ...]:
        """One length for each input varied."""
        return tuple(len(axis) for axis in self.axes)

    @property
    def size(self) -> int:
        """Number of designs."""
        return math.prod(self.shape)

    @property
    def excluded(self) -> Truth:
        """Designs whose sizes do not fit together, whatever the reason."""
        return np.asarray(np.any([np.zeros(self.shape, bool), *self.misfits.values()], axis=0))

    @property
    def aims(self) -> tuple[Target, ...]:
        """The build's targets on results that this sweep holds."""
        return tuple(wanted for wanted in self.build.target if wanted.name in self.results)

    @cached_property
    def own(self) -> dict[str, float | bool | None]:
        """Results of the build itself, in their units, worn in where the designs are; None for one it lacks."""
        own = own_results(self.build, (name for name in self.results if name != SHARE_INSIDE), self.worn)
        if SHARE_INSIDE in self.results:
            own[SHARE_INSIDE] = share_inside(self.build, self.build.target, self.start, worn=self.worn)
        return own

    @cached_property
    def start(self) -> dict[str, float | bool | None]:
        """Results of the build itself from which its wanted changes count, in their units."""
        return starts(self.build)

    @cached_property
    def meets_target(self) -> Truth:
        """Designs that meet every one of `aims`; a wanted change counts from the build as it is."""
        met = [
            meets(wanted, self.results[wanted.name], self.start.get(wanted.name)) & ~self.unknown(wanted.name)
            for wanted in self.aims
        ]
        return np.asarray(np.all([~self.excluded & self.done, *met], axis=0))

    def unknown(self, name: str) -> Truth:
        """Designs of which nobody can tell whether a yes-no result is true, such as a floating ball's flying open.

        Parameters
        ----------
        name : str
            A result; of a number none is unknown, it is NaN where there is none.

        Raises
        ------
        InputError
            Where the sweep has no such result.
        """
        self.need(name)
        return np.isnan(self.spare[name]) if name in self.spare else np.zeros(self.shape, bool)

    def __getitem__(self, name: str) -> Any:
        """Return a result as an array quantity in its unit, a truth as a boolean array.

        Raises
        ------
        InputError
            Where the sweep has no such result.
        """
        self.need(name)
        values = self.results[name]
        return values if OUTCOMES[name].is_truth else quantity(values, OUTCOMES[name].unit)

    def axis(self, name: str) -> Axis:
        """One of the inputs varied.

        Parameters
        ----------
        name : str
            Dotted name.

        Raises
        ------
        InputError
            Where it was not varied.
        """
        for axis in self.axes:
            if axis.name == name:
                return axis
        varied = ", ".join(axis.name for axis in self.axes) or "nothing"
        raise InputError("sweep", name, f"{shown(name)} was not varied; this sweep varies {varied}")

    def build_at(self, *index: int) -> Build:
        """Return the build of one design.

        Parameters
        ----------
        *index : int
            One for each input varied, as in an array.

        Returns
        -------
        Build
            A measured stiffness stands in it as the calibration it came to.

        Raises
        ------
        InputError
            For a wrong index, or where the sizes do not fit together.
        """
        index = self._place(index)
        changes: dict[str, object] = {}
        for i, axis in zip(index, self.axes, strict=True):
            changes[axis.name] = axis.column.raw(i)
        if changes.get("dimple.rim_drill") == "none":
            changes |= {"dimple.rim_feed": None, "dimple.loose_ball_height": None}
        if self.excluded[index]:
            self._refuse(index, changes)
        return self.build.change(changes | self._calibrated(index))

    def _place(self, index: tuple[object, ...]) -> tuple[int, ...]:
        """One design's place, counted from the first value of each input."""
        if len(index) != len(self.axes) or not all(hasattr(i, "__index__") for i in index):
            count = len(self.axes)
            whole = f"{count} whole number{'s' * (count != 1)}, one for each input varied"
            example = ", ".join("0" for _ in self.axes)
            raise InputError("build_at", index, f"takes {whole}, such as build_at({example})")
        place = [int(i) for i in index]  # type: ignore[call-overload]
        for i, axis in zip(place, self.axes, strict=True):
            if not -len(axis) <= i < len(axis):
                text = f"{axis.name} has {len(axis)} values; {i} is none of them; give 0 to {len(axis) - 1}"
                raise InputError("build_at", i, text)
        return tuple(i % len(axis) for i, axis in zip(place, self.axes, strict=True))

    def _refuse(self, index: tuple[int, ...], changes: dict[str, object]) -> None:
        """Raise for an excluded design, in the words of the build's own checks where one fails."""
        self.build.change(changes)
        why = " and ".join(words for words, where in self.misfits.items() if where[index])
        raise InputError("build_at", index, f"{why}; s.excluded tells which designs are knives")

    def _calibrated(self, index: tuple[int, ...]) -> dict[str, object]:
        """Changes that keep a measured bar's calibration where the bar is changed."""
        names = {axis.name for axis in self.axes}
        changed = any(name.startswith("bar.") for name in names)
        if not changed or not any(self.build[name] is not None or name in names for name in MEASURED):
            return {}
        calibration = np.broadcast_to(self.record.calibration, self.shape)[index]
        return dict.fromkeys(MEASURED) | {"bar.calibration": float(calibration)}

    def curves(self, at: object = None) -> Family:
        """Feel curves of all designs at the same blade angles.

        Parameters
        ----------
        at : array quantity, (start, stop, count) or list of angles, optional
            Blade angles; by default some hundreds from closed to a third past the last let-go.

        Returns
        -------
        Family
            Arrays of the sweep's shape with the angle on one more axis.

        Raises
        ------
        InputError
            Where the angles cannot be read, or the arrays would not fit in memory.
        """
        return family(self.record, self.excluded, at)

    def turns(self, flag: str, cut: tuple[Any, ...]) -> Turns:
        """Where a flag turns between neighbours on a plane, for drawing.

        Parameters
        ----------
        flag : str
        cut : tuple
            The fields of `borders.Cut`.
        """
        return flag_turns(self, Cut(*cut), flag)

    def to_dict(self) -> dict[str, Any]:
        """Return the sweep in the form that labelled-array libraries read (``xarray.Dataset.from_dict``)."""
        return tables.labelled(self)

    def to_records(self) -> npt.NDArray[Any]:
        """Return one row for each design: inputs, results, flags; headings carry the unit.

        Returns
        -------
        structured array, shape (size,)
            Rows as table libraries read them (``pandas.DataFrame``); None for a truth that is not known.
        """
        return tables.records(self)

    def __repr__(self) -> str:
        size = " x ".join(f"{axis.name} {len(axis)}" for axis in self.axes) or "one design"
        raised = [f"{name} {np.count_nonzero(where)}" for name, where in self.flags.items() if np.any(where)]
        flags = f"; {', '.join(raised)}" if raised else ""
        solved = "" if np.all(self.done) else f"; stopped, {np.count_nonzero(self.done):,} of {self.size:,} solved"
        return f"<Sweep of {self.build.name!r}: {size}{', worn in' * self.worn}{flags}{solved}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook: what was varied, the span of each result, what was flagged."""
        return tables.html_table(self)

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)
