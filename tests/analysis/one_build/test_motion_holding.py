"""Why a blade does not fall shut: torques of weight, ball and pivot at the angle where it hangs."""

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT
from helpers.moved import STAYS, motion
from scipy.interpolate import BarycentricInterpolator

import detentsim as ds
from detentsim.mechanics.motion import in_motion
from detentsim.mechanics.response import starts
from detentsim.show.one_build.motion.report import motion_document, motion_report
from detentsim.show.one_build.motion.words import holding_words

HEAVY = {"blade.mass": "100 gram", "blade.inertia": "160 kg*mm**2", "pivot.friction_torque": "20 N*mm"}

UPHILL = {"attitude.down_angle": "60 deg"}


def garden(changes=None):
    return ds.motion(ds.Build.loads(GARDEN_TEXT).change(changes or {}))


def test_on_the_flat_the_torques_are_those_worked_out_by_hand():
    """Any text on statics: weight times its lever, friction times the ball's force and radius, and the pivot's own."""
    m = garden()
    h, riding = m.holding, float(m.response.results["riding_force"])
    assert h.angle == pytest.approx(90)
    assert h.weight == pytest.approx(0.024 * 9.80665 * 34 * np.sin(np.radians(90 + 45)), rel=1e-12)
    assert h.ball == pytest.approx(-0.12 * riding * 8, rel=1e-9)
    assert h.pivot == pytest.approx(-1.5, rel=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{"attitude.down_angle": "35 deg"}, UPHILL, STAYS])
def test_their_sum_is_the_resisting_torque_of_the_fall_at_that_angle(changes):
    """The fall integrates another table of the path; at the hang angle both give one torque."""
    m = motion(changes)
    h = m.holding
    assert h.surplus == pytest.approx(h.weight + h.ball + h.pivot, rel=1e-12)
    assert h.angle == m.results["hang_angle"]
    _, way, _ = in_motion.fall(starts(m.response))
    at = np.radians(h.angle)
    panel = int(np.argmax((way.theta[0, :, 0] >= at - 1e-12) & (way.theta[0, :, -1] < at)))
    theta, resist = way.theta[0, panel], way.resist[0, panel]
    there = BarycentricInterpolator(theta, resist)(at)  # Chebyshev points of one smooth panel
    assert h.surplus == pytest.approx(-1e3 * there, rel=1e-6)
    assert h.surplus < 0


@pytest.mark.slow
def test_a_blade_that_stays_lacks_what_the_torques_leave_over():
    m = garden(HEAVY)
    lacks = m.results["closing_spare"]
    assert lacks == pytest.approx(m.holding.surplus, rel=1e-2)
    assert lacks < 0
    for less, falls in ((1.002, True), (0.99, False)):
        assert garden(HEAVY | {"pivot.friction_torque": f"{20 + less * lacks} N*mm"}).results["falls_shut"] is falls


@pytest.mark.slow
def test_the_report_says_why_in_the_units_of_the_build():
    words = " ".join(holding_words(garden()))
    assert "at 90 deg its weight pulls it shut with 5.7 N*mm, the ball's drag holds 13 N*mm" in words
    assert "the pivot's friction holds 1.5 N*mm. It would fall shut with 9.1 N*mm less drag" in words
    inch = GARDEN_TEXT.replace('mass = "24 gram"', 'mass = "0.85 oz"')
    build = ds.Build.loads(inch)
    h = ds.motion(build).holding
    assert build.units.two_digits(h.weight, "N*mm") in " ".join(holding_words(ds.motion(build)))
    assert "Why it will not fall shut" in motion_report(garden(), full=True)


@pytest.mark.slow
def test_drag_is_not_blamed_where_the_weight_alone_would_swing_too_short():
    """Without friction a pendulum let go at 90 deg turns at twice its lowest angle less 90 deg: 30 deg for 60."""
    without = {"friction.ball_on_tang": 0.0001, "pivot.friction_torque": "0 N*mm"}
    assert motion(UPHILL | without).results["hang_angle"] == pytest.approx(30, abs=0.1)
    assert "Even without any drag" in " ".join(holding_words(motion(UPHILL)))
    downhill = {"attitude.down_angle": "35 deg"}
    assert motion(downhill | without).results["falls_shut"] is True
    assert "less drag" in " ".join(holding_words(motion(downhill)))


@pytest.mark.slow
def test_a_blade_that_falls_shut_has_no_such_torques():
    m = motion()
    assert m.results["falls_shut"] is True
    assert m.holding is None
    assert motion_document(m)["holding"] is None
    assert "Why it will not" not in motion_report(m, full=True)
    assert motion_document(garden())["holding"]["surplus"] == garden().holding.surplus
