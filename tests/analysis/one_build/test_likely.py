"""Likely ranges and the band about the curve: the middle nine in ten of the knives made to a build."""

import numpy as np
import pytest
from helpers.curves import CLOSED, DEAD_ENDS, DEEP, RIGID, result, solve, with_tolerance
from helpers.garden import garden, workshop

import detentsim as ds
from detentsim.analysis.many_builds.batch.batch import batch
from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.doubts import INSIDE
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.feel_curve.report import report

MIDDLE = 1.6448536269514722 / INSIDE
"""Part of a normal plus-minus that the middle nine in ten take up."""


def opened(changes=None, **bands):
    """Curve of the garden folder with only these bands open; a name's dot is written as two underscores."""
    lines = CLOSED | {name.replace("__", "."): band for name, band in bands.items()}
    return curve(with_tolerance(lines).change(changes or {}))


# One idea behind range and batch


@pytest.mark.parametrize("changes", [{}, DEEP, RIGID, {"dimple.overclose": "-0.02 mm"}])
def test_a_likely_range_is_the_interval_of_the_batchs_first_knives(changes):
    build = workshop().change(changes)
    found, made = curve(build), batch(build, 256)
    assert set(found.likely.ranges) == {name for name, value in found.results.items() if value is not None}
    for name, ends in found.likely.ranges.items():
        assert ends == pytest.approx([end.m for end in made.interval(name, 0.9)], rel=1e-9, abs=1e-12)
    for flag, share in found.likely.may.items():
        assert share == made.share(flag).share
    assert found.likely.inside == made.share().share


@pytest.mark.slow
def test_knives_are_those_of_builds_made_one_by_one():
    build = workshop()
    found, made = curve(build), batch(build, 256)
    for i in range(0, 256, 32):
        sizes = {name: values[i] for name, values in made.inputs.items() if name != "bar.calibration"}
        sizes["friction.ball_on_tang"] = float(sizes["friction.ball_on_tang"].m)
        stiffness = ds.curve(build.change(sizes)).bar_stiffness * made.inputs["bar.calibration"][i].m
        one = ds.curve(build.change(sizes | {"bar.stiffness": stiffness}))
        for name in ("breakout_force", "draw_torque", "let_go_angle"):
            own = float(made[name][i].m)
            assert one.results[name] == pytest.approx(own, rel=1e-6)
    assert found.likely.knives.results["preload"].shape == (256,)


def test_a_linear_range_is_the_root_of_the_sum_of_squares():
    """Riding force is stiffness times offset: a few per cent of each add in squares (JCGM 100:2008, 5.1.2)."""

    def width(**bands):
        low, high = opened(**bands).likely.ranges["riding_force"]
        return high - low

    bend, stiff = {"bar__bend": '{ plus_minus = "0.05 mm" }'}, {"bar__calibration": "{ plus_minus = 0.05 }"}
    assert width(**bend, **stiff) == pytest.approx(np.hypot(width(**bend), width(**stiff)), rel=0.04)


@pytest.mark.parametrize("stiffness", [11.0, 15.0])
def test_a_measured_stiffness_is_banded_about_itself(stiffness):
    """The riding force goes with stiffness alone; 0.03 of calibration about what the measurement comes to."""
    others = {name: band for name, band in CLOSED.items() if name != "bar.calibration"}
    found = curve(with_tolerance(others).change({"bar.stiffness": f"{stiffness} N/mm"}))
    calibration = stiffness / result("bar_stiffness")
    riding = found.results["riding_force"]
    wanted = [riding * (1 + MIDDLE * miss / calibration) for miss in (-0.03, 0.03)]
    assert found.likely.ranges["riding_force"] == pytest.approx(tuple(wanted), rel=1e-3)
    assert found.likely.ranges["bar_stiffness"] == pytest.approx(tuple(np.divide(wanted, riding) * stiffness), rel=1e-3)
    assert found.likely.matters["riding_force"] == "bar.calibration"


def test_overclose_given_as_an_angle_varies_as_a_length_at_the_ball():
    """0.4 deg at 8 mm is 0.0559 mm."""
    tolerance = CLOSED | {"dimple.overclose": '{ plus_minus = "0.02 mm" }'}
    build = with_tolerance(tolerance).change({"dimple.overclose": "0.4 deg"})
    lengths = batch(build, 256).inputs["dimple.overclose"].m
    assert np.median(lengths) == pytest.approx(np.radians(0.4) * 8, abs=0.001)
    draw = curve(build).likely.knives.results["draw_torque"] * 1e3
    for i in range(5):
        assert draw[i] == pytest.approx(result("draw_torque", dimple__overclose=f"{lengths[i]:.12f} mm"), rel=1e-6)


# Warnings


def test_what_knives_may_warn_of_is_not_what_the_build_warns_of():
    snapping = solve(DEEP)
    assert "snaps" in snapping.flags
    assert not set(snapping.likely.may) & set(snapping.flags)
    near = opened({"dimple.rim_feed": "0.09 mm"}, dimple__rim_feed='{ plus_minus = "0.04 mm" }')
    assert "snaps" not in near.flags
    assert 0 < near.likely.may["snaps"] < 1
    assert set(near.likely.may) <= set(FLAGS)
    assert list(near.likely.may.values()) == sorted(near.likely.may.values(), reverse=True)


def test_a_ball_that_floats_may_do_nothing_else():
    found = solve(DEAD_ENDS["floats"] | {"dimple.overclose": None})
    assert found.flags == ("floats",)
    assert found.likely.may == {}
    assert "stands_proud" in solve({"dimple.overclose": None}).likely.may


def test_knives_that_lock_have_no_part_in_the_range():
    changes = {"dimple.rim_feed": "0.16 mm"}
    found = opened(changes, friction__ball_on_tang="{ at_least = 0.12, at_most = 0.7 }")
    locked = found.likely.knives.flags["locks_solid"]
    assert 0 < found.likely.may["locks_solid"] == np.mean(locked) < 1
    force = found.likely.knives.results["breakout_force"]
    assert np.all(np.isnan(force[locked]))
    low, high = found.likely.ranges["breakout_force"]
    assert np.nanmin(force) <= low < high <= np.nanmax(force)


def test_knives_whose_sizes_do_not_fit_are_named():
    found = opened({"bar.relief_thickness": "2.9 mm"}, bar__relief_thickness='{ plus_minus = "0.3 mm" }')
    (words,) = set(found.likely.may) - set(FLAGS)
    assert words == "the relief is thicker than the bar"
    assert found.likely.may[words] == np.mean(found.likely.excluded)
    assert 0.05 < found.likely.may[words] < 0.6


# What matters


@pytest.mark.slow
def test_the_input_that_matters_has_the_largest_total_index():
    """Against SciPy's indices of a larger batch, for every result whose first two indices are apart."""
    apart = 0
    for build in (
        workshop(),
        workshop().change({"bar.bend": "2.8 mm"}),
        workshop().change({"dimple.overclose": "0 mm"}),
    ):
        found, made = curve(build), batch(build, 256, of=RESULT_NAMES)
        for name in ("breakout_force", "drag_force", "draw_torque", "preload", "let_go_angle"):
            known = made.matters(name).inputs
            first, second = sorted((index.in_all for index in known.values()), reverse=True)[:2]
            if first > 1.2 * second:
                apart += 1
                assert found.likely.matters[name] == max(known, key=lambda key: known[key].in_all)
    assert apart > 7


def test_what_matters_moves_the_result_farthest_either_way():
    found = opened(
        friction__ball_on_tang="{ at_least = 0.06, at_most = 0.12 }", bar__calibration="{ plus_minus = 0.02 }"
    )
    assert found.likely.matters["breakout_force"] == "friction.ball_on_tang"
    assert found.likely.matters["seated_force"] == "bar.calibration"


def test_an_input_that_does_nothing_to_a_result_does_not_matter():
    found = opened(friction__ball_on_tang="{ plus_minus = 0.01 }", finger__effort="{ plus_minus = 0.1 }")
    assert {doubt.name for doubt in found.likely.spread} == {"friction.ball_on_tang", "finger.effort"}
    assert found.likely.matters["breakout_force"] == "friction.ball_on_tang"
    assert "riding_force" not in found.likely.matters


# The band about the curve


def unlike(count):
    """Builds whose bend, feed, over-close, friction and drill differ, at random."""
    rng = np.random.default_rng(11)
    for _ in range(count):
        yield workshop().change(
            {
                "bar.bend": f"{rng.uniform(0.8, 3.5):.3f} mm",
                "dimple.rim_feed": f"{rng.uniform(0, 0.2):.4f} mm",
                "dimple.overclose": f"{rng.uniform(-0.05, 0.15):.4f} mm",
                "friction.ball_on_tang": round(rng.uniform(0.05, 0.4), 3),
                "dimple.rim_drill": rng.choice(["1.42 mm", "1.45 mm", "#53"]),
                "bar.lateral_stiffness": rng.choice(["rigid", "300 N/mm", "60 N/mm"]),
            }
        )


@pytest.mark.slow
def test_the_band_at_the_breakout_is_the_likely_range_of_unlike_builds():
    told = 0
    for build in unlike(25):
        c = curve(build)
        at, ends = c.results["breakout_force_angle"], c.likely.ranges.get("breakout_force")
        if at is None or ends is None:
            continue
        place = int(np.argmin(np.abs(c.band.angle - at)))
        assert c.band.angle[place] == pytest.approx(at, abs=1e-9)
        assert (c.band.opening_low[place], c.band.opening_high[place]) == pytest.approx(ends, rel=1e-4)
        told += 1
    assert told > 15


def test_the_band_has_no_sawteeth():
    """Mean second difference of its upper edge against that of the curve, beyond the crest and on even steps."""
    c = curve(workshop())
    at = np.arange(c.results["breakout_force_angle"] + 0.2, c.results["let_go_angle"] - 0.2, 0.05)

    def rough(edge):
        return np.mean(np.abs(np.diff(np.interp(at, c.band.angle, edge), 2)))

    assert rough(c.band.opening_high) < 3 * rough(c.band.opening)
    assert rough(c.band.opening_low) < 3 * rough(c.band.opening)


def test_on_the_flat_the_band_is_that_of_the_drag():
    """Opening force there is (mu N rho + pivot)/lever; 256 knives know a tail of 5 % to within a tenth of its width."""
    found = opened(friction__ball_on_tang="{ plus_minus = 0.03 }")
    band = found.band
    flat = (band.angle > 12) & (band.angle < 90)
    lever = 15 * np.cos(np.radians(20 - band.angle[flat]))
    drag = found.results["riding_force"] * 8
    half = 0.03 * MIDDLE * drag / lever
    for sign, edge in ((-1, band.opening_low), (1, band.opening_high)):
        wanted = (0.12 * drag + 1.5) / lever + sign * half
        assert np.max(np.abs(edge[flat] - wanted) / half) < 0.1


def test_the_closing_band_is_the_opening_one_turned_round_on_the_flat():
    found = opened(friction__ball_on_tang="{ plus_minus = 0.03 }", bar__calibration="{ plus_minus = 0.2 }")
    band = found.band
    flat = (band.angle > 12) & (band.angle < 80)
    np.testing.assert_allclose(band.closing_low[flat], -band.opening_high[flat], rtol=5e-3)
    np.testing.assert_allclose(band.closing_high[flat], -band.opening_low[flat], rtol=5e-3)


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
    found = curve(garden().change(DEAD_ENDS["locks_solid"]))
    assert np.all(np.isnan(found.band.opening))
    assert np.any(np.isfinite(found.band.closing))


def test_a_band_that_reaches_into_proud_never_pushes_a_blade_open():
    """Below the angle where a knife rests, it is at rest: the finger holds the pivot's friction at least."""
    band = opened({"dimple.overclose": "0.01 mm"}, dimple__overclose='{ plus_minus = "0.03 mm" }').band
    low = (band.angle < 0.25) & np.isfinite(band.opening_low)
    assert np.count_nonzero(low) > 2
    assert np.all(band.opening_low[low] > 0.995 * 1.5 / (15 * np.cos(np.radians(20))))


def test_the_band_of_a_rigid_bar_starts_at_its_breakout():
    """At rest the torque jumps from draw to breakout; what a figure draws at that angle is what opening it takes."""
    found = solve(RIGID)
    wanted = (found.results["breakout_torque"] + 1.5) / (15 * np.cos(np.radians(20)))
    assert found.results["breakout_angle"] == 0
    assert found.band.opening[0] == pytest.approx(wanted, rel=1e-9)


def test_a_result_that_hardly_any_knife_reaches_is_said_to_be_as_drawn():
    """A dimple off to either side lightens the detent, so the drawing lies above all but a few of its knives."""
    c = opened(dimple__radial_error='{ plus_minus = "0.05 mm" }')
    low, high = c.likely.ranges["breakout_force"]
    reach = np.mean(c.likely.knives.results["breakout_force"] >= c.results["breakout_force"])
    assert c.results["breakout_force"] > high
    assert reach < 0.05
    assert c.is_unlikely("breakout_force")
    assert f" as drawn (likely {c.build.units.between(low, high, 'N')})" in c.in_words("breakout_force")
    assert "As drawn: with every size exactly as typed." in " ".join(report(c).split())
    rows = curve_document(c)["likely"]
    assert rows["breakout_force"]["drawing"] == "above"
    assert rows["breakout_force"]["high"] == high
    within = opened(friction__ball_on_tang="{ plus_minus = 0.04 }")
    assert curve_document(within)["likely"]["breakout_force"]["drawing"] == "within"
    assert "as drawn" not in within.in_words("breakout_force")
    assert "As drawn" not in report(within, full=True)
