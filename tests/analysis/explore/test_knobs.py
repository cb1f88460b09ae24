"""Knobs of the explorer: every stop is what a maker can set, and a turn shows what that build does."""

import math

import numpy as np
import pytest
from helpers.garden import GARDEN_FILE, workshop
from helpers.turned import KINDS, kind, put

import detentsim as ds
from detentsim.analysis.explore.look import AT_ONCE, AT_REST
from detentsim.analysis.explore.session import Session
from detentsim.analysis.explore.stops import MOST
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import limits
from detentsim.knife.target.verdict import judge
from detentsim.shop.balls import balls
from detentsim.shop.drills import drills, find_drill
from detentsim.units.convert import to_si
from detentsim.units.quantities import quantity

NAMES = list(KINDS)
EVERYWHERE = {
    "ball.diameter",
    "ball.protrusion",
    "dimple.pilot_drill",
    "dimple.pilot_depth",
    "dimple.rim_drill",
    "dimple.rim_feed",
    "dimple.edge_radius",
    "dimple.overclose",
    "dimple.radial_error",
    "bar.bend",
    "friction.ball_on_tang",
    "grip.force",
}


# Knobs


@pytest.mark.parametrize("name", NAMES)
def test_every_knob_starts_where_the_build_stands_and_rises(name):
    turns = Session(kind(name))
    assert {knob.name for knob in turns.knobs} >= EVERYWHERE
    for knob in turns.knobs:
        sizes = [stop.si for stop in knob.stops]
        sized = [size for size in sizes if not math.isnan(size)]
        assert sized == sorted(set(sized)), knob.name
        assert 2 < len(sizes) <= MOST + 2, knob.name
        own = turns.first[knob.name]
        if own is not None:
            assert knob.stops[knob.start].text == own.text, knob.name
        assert len({stop.text for stop in knob.stops}) == len(sizes), knob.name
    assert turns.turned == {}


@pytest.mark.parametrize("name", NAMES)
def test_the_text_of_a_stop_is_its_size(name):
    for knob in Session(kind(name)).knobs:
        for place, stop in enumerate(knob.stops):
            if place == knob.start or math.isnan(stop.si):
                continue
            if knob.name in ("dimple.pilot_drill", "dimple.rim_drill"):
                assert find_drill(stop.text, "x").diameter == pytest.approx(stop.si, rel=1e-9)
            elif knob.name == "friction.ball_on_tang":
                assert float(stop.text) == stop.si
            else:
                dimension = "angle" if "deg" in stop.text else "force" if knob.name == "grip.force" else "length"
                assert to_si(stop.text, dimension, "x") == pytest.approx(stop.si, rel=1e-9, abs=1e-15), knob.name


def test_drills_and_balls_go_by_what_can_be_bought():
    turns = Session(workshop())
    stock = {drill.name for drill in drills()}
    for name in ("dimple.pilot_drill", "dimple.rim_drill"):
        texts = [stop.text for stop in turns.knob(name).stops]
        assert set(texts) - {"none"} <= stock
        sizes = [stop.si for stop in turns.knob(name).stops if stop.text != "none"]
        between = {d.diameter for d in drills() if sizes[0] <= d.diameter <= sizes[-1]}
        assert len(between) == len(sizes)  # none is left out
    assert {stop.text for stop in turns.knob("ball.diameter").stops} <= {ball.name for ball in balls()}
    assert turns.knob("dimple.rim_drill").stops[0].text == "none"
    assert turns.knob("dimple.pilot_drill").stops[0].text != "none"


def test_scales_go_in_the_unit_that_the_build_is_written_in():
    turns = Session(kind("inch"))
    for name, unit in (("bar.bend", "thou"), ("dimple.rim_feed", "thou"), ("grip.force", "lbf")):
        assert {stop.text.split()[-1] for stop in turns.knob(name).stops} == {unit}
    angle = Session(kind("over-close by angle")).knob("dimple.overclose")
    assert {stop.text.split()[-1] for stop in angle.stops} == {"deg"}
    assert {stop.text.split()[-1] for stop in Session(workshop()).knob("bar.bend").stops} == {"mm"}


def test_no_stop_lies_beyond_what_its_input_allows():
    edge = {"tang.face_gap": "0.1 mm", "dimple.edge_radius": "0.48 mm", "dimple.overclose": "19.5 deg"}
    for build in (
        kind("stacked washer"),
        workshop().change(edge),
        workshop().change({"bar.relief_thickness": "0.1 mm"}),
    ):
        for knob in Session(build).knobs:
            value = build[knob.name]
            low, high = limits(INPUTS[knob.name], "length" if value is None else value.kind)
            sizes = [stop.si for stop in knob.stops if not math.isnan(stop.si)]
            assert low * (1 - 1e-9) <= sizes[0], knob.name
            assert sizes[-1] <= high * (1 + 1e-9), knob.name
            assert sizes[0] < knob.stops[knob.start].si or knob.start == 0 or math.isnan(knob.stops[0].si)


def test_each_kind_of_bar_and_gap_has_its_own_knob():
    def has(name):
        return {knob.name for knob in Session(kind(name)).knobs}

    assert "bar.relief_thickness" in has("demo")
    assert "bar.thickness" not in has("demo")
    assert "bar.thickness" in has("thin liner")
    assert "bar.relief_thickness" not in has("thin liner")
    assert "pivot.washer_thickness" in has("stacked washer")
    assert "tang.face_gap" not in has("stacked washer")


# Turning


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_turn_to_either_end_shows_what_that_build_does(name):
    """Each knob to both ends on the demo; on other kinds of build to one, each end on about half of them."""
    turns, number = Session(kind(name)), NAMES.index(name)
    for i, knob in enumerate(turns.knobs):
        ends = (0, len(knob.stops) - 1)
        for place in ends if name == "demo" else (ends[(number + i) % 2],):
            look = turns.turn(knob.name, place)
            if look.build is None:
                assert look.unfit
                continue
            own = plain(look.build)
            if place != knob.start and not math.isnan(knob.stops[place].si) and knob.name in own:
                held = own["dimple.overclose_angle" if knob.stops[place].text.endswith("deg") else knob.name]
                if not look.idle:
                    assert float(np.asarray(held)) == pytest.approx(knob.stops[place].si, rel=1e-9, abs=1e-12), (
                        knob.name
                    )
            c = ds.curve(look.build)
            assert look.flags == c.flags
            for result in set(AT_ONCE) - {"carry_g"}:
                ours, theirs = look.results[result], c.results[result]
                assert (ours is None) == (theirs is None), (knob.name, result)
                assert ours is None or ours == pytest.approx(theirs, rel=1e-9, abs=1e-12), (knob.name, result)
        turns.turn(knob.name, knob.start)
        assert turns.now is turns.start


def test_the_curve_of_a_turn_is_the_curve_of_its_build():
    turns = put(workshop(), {"bar.bend": "2.9 mm", "dimple.rim_feed": "0.09 mm", "friction.ball_on_tang": "0.15"})
    look = turns.now
    family = ds.sweep(look.build, {"bar.bend": ["2.9 mm"]}).curves(at=quantity(look.angle, "deg"))
    assert look.opening == pytest.approx(family.force[0], rel=1e-9, abs=1e-9, nan_ok=True)
    assert np.nanmax(look.opening) == pytest.approx(look.results["breakout_force"], rel=1e-5)
    assert np.all(np.diff(look.angle) > 0)


@pytest.mark.parametrize("friction", ["0.12", "0.31"])
def test_the_highest_point_of_the_curve_is_the_breakout_where_it_snaps_too(friction):
    look = put(workshop(), {"friction.ball_on_tang": friction}).now
    assert ("snaps" in look.flags) == (friction == "0.31")
    assert np.nanmax(look.opening) == pytest.approx(look.results["breakout_force"], rel=1e-5)


@pytest.mark.slow
def test_what_takes_longer_comes_when_the_knob_rests():
    turns = Session(workshop())
    look = turns.turn("bar.bend", 3)
    assert not look.settled
    assert not set(AT_REST) & set(look.results)
    assert [v.name for v in look.verdicts] == ["breakout_force"]
    rested = turns.settle()
    assert rested.settled
    m = ds.motion(rested.build)
    assert bool(rested.results["opens_fully"]) == m.opens_fully
    assert bool(rested.results["falls_shut"]) == m.falls_shut
    assert [v.name for v in rested.verdicts] == ["breakout_force", "falls_shut"]
    assert turns.settle() is rested


def test_a_wanted_change_is_counted_from_the_start():
    build = ds.Build.loads(
        GARDEN_FILE.read_text(encoding="utf-8").replace('at_least = "9 N", at_most = "13 N"', 'change = "-20 %"')
    )
    turns = Session(build)
    start = turns.start.results
    assert [v.met for v in turns.start.verdicts] == [False]
    for place in (0, 10, 25, 31, 40):
        look = turns.turn("bar.bend", place)
        assert look.verdicts == judge(build.target, look.results, start)
        assert f"{start['breakout_force']:.3g} N" in look.verdicts[0].text


def test_targets_of_limits_are_judged_when_the_knob_rests():
    text = GARDEN_FILE.read_text(encoding="utf-8") + 'working_stress = { at_most = "100 MPa" }\n'
    turns = Session(ds.Build.loads(text))
    assert {v.name for v in turns.start.verdicts} == {"breakout_force", "working_stress"}
    assert {v.name for v in turns.turn("bar.bend", 0).verdicts} == {"breakout_force"}
    assert {v.name for v in turns.settle().verdicts} == {"breakout_force", "working_stress"}
