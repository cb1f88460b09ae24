"""Converts one input or a list of inputs, as text or quantity, to SI floats.

Text is read by `detentsim.units.grammar`; pint only supplies the factor of a listed unit name. Importing this
module loads neither pint nor numpy. It must not know which inputs exist: callers pass the field's name.
"""

from __future__ import annotations

import math
import numbers
from typing import TYPE_CHECKING

from detentsim.units.errors import InputError
from detentsim.units.grammar import Mistake, split_text, split_unit
from detentsim.units.kinds import KINDS, dimensions_of
from detentsim.units.quantities import from_quantity, plain_float, si_magnitude, unit_factor
from detentsim.units.wording import advice, is_quantity, shown, unit_hint

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


def to_si(value: object, kind: str, field: str, example: str | None = None) -> float:
    """Return one input in SI units.

    Parameters
    ----------
    value : str, quantity, or (for a ratio) a plain number
        Text such as ``"30 thou"``, or a pint quantity from any registry.
    kind : str
        Key of `KINDS`.
    field : str
        Name of the input, for the message.
    example : str, optional
        A valid text, for the message; the kind's own by default.

    Returns
    -------
    float
        The value in the kind's SI unit [m, rad, N, Pa, kg ...], finite.

    Raises
    ------
    InputError
        For anything else, in one sentence.

    Examples
    --------
    >>> f"{to_si('1 1/2 in', 'length', 'bar.width'):.4f}"
    '0.0381'
    >>> to_si("3", "time", "finger.pause")
    Traceback (most recent call last):
        ...
    detentsim.units.errors.InputError: finger.pause: "3" has no unit; give a time such as "0.5 s" (s, ms, min)
    """
    return to_si_either(value, (kind,), field, example)[1]


def to_si_either(value: object, kinds: tuple[str, ...], field: str, example: str | None = None) -> tuple[str, float]:
    """Return kind and SI value of an input that may be of several kinds.

    Parameters
    ----------
    value : object
        As for `to_si`.
    kinds : tuple of str
        Keys of `KINDS`; the first one that fits is taken.
    field, example : str
        As for `to_si`.

    Returns
    -------
    tuple of str and float
        The kind, and the value in that kind's SI unit.

    Raises
    ------
    InputError
        When no kind fits; the message names them all.

    Examples
    --------
    >>> kind, size = to_si_either("0.5 deg", ("length", "angle"), "dimple.overclose")
    >>> kind, round(size, 6)
    ('angle', 0.008727)
    """
    try:
        kind, size = read_si(value, kinds)
    except Mistake as mistake:
        raise InputError(field, value, f"{shown(value)} {mistake}; give {advice(kinds, example)}") from None
    return kind, size


def to_si_array(value: object, kind: str, field: str) -> npt.NDArray[np.float64]:
    """Return a list of inputs in SI units.

    Parameters
    ----------
    value : list or tuple of inputs, array quantity, or one input
        Each element as for `to_si`; for a ratio also a plain array.
    kind, field : str
        As for `to_si`.

    Returns
    -------
    ndarray of float, shape (n,)
        The values in the kind's SI unit.

    Raises
    ------
    InputError
        When an element is invalid, the list is empty, or an array has more than one axis.

    Examples
    --------
    >>> to_si_array(["1 mm", "2 mm"], "length", "bar.bend").tolist()
    [0.001, 0.002]
    """
    import numpy as np

    if is_quantity(value):
        return _array_from_quantity(value, kind, field)
    if isinstance(value, np.ndarray) and value.ndim > 1:
        raise InputError(field, value, f"has an array of {value.ndim} axes; give a plain list of values")
    listed = isinstance(value, (list, tuple)) or (isinstance(value, np.ndarray) and value.ndim == 1)
    items: list[object] = list(value) if listed else [value]  # type: ignore[call-overload]
    if not items:
        raise InputError(field, value, f"the list is empty; give at least one value, {advice((kind,), None)}")
    return np.array([to_si(item, kind, field) for item in items], dtype=float)


def _array_from_quantity(value: object, kind: str, field: str) -> npt.NDArray[np.float64]:
    """Return the SI values of a quantity of at most one axis."""
    import numpy as np

    try:
        values = np.atleast_1d(np.asarray(si_magnitude(value, (kind,))[1], dtype=float))
        if values.ndim > 1 or not values.size or not np.isfinite(values).all():
            raise Mistake("is not one plain list of finite values")
    except (Mistake, TypeError, ValueError) as why:
        problem = why if isinstance(why, Mistake) else "does not hold plain numbers"
        raise InputError(field, value, f"{shown(value)} {problem}; give {advice((kind,), None)}") from None
    return values


def read_si(value: object, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of one input, for callers that write the message themselves.

    Parameters
    ----------
    value : object
        As for `to_si`.
    kinds : tuple of str
        Keys of `KINDS`.

    Returns
    -------
    tuple of str and float
        The kind that fits, and the finite SI value.

    Raises
    ------
    Mistake
        With the fault, as the middle of a sentence.

    Examples
    --------
    >>> read_si("2 m/s", ("speed",))
    ('speed', 2.0)
    """
    if is_quantity(value):
        kind, size = from_quantity(value, kinds)
    elif isinstance(value, str) and kinds != ("ratio",):
        kind, size = _from_text(value, kinds)
    else:
        kind, size = "ratio", _plain(value, kinds)
    if not math.isfinite(size):
        raise Mistake("is not a finite number")
    return kind, size


def _plain(value: object, kinds: tuple[str, ...]) -> float:
    """Return a plain number where a ratio is allowed."""
    if isinstance(value, bool) or not isinstance(value, numbers.Real):
        raise Mistake("is given" if value is None else "is text" if isinstance(value, str) else "is not allowed")
    if "ratio" not in kinds:
        raise Mistake("has no unit")
    return plain_float(value)


def _from_text(text: str, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of a text."""
    number, unit = split_text(text)
    if not unit:
        raise Mistake("has no unit")
    terms = split_unit(unit)
    for kind in (KINDS[name] for name in kinds):
        if all(name in kind.units for name, _ in terms) and dimensions_of(terms) == kind.dimensions:
            return kind.name, number * unit_factor(terms)
    raise Mistake(unit_hint(unit, terms, kinds))
