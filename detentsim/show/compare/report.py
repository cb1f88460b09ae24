"""A comparison as text for the bench, as a JSON document and as a table of forces."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING, Any

from detentsim.analysis.compare.distance import FLOOR, Distance
from detentsim.analysis.compare.quantities import UNITS, UNREAD
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.target.target import FELT
from detentsim.show.theme.rows import finite, verdict_rows
from detentsim.show.theme.tables import table, wrap
from detentsim.units.numbers import two

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.compare.compare import Comparison, Difference
    from detentsim.analysis.compare.feel_curves import FeelCurve

# Columns of a table that fit a line.
ABREAST = 4

_LABELS = {
    "breakout_force": "breakout",
    "breakout_force_angle": "breakout at",
    "let_go_angle": "lets go at",
    "breakout_energy": "work to break out",
    "drag_after_let_go": "drag past let-go",
    "drag_force": "drag at mid-swing",
    "draw_torque": "draws onto its stop",
}

_STEP = (
    f"A step of a hand is {100 * FELT:.0f} % of force: what a finger just tells apart (published 7 to 10 %). The "
    "distance is the root mean square of the steps over angle, from the earlier breakout to the later let-go."
)


def compare_report(c: Comparison) -> str:
    """Text of a comparison.

    Parameters
    ----------
    c : Comparison

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    parts = [
        ["Compared", *(line for n, feel in enumerate(c.items, 1) for line in wrap(_called(feel), f"  {n}. ", "     "))],
        _values(c),
        _changes(c),
        ["How far apart they feel", *(line for words in distance_words(c) for line in wrap(words))],
        _target(c),
        _verdicts(c),
        _trust(c),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _called(feel: FeelCurve) -> str:
    if feel.kind == "build":
        return f"{feel.name}: a build"
    return f"{feel.name}: measured, {feel.count} run{'s' * (feel.count > 1)}"


def _values(c: Comparison) -> list[str]:
    columns = [[_value(feel, name) for name in UNITS] for feel in c.items]
    lines = ["Results, +- the scatter over the runs"]
    return lines + _tables([str(n) for n in range(1, len(columns) + 1)], columns)


def _tables(heads: list[str], columns: list[list[str]]) -> list[str]:
    """Columns side by side, so many abreast."""
    lines: list[str] = []
    labels = [f"{_LABELS[name]} [{unit}]" for name, unit in UNITS.items()]
    for start in range(0, len(columns), ABREAST):
        part = columns[start : start + ABREAST]
        text = table(("", *heads[start : start + ABREAST]), tuple(zip(labels, *part, strict=True)))
        lines += [f"  {line}" for line in text.splitlines()]
    return lines


def _value(feel: FeelCurve, name: str) -> str:
    value = feel.values[name]
    if value is None:
        return "-"
    return two(value) + (f" +- {_size(feel.scatter[name], value)}" if name in feel.scatter else "")


def _size(part: float, whole: float) -> str:
    """A scatter or a change beside the value it belongs to; what is rounding of that value is 0."""
    return "0" if abs(part) <= 1e-9 * abs(whole) else two(part)


def _changes(c: Comparison) -> list[str]:
    if len(c.items) < 2:
        return []
    columns = [[_change(found.get(name)) for name in UNITS] for found in c.differences[1:]]
    lines = [f"Differences to 1, {c.first.name}"]
    lines += _tables([str(n) for n in range(2, len(c.items) + 1)], columns)
    doubtful = [n for n, found in enumerate(c.differences, 1) for d in found.values() if d.clear is False and n > 1]
    return lines + (["  (?) within the scatter of the runs, or what the gauge leaves open"] if doubtful else [])


def _change(found: Difference | None) -> str:
    if found is None:
        return "-"
    part = "" if found.part is None else f" ({100 * found.part:+.0f} %)"
    size = two(found.change)
    return ("+" if found.change > 0 else "") + size + part + (" (?)" if found.clear is False else "")


def distance_words(c: Comparison) -> Iterator[str]:
    """How far each item feels from the first, sentence by sentence.

    Parameters
    ----------
    c : Comparison

    Yields
    ------
    str
    """
    for n, (feel, found, steps) in enumerate(zip(c.items, c.distances, c.breakout_steps, strict=True), 1):
        if n > 1:
            yield f"{n}, {feel.name}: {_apart(found, '1')}{_breakout(steps)}"
    yield _STEP


def _apart(found: Distance, what: str) -> str:
    if found.steps is None:
        return f"no distance to {what}: {found.why}."
    told = (
        "a hand does not tell them apart"
        if found.steps < 0.5
        else "at the edge of what a hand tells apart"
        if found.steps < 1.5
        else "a hand tells them apart"
    )
    over = f"over {two(found.start)} to {two(found.end)} deg"
    return f"{_steps(found.steps)} from {what} {over}; {told}."


def _steps(steps: float) -> str:
    return f"{steps:.1f} step{'s' * (f'{steps:.1f}' != '1.0')}"


def _breakout(steps: float | None) -> str:
    if steps is None or abs(steps) < 0.05:
        return ""
    return f" Its breakout is {_steps(abs(steps))} {'stiffer' if steps > 0 else 'lighter'}."


def target_words(c: Comparison) -> Iterator[str]:
    """How far each item feels from the target curve, sentence by sentence; nothing without one.

    Parameters
    ----------
    c : Comparison

    Yields
    ------
    str
    """
    for n, (feel, found) in enumerate(zip(c.items, c.to_target, strict=c.target is not None), 1):
        inside = "" if found.steps is None else f" Within one step over {100 * found.within:.0f} % of those angles."
        yield f"{n}, {feel.name}: {_apart(found, 'the target')}{inside}"
    steps = min((d.steps for d in c.to_target if d.steps is not None), default=None)
    if steps is not None and len(c.items) > 1:
        nearest = next(n for n, d in enumerate(c.to_target, 1) if d.steps == steps)
        yield f"Nearest to it is {nearest}, {c.items[nearest - 1].name}."
    yield from c.contradictions


def _target(c: Comparison) -> list[str]:
    if c.target is None:
        return []
    return ["Against the target curve", *(line for words in target_words(c) for line in wrap(words))]


def _verdicts(c: Comparison) -> list[str]:
    if not c.bands:
        return []
    lines = ["Against the build's [target]"]
    for n, found in enumerate(c.verdicts, 1):
        lines += [line for v in found for line in wrap(f"{n}: {v.text}")]
    return lines


def _trust(c: Comparison) -> list[str]:
    """Flags, noise, and why a result is missing."""
    lines: list[str] = []
    feels = [(f"{n}", feel) for n, feel in enumerate(c.items, 1)]
    feels += [] if c.target is None else [("target", c.target)]
    for called, feel in feels:
        words = [] if feel.curve is None else [f"{FLAGS[flag]} [{flag}]" for flag in feel.curve.flags]
        missing: dict[str, list[str]] = {}
        for name, why in feel.why.items():
            if called == "target" and why == UNREAD:
                continue
            missing.setdefault(why, []).append(_LABELS[name])
        words += [*feel.notes, *(f"No {', '.join(names)}: {why}." for why, names in missing.items())]
        lines += [line for sentence in words for line in wrap(f"{called}: {sentence}")]
    return ["How far to trust it", *lines] if lines else []


def compare_document(c: Comparison) -> dict[str, Any]:
    """Everything a comparison knows, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    c : Comparison

    Returns
    -------
    dict
        Keys ``items target step curves``; the first item is what differences are counted from.
    """
    return {
        "items": [_item(c, i) for i in range(len(c.items))],
        "target": None if c.target is None else _feel(c.target) | {"contradictions": list(c.contradictions)},
        "step": {"ratio": 1 + FELT, "floor_N": FLOOR, "words": _STEP},
        "curves": {
            "blade_angle_deg": c.angle.tolist(),
            "force_N": [[finite(v) for v in row] for row in c.forces.tolist()],
        },
    }


def _item(c: Comparison, i: int) -> dict[str, Any]:
    found = _feel(c.items[i])
    found["differences"] = {
        name: {"change": d.change, "unit": UNITS[name], "part": d.part, "clear": d.clear}
        for name, d in c.differences[i].items()
    }
    found["breakout_steps"] = c.breakout_steps[i]
    found["distance"] = _distance(c.distances[i])
    found["to_target"] = _distance(c.to_target[i]) if c.to_target else None
    found["verdicts"] = verdict_rows(c.verdicts[i])
    return found


def _feel(feel: FeelCurve) -> dict[str, Any]:
    return {
        "name": feel.name,
        "kind": feel.kind,
        "source": feel.source,
        "demo": feel.curve is not None and feel.curve.build.demo,
        "flags": [] if feel.curve is None else list(feel.curve.flags),
        "results": {name: _result(feel, name) for name in UNITS},
        "runs": feel.count if feel.kind == "measured" else None,
        "noise_N": feel.noise,
        "notes": list(feel.notes),
    }


def _result(feel: FeelCurve, name: str) -> dict[str, Any]:
    found: dict[str, Any] = {"value": feel.values[name], "unit": UNITS[name]}
    if found["value"] is None:
        return found | {"why": feel.why.get(name, "there is none")}
    return found | ({"scatter": feel.scatter[name]} if name in feel.scatter else {})


def _distance(found: Distance) -> dict[str, Any]:
    if found.steps is None:
        return {"steps": None, "why": found.why}
    return {"steps": found.steps, "from_deg": found.start, "to_deg": found.end, "within_one_step": found.within}


def compare_csv(c: Comparison) -> str:
    """Text of the table of forces at common angles; it can be read again as a measured curve of several runs.

    Parameters
    ----------
    c : Comparison

    Returns
    -------
    str
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["blade_angle_deg", *(f"force {n}: {feel.name} [N]" for n, feel in enumerate(c.items, 1))])
    for angle, row in zip(c.angle.tolist(), c.forces.T.tolist(), strict=True):
        writer.writerow([repr(angle), *("" if math.isnan(v) else repr(v) for v in row)])
    return out.getvalue()
