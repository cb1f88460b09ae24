"""The unit border: text or quantity in, SI float out; and back again for results.

Text is read by :mod:`detentsim.shop.grammar`, and pint only supplies the factor of a listed name. Importing
this module loads neither pint nor numpy. It must not know which inputs exist; callers pass the field's name.
"""

from __future__ import annotations

import functools
import math
import numbers
import re
from typing import TYPE_CHECKING, Any

from detentsim.shop.grammar import Mistake, Terms, split_text, split_unit
from detentsim.shop.kinds import KINDS, UNITS, Kind, dimensions_of
from detentsim.shop.wording import advice, is_quantity, shown, unit_hint, unknown_hint

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = [
    "KINDS",
    "InputError",
    "Kind",
    "factor",
    "is_quantity",
    "quantity",
    "read_si",
    "registry",
    "shown",
    "to_si",
    "to_si_array",
    "to_si_either",
]


class InputError(ValueError):
    """Bad input, told in one sentence.

    Parameters
    ----------
    field : str
        Name of the input, such as ``bar.thickness``; may be empty.
    given : object
        What was given.
    problem : str
        The sentence without the field's name.

    Examples
    --------
    >>> str(InputError("bar.thickness", 3, "3 has no unit"))
    'bar.thickness: 3 has no unit'
    """

    def __init__(self, field: str, given: object, problem: str) -> None:
        self.field = field
        self.given = given
        self.problem = problem
        self.message = f"{field}: {problem}" if field else problem
        super().__init__(field, given, problem)

    def __str__(self) -> str:
        """Return the one sentence."""
        return self.message

    def _render_traceback_(self) -> list[str]:
        """Return what a notebook shows: the sentence says it all, the program's insides say nothing."""
        return [f"{type(self).__name__}: {self}"]


_ANGULAR = re.compile(r"radian|degree\b|arcminute|arcsecond|turn|revolution|cycle|grade|angular_mil|\bmil\b")
_ANGLE = re.compile("[a-z]*(?:radian|degree|arcminute|arcsecond|turn|revolution|cycle|grade|mil)")


def to_si(value: object, kind: str, field: str, example: str | None = None) -> float:
    """Return one input in SI units.

    Parameters
    ----------
    value : str, quantity, or (for a ratio) a plain number
        Text such as ``"25 thou"``, or a pint quantity from any registry.
    kind : str
        Key of `KINDS`.
    field : str
        Name of the input, for the message.
    example : str, optional
        A text that would do, for the message; the kind's own by default.

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
    detentsim.shop.units.InputError: finger.pause: "3" has no unit; give a time such as "0.5 s" (s, ms, min)
    """
    return to_si_either(value, (kind,), field, example)[1]


def to_si_either(value: object, kinds: tuple[str, ...], field: str, example: str | None = None) -> tuple[str, float]:
    """Return an input that may be of several kinds, with the kind it turned out to be.

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
        When an element will not do, the list is empty, or an array has more than one axis.

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


def factor(unit: str) -> float:
    """Return the SI value of one unit.

    Parameters
    ----------
    unit : str
        A unit of `UNITS` or a product of up to three; ``""`` is a ratio.

    Returns
    -------
    float
        For instance 1e-3 for ``"mm"``.

    Raises
    ------
    InputError
        When the text is not such a unit.

    Examples
    --------
    >>> f"{factor('N/mm'):.1f} {factor('mJ'):.3f} {factor('')}"
    '1000.0 0.001 1.0'
    """
    if not unit:
        return 1.0
    try:
        return _factor(_known(split_unit(unit)))
    except Mistake as mistake:
        raise InputError("unit", unit, f"{shown(unit)} {mistake}") from None


def quantity(value: Any, unit: str) -> Any:
    """Return a number or an array as a pint quantity of the project's registry.

    Parameters
    ----------
    value : float or array
        Magnitude, already counted in `unit`.
    unit : str
        As for `factor`.

    Returns
    -------
    pint.Quantity
        In exactly that unit.

    Examples
    --------
    >>> f"{quantity(12.5, 'N/mm'):.1f~P}"
    '12.5 N/mm'
    """
    factor(unit)
    return registry().Quantity(value, unit or "dimensionless")


def registry() -> Any:
    """Return the one registry in use: pint's application registry, so a caller's own may stand in.

    Returns
    -------
    pint.UnitRegistry
        Never redefined or extended here.
    """
    import pint

    return pint.get_application_registry()  # type: ignore[no-untyped-call]


def read_si(value: object, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of one input, for callers that word their own sentence.

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
        What is wrong, as the middle of a sentence.

    Examples
    --------
    >>> read_si("2 m/s", ("speed",))
    ('speed', 2.0)
    """
    if is_quantity(value):
        kind, size = _from_quantity(value, kinds)
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
        raise Mistake("is given" if value is None else "is text" if isinstance(value, str) else "will not do")
    if "ratio" not in kinds:
        raise Mistake("has no unit")
    return _float(value)


def _from_text(text: str, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of a text."""
    number, unit = split_text(text)
    if not unit:
        raise Mistake("has no unit")
    terms = split_unit(unit)
    for kind in (KINDS[name] for name in kinds):
        if all(name in kind.units for name, _ in terms) and dimensions_of(terms) == kind.dimensions:
            return kind.name, number * _factor(terms)
    raise Mistake(unit_hint(unit, terms, kinds))


def _known(terms: Terms) -> Terms:
    """Return the terms, or refuse a name that is not in the table."""
    for name, _ in terms:
        if name not in UNITS:
            raise Mistake(unknown_hint(name))
    return terms


def _factor(terms: Terms) -> float:
    """Return the SI value of a product of known units."""
    return math.prod(_single_factor(name) ** power for name, power in terms)


@functools.cache
def _single_factor(name: str) -> float:
    """Return the SI value of one known unit, from pint."""
    unit = UNITS[name]
    return float(registry().Quantity(1.0, unit.pint_name).m_as(unit.si))


def _from_quantity(value: Any, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of a single quantity."""
    kind, magnitude = _magnitude(value, kinds)
    if getattr(magnitude, "ndim", 0):
        raise Mistake("holds several values where one belongs")
    return kind, _float(magnitude)


def _magnitude(value: Any, kinds: tuple[str, ...]) -> tuple[str, Any]:
    """Return kind and SI magnitude of a quantity, converted by its own registry."""
    for kind in kinds:
        try:
            if _suits(f"{value.units:D}", kind):
                return kind, value.m_as(KINDS[kind].unit or "dimensionless")
        except Exception:  # a foreign registry may raise anything
            continue
    raise Mistake(f"does not make {' or '.join(KINDS[kind].called for kind in kinds)}")


def _suits(units: str, kind: str) -> bool:
    """Tell whether angles stand where they belong; pint takes 30 for 30 rad and N*mm/deg for a torque."""
    return _ANGLE.fullmatch(units) is not None if kind == "angle" else not _ANGULAR.search(units)


def _array_from_quantity(value: Any, kind: str, field: str) -> npt.NDArray[np.float64]:
    """Return the SI values of a quantity, at most one axis."""
    import numpy as np

    try:
        found = np.atleast_1d(np.asarray(_magnitude(value, (kind,))[1], dtype=float))
        if found.ndim > 1 or not found.size or not np.isfinite(found).all():
            raise Mistake("is not one plain list of finite values")
    except (Mistake, TypeError, ValueError) as why:
        problem = why if isinstance(why, Mistake) else "does not hold plain numbers"
        raise InputError(field, value, f"{shown(value)} {problem}; give {advice((kind,), None)}") from None
    return found


def _float(value: Any) -> float:
    """Return a plain number as a float."""
    try:
        return float(value)
    except OverflowError:
        raise Mistake("is too large to be meant") from None
    except (TypeError, ValueError):
        raise Mistake("is not a plain number") from None
