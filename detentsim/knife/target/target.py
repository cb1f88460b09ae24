"""Reads the wanted results of ``[target]``, and computes the band of values that meets each.

Knows names and units of results, not how they are computed; `verdict` compares results with these bands.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as attribute
from typing import Any

from detentsim.knife.outcomes import OTHERWISE, RESULTS
from detentsim.knife.table.schema import suggestion
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.quantities import factor
from detentsim.units.wording import shown

_KIND_OF_UNIT = {
    "N": "force",
    "N*mm": "torque",
    "N/mm": "stiffness",
    "mm": "length",
    "deg": "angle",
    "MPa": "stress",
    "mJ": "energy",
    "rad/s": "angular speed",
    "": "ratio",
}

_EXAMPLES: dict[str, str | float] = {
    "mJ": "2 mJ",
    "rad/s": "20 rad/s",
    "": 3.0,
    "N/mm": "13 N/mm",
    "N*mm": "40 N*mm",
    "MPa": "600 MPa",
}

_BAND_KEYS = ("at_least", "at_most", "change")

_CHANGE = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s?%")

FELT = 0.10
"""Relative change of force that a finger just feels (published force discrimination 7 to 10 %)."""

LEAST_SLACK = 0.01
"""Least half-width of the band of a wanted change, as a part of the base: the accuracy of bench measurements."""


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
    typed : tuple of str or None
        ``at_least`` and ``at_most`` as the maker typed them; None where computed.
    """

    name: str
    at_least: float | None = None
    at_most: float | None = None
    truth: bool | None = None
    change: float | None = None
    typed: tuple[str | None, str | None] = attribute(default=(None, None), compare=False)


def parse_target(name: str, raw: object) -> Target:
    """Read one entry of ``[target]``.

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
        hint = (
            OTHERWISE.get(name) or suggestion(name, RESULTS) or "; a result is named like breakout_force or falls_shut"
        )
        raise InputError(field, raw, f"is no result{hint}")
    if RESULTS[name].is_truth:
        if not isinstance(raw, bool):
            raise InputError(field, raw, f"{shown(raw)} is not allowed; give true or false, such as {name} = true")
        return Target(name, truth=raw)
    table = _band_table(name, raw)
    if "change" in table:
        return Target(name, change=_change(field, table))
    low, high = (_bound(name, key, table) for key in ("at_least", "at_most"))
    if low is not None and high is not None and low > high:
        raise InputError(
            field,
            raw,
            f"at_least {table['at_least']} is above at_most {table['at_most']}; give the smaller one as at_least",
        )
    typed = (_typed(table.get("at_least")), _typed(table.get("at_most")))
    return Target(name, low, high, typed=typed)


def _typed(raw: object) -> str | None:
    """Return an end of a band as typed; None for a quantity or nothing."""
    return raw.strip() if isinstance(raw, str) else None


def _band_table(name: str, raw: object) -> Mapping[str, Any]:
    end = _example(RESULTS[name].unit)
    quoted = f'"{end}"' if isinstance(end, str) else f"{end:g}"
    example = f"{name} = {{ at_least = {quoted} }}, or at_most, or both with a comma between"
    if not isinstance(raw, Mapping) or not raw:
        raise InputError(f"target.{name}", raw, f"{shown(raw)} is not a band; write {example}")
    unknown = [key for key in raw if key not in _BAND_KEYS]
    if unknown:
        hint = suggestion(unknown[0], _BAND_KEYS)
        text = f"{shown(unknown[0])} is not one of at_least, at_most, change{hint}; write {example}"
        raise InputError(f"target.{name}", raw, text)
    return raw


def _example(unit: str) -> str | float:
    return _EXAMPLES.get(unit, f"9 {unit}")


def _change(field: str, table: Mapping[str, Any]) -> float:
    raw = table["change"]
    if len(table) > 1:
        raise InputError(field, table, 'has change beside a band; give one of the two, such as change = "-20 %" alone')
    text = raw.strip().replace("\u2212", "-")[:40] if isinstance(raw, str) else ""
    match = _CHANGE.fullmatch(text)
    if match is None or float(match.group(1)) < -100:
        raise InputError(field, raw, f'{shown(raw)} is not a change; write it like "-20 %"')
    return float(match.group(1)) / 100


def _bound(name: str, key: str, table: Mapping[str, Any]) -> float | None:
    if key not in table:
        return None
    field, unit, raw = f"target.{name}.{key}", RESULTS[name].unit, table[key]
    return to_si(raw, _KIND_OF_UNIT[unit], field, str(_example(unit))) / factor(unit)


def change_band(change: float, start: float) -> tuple[float, float]:
    """Return the band of values that meet a wanted change.

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
    The band is half of `FELT` of the base on either side of the goal: a hand cannot feel a smaller difference. For a
    small change it is half the change, but at least `LEAST_SLACK`, so that the band never reaches past the base: an
    unchanged build does not meet a change of more than 1 %. No change (``"0 %"``) is met within `LEAST_SLACK` on
    either side.

    Examples
    --------
    >>> change_band(-0.2, 10.0), change_band(0.04, 10.0)
    ((7.5, 8.5), (10.2, 10.6))
    """
    slack = min(FELT / 2, max(abs(change) / 2, min(LEAST_SLACK, abs(change) or LEAST_SLACK)))
    goal, slack = start * (1 + change), abs(start) * slack
    return goal - slack, goal + slack


def stated_band(target: Sequence[Target], name: str) -> tuple[float, float] | None:
    """Return the band that targets state for a result, whatever it is now.

    Parameters
    ----------
    target : sequence of Target
    name : str
        Result.

    Returns
    -------
    tuple of float or None
        In the result's own unit, infinite where it is open; None where they state none, or a change.

    Examples
    --------
    >>> stated_band([Target("breakout_force", at_least=9.0)], "breakout_force")
    (9.0, inf)
    """
    wanted = next((one for one in target if one.name == name and one.change is None), None)
    if wanted is None:
        return None
    low, high = wanted.at_least, wanted.at_most
    return -math.inf if low is None else low, math.inf if high is None else high


def ends(wanted: Target, start: float | None = None) -> tuple[float | None, float | None]:
    """Return the lowest and highest value that meet a target.

    Parameters
    ----------
    wanted : Target
        Not of a truth.
    start : float, optional
        Base of a wanted change, in the result's own unit.

    Returns
    -------
    tuple of float or None
        Lowest and highest, in the result's own unit; None where the band is open, NaN for a change without a base.

    Examples
    --------
    >>> low, high = ends(Target("breakout_force", change=-0.2), 10.0)
    >>> low < 8.0 < high
    True
    """
    if wanted.change is None:
        return wanted.at_least, wanted.at_most
    return (math.nan, math.nan) if start is None else change_band(wanted.change, start)
