"""The curve's columns, band, and bench numbers, each worked out a second way from a build of fixed sizes."""

import numpy as np
import pytest
from helpers.curves import DEAD_ENDS, DEEP, RIGID, result, solve
from helpers.records import felt
from helpers.surplus import BALL, INCH, KINDS, NO_RIM

from detentsim.units import systems
from detentsim.units.numbers import two_digits

# Columns


@pytest.mark.parametrize("kind", KINDS)
def test_rows_start_at_rest_and_never_go_back(kind):
    found = solve(KINDS[kind])
    angle, opening, closing, _ = found.columns
    assert angle[0] == pytest.approx(found.results["rest_angle"], abs=1e-12)
    assert np.all(np.diff(angle) >= 0)
    assert angle[-1] == pytest.approx(180, rel=1e-12)
    assert np.all(np.isfinite(opening) & np.isfinite(closing))
    _, count = np.unique(angle, return_counts=True)
    assert count.max() <= 2
    twice = np.flatnonzero(np.diff(angle) == 0)
    apart = np.abs(np.diff(found.columns[1:3], axis=1))[:, twice].max(axis=0)
    assert np.all(apart > 1e-9 * np.abs(found.columns[1:3]).max())


@pytest.mark.parametrize("kind", KINDS)
def test_area_under_the_opening_torque_is_the_energy(kind):
    """Rows of the curve, and twenty thousand more read between them; a jump is no area."""
    found = solve(KINDS[kind])
    start, end = (found.results[name] for name in ("rest_angle", "let_go_angle"))
    rows = found.columns[0][found.columns[0] < end]
    theta = np.radians(np.unique(np.concatenate([rows, np.linspace(start, end, 20001)])))
    torque = felt(found.response, theta, opening=True) * 1e3
    torque[0] = found.columns[1][found.columns[0] == found.columns[0][0]][-1]
    area = np.trapezoid(torque - found.results["drag_torque"], theta)
    assert area == pytest.approx(found.results["breakout_energy"], rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_area_and_peak_of_the_rows_are_the_results(kind):
    found = solve(KINDS[kind])
    angle, opening = found.columns[:2]
    way = angle <= found.results["let_go_angle"] + 1e-9
    area = np.trapezoid(opening[way] - found.results["drag_torque"], np.radians(angle[way]))
    assert area == pytest.approx(found.results["breakout_energy"], rel=0.01)
    assert opening.max() == pytest.approx(found.results["breakout_torque"], rel=1e-3)


LEVER_AT_REST = 15 * np.cos(np.radians(20))


@pytest.mark.parametrize(("kind", "pivot_drag", "washers"), [("as it is", 1.5, 0.0), ("washers", 4.0, 0.12)])
def test_the_first_row_is_the_blade_as_it_rests(kind, pivot_drag, washers):
    """Before the finger has moved anything it must hold the draw and the pivot, washers under the resting push."""
    found = solve(KINDS[kind])
    first, draw = found.columns[:, 0], found.results["draw_torque"]
    assert draw > 10
    np.testing.assert_allclose(first[:3], [0, draw, draw], rtol=1e-9)
    resting = pivot_drag + washers * 8 * found.results["preload"]
    assert first[3] == pytest.approx((draw + resting) / LEVER_AT_REST, rel=1e-9)


def test_the_first_row_of_a_proud_blade_carries_nothing():
    found = solve(KINDS["proud"])
    assert found.results["draw_torque"] < -10
    np.testing.assert_allclose(found.columns[1:3, 0], 0, atol=1e-12)


def test_a_blade_held_by_friction_short_of_its_seat_asks_the_first_push_for_the_pivot_alone():
    """So much friction that the ball does not draw: the stop carries nothing and the finger starts from nothing."""
    found = solve({**NO_RIM, "dimple.pilot_drill": "0.5 mm", "friction.ball_on_tang": 0.6})
    assert found.results["draw_torque"] < 0
    assert found.columns[3][0] == pytest.approx(1.5 / LEVER_AT_REST, rel=1e-9)


def test_a_locked_blade_has_no_opening_column():
    found = solve(DEAD_ENDS["locks_solid"])
    assert found.columns[1][0] == pytest.approx(found.results["draw_torque"], rel=1e-9)
    assert np.all(np.isnan(found.columns[[1, 3], 1:]))
    assert np.all(np.isfinite(found.columns[2]))


def test_a_rigid_bar_jumps_from_draw_to_breakout_at_rest():
    found = solve(RIGID)
    angle, opening = found.columns[:2]
    assert angle[0] == angle[1] < angle[2]
    assert opening[0] == pytest.approx(found.results["draw_torque"], rel=1e-9)
    assert opening[1] > 1.5 * opening[0]


def test_a_snap_stands_as_two_rows():
    found = solve(DEEP)
    assert "snaps" in found.flags
    angle, opening = found.columns[:2]
    fall = np.diff(opening) * (np.diff(angle) == 0)
    assert fall.min() < -0.1 * opening.max()


@pytest.mark.parametrize("push", ["fixed", "follows"])
@pytest.mark.parametrize("kind", ["as it is", "washers"])
def test_force_is_torque_and_pivot_over_the_lever(kind, push):
    """Washers drag with the bar's push on the flat, at the ball's radius where that is the larger."""
    found = solve(KINDS[kind] | {"opener.push": push})
    angle, opening, _, force = found.columns
    turned = np.radians(20 - angle) if push == "fixed" else np.full_like(angle, np.radians(20))
    lever = 15 * np.cos(turned)
    friction = found.numbers.get("pivot.washer_friction", 0.0) if kind == "washers" else 0.0
    pivot_drag = found.build.si("pivot.friction_torque") * 1e3 + friction * 8 * found.results["riding_force"]
    flat = (angle > found.results["let_go_angle"] + 0.5) & (lever > 0.05 * 15)
    np.testing.assert_allclose(force[flat], (opening[flat] + pivot_drag) / lever[flat], rtol=1e-9)
    np.testing.assert_array_equal(np.isnan(force), lever <= 0.05 * 15)
    assert np.isnan(force).any() == (push == "fixed")


# Band


@pytest.mark.parametrize("kind", ["as it is", "snaps", "proud", "washers"])
def test_the_band_goes_with_the_curve(kind):
    found = solve(KINDS[kind])
    band, (angle, _, _, force) = found.band, found.columns
    clear = (band.angle > found.results["let_go_angle"] + 0.5) & (band.angle < 100)
    np.testing.assert_allclose(band.opening[clear], np.interp(band.angle[clear], angle, force), rtol=1e-3)
    single = [np.count_nonzero(angle == here) == 1 for here in angle]
    inside = np.array(single) & (angle > found.results["rest_angle"]) & np.isfinite(force)
    np.testing.assert_allclose(np.interp(angle[inside], band.angle, band.opening), force[inside], rtol=1e-6)
    for low, high in ((band.opening_low, band.opening_high), (band.closing_low, band.closing_high)):
        there = np.isfinite(low)
        assert np.count_nonzero(there) > 0.5 * low.size
        assert np.all(low[there] <= high[there])
    assert np.any(band.opening_high[clear] > band.opening_low[clear] + 0.01)


# Bench


@pytest.mark.parametrize(("drill", "diameter"), [("#54", 0.0550), ("#53", 0.0595), ("#56", 0.0465)])
def test_a_loose_ball_in_a_sharp_hole_by_hand(drill, diameter):
    """R + sqrt(R^2 - a^2), a ball on a sharp edge. Drill sizes: ASME B94.11M."""
    found = solve({**NO_RIM, "dimple.pilot_drill": drill, "dimple.edge_radius": "0 mm"})
    proud = BALL + np.sqrt(BALL**2 - (diameter * INCH / 2) ** 2)
    assert found.results["loose_ball_height"] == pytest.approx(proud, rel=1e-9)
    assert f"{proud:.3f} mm" in found.bench.steps[0].read
    inches = solve({**NO_RIM, "dimple.pilot_drill": drill, "dimple.edge_radius": "0 mm", "units": "inch"})
    assert f"{1e3 * proud / INCH:.1f} thou" in inches.bench.steps[0].read
    assert not any("Second drill" in step.do for step in found.bench.steps)
    assert found.bench.tries == ()


@pytest.mark.parametrize(
    ("overclose", "where"),
    [
        ("0.04 mm", "the blade held 0.040 mm past its stop"),
        ("0.5 deg", "the blade held 0.070 mm past its stop"),  # 8 mm times pi/360
        ("-0.06 mm", "the blade held 0.060 mm short of its stop"),
        ("-0.5 deg", "the blade held 0.070 mm short of its stop"),
        ("0 mm", "with the blade on its stop, 0.600 mm deep"),
    ],
)
def test_where_the_blade_is_held_for_the_first_drill(overclose, where):
    assert where in solve({"dimple.overclose": overclose}).bench.steps[0].do


def test_a_hole_drilled_once_is_read_as_it_stays():
    """One drill: the broken edge lets the ball down to sit on it, (R + r_e) from a circle r_e outward and r_e deep."""
    found = solve({**NO_RIM, "dimple.edge_radius": "0.05 mm"})
    proud = BALL - 0.05 + np.sqrt((BALL + 0.05) ** 2 - (0.0550 * INCH / 2 + 0.05) ** 2)
    assert found.results["loose_ball_height"] == pytest.approx(proud, rel=1e-9)
    assert f"stands {proud:.3f} mm" in found.bench.steps[0].read


def test_a_second_drill_not_yet_fed_asks_for_no_step():
    found = solve({"dimple.rim_feed": "0 mm"})
    assert found.bench.tries == ()
    assert not any("Second drill" in step.do for step in found.bench.steps)


def test_a_try_that_locks_tells_no_breakout():
    tries = solve(DEEP | {"friction.ball_on_tang": 0.45}).bench.tries
    assert tries[0].breakout > 0
    assert tries[-1].breakout is None


@pytest.mark.parametrize(("bend", "words"), [("1.6 mm", "1.600 mm inward"), ("-2 mm", "2.000 mm outward")])
def test_bend_and_ball_as_they_are_set(bend, words):
    steps = solve({"bar.bend": bend, "ball.protrusion": "0.5 mm"}).bench.steps
    assert any(words in step.do for step in steps)
    assert any("0.500 mm out of the bar's inner face" in step.do for step in steps)


def test_tries_rise_in_feed_and_end_at_the_feed():
    found = solve(DEEP)
    tries = found.bench.tries
    assert np.all(np.diff([t.feed for t in tries]) > 0)
    assert np.all(np.diff([t.height for t in tries]) <= 1e-12)
    assert tries[-1].feed == pytest.approx(0.16, rel=1e-12)
    for t in tries:
        assert t.height == pytest.approx(result("loose_ball_height", dimple__rim_feed=f"{t.feed:.9f} mm"), rel=1e-9)
        assert t.breakout == pytest.approx(result("breakout_force", dimple__rim_feed=f"{t.feed:.9f} mm"), rel=1e-6)


def test_what_cannot_be_undone_says_stop_and_what_to_try():
    steps = solve().bench.steps
    cuts = [step for step in steps if "drill" in step.do.split(":")[0] or step.do.startswith("Press")]
    assert len(cuts) == 3
    assert all(step.stop for step in cuts)
    assert not any(step.stop for step in steps if step not in cuts)


def lifts(found):
    return next(step.read for step in found.bench.steps if "lifts the ball" in step.read)


def test_the_pull_that_lifts_the_ball_in_either_unit():
    found = solve()
    stated = lifts(found)
    pounds_stated = lifts(solve({"units": "inch"}))
    for name in ("lift_force_open", "lift_force_closed"):
        newtons = found.results[name]
        pounds = newtons / 4.4482216152605  # lbf: 0.45359237 kg times standard gravity
        assert f"{two_digits(newtons)} N" in stated
        assert f"{two_digits(pounds)} lbf" in pounds_stated
    assert (systems.METRIC.pull(4.4482216152605), systems.INCH.pull(4.4482216152605)) == ("4.4 N", "1.0 lbf")
    assert systems.METRIC.pull(None) == systems.INCH.pull(None) == "none"


def test_lengths_in_thou_and_two_digits():
    assert (systems.METRIC.size(25.4), systems.INCH.size(25.4)) == ("25.400 mm", "1.000 in")
    assert (systems.METRIC.size(0.0254), systems.INCH.size(0.0254)) == ("0.025 mm", "1.0 thou")
    wanted = {0: "0", 0.0996: "0.10", 0.994: "0.99", 0.996: "1.0", 9.96: "10", 13.7: "14", 149.0: "150", -3.14: "-3.1"}
    assert {value: two_digits(value) for value in wanted} == wanted
    assert two_digits(1e-7) == "0.00000010"
