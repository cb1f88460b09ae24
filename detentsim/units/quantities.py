"""Unit factors, and quantities in and out through pint's registry.

The only module that imports pint, and only inside functions: pint is loaded when a quantity is made or read, so that
neither importing the package nor a command that prints a report loads it.
"""

from __future__ import annotations

import math
import re
from typing import Any

from detentsim.units.errors import InputError
from detentsim.units.grammar import Mistake, Terms, split_unit
from detentsim.units.kinds import KINDS, UNITS, unknown_hint

_ANGULAR = re.compile(r"radian|degree\b|arcminute|arcsecond|turn|revolution|cycle|grade|angular_mil|\bmil\b")

_ANGLE = re.compile("[a-z]*(?:radian|degree|arcminute|arcsecond|turn|revolution|cycle|grade|mil)")


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
        return unit_factor(_known(split_unit(unit)))
    except Mistake as mistake:
        raise InputError("unit", unit, f"{unit!r:.40} {mistake}") from None


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
    """Return pint's application registry, which a caller may have replaced by their own.

    Returns
    -------
    pint.UnitRegistry
        Never redefined or extended here.

    Examples
    --------
    >>> str(registry().Unit("mm"))
    'millimeter'
    """
    import pint

    return pint.get_application_registry()  # type: ignore[no-untyped-call]


def _known(terms: Terms) -> Terms:
    """Return the terms, or refuse a name that is not in the table."""
    for name, _ in terms:
        if name not in UNITS:
            raise Mistake(unknown_hint(name))
    return terms


def unit_factor(terms: Terms) -> float:
    """Return the SI value of a product of known units.

    Parameters
    ----------
    terms : Terms
        Names of `UNITS` with exponents.

    Returns
    -------
    float

    Examples
    --------
    >>> round(unit_factor((("N", 1), ("mm", -1))), 6)
    1000.0
    """
    return math.prod(UNITS[name].factor ** power for name, power in terms)


def from_quantity(value: Any, kinds: tuple[str, ...]) -> tuple[str, float]:
    """Return kind and SI value of a single quantity.

    Parameters
    ----------
    value : pint.Quantity
        Of any registry, without axes.
    kinds : tuple of str
        Keys of `KINDS`; the first one that fits is taken.

    Returns
    -------
    tuple of str and float

    Raises
    ------
    Mistake
        When no kind fits, or it holds several values.

    Examples
    --------
    >>> from_quantity(quantity(2.0, "mm"), ("angle", "length"))
    ('length', 0.002)
    """
    kind, magnitude = si_magnitude(value, kinds)
    if getattr(magnitude, "ndim", 0):
        raise Mistake("holds several values where one belongs")
    return kind, plain_float(magnitude)


def si_magnitude(value: Any, kinds: tuple[str, ...]) -> tuple[str, Any]:
    """Return kind and SI magnitude of a quantity, converted by its own registry.

    Parameters
    ----------
    value : pint.Quantity
        Of any registry and shape.
    kinds : tuple of str
        Keys of `KINDS`; the first one that fits is taken.

    Returns
    -------
    tuple of str and float or array
        Not yet held to be finite, or a number at all.

    Raises
    ------
    Mistake
        When no kind fits.

    Examples
    --------
    >>> si_magnitude(quantity([1.0, 2.0], "mm"), ("length",))[1].tolist()
    [0.001, 0.002]
    """
    for kind in kinds:
        try:
            if _suits(f"{value.units:D}", kind):
                return kind, value.m_as(KINDS[kind].unit or "dimensionless")
        except Exception:  # a foreign registry may raise anything
            continue
    raise Mistake(f"does not make {' or '.join(KINDS[kind].called for kind in kinds)}")


def _suits(units: str, kind: str) -> bool:
    """Return whether units name an angle just where the kind has one; pint alone takes 30 for 30 rad."""
    if kind == "angle":
        return _ANGLE.fullmatch(units) is not None
    return bool(_ANGULAR.search(units)) == (kind == "angular speed")


def plain_float(value: Any) -> float:
    """Return a plain number as a float.

    Parameters
    ----------
    value : object
        Number of any type.

    Returns
    -------
    float

    Raises
    ------
    Mistake
        When it is no number or overflows a float.

    Examples
    --------
    >>> plain_float(3)
    3.0
    """
    try:
        return float(value)
    except OverflowError:
        raise Mistake("is too large to be meant") from None
    except (TypeError, ValueError):
        raise Mistake("is not a plain number") from None
