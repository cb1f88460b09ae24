"""How far each input may lie from its value: packaged bands for what nobody can measure, and tolerances.

Works on read values; knows nothing of what a band does to a result.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from detentsim.build.schema import INPUTS, Band, Input, suggestion
from detentsim.build.values import Value, limits, si_of
from detentsim.shop.kinds import KINDS
from detentsim.shop.units import InputError, to_si_either
from detentsim.shop.wording import shown

Values = Mapping[str, Value]
Range = tuple[float, float]

_KEYS = ("plus_minus", "at_least", "at_most")
_WASHER_BAND = Band((0.08, 0.2), 0.03)


@dataclass(frozen=True)
class Tolerance:
    """One line of ``[tolerance]``, in SI.

    Attributes
    ----------
    plus_minus, at_least, at_most : float or None
        Either the first, or one or both of the others.
    kind : str
        Kind it was given in; for over-close a length at the ball or an angle.
    """

    plus_minus: float | None
    at_least: float | None
    at_most: float | None
    kind: str


def parse_tolerance(name: str, raw: object) -> Tolerance:
    """Read one line of ``[tolerance]``.

    Parameters
    ----------
    name : str
        Dotted input name.
    raw : object
        Table of ``plus_minus``, or of ``at_least`` and ``at_most``.

    Returns
    -------
    Tolerance
        In SI.

    Raises
    ------
    InputError
        When the input cannot have a tolerance, or it cannot be read or contradicts itself.
    """
    field = f"tolerance.{name}"
    kinds = _kinds(INPUTS[name])
    if not kinds:
        raise InputError(field, raw, "is a word, not a number, so it has no tolerance; take the line out")
    table = _table(field, raw)
    read = {key: to_si_either(table[key], kinds, f"{field}.{key}") for key in table}
    if len({kind for kind, _ in read.values()}) > 1:
        raise InputError(field, raw, "mixes a length and an angle; give both ends in one kind")
    low, high = (read[key][1] if key in read else None for key in ("at_least", "at_most"))
    half = read["plus_minus"][1] if "plus_minus" in read else None
    if half is not None and half < 0:
        raise InputError(f"{field}.plus_minus", raw, f"{shown(table['plus_minus'])} is below zero")
    if low is not None and high is not None and low > high:
        raise InputError(field, raw, f"at_least {table['at_least']} is above at_most {table['at_most']}")
    return Tolerance(half, low, high, next(iter(read.values()))[0])


def _kinds(entry: Input) -> tuple[str, ...]:
    kinds = tuple("length" if kind == "drill" else kind for kind in entry.kinds)
    return tuple(kind for kind in kinds if kind in KINDS)


def _table(field: str, raw: object) -> Mapping[str, Any]:
    example = 'write it like "dimple.rim_feed" = { plus_minus = "0.02 mm" }'
    if not isinstance(raw, Mapping) or not raw:
        raise InputError(field, raw, f"{shown(raw)} is not a tolerance; {example}")
    for key in raw:
        if key not in _KEYS:
            hint = suggestion(key, _KEYS)
            raise InputError(field, raw, f"{shown(key)} is not one of {', '.join(_KEYS)}{hint}; {example}")
    if "plus_minus" in raw and len(raw) > 1:
        raise InputError(field, raw, f"has plus_minus beside an end; give one or the other; {example}")
    return raw


def tolerance_problems(values: Values, tolerance: Mapping[str, Tolerance]) -> list[tuple[str, str]]:
    """Return what is wrong with tolerances once the values are known.

    Parameters
    ----------
    values : mapping of str to Value
        With defaults.
    tolerance : mapping of str to Tolerance
        By dotted name.

    Returns
    -------
    list of (key, message)
        Empty when all is well.
    """
    found = []
    for name, given in tolerance.items():
        key, value = f"tolerance.{name}", values.get(name)
        if value is None or math.isnan(value.si):
            found.append((key, f"{name} has no value to put a tolerance on; give {name} first"))
        elif given.plus_minus is None and given.kind == _plain_kind(value) and _outside(value.si, given):
            advice = "widen it, or write plus_minus, which moves with the value"
            found.append((key, f"the build's own {name} = {value.text} lies outside it; {advice}"))
    return found


def _plain_kind(value: Value) -> str:
    return "length" if value.kind == "drill" else value.kind


def _outside(si: float, given: Tolerance) -> bool:
    below = given.at_least is not None and si < given.at_least
    return below or (given.at_most is not None and si > given.at_most)


def assumed_names(values: Values) -> tuple[str, ...]:
    """Return the names that stand at a packaged default which has a band.

    Parameters
    ----------
    values : mapping of str to Value
        With defaults.

    Returns
    -------
    tuple of str
        In the table's order.
    """
    return tuple(n for n, v in values.items() if not v.given and _packaged(n, values, None) is not None)


def bands(values: Values, tolerance: Mapping[str, Tolerance], calibration: float | None = None) -> dict[str, Range]:
    """Return how far each uncertain input may lie.

    Parameters
    ----------
    values : mapping of str to Value
        With defaults.
    tolerance : mapping of str to Tolerance
        The maker's own; takes the packaged band's place.
    calibration : float, optional
        Ratio that a measured stiffness comes to.

    Returns
    -------
    dict of str to tuple of float
        Lowest and highest SI value, inside the input's allowed range.
    """
    found: dict[str, Range] = {}
    for name in values:
        given = tolerance.get(name)
        band = _packaged(name, values, calibration) if given is None else _own(name, values, given)
        if band is not None:
            found[name] = band
    return found


def _own(name: str, values: Values, given: Tolerance) -> Range | None:
    """Return the band of a tolerance; over-close always as a length at the ball."""
    value = values[name]
    middle, scale = value.si, 1.0
    if name == "dimple.overclose":
        middle, scale = _at_ball(values, value.kind, value.si), _at_ball(values, given.kind, 1.0)
    if math.isnan(middle * scale):
        return None
    if given.plus_minus is not None:
        half = scale * given.plus_minus
        return _clipped(name, value.kind, middle - half, middle + half)
    # an end left open reaches to the build's own value
    low = middle if given.at_least is None else scale * given.at_least
    return low, middle if given.at_most is None else scale * given.at_most


def _at_ball(values: Values, kind: str, size: float) -> float:
    """Return an over-close as a length at the ball."""
    if kind != "angle":
        return size
    radius = values.get("tang.pivot_to_ball")
    return math.nan if radius is None else radius.si * size


def _packaged(name: str, values: Values, calibration: float | None) -> Range | None:
    """Return an input's packaged band, or None when it has none as things stand."""
    value, entry = values[name], INPUTS[name]
    if name == "dimple.overclose":
        return _overclose(values)
    if name == "bar.calibration" and _is_measured(values):
        return None if calibration is None else _about(entry, value.kind, calibration)
    if name == "pivot.friction_torque" and not value.given:
        return value.si / 2, value.si * 2
    band = _band_of(name, values)
    if band is None:
        return None
    if value.given:
        return _about(entry, value.kind, value.si)
    if band.assumed is None:
        return None
    low, high = (si_of(end, value.kind, name) for end in band.assumed)
    return low, high


def _band_of(name: str, values: Values) -> Band | None:
    if name == "pivot.washer_friction":
        return _WASHER_BAND if values["pivot.kind"].text == "washers" else None
    if name == "dimple.rim_feed" and values["dimple.rim_drill"].text == "none":
        return None
    return INPUTS[name].band


def _is_measured(values: Values) -> bool:
    return "bar.stiffness" in values or "bar.measured.pull" in values


def _about(entry: Input, kind: str, middle: float) -> Range:
    """Return the band about a value the maker gave."""
    band = _WASHER_BAND if entry.name == "pivot.washer_friction" else entry.band
    if band is None or band.given is None:
        return middle, middle
    half = si_of(band.given, kind, entry.name)
    return _clipped(entry.name, kind, middle - half, middle + half)


def _overclose(values: Values) -> Range | None:
    """Return over-close's band as a length at the ball, widened by the pivot's play."""
    value, entry = values["dimple.overclose"], INPUTS["dimple.overclose"]
    middle = _at_ball(values, value.kind, value.si)
    if math.isnan(middle) or entry.band is None or entry.band.given is None:
        return None
    half = si_of(entry.band.given, "length", entry.name) + values["pivot.clearance"].si
    return middle - half, middle + half


def _clipped(name: str, kind: str, low: float, high: float) -> Range:
    """Keep a band inside the input's allowed range."""
    if name == "dimple.overclose":
        return low, high
    lowest, highest = limits(INPUTS[name], kind)
    return max(low, lowest), min(high, highest)
