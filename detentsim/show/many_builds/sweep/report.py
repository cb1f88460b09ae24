"""A sweep as text for a terminal, as a JSON document and as a CSV table."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.many_builds.sweep.reading.tables import known_only
from detentsim.knife.outcomes import FLAGS, OUTCOMES, SHARE_INSIDE
from detentsim.show.theme.rows import build_rows, finite_lists, title_lines
from detentsim.show.theme.tables import records_csv, table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.many_builds.sweep.axis import Axis
    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.units.systems import UnitSystem

# Designs shown one by one, in a short report and in a whole one; more are summed up.
LISTED, AT_MOST = 60, 10_000

# Results a terminal shows when nobody names any.
CHIEF = (SHARE_INSIDE, "breakout_force", "drag_force", "preload", "draw_torque", "let_go_angle")


def sweep_report(s: Sweep, of: tuple[str, ...] = (), where_from: str = "", full: bool = False) -> str:
    """Text of a sweep: every design where they are few, else spans, counts and where the extremes lie.

    Parameters
    ----------
    s : Sweep
    of : tuple of str
        Results to show; the chief ones when empty.
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether every design has its row, up to `AT_MOST` of them.

    Returns
    -------
    str
    """
    names = of or tuple(name for name in CHIEF if name in s.results) or tuple(s.results)
    head = [*title_lines(s.build.name, where_from), f"{_size(s)}: {_designs(s.size)}", *_worn(s)]
    listed = s.size <= (AT_MOST if full else LISTED)
    body = "\n".join([_spans(s, names)] * (s.size > LISTED) + [_list(s, names)] * listed)
    tail = [*_counts(s), *_met(s), *([] if listed else [_rest(s)])]
    return "\n".join(head) + "\n\n" + body + ("\n" + "\n".join(tail) + "\n" if tail else "")


def _rest(s: Sweep) -> str:
    """Where the rows are that this report leaves out."""
    return f"A row for each design: {'--full, or ' if s.size <= AT_MOST else ''}--csv FILE."


def _worn(s: Sweep) -> list[str]:
    made = "each knife of their batches" if SHARE_INSIDE in s.results else "each"
    return [f"Worn in: {made} with its dimple's edges as round as its ball wears them."] if s.worn else []


def _designs(count: int) -> str:
    return f"{count:,} design{'s' * (count != 1)}"


def _size(s: Sweep) -> str:
    return " x ".join(f"{axis.name} ({len(axis)})" for axis in s.axes) or "nothing varied"


def _list(s: Sweep, names: tuple[str, ...]) -> str:
    """A row for each design."""
    header = [axis.name for axis in s.axes] + [_titled(name, s.build.units) for name in names] + ["notes"]
    rows, values = [], {name: known_only(s, name) for name in names}
    for index in np.ndindex(*s.shape):
        inputs = [_label(axis, i, s.build.units) for i, axis in zip(index, s.axes, strict=True)]
        rows.append((*inputs, *(_cell(values[name][index], name, s.build.units) for name in names), _notes(s, index)))
    return table(tuple(header), tuple(rows))


def _label(axis: Axis, i: int, units: UnitSystem) -> str:
    """A value as typed, or with five digits where a range or an array gave it."""
    if axis.column.texts is not None:
        return axis.labels[i]
    number, unit = units.pair(float(axis.values[i]), axis.unit)
    return f"{number:.5g} {unit}".rstrip()


def _titled(name: str, units: UnitSystem) -> str:
    unit = OUTCOMES[name].unit
    return name if OUTCOMES[name].is_truth or not unit else f"{name} {units.unit(unit)}"


def _cell(value: Any, name: str, units: UnitSystem) -> object:
    if value is None:
        return None
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    return float(value) * units.scale(OUTCOMES[name].unit) if math.isfinite(value) else None


def _notes(s: Sweep, index: tuple[int, ...]) -> str:
    """Why a design cannot be made, and every flag that it raises, of an unsound design or not."""
    wrong = [words for words, where in s.misfits.items() if where[index]]
    unsolved = [] if s.done[index] else ["not solved"]
    return ", ".join([*wrong, *unsolved, *(name for name, where in s.flags.items() if where[index])])


def _spans(s: Sweep, names: tuple[str, ...]) -> str:
    """A row for each result: least and greatest, and where."""
    rows: list[tuple[object, ...]] = []
    units = s.build.units
    for name in names:
        values = s.results[name]
        if OUTCOMES[name].is_truth:
            rows.append((name, f"yes for {np.count_nonzero(values):,}", "", "", ""))
        elif np.any(np.isfinite(values)):
            low, high = (np.unravel_index(find(values), s.shape) for find in (np.nanargmin, np.nanargmax))
            least, most = (_cell(values[at], name, units) for at in (low, high))
            rows.append((_titled(name, units), least, _place(s, low), most, _place(s, high)))
        else:
            rows.append((_titled(name, units), "none", "", "", ""))
    return table(("result", "least", "at", "greatest", "at"), tuple(rows))


def _place(s: Sweep, index: tuple[Any, ...]) -> str:
    values = zip(index, s.axes, strict=True)
    return ", ".join(f"{axis.name.rpartition('.')[2]} {_label(axis, int(i), s.build.units)}" for i, axis in values)


def _counts(s: Sweep) -> list[str]:
    """A line for each thing wrong with some design."""
    lines = [f"{np.count_nonzero(where):,} cannot be made: {words}." for words, where in s.misfits.items()]
    for name, where in s.flags.items():
        if np.any(where):
            lines.append(f"{name}: {np.count_nonzero(where):,} of {s.size:,}. {FLAGS[name]}")
    if not np.all(s.done):
        lines.append(f"{np.count_nonzero(~s.done):,} were not solved; the numbers here are of those that were.")
    return lines


def _met(s: Sweep) -> list[str]:
    unasked = " and ".join(wanted.name for wanted in s.build.target if wanted.name not in s.results)
    left = [f"The target also asks for {unasked}, which is not counted here: name it with --of."] if unasked else []
    if not s.aims:
        return left
    names = " and ".join(wanted.name for wanted in s.aims)
    solved = f"{np.count_nonzero(s.done):,}" + ("" if np.all(s.done) else " solved")
    return [f"{np.count_nonzero(s.meets_target):,} of {solved} meet the build's target on {names}.", *left]


def sweep_document(s: Sweep, demo: bool) -> dict[str, Any]:
    """A sweep ready for JSON: nested lists in the sweep's shape, null where there is no value.

    Parameters
    ----------
    s : Sweep
    demo : bool
        Whether the build is the packaged demo.

    Returns
    -------
    dict
        Keys ``build demo vary worn_in shape results flags excluded misfits done meets_target``.
    """
    return {
        "build": build_rows(s.build),
        "demo": demo,
        "vary": {axis.name: _axis(axis) for axis in s.axes},
        "worn_in": s.worn,
        "shape": list(s.shape),
        "results": {n: {"value": _values(s, n), "unit": _unit(n)} for n in s.results},
        "flags": {name: where.tolist() for name, where in s.flags.items()},
        "excluded": s.excluded.tolist(),
        "misfits": {words: where.tolist() for words, where in s.misfits.items()},
        "done": s.done.tolist(),
        "meets_target": s.meets_target.tolist() if s.aims else None,
    }


def _axis(axis: Axis) -> dict[str, Any]:
    return {"text": list(axis.labels), "value": finite_lists(axis.values) if axis.is_scale else None, "unit": axis.unit}


def _values(s: Sweep, name: str) -> Any:
    return known_only(s, name).tolist() if OUTCOMES[name].is_truth else finite_lists(s.results[name])


def _unit(name: str) -> str:
    return "" if OUTCOMES[name].is_truth else OUTCOMES[name].unit


def sweep_csv(s: Sweep) -> Iterator[str]:
    """Text of the sweep's table in parts, a row a design: units in the heading, an empty cell for no value."""
    return records_csv(s.to_records())
