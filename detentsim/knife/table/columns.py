"""Reads columns of values, each of one input that a sweep varies, and checks them against its range.

Converts a whole column to SI at once. `record` combines the columns with a build.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.table.schema import INPUTS, Input, unknown_input
from detentsim.knife.table.value import Value, as_text
from detentsim.knife.table.values import limits, read_value, to_raw
from detentsim.units.convert import to_si_array
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.quantities import quantity
from detentsim.units.wording import is_quantity, shown

LONGEST = 5_000_000
"""Most values of one column."""

# Marks the place of an example in a message.
_HERE = "\0"


@dataclass(frozen=True, eq=False)
class Column:
    """Values of one input, in the order given.

    Attributes
    ----------
    name : str
        Dotted name of the input.
    si : array, shape (n,)
        SI values; NaN for words.
    kinds : tuple of str
        Kind of each value, or one kind for all.
    texts : tuple of str or None
        As typed; None for a range or an array, whose values are numbers.
    """

    name: str
    si: npt.NDArray[np.float64]
    kinds: tuple[str, ...]
    texts: tuple[str, ...] | None

    def __len__(self) -> int:
        return len(self.si)

    def kind(self, index: int) -> str:
        """Return the kind of one value.

        Examples
        --------
        >>> column, = read_columns({"bar.bend": ["1 mm", "2 mm"]})
        >>> column.kind(1)
        'length'
        """
        return self.kinds[0] if len(self.kinds) == 1 else self.kinds[index]

    def raw(self, index: int) -> str | float:
        """Return one value as typed; a plain number for a ratio that is no named state.

        Examples
        --------
        >>> column, = read_columns({"bar.bend": ["1 mm", "2 mm"]})
        >>> column.raw(1)
        '2 mm'
        """
        kind = self.kind(index)
        named = self.texts is not None and self.texts[index] in INPUTS[self.name].choices
        if kind == "ratio" and not named:
            return float(self.si[index])
        return self.texts[index] if self.texts is not None else as_text(float(self.si[index]), kind)

    def value(self, index: int) -> Value:
        """Return one value as an input of a build.

        Examples
        --------
        >>> column, = read_columns({"bar.bend": ["1 mm", "2 mm"]})
        >>> column.value(1).si
        0.002
        """
        return read_value(INPUTS[self.name], self.raw(index))

    @property
    def is_scale(self) -> bool:
        """Whether its values are sizes along one scale rather than words or stock sizes."""
        listed = {"drill", "material", "choice", "text"} & set(self.kinds)
        return not listed and len(set(self.kinds)) == 1


def read_columns(vary: object, *, typed: bool = False) -> tuple[Column, ...]:
    """Read the columns of a sweep.

    Parameters
    ----------
    vary : mapping
        By dotted input name: ``(start, stop, whole count)``, a list of values, or an array quantity.
    typed : bool
        Whether it came from a command line; examples in messages then have that form.

    Returns
    -------
    tuple of Column
        In the order given.

    Raises
    ------
    BuildError
        With every problem, one line each.

    Examples
    --------
    >>> [c.si.tolist() for c in read_columns({"bar.bend": ("1 mm", "2 mm", 3)})]
    [[0.001, 0.0015, 0.002]]
    """
    if not isinstance(vary, Mapping):
        text = f'{shown(vary)} names no inputs; give a mapping such as {{"bar.bend": ("1 mm", "2 mm", 11)}}'
        raise BuildError([Problem("", None, "vary", text)])
    columns, problems = [], []
    for name, given in vary.items():
        try:
            columns.append(_column(name, given))
        except InputError as error:
            known = isinstance(name, str) and name in INPUTS
            text = error.problem.replace(_HERE, _example(INPUTS[name], typed)) if known else error.problem
            problems.append(Problem("", None, str(name), text))
    if problems:
        raise BuildError(problems)
    return tuple(columns)


def _column(name: object, given: object) -> Column:
    if not isinstance(name, str) or name not in INPUTS:
        raise InputError(str(name)[:80], given, unknown_input(name))
    entry = INPUTS[name]
    if entry.kinds == ("text",) or name in ("hand", "units", "stock"):
        raise InputError(name, given, "changes no number; vary a size, a drill, a material or a coefficient")
    if isinstance(given, tuple):
        return _range(entry, given)
    if is_quantity(given) and np.ndim(given.magnitude):  # type: ignore[attr-defined]
        return _array(entry, given)
    if isinstance(given, np.ndarray) and given.ndim == 1:
        if "ratio" in entry.kinds and given.size and given.dtype.kind in "iuf":
            return _array(entry, quantity(given.astype(float), ""))
        given = list(given)
    if not isinstance(given, list):
        raise InputError(name, given, f"{shown(given)} is no range and no list of values; give {_HERE}")
    if not given:
        raise InputError(name, given, f"the list is empty; give {_HERE}")
    return _list(entry, given)


def _example(entry: Input, typed: bool) -> str:
    """Return examples of columns, as in a program or as typed at a command line."""
    value = f'"{entry.example}"' if isinstance(entry.example, str) else f"{entry.example:g}"
    listed = f'"{entry.name}={entry.example}"' if typed else f"[{value}]"
    if not _kinds(entry) or entry.example in entry.choices:
        return f"a list such as {listed}"
    farther = _farther(entry)
    if typed:
        return f'a range such as "{entry.name}={entry.example}:{farther.strip(chr(34))}:11", or a list such as {listed}'
    return f"a range (start, stop, whole count) such as ({value}, {farther}, 11), or a list such as {listed}"


def _farther(entry: Input) -> str:
    """Return an end for a range that starts at the input's example."""
    example = _value(entry, entry.example)
    end = min(1.5 * example.si, limits(entry, example.kind)[1])
    return f"{end:.4g}" if example.kind == "ratio" else f'"{as_text(end, example.kind)}"'


def _kinds(entry: Input) -> tuple[str, ...]:
    """Return the kinds of an input that lie along a scale; drills come in listed sizes only."""
    return tuple(kind for kind in entry.kinds if kind in KINDS)


def _range(entry: Input, given: tuple[object, ...]) -> Column:
    if not _kinds(entry):
        raise InputError(entry.name, given, f"takes no range; give {_HERE}")
    if len(given) != 3:
        raise InputError(entry.name, given, f"a tuple of {len(given)} is no range; give {_HERE}")
    first, last = (_value(entry, end) for end in given[:2])
    if math.isnan(first.si) or math.isnan(last.si) or first.kind != last.kind:
        raise InputError(entry.name, given, f"a range runs between two sizes of one kind; give {_HERE}")
    return Column(entry.name, np.linspace(first.si, last.si, _count(entry, given[2])), (first.kind,), None)


def _count(entry: Input, given: object) -> int:
    try:
        count = operator.index(given) if not isinstance(given, bool) else 0  # type: ignore[arg-type]
    except TypeError:
        count = 0
    if not 1 <= count <= LONGEST:
        text = f"{shown(given)} is no count of values; give a whole number from 1 to {LONGEST:,}, such as 11"
        raise InputError(entry.name, given, text)
    return count


def _value(entry: Input, given: object) -> Value:
    return read_value(entry, to_raw(entry, given))


def _list(entry: Input, given: list[object]) -> Column:
    if len(given) > LONGEST:
        raise InputError(entry.name, given, f"{len(given):,} values are too many; give at most {LONGEST:,}")
    values = [_value(entry, item) for item in given]
    kinds = {value.kind for value in values}
    si = np.array([value.si for value in values])
    return Column(
        entry.name,
        si,
        (values[0].kind,) if len(kinds) == 1 else tuple(value.kind for value in values),
        tuple(value.text for value in values),
    )


def _array(entry: Input, given: object) -> Column:
    """Return the column of an array quantity; its ends are checked against the range."""
    problem: InputError | None = None
    drill = "drill" in entry.kinds
    for kind in _kinds(entry) or ("length",) * drill:
        try:
            si = to_si_array(given, kind, entry.name)
        except InputError as error:
            problem = problem or error
            continue
        kind = "drill" if drill else kind
        low, high = limits(entry, kind)
        if si.min() < low or si.max() > high:
            worst = si.min() if si.min() < low else si.max()
            read_value(entry, float(worst) if kind == "ratio" else as_text(float(worst), kind))
        return Column(entry.name, si, (kind,), None)
    raise problem or InputError(entry.name, given, f"takes no array; give {_HERE}")


def parse_column(text: str, field: str = "--vary") -> tuple[str, object]:
    """Read the name and values of a column from one word of a command line.

    Parameters
    ----------
    text : str
        ``NAME=START:STOP:COUNT`` for a range, ``NAME=ONE,OTHER,...`` for a list.
    field : str
        Name of the option in messages.

    Returns
    -------
    tuple of str and object
        Name and values, as `read_columns` takes them.

    Raises
    ------
    InputError
        When it is neither.

    Examples
    --------
    >>> parse_column("bar.bend=1 mm:3 mm:21"), parse_column("dimple.rim_drill=1.9 mm, #48")
    (('bar.bend', ('1 mm', '3 mm', 21)), ('dimple.rim_drill', ['1.9 mm', '#48']))
    """
    name, equals, values = (part.strip() for part in text.partition("="))
    example = '"bar.bend=1 mm:3 mm:21" or "dimple.rim_drill=1.9 mm,#48"'
    if not equals or not name or not values:
        raise InputError(field, text, f"{shown(text)} names no input with values; write {example}")
    plain = name in INPUTS and INPUTS[name].kinds == ("ratio",)
    if ":" not in values:
        return name, [_typed(word.strip(), plain) for word in values.split(",")]
    ends = [word.strip() for word in values.split(":")]
    if len(ends) != 3:
        raise InputError(field, text, f"{shown(text)} is no range; write NAME=START:STOP:COUNT such as {example}")
    if not ends[2].isascii() or not ends[2].isdigit() or len(ends[2]) > 9:
        number = f"a whole number from 1 to {LONGEST:,}, such as {name}={ends[0]}:{ends[1]}:11"
        raise InputError(field, text, f"{shown(ends[2])} is no count of values; give {number}")
    return name, (_typed(ends[0], plain), _typed(ends[1], plain), int(ends[2]))


def _typed(word: str, plain: bool) -> str | float:
    """Return a word in the form the input takes: a plain number for a ratio."""
    try:
        return float(word) if plain else word
    except ValueError:
        return word
