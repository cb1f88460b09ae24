"""The grammar of a measured value as text, such as ``"1 1/2 in"``: one number, then a unit.

Knows nothing of fields, kinds or pint. Text is checked here before pint reads any of it, because pint's own parser
reads ``1 1/16 in`` as a sixteenth, loses a Unicode minus on some interpreters, and never returns from
``9**9**9 mm``.
"""

from __future__ import annotations

import math
import re

MAX_LENGTH = 64
"""Longest text accepted [characters]; it also bounds the work of the patterns below."""

_VULGAR = {
    mark: f" {top}/{bottom}"
    for mark, top, bottom in zip("½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑", "11213123415113571", "23344555566788889", strict=True)
}

_SPACES = dict.fromkeys("\u00a0\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f", " ")

_SIGNS = {
    "−": "-",
    "⁄": "/",
    "∕": "/",
    "·": "*",
    "⋅": "*",
    "²": "**2",
    "³": "**3",
    "^": "**",
    "″": '"',
    "”": '"',
}

_PLAIN = str.maketrans(_VULGAR | _SPACES | _SIGNS)

_NUMBER = re.compile(
    r"(?P<sign>[+-]?)"
    r"(?:(?:(?P<whole>[0-9]+) +)?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)(?![0-9.])"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?))"
)

_NAME = r"[A-Za-zµμ°]+"

_TERM = rf"{_NAME}(?:\*\*[1-9])?"

_UNIT = re.compile(rf"{_TERM}(?: *[*/] *{_TERM}){{0,2}}")

_PART = re.compile(rf"([*/]?) *({_NAME})(?:\*\*([1-9]))?")

Terms = tuple[tuple[str, int], ...]
"""Unit names with their exponents, those after a ``/`` negative."""

_HINTS = (
    (
        re.compile(r"[\x00-\x1f\x7f\u2028\u2029\u200b-\u200f\u202a-\u202e\ufeff]"),
        "has a hidden character or a second line",
    ),
    (re.compile(r"^ *[+-]?(?:nan|inf|infinity)\b", re.I), "is not a finite number"),
    (
        re.compile(r"±|\+/-|\+-"),
        "has a plus-minus; give the middle value alone, and its spread under [tolerance]",
    ),
    (re.compile(","), "has a comma; write a decimal point, and no separator for thousands"),
    (re.compile(r"[–—‐‑‒]"), "has a dash; write a plain minus sign, and one value, not a range"),
    (re.compile("['′‘’]"), "has a foot or minute mark; write the unit as a word, ft or in or deg"),
    (re.compile("%"), "has a percent sign"),
    (re.compile("[\uff10-\uff19\uff0e]"), "has wide digits of another script; type the plain ones 0 to 9"),
    (re.compile("^ *[\u201c\u201e\u00ab]|[\u201c\u201d\u201e\u00ab\u00bb] *$"), "has curly quotes; type straight ones"),
    (
        re.compile(r"^ *[0-9]+-[0-9]+/[0-9]+"),
        "joins a whole number and a fraction with a hyphen; leave a space, as in 1 1/2 in",
    ),
    (re.compile(r"[0-9]\*\*[0-9]|[0-9] *\* *[0-9]"), "has a sum to be worked out; give one number"),
    (re.compile(r"[A-Za-z][0-9]"), "has a digit after a letter; write a power as mm**2"),
    (re.compile(r"[0-9.][^A-Za-z]* [^A-Za-z]*[0-9.]|[A-Za-z].*[0-9]"), "has more than one number"),
    (re.compile(r"\..*\."), "has more than one decimal point"),
)


class Mistake(ValueError):
    """The fault of a value, as the middle of a sentence; the caller adds field and advice."""


def split_text(text: str) -> tuple[float, str]:
    """Split a measured value into its number and its unit text.

    Parameters
    ----------
    text : str
        At most 64 characters: sign, then a decimal with exponent, fraction or mixed fraction, then a unit.

    Returns
    -------
    tuple of float and str
        The number, finite, and the unit text with Unicode signs replaced; the unit text may be empty.

    Raises
    ------
    Mistake
        For anything else, with a hint.

    Examples
    --------
    >>> split_text("1 1/2 in")
    (1.5, 'in')
    >>> split_text("−2.5e-1 N/mm")
    (-0.25, 'N/mm')
    """
    if len(text) > MAX_LENGTH:
        raise Mistake(f"is longer than {MAX_LENGTH} characters")
    plain = text.translate(_PLAIN).strip(" ")
    if not plain:
        raise Mistake("is empty")
    number = _NUMBER.match(plain)
    rest = plain[number.end() :].strip(" ") if number else plain
    if not number or not (rest in ("", '"') or _UNIT.fullmatch(rest)):
        raise Mistake(_hint(plain, bool(number)))
    return _number(number), rest


def split_unit(text: str) -> Terms:
    """Split a unit text into names and exponents.

    Parameters
    ----------
    text : str
        Up to three names joined by ``*`` or ``/``, each with an exponent of one digit at most.

    Returns
    -------
    tuple of (str, int)
        Names with exponents, those after a ``/`` negative.

    Raises
    ------
    Mistake
        When the text is anything else.

    Examples
    --------
    >>> split_unit("kg*mm**2")
    (('kg', 1), ('mm', 2))
    >>> split_unit("N/mm")
    (('N', 1), ('mm', -1))
    """
    if text == '"':
        return (("in", 1),)
    if len(text) > MAX_LENGTH or not _UNIT.fullmatch(text):
        raise Mistake("is not a unit")
    return tuple(
        (name, -int(power or 1) if joint == "/" else int(power or 1)) for joint, name, power in _PART.findall(text)
    )


def unit_terms(text: str) -> Terms:
    """Return the units that a text is typed in.

    Parameters
    ----------
    text : str
        A measured value, or any other text.

    Returns
    -------
    tuple of (str, int)
        Names with exponents; empty for a word, a plain number or a drill by its number or letter.

    Examples
    --------
    >>> unit_terms("2.5 N/mm"), unit_terms('3/8"'), unit_terms("tumbled")
    ((('N', 1), ('mm', -1)), (('in', 1),), ())
    """
    try:
        return split_unit(split_text(text)[1])
    except Mistake:
        return ()


def _hint(plain: str, has_number: bool) -> str:
    """Return the first hint that fits a text outside the grammar."""
    for pattern, hint in _HINTS:
        if pattern.search(plain):
            return hint
    return "has stray text beside its number and unit" if has_number else "does not begin with a number"


def _number(match: re.Match[str]) -> float:
    """Return the value of a matched number; refuse one that overflows or underflows a float."""
    part = match.groupdict()
    size = float(part["decimal"]) if part["decimal"] else _fraction(part["whole"], part["top"], part["bottom"])
    digits = re.split("[eE]", part["decimal"] or "0")[0]
    if not math.isfinite(size) or (size == 0.0 and re.search("[1-9]", digits)):
        raise Mistake("is too large or too small to be meant")
    return -size if part["sign"] == "-" else size


def _fraction(whole: str | None, top: str, bottom: str) -> float:
    """Return the value of a fraction or a mixed fraction."""
    if int(bottom) == 0:
        raise Mistake("divides by zero")
    if whole is not None and int(top) >= int(bottom):
        raise Mistake("has a mixed fraction whose fraction is not below one")
    return int(whole or 0) + int(top) / int(bottom)
