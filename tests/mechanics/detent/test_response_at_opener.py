"""Results by their definitions: the finger's force, drag, ratios and lift forces by statics."""

import numpy as np
import pytest
from helpers.records import BALL, NO_54, demo, one_drill, raised, values
from helpers.walked import bench, depth_at, highest, mouth, slide

from detentsim.mechanics.bar import beam
from detentsim.mechanics.response import respond

MU = 0.12
RHO = 8e-3


# --- the finger -------------------------------------------------------------------------------------------------


def _force(b, phi):
    """Finger force [N] and blade angle [rad] with the ball sliding at ball angles `phi`."""
    f = b.record
    torque, _ = slide(b, phi, +1)
    theta = phi - f.overclose + b.give * torque
    push = b.stiffness * np.maximum(0, b.reach - np.minimum(depth_at(b, phi), f.protrusion))
    pivot = f.pivot_torque + f.washer_friction * max(f.washer_radius, f.pivot_to_ball) * push
    turned = f.push_angle - (0 if f.push_follows else theta)
    arm = f.opener_radius * np.cos(turned) - f.friction_circle
    pivot = pivot + f.friction_circle / f.pivot_to_ball * torque
    return np.where(arm > 0.05 * f.opener_radius, (torque + pivot) / arm, -np.inf), theta


FINGERS = {
    "best leverage far on": {"push_angle": 1.5, "overclose": 0},
    "best leverage far behind": {"push_angle": -1.43, "overclose": 0},
    "follows": {"push_angle": 1.2, "push_follows": 1},
    "washers": {"washer_friction": 0.2, "washer_radius": 4e-3, "push_angle": 1.48},
    "wide washers": {"washer_friction": 0.2, "washer_radius": 12e-3, "push_angle": 1.48},
    "pin": {"friction_circle": 0.4e-3, "push_angle": 1.48},
    "pin and washers, follows": {
        "friction_circle": 0.4e-3,
        "washer_friction": 0.2,
        "push_angle": 1.2,
        "push_follows": 1,
    },
    "weak": {"bend": 0.62e-3, "push_angle": 1.5, "overclose": 0.0},
    "radial error": {"radial_error": 0.06e-3, "push_angle": -1.4, "overclose": 0.004},
}


@pytest.mark.parametrize("name", FINGERS)
def test_breakout_force_is_a_maximum_of_its_own(name):
    record = one_drill(**({"edge_radius": 0, "lateral_compliance": 1e-6} | FINGERS[name]))
    b, response = bench(record), respond(record)
    start = max(float(response.rest.phi), 1e-12)
    force, phi = highest(lambda x: _force(b, x)[0], start, mouth(b))
    results = {key: float(value) for key, value in response.results.items()}
    assert results["breakout_force"] == pytest.approx(force, rel=1e-8)
    _, angle = _force(b, np.array([phi]))
    assert results["breakout_force_angle"] == pytest.approx(angle[0], abs=2e-6)


def test_lever_moves_the_peak_force_away_from_the_peak_torque():
    record = one_drill(edge_radius=0, lateral_compliance=1e-6, push_angle=-1.43, bend=0.62e-3, overclose=0)
    results = values(record)
    assert results["breakout_force_angle"] > results["breakout_angle"] + 0.005
    at_torque = (results["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(1.43 + results["breakout_angle"]))
    assert results["breakout_force"] > 1.005 * at_torque


def test_a_push_that_follows_keeps_its_arm():
    fixed, follows = values(demo(push_angle=0.6)), values(demo(push_angle=0.6, push_follows=1))
    assert follows["breakout_force"] == pytest.approx((follows["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(0.6)))
    angle = fixed["breakout_force_angle"]
    assert fixed["breakout_force"] == pytest.approx((fixed["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(0.6 - angle)))
    assert follows["breakout_force"] > fixed["breakout_force"]
    half = np.pi / 2  # mid-swing of a blade that opens 180 deg
    drag = fixed["drag_torque"] + 1.5e-3
    assert fixed["drag_force"] == pytest.approx(drag / (15e-3 * np.cos(0.6 - half)))
    assert follows["drag_force"] == pytest.approx(drag / (15e-3 * np.cos(0.6)))


def test_no_force_is_quoted_where_the_lever_is_too_short():
    limit = np.arccos(0.05)
    for follows in (0, 1):
        push = np.array([limit - 1e-3, limit + 0.3])
        results = respond(demo(push_angle=push, push_follows=follows, overclose=0)).results
        assert np.isfinite(results["breakout_force"][0])
        if follows:
            assert np.isnan(results["breakout_force"][1])
            assert np.isnan(results["breakout_force_angle"][1])
            assert np.isnan(results["drag_force"][1])
        assert np.all(np.isfinite(results["breakout_torque"]))
    # A fixed push from far ahead of the whole detent has no lever anywhere on it, yet has one at mid-swing.
    results = values(demo(push_angle=limit + 0.3))
    assert np.isnan(results["breakout_force"])
    assert np.isfinite(results["drag_force"])
    # A lever that begins or ends on the way leaves an angle at which no finger moves the blade: there is no breakout.
    for push in (limit + 0.03, 0.04 - limit):
        record = one_drill(edge_radius=0, lateral_compliance=1e-6, push_angle=push, overclose=0)
        response = respond(record)
        force, theta = _force(bench(record), np.linspace(1e-9, mouth(bench(record)), 400001))
        assert 0 < np.count_nonzero(np.isneginf(force)) < theta.size
        assert "lacks_lever" in raised(response)
        assert np.isnan(response.results["breakout_force"])
        assert np.isfinite(response.results["breakout_torque"])


# --- drag, pivot, ratios ----------------------------------------------------------------------------------------


def test_drag_and_ratio_by_definition():
    record = demo(washer_friction=0.15, washer_radius=4e-3)
    b, results = bench(record), values(record)
    ride = b.stiffness * b.reach
    assert results["riding_force"] == pytest.approx(ride)
    assert results["drag_torque"] == pytest.approx(MU * ride * RHO)
    pivot = 1.5e-3 + 0.15 * 8e-3 * ride
    assert results["drag_force"] == pytest.approx(
        (MU * ride * RHO + pivot) / (15e-3 * np.cos(np.radians(20) - np.pi / 2))
    )
    seat = 0.07e-3 + BALL - np.sqrt(BALL**2 - NO_54**2)
    at_peak = 1.5e-3 + 0.15 * 8e-3 * b.stiffness * (b.reach - seat)  # the peak stands where the ball rests
    wanted = (results["breakout_torque"] + at_peak) / (MU * ride * RHO + pivot)
    assert results["breakout_to_drag"] == pytest.approx(wanted, rel=1e-9)
    assert results["breakout_force"] == pytest.approx(
        (results["breakout_torque"] + at_peak) / (15e-3 * np.cos(np.radians(20) - results["breakout_force_angle"])),
        rel=1e-9,
    )


def test_forces_at_the_ball():
    record = demo(overclose=0.03, edge_radius=0)
    b, response = bench(record), respond(record)
    results = {key: float(value) for key, value in response.results.items()}
    seat = 0.07e-3 + BALL - np.sqrt(BALL**2 - NO_54**2)
    assert results["seat_depth"] == pytest.approx(seat)
    assert results["seated_force"] == pytest.approx(b.stiffness * (b.reach - seat))
    off = float(depth_at(b, float(response.rest.phi))[0])
    assert results["preload"] == pytest.approx(b.stiffness * (b.reach - off), rel=1e-9)
    assert results["seated_force"] < results["preload"] < results["riding_force"]


def test_lift_forces_by_statics_of_a_free_bar():
    on_face = demo(rim_feed=0.3e-3, protrusion=0.45e-3, bend=3e-3)  # its bar lies on the tang, the ball above its seat
    for record in (demo(), demo(grip_force=2.0, calibration=1.2), demo(bend=1.0e-3), on_face):
        results, b = values(record), bench(record)
        f = b.record
        tip, a = f.tip_from_root, f.ball_from_root
        # Two unknowns: the pull at the tip, and a ball force that must vanish; the bar is held at the flat or seat.
        for name, depth in (("lift_force_open", 0.0), ("lift_force_closed", min(results["seat_depth"], f.protrusion))):
            held = f.face_gap - f.protrusion + depth
            free = results["free_offset"]
            system = np.array(
                [
                    [float(beam.flexibility(record, tip, a)), float(beam.flexibility(record, a, a))],
                    [0.0, 1.0],
                ]
            )
            grip = f.grip_force * float(beam.flexibility(record, f.grip_from_root, a))
            pull, _ = np.linalg.solve(system, [f.calibration * (free - held) + grip, 0.0])
            assert results[name] == pytest.approx(pull, rel=1e-9)


def test_lift_force_of_a_plain_clamped_strip():
    # Uniform cantilever, no Poisson effect, no give: a^2 (3 L - a)/(6 E I) from the tip, a^3/(3 E I) at the ball, shear
    # 6/5 V/(G A) alike in both.
    record = demo(thickness=1.2e-3, relief_thickness=1.2e-3, relief_length=50e-3, poissons_ratio=0, slab_root=0)
    results = values(record)
    a, tip, rigidity = 44e-3, 50e-3, 113.8e9 * 8e-3 * 1.2e-3**3 / 12
    shear = 1.2 * a / (113.8e9 / 2 * 8e-3 * 1.2e-3)
    at_ball, from_tip = a**3 / 3 / rigidity + shear, a**2 * (3 * tip - a) / 6 / rigidity + shear
    assert results["bar_stiffness"] == pytest.approx(1 / at_ball, rel=1e-9)
    assert results["lift_force_open"] == pytest.approx(results["riding_force"] * at_ball / from_tip, rel=1e-9)
