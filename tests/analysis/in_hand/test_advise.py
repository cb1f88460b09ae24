"""Advice: what it promises comes true, nothing it passes is unsaid, and what comes first is what a bench would try."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from helpers.advised import CASES, advised, made
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.analysis.one_build.summary import summary
from detentsim.analysis.results import single
from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.verdict import judge
from detentsim.mechanics.names import ALL_NAMES
from detentsim.mechanics.response import respond
from detentsim.show.in_hand.advise.document import advise_document
from detentsim.show.in_hand.advise.page import decision_figure
from detentsim.show.in_hand.advise.report import advise_report
from detentsim.show.in_hand.advise.verdict import standing, verdict
from detentsim.show.theme.rows import summary_row

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds
CHANGED = [name for name in CASES if name != "right"]


@cache
def after(name, place):
    """Response of the build that a proposal makes."""
    p = advised(name).proposals[place]
    return respond(assemble(plain(made(name).change(p.changes))), ALL_NAMES)


def notes(figure):
    return figure.texts[-1].get_text()


# Promises


@pytest.mark.parametrize("name", CHANGED)
def test_what_is_promised_comes_true(name):
    a = advised(name)
    for place, p in enumerate(a.proposals):
        found = single(after(name, place).results)
        assert set(p.results) == set(ALL_NAMES)
        for result, told in p.results.items():
            real = found[result]
            if told is None:
                assert real is None, (p.names, result)
            else:
                assert real == pytest.approx(float(told), rel=1e-6, abs=1e-9), (p.names, result)


@pytest.mark.parametrize("name", [name for name in CHANGED if name != "against each other"])
def test_the_feel_curve_of_the_advised_build_meets_what_is_wanted(name):
    a = advised(name)
    c = ds.curve(a.advised)
    for aim in a.aims:
        if aim.truth is not None:
            assert bool(ds.motion(a.advised)[aim.name]) == aim.truth
        else:
            value = c.results[aim.name]
            assert aim.low - 1e-6 <= value <= aim.high + 1e-6
            assert value == pytest.approx(a.best.results[aim.name], rel=1e-6)


@pytest.mark.parametrize("name", CHANGED)
def test_nothing_advised_raises_a_flag_unsaid(name):
    own = respond(assemble(plain(made(name)))).flags
    a = advised(name)
    for place, p in enumerate(a.proposals):
        raised = [flag for flag in FLAGS if after(name, place).flags[flag] and not own[flag]]
        assert sorted(raised) == sorted(p.flags), p.names
        assert not set(raised) & set(UNSOUND)


@pytest.mark.parametrize("name", ["proud", "bent too little"])
def test_nothing_advised_passes_a_limit_unsaid(name):
    before = {limit.name for limit in ds.limits(made(name)).passed}
    for p in advised(name).proposals:
        passed = {limit.name for limit in ds.limits(made(name).change(p.changes)).passed} - before
        assert passed == set(p.passed), p.names
        assert all(limit in p.reason for limit in p.passed)


@pytest.mark.parametrize("name", CHANGED)
def test_what_reaches_lies_in_the_band_and_what_does_not_says_why(name):
    a = advised(name)
    for p in a.proposals:
        assert p.reaches
        for aim in a.aims:
            value = p.results[aim.name]
            assert float(aim.miss(np.array([float(value)]))[0]) == 0
        assert p.reason.count(".\n") == 0
        assert p.reason.endswith(".")
    for p in a.others:
        assert not p.reaches
        assert p.reason.startswith(("It would get there", "Even at its best", NO_HELP)), p.reason
        if p.reason.startswith("It would get there, but not before this"):
            assert any(FLAGS[flag] in p.reason for flag in UNSOUND)
    assert len({p.names for p in (*a.proposals, *a.others)}) == len(a.proposals) + len(a.others)


def test_advice_and_verdict_agree_on_when_a_change_is_met():
    a = advised("a tenth lighter")
    assert len(a.proposals) > 5
    for p in a.proposals:
        (verdict,) = judge(a.build.target, p.results, a.own)
        assert verdict.met, (p.names, verdict.text)
    for p in a.others:
        assert all(not verdict.met for verdict in judge(a.build.target, p.results, a.own)), p.names


# Ranking


@pytest.mark.parametrize("name", CHANGED)
def test_what_can_be_undone_outranks_what_cannot(name):
    safe = [p for p in advised(name).proposals if not p.passed]
    order = [not p.undo for p in safe]
    assert order == sorted(order)
    whole = [bool(p.passed) for p in advised(name).proposals]
    assert whole == sorted(whole)


@pytest.mark.parametrize("name", CHANGED)
def test_what_a_careful_bench_is_sure_to_meet_outranks_what_takes_luck(name):
    """Among moves alike in limits and undoing: side effects never put one of little room before a sure one."""
    for kind in {(bool(p.passed), p.undo) for p in advised(name).proposals}:
        alike = [p for p in advised(name).proposals if (bool(p.passed), p.undo) == kind]
        rooms = [1.0 if p.room is None else min(p.room, 1.0) for p in alike]
        assert all(a >= b - 0.25 for a, b in pairwise(rooms)), list(zip(rooms, alike, strict=True))


def test_undoable_and_final_moves_both_reach_somewhere():
    kinds = {(name, p.undo) for name in CHANGED for p in advised(name).proposals}
    assert any((name, True) in kinds and (name, False) in kinds for name in CHANGED)


def test_a_build_that_is_right_is_left_alone():
    a = advised("right")
    assert (a.right, a.best, a.advised, a.proposals, a.short) == (True, None, None, (), "leave it alone")


def test_a_build_past_a_limit_or_flagged_is_not_right_as_it_is():
    """Report, figure and JSON take one text, with what is wrong first."""
    build = workshop().change({"tang.hardness": "42 HRC"})
    a = advise(build)
    assert (a.met, a.right) == (True, False)
    assert a.short == "leave its feel alone"
    said = [*standing(a), *verdict(a)]
    checked = summary(build)
    assert said[:-1] == [checked.words, *(check.words for check in checked.bad)]
    assert FLAGS["dents_tang"] in said[1]
    report, figure = (" ".join(text.split()) for text in (advise_report(a), notes(decision_figure(a))))
    document = advise_document(a)
    assert document["verdict"] == summary_row(checked)
    assert (document["advice"], document["met"], document["right"]) == (said[-1], True, False)
    for text in (report, figure):
        assert "right as it is." not in text
        assert all(sentence in text for sentence in said)
        assert said[0].startswith("Not right as it is")
    assert report.index(said[0]) < report.index("Wanted")


def test_a_limit_that_is_past_already_is_told_before_the_moves():
    a = advised("measured")
    assert a.past == tuple(limit.name for limit in ds.limits(a.build).passed)
    report = " ".join(advise_report(a).split())
    assert a.past
    worst = next(limit for limit in ds.limits(a.build).passed if limit.name == a.past[0])
    assert report.index(worst.words) < report.index("What to change")


def test_polish_and_pressed_balls_cannot_be_undone():
    rough = workshop().change({"friction.ball_on_tang": 0.3})
    undo = {move.name: move.undo for move in moves(rough, plain(rough))}
    assert {name for name, can in undo.items() if can} == {
        "bend in", "bend out", "washer thicker", "washer thinner", "pivot tension", "oil the track",
        "lighter opener", "heavier opener",
    }  # fmt: skip
    oiled = {move.name for move in moves(workshop(), plain(workshop()))}
    assert "oil the track" not in oiled  # 0.12 is an oiled track already


def test_a_build_that_locks_is_not_right_whatever_else_it_meets():
    build = workshop().change({"friction.ball_on_tang": 1.2, "dimple.rim_feed": "0.3 mm"})
    aim = Aim("loose_ball_height", 0.0, 5.0, None, 0.1)
    a = advise(build, aims=(aim,))
    assert not a.right
    for p in a.proposals:
        assert not respond(assemble(plain(build.change(p.changes)))).flags["locks_solid"]


def test_contradictory_targets_are_told():
    a = advised("against each other")
    assert a.proposals == ()
    assert a.short == "nothing reaches it"
    assert a.against == (("breakout_force", "breakout_torque"),)
    for name in a.against[0]:
        alone = tuple(aim for aim in a.aims if aim.name == name)
        bench = Trials(plain(a.build), alone)
        assert any(bench.best_of([move])[0].miss == 0 for move in moves(a.build, plain(a.build)))


@pytest.mark.parametrize(
    "change", [{"bar.bend": 1.01}, {"bar.relief_thickness": 0.99}, {"friction.ball_on_tang": 1.01}]
)
def test_the_first_proposal_stays_under_a_change_of_one_percent(change):
    build, (name, part) = made("bent too little"), next(iter(change.items()))
    value = build.si(name) * part
    near = build.change({name: value if name.startswith("friction") else f"{value * 1e3:.6g} mm"})
    assert advise(near).best.names == advised("bent too little").best.names
