"""Text of error messages about a value: the value given, the fault of its unit, and valid values.

Used by every reader of input; knows the units, no input and no room above.
"""

from __future__ import annotations

import numbers
from typing import TYPE_CHECKING

from detentsim.units.kinds import KINDS, UNITS, Kind, unknown_hint

if TYPE_CHECKING:
    from detentsim.units.grammar import Terms

_FORCE_TWINS = {"lb": "lbf", "oz": "ozf", "g": "gf", "gram": "gf", "grams": "gf", "kg": "kgf"}


def is_quantity(value: object) -> bool:
    """Return whether a value is a pint quantity of any registry, without importing pint.

    Parameters
    ----------
    value : object
        Anything.

    Returns
    -------
    bool

    Examples
    --------
    >>> is_quantity("1 mm")
    False
    """
    return all(hasattr(value, name) for name in ("m_as", "units", "dimensionality"))


def shown(value: object, longest: int = 40) -> str:
    """Return a given value as text for a message: quoted, shortened, on one line.

    Parameters
    ----------
    value : object
        Anything, of any size.
    longest : int
        Most characters of a text or number shown.

    Returns
    -------
    str
        Short text.

    Examples
    --------
    >>> shown("3 mm"), shown(2.5), shown([1])
    ('"3 mm"', '2.5', 'a list')
    """
    if isinstance(value, str):
        return f'"{shorten(value, longest)}"'
    if value is None or isinstance(value, bool):
        return "nothing" if value is None else str(value).lower()
    if is_quantity(value):
        return f"the quantity {_text_of(value, longest)}"
    if isinstance(value, numbers.Number):
        return _text_of(value, longest)
    name = "table" if isinstance(value, dict) else type(value).__name__
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"


def shorten(text: str, longest: int) -> str:
    """Return a text cut to a length, with unprintable characters written out.

    Parameters
    ----------
    text : str
        Any text.
    longest : int
        Most characters kept.

    Returns
    -------
    str
        Printable text on one line.

    Examples
    --------
    >>> shorten("123456789", 6)
    '123...'
    """
    cut = text if len(text) <= longest else text[: longest - 3] + "..."
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut)


def _text_of(value: object, longest: int) -> str:
    """Return a number as short text; Python refuses to write out whole numbers of thousands of digits."""
    try:
        return shorten(" ".join(str(value).split()), longest)
    except Exception:
        return "the value given"


def advice(kinds: tuple[str, ...], example: str | None = None) -> str:
    """Return advice on valid values for the allowed kinds.

    Parameters
    ----------
    kinds : tuple of str
        Keys of `KINDS`.
    example : str, optional
        A valid text, in place of each kind's own example.

    Returns
    -------
    str
        Text to follow "give".

    Examples
    --------
    >>> advice(("time",))
    'a time such as "0.5 s" (s, ms, min)'
    """
    chosen = [KINDS[kind] for kind in kinds]
    if example is None or kinds == ("ratio",):
        return " or ".join(_advice_for(kind, example or kind.example) for kind in chosen)
    units = "; ".join(kind.shown_units for kind in chosen if kind.shown_units)
    return f'{_called(kinds)} such as "{example}" ({units})'


def _advice_for(kind: Kind, example: str) -> str:
    """Return advice on valid values of one kind."""
    if kind.name == "ratio":
        return f"a plain number such as {example}, without quotes or unit"
    return f'{kind.called} such as "{example}" ({kind.shown_units})'


def unit_hint(unit: str, terms: Terms, kinds: tuple[str, ...]) -> str:
    """Return the reason why a unit does not fit the allowed kinds.

    Parameters
    ----------
    unit : str
        The unit as typed.
    terms : Terms
        The same, split.
    kinds : tuple of str
        Allowed keys of `KINDS`.

    Returns
    -------
    str
        The middle of a sentence.

    Examples
    --------
    >>> unit_hint("lb", (("lb", 1),), ("force",))
    'has the mass unit lb where a force belongs; write lbf'
    """
    allowed = {name for kind in kinds for name in KINDS[kind].units}
    for name, _ in terms:
        if name not in UNITS:
            return unknown_hint(name)
        if name not in allowed and name in _FORCE_TWINS and "lbf" in allowed:
            return f"has the mass unit {name} where a force belongs; write {_FORCE_TWINS[name]}"
    (first, power), *more = terms
    if not more and power == 1 and UNITS[first].group in KINDS:
        return f"has the unit {unit}, which is {KINDS[UNITS[first].group].called}, not {_called(kinds)}"
    return f"has the unit {shorten(unit, 24)}, which does not make {_called(kinds)}"


def _called(kinds: tuple[str, ...]) -> str:
    """Return the kinds with their articles."""
    return " or ".join(KINDS[kind].called for kind in kinds)
