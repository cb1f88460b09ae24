"""Results by name: from SI numbers to their own units, by attribute and by key."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.missing import why_missing
from detentsim.knife.outcomes import OUTCOMES, RESULTS
from detentsim.knife.table.schema import suggestion
from detentsim.mechanics.names import ALL_NAMES, LIMIT_NAMES, MOTION_NAMES
from detentsim.units.errors import InputError
from detentsim.units.quantities import factor, quantity
from detentsim.units.wording import shown

SPARES = {"opens_fully": "opening_spare", "falls_shut": "closing_spare"}
"""Result that tells how far a yes-no result is from turning: above zero where that is true."""

Told = Mapping[str, "float | bool | None"]
"""Results by name in their units; truths as such, None where there is none."""


class AllResults(Told):
    """All results of one of several designs; what is not known yet is solved, for all of them, when it is asked for.

    Parameters
    ----------
    known : mapping of str to float, bool or None
        What the report shows, at least.
    solve : callable
        Gives all results of every design.
    number : int
        Of this design among them.
    """

    def __init__(self, known: Told, solve: Callable[[], Sequence[Told]], number: int) -> None:
        self._known, self._solve, self._number = known, solve, number

    def __getitem__(self, name: str) -> float | bool | None:
        return self._known[name] if name in self._known else self._solve()[self._number][name]

    def __contains__(self, name: object) -> bool:
        return name in ALL_NAMES

    def __iter__(self) -> Iterator[str]:
        return iter(ALL_NAMES)

    def __len__(self) -> int:
        return len(ALL_NAMES)

    def __reduce__(self) -> tuple[Any, ...]:
        """Return what a pickle or a deep copy holds: every result, solved, since a recipe is neither."""
        return dict, (dict(self),)


class Named:
    """Gives each of `results` as a quantity in its unit, a truth, or None where there is none."""

    results: Mapping[str, float | bool | None]
    flags: tuple[str, ...]

    def __getattr__(self, name: str) -> Any:
        """Return a result by name."""
        if name not in self.__dict__.get("results", {}):
            raise AttributeError(self._no_result(name))
        return self[name]

    def __getitem__(self, name: str) -> Any:
        """Return a result as a quantity in its unit or a truth, None where there is none.

        Raises
        ------
        KeyError
            Where there is no such result; it names one like it, what gives it, or those there are.
        """
        if name not in self.results:
            raise KeyError(self._no_result(name))
        value = self.results[name]
        return value if value is None or isinstance(value, bool) else quantity(value, RESULTS[name].unit)

    def __iter__(self) -> Iterator[str]:
        return iter(self.results)

    def __dir__(self) -> list[str]:
        return [*super().__dir__(), *self.results]

    def why(self, name: str) -> str:
        """Reason in words why a result has no value; empty where it has one.

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            For a name that is no result here.
        """
        return self._why(name) if self._value("why", name) is None else ""

    def _why(self, name: str) -> str:
        return why_missing(name, self.flags)

    def _value(self, asked: str, name: str) -> float | bool | None:
        if name not in self.results:
            raise InputError(asked, name, f"{shown(name)} is no result{self._hint(name)}")
        return self.results[name]

    def _no_result(self, name: object) -> str:
        return f"no result {name!r}{self._hint(name)}"

    def _hint(self, name: object) -> str:
        """What to ask for instead of a name that is no result here."""
        if name in RESULTS:
            by = "limits" if name in LIMIT_NAMES else "motion" if name in MOTION_NAMES else "curve"
            return f" here; ds.{by}(build) gives it"
        known = self.__dict__.get("results", {})
        return suggestion(str(name), known) or "; there are " + ", ".join(known)

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)


class ByKey:
    """Results of many designs, by key alone: an attribute named like a result says so, and `in` asks for one."""

    results: Mapping[str, Any]

    _called = "batch"

    __iter__ = None

    def __contains__(self, name: object) -> bool:
        return name in self.results

    def need(self, name: str) -> None:
        """Refuse a name that is no result of these designs, and say what they have instead.

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
        """
        if name not in self.results:
            hint = suggestion(str(name), self.results) or f"; it has {', '.join(self.results)}"
            raise InputError("of", name, f"{shown(name)} is no result of this {self._called}{hint}")

    if not TYPE_CHECKING:  # a type checker knows the attributes that there are

        def __getattr__(self, name: str) -> Any:
            hint = f'; results are items, like ["{name}"]' if name in OUTCOMES else ""
            raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}{hint}")


Results = dict[str, float | None]


def in_unit(name: str, si: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """SI value of a result converted to the unit it is reported in.

    Parameters
    ----------
    name : str
        Result name.
    si : array_like
        [SI], any shape.

    Returns
    -------
    array
        Same shape.
    """
    unit = "" if RESULTS[name].is_truth else RESULTS[name].unit
    return np.asarray(si, float) / (factor(unit) if unit else 1.0)


def heading(name: str, unit: str) -> str:
    """Heading of a column in a table file: the name and its unit.

    Parameters
    ----------
    name, unit : str

    Examples
    --------
    >>> heading("breakout_torque", "N*mm"), heading("bar_stiffness", "N/mm"), heading("carry_g", "")
    ('breakout_torque_Nmm', 'bar_stiffness_N_per_mm', 'carry_g')
    """
    plain = unit.replace("**", "").replace("*", "").replace("/", "_per_")
    return f"{name}_{plain}" if plain and plain != "truth" else name


def table_rows(columns: Mapping[str, npt.NDArray[Any]]) -> npt.NDArray[Any]:
    """Columns of one shape as a structured array, one row for each element.

    Parameters
    ----------
    columns : mapping of str to array
        By heading.

    Examples
    --------
    >>> table_rows({"bend_mm": np.array([1.5, 2.0]), "floats": np.array([True, False])}).tolist()
    [(1.5, True), (2.0, False)]
    """
    size = next(iter(columns.values())).size
    rows = np.empty(size, [(name, array.dtype) for name, array in columns.items()])
    for name, array in columns.items():
        rows[name] = array.ravel()
    return rows


def span_words(name: str, array: npt.NDArray[Any]) -> str:
    """Range of a result over many designs, or of how many it is true, in words.

    Parameters
    ----------
    name : str
    array : array
        In the result's unit; NaN where there is none.

    Examples
    --------
    >>> span_words("breakout_force", np.array([9.0, np.nan, 12.0]))
    '9 to 12 N'
    """
    if OUTCOMES[name].is_truth:
        return f"true for {np.count_nonzero(array)} of {array.size}"
    known = array[np.isfinite(array)]
    if not known.size:
        return "none"
    low, high = f"{known.min():.3g}", f"{known.max():.3g}"
    return f"{low if low == high else f'{low} to {high}'} {OUTCOMES[name].unit}".rstrip()


def number(numbers: Mapping[str, npt.ArrayLike], name: str) -> float:
    """One plain number of a build [SI]; NaN where it is not given.

    Parameters
    ----------
    numbers : mapping
        As `detentsim.knife.record.record.plain` gives them.
    name : str
        Dotted name.
    """
    return float(np.asarray(numbers.get(name, np.nan)))


def raised(flags: Mapping[str, npt.NDArray[np.bool_]]) -> tuple[str, ...]:
    """Names of the flags that one design carries.

    Parameters
    ----------
    flags : mapping
        By name, of one design, 0-d or of one element.

    Returns
    -------
    tuple of str
        In the order of the flags.
    """
    return tuple(name for name, hit in flags.items() if np.all(hit))


def single(results: Mapping[str, npt.ArrayLike]) -> Results:
    """Results of one design in their own units, truths as 0 and 1; None for a missing one.

    Parameters
    ----------
    results : mapping
        By name, 0-d [SI].
    """
    values = {name: float(in_unit(name, value)) for name, value in results.items()}
    return {name: value if np.isfinite(value) else None for name, value in values.items()}


def told(name: str, value: npt.ArrayLike) -> float | bool | None:
    """One result as an answer: a truth as one, None where there is no value.

    Parameters
    ----------
    name : str
    value : array_like, 0-d or of one element
        In the result's unit; a truth as 0 or 1.

    Examples
    --------
    >>> told("falls_shut", 1.0), told("opens_fully", np.nan), told("draw_torque", [40.0])
    (True, None, 40.0)
    """
    number = float(np.asarray(value, float).item())
    if not np.isfinite(number):
        return None
    return number > 0 if RESULTS[name].is_truth else number
