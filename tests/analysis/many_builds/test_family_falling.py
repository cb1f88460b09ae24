"""Falling shut in a whole sweep, held to single verdicts and to balances of torque by hand."""

import numpy as np
import pytest
from helpers.sweeps import GARDEN, LEANT, everywhere

import detentsim as ds
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

G = 9.80665


# Falling shut


@pytest.mark.slow
def test_falling_shut_is_the_single_verdict():
    """Random attitudes, bends, pivots, proud and pressed blades, let go in the dimple and beyond: a build at a time."""
    rng = np.random.default_rng(8)
    verdicts, count = [], 0
    for _ in range(10):
        needs = {
            "pivot.friction_torque": f"{rng.uniform(0, 3):.3f} N*mm",
            "blade.mass": f"{rng.uniform(10, 150):.2f} gram",
            "attitude.close_from": f"{rng.choice([rng.uniform(0.5, 5), rng.uniform(5, 360)]):.3f} deg",
            "blade.open_angle": f"{rng.uniform(90, 180):.2f} deg",
            "attitude.tilt": f"{rng.uniform(-80, 80):.2f} deg",
            "dimple.overclose": f"{rng.uniform(-0.05, 0.08):.4f} mm",
            "pivot.washer_friction": float(rng.choice([0, 0.1])),
        }
        vary = {
            "attitude.down_angle": [f"{rng.uniform(-180, 180):.3f} deg" for _ in range(4)],
            "bar.bend": [f"{rng.uniform(0.2, 2.2):.4f} mm" for _ in range(3)],
            "friction.ball_on_tang": [float(v) for v in rng.uniform(0, 0.2, 2).round(4)],
        }
        s = ds.sweep(GARDEN.change(needs), vary, of="falls_shut")
        for place in everywhere(s):
            wanted = ds.curve(s.build_at(*place)).falls_shut.falls
            assert s["falls_shut"][place] == wanted, (needs, vary, place)
            verdicts.append(wanted)
            count += 1
    assert count == 10 * 24
    assert 20 < sum(verdicts) < count - 20


def test_on_the_flat_it_is_weight_against_drag():
    """With a ball that floats and a pivot alone: the weight's work must keep ahead of the pivot's all the way shut."""
    needs = {
        "bar.bend": "-3 mm",
        "pivot.friction_torque": "4 N*mm",
        "blade.balance_radius": "30 mm",
        "attitude.close_from": "60 deg",
    }
    masses, downs, tilts = np.array([10, 14, 20, 45]), np.array([-90, -45, -20, -7]), np.array([0, 40])
    s = ds.sweep(
        GARDEN.change(needs),
        {
            "blade.mass": [f"{m} gram" for m in masses],
            "attitude.down_angle": [f"{a} deg" for a in downs],
            "attitude.tilt": [f"{t} deg" for t in tilts],
        },
        of="falls_shut",
    )
    assert s.flags["floats"].all()
    # from 60 deg the weight's work is that of its height, cos(theta - down), the pivot's 4 N mm times the angle
    theta = np.radians(np.linspace(60, 0, 601)[1:])
    height = np.cos(theta[:, None] - np.radians(downs)) - np.cos(np.radians(60 - downs))
    weight = masses[:, None, None] * G * 30e-3 * np.cos(np.radians(tilts))
    ahead = weight * height[:, None, :, None] - 4 * (np.radians(60) - theta)[:, None, None, None]
    assert np.all(np.abs(np.min(ahead, axis=0)) > 1e-4)
    np.testing.assert_array_equal(s["falls_shut"], np.min(ahead, axis=0) > 0)
    assert 5 < np.count_nonzero(s["falls_shut"]) < 27


def test_the_rides_drag_counts_beside_the_pivots():
    """Let go on the flat level with the ground: the mass that just falls carries drag and pivot, found by hand."""
    needs = {
        "pivot.friction_torque": "1 N*mm",
        "attitude.down_angle": "-90 deg",
        "attitude.close_from": "20 deg",
        "bar.bend": "1.35 mm",
    }
    build = GARDEN.change(needs)
    drag = ds.curve(build).results["drag_torque"] + 1
    just = drag / (G * 34e-3 * np.cos(np.radians(20)))
    s = ds.sweep(
        build, {"blade.mass": [f"{just * share:.6f} gram" for share in (0.98, 0.999, 1.001, 1.02)]}, "falls_shut"
    )
    # the ball draws on the way in, so the flat decides
    assert s["falls_shut"].tolist() == [False, False, True, True]


def test_let_go_inside_the_dimple_the_start_itself_decides():
    """Weight by hand, the ball's pull from the curves: it falls as long as nothing hangs up to where it is let go."""
    needs = {"attitude.down_angle": "90 deg", "blade.mass": "60 gram", "pivot.friction_torque": "1 N*mm"}
    build = GARDEN.change(needs)
    angle = np.linspace(0.2, 6, 400)
    s = ds.sweep(build, {"attitude.close_from": quantity(angle, "deg")}, of="falls_shut")
    ball = ds.sweep(build, {}, of=[]).curves(quantity(angle, "deg")).closing
    left = ball - 1 - 60 * G * 34e-3 * np.sin(np.radians(90 - angle))
    wanted = np.logical_and.accumulate(left > 0)
    assert 40 < np.count_nonzero(wanted) < 360
    np.testing.assert_array_equal(s["falls_shut"], wanted)


def test_let_go_beyond_lock_up_is_let_go_from_lock_up():
    """At 150 deg the weight shuts it, 6.1 against 4 N*mm; at 200 deg it would pull open."""
    needs = {
        "bar.bend": "-3 mm",
        "pivot.friction_torque": "4 N*mm",
        "blade.mass": "120 gram",
        "blade.balance_radius": "30 mm",
        "attitude.down_angle": "-20 deg",
    }
    vary = {"attitude.close_from": ["150 deg", "200 deg"], "blade.open_angle": ["150 deg", "200 deg"]}
    s = ds.sweep(GARDEN.change(needs), vary, of="falls_shut")
    assert s["falls_shut"].tolist() == [[True, True], [True, False]]


def test_all_the_way_round_it_hangs_where_the_weight_pulls_open_most():
    """Both ends of a whole turn shut; 260 deg on, the balance lies level on the opening side."""
    needs = {
        "bar.bend": "-3 mm",
        "pivot.friction_torque": "0 N*mm",
        "blade.open_angle": "360 deg",
        "attitude.close_from": "360 deg",
    }
    s = ds.sweep(GARDEN.change(needs), {"attitude.down_angle": ["-100 deg", "-80 deg"]}, of="falls_shut")
    assert s["falls_shut"].tolist() == [False, False]


def test_the_bars_face_on_the_tang_holds_the_blade_up():
    """Let go with the ball still loose: pivot and face against the weight, at 10.3 deg on the mean of its way."""
    needs = {
        "tang.face_gap": "0.2 mm",
        "ball.protrusion": "0.3 mm",
        "opener.push": "follows",
        "attitude.down_angle": "-10 deg",
        "attitude.close_from": "0.6 deg",
    }
    build = GARDEN.change(needs)
    single = ds.curve(build)
    assert "bar_on_tang" in single.flags
    # what the finger pushes near the stop is face and pivot alone, as the ball carries nothing
    held = single.columns[3][2] * 15 * np.cos(np.radians(20))
    assert held > 5 * 1.5
    just = held / (G * 34e-3 * np.sin(np.radians(10.3)))
    s = ds.sweep(build, {"blade.mass": [f"{just * share:.6f} gram" for share in (0.3, 0.995, 1.005)]}, of="falls_shut")
    assert s["falls_shut"].tolist() == [False, False, True]
    assert [ds.curve(s.build_at(i)).falls_shut.falls for i in range(3)] == [False, False, True]


def test_upside_down_nothing_falls_shut():
    s = ds.sweep(
        GARDEN.change(LEANT), {"attitude.down_angle": ["180 deg", "90 deg"], "bar.bend": ["0.5 mm"]}, "falls_shut"
    )
    assert not s["falls_shut"].any()


@pytest.mark.parametrize("lost", [["blade.mass"], ["blade.balance_radius"], ["blade.mass", "blade.balance_radius"]])
def test_falling_shut_needs_a_blade(lost):
    build = GARDEN.change(dict.fromkeys(lost))
    with pytest.raises(InputError) as told:
        ds.sweep(build, {"bar.bend": ["1 mm"]}, of=["preload", "falls_shut"])
    assert str(told.value) == f'of: falls_shut needs {" and ".join(lost)}, such as "24 gram" at "34 mm"'
    # not named, not needed
    assert ds.sweep(build, {"bar.bend": ["1 mm"]}).results["preload"].shape == (1,)


def test_a_blade_that_only_the_sweep_gives_will_do():
    needs = {"attitude.down_angle": "-60 deg", "attitude.close_from": "60 deg"}
    build = GARDEN.change({"blade.mass": None, "blade.balance_radius": None} | needs)
    vary = {"blade.mass": ["1 gram", "400 gram"], "blade.balance_radius": ["34 mm"]}
    s = ds.sweep(build, vary, of="falls_shut")
    assert s["falls_shut"].tolist() == [[False], [True]]
    for i in range(2):
        assert ds.curve(s.build_at(i, 0)).falls_shut.falls == s["falls_shut"][i, 0]


def test_falling_shut_is_no_static_result_by_default():
    assert "falls_shut" not in ds.sweep(GARDEN, {}).results
