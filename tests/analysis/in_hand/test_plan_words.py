"""Sentences of a plan in steps: what is done again at which reading, in the bench's own words and the right way."""

import math

import numpy as np
import pytest
from helpers.garden import workshop

from detentsim.analysis.in_hand.advise.chances.course import FINE, Course
from detentsim.analysis.in_hand.advise.chances.judged import Judged
from detentsim.analysis.in_hand.advise.chances.plan_words import plan_words
from detentsim.analysis.in_hand.advise.chances.prospects import Plan
from detentsim.analysis.in_hand.advise.chances.rules import Rule, Watch, rules
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.knife.record.record import plain


@pytest.mark.parametrize(
    ("name", "then", "said"),
    [
        ("bend out", 0.1e-3, "bend the bar 0.100 mm in for each N under 11.0 N, out for each over it"),
        (
            "washer thinner",
            -0.08e-3,
            "take a washer 0.080 mm thinner for each N under 11.0 N, thicker for each over it",
        ),
        ("pivot tension", 2e-3, "set the tension 2 N*mm tighter for each N under 11.0 N, looser for each over it"),
    ],
)
def test_a_two_way_rule_says_which_way(name, then, said):
    """More bend, a smaller gap and a tighter pivot all make the breakout heavier."""
    move = next(one for one in moves(workshop(), plain(workshop())) if one.name == name)
    rule = Rule(move.start * 0.9, then, 9.4, 12.6, True)
    plan = Plan(Watch("breakout_force", 9.0, 13.0, True), rule, 0.9, 0.0, 0.0, 0.9, 1.2, (10.0, 11.0, 12.0), None)
    assert plan_words(move, plan)[-1] == f"Between 9.40 N and 12.6 N, stop; else {said}, and read again."


def test_what_cannot_be_set_by_an_amount_is_done_again():
    """Oil and polish change friction by as much as they do; feed is set."""
    plan = Plan(
        Watch("falls_shut", -math.inf, math.inf, True), Rule(0.1, -0.02, 0.5, math.inf, False),
        0.9, 0.0, 0.0, 0.9, 1.2, (0.0, 1.0, 1.0), None,
    )  # fmt: skip
    build = workshop().change({"friction.ball_on_tang": 0.2})
    own = {move.name: plan_words(move, plan)[-1] for move in moves(build, plain(build))}
    for name in ("oil the track", "polish the track"):
        assert own[name] == "Where it hangs even once, do the same again and let it fall again; else, stop."
    assert "go on by" in own["thin the relief"]


def test_where_a_reading_comes_first_it_says_what_is_begun():
    """Nothing was set before it, so there is nothing to go on with or to do again."""
    build = workshop().change({"friction.ball_on_tang": 0.2})
    begun = {}
    for move in moves(build, plain(build)):
        rule = Rule(move.start, -0.1 * move.near, 0.5, math.inf, False)
        plan = Plan(Watch("falls_shut", -math.inf, math.inf, True), rule, 0.9, 0, 0, 0.9, 1.2, (0, 1, 1), None)
        begun[move.name] = plan_words(move, plan)[-1] if move.stays else ""
    again = "let it fall again and repeat; else, stop."
    assert begun["polish the track"] == f"Where it hangs even once, polish the ball's track and oil it, {again}"
    assert begun["pivot tension"].startswith("Where it hangs even once, set the pivot's tension so that it turns with ")
    assert begun["pivot tension"].endswith("let it fall again and go on by 0.05 N*mm; else, stop.")
    assert not any(
        words.startswith(("Where it hangs even once, go on", "Where it hangs even once, do"))
        for words in begun.values()
    )


def test_what_is_begun_in_one_step_is_not_gone_on_with():
    build = workshop()
    move = next(one for one in moves(build, plain(build)) if one.name == "pivot tension")
    rule = Rule(move.start, move.low - move.start, 0.5, math.inf, False)
    plan = Plan(Watch("falls_shut", -math.inf, math.inf, True), rule, 0.9, 0, 0, 0.9, 1.2, (0, 1, 1), None)
    assert plan_words(move, plan)[-1].endswith(" N*mm and let it fall again; else, stop.")


def test_no_step_goes_on_by_more_than_a_move_has():
    """A pivot that turns with 0.7 N*mm is not set looser by 1 N*mm."""
    build = workshop()
    move = next(one for one in moves(build, plain(build)) if one.name == "pivot tension")
    values = np.linspace(move.low, move.start, FINE)
    tables = {"falls_shut": np.ones((FINE, 1))}
    found = Course(move, values, tables, Judged(*(np.ones((FINE, 1), bool) for _ in Judged._fields)))
    tried = list(rules(found, Watch("falls_shut", -math.inf, math.inf, True), move.low))
    assert {rule.then < 0 for rule in tried} == {True}
    assert min(rule.first + rule.then for rule in tried) >= move.low - 1e-12
