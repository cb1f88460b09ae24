"""Reads the entries of ``[tolerance]``, and checks them against the values.

Used by `consistency`, `bands` and the batch.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from detentsim.knife.table.schema import INPUTS, Input, suggestion
from detentsim.knife.table.value import Value
from detentsim.units.convert import to_si_either
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.wording import shown

Values = Mapping[str, Value]

_WIDTHS = ("plus_minus", "at_least", "at_most")

_KEYS = (*_WIDTHS, "shape")

SHAPES = ("normal", "uniform", "triangular")
"""Shapes of the distribution that a tolerance stands for; the first is the default."""


@dataclass(frozen=True)
class Tolerance:
    """One line of ``[tolerance]``, in SI.

    Attributes
    ----------
    plus_minus, at_least, at_most : float or None
        Either the first, or one or both of the others.
    kind : str
        Kind it was given in; for over-close a length at the ball or an angle.
    shape : str
        One of `SHAPES`. Of a normal, `plus_minus` holds 95 %; `at_least` and `at_most`, and both ends of the other
        shapes, hold all.
    """

    plus_minus: float | None
    at_least: float | None
    at_most: float | None
    kind: str
    shape: str = SHAPES[0]


def parse_tolerance(name: str, raw: object) -> Tolerance:
    """Read one entry of ``[tolerance]``.

    Parameters
    ----------
    name : str
        Dotted input name.
    raw : object
        Table of ``plus_minus``, or of ``at_least`` and ``at_most``; with or without a ``shape``.

    Returns
    -------
    Tolerance
        In SI.

    Raises
    ------
    InputError
        When the input cannot have a tolerance, or it cannot be read or contradicts itself.

    Examples
    --------
    >>> given = parse_tolerance("dimple.rim_feed", {"plus_minus": "0.02 mm", "shape": "uniform"})
    >>> given.plus_minus, given.shape
    (2e-05, 'uniform')
    """
    field = f"tolerance.{name}"
    kinds = _kinds(INPUTS[name])
    if not kinds:
        raise InputError(field, raw, "is no size or coefficient, so it has no tolerance; take the line out")
    table = _table(field, raw)
    read = {key: to_si_either(table[key], kinds, f"{field}.{key}") for key in table if key != "shape"}
    if len({kind for kind, _ in read.values()}) > 1:
        raise InputError(field, raw, "mixes a length and an angle; give both ends as lengths or both as angles")
    low, high = (read[key][1] if key in read else None for key in ("at_least", "at_most"))
    half = read["plus_minus"][1] if "plus_minus" in read else None
    if half is not None and half < 0:
        text = f'{shown(table["plus_minus"])} is below zero; give how far either way, such as "0.02 mm"'
        raise InputError(f"{field}.plus_minus", raw, text)
    if low is not None and high is not None and low > high:
        raise InputError(
            field,
            raw,
            f"at_least {table['at_least']} is above at_most {table['at_most']}; give the smaller one as at_least",
        )
    return Tolerance(half, low, high, next(iter(read.values()))[0], _shape(field, table))


def _shape(field: str, table: Mapping[str, Any]) -> str:
    shape = table.get("shape", SHAPES[0])
    if shape not in SHAPES:
        hint = suggestion(shape, SHAPES) if isinstance(shape, str) else ""
        words = ", ".join(f'"{word}"' for word in SHAPES)
        raise InputError(f"{field}.shape", shape, f"{shown(shape)} is not one of {words}{hint}")
    return str(shape)


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
    widths = [key for key in raw if key in _WIDTHS]
    if not widths:
        raise InputError(field, raw, f"has a shape but no width; {example}")
    if "plus_minus" in raw and len(widths) > 1:
        raise InputError(field, raw, f"has plus_minus beside an end; give one or the other; {example}")
    return raw


def tolerance_problems(values: Values, tolerance: Mapping[str, Tolerance]) -> list[tuple[str, str]]:
    """Return the problems of tolerances against the values they belong to.

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

    Examples
    --------
    >>> band = parse_tolerance("dimple.rim_feed", {"plus_minus": "0.02 mm"})
    >>> tolerance_problems({}, {"dimple.rim_feed": band})[0][1]
    'dimple.rim_feed has no value to put a tolerance on; give dimple.rim_feed first'
    """
    faults = []
    for name, given in tolerance.items():
        key, value = f"tolerance.{name}", values.get(name)
        if value is None or math.isnan(value.si):
            faults.append((key, f"{name} has no value to put a tolerance on; give {name} first"))
        elif given.plus_minus is None and given.kind == _plain_kind(value) and _outside(value.si, given):
            advice = "widen it, or write plus_minus, which moves with the value"
            faults.append((key, f"the build's own {name} = {value.text} lies outside it; {advice}"))
    return faults


def _plain_kind(value: Value) -> str:
    return "length" if value.kind == "drill" else value.kind


def _outside(si: float, given: Tolerance) -> bool:
    below = given.at_least is not None and si < given.at_least
    return below or (given.at_most is not None and si > given.at_most)
