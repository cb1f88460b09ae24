"""A build of fixed sizes and the record it becomes: every input, and nothing moved by the way."""

import numpy as np
import pytest
from helpers.finished import MOVES_OF_FINISH
from helpers.garden import garden

from detentsim.knife.model import Build
from detentsim.knife.record.record import record
from detentsim.knife.table.schema import INPUTS

GARDEN = garden()
INCH = 25.4e-3
THOU = INCH / 1000
BALL = INCH / 32
NO_RIM = {"dimple.rim_drill": "none", "dimple.rim_feed": None}
NO_RELIEF = {"bar.relief_thickness": None, "bar.relief_length": None}
WASHERS = {"pivot.kind": "washers"}
SIZED_WASHERS = WASHERS | {"pivot.washer_inner": "5 mm", "pivot.washer_outer": "20 mm"}
WASHER_GAP = {
    "tang.face_gap": None,
    "pivot.washer_thickness": "0.9 mm",
    "pivot.handle_pocket": "0.3 mm",
    "pivot.tang_pocket": "0.1 mm",
}
SHAPED = {
    "blade.mass": None,
    "blade.balance_radius": None,
    "blade.inertia": None,
    "blade.length": "80 mm",
    "blade.root_width": "20 mm",
    "blade.tip_width": "20 mm",
    "blade.thickness": "2 mm",
    "blade.grind": 1.0,
}
PULLED = {"pivot.pull.force": "0.2 N", "pivot.pull.at": "50 mm"}


TIP_53 = {"tip_from_root": 53e-3, "stop_from_root": 53e-3}

STOPPED = {"overtravel.gap": "1 mm"}

# What stands before, what is changed, and the fields that move from there, in SI by hand.
MOVES = [
    ({}, {"bar.material": "420"}, {"youngs_modulus": 200e9, "poissons_ratio": 0.28, "yield_strength": 1310e6}),
    ({"bar.material": "420"}, {"bar.youngs_modulus": "210 GPa"}, {"youngs_modulus": 210e9}),
    ({"bar.material": "420"}, {"bar.poissons_ratio": 0.2}, {"poissons_ratio": 0.2}),
    ({"bar.material": "420"}, {"bar.yield_strength": "1 GPa"}, {"yield_strength": 1e9}),
    ({}, {"bar.thickness": "1/8 in"}, {"thickness": 125 * THOU}),
    (NO_RELIEF, {"bar.thickness": "1.6 mm"}, {"thickness": 1.6e-3, "relief_thickness": 1.6e-3}),
    ({}, {"bar.width": "7 mm"}, {"width": 7e-3}),
    ({}, {"bar.relief_thickness": "1.1 mm"}, {"relief_thickness": 1.1e-3}),
    ({}, {"bar.relief_length": "9 mm"}, {"relief_length": 9e-3}),
    ({}, {"bar.relief_side": "inner"}, {"relief_side": 1.0}),
    ({"bar.relief_side": "inner"}, {"bar.relief_side": "both"}, {"relief_side": 0.0}),
    ({"bar.root": "clamped"}, {"bar.root": "slab"}, {"slab_root": 1.0}),
    ({}, {"bar.root": "edge"}, {"root_at_edge": 1.0}),
    ({"bar.root": "clamped"}, {"bar.root": "edge"}, {"slab_root": 1.0, "root_at_edge": 1.0}),
    ({"bar.root": "edge"}, {"bar.root": "clamped"}, {"slab_root": 0.0, "root_at_edge": 0.0}),
    ({}, {"bar.ball_from_root": "42 mm"}, {"ball_from_root": 42e-3}),
    ({"grip.from_root": "30 mm"}, {"bar.tip_from_root": "53 mm"}, TIP_53 | {"bend_push_at": 53e-3}),
    (
        NO_RELIEF,
        {"bar.tip_from_root": "53 mm"},
        TIP_53 | {"relief_length": 53e-3, "grip_from_root": 53e-3, "bend_push_at": 53e-3},
    ),
    ({}, {"bar.bend": "-1 mm"}, {"bend": -1e-3}),
    ({"bar.bend_at": "along"}, {"bar.bend_at": "relief"}, {"bend_along": 0.0}),
    ({"bar.bend_at": "6 mm"}, {"bar.bend_at": "along"}, {"bend_along": 1.0, "bend_at": np.nan}),
    ({}, {"bar.bend_at": "5 mm"}, {"bend_at": 5e-3}),
    ({}, {"bar.calibration": 0.93}, {"calibration": 0.93}),
    ({}, {"bar.lateral_stiffness": "250 N/mm"}, {"lateral_compliance": 4e-6}),
    ({"bar.lateral_stiffness": "250 N/mm"}, {"bar.lateral_stiffness": "rigid"}, {"lateral_compliance": 0.0}),
    ({}, {"ball.diameter": "3/32 in"}, {"ball_radius": 3 * INCH / 64}),
    ({}, {"ball.material": "zirconia"}, {"ball_modulus": 205e9, "ball_poisson": 0.31}),
    ({}, {"ball.protrusion": "22 thou"}, {"protrusion": 22 * THOU}),
    ({}, {"dimple.pilot_drill": "1.3 mm"}, {"pilot_radius": 0.65e-3}),
    (NO_RIM, {"dimple.pilot_drill": "1.3 mm"}, {"pilot_radius": 0.65e-3, "rim_radius": 0.65e-3}),
    ({}, {"dimple.pilot_depth": "0.5 mm"}, {"pilot_depth": 0.5e-3}),
    (NO_RIM, {"dimple.pilot_depth": "0.5 mm"}, {"pilot_depth": 0.5e-3, "rim_feed": 0.5e-3}),
    ({}, {"dimple.rim_drill": "1.6 mm"}, {"rim_radius": 0.8e-3}),
    ({}, {"dimple.rim_feed": "0 mm"}, {"rim_feed": 0.0}),
    ({}, {"dimple.point_angle": "120 deg"}, {"pilot_tangent": 3**0.5, "rim_tangent": 3**0.5}),
    ({"dimple.pilot_point_angle": "90 deg"}, {"dimple.point_angle": "120 deg"}, {"rim_tangent": 3**0.5}),
    ({"dimple.rim_point_angle": "90 deg"}, {"dimple.point_angle": "120 deg"}, {"pilot_tangent": 3**0.5}),
    ({}, {"dimple.rim_point_angle": "120 deg"}, {"rim_tangent": 3**0.5}),
    (NO_RIM, {"dimple.pilot_point_angle": "120 deg"}, {"pilot_tangent": 3**0.5, "rim_tangent": 3**0.5}),
    (NO_RIM, {"dimple.rim_point_angle": "120 deg"}, {}),
    ({}, {"dimple.edge_radius": "0.04 mm"}, {"edge_radius": 0.04e-3}),
    ({}, {"dimple.inner_edge_radius": "0.03 mm"}, {"inner_edge_radius": 0.03e-3}),
    ({}, {"dimple.hole_oversize": "1 thou"}, {"pilot_radius": 28 * THOU, "rim_radius": 30.25 * THOU}),
    (NO_RIM, {"dimple.hole_oversize": "1 thou"}, {"pilot_radius": 28 * THOU, "rim_radius": 28 * THOU}),
    ({}, {"dimple.overclose": "-0.04 mm"}, {"overclose": -0.005}),
    ({}, {"dimple.overclose": "-1 deg"}, {"overclose": -np.pi / 180}),
    ({"dimple.overclose": "-1 deg"}, {"tang.pivot_to_ball": "10 mm"}, {"pivot_to_ball": 10e-3}),
    ({}, {"tang.pivot_to_ball": "10 mm"}, {"pivot_to_ball": 10e-3, "overclose": 0.005}),
    ({}, {"dimple.radial_error": "0.03 mm"}, {"radial_error": 0.03e-3}),
    ({"stop.radius": "10 mm"}, {"stop.pin_change": "-0.04 mm"}, {"overclose": 0.05 / 8 - 0.002}),
    ({"stop.pin_change": "0.04 mm", "stop.radius": "10 mm"}, {"stop.radius": "20 mm"}, {"overclose": 0.05 / 8 + 0.001}),
    (
        {"stop.pin_change": "0.04 mm", "stop.radius": "10 mm"},
        {"dimple.overclose": "1 deg"},
        {"overclose": np.pi / 180 + 0.002},
    ),
    ({}, {"tang.face_gap": "0.6 mm"}, {"face_gap": 0.6e-3}),
    ({}, WASHER_GAP, {"face_gap": 0.5e-3}),
    (WASHER_GAP, {"pivot.washer_thickness": "1 mm"}, {"face_gap": 0.6e-3}),
    (WASHER_GAP, {"pivot.handle_pocket": "0.4 mm"}, {"face_gap": 0.4e-3}),
    (WASHER_GAP, {"pivot.tang_pocket": "0.3 mm"}, {"face_gap": 0.3e-3}),
    ({}, {"tang.material": "440C"}, {"tang_modulus": 200e9, "tang_poisson": 0.28}),
    ({}, {"tang.hardness": "700 HV"}, {"tang_hardness": 700.0}),
    ({}, {"tang.travel_angle": "-30 deg"}, {"travel_angle": -np.pi / 6}),
    ({}, {"friction.ball_on_tang": 0.2}, {"friction": 0.2, "static_friction": 0.2}),
    ({"friction.ball_on_tang_static": 0.3}, {"friction.ball_on_tang": 0.2}, {"friction": 0.2}),
    ({}, {"friction.ball_on_tang_static": 0.3}, {"static_friction": 0.3}),
    ({}, {"contact.rim": "elastic"}, {"elastic_rim": 1.0}),
    ({"contact.rim": "elastic"}, {"contact.rim": "rigid"}, {"elastic_rim": 0.0}),
    ({}, WASHERS, {"pivot_torque": 4e-3, "washer_friction": 0.12}),
    (WASHERS, {"pivot.washer_friction": 0.2}, {"washer_friction": 0.2}),
    (SIZED_WASHERS, {"pivot.washer_inner": "8 mm"}, {"washer_radius": 7e-3}),
    (SIZED_WASHERS, {"pivot.washer_outer": "18 mm"}, {"washer_radius": 5.75e-3}),
    ({}, {"pivot.friction_torque": "3 N*mm"}, {"pivot_torque": 3e-3}),
    ({}, PULLED, {"pivot_torque": 10e-3}),
    (PULLED, {"pivot.pull.force": "0.1 N"}, {"pivot_torque": 5e-3}),
    (PULLED, {"pivot.pull.at": "30 mm"}, {"pivot_torque": 6e-3}),
    (PULLED, WASHERS, {"washer_friction": 0.12}),
    ({}, {"opener.radius": "13 mm"}, {"opener_radius": 13e-3}),
    ({}, {"opener.push_angle": "-10 deg"}, {"push_angle": -np.pi / 18}),
    ({"opener.push": "follows"}, {"opener.push": "fixed"}, {"push_follows": 0.0}),
    ({}, {"grip.force": "-3 N"}, {"grip_force": -3.0}),
    ({}, {"grip.from_root": "30 mm"}, {"grip_from_root": 30e-3}),
    ({}, {"bar.bend_push_at": "40 mm"}, {"bend_push_at": 40e-3}),
    ({}, {"bar.reverse_yield": 0.8}, {"reverse_yield": 0.8}),
    ({}, {"bar.pushed_back": "2.4 mm"}, {"pushed_back": 2.4e-3}),
    ({}, {"overtravel.gap": "0.8 mm"}, {"stop_gap": 0.8e-3}),
    (STOPPED, {"overtravel.from_root": "46 mm"}, {"stop_from_root": 46e-3}),
    ({}, {"bar.lockup_travel": "0.8 mm"}, {"lockup_travel": 0.8e-3}),
    ({}, {"blade.open_angle": "150 deg"}, {"open_angle": 5 * np.pi / 6}),
    ({}, {"blade.mass": "1 oz"}, {"blade_mass": 0.45359237 / 16}),
    ({}, {"blade.inertia": "60 kg*mm**2"}, {"blade_inertia": 60e-6}),
    (
        {"blade.inertia": None},
        {"blade.pendulum_period": "0.5 s"},
        {"blade_inertia": 0.024 * 9.80665 * 0.034 * (0.5 / (2 * np.pi)) ** 2},
    ),
    # The garden's blade as a bar of steel of 7800 kg/m^3, pivoted amid one end: A = L w, x = L/2, I/m = L^2/3 + w^2/12.
    (
        {},
        SHAPED | {"blade.mass": "24 gram"},
        {"balance_radius": 0.04, "blade_inertia": 0.024 * (0.08**2 / 3 + 0.02**2 / 12)},
    ),
    (
        SHAPED,
        {"blade.thickness": "3 mm"},
        {"blade_mass": 0.03744, "blade_inertia": 0.03744 * (0.0064 / 3 + 0.0004 / 12)},
    ),
    (SHAPED, {"blade.grind": 0.75}, {"blade_mass": 0.01872, "blade_inertia": 0.01872 * (0.0064 / 3 + 0.0004 / 12)}),
    (
        SHAPED,
        {"blade.length": "60 mm"},
        {"blade_mass": 0.01872, "balance_radius": 0.03, "blade_inertia": 0.01872 * (0.0036 / 3 + 0.0004 / 12)},
    ),
    # A trapezoid of 40 and 20 mm: x = L (40 + 40)/(3 60), I/m = (4.266667e-6 + 2e-7)/2.4e-3.
    (
        SHAPED,
        {"blade.root_width": "40 mm"},
        {"blade_mass": 0.03744, "balance_radius": 0.08 * 8 / 18, "blade_inertia": 0.03744 * 6.7 / 3600},
    ),
    # A triangle: x = L/3, I/m = L^2/6 + w^2/24.
    (
        SHAPED,
        {"blade.tip_width": "0 mm"},
        {"blade_mass": 0.01248, "balance_radius": 0.08 / 3, "blade_inertia": 0.01248 * (0.0064 / 6 + 0.0004 / 24)},
    ),
    ({}, {"opener.leaves_at": "40 deg"}, {"leaves_at": 2 * np.pi / 9}),
    ({}, {"finger.effort": 1.5}, {"finger_effort": 1.5}),
    ({}, {"finger.speed_limit": "2 m/s"}, {"finger_speed": 2.0}),
    ({}, {"finger.shape": 0.5}, {"finger_shape": 0.5}),
    ({}, {"blade.balance_radius": "1.5 in"}, {"balance_radius": 1.5 * INCH}),
    ({}, {"attitude.tilt": "-20 deg"}, {"tilt": -np.pi / 9}),
    ({}, {"attitude.down_angle": "120 deg"}, {"down_angle": 2 * np.pi / 3}),
    ({}, {"attitude.close_from": "60 deg"}, {"close_from": np.pi / 3}),
]
MOVES += MOVES_OF_FINISH
# Inputs that the feel curve has no use for, each with a value unlike what stands.
IDLE = {
    "name": "another",
    "hand": "left",
    "units": "inch",
    "stock": "inch",
    "ball.hole_drill": "#53",
    "ball.hole_depth": "1 mm",
    "overtravel.stiffness": "200 N/mm",
    "overtravel.push": "100 N",
    "clip.material": "420",
    "clip.length": "40 mm",
    "clip.width": "8 mm",
    "clip.thickness": "1 mm",
    "clip.preset": "0.5 mm",
    "clip.cloth": "2 mm",
    "clip.gap": "1 mm",
    "clip.from_root": "46 mm",
    "pivot.clearance": "0.05 mm",
    "stop.radius": "7 mm",
}
# What an input of these sections cannot stand without.
BEHIND = {
    "overtravel": {"overtravel.gap": "1 mm"},
    "clip": {
        "clip.material": "301 full hard",
        "clip.length": "35 mm",
        "clip.width": "7 mm",
        "clip.thickness": "0.9 mm",
        "clip.gap": "2 mm",
    },
}
# Inputs that have tests of their own below: each takes another input's place.
APART = {"bar.stiffness", "bar.measured.pull", "bar.measured.travel", "bar.measured.at", "dimple.loose_ball_height"}


def moved(before, after):
    """Fields of two records that differ."""
    pairs = zip(before._fields, before, after, strict=True)
    return {name for name, old, new in pairs if not np.array_equal(old, new, equal_nan=True)}


@pytest.mark.parametrize(("start", "changes", "wanted"), MOVES, ids=[str(c) for _, c, _ in MOVES])
def test_an_input_moves_its_fields_and_no_other(start, changes, wanted):
    before, after = (record(GARDEN.change(start | more)) for more in ({}, changes))
    assert moved(before, after) == set(wanted)
    for name, value in wanted.items():
        np.testing.assert_allclose(getattr(after, name), value, rtol=1e-12, atol=0, equal_nan=True)


@pytest.mark.parametrize("name", IDLE)
def test_an_input_of_another_command_moves_nothing(name):
    start = GARDEN.change(BEHIND.get(name.partition(".")[0], {}))
    build = start.change({name: IDLE[name]})
    assert build.values[name].text != getattr(GARDEN[name], "text", None)
    assert moved(record(start), record(build)) == set()


def test_no_input_is_forgotten():
    changed = {name for _, changes, _ in MOVES for name in changes}
    assert changed | set(IDLE) | APART == set(INPUTS)


def test_every_field_of_the_garden_by_hand():
    """Materials: 114 GPa and 828 MPa, 310 GPa; drills: ASME B94.11M; 60 HRC is 697 HV by ASTM E140."""
    wanted = {
        "youngs_modulus": 114e9, "poissons_ratio": 0.31, "yield_strength": 828e6, "thickness": 3e-3,
        "width": 8e-3, "relief_thickness": 1.3e-3, "relief_length": 10e-3, "relief_side": -1, "slab_root": 1,
        "root_at_edge": 0, "ball_from_root": 44e-3, "tip_from_root": 50e-3, "bend": 1.6e-3, "bend_along": 0,
        "bend_at": np.nan, "bend_push_at": 50e-3, "stop_gap": np.inf, "stop_from_root": 50e-3,
        "reverse_yield": 1, "pushed_back": 0, "lockup_travel": np.nan,
        "calibration": 1, "lateral_compliance": np.nan, "ball_radius": BALL, "protrusion": 25 * THOU,
        "ball_modulus": 310e9, "ball_poisson": 0.27, "pilot_radius": 27.5 * THOU, "pilot_depth": 0.6e-3,
        "pilot_tangent": np.tan(np.radians(59)), "rim_radius": 29.75 * THOU, "rim_feed": 0.07e-3,
        "rim_tangent": np.tan(np.radians(59)), "edge_radius": 0.02e-3, "inner_edge_radius": 0, "burr_height": 0,
        "elastic_rim": 0,
        "overclose": 0.05 / 8, "radial_error": 0,
        "pivot_to_ball": 8e-3, "face_gap": 20 * THOU, "tang_modulus": 205e9, "tang_poisson": 0.29,
        "tang_hardness": 697, "travel_angle": 0, "pivot_torque": 1.5e-3, "washer_friction": 0, "washer_radius": 0,
        "friction_circle": 0,
        "opener_radius": 15e-3, "push_angle": np.pi / 9, "push_follows": 0, "leaves_at": np.pi / 3,
        "finger_effort": 1.05, "finger_speed": 1.5, "finger_shape": 0.25, "friction": 0.12,
        "static_friction": 0.12, "grip_force": 0, "grip_from_root": 50e-3, "open_angle": np.pi,
        "blade_mass": 0.024, "balance_radius": 34e-3, "blade_inertia": 40e-6, "tilt": 0, "down_angle": -np.pi / 4,
        "close_from": np.pi / 2,
    }  # fmt: skip
    found = record(GARDEN)
    assert set(wanted) == set(found._fields)
    for name, value in wanted.items():
        np.testing.assert_allclose(getattr(found, name), value, rtol=1e-12, err_msg=name, equal_nan=True)


def test_a_bar_alone_is_bent_along_and_a_relief_in_its_relief():
    found = record(GARDEN.change(NO_RELIEF))
    assert float(found.relief_thickness) == 3e-3
    assert float(found.relief_length) == 50e-3
    assert float(found.bend_along) == 1
    assert np.isnan(found.bend_at)


def test_without_a_blade_section_the_swing_is_a_half_turn_and_the_weight_unknown():
    text = GARDEN.text
    start, end = text.index("[blade]"), text.index("[pivot]")
    found = record(Build.loads(text[:start] + text[end:]))
    assert float(found.open_angle) == pytest.approx(np.pi)
    assert np.isnan(found.blade_mass)
    assert np.isnan(found.balance_radius)
