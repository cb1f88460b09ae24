"""Knobs and turns: every stop is what a maker can set, a turn shows what that build does, and the way back is kept."""

import math

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.turned import GARDEN, KINDS, kind, put

import detentsim as ds
from detentsim.analysis.explore.felt import FELT_BY_HAND, felt_apart, felt_change
from detentsim.analysis.explore.knobs import MOST
from detentsim.analysis.explore.look import AT_ONCE, AT_REST
from detentsim.analysis.explore.session import Session
from detentsim.analysis.in_hand.compare.distance import FLOOR, hand_steps
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import limits
from detentsim.knife.target.verdict import judge
from detentsim.mechanics.names import NO_BREAKOUT
from detentsim.shop.balls import balls
from detentsim.shop.drills import drills, find_drill
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
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
    turns = Session(kind(name))
    for knob in turns.knobs:
        for place in (0, len(knob.stops) - 1):
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
        GARDEN.read_text(encoding="utf-8").replace('at_least = "9 N", at_most = "13 N"', 'change = "-20 %"')
    )
    turns = Session(build)
    start = turns.start.results
    assert [v.met for v in turns.start.verdicts] == [False]
    for place in (0, 10, 25, 31, 40):
        look = turns.turn("bar.bend", place)
        assert look.verdicts == judge(build.target, look.results, start)
        assert f"{start['breakout_force']:.3g} N" in look.verdicts[0].text


def test_targets_of_limits_are_judged_when_the_knob_rests():
    text = GARDEN.read_text(encoding="utf-8") + 'working_stress = { at_most = "100 MPa" }\n'
    turns = Session(ds.Build.loads(text))
    assert {v.name for v in turns.start.verdicts} == {"breakout_force", "working_stress"}
    assert {v.name for v in turns.turn("bar.bend", 0).verdicts} == {"breakout_force"}
    assert {v.name for v in turns.settle().verdicts} == {"breakout_force", "working_stress"}


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
    rng = np.random.default_rng(20)
    corners = [np.zeros(len(turns.knobs), int), np.ones(len(turns.knobs), int)]
    corners += [rng.integers(0, 2, len(turns.knobs)) for _ in range(12)]
    for corner in corners:
        for knob, end in zip(turns.knobs, corner, strict=True):
            turns._places[knob.name] = int(end) * (len(knob.stops) - 1)
        look = turns._turned()
        turns.settle()
        if look.build is not None:
            dead = look.results["breakout_force"] is None
            assert not dead or set(look.flags) & set(NO_BREAKOUT), look.flags
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


# In hand-steps


def test_ten_percent_more_is_one_hand_step():
    turns = put(workshop(), {"bar.bend": "3 mm"})
    now, start = turns.now, turns.start
    ratio = now.results["breakout_force"] / start.results["breakout_force"]
    assert felt_change("breakout_force", now, start) == pytest.approx(math.log(ratio) / math.log(1.1))
    for name in FELT_BY_HAND:
        assert felt_change(name, start, start) == 0.0
    heavier = felt_change("drag_force", now, start)
    assert heavier == pytest.approx(-felt_change("drag_force", start, now))


def test_a_torque_is_felt_at_the_opener():
    turns = put(workshop(), {"dimple.overclose": "0 mm"})
    now, start = turns.now, turns.start
    arm = 10.5  # [mm]
    a, b = start.results["draw_torque"] / arm, now.results["draw_torque"] / arm
    assert b < FLOOR < a
    assert felt_change("draw_torque", now, start) == pytest.approx(math.log(max(b, FLOOR) / a) / math.log(1.1))


def test_pulls_that_change_sides_have_no_steps_between_them():
    turns = put(workshop(), {"dimple.overclose": 0})
    assert turns.now.results["draw_torque"] < 0
    assert felt_change("draw_torque", turns.now, turns.start) is None


def test_the_whole_way_out_is_as_far_as_a_comparison_says():
    turns = put(workshop(), {"bar.bend": "1.8 mm"})
    c = ds.compare(workshop(), turns.build)
    assert felt_apart(turns.now, turns.start) == pytest.approx(c.distances[1].steps, rel=0.02)
    assert felt_apart(turns.start, turns.start) == 0.0
    assert hand_steps([0, 1], [1, 1], [1, 1]) == 0.0


# Saved


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_saved_build_gives_the_same_curve(name, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(kind(name).text, encoding="utf-8")
    turns = put(
        ds.Build.read(path), {"bar.bend": 5, "dimple.edge_radius": 9, "ball.protrusion": 20, "ball.diameter": 3}
    )
    now = turns.settle()
    saved = turns.save(tmp_path / "turned.toml")
    again = Session(ds.Build.read(saved)).start
    assert again.flags == now.flags
    assert np.array_equal(again.angle, now.angle)
    assert np.array_equal(again.opening, now.opening, equal_nan=True)
    assert np.array_equal(again.closing, now.closing, equal_nan=True)
    assert again.results == now.results
    for line in ("# the lock bar", "# drilled in the tang"):
        assert line in saved.read_text(encoding="utf-8")


def test_saving_writes_over_nothing_but_its_own(tmp_path):
    own, other = tmp_path / "own.toml", tmp_path / "other.toml"
    own.write_text(workshop().text, encoding="utf-8")
    other.write_text("mine", encoding="utf-8")
    turns = put(ds.Build.read(own), {"bar.bend": 5})
    for path in (own, other, tmp_path, tmp_path / "no" / "where.toml", "", "  "):
        with pytest.raises(InputError) as caught:
            turns.save(path)
        assert str(caught.value).count("\n") == 0
    assert other.read_text(encoding="utf-8") == "mine"
    assert own.read_text(encoding="utf-8") == workshop().text
    free = turns.free_name()
    assert free == tmp_path / "own-turned.toml"
    turns.save(free)
    turns.turn("bar.bend", 7)
    assert turns.save(free) == free
    assert ds.Build.read(free).word("bar.bend") == turns.knob("bar.bend").stops[7].text
    free.write_text(free.read_text(encoding="utf-8") + "# a note\n", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        turns.save(free)
    assert free.read_text(encoding="utf-8").endswith("# a note\n")
    assert turns.free_name() == tmp_path / "own-turned-2.toml"


def test_no_knob_by_that_name():
    with pytest.raises(InputError, match=r"none of this build's knobs; they are ball\.diameter"):
        Session(workshop()).turn("bar.width", 0)


def test_only_a_build_has_knobs():
    with pytest.raises(InputError, match="is no build"):
        Session("garden.toml")


def test_flags_are_named_as_everywhere():
    turns = Session(workshop())
    for knob in turns.knobs:
        for place in (0, len(knob.stops) - 1):
            assert set(turns.turn(knob.name, place).flags) <= set(FLAGS)
