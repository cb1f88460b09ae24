"""The drawn dimple, missing results, verdicts, the document, and facts of the trade, from a build of fixed sizes."""

import itertools
import json

import numpy as np
import pytest
from helpers.curves import DEAD_ENDS, DEEP, RIGID, result, solve
from helpers.garden import GARDEN_TEXT
from helpers.surplus import BALL, INCH, KINDS, NO_RIM

from detentsim.analysis.one_build.curve.curve import COLUMNS, curve
from detentsim.knife.model import Build
from detentsim.knife.outcomes import RESULTS
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.units.quantities import registry

# Picture


SECTIONS = {
    "as it is": {},
    "sharp": {"dimple.edge_radius": "0 mm"},
    "wall below the rounding": DEEP,
    "wall above the rounding's foot": {"dimple.edge_radius": "0.1 mm", "dimple.rim_feed": "0.05 mm"},
    "cone only": {"dimple.rim_feed": "0.02 mm"},
    "no rim drill": NO_RIM,
    "on the floor": {"dimple.pilot_depth": "0.1 mm"},
}


@pytest.mark.parametrize("kind", SECTIONS)
def test_a_ball_laid_on_the_drawn_dimple_stands_as_high_as_told(kind):
    """The drawn outline is a surface: from the axis outward it never falls, and a ball rests on it."""
    found = solve(SECTIONS[kind])
    right = found.picture.outline[found.picture.outline[:, 0] >= 0]
    assert np.all(np.diff(right[:, 0]) >= -1e-12)
    assert np.all(np.diff(right[:, 1]) >= -1e-12)
    assert right[-1, 1] == 0
    share = np.linspace(0, 1, 400)[:, None]
    dense = np.vstack([a + (b - a) * share for a, b in itertools.pairwise(right)])
    dense = dense[dense[:, 0] < BALL]
    height = np.max(dense[:, 1] + np.sqrt(BALL**2 - dense[:, 0] ** 2))
    assert height + BALL == pytest.approx(found.results["loose_ball_height"], abs=3e-4)


def test_the_drawn_wall_of_a_deep_rim_is_as_high_as_it_was_fed():
    """Full width is reached (a2 - a1)/tan 59 deg after first touch; the rest of the feed is wall."""
    outline = solve(DEEP | {"dimple.edge_radius": "0 mm"}).picture.outline
    inner, outer = (drill * INCH / 2 for drill in (0.0550, 0.0595))
    wall = 0.16 - (outer - inner) / np.tan(np.radians(59))
    for corner in ((outer, 0), (outer, -wall), (inner, -0.16)):
        assert np.min(np.hypot(*(outline - corner).T)) < 1e-9, corner


def test_the_drawn_ball_stands_off_by_error_and_overclose():
    """Rigid, 0.05 mm past its stop and 0.04 mm too far out: the offset is the root of both squares."""
    found = solve(RIGID | {"dimple.radial_error": "0.04 mm"})
    assert found.picture.ball[0] == pytest.approx(np.hypot(0.04, 0.05), rel=1e-5)
    assert len(found.picture.contacts) == 1
    assert len(solve({"dimple.overclose": "0 mm"}).picture.contacts) == 2


# Names, units, missing results


def test_every_result_is_a_quantity_in_its_one_unit():
    found = solve()
    for name, value in found.results.items():
        item = found[name]
        assert item.units == registry().Unit(RESULTS[name].unit)
        assert item.magnitude == value
        assert getattr(found, name) == item
    static = list(RESULTS)[: list(RESULTS).index("working_stress")]
    assert sorted(found.results) == sorted(static)
    with pytest.raises(KeyError):
        found["no_such_result"]


@pytest.mark.slow
@pytest.mark.parametrize("flag", DEAD_ENDS)
def test_a_missing_result_is_none_with_a_reason(flag):
    found = solve(DEAD_ENDS[flag])
    assert flag in found.flags
    document = json.loads(json.dumps(curve_document(found), allow_nan=False))
    for name, value in found.results.items():
        if value is None:
            assert found[name] is None
            assert getattr(found, name) is None
            assert document["results"][name] == {"value": None, "unit": RESULTS[name].unit, "why": found.why(name)}
            assert found.why(name) != "it does not apply to this build"
    wanted = {"floats": "the ball never reaches the tang", "locks_solid": "the ball locks solid"}
    if flag in wanted:
        assert found.breakout_force is None
        assert found.why("breakout_force") == wanted[flag]


@pytest.mark.parametrize("changes", [DEAD_ENDS["hangs_loose"], DEAD_ENDS["bar_on_tang"], {}])
@pytest.mark.parametrize(("push", "name"), [("-30 deg", "drag_force"), ("120 deg", "breakout_force")])
def test_a_push_through_the_pivot_is_told_whatever_else_is_wrong(changes, push, name):
    """The ball does its work; only the opener has no lever there."""
    found = solve(changes | {"opener.push_angle": push})
    assert found.results["breakout_torque"] > 0
    assert found.results[name] is None
    assert "lever" in found.why(name)


def test_a_reason_for_each_that_may_be_missing():
    assert "lever" in solve({"opener.push_angle": "120 deg"}).why("breakout_force")
    no_pull = solve({"friction.ball_on_tang": 1.4, **NO_RIM, "dimple.pilot_drill": "0.5 mm"})
    assert no_pull.pull_in_angle is None
    assert no_pull.why("pull_in_angle") == "the ball alone pulls the blade shut from no angle"
    free = solve({"friction.ball_on_tang": 0.0, "pivot.friction_torque": "0 N*mm"})
    assert free.breakout_to_drag is None
    assert free.why("breakout_to_drag") == "there is no drag"
    loose = solve(DEAD_ENDS["hangs_loose"])
    assert loose.contact_angle is None
    assert "loose" in loose.why("contact_angle")


def test_a_rigid_bar_has_no_stiffness_sideways_to_tell():
    for more in ({}, DEAD_ENDS["floats"], DEAD_ENDS["hangs_loose"]):
        found = solve(RIGID | more)
        assert found.lateral_stiffness is None
        assert "rigid" in found.why("lateral_stiffness")


# Targets


def test_verdicts_hold_results_against_the_target():
    missed = solve().verdicts[0]
    assert (missed.name, missed.met) == ("breakout_force", False)
    assert abs(missed.short_by) == pytest.approx(solve().results["breakout_force"] - 13, rel=1e-9)
    lighter = solve({"bar.bend": "1.45 mm"})
    assert 9 <= lighter.results["breakout_force"] <= 13
    assert lighter.verdicts[0].met


@pytest.mark.parametrize(("mass", "falls"), [("24 gram", False), ("90 gram", True)])
@pytest.mark.parametrize("wanted", [True, False])
def test_falling_shut_is_judged(mass, falls, wanted):
    text = GARDEN_TEXT.replace('mass = "24 gram"', f'mass = "{mass}"') + f"\nfalls_shut = {str(wanted).lower()}\n"
    found = curve(Build.loads(text))
    assert found.falls_shut.falls == falls
    assert {v.name: v.met for v in found.verdicts}["falls_shut"] == (falls == wanted)


# Document


@pytest.mark.parametrize("kind", KINDS | DEAD_ENDS)
def test_the_document_is_the_curve_to_the_last_digit(kind):
    found = solve((KINDS | DEAD_ENDS)[kind])
    document = json.loads(json.dumps(curve_document(found), allow_nan=False))
    for name, value in found.results.items():
        assert document["results"][name]["value"] == value
        assert document["results"][name]["unit"] == RESULTS[name].unit
    for name, column in zip(COLUMNS, found.columns, strict=True):
        assert document["curve"][name] == [value if np.isfinite(value) else None for value in column]
    assert document["flags"] == list(found.flags)
    assert set(document["assumed"]) == set(found.assumed)
    assert document["demo"] is False


# Facts of the trade (common practice, no source)


def test_an_unbent_bar_rides_five_thou_up_but_hangs_loose():
    """Common practice, no source: ball 25 thou out, gap 20 thou; the flat pushes the bar back 5 thou."""
    found = solve({"bar.bend": "0 mm"})
    assert found.flags == ("hangs_loose",)
    assert found.results["riding_force"] == pytest.approx(found.results["bar_stiffness"] * 0.005 * INCH, rel=1e-9)
    assert found.results["preload"] == 0
    assert found.results["lash"] > 0


def test_a_thumb_on_the_bar_makes_it_carry():
    """Common practice, no source: the maker presses the un-bent bar to try the action."""
    pressed = solve({"bar.bend": "0 mm", "grip.force": "5 N"})
    assert "hangs_loose" not in pressed.flags
    assert pressed.results["preload"] > 0
    assert pressed.results["lash"] == 0


def test_a_larger_drill_fed_far_enough_is_stiffer():
    """Common practice, no source."""
    one = solve(NO_RIM).results["breakout_force"]
    assert result("breakout_force", dimple__rim_feed="0.2 mm") > 1.2 * one
    assert result("breakout_force", dimple__rim_feed="0.03 mm") < 1.05 * one


def test_overclose_draws_shut():
    """Common practice, no source: drilled with the blade past its stop, the hole pulls the blade onto it."""
    assert result("draw_torque", dimple__overclose="0 mm") == pytest.approx(0, abs=1e-9)
    assert result("draw_torque", dimple__overclose="0.05 mm") > result("draw_torque", dimple__overclose="0.02 mm") > 0
    proud = solve({"dimple.overclose": "-0.05 mm"})
    assert "stands_proud" in proud.flags
    assert proud.results["draw_torque"] < 0
    assert proud.results["rest_angle"] == pytest.approx(np.degrees(0.05 / 8), rel=1e-9)


@pytest.mark.parametrize("static", [0.15, 0.3, 0.5])
@pytest.mark.parametrize("overclose", ["-0.05 mm", "0 mm", "0.05 mm"])
def test_greatest_force_on_the_way_out_is_the_breakout_force_with_static_friction_on_a_rigid_bar(static, overclose):
    changes = {"dimple.overclose": overclose, "friction.ball_on_tang_static": static}
    found = solve(RIGID | changes)
    out = found.columns[0] <= found.results["let_go_angle"]
    assert np.nanmax(found.columns[3][out]) == pytest.approx(found.results["breakout_force"], rel=1e-9)
    assert np.nanmax(found.columns[1][out]) == pytest.approx(found.results["breakout_torque"], rel=1e-9)
    assert np.all(np.diff(found.columns[0]) >= 0)
