"""Sentences of a plan in steps: what to set, what to read then, and at which reading to go on or stop."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.outcomes import RESULTS, label
from detentsim.units.numbers import digits, percent

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.chances.prospects import Plan
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.units.systems import UnitSystem


# What is done again after a reading, by the input that a move turns on: to raise that input, and to lower it.
_GOES = {
    "bar.bend": ("bend the bar", "in", "out"),
    "tang.face_gap": ("take a washer", "thicker", "thinner"),
    "stop.pin_change": ("take a pin", "thicker", "thinner"),
    "pivot.friction_torque": ("set the tension", "tighter", "looser"),
    "blade.mass": ("make the opener", "heavier", "lighter"),
    "": ("set it", "higher", "lower"),
}


def plan_words(move: Move, plan: Plan) -> tuple[str, ...]:
    """Instructions of a plan, a sentence each.

    Parameters
    ----------
    move : Move
    plan : Plan

    Returns
    -------
    tuple of str
        The first setting, where there is one before the first reading; what to read; the rule; what comes of it.
    """
    first = plan.rule.first != move.start or not move.stays
    set_first = (f"{move.words(plan.rule.first)}.",) if first else ()
    return (*set_first, *_height(move, plan), _reading(move, plan, first), _rule(move, plan, first))


def outcome_words(plan: Plan, knives: str) -> str:
    """The outcome of following a plan, in one sentence.

    Parameters
    ----------
    plan : Plan
    knives : str
        Whose chances these are.
    """
    past = f"{percent(plan.overshoots)} go too far" if plan.overshoots >= 0.005 else "hardly one goes too far"
    return f"Tried on {knives}: {percent(plan.lands)} end as wanted, {past}."


def said(value: float, unit: str, units: UnitSystem) -> str:
    """A value to three digits, in the units of the report.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
    units : UnitSystem
    """
    number, shown = units.pair(value, unit)
    return f"{digits(number, 3)} {shown}".strip()


def _height(move: Move, plan: Plan) -> tuple[str, ...]:
    if plan.height is None or plan.watch.name == "loose_ball_height":
        return ()
    height = move.units.size(plan.height)
    return (f"Lay a loose ball in the dimple: it should stand {height} proud.",)


def _reading(move: Move, plan: Plan, first: bool) -> str:
    name = plan.watch.name
    start = "Then" if first else "Before anything else"
    if RESULTS[name].is_truth:
        return f"{start} let the blade fall three times."
    if name == "loose_ball_height":
        start += " lay a loose ball in the dimple and"
    low, middle, high = (said(value, RESULTS[name].unit, move.units) for value in plan.reads)
    if not math.isfinite(plan.reads[1]):
        return f"{start} read {label(name)}."
    return f"{start} read {label(name)}: likely {middle}, nine in ten between {low} and {high}."


def _rule(move: Move, plan: Plan, first: bool) -> str:
    rule, name = plan.rule, plan.watch.name
    again = "let it fall again" if RESULTS[name].is_truth else "read again"
    on = f"{_on(move, rule.then)} and {again}" if first else _begin(move, rule.then, again)
    if RESULTS[name].is_truth:
        return f"Where it hangs even once, {on}; else, stop."
    unit = RESULTS[name].unit
    if rule.two_way:
        return _two_way(move, plan, unit)
    under = math.isfinite(rule.low)
    limit = said(rule.low if under else rule.high, unit, move.units)
    go, stop = (f"Under {limit}", "or more") if under else (f"Over {limit}", "or less")
    return f"{go}, {on}; at {limit} {stop}, stop."


_FRICTION = "friction.ball_on_tang"  # nobody can oil or polish by a stated change of it


def _on(move: Move, then: float) -> str:
    """How to go on."""
    return "do the same again" if _FRICTION in move.inputs else f"go on by {move.shown(abs(then))}"


def _begin(move: Move, then: float, again: str) -> str:
    """How to begin, where nothing is set before the first reading, and to go on where more can be set."""
    value, on = move.start + then, _on(move, then)
    words = move.words(value)
    if _FRICTION in move.inputs:
        words, on = words.partition(", so that")[0], "repeat"
    begun, more = f"{words[0].lower()}{words[1:]}", abs((move.high if then > 0 else move.low) - value) > move.near / 2
    return f"{begun}, {again} and {on}" if more else f"{begun} and {again}"


def _two_way(move: Move, plan: Plan, unit: str) -> str:
    rule, units = plan.rule, move.units
    low, high = said(rule.low, unit, units), said(rule.high, unit, units)
    middle = said((rule.low + rule.high) / 2, unit, units)
    one, shown = units.pair(1.0, unit)
    amount = move.shown(abs(rule.then) / one)
    do, more, less = _GOES.get(move.inputs[0], _GOES[""])
    under, over = (more, less) if rule.then > 0 else (less, more)
    each = f"each {shown}" if shown else "each 1"
    again = f"{do} {amount} {under} for {each} under {middle}, {over} for each over it"
    return f"Between {low} and {high}, stop; else {again}, and read again."
