"""Advice and the other commands give one verdict on a build, and on what each proposal makes of it."""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest
from helpers.advised import shown
from helpers.garden import workshop
from helpers.unlike import UNLIKE, unlike, unlike_advised

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
from detentsim.analysis.in_hand.advise.words import least_change_words
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.target.target import Target
from detentsim.show.in_hand.advise.document import advise_document
from detentsim.show.in_hand.advise.page import _notes
from detentsim.show.in_hand.advise.report import advise_report
from detentsim.show.in_hand.advise.verdict import why_nothing
from detentsim.show.one_build.feel_curve.report import report as curve_report
from detentsim.show.one_build.limits.report import limits_report
from detentsim.show.one_build.motion.report import motion_document, motion_report

pytestmark = pytest.mark.slow  # every test here asks for advice, which costs seconds

FINE = "this build is right as it is."


def one_line(text):
    return " ".join(text.split())


@cache
def texts(name):
    """What advise says of a build: both reports, and the words under its figure."""
    a = unlike_advised(name)
    known = shown(unlike_advised, name)
    reports = [advise_report(a, known, full=full) for full in (False, True)]
    return [one_line(text) for text in (*reports, _notes(a))]


@pytest.mark.parametrize("name", UNLIKE)
def test_builds_are_bad_where_they_are_meant_to_be(name):
    bad = [check.name for check in summary(unlike(name)).bad]
    assert set(UNLIKE[name][1]) <= set(bad)
    assert bool(bad) is bool(UNLIKE[name][1])


@pytest.mark.parametrize("name", UNLIKE)
def test_what_another_command_calls_unsafe_advice_does_not_call_fine(name):
    build, a = unlike(name), unlike_advised(name)
    bar, moved = ds.limits(build), ds.motion(build)
    checked = summary(build, bar)
    said = checked.words
    others = curve_report(ds.curve(build)), limits_report(bar, checked), motion_report(moved)
    assert all(said in one_line(text) for text in others)
    unsafe = said.startswith("Not right as it is")
    for text in texts(name):
        assert (FINE in text) is not unsafe
        assert (said in text) or not unsafe
    document = advise_document(a)
    assert document["verdict"] == motion_document(moved)["verdict"]
    assert document["right"] is not unsafe
    assert (FINE in document["advice"]) is not unsafe
    assert (a.short == "leave it alone") is not unsafe


@pytest.mark.parametrize("name", UNLIKE)
def test_the_short_report_tells_every_check_that_is_bad_or_weak(name):
    short = texts(name)[0]
    for check in unlike_advised(name).summary.checks:
        if check.state in ("bad", "mind"):
            assert check.words in short, check.name


@pytest.mark.parametrize(("name", "want"), [*((name, None) for name in UNLIKE), ("as drawn", "lighter 3")])
def test_the_verdict_after_a_proposal_is_that_of_the_changed_build(name, want):
    a = unlike_advised(name, want)
    before = {check.name for check in a.summary.bad}
    for p in a.proposals:
        after = ds.curve(a.build.change(p.changes)).summary
        assert p.after.words == after.words, p.names
        assert ("Even then the knife is not right" in p.reason) is not after.sound, p.names
        assert ("the target in its file is missed" in p.reason) is (after["target"].state == "bad"), p.names
        broken = {check.name for check in after.bad} - before
        if want and ds.curve(a.build.change(p.changes)).falls_shut:
            broken -= {"target"}  # only what is wanted now goes past the build's own target
        assert set(p.breaks) == broken, p.names


def test_what_breaks_a_check_comes_after_what_breaks_none():
    """Made three hand-steps lighter as wanted, the knife misses its own target: that is said, and ranks no proposal."""
    a = unlike_advised("as drawn", "lighter 3")
    assert len(a.proposals) > 1
    assert all("the target in its file is missed" in p.reason for p in a.proposals)
    shuts = [p for p in a.proposals if ds.curve(a.build.change(p.changes)).falls_shut]
    assert shuts
    assert not any("target" in p.breaks for p in shuts)
    sound = [p.undo for p in a.proposals if not p.breaks]
    assert sound == sorted(sound, reverse=True)
    order = [bool(p.breaks) for name in UNLIKE for p in unlike_advised(name).proposals]
    assert not all(order)
    for name in UNLIKE:
        broken = [bool(p.breaks) for p in unlike_advised(name).proposals]
        assert broken == sorted(broken)


def test_a_knife_that_its_own_weight_opens_is_not_right_though_its_feel_is_as_wanted():
    heavy = {"blade.mass": "180 gram", "blade.inertia": "300 kg*mm**2", "bar.bend": "0.8 mm"}
    build = workshop().change(heavy)
    force = ds.curve(build).results["breakout_force"]
    build = replace(build, target=(Target("breakout_force", 0.9 * force, 1.1 * force),))
    assert summary(build)["stays shut"].words == "In the worst direction the blade's own weight opens it."
    a = advise(build)
    assert (a.met, a.right, a.proposals) == (True, False, ())
    text = one_line(advise_report(a))
    assert "In the worst direction the blade's own weight opens it." in text
    assert "Leave its feel alone" in text
    assert FINE not in text


def test_a_blade_proud_of_its_stop_is_not_eased_and_asks_for_the_stop():
    """A bent-out bar that leaves it there is no cure; a stop pin is, once the build says where the stop is."""
    aims = symptom(workshop(), "proud of its stop").aims
    tried = SimpleNamespace(sound=True, moves=(), values=())
    able = SimpleNamespace(tried=tried, reason="", results={"rest_angle": 0.1, "draw_torque": 4.0})
    asked = {
        "aims": aims,
        "own": {"rest_angle": 0.2, "draw_torque": -9.0},
        "others": (able,),
        "missed": (),
        "against": (),
    }
    last = "A thicker or thinner stop pin was not tried, since the build gives no stop.radius."
    for changes, told in (({"stop.radius": None}, (last,)), ({"stop.radius": "9 mm"}, ())):
        advice = SimpleNamespace(build=workshop().change(changes), **asked)
        assert least_change_words(advice) == ""
        assert why_nothing(advice) == told
