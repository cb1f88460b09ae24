"""A target in words: its ends as the maker typed them, or in the units of the report.

Uses `target`; every report, figure and verdict that repeats a target takes its words here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.outcomes import RESULTS, label
from detentsim.units.grammar import split_text
from detentsim.units.numbers import beyond, same_side
from detentsim.units.quantities import factor
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from detentsim.knife.target.target import Target


def wanted_words(wanted: Target, units: UnitSystem = METRIC) -> str:
    """Text of a target without the result's name.

    Parameters
    ----------
    wanted : Target
    units : UnitSystem
        For ends that were computed rather than typed.

    Returns
    -------
    str

    Examples
    --------
    >>> from detentsim.knife.target.target import parse_target
    >>> wanted_words(parse_target("breakout_force", {"at_least": "2 lbf", "at_most": "3 lbf"}))
    '2 to 3 lbf'
    >>> wanted_words(parse_target("drag_force", {"at_most": "2 N"})), wanted_words(parse_target("falls_shut", True))
    ('at most 2 N', 'yes')
    """
    if wanted.truth is not None:
        return "yes" if wanted.truth else "no"
    if wanted.change is not None:
        return f"a change of {100 * wanted.change:+.3g} %"
    unit = RESULTS[wanted.name].unit
    pairs = zip((wanted.at_least, wanted.at_most), wanted.typed, strict=True)
    ends = [typed or number_words(end, unit, units) for end, typed in pairs if end is not None]
    if len(ends) == 1:
        return f"at {'least' if wanted.at_least is not None else 'most'} {ends[0]}"
    (low, one), (high, other) = (_split(end) for end in ends)
    return f"{low} to {high} {other}".rstrip() if one == other else f"{ends[0]} to {ends[1]}"


def as_typed(wanted: Target, value: float, units: UnitSystem, end: float | None = None) -> str:
    """Value of a result in the unit that its target is typed in, in brackets; empty where the report shows that unit.

    Parameters
    ----------
    wanted : Target
        A band.
    value : float
        In the result's own unit.
    units : UnitSystem
        Of the report.
    end : float, optional
        End of the band that it misses, in its own unit; it is not rounded onto it.

    Returns
    -------
    str

    Examples
    --------
    >>> from detentsim.knife.target.target import parse_target
    >>> from detentsim.units.systems import INCH
    >>> as_typed(parse_target("breakout_force", {"at_least": "9 N"}), 9.65, INCH)
    ' (9.65 N)'
    """
    own = RESULTS[wanted.name].unit
    text = next((typed for typed in wanted.typed if typed), None)
    unit = "" if text is None or not own else split_text(text)[1]
    if not unit or unit == units.pair(value, own)[1]:
        return ""
    scale = factor(own) / factor(unit)
    return f" ({_three_digits(value * scale, None if end is None else end * scale)} {unit})"


def number_words(value: float, unit: str, units: UnitSystem, end: float | None = None) -> str:
    """Number to three significant digits, or to a whole one where it is large, with its unit.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
        The result's own.
    units : UnitSystem
        To show it in.
    end : float, optional
        End of a band in `unit` that it misses: more digits where three would put it inside.

    Returns
    -------
    str

    Examples
    --------
    >>> number_words(9.8134, "N", METRIC), number_words(8.9997, "N", METRIC, 9.0)
    ('9.81 N', '8.9997 N')
    >>> number_words(3654.2, "MPa", METRIC)
    '3654 MPa'
    """
    number, shown = units.pair(value, unit)
    text = _three_digits(number, None if end is None else end * (number / value if value else units.scale(unit)))
    return f"{text} {shown}".rstrip()


def _three_digits(number: float, end: float | None) -> str:
    """Three digits, those before the point all shown; more where those would put it on the other side of `end`."""
    text = f"{number:.0f}" if 1000 <= abs(number) < 1e6 else f"{number:.3g}"
    if end is None or same_side(text, number, end):
        return text
    return beyond(number, end, 4)


def result_words(name: str, value: float | bool, units: UnitSystem = METRIC, end: float | None = None) -> str:
    """Result with its name in the trade's words.

    Parameters
    ----------
    name : str
        Key of `detentsim.knife.outcomes.RESULTS`.
    value : float or bool
        In the result's own unit.
    units : UnitSystem
        To show it in.
    end : float, optional
        As for `number_words`.

    Returns
    -------
    str

    Examples
    --------
    >>> result_words("breakout_force", 9.8134), result_words("falls_shut", False)
    ('breakout 9.81 N', 'falls shut: no')
    """
    if isinstance(value, bool) or RESULTS[name].is_truth:
        return f"{label(name)}: {'yes' if value else 'no'}"
    return f"{label(name)} {number_words(float(value), RESULTS[name].unit, units, end)}"


def _split(text: str) -> tuple[str, str]:
    """Return the number and the unit of an end of a band, as they stand in it."""
    unit = split_text(text)[1]
    return (text.removesuffix(unit).rstrip(), unit) if text.endswith(unit) else (text, "")
