"""Sentences about a proposal: why it is best, how near its amount must be met, what stops a move."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP, NOTICED
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.units.numbers import two

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


def _value(name: str, value: float | bool | None) -> str:
    """A result with its value in words."""
    plain_name = name.replace("_", " ")
    if value is None:
        return f"no {plain_name}"
    if isinstance(value, bool):
        return f"{plain_name}: {'yes' if value else 'no'}"
    return f"{plain_name} {two(value)} {RESULTS[name].unit}".rstrip()


def _brings(bench: Trials, results: dict[str, float | bool | None]) -> str:
    return ", ".join(_value(aim.name, results[aim.name]) for aim in bench.aims)


def why_best(bench: Trials, t: Trial, results: dict[str, float | bool | None], passed: tuple[str, ...]) -> str:
    """One sentence on why this proposal is best.

    Parameters
    ----------
    bench : Trials
    t : Trial
    results : dict of str to float, bool or None
        With the trial carried out, in their units.
    passed : tuple of str
        Limits that it exceeds.
    """
    undone = "it can be undone" if all(move.undo for move in t.moves) else "it cannot be undone"
    moved = [name for name in NOTICED if name not in {aim.name for aim in bench.aims}]
    changed = [text for name in moved if (text := _moved(bench, name, results))]
    price = "; beside it " + ", ".join(changed) if changed else "; nothing else changes by what a hand feels"
    room = _room(t)
    past = f"; but it passes a limit: {' and '.join(passed)}" if passed else ""
    return f"It gives {_brings(bench, results)}, and {undone}{price}{room}{past}."


def _room(t: Trial) -> str:
    """Tolerance of a move's amount, in words."""
    if not np.isfinite(t.room):
        return ""
    judged = (
        "a careful bench does" if round(t.room, 2) >= 1 else "which takes luck" if t.room < 0.3 else "which takes care"
    )
    if len(t.moves) > 1:
        return f"; how near both must be met: {judged.removeprefix('which ')}"
    (move,) = t.moves
    return f"; it must be met within {move.shown(t.room * move.near)}, {judged}"


def _moved(bench: Trials, name: str, results: dict[str, float | bool | None]) -> str:
    """Change of one result in words, if more than half a hand-step."""
    own, new = float(bench.base.results[name][0]), results[name]
    if new is None or not np.isfinite(own):
        return "" if new is None and not np.isfinite(own) else f"{_value(name, new)}"
    if isinstance(new, bool):
        return "" if new == (own > 0) else f"{_value(name, new)}"
    if own == 0:
        return _value(name, new) if new else ""
    change = (new - own) / abs(own)
    return f"{name.replace('_', ' ')} {100 * change:+.0f} %" if abs(change) >= 0.05 else ""


def why_stopped(bench: Trials, t: Trial, results: dict[str, float | bool | None], own_miss: float) -> str:
    """One sentence on what stops a move that does not meet the aims.

    Parameters
    ----------
    bench : Trials
    t : Trial
    results : dict of str to float, bool or None
        With the trial carried out, in their units.
    own_miss : float
        Distance of the build itself to the aims, in hand-steps.
    """
    if t.would and t.raised:
        told = " ".join(FLAGS[flag] for flag in t.raised[:1])
        return f"It would get there, but not before this: {told}"
    if t.loses:
        lost = " and ".join(name.replace("_", " ") for name in t.loses)
        return f"It would get there, but then what is wanted of {lost} is lost."
    if t.miss >= own_miss * (1 - 1e-6):
        return NO_HELP
    return f"Even at its best it only gives {_brings(bench, results)}."


def conflicts(bench: Trials, build: Build, numbers: Plain) -> tuple[tuple[str, str], ...]:
    """Pairs of aims that moves reach one by one and none together.

    Parameters
    ----------
    bench : Trials
    build : Build
    numbers : dict
        Its plain numbers.
    """
    alone = [aim for aim in bench.aims if _reachable(build, numbers, aim)]
    return tuple((a.name, b.name) for i, a in enumerate(alone) for b in alone[i + 1 :])


def _reachable(build: Build, numbers: Plain, aim: Aim) -> bool:
    bench = Trials(numbers, (aim,))
    if float(bench.miss(bench.base)[0]) == 0:
        return True
    return any(t.reaches for t in bench.best_of(moves(build, numbers)))
