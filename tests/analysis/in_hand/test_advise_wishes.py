"""Wishes: out of reach by themselves, against each other, met by what is bought, true or false, as a change."""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.advised import advised
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import _rank, advise
from detentsim.analysis.in_hand.advise.aims import UNTRUE, read_aims, wanted_feel
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.knife.record.record import plain
from detentsim.knife.target.target import Target
from detentsim.knife.target.verdict import judge, meets
from detentsim.show.in_hand.advise.document import advise_document
from detentsim.show.in_hand.advise.report import advise_report

pytestmark = pytest.mark.slow  # every test here searches, which costs seconds

FAR = (Target("breakout_force", 9.0, 13.0), Target("falls_shut", truth=True), Target("lash", 20.0))

BOUGHT = {
    "larger ball": (Target("loose_ball_height", 1.5), Target("breakout_force", 7.0, 8.0)),
    "other ball material": (Target("contact_pressure", None, 3200.0), Target("breakout_force", 12.0, 14.0)),
}


@cache
def wished(*targets):
    return advise(replace(workshop(), target=targets))


def one_line(text):
    return " ".join(text.split())


# Out of reach


def test_a_wish_out_of_reach_by_itself_is_named_with_the_nearest():
    a = wished(Target("breakout_force", 9e5))
    (missed,) = a.missed
    assert (a.proposals, a.against, missed.aim.name) == ((), (), "breakout_force")
    made = a.build.change({k: v for m, x in zip(*_of(missed.nearest), strict=True) for k, v in m.texts(x).items()})
    assert ds.curve(made).results["breakout_force"] == pytest.approx(missed.value, rel=1e-6)
    best = " and ".join(m.short(x) for m, x in zip(*_of(missed.nearest), strict=True))
    said = (
        f"B{a.aims[0].words[1:]} is out of reach by itself: no move tried meets it without a new fault; the nearest, "
        f"{best}, gives breakout {a.build.units.two_digits(missed.value, 'N')}."
    )
    assert said in one_line(advise_report(a))
    document = advise_document(a)
    assert said in document["advice"]
    assert document["out_of_reach"][0]["name"] == "breakout_force"
    assert document["out_of_reach"][0]["gives"] == {"value": missed.value, "unit": "N"}


def _of(trial):
    return trial.moves, trial.values


def test_the_nearest_single_move_is_the_nearest_of_all():
    """Every move looked at along its whole range, far more closely than the search does."""
    (missed,) = wished(Target("draw_torque", 9e3)).missed
    assert len(missed.nearest.moves) == 1
    numbers = plain(workshop())
    bench = Trials(numbers, (missed.aim,))
    most = []
    for move in moves(workshop(), numbers):
        values = np.array(move.only) if move.only else np.linspace(move.low, move.high, 1501)
        solved = bench.solve(move.columns(values))
        sound = ~np.any(bench.raised(solved), axis=-1)
        most.append(np.nanmax(solved.results["draw_torque"][sound], initial=0.0))
    assert max(most) == pytest.approx(missed.value, rel=1e-6)


def test_wishes_that_can_be_met_are_not_said_to_pull_against_each_other_because_a_third_cannot():
    a = wished(*FAR)
    assert a.proposals == ()
    assert [one.aim.name for one in a.missed] == ["lash"]
    assert a.against == ()
    text = one_line(advise_report(a))
    assert "Lash at least 20 deg is out of reach by itself" in text
    assert "pull against each other" not in text


def test_where_nothing_comes_nearer_the_builds_own_value_is_told():
    a = wished(Target("yield_strength", 4000.0))
    (missed,) = a.missed
    assert (missed.nearest, missed.value) == (None, a.own["yield_strength"])
    assert "no move tried meets it without a new fault or comes nearer than the build" in one_line(advise_report(a))
    assert advise_document(a)["out_of_reach"][0]["nearest"] == []


def test_two_wishes_that_can_be_met_each_stay_a_pair():
    a = advised("against each other")
    assert (a.missed, a.against) == ((), (("breakout_force", "breakout_torque"),))


# What is bought, in pairs


@pytest.mark.parametrize("name", BOUGHT)
def test_pairs_with_what_is_bought_are_tried(name):
    a = wished(*BOUGHT[name])
    assert all(len(p.names) == 2 for p in a.proposals)
    with_it = [p for p in a.proposals if name in p.names]
    assert with_it
    for p in with_it:
        move, value = next((m, v) for m, v in zip(p.tried.moves, p.tried.values, strict=True) if m.name == name)
        assert value in move.only
        assert all(bool(meets(t, np.array([p.results[t.name]]))[0]) for t in BOUGHT[name])


# True or false


@pytest.mark.parametrize(
    ("changes", "wish", "move"),
    [
        ({"pivot.friction_torque": "4 N*mm"}, "falls_shut", "pivot tension"),
        ({"bar.bend": "2.9 mm"}, "falls_shut", "bend out"),
        ({"bar.bend": "1 mm"}, "opens_fully", "bend in"),
    ],
)
def test_a_wish_for_a_truth_gives_the_search_a_slope(changes, wish, move):
    """The distance falls all the way to where it turns true, if it does, where a bare truth would be one step."""
    build = workshop().change(changes)
    numbers = plain(build)
    bench = Trials(numbers, read_aims((Target(wish, truth=True),), {}))
    (aim,) = bench.aims
    assert aim.spare
    way = next(one for one in moves(build, numbers) if one.name == move)
    solved = bench.solve(way.columns(np.linspace(way.start, way.low if way.low < way.start else way.high, 61)))
    distance, true = aim.distance(solved.results), solved.results[wish] > 0
    assert not true[0]
    until = int(np.argmax(true)) if true.any() else true.size - 1
    assert until > 3
    assert np.all(np.diff(distance[: until + 1]) < 0)
    assert distance[0] == pytest.approx(UNTRUE)
    assert np.all(distance[true] == 0)


def test_a_stiff_pivot_is_freed_and_the_rest_undone_too():
    a = advise(workshop().change({"pivot.friction_torque": "4 N*mm"}))
    assert a.best.undo
    assert "pivot tension" in a.best.names
    assert ds.motion(a.advised).results["falls_shut"] is True


# A change, and words


BENDS = [0.9, 1.2, 1.5, 1.8, 2.1, 2.3, 2.5, 2.8, 3.1, 3.4]


@pytest.mark.parametrize("bend", BENDS)
def test_a_change_is_sized_and_judged_alike(bend):
    """Of many values the aim, the verdict and the mask of a sweep call the same ones met."""
    wish = Target("breakout_force", change=-0.2)
    own = float(ds.curve(workshop().change({"bar.bend": f"{bend} mm"})).breakout_force.m)
    (aim,) = read_aims((wish,), {"breakout_force": own})
    values = np.linspace(0.7, 1.1, 401) * own
    met = aim.miss(values) == 0
    assert met.any()
    assert not met.all()
    np.testing.assert_array_equal(met, meets(wish, values, own))
    judged = [judge((wish,), {"breakout_force": float(v)}, {"breakout_force": own})[0].met for v in values]
    np.testing.assert_array_equal(met, judged)


@pytest.mark.parametrize("bend", BENDS[1::3])
def test_a_proposed_change_is_judged_as_the_verdict_judges_it(bend):
    wish = Target("breakout_force", change=-0.2)
    a = advise(replace(workshop().change({"bar.bend": f"{bend} mm"}), target=(wish,)))
    assert a.proposals
    for p in (*a.proposals, *a.others):
        (verdict,) = judge((wish,), p.results, a.own)
        assert bool(verdict.met) is p.reaches or p.tried.raised, p.names


@pytest.mark.parametrize("bend", BENDS)
def test_lighter_and_stiffer_are_opposite_and_no_build_is_both(bend):
    own = {"breakout_force": float(ds.curve(workshop().change({"bar.bend": f"{bend} mm"})).breakout_force.m)}
    (lighter,), (stiffer,) = wanted_feel("lighter 2", own), wanted_feel("stiffer 2", own)
    assert lighter.high < own["breakout_force"] < stiffer.low
    assert np.sqrt(lighter.low * lighter.high * stiffer.low * stiffer.high) == pytest.approx(own["breakout_force"] ** 2)
    build = workshop().change({"bar.bend": f"{bend} mm"})
    stiff, light = symptom(build, "too stiff"), symptom(build, "too light")
    assert not (stiff.present and light.present)
    low, high = 9.0, 13.0  # the build's own target
    assert stiff.present is (own["breakout_force"] > high)
    assert light.present is (own["breakout_force"] < low)


def test_made_lighter_and_then_stiffer_a_knife_feels_as_before():
    build = workshop()
    lighter = advise(build, "lighter 2").advised
    back = advise(lighter, "stiffer 2").advised
    before, after = (float(ds.curve(one).breakout_force.m) for one in (build, back))
    assert after == pytest.approx(before, rel=0.1)
    assert float(ds.curve(lighter).breakout_force.m) < before / 1.1


def test_a_tight_pivot_is_no_first_way_to_a_stiffer_breakout():
    """It drags; an opener moved inward asks for as much more drag as breakout, and a bend for less."""
    own = {"breakout_force": 10.0, "drag_force": 1.0}
    given = {
        "passed": (),
        "breaks": (),
        "undo": True,
        "names": ("one",),
        "lands": 0.5,
        "side_effects": 0.0,
        "room": 9.0,
    }
    results = {"pivot": (12.0, 1.6), "opener": (12.0, 1.25), "bend": (12.0, 1.1), "none": (12.0, None)}
    tried = {
        name: SimpleNamespace(
            **given | {"results": dict(zip(own, after, strict=True)), "lands": 0.5 + 0.3 * (name == "pivot")}
        )
        for name, after in results.items()
    }
    assert sorted(tried, key=lambda name: _rank(own)(tried[name])) == ["opener", "bend", "none", "pivot"]


def test_a_knife_without_friction_is_advised_too():
    smooth = workshop().change({"friction.ball_on_tang": 0.0, "pivot.friction_torque": "0 N*mm"})
    assert ds.curve(smooth).results["drag_force"] == 0
    assert ds.advise(smooth, want="stiffer").best
