"""What a blade has to spare in falling shut and in opening: signed, continuous, and true to the drag it names."""

import numpy as np
import pytest
from helpers.moved import BUILD, COASTS, EARLY, HANGS, HELD_OPEN, STAYS, STUCK, motion

import detentsim as ds

SPARE = ("falls_shut", "hang_angle", "closing_spare")


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, STAYS, HANGS, HELD_OPEN, {"friction.ball_on_tang": 0.2}])
def test_pivot_friction_changed_by_the_torque_to_spare_just_decides_whether_it_falls_shut(changes):
    """The result is itself an amount of pivot friction, so the pivot's own input is the check."""
    build = BUILD.change(changes)
    spare, friction = motion(changes).results["closing_spare"], build.si("pivot.friction_torque") * 1e3
    assert motion(changes).results["falls_shut"] is (spare > 0)
    if friction + spare < 0.01:
        # No friction at the pivot could be little enough: the blade hangs without any.
        assert ds.motion(build.change({"pivot.friction_torque": "0 N*mm"})).falls_shut is False
        return
    for share, falls in ((0.999, True), (1.001, False)):
        limit = f"{(friction + spare) * share:.9g} N*mm"
        assert ds.motion(build.change({"pivot.friction_torque": limit})).falls_shut is falls


def test_torque_to_spare_in_falling_has_no_jump_and_crosses_zero_where_the_verdict_flips():
    swept = ds.sweep(BUILD, {"attitude.down_angle": ("-120 deg", "60 deg", 361)}, of=SPARE)
    spare, falls = swept["closing_spare"].m, np.asarray(swept["falls_shut"])
    assert np.array_equal(falls, spare > 0)
    assert np.ptp(falls.astype(int)) == 1
    # The weight alone turns by half a degree a step: its torque changes by at most that share of it.
    weight = 0.030 * 9.80665 * 34
    assert np.max(np.abs(np.diff(spare))) < weight * np.radians(0.5) * 1.01


def test_torque_to_spare_of_a_frictionless_pendulum_is_the_mean_torque_of_its_weight():
    """Let go level, the mean torque of the weight down to the stop is m g r (cos 0 - cos 90)/(pi/2): any text."""
    free = {
        "friction.ball_on_tang": 0.0,
        "friction.ball_on_tang_static": 0.0,
        "pivot.friction_torque": "0 N*mm",
        "attitude.down_angle": "0 deg",
        "attitude.close_from": "90 deg",
        "bar.bend": "-0.5 mm",
    }
    m = ds.motion(BUILD.change(free))
    assert "floats" in m.flags
    # The least mean torque is that of the whole way: the weight turns the blade less and less as it comes down.
    assert m.results["closing_spare"] == pytest.approx(30 * 9.80665e-3 * 34 / (np.pi / 2), rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, STAYS, COASTS, EARLY, STUCK])
def test_energy_to_spare_in_opening_has_the_sign_of_the_verdict(changes):
    results = motion(changes).results
    assert (results["opening_spare"] > 0) is results["opens_fully"]
    if not results["opens_fully"]:
        assert results["opening_spare"] == pytest.approx(-results["wrist_energy"], rel=1e-12)
    else:
        assert results["opening_spare"] <= results["arrival_energy"]


def test_energy_to_spare_in_opening_passes_through_zero_without_a_jump():
    swept = ds.sweep(
        BUILD, {"blade.balance_radius": ["34 mm"], "bar.bend": ("1 mm", "2.4 mm", 57)}, of=["opening_spare"]
    )
    spare = swept["opening_spare"].m[0]
    assert np.min(spare) < 0 < np.max(spare)
    assert np.max(np.abs(np.diff(spare))) < 0.15 * np.ptp(spare)


def test_one_let_go_at_its_stop_is_shut_and_says_so():
    m = ds.motion(BUILD.change({"attitude.close_from": "0 deg"}))
    assert m.results["falls_shut"] is True
    assert m.results["closing_spare"] is None
    assert m.why("closing_spare") == "it is let go at its stop"
