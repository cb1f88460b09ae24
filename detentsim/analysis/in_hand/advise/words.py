"""Sentences about a proposal: what it gives, how exactly its amount must be met, what stops a move.

Words only, in the build's own units; what is reached and what is not is decided in `trials`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.aims import UNKNOWN
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP, NOTICED
from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.knife.target.words import number_words
from detentsim.units.numbers import digits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.trials.reach import OutOfReach
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.analysis.in_hand.advise.trials.trials import Trials
    from detentsim.analysis.one_build.limits.margins import Limit
    from detentsim.analysis.one_build.summary import Summary
    from detentsim.analysis.results import Told
    from detentsim.units.systems import UnitSystem


def _value_words(name: str, value: float | bool | None, units: UnitSystem) -> str:
    """A result with its value in words."""
    if value is None:
        return f"no {label(name)}"
    if isinstance(value, bool):
        return f"{label(name)}: {'yes' if value else 'no'}"
    return f"{label(name)} {units.two_digits(value, RESULTS[name].unit)}"


def brings(aims: Sequence[Aim], results: Told, units: UnitSystem) -> str:
    """Results that aims are about, in words; and whether one that reads like an end of its band misses it.

    Parameters
    ----------
    aims : sequence of Aim
    results : dict
        In their units.
    units : UnitSystem
    """
    return ", ".join(_against(aim, results[aim.name], units) for aim in aims)


def _against(aim: Aim, value: float | bool | None, units: UnitSystem) -> str:
    if value is None or isinstance(value, bool):
        return _value_words(aim.name, value, units)
    if aim.low <= value <= aim.high:
        return _within(aim, value, units)
    side, end = ("below", aim.low) if value < aim.low else ("above", aim.high)
    near = units.two_digits(value, RESULTS[aim.name].unit) == units.two_digits(end, RESULTS[aim.name].unit)
    return _value_words(aim.name, value, units) + (f", just {side} what is wanted" if near else "")


def _within(aim: Aim, value: float, units: UnitSystem) -> str:
    """A value inside its band: with a third digit where two would round it out of the band."""
    unit = RESULTS[aim.name].unit
    shown = float(digits(value * units.scale(unit), 2)) / units.scale(unit)
    if aim.low * (1 - 1e-9) <= shown <= aim.high * (1 + 1e-9):
        return _value_words(aim.name, value, units)
    return f"{label(aim.name)} {number_words(value, unit, units)}"


def still_wrong(after: Summary) -> str:
    """What is wrong with the knife after a proposal; a target that it then misses is the file's, not what was asked.

    Parameters
    ----------
    after : Summary
        Verdict on the build with the proposal carried out; not sound.
    """
    wrong = after.wrong.replace("the target", "the target in its file")
    return f"Even then the knife is not right: {wrong}."


def why_best(
    bench: Trials, t: Trial, results: Told, passed: tuple[Limit, ...], after: Summary, units: UnitSystem
) -> str:
    """What a proposal gives and costs, and what is wrong with the knife after it.

    Parameters
    ----------
    bench : Trials
    t : Trial
    results : dict of str to float, bool or None
        With the trial carried out, in their units.
    passed : tuple of Limit
        Those that it newly exceeds.
    after : Summary
        Verdict on the build with the trial carried out.
    units : UnitSystem
    """
    undone = "it can be undone" if t.undo else "it cannot be undone"
    moved = [name for name in NOTICED if name not in {aim.name for aim in bench.aims}]
    changed = [text for name in moved if (text := _moved(bench, name, results, units))]
    price = "; besides, " + ", ".join(changed) if changed else "; nothing else changes by what a hand feels"
    past = f"; but it exceeds a limit: {' and '.join(limit.full_name for limit in passed)}" if passed else ""
    still = f" {still_wrong(after)}" if after.wrong else ""
    return f"It gives {brings(bench.aims, results, units)}, and {undone}{price}{_room(t)}{past}.{still}"


def _room(t: Trial) -> str:
    """Tolerance of a move's amount, in words."""
    if not np.isfinite(t.room):
        return ""
    judged = "a careful bench does" if round(t.room, 2) >= 1 else "takes luck" if t.room < 0.3 else "takes care"
    if len(t.moves) > 1:
        return f"; both amounts must be held close, which {judged}"
    (move,) = t.moves
    return f"; hold it within {move.shown(t.room * move.near)}, which {judged}"


def _moved(bench: Trials, name: str, results: Told, units: UnitSystem) -> str:
    """Change of one result in words, if more than half a tenth."""
    own, new = float(bench.base.results[name][0]), results[name]
    if new is None or not np.isfinite(own):
        return "" if new is None and not np.isfinite(own) else f"{_value_words(name, new, units)}"
    if isinstance(new, bool):
        return "" if new == (own > 0) else f"{_value_words(name, new, units)}"
    if own == 0:
        return _value_words(name, new, units) if new else ""
    change = (new - own) / abs(own)
    return f"{label(name)} {100 * change:+.0f} %" if abs(change) >= 0.05 else ""


def why_stopped(bench: Trials, t: Trial, results: Told, own_miss: float, units: UnitSystem) -> str:
    """One sentence on what stops a move that does not meet the aims.

    Parameters
    ----------
    bench : Trials
    t : Trial
    results : dict of str to float, bool or None
        With the trial carried out, in their units.
    own_miss : float
        Distance of the build itself to the aims, in tenths.
    units : UnitSystem
    """
    if t.would and t.raised:
        told = " ".join(FLAGS[flag] for flag in t.raised[:1])
        return f"It would get there, but not before this: {told}"
    if t.loses:
        return f"It would get there, but then what is wanted of {' and '.join(map(label, t.loses))} is lost."
    if t.miss >= own_miss * (1 - 1e-6):
        return NO_HELP
    told = brings(bench.aims, results, units)
    return f"Even at its best it {'' if told.startswith('no ') else 'only '}gives {told}."


def out_of_reach_words(missed: OutOfReach, units: UnitSystem) -> str:
    """One sentence on an aim that nothing tried meets, with how near the nearest comes.

    Parameters
    ----------
    missed : OutOfReach
    units : UnitSystem
    """
    aim, best = missed.aim, missed.nearest
    wish = f"a blade that {label(aim.name)}" if aim.truth else aim.said(units)
    text = f"{wish[0].upper()}{wish[1:]} is out of reach by itself: no move tried meets it without a new fault"
    if best is None:
        return f"{text} or comes nearer than the build as it stands ({_against(aim, missed.value, units)})."
    doing = " and ".join(move.short(value) for move, value in zip(best.moves, best.values, strict=True))
    if aim.truth is not None:
        return f"{text}; the nearest is {doing}."
    return f"{text}; the nearest, {doing}, gives {_against(aim, missed.value, units)}."


def least_change_words(advice: Advice) -> str:
    """The least change of what is wanted with which a single move gets there, in one sentence; empty without one.

    Parameters
    ----------
    advice : Advice
        Without a proposal.

    Notes
    -----
    Least is the sum over the aims of what is missed, in tenths; a move that misses no less than the build as it
    stands is none. A fault that is to be gone, a blade off its stop, is not eased.
    """
    own = sum(_miss(aim, advice.own.get(aim.name, np.nan)) for aim in advice.aims)
    able = [p for p in advice.others if p.tried.sound and p.reason != NO_HELP]
    missed = [sum(_miss(aim, p.results[aim.name]) for aim in advice.aims) for p in able]
    nearer = [(miss, i) for i, miss in enumerate(missed) if 0 < miss < min(own, UNKNOWN) * (1 - 1e-6)]
    if not nearer:
        return ""
    p = able[min(nearer)[1]]
    doing = " and ".join(move.short(value) for move, value in zip(p.tried.moves, p.tried.values, strict=True))
    missing = [(aim, p.results[aim.name]) for aim in advice.aims if _miss(aim, p.results[aim.name]) > 0]
    if any(aim.high == 0 for aim, _ in missing):
        return ""
    eased = "; ".join(_eased(*one, advice.build.units) for one in missing)
    return f"The least change of what is wanted: {eased}; then {doing} does it."


def _miss(aim: Aim, value: float | bool | None) -> float:
    """Tenths by which a value misses an aim."""
    return float(aim.miss(np.array([np.nan if value is None else float(value)]))[0])


def _eased(aim: Aim, value: float | bool | None, units: UnitSystem) -> str:
    """An aim given up, or its end moved to a value."""
    if aim.truth is not None or value is None:
        return f"give up that it {label(aim.name)}" if aim.truth else f"accept that it {label(aim.name)}"
    way, end = ("down to", aim.low) if value < aim.low else ("up to", aim.high)
    unit = RESULTS[aim.name].unit
    number, other = units.distinct_pair(float(value), end, unit)
    return f"let {label(aim.name)} go {way} {number} instead of {other}"
