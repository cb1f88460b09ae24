"""Bands of the inputs in SI: packaged bands for inputs that cannot be measured, and the maker's tolerances.

Works on values as read; `detentsim.knife.record.doubts` makes distributions of them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.table.schema import INPUTS, InputBand
from detentsim.knife.table.values import limits, si_of
from detentsim.shop.friction import edge_states, friction_states

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.checks.tolerance import Tolerance, Values

Range = tuple[float, float]

_WASHER_BAND = InputBand((0.08, 0.2), 0.03)


def assumed_names(values: Values) -> tuple[str, ...]:
    """Return the names of inputs at a packaged default that has a band.

    Parameters
    ----------
    values : mapping of str to Value
        With defaults.

    Returns
    -------
    tuple of str
        In the table's order.

    Examples
    --------
    >>> import detentsim as ds
    >>> "friction.ball_on_tang" in assumed_names(ds.demo().values)
    True
    """
    return tuple(n for n, v in values.items() if not v.given and _packaged(n, values, None) is not None)


def bands(values: Values, tolerance: Mapping[str, Tolerance], calibration: float | None = None) -> dict[str, Range]:
    """Return the band of each uncertain input: its lowest and highest value.

    Parameters
    ----------
    values : mapping of str to Value
        With defaults.
    tolerance : mapping of str to Tolerance
        The maker's own; replaces the packaged band.
    calibration : float, optional
        Stiffness ratio that follows from a measured stiffness [-].

    Returns
    -------
    dict of str to tuple of float
        Lowest and highest SI value, inside the input's allowed range.

    Examples
    --------
    >>> import detentsim as ds
    >>> bands(ds.demo().values, {})["friction.ball_on_tang"]
    (0.08, 0.16)
    """
    ends = spans(values, tolerance, calibration)
    return {name: _clipped(name, values[name].kind, low, high) for name, (low, high) in ends.items()}


def spans(values: Values, tolerance: Mapping[str, Tolerance], calibration: float | None = None) -> dict[str, Range]:
    """Return the ends of each uncertain input's band, also where they lie outside the input's allowed range.

    Parameters
    ----------
    values, tolerance, calibration
        As for `bands`.

    Returns
    -------
    dict of str to tuple of float
        Lowest and highest SI value.
    """
    ranges: dict[str, Range] = {}
    for name in values:
        given = tolerance.get(name)
        band = _packaged(name, values, calibration) if given is None else _own(name, values, given)
        if band is not None:
            ranges[name] = band
    return ranges


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
        return middle - half, middle + half
    # an open end lies at the build's own value
    low = middle if given.at_least is None else scale * given.at_least
    return low, middle if given.at_most is None else scale * given.at_most


def _at_ball(values: Values, kind: str, size: float) -> float:
    """Return an over-close as a length at the ball."""
    if kind != "angle":
        return size
    radius = values.get("tang.pivot_to_ball")
    return math.nan if radius is None else radius.si * size


def _packaged(name: str, values: Values, calibration: float | None) -> Range | None:
    """Return an input's packaged band, or None where none applies."""
    value, entry = values[name], INPUTS[name]
    if name == "dimple.overclose":
        return _overclose(values)
    if name == "bar.calibration" and _is_measured(values):
        return None if calibration is None else _about(entry.band, name, value.kind, calibration)
    if name == "pivot.friction_torque" and not value.given:
        return value.si / 2, value.si * 2
    band = _band_of(name, values)
    if band is None:
        return None
    if name == "friction.ball_on_tang" and (state := friction_states().get(value.text)) is not None:
        return state.band
    if name == "dimple.edge_radius" and (edge := edge_states().get(value.text)) is not None:
        return edge.band
    if value.given:
        return _about(band, name, value.kind, value.si)
    if band.assumed is None:
        return None
    low, high = (si_of(end, value.kind, name) for end in band.assumed)
    return low, high


def _band_of(name: str, values: Values) -> InputBand | None:
    if name == "pivot.washer_friction":
        return _WASHER_BAND if values["pivot.kind"].text == "washers" else None
    if name == "dimple.rim_feed" and values["dimple.rim_drill"].text == "none":
        return None
    if name == "bar.relief_thickness" and _is_measured(values):  # the stiffness that it would change is known
        return None
    return INPUTS[name].band


def _is_measured(values: Values) -> bool:
    return "bar.stiffness" in values or "bar.measured.pull" in values


def _about(band: InputBand | None, name: str, kind: str, middle: float) -> Range:
    """Return the band about a given value."""
    if band is None or band.given is None:
        return middle, middle
    half = si_of(band.given, kind, name)
    return middle - half, middle + half


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
    lowest, highest = allowed(name, kind)
    return max(low, lowest), min(high, highest)


def allowed(name: str, kind: str) -> Range:
    """Return the allowed range of an input's band [SI]; no limits for over-close, whose band may be of another kind.

    Parameters
    ----------
    name : str
        Dotted name.
    kind : str
        Kind that its value is given in.
    """
    entry = INPUTS[name]
    if name == "dimple.overclose" or kind not in entry.kinds or kind in ("choice", "text"):
        return -math.inf, math.inf
    return limits(entry, kind)
