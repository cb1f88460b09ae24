"""Likely ranges where something gives way: bands that lock the ball, valleys between stops, ends below nothing."""

import numpy as np
import pytest
from helpers.curves import CLOSED, DEAD_ENDS, DEEP, GARDEN, RIGID, result, solve, with_tolerance

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.units.convert import to_si


def opened(changes=None, **bands):
    """Curve of the garden folder with only these bands open; a name's dot is written as two underscores."""
    lines = CLOSED | {name.replace("__", "."): band for name, band in bands.items()}
    return curve(with_tolerance(lines).change(changes or {}))


def alone(name, stops, key, changes=None):
    """One result with one input at each of these values, a build at a time; None where there is none."""
    return [solve({**(changes or {}), key: stop}).results[name] for stop in stops]


# Over-close


@pytest.mark.parametrize("name", ["draw_torque", "breakout_torque", "let_go_angle"])
def test_overclose_given_as_an_angle_is_moved_as_a_length_at_the_ball(name):
    """0.4 deg at 8 mm is 0.0559 mm; the other band must leave the angle where it is."""
    angle = {"dimple.overclose": "0.4 deg"}
    found = opened(
        angle,
        dimple__overclose='{ plus_minus = "0.02 mm" }',
        friction__ball_on_tang="{ at_least = 0.12, at_most = 0.16 }",
    )
    middle = np.radians(0.4) * 8
    base = result(name, dimple__overclose="0.4 deg")
    assert found.results[name] == base
    lengths = [f"{middle + miss:.12f} mm" for miss in (-0.02, -0.01, 0, 0.01, 0.02)]
    values = [*alone(name, lengths, "dimple.overclose"), base]
    assert found.likely.shifts[name]["dimple.overclose"] == pytest.approx((min(values), max(values)), rel=1e-9)
    values = alone(name, (0.12, 0.13, 0.14, 0.15, 0.16), "friction.ball_on_tang", angle)
    assert found.likely.shifts[name]["friction.ball_on_tang"] == pytest.approx((min(values), max(values)), rel=1e-9)


# Stiffness


@pytest.mark.parametrize("stiffness", [11.0, 15.0])
def test_a_measured_stiffness_is_banded_about_itself(stiffness):
    """The riding force goes with stiffness alone; 0.03 of calibration about what the measurement comes to."""
    found = solve({"bar.stiffness": f"{stiffness} N/mm"})
    calibration = stiffness / result("bar_stiffness")
    riding = found.results["riding_force"]
    wanted = [riding * (1 + miss / calibration) for miss in (-0.03, 0.03)]
    assert found.likely.ranges["riding_force"] == pytest.approx(tuple(wanted), rel=1e-9)
    assert found.likely.ranges["bar_stiffness"] == pytest.approx(tuple(np.divide(wanted, riding) * stiffness), rel=1e-9)
    assert found.likely.matters["riding_force"] == "bar.calibration"


# Flags


def test_what_may_be_raised_is_not_what_is_raised():
    snapping = solve(DEEP)
    assert "snaps" in snapping.flags
    assert not set(snapping.likely.may) & set(snapping.flags)
    near = opened({"dimple.rim_feed": "0.09 mm"}, dimple__rim_feed='{ plus_minus = "0.04 mm" }')
    assert "snaps" not in near.flags
    assert "snaps" in near.likely.may
    assert set(near.likely.may) <= set(FLAGS)


def test_a_ball_that_floats_may_do_nothing_else():
    found = solve(DEAD_ENDS["floats"] | {"dimple.overclose": None})
    assert found.flags == ("floats",)
    assert found.likely.may == ()
    assert "stands_proud" in solve({"dimple.overclose": None}).likely.may


def test_a_band_that_ends_in_a_lock_is_told_as_far_as_it_opens():
    changes = {"dimple.rim_feed": "0.16 mm"}
    found = opened(changes, friction__ball_on_tang="{ at_least = 0.12, at_most = 0.7 }")
    values = alone("breakout_force", (0.12, 0.265, 0.41, 0.555, 0.7), "friction.ball_on_tang", changes)
    assert values[-1] is None
    opens = [value for value in values if value is not None]
    assert len(opens) >= 2
    assert found.likely.ranges["breakout_force"] == pytest.approx((min(opens), max(opens)), rel=1e-9)
    assert "locks_solid" in found.likely.may


# How moves add up


def test_a_build_in_the_valley_is_the_lowest_of_its_band():
    """All five stops of a lopsided band lie above a build near the least breakout over feed."""
    valley = {"dimple.rim_feed": "0.098 mm"}
    found = opened(valley, dimple__rim_feed='{ at_least = "0.07 mm", at_most = "0.134 mm" }')
    base = found.results["breakout_force"]
    stops = ("0.07 mm", "0.086 mm", "0.102 mm", "0.118 mm", "0.134 mm")
    values = alone("breakout_force", stops, "dimple.rim_feed")
    assert min(values) > base
    assert found.likely.shifts["breakout_force"]["dimple.rim_feed"] == pytest.approx((base, max(values)), rel=1e-9)
    assert found.likely.ranges["breakout_force"] == pytest.approx((base, max(values)), rel=1e-9)


def test_what_is_never_negative_stays_so():
    """Either band alone takes the draw down by half or more, neither past nothing."""
    bands = {"dimple.overclose": ("0 mm", "0.05 mm"), "friction.ball_on_tang": (0.5, 0.12)}
    found = opened(
        dimple__overclose='{ at_least = "0 mm", at_most = "0.05 mm" }',
        friction__ball_on_tang="{ at_least = 0.12, at_most = 0.5 }",
    )
    base = found.results["draw_torque"]
    least = {name: min(alone("draw_torque", stops, name)) for name, stops in bands.items()}
    assert min(least.values()) >= 0
    assert sum((base - low) ** 2 for low in least.values()) > base**2
    low, high = found.likely.ranges["draw_torque"]
    assert (low, high) == (0, pytest.approx(base, rel=1e-9))


@pytest.mark.parametrize("overclose", ["-0.04 mm", "0.01 mm"])
def test_a_draw_that_may_turn_round_is_told_below_nothing(overclose):
    changes = {"dimple.overclose": overclose}
    found = opened(changes, dimple__overclose='{ plus_minus = "0.02 mm" }')
    middle = to_si(overclose, "length", "overclose") * 1e3
    stops = [f"{middle + miss:.6f} mm" for miss in (-0.02, -0.01, 0, 0.01, 0.02)]
    values = alone("draw_torque", stops, "dimple.overclose")
    assert min(values) < 0
    assert found.likely.ranges["draw_torque"] == pytest.approx((min(values), max(values)), rel=1e-9)


def test_what_matters_moves_the_result_farthest_either_way():
    """Friction only downward but far, stiffness a little both ways: friction matters, though it ends lower."""
    found = opened(
        friction__ball_on_tang="{ at_least = 0.06, at_most = 0.12 }",
        bar__calibration="{ plus_minus = 0.02 }",
    )
    shifts = found.likely.shifts["breakout_force"]
    assert shifts["bar.calibration"][1] > shifts["friction.ball_on_tang"][1]
    assert found.likely.matters["breakout_force"] == "friction.ball_on_tang"
    assert found.likely.matters["seated_force"] == "bar.calibration"


def test_a_band_of_no_width_or_of_no_input_of_the_curve_is_left_out():
    found = opened(friction__ball_on_tang="{ plus_minus = 0.01 }", finger__effort="{ plus_minus = 0.1 }")
    assert set(found.likely.shifts["breakout_force"]) == {"friction.ball_on_tang", "finger.effort"}
    low, high = found.likely.shifts["breakout_force"]["finger.effort"]
    assert low == high == found.results["breakout_force"]


# The band around the curve


@pytest.mark.parametrize("changes", [{}, RIGID, {"dimple.overclose": "-0.05 mm"}])
def test_the_band_is_the_moves_of_single_curves_added_in_squares(changes):
    """On the flat every row is known by hand: opening (mu N rho + pivot)/lever, closing the same, negative."""
    found = opened(
        changes,
        friction__ball_on_tang="{ at_least = 0.10, at_most = 0.16 }",
        bar__calibration="{ plus_minus = 0.05 }",
        pivot__friction_torque='{ plus_minus = "0.5 N*mm" }',
    )
    band = found.band
    flat = (band.angle > 10) & (band.angle < 90)
    lever = 15 * np.cos(np.radians(20 - band.angle[flat]))
    drag = 0.12 * found.results["riding_force"] * 8
    down = np.sqrt((drag * 0.02 / 0.12) ** 2 + (drag * 0.05) ** 2 + 0.5**2) / lever
    up = np.sqrt((drag * 0.04 / 0.12) ** 2 + (drag * 0.05) ** 2 + 0.5**2) / lever
    middle = (drag + 1.5) / lever
    np.testing.assert_allclose(band.opening[flat], middle, rtol=1e-9)
    np.testing.assert_allclose(band.opening_low[flat], middle - down, rtol=1e-9)
    np.testing.assert_allclose(band.opening_high[flat], middle + up, rtol=1e-9)
    np.testing.assert_allclose(band.closing[flat], -middle, rtol=1e-9)
    np.testing.assert_allclose(band.closing_high[flat], -(middle - down), rtol=1e-9)


def test_the_closing_band_adds_its_moves_as_the_opening_one_does():
    """On the flat closing is opening turned round: what may come on top in the one may come on top in the other."""
    found = opened(friction__ball_on_tang="{ plus_minus = 0.03 }", bar__calibration="{ plus_minus = 0.2 }")
    band = found.band
    flat = (band.angle > 12) & (band.angle < 90)
    np.testing.assert_allclose(band.closing_low[flat], -band.opening_high[flat], rtol=1e-9)
    np.testing.assert_allclose(band.closing_high[flat], -band.opening_low[flat], rtol=1e-9)


def test_the_band_of_one_input_is_the_hull_of_its_single_curves():
    stops = (0.10, 0.115, 0.13, 0.145, 0.16)
    found = opened(friction__ball_on_tang="{ at_least = 0.10, at_most = 0.16 }")
    band = found.band
    inside = (band.angle > 0.3) & (band.angle < 20)
    curves = [solve({"friction.ball_on_tang": mu}).columns for mu in stops]
    opening = np.array([np.interp(band.angle[inside], c[0], c[3]) for c in curves])
    np.testing.assert_allclose(
        band.opening_low[inside], np.minimum(opening.min(axis=0), band.opening[inside]), rtol=5e-3
    )
    np.testing.assert_allclose(
        band.opening_high[inside], np.maximum(opening.max(axis=0), band.opening[inside]), rtol=5e-3
    )


def test_a_push_that_no_band_turns_round_is_not_turned_round_by_adding():
    """Two bands that each take drag down by four fifths: together they would be below nothing."""
    found = opened(
        friction__ball_on_tang="{ at_least = 0.024, at_most = 0.12 }",
        bar__calibration="{ at_least = 0.2, at_most = 1.0 }",
    )
    band = found.band
    flat = (band.angle > 12) & (band.angle < 90)
    drag = 0.12 * found.results["riding_force"] * 8
    lever = 15 * np.cos(np.radians(20 - band.angle[flat]))
    assert np.all((drag + 1.5) / lever < np.sqrt(2) * 0.8 * drag / lever)
    np.testing.assert_array_equal(band.opening_low[flat], 0)


def test_the_bars_face_drags_both_ways_in_the_band():
    """The bar lies on the tang: opening and closing cost the face's drag mu N(p) rho and the bearings', by hand."""
    found = solve(DEAD_ENDS["bar_on_tang"] | {"dimple.overclose": "0 mm"})
    spring = found.response.load.spring
    face = 0.12 * float(spring.stiffness * (spring.reach - spring.protrusion)) * 8
    lever = 15 * np.cos(np.radians(20 - found.band.angle))
    lying = (found.band.angle > 0.05) & (found.band.angle < 0.5)
    assert np.count_nonzero(lying) > 3
    np.testing.assert_allclose((found.band.opening * lever)[lying], face + 1.5, rtol=1e-9)
    np.testing.assert_allclose((found.band.closing * lever)[lying], -(face + 1.5), rtol=1e-9)
    rows = (found.columns[0] > 0.05) & (found.columns[0] < 0.5)
    force = found.columns[3] * 15 * np.cos(np.radians(20 - found.columns[0]))
    np.testing.assert_allclose(force[rows], face + 1.5, rtol=1e-9)
    np.testing.assert_allclose(found.columns[1:3, rows], 0, atol=1e-12)


def test_a_blade_that_locks_has_no_opening_band():
    found = curve(Build.loads(GARDEN).change(DEAD_ENDS["locks_solid"]))
    assert np.all(np.isnan(found.band.opening))
    assert np.any(np.isfinite(found.band.closing))


def test_in_the_valley_the_band_starts_at_the_curve():
    valley = {"dimple.rim_feed": "0.098 mm"}
    band = opened(valley, dimple__rim_feed='{ at_least = "0.07 mm", at_most = "0.134 mm" }').band
    inside = (band.angle > 0.3) & (band.angle < 5)
    stops = ("0.07 mm", "0.086 mm", "0.102 mm", "0.118 mm", "0.134 mm")
    curves = [solve({"dimple.rim_feed": feed}).columns for feed in stops]
    single = np.array([np.interp(band.angle[inside], c[0], c[3]) for c in curves])
    above = single.min(axis=0) > 1.002 * band.opening[inside]
    assert np.count_nonzero(above) > 3
    np.testing.assert_allclose(band.opening_low[inside][above], band.opening[inside][above], rtol=1e-12)


def test_a_band_that_reaches_into_proud_never_pushes_a_blade_open():
    """Below the angle where a moved design rests, it is at rest: the finger holds the pivot's friction at most."""
    changes = {"dimple.overclose": "0.01 mm"}
    band = opened(changes, dimple__overclose='{ plus_minus = "0.03 mm" }').band
    low = (band.angle < 0.25) & np.isfinite(band.opening_low)
    assert np.count_nonzero(low) > 2
    assert np.all(band.opening_low[low] > 0.995 * 1.5 / (15 * np.cos(np.radians(20))))


def test_the_band_of_a_rigid_bar_starts_at_its_breakout():
    """At rest the torque jumps from draw to breakout; what a figure draws at that angle is what opening it takes."""
    found = solve(RIGID)
    wanted = (found.results["breakout_torque"] + 1.5) / (15 * np.cos(np.radians(20)))
    assert found.results["breakout_angle"] == 0
    assert found.band.opening[0] == pytest.approx(wanted, rel=1e-9)
