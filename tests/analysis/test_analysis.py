"""Likely ranges, the rim drill's feed and falling shut, each worked out a second way from a build of fixed sizes."""

import numpy as np
import pytest
from helpers.curves import CLOSED, DEAD_ENDS, GARDEN, result, solve, with_tolerance
from helpers.surplus import BALL, INCH, KINDS

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.model import Build
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.units.numbers import two

GRAVITY = 9.80665  # ISO 80000-3, standard value


# Within each band the results asked about run one way, so that five stops in it and its ends tell the same.
OPEN = {
    "bar.calibration": ("{ plus_minus = 0.1 }", (0.9, 0.95, 1.0, 1.05, 1.1)),
    "friction.ball_on_tang": (
        "{ at_least = 0.09, at_most = 0.17 }",
        (0.09, 0.11, 0.13, 0.15, 0.17),
    ),
    "dimple.overclose": (
        '{ plus_minus = "0.02 mm" }',
        ("0.03 mm", "0.04 mm", "0.05 mm", "0.06 mm", "0.07 mm"),
    ),
    "dimple.rim_feed": (
        '{ plus_minus = "0.02 mm" }',
        ("0.05 mm", "0.06 mm", "0.07 mm", "0.08 mm", "0.09 mm"),
    ),
}


# Likely ranges


@pytest.mark.slow
@pytest.mark.parametrize("name", ["breakout_force", "draw_torque"])
def test_likely_range_is_found_again_one_build_at_a_time(name):
    build = with_tolerance(CLOSED | {key: band for key, (band, _) in OPEN.items()})
    found = curve(build)
    base = found.results[name]
    down, up, swing = 0.0, 0.0, {}
    for key, (_, stops) in OPEN.items():
        values = [curve(build.change({key: stop})).results[name] for stop in stops]
        down += max(base - min(values), 0) ** 2
        up += max(max(values) - base, 0) ** 2
        swing[key] = max(*values, base) - min(*values, base)
        assert found.likely.shifts[name][key] == pytest.approx((min(*values, base), max(*values, base)), rel=1e-9)
    assert found.likely.ranges[name] == pytest.approx((base - down**0.5, base + up**0.5), rel=1e-9)
    assert found.likely.matters[name] == max(swing, key=swing.get)


def test_the_input_that_matters_is_the_one_left_open():
    for key, (band, _) in OPEN.items():
        found = curve(with_tolerance(CLOSED | {key: band}))
        assert found.likely.matters["breakout_force"] == key
        low, high = found.likely.ranges["breakout_force"]
        assert low <= found.results["breakout_force"] <= high
        assert high - low > 1e-3


def test_what_no_open_band_moves_hangs_on_nothing():
    found = curve(with_tolerance(CLOSED | {"friction.ball_on_tang": OPEN["friction.ball_on_tang"][0]}))
    assert "riding_force" not in found.likely.matters
    assert found.likely.ranges["riding_force"] == pytest.approx((found.results["riding_force"],) * 2, rel=1e-12)


def test_a_range_of_no_width_is_not_told():
    found = curve(with_tolerance(CLOSED | {"friction.ball_on_tang": OPEN["friction.ball_on_tang"][0]}))
    assert found.in_words("riding_force") == f"{two(found.results['riding_force'])} N"
    low, high = (two(end) for end in found.likely.ranges["breakout_force"])
    breakout = two(found.results["breakout_force"])
    assert found.in_words("breakout_force") == f"{breakout} N (likely {low} to {high} N)"


def test_all_bands_closed_no_range():
    found = curve(with_tolerance(CLOSED))
    assert found.likely.ranges == {}
    assert found.likely.matters == {}
    assert "likely" not in found.in_words("breakout_force")
    assert curve_document(found)["likely"] == {}
    np.testing.assert_array_equal(found.band.opening_low, found.band.opening_high)


# Feed of the rim drill


@pytest.mark.slow
def test_the_rise_holds_nine_tenths_of_the_climb():
    """Single curves at the ends of the rise: below it breakout is near its lowest, past it near its highest."""
    feed = solve().rim_feed
    start, end = feed.rise
    scan = {q: result("breakout_force", dimple__rim_feed=f"{q:.4f} mm") for q in np.arange(0, 0.2, 0.005)}
    lowest, highest = min(scan.values()), max(scan.values())
    step = feed.feed[1] - feed.feed[0]
    before = result("breakout_force", dimple__rim_feed=f"{start:.6f} mm")
    after = result("breakout_force", dimple__rim_feed=f"{end:.6f} mm")
    assert before <= lowest + 0.05 * (highest - lowest) + 1e-6
    assert result("breakout_force", dimple__rim_feed=f"{start + step:.6f} mm") > lowest + 0.04 * (highest - lowest)
    assert after >= lowest + 0.95 * (highest - lowest) - 0.05
    assert result("breakout_force", dimple__rim_feed=f"{end - step:.6f} mm") < lowest + 0.96 * (highest - lowest)


@pytest.mark.parametrize("here", [0.01, 0.07, 0.11, 0.13, 0.19])
def test_change_and_steepness_by_three_single_curves(here):
    found = solve({"dimple.rim_feed": f"{here} mm"}).rim_feed
    middle = result("breakout_force", dimple__rim_feed=f"{here} mm")
    near = [
        result("breakout_force", dimple__rim_feed=f"{max(here + miss, 0):.6f} mm") / middle for miss in (-0.02, 0.02)
    ]
    change = max(abs(share - 1) for share in near)
    assert found.change == pytest.approx(change, rel=1e-6)
    assert found.steep == (change > 0.10)


@pytest.mark.parametrize(("feed", "place"), [("0.05 mm", "before"), ("0.125 mm", "on"), ("0.18 mm", "past")])
def test_place_on_the_rise(feed, place):
    assert solve({"dimple.rim_feed": feed}).rim_feed.place == place


def test_a_rim_drill_that_hardly_opens_the_hole_has_no_rise():
    found = solve({"dimple.rim_drill": "0.0551 in"}).rim_feed
    assert found.rise is None
    assert found.place == "flat"
    scan = [result("breakout_force", dimple__rim_drill="0.0551 in", dimple__rim_feed=f"{q} mm") for q in (0, 0.1, 0.3)]
    assert max(scan) < 1.1 * min(scan)


def test_a_climb_that_ends_in_a_solid_lock_is_no_flat():
    """At friction 0.45 breakout climbs with the feed until the ball locks: that is not a feed that changes nothing."""
    high = {"friction.ball_on_tang": 0.45}
    shallow, deep = solve(high | {"dimple.rim_feed": "0.05 mm"}), solve(high | {"dimple.rim_feed": "0.16 mm"})
    assert "locks_solid" in deep.flags
    assert "locks_solid" not in shallow.flags
    assert shallow.rim_feed.place != "flat"


def test_a_step_that_a_finger_just_feels_is_steep():
    """Published force discrimination is 7 to 10 %: 12 % is felt, 9 % is not called steep."""
    for here, steep in (("0.088 mm", True), ("0.164 mm", False)):
        found = solve({"dimple.rim_feed": here}).rim_feed
        assert 0.08 < found.change < 0.13
        assert found.steep == steep


def test_a_feed_cannot_miss_below_first_touch():
    """A drill a tenth of a thou wider than the first is done in a touch: too little feed is the larger miss."""
    drill = {"dimple.rim_drill": "0.0551 in"}
    found = solve(drill | {"dimple.rim_feed": "0.017 mm"}).rim_feed
    untouched, here = (solve(drill | {"dimple.rim_feed": q}).results["breakout_force"] for q in ("0 mm", "0.017 mm"))
    assert found.change == pytest.approx(abs(untouched / here - 1), rel=1e-6)


def test_the_scan_ends_a_little_past_the_last_feed_that_changes_anything():
    """Sharp: the inner edge, q deep, lets the ball go to the rim once sqrt(R^2 - a1^2) - q = sqrt(R^2 - a2^2)."""
    last = np.sqrt(BALL**2 - (0.0550 * INCH / 2) ** 2) - np.sqrt(BALL**2 - (0.0595 * INCH / 2) ** 2)
    feed = solve({"dimple.edge_radius": "0 mm"}).rim_feed.feed
    assert 0 <= feed[-1] / 1.15 - last < 2 * 25.4 / 16 / 800  # its search goes in steps of two balls over 800
    assert feed[0] == 0
    past = solve({"dimple.rim_feed": "0.4 mm"}).rim_feed
    assert past.feed[-1] == pytest.approx(0.46, rel=1e-9)
    assert past.place == "past"


@pytest.mark.slow
def test_a_climb_back_to_less_than_the_start_is_followed_to_its_own_top():
    """Breakout falls a fifth from the rounded first hole, then climbs not nearly back."""
    light = {"dimple.rim_drill": "0.0551 in", "dimple.edge_radius": "0.1 mm", "dimple.pilot_depth": "0.1 mm"}
    light |= {"bar.bend": "0.8 mm"}
    start, end = solve(light | {"dimple.rim_feed": "0.05 mm"}).rim_feed.rise
    places = np.arange(0, 0.15, 0.005)
    force = [solve(light | {"dimple.rim_feed": f"{q:.3f} mm"}).results["breakout_force"] for q in places]
    lowest, top = min(force), max(force[int(np.argmin(force)) :])
    assert force[0] > top
    before, after = (solve(light | {"dimple.rim_feed": f"{q:.6f} mm"}).results["breakout_force"] for q in (start, end))
    assert before <= lowest + 0.06 * (top - lowest)
    assert after >= lowest + 0.94 * (top - lowest)


def test_a_lock_ends_the_rise_at_the_first_feed_that_locks():
    found = solve({"friction.ball_on_tang": 0.45}).rim_feed
    start, end = found.rise
    first = np.flatnonzero(np.isnan(found.breakout))[0]
    assert found.feed[first] == end
    assert np.all(np.isfinite(found.breakout[:first]))
    for feed, locks in ((end, True), (found.feed[first - 1], False)):
        flags = solve({"friction.ball_on_tang": 0.45, "dimple.rim_feed": f"{feed:.9f} mm"}).flags
        assert ("locks_solid" in flags) == locks
    assert start < end


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
    text = "\n".join(line for line in GARDEN.splitlines() if not line.startswith(missing))
    found = curve(Build.loads(text))
    assert found.falls_shut is None
    assert curve_document(found)["falls_shut"] is None
    wanted = curve(Build.loads(text + "\nfalls_shut = true\n")).verdicts[-1]
    assert (wanted.name, wanted.met) == ("falls_shut", None)
