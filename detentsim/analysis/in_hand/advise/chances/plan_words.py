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
    first = plan.rule.first != move.start
    set_first = (f"{move.words(plan.rule.first)}.",) if first else ()
    return (*set_first, *_height(move, plan), _reading(move, plan, first), _rule(move, plan))


def outcome_words(plan: Plan) -> str:
    """What comes of following a plan, in one sentence.

    Parameters
    ----------
    plan : Plan
    """
    past = f"{percent(plan.overshoots)} go too far" if plan.overshoots >= 0.005 else "hardly one goes too far"
    return f"Followed on the knives that this may be, it ends inside on {percent(plan.lands)}; {past}."


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
    if plan.height is None:
        return ()
    height = move.units.size(plan.height)
    return (f"Lay a loose ball in the dimple: it should stand {height} proud.",)


def _reading(move: Move, plan: Plan, first: bool) -> str:
    name = plan.watch.name
    start = "Then" if first else "Before anything else"
    if RESULTS[name].is_truth:
        return f"{start} let the blade fall three times."
    low, middle, high = (said(value, RESULTS[name].unit, move.units) for value in plan.reads)
    if not math.isfinite(plan.reads[1]):
        return f"{start} read {label(name)}."
    return f"{start} read {label(name)}: likely {middle}, nine in ten between {low} and {high}."


def _rule(move: Move, plan: Plan) -> str:
    rule, name = plan.rule, plan.watch.name
    if RESULTS[name].is_truth:
        return f"Where it hangs even once go on by {move.shown(abs(rule.then))} and let it fall again; else stop."
    unit = RESULTS[name].unit
    if rule.two_way:
        return _two_way(move, plan, unit)
    under = math.isfinite(rule.low)
    limit = said(rule.low if under else rule.high, unit, move.units)
    go, stop = (f"Under {limit}", "or more") if under else (f"Over {limit}", "or less")
    return f"{go} go on by {move.shown(abs(rule.then))} and read again; at {limit} {stop} stop."


def _two_way(move: Move, plan: Plan, unit: str) -> str:
    rule, units = plan.rule, move.units
    low, high = said(rule.low, unit, units), said(rule.high, unit, units)
    middle = said((rule.low + rule.high) / 2, unit, units)
    one, shown = units.pair(1.0, unit)
    amount = move.shown(abs(rule.then) / one)
    side = math.copysign(1.0, rule.first - move.start)
    under, over = ("farther", "back") if rule.then * side > 0 else ("back", "farther")
    each = f"each {shown} under {middle}" if shown else f"each 1 under {middle}"
    return (
        f"Between {low} and {high} stop; else for {each} go {amount} {under}, for each over it {over}, and read again."
    )
