"""Reads one input into a `Value`, held to its allowed range; completes the given inputs by the packaged defaults.

Uses `schema`, the shop tables and the units. The checks compare inputs with each other; here only a few defaults
depend on other inputs.
"""

from __future__ import annotations

import math
from functools import cache, partial
from typing import TYPE_CHECKING
from unicodedata import category

from detentsim.knife.table.schema import INPUTS, Input, Raw, suggestion
from detentsim.knife.table.typed_units import is_in_inches
from detentsim.knife.table.value import Value, as_text
from detentsim.shop.drills import find_drill
from detentsim.shop.friction import edge_states, friction_states
from detentsim.shop.hardness import hardness_to_hv
from detentsim.shop.materials import find_material
from detentsim.shop.tables import INCH
from detentsim.units.convert import to_si, to_si_either
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.wording import is_quantity, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

PIVOT_TORQUE = {"washers": "4 N*mm", "bearings": "1.5 N*mm"}
"""Assumed friction torque by kind of pivot (judgement, no source; banded from half to double)."""

WASHER_FRICTION = {"washers": 0.12, "bearings": 0.0}
"""Assumed friction coefficient by kind of pivot; ball bearings are taken as free of the ball's push."""

PIN_FRICTION = 0.12
"""Default friction of the blade's bore on its pin [-]; judgement, no source."""

_LONGEST_TEXT = 200


def to_raw(entry: Input, given: object) -> Raw | bool:
    """Return the file entry for a value given in code.

    Parameters
    ----------
    entry : Input
        The input it is for.
    given : object
        Text, a number, or a pint quantity of any registry.

    Returns
    -------
    str or float or bool
        A quantity becomes text in its kind's usual unit.

    Raises
    ------
    InputError
        When a quantity is of no kind that the input allows.

    Examples
    --------
    >>> from detentsim.units.quantities import quantity
    >>> to_raw(INPUTS["bar.width"], quantity(12.0, "mm"))
    '12 mm'
    """
    kinds = tuple(k for k in ("length" if k == "drill" else k for k in entry.kinds) if k in KINDS)
    if is_quantity(given) and kinds:
        kind, si = to_si_either(given, kinds, entry.name)
        return si if kind == "ratio" else as_text(si, kind)
    if hasattr(given, "item") and not hasattr(given, "__len__"):
        return given.item()  # type: ignore[no-any-return]  # a numpy number becomes a Python number
    return given  # type: ignore[return-value]  # read_value checks anything else


def read_value(entry: Input, raw: object, given: bool = True) -> Value:
    """Read one entry and check it against its range.

    Parameters
    ----------
    entry : Input
        Line of the table.
    raw : object
        Entry of a file or a call.
    given : bool
        False for a packaged default.

    Returns
    -------
    Value

    Raises
    ------
    InputError
        In one sentence: field, value given, what is allowed, an example.

    Examples
    --------
    >>> value = read_value(INPUTS["bar.width"], "12 mm")
    >>> value.text, value.si, value.kind
    ('12 mm', 0.012, 'length')
    """
    if isinstance(raw, str) and entry.choices and (word := raw.strip().lower()) in entry.choices:
        return _word(entry, word, given)
    if isinstance(raw, str) and entry.kinds == ("text",):
        raw = "".join(" " if category(c) == "Zs" else c for c in raw)  # no-break and other wide spaces
    kind, si = _number(entry, raw)
    _hold_to_range(entry, raw, kind, si)
    return Value((f"{raw:.12g}" if isinstance(raw, float) else str(raw)).strip(), si, kind, given)


_packaged = cache(partial(read_value, given=False))
"""Reads a packaged default, once for all builds."""


def _word(entry: Input, word: str, given: bool) -> Value:
    """Return the value of a word; a state of the surfaces stands for its number."""
    if "ratio" in entry.kinds:
        return Value(word, friction_states()[word].sliding, "ratio", given)
    if entry.kinds == ("length",):
        return Value(word, edge_states()[word].radius, "length", given)
    return Value(word, math.nan, "drill" if "drill" in entry.kinds else "choice", given)


def _number(entry: Input, raw: object) -> tuple[str, float]:
    """Return kind and SI value of an entry (NaN for words)."""
    first = entry.kinds[0]
    if first == "text":
        return first, _text(entry, raw)
    if entry.kinds == ("choice",):
        raise InputError(entry.name, raw, f"{shown(raw)} is not one of its choices; give {_choices(entry, raw)}")
    if first == "material":
        find_material(raw, "bar" if entry.section == "clip" else entry.section, entry.name)
        return first, math.nan
    if first == "drill":
        return first, find_drill(raw, entry.name).diameter
    if first == "hardness":
        _need_text(entry, raw)
        return first, hardness_to_hv(str(raw), entry.name)
    return _dimensional(entry, raw)


def _dimensional(entry: Input, raw: object) -> tuple[str, float]:
    """Read an entry of one or two kinds of the units table, naming its choices where it fails."""
    kinds = tuple(kind for kind in entry.kinds if kind in KINDS)
    example = str(entry.example) if entry.example not in entry.choices else None
    try:
        return to_si_either(raw, kinds, entry.name, example)
    except InputError as error:
        if not entry.choices:
            raise
        raise InputError(entry.name, raw, f"{error.problem}, or {_choices(entry, raw)}") from None


def _text(entry: Input, raw: object) -> float:
    _need_text(entry, raw)
    fault = ""
    if len(str(raw)) > _LONGEST_TEXT:
        fault = "is too long"
    elif not str(raw).isprintable():
        hidden = next(c for c in str(raw) if not c.isprintable())
        fault = "has a line break" if hidden in "\r\n\u2028\u2029" else f"has a hidden character (U+{ord(hidden):04X})"
    if fault:
        allowed = f'one line of at most {_LONGEST_TEXT} characters, such as "{entry.example}"'
        raise InputError(entry.name, raw, f"{shown(raw)} {fault}; give {allowed}")
    return math.nan


def _need_text(entry: Input, raw: object) -> None:
    if not isinstance(raw, str):
        raise InputError(entry.name, raw, f'{shown(raw)} is not text in quotes such as "{entry.example}"')


def _choices(entry: Input, raw: object) -> str:
    words = " or ".join(f'"{word}"' for word in entry.choices)
    return words + (suggestion(raw, entry.choices) if isinstance(raw, str) else "")


@cache
def limits(entry: Input, kind: str) -> tuple[float, float]:
    """Return the allowed range of an input given in one of its kinds.

    Parameters
    ----------
    entry : Input
        Line of the table.
    kind : str
        One of its kinds.

    Returns
    -------
    tuple of float
        Lowest and highest SI value, ends included; infinite where any value is allowed.

    Examples
    --------
    >>> limits(INPUTS["bar.poissons_ratio"], "ratio")
    (0.0, 0.49)
    """
    if not entry.low:
        return -math.inf, math.inf
    at = _place(entry, kind)
    return si_of(entry.low[at], kind, entry.name), si_of(entry.high[at], kind, entry.name)


def _place(entry: Input, kind: str) -> int:
    """Return which of an input's ranges is that of one of its kinds."""
    return [k for k in entry.kinds if k in KINDS or k in ("drill", "hardness")].index(kind)


def si_of(raw: Raw, kind: str, field: str) -> float:
    """Return the SI value of an entry of a known kind; a drill is a length here.

    Parameters
    ----------
    raw : str or float
        Of that kind; a hardness may be a plain HV number.
    kind : str
        A kind of the units table, ``drill`` or ``hardness``.
    field : str
        Name of the input, for the message.

    Returns
    -------
    float
        In SI; HV for a hardness.

    Examples
    --------
    >>> si_of("60 HRC", "hardness", "tang.hardness"), si_of("1.5 mm", "drill", "dimple.rim_drill")
    (697.0, 0.0015)
    """
    if kind == "hardness":
        return float(raw) if not isinstance(raw, str) else hardness_to_hv(raw, field)
    return to_si(raw, "length" if kind == "drill" else kind, field)


def _hold_to_range(entry: Input, raw: object, kind: str, si: float) -> None:
    if not entry.low or math.isnan(si):
        return
    low, high = limits(entry, kind)
    slack = 1e-12 * max(abs(low), abs(high))  # rounding must not exclude a text that equals an end of the range
    if not low - slack <= si <= high + slack:
        at = _place(entry, kind)
        allowed = f"{_plainly(entry.low[at])} to {_plainly(entry.high[at])}"
        example = f'"{entry.example}"' if isinstance(entry.example, str) else _plainly(entry.example)
        said = f"{allowed}, such as {example}"
        if isinstance(raw, str) and kind == "length" and is_in_inches(raw):
            said = _in_inches(low, high)
        raise InputError(entry.name, raw, f"{shown(raw)} is out of range; allowed is {said}")


def _in_inches(low: float, high: float) -> str:
    """Range of a length for a maker who typed inches, its ends rounded inward."""
    return f"{math.ceil(1e4 * low / INCH) / 1e4:g} to {math.floor(1e4 * high / INCH) / 1e4:g} in"


def _plainly(raw: Raw) -> str:
    return raw if isinstance(raw, str) else f"{raw:g}"


def with_defaults(given: Mapping[str, Value]) -> dict[str, Value]:
    """Return the given values, completed by the packaged defaults.

    Parameters
    ----------
    given : mapping of str to Value
        Given values.

    Returns
    -------
    dict of str to Value
        In the table's order; an optional input without a default has no entry.

    Examples
    --------
    >>> with_defaults({})["pivot.friction_torque"].text
    '4 N*mm'
    """
    values: dict[str, Value] = {}
    for name, entry in INPUTS.items():
        if name in given:
            values[name] = given[name]
        elif (default := _default(name, given)) is not None:
            values[name] = _packaged(entry, default)
    return values


def _default(name: str, given: Mapping[str, Value]) -> Raw | None:
    if name == "bar.bend_at":
        return "relief" if "bar.relief_length" in given else "along"
    kind = given["pivot.kind"].text if "pivot.kind" in given else "washers"
    if name == "pivot.washer_friction":
        return WASHER_FRICTION[kind]
    if name == "pivot.friction_torque":
        return None if "pivot.pull.force" in given else PIVOT_TORQUE[kind]
    if name == "pivot.pin_friction":
        return PIN_FRICTION if "pivot.pin_diameter" in given else None
    return INPUTS[name].default
