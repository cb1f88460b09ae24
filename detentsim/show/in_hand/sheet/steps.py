"""Steps of a sheet in words, the target beside what to expect, and what to do when a reading is off.

Page, text and JSON take the sentences from here, so a number is the same in all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS, label
from detentsim.knife.target.words import wanted_words
from detentsim.show.one_build.layout.words import overclose_words, place_words, way_words
from detentsim.show.one_build.limits.words import bending_words
from detentsim.show.theme.cautions import CHANGE_FIRST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.in_hand.sheet.setting import Drilling
    from detentsim.analysis.in_hand.sheet.sheet import Correction, Sheet


@dataclass(frozen=True)
class SheetStep:
    """One step with its tick box.

    Attributes
    ----------
    title : str
        A word or three.
    do : str
        What to do, and what to read then.
    stop : str
        What to try before it, where it cannot be undone; may be empty.
    rows : tuple of tuple of str
        A small table under it, its heading first; may be empty.
    """

    title: str
    do: str
    stop: str = ""
    rows: tuple[tuple[str, ...], ...] = ()


def steps(s: Sheet) -> tuple[SheetStep, ...]:
    """Steps of a sheet in the order of the bench.

    Parameters
    ----------
    s : Sheet
    """
    return (*_scribing(s), *_drilling(s), *_pressing(s), *_bending(s), _trying(s))


def _scribing(s: Sheet) -> Iterator[SheetStep]:
    if s.layout is not None:
        yield SheetStep("Scribe", place_words(s.layout), way_words(s.layout))


def _speed(s: Sheet, hole: str) -> str:
    """Spindle speed of a drill in words; empty where there is no such drill."""
    found: list[Drilling] = [one for one in s.drillings if one.hole == hole]
    return "".join(
        f"Spindle {one.spindle_speed:.0f} rev/min ({_surface(s, one)}, {one.cutter} in {one.work})." for one in found
    )


def _surface(s: Sheet, one: Drilling) -> str:
    speed, unit = s.build.units.pair(one.surface_speed, "m/min")
    return f"{speed:.0f} {unit}" if speed >= 20 else f"{speed:.3g} {unit}"


def _drilling(s: Sheet) -> Iterator[SheetStep]:
    size, bench = s.build.units.size, s.curve.bench
    hole = [one for one in s.drillings if one.hole == "ball's hole"]
    if hole:
        deep = s.build.si("ball.hole_depth") * 1e3
        how = f"{size(deep)} deep" if deep == deep else "through the bar"
        yield SheetStep("Ball's hole", f"Drill {hole[0].drill}, {how}. {_speed(s, hole[0].hole)}")
    first = bench.steps[0]
    do = _joined(_after(first.do), _speed(s, "first drill"), first.read, _clamp(s))
    yield SheetStep("First drill", do, first.stop)
    if bench.tries:
        second = bench.steps[1]
        head = ("fed from first touch", "loose ball stands proud", "breakout would be")
        rows = tuple((size(t.feed), size(t.height), s.build.units.pull(t.breakout)) for t in bench.tries)
        do = _joined(_after(second.do), _speed(s, "second drill"), "Lay the ball in after each feed:")
        yield SheetStep("Second drill", do, "What was fed too deep stays too deep.", (head, *rows))


def _after(sentence: str) -> str:
    """A bench sentence without the words that its title says already."""
    for start in ("First drill ", "Second drill "):
        sentence = sentence.removeprefix(start)
    return f"{sentence[0].upper()}{sentence[1:]}"


def _joined(*sentences: str) -> str:
    return " ".join(sentence for sentence in sentences if sentence)


def _clamp(s: Sheet) -> str:
    return "" if s.layout is None or not s.layout.overclose else overclose_words(s.layout)


def _pressing(s: Sheet) -> Iterator[SheetStep]:
    size = s.build.units.size
    step = next(one for one in s.curve.bench.steps if "press the ball" in one.do.lower())
    if step.do.startswith("Do not"):
        yield SheetStep("Ball", step.do)
        return
    leaves = " and ".join(size(leaf) for leaf in s.press.leaves)
    plural = "leaves" if len(s.press.leaves) > 1 else "leaf"
    total = f" ({size(s.press.gives)})" if len(s.press.leaves) > 1 else ""
    stop = f"Press down to feeler {plural} {leaves} on the bar's face{total}." if leaves else ""
    yield SheetStep(
        "Ball", _joined(step.do, f"It sits {size(s.press.sits_in)} in the bar.", stop, step.read), step.stop
    )


def _bending(s: Sheet) -> Iterator[SheetStep]:
    step = next(one for one in s.curve.bench.steps if one.do.startswith("Bend the bar"))
    yield SheetStep("Bend", _joined(*bending_words(s.limits), step.read))


def _trying(s: Sheet) -> SheetStep:
    off = [_correction(one, s) for one in s.corrections]
    expect = f"Assemble. Expect a breakout at the opener of {s.curve.in_words('breakout_force')}."
    if s.curve.results["breakout_force"] is None:
        expect = f"Assemble. There is no breakout to expect: {s.curve.why('breakout_force')}."
    missed = " and the ".join(label(name) for name in s.missed)
    change = f"The drawing itself misses the {missed} wanted: ask detentsim advise what to change." if missed else ""
    return SheetStep("Try", _joined(expect, *off, change))


def _correction(one: Correction, s: Sheet) -> str:
    what = "it" if one.name.startswith("breakout") else f"the {label(one.name)}"
    torque = "" if one.torque is None else f", a torque of {s.build.units.two_digits(one.torque, 'N*mm')}"
    reads = f"{what} reads {'over' if one.heavy else 'under'} {s.build.units.pull(one.force)}{torque}"
    if not one.do:
        return f"If {reads}: no change of one size helps; see detentsim advise."
    words = "; ".join(f"{do[0].lower()}{do[1:]}" for do in one.do)
    undo = "" if one.undo else " That cannot be undone: first give the reading to detentsim advise."
    return f"If {reads}: {words}.{undo}"


def target_lines(s: Sheet) -> list[str]:
    """Each wanted result beside what to expect and its likely range; the breakout always.

    Parameters
    ----------
    s : Sheet
    """
    units = s.build.units
    wanted = {one.name: wanted_words(one, units) for one in s.build.target}
    told = dict.fromkeys(["breakout_force", *wanted])
    lines = []
    for name in told:
        if name not in s.curve.results:
            lines += [f"{one.text[0].upper()}{one.text[1:]}" for one in s.curve.verdicts if one.name == name]
            continue
        want = f"; wanted {wanted[name]}" if name in wanted else ""
        words = label(name)
        lines.append(f"{words[0].upper()}{words[1:]}: {s.curve.in_words(name)}{want}")
    return lines


def verdict_lines(s: Sheet) -> list[str]:
    """The verdict in sentences: the whole, each warning, each exceeded limit, what else is bad.

    Parameters
    ----------
    s : Sheet
    """
    flags = [FLAGS[flag] for flag in s.curve.flags]
    others = [check.words for check in s.summary.bad if check.name not in ("warnings", "target")]
    return [_whole(s), *flags, *others]


def _whole(s: Sheet) -> str:
    """The verdict in one sentence, and what follows from a bad one."""
    return s.summary.words if s.summary.sound else f"{s.summary.words} {CHANGE_FIRST}"


def short_verdict(s: Sheet) -> list[str]:
    """The verdict where a page has little room: names of what is exceeded instead of sentences.

    Parameters
    ----------
    s : Sheet
    """
    flags = f"Mind: {', '.join(flag.replace('_', ' ') for flag in s.curve.flags)}." if s.curve.flags else ""
    passed = ", ".join(f"{limit.part} {limit.called}" for limit in s.limits.passed)
    over = f"Exceeded: {passed}; see detentsim limits." if passed else ""
    rest = [check.words for check in s.summary.bad if check.name in ("stays shut", "layout")]
    return [_whole(s), _joined(flags, over), *rest]
