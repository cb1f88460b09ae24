"""Falling shut by balances of torque worked out by hand from a build of fixed sizes."""

import numpy as np
import pytest
from helpers.curves import DEAD_ENDS, solve
from helpers.garden import GARDEN_TEXT
from helpers.surplus import KINDS

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.model import Build
from detentsim.show.one_build.feel_curve.data_files import curve_document

GRAVITY = 9.80665  # ISO 80000-3, standard value


# Falling shut


def surplus_by_hand(found, tilt=0.0, down=-45.0, mass=0.024, balance=34.0):
    """Weight against drag and bearings on the flat [N*mm], from a sketch."""
    angle = found.falls_shut.angle
    weight = mass * GRAVITY * balance * np.cos(np.radians(tilt)) * np.sin(np.radians(angle - down))
    pivot_drag = found.build.si("pivot.friction_torque") * 1e3
    return weight - 0.12 * found.results["riding_force"] * 8 - pivot_drag


@pytest.mark.parametrize(("tilt", "down", "mass"), [(0, -45, 24), (0, -90, 24), (40, -70, 90), (0, 20, 60)])
def test_surplus_on_the_flat_is_a_balance_by_hand(tilt, down, mass):
    found = solve({"attitude.tilt": f"{tilt} deg", "attitude.down_angle": f"{down} deg", "blade.mass": f"{mass} gram"})
    flat = found.falls_shut.angle > found.results["let_go_angle"] + 1
    assert np.count_nonzero(flat) > 50
    wanted = surplus_by_hand(found, tilt, down, mass / 1e3)[flat]
    np.testing.assert_allclose(found.falls_shut.surplus[flat], wanted, rtol=1e-9, atol=1e-9)


def test_washers_under_the_balls_push_hold_the_blade_up():
    """12 mm and 5 mm washers act at the ball's radius, 8 mm, the larger of the two."""
    found = solve(KINDS["washers"] | {"blade.mass": "60 gram"})
    flat = found.falls_shut.angle > found.results["let_go_angle"] + 1
    wanted = surplus_by_hand(found, mass=0.060) - 0.12 * 8 * found.results["riding_force"]
    np.testing.assert_allclose(found.falls_shut.surplus[flat], wanted[flat], rtol=1e-9, atol=1e-9)


def test_the_attitude_is_told_in_degrees():
    assert solve().falls_shut.down_angle == pytest.approx(-45, rel=1e-12)
    assert solve({"attitude.down_angle": "70 deg"}).falls_shut.down_angle == pytest.approx(70, rel=1e-12)


def test_hanging_spans_are_where_the_hand_balance_is_short():
    """A blade of 80 gram let go above the angle where its weight no longer beats drag, and just below it."""
    found = solve({"blade.mass": "80 gram", "attitude.down_angle": "-45 deg", "attitude.close_from": "175 deg"})
    shut = found.falls_shut
    torque = 0.12 * found.results["riding_force"] * 8 + found.build.si("pivot.friction_torque") * 1e3
    upper = 135 - np.degrees(np.arcsin(torque / (0.080 * GRAVITY * 34)))
    assert 90 < upper < 135
    assert not shut.falls
    low, high = shut.hangs[-1]
    assert 0 <= low - upper <= 2.0  # rows on the flat stand two degrees apart
    assert 173 <= high <= 175
    lower = solve(
        {"blade.mass": "80 gram", "attitude.down_angle": "-45 deg", "attitude.close_from": f"{upper - 2:.3f} deg"}
    )
    assert lower.falls_shut.falls
    assert lower.falls_shut.hangs == ()


@pytest.mark.slow
def test_a_blade_let_go_just_above_that_angle_hangs():
    """The verdict is about the angle it is let go from, not the nearest row of the table below it."""
    plain = solve({"blade.mass": "80 gram"})
    torque = 0.12 * plain.results["riding_force"] * 8 + plain.build.si("pivot.friction_torque") * 1e3
    upper = 135 - np.degrees(np.arcsin(torque / (0.080 * GRAVITY * 34)))
    for past in np.arange(0.1, 2.4, 0.2):
        found = solve({"blade.mass": "80 gram", "attitude.close_from": f"{upper + past:.4f} deg"})
        assert not found.falls_shut.falls, past


def test_the_bars_face_on_the_tang_holds_the_blade_up_too():
    """Where the bar lies on the tang its face drags with mu N(p) rho, and weight must beat that and the bearings."""
    found = solve(DEAD_ENDS["bar_on_tang"] | {"dimple.overclose": "0 mm", "blade.mass": "90 gram"})
    spring = found.response.load.spring
    face = 0.12 * float(spring.stiffness * (spring.reach - spring.protrusion)) * 8
    angle = found.falls_shut.angle
    lying = (angle > 0.05) & (angle < 0.5)
    assert np.count_nonzero(lying) > 3
    assert face > 5
    weight = 0.090 * GRAVITY * 34 * np.sin(np.radians(angle[lying] + 45))
    np.testing.assert_allclose(found.falls_shut.surplus[lying], weight - face - 1.5, rtol=1e-9)


def test_on_its_stop_a_blade_needs_nothing_to_hold_it():
    """Square on and butt down nothing pulls a closed blade further, and it is shut all the same."""
    heavy = {"dimple.overclose": "0 mm", "attitude.down_angle": "0 deg", "blade.mass": "800 gram"}
    found = solve(heavy).falls_shut
    assert found.surplus[0] == pytest.approx(-1.5, rel=1e-9)
    assert np.all(found.surplus[1:][found.angle[1:] < 90] > 0)
    assert found.falls


@pytest.mark.parametrize("start", [37.3, 63.21, 90.0])
def test_the_angle_it_is_let_go_from_has_a_row(start):
    found = solve({"attitude.close_from": f"{start} deg"})
    assert np.min(np.abs(found.falls_shut.angle - start)) < 1e-9
    assert found.falls_shut.start == pytest.approx(start, rel=1e-12)
    assert np.max(found.columns[0]) == pytest.approx(180, rel=1e-12)


def test_let_go_beyond_lock_up_is_let_go_from_lock_up():
    found = solve({"attitude.close_from": "200 deg", "blade.open_angle": "170 deg"})
    assert np.max(found.columns[0]) == pytest.approx(170, rel=1e-12)


def test_a_light_blade_hangs_but_the_ball_draws_the_last_degrees():
    shut = solve().falls_shut
    assert not shut.falls
    ((low, high),) = shut.hangs
    assert 0 < low < solve().results["let_go_angle"]
    assert high <= shut.start
    near = (shut.angle > 0) & (shut.angle < low)
    assert np.all(shut.surplus[near] > 0)


@pytest.mark.parametrize("missing", ["mass", "balance_radius"])
def test_an_unknown_weight_gives_no_verdict(missing):
    text = "\n".join(line for line in GARDEN_TEXT.splitlines() if not line.startswith(missing))
    found = curve(Build.loads(text))
    assert found.falls_shut is None
    assert curve_document(found)["falls_shut"] is None
    wanted = curve(Build.loads(text + "\nfalls_shut = true\n")).verdicts[-1]
    assert (wanted.name, wanted.met) == ("falls_shut", None)
