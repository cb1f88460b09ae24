"""Likely ranges and the rim drill's feed, each worked out a second way from a build of fixed sizes."""

import numpy as np
import pytest
from helpers.curves import CLOSED, result, solve, with_tolerance
from helpers.surplus import BALL, INCH

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.units.numbers import two_digits

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


def test_the_input_that_matters_is_the_one_left_open():
    for key, (band, _) in OPEN.items():
        found = curve(with_tolerance(CLOSED | {key: band}))
        assert found.likely.matters["breakout_force"] == key
        low, high = found.likely.ranges["breakout_force"]
        assert high - low > 1e-3


def test_what_no_open_band_moves_hangs_on_nothing():
    found = curve(with_tolerance(CLOSED | {"friction.ball_on_tang": OPEN["friction.ball_on_tang"][0]}))
    assert "riding_force" not in found.likely.matters
    assert found.likely.ranges["riding_force"] == pytest.approx((found.results["riding_force"],) * 2, rel=1e-12)


def test_a_range_of_no_width_is_not_told():
    found = curve(with_tolerance(CLOSED | {"friction.ball_on_tang": OPEN["friction.ball_on_tang"][0]}))
    assert found.in_words("riding_force") == f"{two_digits(found.results['riding_force'])} N"
    low, high = (two_digits(end) for end in found.likely.ranges["breakout_force"])
    breakout = two_digits(found.results["breakout_force"])
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


@pytest.mark.slow
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
