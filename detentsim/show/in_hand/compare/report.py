"""A comparison as text for the bench."""

from __future__ import annotations

from math import isinf
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.compare.quantities import DRAG, UNITS, UNREAD
from detentsim.knife.outcomes import FLAGS, UNSOUND, label
from detentsim.show.theme.rows import HAND_STEP, steps_words
from detentsim.show.theme.tables import report_of, table_lines, titled, wrap, wrap_all
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.hand_steps import Distance
    from detentsim.analysis.in_hand.compare.compare import Comparison
    from detentsim.analysis.in_hand.compare.differences import Difference
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve
    from detentsim.units.systems import UnitSystem

# Columns of a table that fit a line.
ABREAST = 4

# Names where the trade's word for the result alone would not do.
_LABELS = {"breakout_force_angle": "breakout at", "let_go_angle": "lets go at", DRAG: "drag past let-go"}

# Results of the short report.
SHORT = ("breakout_force", "let_go_angle", "breakout_energy", "drag_force")

# Changes below it are rounding [N, deg, mJ or N*mm].
ROUNDING = 1e-6

STEP = (
    f"{HAND_STEP} (Published: 7 to 10 %.) The distance is the root mean square of the steps over angle, from the "
    "earlier breakout to the later let-go."
)


def compare_report(c: Comparison, full: bool = False) -> str:
    """Text of a comparison: how far apart the items feel, then what is wrong with each, then their results.

    Parameters
    ----------
    c : Comparison
    full : bool
        Whether to add every result, every difference, and why a result is missing.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of `Comparison.units`.
    """
    names = tuple(UNITS) if full else SHORT
    parts = [
        ["Compared", *(line for n, feel in enumerate(c.items, 1) for line in wrap(_called(feel), f"  {n}. ", "     "))],
        ["How far apart they feel", *wrap_all(distance_words(c))],
        _target(c),
        _checks(c),
        _values(c, names),
        _changes(c, names),
        _verdicts(c),
        _trust(c, full),
        [] if full else ["Why a result is missing, and all else that was computed: --full."],
    ]
    return report_of(parts)


def _called(feel: FeelCurve) -> str:
    if feel.kind == "build":
        return f"{feel.name}: a build"
    return f"{feel.name}: measured, {feel.count} run{'s' * (feel.count > 1)}"


def _checks(c: Comparison) -> list[str]:
    """Verdict on each build, with what is wrong; its target stands in a block of its own."""
    lines: list[str] = []
    for n, feel in enumerate(c.items, 1):
        if feel.curve is not None:
            found = feel.curve.summary
            told = " ".join([found.words, *(check.words for check in found.bad if check.name != "target")])
            lines += wrap(told, f"  {n}. ", "     ")
    return titled("Each build by itself", lines)


def unsound_words(c: Comparison) -> Iterator[tuple[int, str]]:
    """Number and verdict of each build that is not right.

    Parameters
    ----------
    c : Comparison

    Yields
    ------
    tuple of int and str
    """
    for n, feel in enumerate(c.items, 1):
        if feel.curve is not None and not feel.curve.summary.sound:
            yield n, feel.curve.summary.words


def _values(c: Comparison, names: tuple[str, ...]) -> list[str]:
    columns = [[_value(feel, name, c.units) for name in names] for feel in c.items]
    scatter = ", +- the scatter over the runs" if any(feel.scatter for feel in c.items) else ""
    return [f"Results{scatter}", *_tables([str(n) for n in range(1, len(columns) + 1)], columns, names, c.units)]


def _tables(heads: list[str], columns: list[list[str]], names: tuple[str, ...], units: UnitSystem) -> list[str]:
    """Columns side by side, a limited number abreast."""
    lines: list[str] = []
    labels = [f"{_name(name)} [{units.unit(UNITS[name])}]" for name in names]
    for start in range(0, len(columns), ABREAST):
        part = columns[start : start + ABREAST]
        lines += table_lines(("", *heads[start : start + ABREAST]), tuple(zip(labels, *part, strict=True)))
    return lines


def _name(name: str) -> str:
    """A result in the trade's words."""
    return _LABELS.get(name, label(name))


def _number(value: float, name: str, units: UnitSystem) -> str:
    """Two significant digits in the units shown; rounding counts as zero."""
    return "0" if abs(value) < ROUNDING else two_digits(value * units.scale(UNITS[name]))


def _value(feel: FeelCurve, name: str, units: UnitSystem) -> str:
    value = feel.values[name]
    if value is None:
        return "-"
    scatter = f" +- {_number(feel.scatter[name], name, units)}" if name in feel.scatter else ""
    most = feel.most_breakout if name == "breakout_force" else None
    above = "" if most is None else " or more" if isinf(most) else f" to {_number(most, name, units)}"
    return _number(value, name, units) + above + scatter


def _changes(c: Comparison, names: tuple[str, ...]) -> list[str]:
    if len(c.items) < 2:
        return []
    columns = [[_change(found.get(name), name, c.units) for name in names] for found in c.differences[1:]]
    lines = [f"Differences to 1, {c.first.name}"]
    lines += _tables([str(n) for n in range(2, len(c.items) + 1)], columns, names, c.units)
    doubtful = [n for n, found in enumerate(c.differences, 1) for d in found.values() if d.clear is False and n > 1]
    return lines + (["  (?) within the scatter of the runs, or what the gauge leaves open"] if doubtful else [])


def _change(found: Difference | None, name: str, units: UnitSystem) -> str:
    if found is None:
        return "-"
    if abs(found.change) < ROUNDING:
        return "0"
    part = "" if found.part is None else f" ({100 * found.part:+.0f} %)"
    size = _number(found.change, name, units)
    return ("+" if found.change > 0 else "") + size + part + (" (?)" if found.clear is False else "")


def distance_words(c: Comparison) -> Iterator[str]:
    """How far each item feels from the first, sentence by sentence.

    Parameters
    ----------
    c : Comparison
    """
    for n, (feel, found, steps) in enumerate(zip(c.items, c.distances, c.breakout_steps, strict=True), 1):
        if n > 1:
            change = c.differences[n - 1].get("breakout_force")
            yield f"{n}, {feel.name}: {_apart(found, '1')}{_breakout(steps, change)}"
    yield STEP


def _apart(found: Distance, what: str) -> str:
    if found.steps is None:
        return f"no distance to {what}: {found.why}."
    over = f"from {two_digits(found.start)} to {two_digits(found.end)} deg"
    return f"{steps_words(found.steps)} from {what}, {over}: the difference is {found.felt}."


def _breakout(steps: float | None, change: Difference | None) -> str:
    if steps is None or abs(steps) < 0.05:
        return ""
    doubt = ", but the readings leave that open" if change is not None and change.clear is False else ""
    return f" Its breakout is {steps_words(abs(steps))} {'stiffer' if steps > 0 else 'lighter'}{doubt}."


def target_words(c: Comparison) -> Iterator[str]:
    """How far each item feels from the target curve, sentence by sentence; nothing without one.

    Parameters
    ----------
    c : Comparison
    """
    for n, (feel, found) in enumerate(zip(c.items, c.to_target, strict=c.target is not None), 1):
        inside = (
            "" if found.steps is None else f" Within one hand-step over {100 * found.within:.0f} % of those angles."
        )
        yield f"{n}, {feel.name}: {_apart(found, 'the target')}{inside}"
    steps = min((d.steps for d in c.to_target if d.steps is not None), default=None)
    if steps is not None and len(c.items) > 1:
        nearest = next(n for n, d in enumerate(c.to_target, 1) if d.steps == steps)
        yield f"Nearest to it is {nearest}, {c.items[nearest - 1].name}."
    yield from c.contradictions


def _target(c: Comparison) -> list[str]:
    return titled("Against the target curve", wrap_all(target_words(c)) if c.target is not None else [])


def _verdicts(c: Comparison) -> list[str]:
    if not c.bands:
        return []
    lines = ["Against the build's [target]"]
    for n, found in enumerate(c.verdicts, 1):
        lines += wrap_all(f"{n}: {v.text}" for v in found)
    return lines


def _trust(c: Comparison, full: bool) -> list[str]:
    """What the readings leave open; with `full` also why a result is missing, and traits of the builds."""
    lines: list[str] = []
    feels = [(f"{n}", feel) for n, feel in enumerate(c.items, 1)]
    feels += [] if c.target is None else [("target", c.target)]
    for called, feel in feels:
        flags = feel.curve.flags if full and feel.curve is not None else ()
        words = [f"{FLAGS[flag]} [{flag}]" for flag in flags if flag not in UNSOUND]
        missing: dict[str, list[str]] = {}
        for name, why in feel.why.items() if full else ():
            if called == "target" and why == UNREAD:
                continue
            missing.setdefault(why, []).append(_name(name))
        words += [*feel.notes, *(f"No {', '.join(names)}: {why}." for why, names in missing.items())]
        lines += wrap_all(f"{called}: {sentence}" for sentence in words)
    return titled("How far to trust it", lines)
