"""Many designs at once: any inputs varied, every result by name, in the shape of what was varied."""

from __future__ import annotations

import math
import sys
import time
import warnings
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

import numpy as np
import numpy.typing as npt

from detentsim.build.columns import Column, read_columns
from detentsim.build.model import Build
from detentsim.build.outcomes import FLAGS, RESULTS
from detentsim.build.problems import BuildError, Problem
from detentsim.build.record import MEASURED, assemble, plain, swept
from detentsim.build.schema import suggestion
from detentsim.build.target import Target, meets
from detentsim.build.values import SHOWN_UNITS, Value
from detentsim.mechanics.record import Array, Record, Truth
from detentsim.mechanics.response import RESULT_NAMES
from detentsim.shop.units import InputError, factor, quantity
from detentsim.shop.wording import shown

from .blocks import Answers, Place, Progress, answer, solve, view_of
from .family import Family, family
from .numbers import heading, in_unit, single

NAMED_ONLY = ("falls_shut",)
"""Results given only when asked for by name."""

MOST_DESIGNS = 50_000_000
"""Designs of one sweep: what its results take must fit in memory."""

_BLADE = ("blade.mass", "blade.balance_radius")


@dataclass(frozen=True, eq=False)
class Axis:
    """One input along one axis of a sweep.

    Attributes
    ----------
    column : Column
        Its values as read.
    own : Value or None
        The build's own value; None where it has none.
    """

    column: Column
    own: Value | None

    def __len__(self) -> int:
        return len(self.column)

    @property
    def name(self) -> str:
        """Dotted name of the input."""
        return self.column.name

    @property
    def unit(self) -> str:
        """Unit of `values`; empty for a ratio and for words."""
        return SHOWN_UNITS.get(self.column.kind(0), "")

    @property
    def is_scale(self) -> bool:
        """Whether the values lie along a scale, rather than being bought one by one or words."""
        return self.column.is_scale

    @cached_property
    def values(self) -> Array:
        """Values in `unit`, the diameter of a drill, or 0, 1, 2 ... for words; shape (n,)."""
        words = bool(np.any(np.isnan(self.column.si)))
        return np.arange(len(self), dtype=float) if words else self.column.si / self._scale

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """Each value as text."""
        return tuple(str(self.column.raw(i)) for i in range(len(self)))

    @property
    def here(self) -> float:
        """The build's own value in `unit`, or a word's place among the values; NaN where it has none."""
        if self.own is None or self.own.kind not in self.column.kinds:
            return math.nan
        if np.any(np.isnan(self.column.si)):
            return float(self.labels.index(self.own.text)) if self.own.text in self.labels else math.nan
        return self.own.si / self._scale

    @property
    def _scale(self) -> float:
        return factor(self.unit) if self.unit else 1.0


@dataclass(frozen=True, eq=False, repr=False)
class Sweep:
    """Results of many designs, each an array in the shape of what was varied.

    Attributes
    ----------
    build : Build
        What every design has in common.
    axes : tuple of Axis
        What was varied, in the order given.
    results : dict of str to array
        By result name, in the unit of `detentsim.build.outcomes.RESULTS`; NaN where there is none. Truths are
        boolean.
    flags : dict of str to array of bool
        By flag name.
    misfits : dict of str to array of bool
        Designs that are no knife at all (a relief thicker than its bar), by what is wrong, in words.
    done : array of bool
        False for what Ctrl-C left unsolved.
    """

    build: Build
    axes: tuple[Axis, ...]
    results: dict[str, npt.NDArray[Any]]
    flags: dict[str, Truth]
    misfits: dict[str, Truth]
    done: Truth
    record: Record

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
        """Results of the build as it is, in their units; None for one it has not."""
        found = answer(assemble(plain(self.build)), tuple(self.results)).results
        numbers = single({name: value for name, value in found.items() if not RESULTS[name].is_truth})
        return {name: numbers[name] if name in numbers else bool(value) for name, value in found.items()}

    @cached_property
    def meets_target(self) -> Truth:
        """Designs that meet every one of `aims`; a wanted change counts from the build as it is."""
        start = self.own if any(wanted.change is not None for wanted in self.aims) else {}
        met = [meets(wanted, self.results[wanted.name], start.get(wanted.name)) for wanted in self.aims]
        return np.asarray(np.all([~self.excluded & self.done, *met], axis=0))

    def __getitem__(self, name: str) -> Any:
        """Return a result as an array quantity in its unit, a truth as a boolean array.

        Raises
        ------
        InputError
            Where the sweep has no such result.
        """
        if name not in self.results:
            hint = suggestion(str(name), self.results) or f"; it has {', '.join(self.results)}"
            raise InputError("of", name, f"{shown(name)} is no result of this sweep{hint}")
        found = self.results[name]
        return found if RESULTS[name].is_truth else quantity(found, RESULTS[name].unit)

    def axis(self, name: str) -> Axis:
        """One of the inputs varied.

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
        """Say why a design is no knife, in the words of a build's own checks where they see it."""
        self.build.change(changes)
        why = " and ".join(words for words, where in self.misfits.items() if where[index])
        raise InputError("build_at", index, f"{why}; s.excluded tells which designs are knives")

    def _calibrated(self, index: tuple[int, ...]) -> dict[str, object]:
        """Changes that keep a measured bar's calibration whatever else is changed."""
        if not any(self.build[name] is not None or name in {c.name for c in self.axes} for name in MEASURED):
            return {}
        found = np.broadcast_to(self.record.calibration, self.shape)[index]
        return dict.fromkeys(MEASURED) | {"bar.calibration": float(found)}

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

    def to_dict(self) -> dict[str, Any]:
        """Return the sweep in the form that labelled-array libraries read (``xarray.Dataset.from_dict``)."""
        dims = tuple(axis.name for axis in self.axes)
        coords: dict[str, Any] = {}
        for axis in self.axes:
            data = axis.values if axis.is_scale else list(axis.labels)
            coords[axis.name] = {
                "dims": (axis.name,),
                "data": data,
                "attrs": _units(axis.unit if axis.is_scale else ""),
            }
        data_vars = {
            name: {
                "dims": dims,
                "data": array,
                "attrs": _units(RESULTS[name].unit) | {"long_name": RESULTS[name].meaning},
            }
            for name, array in self.results.items()
        }
        data_vars |= {
            n: {"dims": dims, "data": array, "attrs": {"long_name": FLAGS[n]}} for n, array in self.flags.items()
        }
        data_vars["done"] = {"dims": dims, "data": self.done, "attrs": {"long_name": "solved, or no knife at all"}}
        data_vars["excluded"] = {
            "dims": dims,
            "data": self.excluded,
            "attrs": {"long_name": "sizes do not fit together"},
        }
        return {
            "coords": coords,
            "data_vars": data_vars,
            "attrs": {"build": self.build.name},
            "dims": dict(zip(dims, self.shape, strict=True)),
        }

    def to_records(self) -> npt.NDArray[Any]:
        """Return one row for each design: inputs, results, flags; headings carry the unit.

        Returns
        -------
        structured array, shape (size,)
            What a table library reads as it is (``pandas.DataFrame``).
        """
        columns: dict[str, npt.NDArray[Any]] = {}
        for i, axis in enumerate(self.axes):
            values = axis.values if axis.is_scale else np.array(axis.labels)
            laid = values.reshape([-1 if j == i else 1 for j in range(len(self.axes))])
            columns[heading(axis.name, axis.unit if axis.is_scale else "")] = np.broadcast_to(laid, self.shape)
        columns |= {heading(name, RESULTS[name].unit): array for name, array in self.results.items()}
        columns |= self.flags | {"excluded": self.excluded, "done": self.done}
        rows = np.empty(self.size, [(name, array.dtype) for name, array in columns.items()])
        for name, array in columns.items():
            rows[name] = array.ravel()
        return rows

    def __repr__(self) -> str:
        size = " x ".join(f"{axis.name} {len(axis)}" for axis in self.axes) or "one design"
        raised = [f"{name} {np.count_nonzero(where)}" for name, where in self.flags.items() if np.any(where)]
        flags = f"; {', '.join(raised)}" if raised else ""
        solved = "" if np.all(self.done) else f"; stopped, {np.count_nonzero(self.done):,} of {self.size:,} solved"
        return f"<Sweep of {self.build.name!r}: {size}{flags}{solved}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook: what was varied, the span of each result, what was flagged."""
        ends = [(axis, [axis.column.raw(i) for i in (0, -1)]) for axis in self.axes]
        rows = [(axis.name, f"{len(axis)}: {' to '.join(map(str, two))}") for axis, two in ends]
        rows += [(name, _span(name, array)) for name, array in self.results.items()]
        raised = {**self.flags, **self.misfits, "not solved": ~self.done}
        rows += [(n, f"{np.count_nonzero(w)} of {self.size}") for n, w in raised.items() if np.any(w)]
        body = "".join(f"<tr><th>{escape(name)}</th><td>{escape(text)}</td></tr>" for name, text in rows)
        return f"<table><caption>{escape(self.build.name)}: {self.size:,} designs</caption>{body}</table>"

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)


def _units(unit: str) -> dict[str, str]:
    return {"units": unit} if unit and unit != "truth" else {}


def _span(name: str, array: npt.NDArray[Any]) -> str:
    if RESULTS[name].is_truth:
        return f"true for {np.count_nonzero(array)} of {array.size}"
    known = array[np.isfinite(array)]
    if not known.size:
        return "none"
    low, high = f"{known.min():.3g}", f"{known.max():.3g}"
    return f"{low if low == high else f'{low} to {high}'} {RESULTS[name].unit}".rstrip()


def sweep(
    build: Build,
    vary: Mapping[str, object],
    of: Sequence[str] | str | None = None,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    typed: bool = False,
) -> Sweep:
    """Solve a build with any number of inputs varied, every combination of their values.

    Parameters
    ----------
    build : Build
        What stays as it is.
    vary : mapping
        By dotted input name: ``(start, stop, whole count)``, a list of values, or an array quantity. Drills,
        materials and words by list.
    of : sequence of str, optional
        Results to give; all static ones by default. `falls_shut` (standing still) only when named.
    executor : Executor, optional
        Where to solve the blocks: a process pool, or a cluster's; here without one.
    progress : callable, optional
        Told ``(designs done, of how many)``; by default a line on standard error where that is a terminal.
    typed : bool
        Whether the request came from a command line, so that examples in messages can be typed there.

    Returns
    -------
    Sweep
        Ctrl-C ends it early with a warning; what was solved is kept and `done` tells which.

    Raises
    ------
    InputError
        With everything that is wrong with the request, one line each; never for a design that makes no knife.

    Examples
    --------
    >>> from detentsim.build.model import demo
    >>> s = sweep(demo(), {"dimple.rim_feed": ("0 mm", "0.15 mm", 4), "bar.bend": ["2 mm", "2.6 mm"]})
    >>> s["breakout_force"].shape, bool(s.flags["floats"].any())
    ((4, 2), False)
    """
    columns, wanted = _request(build, vary, of, typed)
    shape = tuple(len(column) for column in columns)
    if math.prod(shape) > MOST_DESIGNS:
        text = f"{math.prod(shape):,} designs are too many; at most {MOST_DESIGNS:,}: give fewer values"
        raise InputError("sweep", vary, text)
    laid = swept(build, columns)
    record = assemble(laid.numbers)
    misfits = {words: np.broadcast_to(where, shape) for words, where in laid.misfits.items()}
    results: dict[str, npt.NDArray[Any]] = {name: _blank(name, shape) for name in wanted}
    flags = {name: np.zeros(shape, bool) for name in FLAGS}
    excluded = np.any([np.zeros(shape, bool), *misfits.values()], axis=0)
    done = np.array(excluded)

    def keep(place: Place, chosen: Truth | None, found: Answers) -> None:
        where = ... if chosen is None else chosen
        for name in wanted:
            results[name][view_of(place)][where] = in_unit(name, found.results[name])
        for name in FLAGS:
            flags[name][view_of(place)][where] = found.flags[name]
        done[place] = True

    if not solve(record, excluded, wanted, keep, executor, progress or _told()):
        warnings.warn(f"stopped: {np.count_nonzero(done):,} of {done.size:,} designs are solved", stacklevel=2)
    axes = tuple(Axis(column, build[column.name]) for column in columns)
    return Sweep(build, axes, results, flags, misfits, done, record)


def _request(
    build: object, vary: object, of: Sequence[str] | str | None, typed: bool
) -> tuple[tuple[Column, ...], tuple[str, ...]]:
    """What to vary and what to give, or everything that is wrong with either."""
    if not isinstance(build, Build):
        raise InputError("build", build, f'{shown(build)} is no build; read one with ds.Build.read("mine.toml")')
    problems: list[Problem] = []
    columns: tuple[Column, ...] = ()
    try:
        columns = read_columns(vary, typed=typed)
    except BuildError as error:
        problems += error.problems
    names = _names(of)
    given = {name for name in _BLADE if build[name] is not None or (isinstance(vary, Mapping) and name in vary)}
    problems += [Problem("", None, "of", text) for text in _unanswered(given, names)]
    if problems:
        raise BuildError(problems)
    return columns, tuple(dict.fromkeys(str(name) for name in names))


def _names(of: object) -> tuple[object, ...]:
    """The results asked for, as given."""
    if of is None:
        return RESULT_NAMES
    return tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)


def _unanswered(given: set[str], names: tuple[object, ...]) -> Iterator[str]:
    """What is wrong with the results asked for."""
    known = (*RESULT_NAMES, *NAMED_ONLY)
    yield from (f"{shown(name)} is no result of a sweep{_near(name)}" for name in names if name not in known)
    missing = [name for name in _BLADE if name not in given]
    if "falls_shut" in names and missing:
        yield f'falls_shut needs {" and ".join(missing)}, such as "24 gram" at "34 mm"'


def _near(name: object) -> str:
    known = (*RESULT_NAMES, *NAMED_ONLY)
    if str(name) in FLAGS:
        return "; it is a flag, and every flag is given whatever results are asked for"
    return suggestion(str(name), known) or f"; there are {', '.join(known)}"


def _blank(name: str, shape: tuple[int, ...]) -> npt.NDArray[Any]:
    return np.zeros(shape, bool) if RESULTS[name].is_truth else np.full(shape, np.nan)


def _told() -> Progress:
    """A line on a terminal for work that takes more than a moment; silent elsewhere."""
    start = time.monotonic()
    seen = sys.stderr is not None and sys.stderr.isatty()

    def tell(done: int, total: int) -> None:
        if seen and time.monotonic() - start > 1.0:
            end = "\n" if done == total else ""
            print(f"\r{done:,} of {total:,} designs", end=end, file=sys.stderr, flush=True)

    return tell
