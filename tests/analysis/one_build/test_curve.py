"""The answers around the curve, against hand checks: ranges, rim feed, falling shut, bench, documents."""

import json

import numpy as np
import pytest
from helpers.garden import WORKSHOP_TEXT, workshop

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.model import Build
from detentsim.knife.outcomes import RESULTS
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.units.numbers import two_digits
from detentsim.units.quantities import registry


@pytest.fixture(scope="module")
def c():
    return curve(workshop())


def changed(**changes):
    return curve(workshop().change({name.replace("__", "."): value for name, value in changes.items()}))


CLOSED = """
[tolerance]
"bar.relief_thickness" = { plus_minus = "0 mm" }
"bar.bend" = { plus_minus = "0 mm" }
"ball.protrusion" = { plus_minus = "0 mm" }
"tang.face_gap" = { plus_minus = "0 mm" }
"bar.calibration" = { plus_minus = 0.0 }
"dimple.edge_radius" = { plus_minus = "0 mm" }
"dimple.overclose" = { plus_minus = "0 mm" }
"dimple.radial_error" = { plus_minus = "0 mm" }
"dimple.rim_feed" = { plus_minus = "0 mm" }
"dimple.hole_oversize" = { plus_minus = "0 mm" }
"""


def test_likely_range_is_about_the_moves_added_in_squares():
    """Two doubts that act in proportion: JCGM 100:2008, 5.1.2, at 1.645 of 1.96 standard deviations."""
    text = WORKSHOP_TEXT + CLOSED.replace(
        '"bar.calibration" = { plus_minus = 0.0 }', '"bar.calibration" = { plus_minus = 0.1 }'
    )
    build = Build.loads(text + '"friction.ball_on_tang" = { plus_minus = 0.02 }\n')
    found = curve(build)
    swing = {
        name: np.ptp([curve(build.change({name: v})).results["breakout_force"] for v in values])
        for name, values in {"bar.calibration": (0.9, 1.1), "friction.ball_on_tang": (0.10, 0.14)}.items()
    }
    low, high = found.likely.ranges["breakout_force"]
    assert high - low == pytest.approx(np.hypot(*swing.values()) * 1.645 / 1.96, rel=0.05)
    assert found.likely.matters["breakout_force"] == max(swing, key=swing.get)


def test_closed_bands_leave_no_range():
    found = curve(Build.loads(WORKSHOP_TEXT + CLOSED + '"friction.ball_on_tang" = { plus_minus = 0.0 }\n'))
    assert found.likely.ranges == {}
    assert found.in_words("breakout_force") == f"{two_digits(found.results['breakout_force'])} N"


def test_rim_feed_follows_single_curves(c):
    feed = c.rim_feed
    for i in (0, 20, 45, 60):
        one = changed(dimple__rim_feed=f"{feed.feed[i]:.9f} mm")
        assert one.results["breakout_force"] == pytest.approx(feed.breakout[i], rel=1e-6)
        assert one.results["loose_ball_height"] == pytest.approx(feed.height[i], rel=1e-6)
    near = [changed(dimple__rim_feed=f"{q} mm").results["breakout_force"] for q in (0.03, 0.05, 0.07)]
    assert feed.change == pytest.approx(max(abs(near[0] / near[1] - 1), abs(near[2] / near[1] - 1)), rel=1e-6)
    assert (feed.place, feed.steep) == ("before", False)


@pytest.mark.parametrize(("feed", "place", "steep"), [("0.125 mm", "on", True), ("0.2 mm", "past", False)])
def test_rim_feed_tells_where_the_build_sits(feed, place, steep):
    found = changed(dimple__rim_feed=feed).rim_feed
    assert (found.place, found.steep) == (place, steep)


def test_no_second_drill_no_rim_feed():
    found = changed(dimple__rim_drill="none", dimple__rim_feed=None)
    assert found.rim_feed is None
    assert not any("Second drill" in step.do for step in found.bench.steps)


def test_falling_shut_is_a_torque_balance(c):
    """On the flat: weight against the drag of ball and bearings, by hand."""
    shut = c.falls_shut
    assert shut.falls
    on_flat = (shut.angle > 20) & (shut.angle < 90)
    theta = np.radians(shut.angle[on_flat])
    weight = 0.030 * 9.80665 * 34 * np.sin(theta + np.pi / 4)  # straight down lies 45 deg on the closing side
    drag = 0.12 * c.results["riding_force"] * 7 + 0.8
    np.testing.assert_allclose(shut.surplus[on_flat], weight - drag, rtol=1e-9)


def test_a_blade_hangs_where_drag_wins():
    heavy = changed(friction__ball_on_tang=0.17)
    assert not heavy.falls_shut.falls
    drag = 0.17 * heavy.results["riding_force"] * 7 + 0.8
    upper = 180 - 45 - np.degrees(np.arcsin(drag / (0.030 * 9.80665 * 34)))
    low, high = heavy.falls_shut.hangs[-1]
    assert upper - 2.1 < low < upper + 2.1  # rows on the flat stand two degrees apart
    assert 88 <= high <= 90


def test_tilting_the_plane_of_the_swing_lightens_the_blade():
    upright, leaning = changed(), changed(attitude__tilt="60 deg")
    drag = 0.12 * upright.results["riding_force"] * 7 + 0.8
    at = np.searchsorted(upright.falls_shut.angle, 40)
    assert leaning.falls_shut.surplus[at] + drag == pytest.approx((upright.falls_shut.surplus[at] + drag) / 2, rel=1e-9)


def test_without_a_mass_falling_shut_is_not_told():
    text = "\n".join(line for line in WORKSHOP_TEXT.splitlines() if not line.startswith(("mass", "falls_shut")))
    found = curve(Build.loads(text))
    assert found.falls_shut is None
    assert "falls_shut" not in curve_document(found)["results"]


def test_columns_tell_the_results(c):
    angle, opening, closing, force = c.columns
    assert angle[0] == 0
    assert np.all(np.diff(angle) >= 0)
    assert angle[-1] == pytest.approx(180)
    assert opening[0] == pytest.approx(c.results["draw_torque"])
    assert closing[0] == pytest.approx(c.results["draw_torque"])
    assert opening.max() == pytest.approx(c.results["breakout_torque"], rel=1e-3)
    assert np.nanmax(force[angle < 20]) == pytest.approx(c.results["breakout_force"], rel=1e-3)
    way = angle <= c.results["let_go_angle"]
    area = np.trapezoid(opening[way] - c.results["drag_torque"], np.radians(angle[way]))
    assert area == pytest.approx(c.results["breakout_energy"], rel=0.01)
    flat = (angle > 20) & (angle < 100)
    assert closing[flat] == pytest.approx(-c.results["drag_torque"])
    # Finger force by hand: bearings feel nothing of the ball's push.
    lever = 10.5 * np.cos(np.radians(20 - angle))
    quoted = lever > 0.05 * 10.5
    np.testing.assert_allclose(force[quoted], (opening + 0.8)[quoted] / lever[quoted], rtol=1e-9)
    assert np.all(np.isnan(force[~quoted]))


def test_a_jump_stands_as_two_rows_of_one_angle():
    rigid = changed(bar__lateral_stiffness="rigid")
    angle, opening = rigid.columns[:2]
    first = np.flatnonzero(angle == angle[0])
    assert len(first) == 2
    assert opening[first[0]] == pytest.approx(rigid.results["draw_torque"])
    assert opening[first[1]] == pytest.approx(rigid.results["breakout_torque"], rel=1e-6)


def test_the_band_is_drawn_about_the_curve(c):
    band = c.band
    inside = np.isfinite(band.opening)
    assert np.all(band.opening_low[inside] <= band.opening_high[inside])
    assert np.all(band.opening_low[inside] > 0)
    smooth = inside & (band.angle > 3) & (band.angle < 90)
    wanted = np.interp(band.angle[smooth], c.columns[0], c.columns[3])
    np.testing.assert_allclose(band.opening[smooth], wanted, rtol=2e-3)


def test_bench_reads_by_hand(c):
    """1/16 in ball in a sharp #54 hole stands 2R - (R - sqrt(R^2 - a^2)) proud; the second drill lowers it."""
    steps = c.bench.steps
    inch = 25.4
    proud = inch / 32 + np.sqrt((inch / 32) ** 2 - (0.055 * inch / 2) ** 2)
    assert f"stands {proud:.3f} mm" in steps[0].read
    assert "#54" in steps[0].do
    assert "0.050 mm past its stop" in steps[0].do
    assert "#53: feed 0.050 mm" in steps[1].do
    assert "0.635 mm" in steps[2].do
    assert "2.300 mm" in steps[3].do
    assert all(step.stop for step in steps[:3])  # cuts and the press fit cannot be undone
    assert not steps[3].stop
    tries = c.bench.tries
    assert [t.feed for t in tries] == pytest.approx([0.0125, 0.025, 0.0375, 0.05])
    assert tries[-1].height == pytest.approx(c.results["loose_ball_height"])
    assert tries[-1].breakout == pytest.approx(c.results["breakout_force"])


def test_results_are_quantities_in_their_unit(c):
    for name, value in c.results.items():
        assert c[name].magnitude == value
        assert c[name].units == getattr(c, name).units
        assert c[name].units == registry().Unit(RESULTS[name].unit)


def test_a_missing_result_is_none_and_says_why():
    floating = changed(bar__bend="-2 mm")
    assert floating.breakout_force is None
    assert floating.in_words("breakout_force") == "none: the ball never reaches the tang"
    with pytest.raises(AttributeError, match="no result"):
        _ = floating.wobble


def test_the_document_holds_the_curve(c):
    document = json.loads(json.dumps(curve_document(c), allow_nan=False))
    for name, value in c.results.items():
        assert document["results"][name] == {"value": value, "unit": RESULTS[name].unit}
    assert document["results"]["falls_shut"] is True
    assert [v["met"] for v in document["target"]] == [True, True]
    assert set(document["assumed"]) == set(c.assumed)


def test_facts_of_the_trade():
    """Common practice, no source: an un-bent bar, a thumb on it, the larger drill, the blade held past its stop."""
    flat = changed(bar__bend="0 mm")
    assert flat.flags == ("hangs_loose",)
    assert flat.results["riding_force"] == pytest.approx(flat.results["bar_stiffness"] * 5 * 0.0254, rel=1e-9)
    assert flat.results["preload"] == 0
    pressed = changed(bar__bend="0 mm", grip__force="5 N")
    assert pressed.results["preload"] > 4
    assert "hangs_loose" not in pressed.flags
    deep = changed(dimple__rim_feed="0.2 mm")
    assert deep.results["breakout_force"] > 1.5 * changed().results["breakout_force"]
    assert changed(dimple__overclose="0 mm").results["draw_torque"] == 0
    assert changed().results["draw_torque"] > 0
