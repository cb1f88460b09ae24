"""Falling and staying shut, and the words of a motion."""

import numpy as np
import pytest
from helpers import ways
from helpers.moved import AWRY, BUILD, COASTS, EARLY, HANGS, HELD_OPEN, LOCKS, STAYS, STUCK, WEAK, motion
from helpers.records import demo, dig
from helpers.scattered import scatter

from detentsim.analysis.one_build.motion import falling
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.record import record as record_of
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.names import ALL_NAMES, RESULT_NAMES
from detentsim.mechanics.response import respond

# Falling


@pytest.mark.slow
def test_attitudes_are_builds_held_that_way():
    m = motion()
    assert m.attitudes[0].name == "as given"
    downs = {h.down_angle for h in m.attitudes}
    assert downs == {-45, 0, -90, 90, 180}
    assert {h.falls for h in m.attitudes} == {True, False}
    for h in m.attitudes:
        other = motion({"attitude.down_angle": f"{h.down_angle} deg"})
        assert other.results["falls_shut"] is h.falls
        hangs = other.results["hang_angle"]
        assert h.hangs == (None if hangs is None else pytest.approx(hangs, rel=1e-9))
        if h.falls:
            one = respond(record_of(other.build))
            way = ways.path(one, opening=False, low=0.0, high=np.pi / 2, splines=False)
            gained = ways.drop(way)[1]
            assert h.speed == pytest.approx(np.sqrt(2 * gained / float(one.load.record.blade_inertia)), rel=1e-5)
        else:
            assert h.speed is None


def test_an_attitude_given_twice_is_told_once():
    m = motion({"attitude.down_angle": "180 deg"})
    assert [h.down_angle for h in m.attitudes].count(180) == 1
    m = motion({"attitude.down_angle": "-180 deg"})
    assert [h.down_angle for h in m.attitudes] == [-180, 0, -45, -90, 90]


def opens_by_hand(m, down, at):
    """Whether the weight alone beats drag and pivot in opening from a place on the flat."""
    one, rec = m.response, m.response.load.record
    rub = float(one.results["drag_torque"]) + float(pivot.pivot_torque(rec, one.results["riding_force"]))
    return float(rec.blade_mass * rec.balance_radius) * 9.80665 * np.sin(np.radians(down - at)) > rub


def test_a_blade_that_swings_open_is_told_apart_from_one_that_hangs():
    m = motion({"blade.mass": "200 gram", "blade.inertia": "300 kg*mm**2"})
    seen = set()
    for h in m.attitudes:
        assert h.opens == opens_by_hand(m, h.down_angle, 90)
        assert not (h.opens and h.falls)
        seen.add(h.opens)
    assert seen == {True, False}


def test_at_lock_up_nothing_swings_open():
    m = motion({"blade.mass": "200 gram", "blade.inertia": "300 kg*mm**2", "blade.open_angle": "90 deg"})
    assert not any(h.opens for h in m.attitudes)


def test_what_the_dimple_holds_does_not_swing_open():
    """Let go a fifth of a degree off its stop, the detent draws it back however it is held."""
    m = motion(
        {"blade.mass": "100 gram", "blade.inertia": "150 kg*mm**2"}
        | {"attitude.close_from": "0.2 deg", "attitude.down_angle": "95 deg"}
    )
    assert opens_by_hand(m, 95, 0.2)
    assert m.carry_g.magnitude > 2
    assert not m.attitudes[0].opens


# Staying shut


@pytest.mark.slow
def test_carry_g_by_hand_and_with_half_the_friction():
    for changes in (
        {},
        {"pivot.kind": "washers", "blade.mass": "60 gram", "blade.inertia": "80 kg*mm**2"},
        {"attitude.tilt": "90 deg"},
    ):
        m = motion(changes)
        rec = m.response.load.record
        weight = float(rec.blade_mass * rec.balance_radius) * 9.80665
        held = float(m.response.results["breakout_torque"])
        push = float(respond(rec).rest.at.push)
        rub = float(rec.pivot_torque + rec.washer_friction * max(rec.washer_radius, rec.pivot_to_ball) * push)
        low = (held + float(rec.pivot_torque)) / weight
        assert m.carry_g.magnitude == pytest.approx(m.staying.carry_g)
        if rec.washer_friction == 0:
            assert m.staying.carry_g == pytest.approx((held + rub) / weight, rel=1e-9)
        else:
            assert m.staying.carry_g > low
        assert m.staying.torque == pytest.approx((m.staying.carry_g - 1) * weight * 1e3, rel=1e-9)
        slick = {name: getattr(rec, name) / 2 for name in ("friction", "static_friction", "washer_friction")}
        slick = respond(rec._replace(**slick, pivot_torque=rec.pivot_torque / 2), (*RESULT_NAMES, "carry_g"))
        assert m.staying.carry_g_slick == pytest.approx(float(slick.results["carry_g"]), rel=1e-9)
        assert m.staying.carry_g_slick < m.staying.carry_g


def test_a_blade_without_weight_has_no_g_to_carry():
    light = respond(demo(balance_radius=0.0), (*RESULT_NAMES, "carry_g"))
    assert np.isnan(light.results["carry_g"])
    assert motion({"blade.mass": None}).staying.carry_g is None


def test_a_drop_by_hand():
    """Angular momentum m r v at the stop; its energy (m r v)^2/(2 I) is used up by the work to let-go."""
    m = motion()
    r, rec = m.response.results, m.response.load.record
    work = float(r["breakout_energy"] + (r["drag_torque"] + rec.pivot_torque) * (r["let_go_angle"] - r["rest_angle"]))
    lever = float(rec.blade_mass * rec.balance_radius)
    speed = np.sqrt(2 * float(rec.blade_inertia) * work) / lever
    assert m.staying.drop == pytest.approx(1e3 * speed**2 / 2 / 9.80665, rel=1e-9)
    assert 5 < m.staying.drop < 50
    heavy = motion({"blade.mass": "60 gram", "blade.inertia": "80 kg*mm**2"})
    assert heavy.staying.drop == pytest.approx(m.staying.drop / 2, rel=1e-9)


def test_the_ball_pulls_shut_from_rest_to_let_go():
    m = motion()
    draw = float(m.response.results["draw_torque"]) * 1e3
    assert m.staying.biased is True
    assert m.staying.pull >= draw - 1e-9
    grid = np.linspace(0, float(m.response.results["let_go_angle"]), 20_001)[1:-1]
    table = ways.at_blade_angle.closing_table(m.response.load, m.response.rest.phi)
    felt = ways.at_blade_angle.torque_at(table, grid, opening=False, above=False).torque
    assert m.staying.pull == pytest.approx(max(draw, 1e3 * np.max(felt)), rel=2e-3)


@pytest.mark.slow
def test_some_blade_is_not_pulled_shut_all_the_way():
    """Drilled far past closed, the ball would have to come back over the rim: at rest the flank is behind it."""
    seen = set()
    record = scatter(50, 62)
    for i in range(50):
        one = respond(dig(record, i))
        if np.isfinite(one.results["let_go_angle"]):
            pull, biased = falling.pulls_shut(one)
            seen.add(biased)
            rest, last = float(one.rest.angle), float(one.results["let_go_angle"])
            theta = np.linspace(rest, last, 1002)[1:-1]
            out = ways.at_blade_angle.opening_table(one.load, one.rest.phi, one.rest.slip)
            back = ways.at_blade_angle.closing_table(one.load, one.rest.phi)
            both = (
                ways.at_blade_angle.torque_at(out, theta, opening=True, above=False).torque
                + ways.at_blade_angle.torque_at(back, theta, opening=False, above=False).torque
            )
            if np.min(both) > 0:
                assert biased
            if np.mean(both <= 0) > 0.02:
                assert not biased
            assert pull >= float(one.results["draw_torque"]) * 1e3 - 1e-9
    assert seen == {True, False}


# Words


def test_without_an_inertia_nothing_moves():
    with pytest.raises(BuildError, match=r"blade\.inertia: is missing"):
        motion({"blade.inertia": None})
    with pytest.raises(BuildError, match=r"blade\.pendulum_period: needs blade\.mass beside it"):
        motion({"blade.inertia": None, "blade.mass": None, "blade.pendulum_period": "0.4 s"})
    with pytest.raises(BuildError, match=r"blade\.pendulum_period: needs blade\.balance_radius beside it"):
        motion({"blade.inertia": None, "blade.balance_radius": None, "blade.pendulum_period": "0.4 s"})


@pytest.mark.slow
def test_a_pendulum_and_a_shape_stand_for_an_inertia():
    given = float(record_of(BUILD).blade_inertia)
    weight = float(record_of(BUILD).blade_mass * record_of(BUILD).balance_radius) * 9.80665
    period = 2 * np.pi * np.sqrt(given / weight)
    swung = motion({"blade.inertia": None, "blade.pendulum_period": f"{period:.12f} s"})
    assert swung.results["arrival_speed"] == pytest.approx(motion().results["arrival_speed"], rel=1e-6)
    shape = {"blade.length": "75 mm", "blade.root_width": "22 mm", "blade.tip_width": "4 mm", "blade.thickness": "3 mm"}
    drawn = motion(shape | {"blade.mass": None, "blade.balance_radius": None, "blade.inertia": None})
    assert drawn.results["opens_fully"] is not None
    assert drawn.staying.carry_g > 0


def test_a_blade_without_mass_opens_and_does_not_fall():
    m = motion({"blade.mass": None})
    assert m.results["opens_fully"] is True
    assert m.falls_shut is None
    assert m.attitudes == ()
    assert m.staying.drop is None
    assert m.why("falls_shut")
    assert m.why("carry_g")
    assert "nan" not in repr(m).lower()


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, AWRY, LOCKS, WEAK, EARLY, COASTS, STUCK, STAYS, HANGS, HELD_OPEN])
def test_what_has_no_value_says_why(changes):
    m = motion(changes)
    for name, value in m.results.items():
        assert value is None or np.isfinite(value)
        if value is None:
            words = m.why(name)
            assert words[0].islower()
            assert "nan" not in words
    assert "<td" in m._repr_html_()


def test_gravity_that_holds_it_open_throws_it_harder_and_lets_it_hang():
    m, plain = motion(HELD_OPEN), motion()
    assert m.results["arrival_speed"] > 1.3 * plain.results["arrival_speed"]
    assert m.opening.finger < plain.opening.finger
    assert m.results["falls_shut"] is False
    assert m.results["hang_angle"] == pytest.approx(90)


def test_drag_beyond_everything_leaves_it_where_the_finger_does():
    m = motion(STAYS)
    assert m.opening.stall == "coasted out"
    assert 60 < m.results["stall_angle"] < 61
    assert all(not h.falls and h.hangs == pytest.approx(90) for h in m.attitudes)


@pytest.mark.parametrize("overclose", ["0.8 mm", "1 mm", "2 mm"])
def test_a_ball_that_rests_on_the_flat_has_no_dimple_to_leave(overclose):
    m = motion({"dimple.overclose": overclose})
    assert m.response.rest.phi > 0.1
    assert m.results["hang_angle"] is not None or m.results["falls_shut"]
    one = respond(record_of(m.build), ALL_NAMES)
    way = ways.path(one, opening=False, low=0.0, high=np.pi / 2, splines=False)
    assert m.results["falls_shut"] is (ways.drop(way)[0] is None)


@pytest.mark.slow
def test_the_first_attitude_that_falls_shut_is_that_of_statics():
    """Any text on statics: the blade moves from where it is let go once its weight's torque exceeds the drag's."""
    m = motion({})
    record = m.response.load.record
    drag = float(m.response.results["drag_torque"]) + float(record.pivot_torque)
    weight = float(record.blade_mass * record.balance_radius) * 9.80665
    (span,) = [one for one in m.all_round if one.outcome == "falls shut"]
    # let go square to the closed blade, straight down `d` from it: the lever is the sine of 90 - d
    assert span.low == pytest.approx(np.degrees(np.arcsin(drag / weight)) - 90, abs=0.05)
    for down, falls in ((span.low - 0.1, False), (span.low + 0.1, True), (span.high - 0.1, True)):
        assert motion({"attitude.down_angle": f"{down} deg"}).results["falls_shut"] is falls
