"""A session of the explorer: the way back is kept, and stops that make no knife say why."""

import math

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.turned import KINDS, kind, put

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.knife.record.record import plain
from detentsim.mechanics.names import NO_PUSH
from detentsim.units.errors import InputError

NAMES = list(KINDS)


# Back


def test_undo_takes_back_one_knob_at_a_time_and_the_way_to_the_start():
    turns = Session(workshop())
    for place in (3, 9, 20):
        turns.turn("bar.bend", place)
    turns.turn("dimple.rim_feed", 0)
    feed = turns.now.results["breakout_force"]
    turns.to_start()
    assert turns.now is turns.start
    assert turns.undo().results["breakout_force"] == feed
    turns.undo()
    assert list(turns.turned) == ["bar.bend"]
    assert turns.places["bar.bend"] == 20
    assert turns.undo() is turns.start
    assert turns.undo() is turns.start


def test_the_way_to_the_start_from_the_start_is_nothing_to_undo():
    turns = Session(workshop())
    turns.turn("bar.bend", 1)
    turns.to_start()
    turns.to_start()
    assert list((turns.undo() is turns.start and []) or turns.turned) == ["bar.bend"]


def test_a_knob_taken_up_again_after_an_undo_is_a_turn_of_its_own():
    turns = Session(workshop())
    turns.turn("bar.bend", 5)
    turns.turn("grip.force", 3)
    turns.undo()
    turns.turn("bar.bend", 9)
    turns.undo()
    assert turns.places["bar.bend"] == 5


@pytest.mark.parametrize("stop", ["x", None, math.nan, 2.5])
def test_a_stop_is_a_whole_number(stop):
    with pytest.raises(InputError, match=r"is no stop; give a whole number from 0 to 89, such as 44"):
        Session(workshop()).turn("bar.bend", stop)


def test_beyond_an_end_a_knob_stays_at_that_end():
    turns = Session(workshop())
    last = len(turns.knob("bar.bend").stops) - 1
    turns.turn("bar.bend", 10_000)
    assert turns.places["bar.bend"] == last
    turns.turn("bar.bend", -5)
    assert turns.places["bar.bend"] == 0


def test_places_cannot_be_set_past_the_turns():
    with pytest.raises(TypeError):
        Session(workshop()).places["bar.bend"] = 0


# Nothing is raised, nothing goes unsaid


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_knobs_driven_to_both_ends_together_raise_nothing(name):
    turns = Session(kind(name))
    rng = np.random.default_rng([20, NAMES.index(name)])
    corners = [np.zeros(len(turns.knobs), int), np.ones(len(turns.knobs), int)]
    corners += [rng.integers(0, 2, len(turns.knobs)) for _ in range(6)]
    for corner in corners:
        for knob, end in zip(turns.knobs, corner, strict=True):
            turns._places[knob.name] = int(end) * (len(knob.stops) - 1)
        look = turns._turned()
        turns.settle()
        if look.build is not None:
            dead = look.results["breakout_force"] is None
            assert not dead or set(look.flags) & set(NO_PUSH), look.flags
            assert np.isfinite(look.closing[look.angle < 20]).all()
            assert dead or np.isfinite(np.nanmax(look.opening))
        else:
            assert look.unfit


def test_sizes_that_make_no_knife_say_why_and_are_not_saved(tmp_path):
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    assert turns.now.build is None
    assert turns.now.unfit.startswith("second drill is smaller than the first drill: #53 against first drill = 1.75 mm")
    assert turns.now.results == {}
    with pytest.raises(InputError, match="no knife can have these sizes"):
        turns.build  # noqa: B018  # the reading is what is tested
    with pytest.raises(InputError, match="no knife can have these sizes"):
        turns.save(tmp_path / "x.toml")
    assert list(tmp_path.iterdir()) == []
    assert turns.settle().build is None
    assert turns.undo() is turns.start


def test_a_feed_without_a_second_drill_is_said_to_do_nothing():
    turns = put(workshop(), {"dimple.rim_drill": "none"})
    bare = turns.now.results["breakout_force"]
    assert turns.now.idle == ()
    look = turns.turn("dimple.rim_feed", 40)
    assert look.idle == ("dimple.rim_feed",)
    assert look.results["breakout_force"] == bare
    assert turns.turn("dimple.rim_drill", turns.knob("dimple.rim_drill").start).idle == ()


def test_a_second_drill_on_a_build_without_one_only_touches_until_it_is_fed():
    turns = put(kind("one drill"), {"dimple.rim_drill": "1.55 mm"})
    assert turns.build.word("dimple.rim_feed") == "0 mm"
    turns.turn("dimple.rim_feed", 12)
    assert turns.build.si("dimple.rim_feed") == pytest.approx(0.06e-3)


def test_where_a_loose_ball_named_the_feed_that_feed_stays_drilled():
    build = kind("read by a loose ball")
    own = float(np.asarray(plain(build)["dimple.rim_feed"]))
    turns = put(build, {"ball.diameter": "1.5 mm"})
    assert turns.build["dimple.loose_ball_height"] is None
    assert turns.build.si("dimple.rim_feed") == pytest.approx(own, rel=1e-9)
    turns.to_start()
    turns.turn("bar.bend", 0)
    assert turns.build["dimple.loose_ball_height"] is not None


def test_a_measured_stiffness_stays_as_the_ratio_it_came_to():
    build = kind("measured bar")
    ratio = float(np.asarray(plain(build)["bar.calibration"]))
    assert abs(ratio - 1) > 0.02
    turns = put(build, {"bar.relief_thickness": 3})
    assert turns.build["bar.measured.pull"] is None
    assert float(np.asarray(plain(turns.build)["bar.calibration"])) == pytest.approx(ratio, rel=1e-9)
    turns.to_start()
    turns.turn("bar.bend", 3)
    assert turns.build["bar.measured.pull"] is not None


def test_friction_at_rest_is_no_less_than_in_motion():
    build = workshop().change({"friction.ball_on_tang_static": 0.15})
    rest, moving = "friction.ball_on_tang_static", "friction.ball_on_tang"
    assert put(build, {moving: "0.14"}).build.si(rest) == 0.15
    rougher = put(build, {moving: "0.2"}).build
    assert (rougher.si(moving), rougher.si(rest)) == (0.2, 0.2)
    assert put(workshop(), {moving: "0.2"}).build[rest] is None


@pytest.mark.parametrize("bend", ["-5 mm", "-0.5 mm", "0 mm"])
def test_a_bar_that_is_bent_out_can_be_bent_in(bend):
    knob = Session(workshop().change({"bar.bend": bend})).knob("bar.bend")
    assert knob.stops[-1].si >= 1e-3
    assert knob.stops[knob.start].text == bend


@pytest.mark.slow
@pytest.mark.parametrize(
    ("places", "dropped"),
    [
        ({"ball.diameter": "2 mm"}, ("ball.hole_drill", "tolerance.ball.hole_drill")),
        ({"dimple.rim_drill": "none"}, ("dimple.rim_feed", "tolerance.dimple.rim_drill", "tolerance.dimple.rim_feed")),
        ({"dimple.rim_feed": "0.1 mm"}, ("tolerance.dimple.rim_feed",)),
        (
            {"bar.relief_thickness": 3},
            ("bar.measured.pull", "bar.measured.travel", "bar.measured.at", "tolerance.bar.measured.travel"),
        ),
        ({"bar.bend": 3}, ()),
    ],
)
def test_a_tolerance_goes_with_its_input_and_that_is_told(places, dropped, tmp_path):
    turns = put(kind("with tolerances"), places)
    assert turns.now.unfit == ""
    assert turns.now.dropped == dropped
    assert turns.settle().dropped == dropped
    saved = ds.Build.read(turns.save(tmp_path / "x.toml"))
    kept = {"ball.hole_drill", "dimple.rim_drill", "dimple.rim_feed", "bar.measured.travel", "bar.bend"}
    assert set(saved.tolerance) == kept - {name.removeprefix("tolerance.") for name in dropped}
    if "tolerance.ball.hole_drill" not in dropped:
        assert "# as reamed" in saved.text
    assert np.array_equal(Session(saved).start.opening, turns.now.opening, equal_nan=True)


def test_an_edge_broken_broader_leaves_the_feed_that_a_loose_ball_named():
    build = kind("read by a loose ball")
    own = float(np.asarray(plain(build)["dimple.rim_feed"]))
    for name in ("dimple.edge_radius", "dimple.pilot_depth", "dimple.pilot_drill"):
        turned = put(build, {name: 6}).build
        assert turned.si("dimple.rim_feed") == pytest.approx(own, rel=1e-9), name


def test_another_ball_takes_its_hole_with_it():
    turns = put(workshop(), {"ball.diameter": "2 mm"})
    assert turns.build["ball.hole_drill"] is None
    assert turns.build.word("ball.protrusion") == "25 thou"
