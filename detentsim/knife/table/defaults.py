"""Completes the given inputs by the packaged defaults; a few defaults depend on other inputs.

Stands on `schema` and `values`; used by the checks and, for columns of words, by `record`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.table.schema import INPUTS, Raw
from detentsim.knife.table.values import Value, read_value

if TYPE_CHECKING:
    from collections.abc import Mapping

PIVOT_TORQUE = {"washers": "4 N*mm", "bearings": "1.5 N*mm"}
"""Assumed friction torque by kind of pivot (judgement, no source; banded from half to double)."""

WASHER_FRICTION = {"washers": 0.12, "bearings": 0.0}
"""Assumed friction coefficient by kind of pivot; ball bearings are taken as free of the ball's push."""


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
            values[name] = read_value(entry, default, given=False)
    return values


def _default(name: str, given: Mapping[str, Value]) -> Raw | None:
    if name == "bar.bend_at":
        return "relief" if "bar.relief_length" in given else "along"
    kind = given["pivot.kind"].text if "pivot.kind" in given else "washers"
    if name == "pivot.washer_friction":
        return WASHER_FRICTION[kind]
    if name == "pivot.friction_torque":
        return None if "pivot.pull.force" in given else PIVOT_TORQUE[kind]
    return INPUTS[name].default
