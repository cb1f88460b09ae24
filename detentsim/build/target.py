"""Wanted results: the ``[target]`` bands of a build file, read and judged.

Knows the names and units of results, not how they are computed; judging takes plain numbers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from detentsim.build.outcomes import RESULTS
from detentsim.build.schema import suggestion
from detentsim.shop.grammar import Mistake, split_text
from detentsim.shop.units import InputError, factor, to_si
from detentsim.shop.wording import is_quantity, shown

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_KIND_OF_UNIT = {
    "N": "force",
    "N*mm": "torque",
    "N/mm": "stiffness",
    "mm": "length",
    "deg": "angle",
    "MPa": "stress",
    "": "ratio",
}
_OTHER_UNITS = {"mJ": ("mJ", "J", "N*mm", "N*m"), "rad/s": ("rad/s", "deg/s")}
_EXAMPLES = {
    "mJ": "2 mJ",
    "rad/s": "20 rad/s",
    "": 3.0,
    "N/mm": "13 N/mm",
    "N*mm": "40 N*mm",
    "MPa": "600 MPa",
}
_BAND_KEYS = ("at_least", "at_most", "change")
_CHANGE = re.compile(r"([+-]?\d+(?:\.\d+)?)\s?%")

FELT = 0.10
"""Hand-step: the relative change of force that a finger just feels (published force discrimination 7 to 10 %)."""

LEAST_SLACK = 0.01
"""Least slack of a wanted change, as a part of the base: a bench measures no closer."""

Result = float | bool | None


@dataclass(frozen=True)
class Target:
    """One wanted result.

    Attributes
    ----------
    name : str
        Result name.
    at_least, at_most : float or None
        In the result's own unit.
    truth : bool or None
        For a result that is true or false.
    change : float or None
        Wanted change as a part of the base (``-0.2`` for ``"-20 %"``).
    """

    name: str
    at_least: float | None = None
    at_most: float | None = None
    truth: bool | None = None
    change: float | None = None


@dataclass(frozen=True)
class Verdict:
    """How one result stands against its target.

    Attributes
    ----------
    name : str
        Result name.
    met : bool or None
        None when the result has no value or there is nothing to compare with.
    text : str
        One plain line.
    short_by : float or None
        How far outside the band, in the result's unit; positive too low, negative too high; 0 when met.
    """

    name: str
    met: bool | None
    text: str
    short_by: float | None


def parse_target(name: str, raw: object) -> Target:
    """Read one line of ``[target]``.

    Parameters
    ----------
    name : str
        Result name.
    raw : object
        A truth, or a table of ``at_least`` and ``at_most``, or of ``change``.

    Returns
    -------
    Target
        In the result's own unit.

    Raises
    ------
    InputError
        When the name is no result, or the band cannot be read or contradicts itself.

    Examples
    --------
    >>> parse_target("falls_shut", True).truth
    True
    >>> parse_target("breakout_force", {"change": "-20 %"}).change
    -0.2
    """
    field = f"target.{name}"
    if name not in RESULTS:
        raise InputError(field, raw, f"is no result{suggestion(name, RESULTS)}")
    if RESULTS[name].is_truth:
        if not isinstance(raw, bool):
            raise InputError(field, raw, f"{shown(raw)} will not do; give true or false, such as {name} = true")
        return Target(name, truth=raw)
    table = _band_table(name, raw)
    if "change" in table:
        return Target(name, change=_change(field, table))
    low, high = (_bound(name, key, table) for key in ("at_least", "at_most"))
    if low is not None and high is not None and low > high:
        raise InputError(field, raw, f"at_least {table['at_least']} is above at_most {table['at_most']}")
    return Target(name, low, high)


def _band_table(name: str, raw: object) -> Mapping[str, Any]:
    example = f"{name} = {{ at_least = {_example(name)} }}"
    if not isinstance(raw, Mapping) or not raw:
        raise InputError(f"target.{name}", raw, f"{shown(raw)} is not a band; write {example}")
    unknown = [key for key in raw if key not in _BAND_KEYS]
    if unknown:
        hint = suggestion(unknown[0], _BAND_KEYS)
        text = f"{shown(unknown[0])} is not one of at_least, at_most, change{hint}; write {example}"
        raise InputError(f"target.{name}", raw, text)
    return raw


def _example(name: str) -> str:
    example = _EXAMPLES.get(RESULTS[name].unit, f"9 {RESULTS[name].unit}")
    return f'"{example}"' if isinstance(example, str) else f"{example:g}"


def _change(field: str, table: Mapping[str, Any]) -> float:
    raw = table["change"]
    if len(table) > 1:
        raise InputError(field, table, "has change beside a band; give one of the two")
    text = raw.strip().replace("\u2212", "-")[:40] if isinstance(raw, str) else ""
    match = _CHANGE.fullmatch(text)
    if match is None or float(match.group(1)) < -100:
        raise InputError(field, raw, f'{shown(raw)} is not a change; write it like "-20 %"')
    return float(match.group(1)) / 100


def _bound(name: str, key: str, table: Mapping[str, Any]) -> float | None:
    if key not in table:
        return None
    field, unit, raw = f"target.{name}.{key}", RESULTS[name].unit, table[key]
    if unit in _OTHER_UNITS:
        return _other(field, raw, unit)
    example = _EXAMPLES.get(unit, f"9 {unit}")
    return to_si(raw, _KIND_OF_UNIT[unit], field, str(example)) / factor(unit)


def _other(field: str, raw: object, unit: str) -> float:
    """Read an energy or a turning speed, which no input has."""
    allowed = _OTHER_UNITS[unit]
    if is_quantity(raw):
        raw = _quantity_text(raw, unit)
    try:
        number, given = split_text(raw) if isinstance(raw, str) else (math.nan, "")
    except Mistake as mistake:
        raise InputError(field, raw, f'{shown(raw)} {mistake}; write it like "{_EXAMPLES[unit]}"') from None
    if given not in allowed or not math.isfinite(number):
        text = f'{shown(raw)} will not do; give {" or ".join(allowed)}, such as "{_EXAMPLES[unit]}"'
        raise InputError(field, raw, text)
    return number * factor(given) / factor(unit)


def _quantity_text(raw: Any, unit: str) -> object:
    """Return a quantity as text in a unit, or as it is when it cannot be."""
    try:
        return f"{float(raw.m_as(unit))!r} {unit}"
    except Exception:  # a foreign registry may raise anything
        return raw


def judge(
    target: Sequence[Target], results: Mapping[str, Result], base: Mapping[str, Result] | None = None
) -> tuple[Verdict, ...]:
    """Hold results against their targets.

    Parameters
    ----------
    target : sequence of Target
        What is wanted.
    results : mapping of str to float, bool or None
        Results in their own units; None or NaN where there is no value.
    base : mapping, optional
        Results of the build that a change is counted from.

    Returns
    -------
    tuple of Verdict
        One for each target, in their order.

    Examples
    --------
    >>> judge([Target("breakout_force", 9.0, 13.0)], {"breakout_force": 8.1})[0].text
    'breakout_force 8.1 N: missed by 0.9 N, wanted 9 to 13 N'
    """
    return tuple(_verdict(wanted, results.get(wanted.name), base or {}) for wanted in target)


def _verdict(wanted: Target, result: Result, base: Mapping[str, Result]) -> Verdict:
    name = wanted.name
    if result is None or (isinstance(result, float) and math.isnan(result)):
        return Verdict(name, None, f"{name} has no value, wanted {_wanted(wanted)}", None)
    if wanted.truth is not None:
        met = bool(result) == wanted.truth
        words = f"{name} {str(bool(result)).lower()}: {'met' if met else 'missed'}, wanted {_wanted(wanted)}"
        return Verdict(name, met, words, 0.0 if met else None)
    if wanted.change is not None:
        return _changed(wanted, float(result), base.get(name))
    return _banded(name, float(result), wanted.at_least, wanted.at_most, _wanted(wanted))


def _changed(wanted: Target, result: float, start: Result) -> Verdict:
    """Judge a wanted change: about that much, neither far less nor far more."""
    if start is None or math.isnan(start) or wanted.change is None:
        text = f"{wanted.name} {_number(result, wanted.name)}: nothing to compare with"
        return Verdict(wanted.name, None, f"{text}, wanted {_wanted(wanted)}", None)
    low, high = change_band(wanted.change, start)
    goal = start * (1 + wanted.change)
    words = f"about {_number(goal, wanted.name)} ({wanted.change:+.3g} of {_number(start, wanted.name)})"
    words = words.replace(f"{wanted.change:+.3g} of", f"{100 * wanted.change:+.3g} % from")
    return _banded(wanted.name, result, low, high, words)


def change_band(change: float, start: float) -> tuple[float, float]:
    """Band of values that count as a wanted change.

    Parameters
    ----------
    change : float
        As a part of the base (``-0.2`` for ``"-20 %"``).
    start : float
        The base, in the result's own unit.

    Returns
    -------
    tuple of float
        Lowest and highest, in the result's own unit.

    Notes
    -----
    Half a hand-step of the base either side of the goal: within it a hand does not tell the result from the goal. A
    small change gets less, half of itself but at least `LEAST_SLACK`, so that the band never reaches past the base:
    an unchanged build does not meet a change of more than 1 %. No change at all (``"0 %"``) is met within
    `LEAST_SLACK` either side.

    Examples
    --------
    >>> change_band(-0.2, 10.0), change_band(0.04, 10.0)
    ((7.5, 8.5), (10.2, 10.6))
    """
    slack = min(FELT / 2, max(abs(change) / 2, min(LEAST_SLACK, abs(change) or LEAST_SLACK)))
    goal, slack = start * (1 + change), abs(start) * slack
    return goal - slack, goal + slack


def meets(wanted: Target, values: npt.NDArray[Any], start: float | None = None) -> npt.NDArray[np.bool_]:
    """Hold many results against one target.

    Parameters
    ----------
    wanted : Target
    values : array
        Results in their own unit, or truths; NaN where there is no value.
    start : float, optional
        What a change is counted from.

    Returns
    -------
    array of bool
        False where there is no value, and everywhere for a change that has nothing to be counted from.
    """
    if wanted.truth is not None:
        return values == wanted.truth  # type: ignore[no-any-return]  # an array's comparison is one
    low, high = ends(wanted, start)
    least, most = (-math.inf if low is None else low), (math.inf if high is None else high)
    return (values >= least) & (values <= most)


def ends(wanted: Target, start: float | None = None) -> tuple[float | None, float | None]:
    """Return the band that a target asks for.

    Parameters
    ----------
    wanted : Target
        Not of a truth.
    start : float, optional
        What a change is counted from.

    Returns
    -------
    tuple of float or None
        Lowest and highest, in the result's own unit; None where the band is open, NaN for a change that has nothing to
        be counted from.

    Examples
    --------
    >>> low, high = ends(Target("breakout_force", change=-0.2), 10.0)
    >>> low < 8.0 < high
    True
    """
    if wanted.change is None:
        return wanted.at_least, wanted.at_most
    return (math.nan, math.nan) if start is None else change_band(wanted.change, start)


def _banded(name: str, result: float, low: float | None, high: float | None, wanted: str) -> Verdict:
    short = 0.0
    if low is not None and result < low:
        short = low - result
    elif high is not None and result > high:
        short = high - result
    outcome = "met" if short == 0 else f"missed by {_number(abs(short), name)}"
    return Verdict(name, short == 0, f"{name} {_number(result, name)}: {outcome}, wanted {wanted}", short)


def _number(value: float, name: str) -> str:
    return f"{value:.3g} {RESULTS[name].unit}".strip()


def _wanted(wanted: Target) -> str:
    unit = RESULTS[wanted.name].unit
    if wanted.truth is not None:
        return str(wanted.truth).lower()
    if wanted.change is not None:
        return f"a change of {100 * wanted.change:+.3g} %"
    bounds = [f"{b:.4g}" for b in (wanted.at_least, wanted.at_most) if b is not None]
    if len(bounds) == 2:
        return f"{bounds[0]} to {bounds[1]} {unit}".strip()
    word = "at least" if wanted.at_least is not None else "at most"
    return f"{word} {bounds[0]} {unit}".strip()
