"""From a build to the record: what each input becomes, by hand."""

import numpy as np
import pytest
from helpers.garden import WORKSHOP_TEXT, workshop

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain, record
from detentsim.mechanics.bar import beam
from detentsim.mechanics.contact import dimple, envelope

THOU = 25.4e-6
BASE = record(workshop())

# change -> the fields it moves, in SI by hand; nothing else may move
CASES = [
    ({"bar.material": "UNS S17400 H900"}, {"youngs_modulus": 197e9, "poissons_ratio": 0.272, "yield_strength": 1170e6}),
    ({"bar.youngs_modulus": "110 GPa"}, {"youngs_modulus": 110e9}),
    ({"bar.poissons_ratio": 0.31}, {"poissons_ratio": 0.31}),
    ({"bar.yield_strength": "900 MPa"}, {"yield_strength": 900e6}),
    ({"bar.thickness": "3.5 mm"}, {"thickness": 3.5e-3}),
    ({"bar.width": "9 mm"}, {"width": 9e-3}),
    ({"bar.relief_thickness": "1.1 mm"}, {"relief_thickness": 1.1e-3}),
    ({"bar.relief_length": "12 mm"}, {"relief_length": 12e-3}),
    ({"bar.relief_side": "inner"}, {"relief_side": 1.0}),
    ({"bar.relief_side": "both"}, {"relief_side": 0.0}),
    ({"bar.root": "clamped"}, {"slab_root": 0.0}),
    ({"bar.root": "edge"}, {"root_at_edge": 1.0}),
    ({"bar.ball_from_root": "43 mm"}, {"ball_from_root": 43e-3}),
    ({"bar.tip_from_root": "52 mm"}, {"tip_from_root": 52e-3, "grip_from_root": 52e-3, "bend_push_at": 52e-3}),
    ({"bar.bend": "80 thou"}, {"bend": 80 * THOU}),
    ({"bar.bend_at": "along"}, {"bend_along": 1.0}),
    ({"bar.bend_at": "5 mm"}, {"bend_at": 5e-3}),
    ({"bar.calibration": 1.05}, {"calibration": 1.05}),
    ({"bar.lateral_stiffness": "rigid"}, {"lateral_compliance": 0.0}),
    ({"bar.lateral_stiffness": "200 N/mm"}, {"lateral_compliance": 5e-6}),
    ({"ball.diameter": "1.5 mm"}, {"ball_radius": 0.75e-3}),
    ({"ball.material": "52100"}, {"ball_modulus": 207e9, "ball_poisson": 0.30}),
    ({"ball.protrusion": "20 thou"}, {"protrusion": 20 * THOU}),
    ({"dimple.pilot_drill": "#55"}, {"pilot_radius": 26 * THOU}),
    ({"dimple.pilot_depth": "0.7 mm"}, {"pilot_depth": 0.7e-3}),
    ({"dimple.rim_drill": "#52"}, {"rim_radius": 63.5 * THOU / 2}),
    ({"dimple.rim_feed": "0.1 mm"}, {"rim_feed": 0.1e-3}),
    ({"dimple.point_angle": "90 deg"}, {"pilot_tangent": 1.0, "rim_tangent": 1.0}),
    ({"dimple.pilot_point_angle": "90 deg"}, {"pilot_tangent": 1.0}),
    ({"dimple.rim_point_angle": "90 deg"}, {"rim_tangent": 1.0}),
    ({"dimple.edge_radius": "0.03 mm"}, {"edge_radius": 0.03e-3}),
    ({"dimple.hole_oversize": "0.01 mm"}, {"pilot_radius": 27.5 * THOU + 5e-6, "rim_radius": 29.75 * THOU + 5e-6}),
    ({"dimple.overclose": "0.07 mm"}, {"overclose": 0.01}),
    ({"dimple.overclose": "0.5 deg"}, {"overclose": np.pi / 360}),
    ({"dimple.radial_error": "-0.02 mm"}, {"radial_error": -0.02e-3}),
    ({"stop.radius": "10 mm", "stop.pin_change": "0.02 mm"}, {"overclose": 0.05 / 7 + 0.001}),
    ({"tang.pivot_to_ball": "8 mm"}, {"pivot_to_ball": 8e-3, "overclose": 0.05 / 8}),
    ({"tang.face_gap": "0.4 mm"}, {"face_gap": 0.4e-3}),
    (
        {"tang.face_gap": None, "pivot.washer_thickness": "0.8 mm", "pivot.handle_pocket": "0.2 mm",
         "pivot.tang_pocket": "0.1 mm"},
        {"face_gap": 0.5e-3},
    ),
    ({"tang.hardness": "58 HRC"}, {"tang_hardness": 653.0}),
    ({"tang.travel_angle": "10 deg"}, {"travel_angle": np.pi / 18}),
    ({"friction.ball_on_tang": 0.1}, {"friction": 0.1, "static_friction": 0.1}),
    ({"friction.ball_on_tang_static": 0.2}, {"static_friction": 0.2}),
    ({"pivot.friction_torque": "2 N*mm"}, {"pivot_torque": 2e-3}),
    (
        {"pivot.friction_torque": None, "pivot.pull.force": "0.1 N", "pivot.pull.at": "40 mm"},
        {"pivot_torque": 4e-3},
    ),
    (
        {"pivot.kind": "washers", "pivot.washer_inner": "5 mm", "pivot.washer_outer": "9 mm"},
        {"washer_friction": 0.12, "washer_radius": 3.5e-3},
    ),
    ({"opener.radius": "12 mm"}, {"opener_radius": 12e-3}),
    ({"opener.push_angle": "30 deg"}, {"push_angle": np.pi / 6}),
    ({"opener.push": "follows"}, {"push_follows": 1.0}),
    ({"grip.force": "5 N"}, {"grip_force": 5.0}),
    ({"grip.from_root": "30 mm"}, {"grip_from_root": 30e-3}),
    ({"blade.open_angle": "170 deg"}, {"open_angle": 17 * np.pi / 18}),
    ({"blade.mass": "25 gram"}, {"blade_mass": 0.025}),
    ({"blade.balance_radius": "30 mm"}, {"balance_radius": 30e-3}),
    ({"blade.inertia": "50 kg*mm**2"}, {"blade_inertia": 50e-6}),
    ({"opener.leaves_at": "50 deg"}, {"leaves_at": 5 * np.pi / 18}),
    ({"finger.effort": 1.1}, {"finger_effort": 1.1}),
    ({"finger.speed_limit": "3 m/s"}, {"finger_speed": 3.0}),
    ({"finger.shape": 0.3}, {"finger_shape": 0.3}),
    ({"attitude.tilt": "20 deg"}, {"tilt": np.pi / 9}),
    ({"attitude.down_angle": "-90 deg"}, {"down_angle": -np.pi / 2}),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "moved"), CASES, ids=[" ".join(map(str, c)) for c, _ in CASES])
def test_an_input_moves_what_it_should_and_nothing_else(changes, moved):
    found = record(workshop().change(changes))
    for name, was in BASE._asdict().items():
        wanted = moved.get(name, float(was))
        np.testing.assert_allclose(float(getattr(found, name)), wanted, rtol=1e-12, err_msg=name)
    assert moved


def test_defaults_of_the_demo_by_hand():
    assert float(BASE.down_angle) == pytest.approx(-np.pi / 4)
    assert float(BASE.relief_side) == -1
    assert float(BASE.slab_root) == 1
    assert np.isnan(BASE.lateral_compliance)
    assert float(BASE.grip_from_root) == float(BASE.tip_from_root) == 50e-3
    assert float(BASE.overclose) == pytest.approx(0.05 / 7)


def test_a_bar_without_relief_is_its_own_relief():
    found = record(workshop().change({"bar.relief_thickness": None, "bar.relief_length": None}))
    assert float(found.relief_thickness) == float(found.thickness) == 3e-3
    assert float(found.relief_length) == float(found.tip_from_root)
    assert float(found.bend_along) == 1


def test_without_a_second_drill_the_pilot_stands_in():
    found = record(workshop().change({"dimple.rim_drill": "none", "dimple.rim_feed": None}))
    assert float(found.rim_radius) == float(found.pilot_radius)
    assert float(found.rim_feed) == float(found.pilot_depth)


def test_a_stiffness_at_the_ball_is_met():
    found = record(workshop().change({"bar.stiffness": "3.1 N/mm"}))
    assert float(beam.bar_stiffness(found)) == pytest.approx(3100, rel=1e-12)


def test_a_pull_measured_elsewhere_is_met_there():
    measured = {"bar.measured.pull": "2.5 N", "bar.measured.travel": "1.1 mm", "bar.measured.at": "50 mm"}
    found = record(workshop().change(measured))
    there = found.calibration / beam.flexibility(found, 50e-3, 50e-3)
    assert float(there) == pytest.approx(2500 / 1.1, rel=1e-12)


def test_a_calibration_stays_when_the_geometry_is_swept():
    numbers = plain(workshop().change({"bar.stiffness": "3.1 N/mm"}))
    swept = assemble(numbers | {"bar.relief_thickness": np.array([0.9e-3, 1.0e-3])})
    assert float(swept.calibration) == float(numbers["bar.calibration"])
    stiff = beam.bar_stiffness(swept)
    assert stiff[0] == pytest.approx(3100, rel=1e-12)
    assert stiff[1] > 3800


def test_a_loose_ball_height_finds_its_feed():
    build = workshop().change({"dimple.rim_feed": None, "dimple.loose_ball_height": "1.10 mm"})
    found = record(build)
    seat = float(dimple.seat_depth(envelope.pieces(found)))
    assert 2 * float(found.ball_radius) - seat == pytest.approx(1.10e-3, abs=1e-11)
    assert 0 < float(found.rim_feed) < 0.2e-3


@pytest.mark.parametrize("height", ["0.2 mm", "1.5 mm"])
def test_a_loose_ball_height_out_of_reach_is_told(height):
    build = workshop().change({"dimple.rim_feed": None, "dimple.loose_ball_height": height})
    with pytest.raises(BuildError, match=r"dimple\.loose_ball_height: .* decides no feed"):
        record(build)


def test_a_missing_section_is_asked_for():
    from detentsim.knife.model import Build

    build = Build.loads(WORKSHOP_TEXT.split("[opener]")[0])
    with pytest.raises(BuildError, match="opener"):
        record(build)
