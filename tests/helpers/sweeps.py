"""Sweeps against single builds: what can be varied with what it needs, what misfits, and how close they agree."""

import numpy as np

from detentsim.analysis.results import in_unit
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.record import record
from detentsim.knife.table.schema import INPUTS
from detentsim.mechanics.names import ALL_NAMES, MOTION_NAMES
from detentsim.mechanics.response import respond
from helpers.garden import garden

GARDEN = garden()
# A range's numbers and the texts that `build_at` makes of them differ by what twelve digits leave out, 5e-12 of each.
# A result moves by a few tens of that; where sizes nearly cancel, by some hundreds.
CLOSE = 1e-9
# A throw is integrated in steps that suit all the designs thrown together: its results agree to what a step may miss.
THROWN = 1e-7
# Results that may come to nothing by cancelling are held to the size of what cancels, in their own units.
SIZE = {"N": 10.0, "N*mm": 30.0, "deg": 5.0, "mm": 1.0, "N/mm": 10.0, "mJ": 2.0, "MPa": 1e3, "rad/s": 10.0, "": 5.0}


def text(values, unit):
    return [f"{value} {unit}" for value in values]


HEIGHT = {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.09 mm"}
NO_GAP = {"tang.face_gap": None}
MEASURED = {"bar.measured.pull": "10 N", "bar.measured.travel": "0.8 mm", "bar.measured.at": "50 mm"}
OTHER_PAIRS = ("degreased alumina", "degreased zirconia", "carbon film", "nitride film")
WASHERS = {"pivot.kind": "washers", "pivot.washer_inner": "12 mm", "pivot.washer_outer": "24 mm"}
STACK = NO_GAP | {"pivot.washer_thickness": "0.8 mm", "pivot.handle_pocket": "0.2 mm", "pivot.tang_pocket": "0.1 mm"}
PIN = {"stop.radius": "9 mm", "stop.pin_change": "0.05 mm"}
PULL = {"pivot.pull.force": "0.1 N", "pivot.pull.at": "40 mm"}
GRIP = {"grip.force": "4 N", "grip.from_root": "45 mm"}
CLIP = {
    "clip.material": "301 full hard",
    "clip.length": "35 mm",
    "clip.width": "7 mm",
    "clip.thickness": "0.9 mm",
    "clip.gap": "2 mm",
}
SHAPE = {
    "blade.mass": None,
    "blade.balance_radius": None,
    "blade.inertia": None,
    "blade.length": "75 mm",
    "blade.root_width": "22 mm",
    "blade.tip_width": "4 mm",
    "blade.thickness": "3 mm",
}
EVERY = ALL_NAMES
LEANT = {
    "attitude.down_angle": "-60 deg",
    "attitude.close_from": "60 deg",
    "blade.mass": "120 gram",
    "bar.bend": "1.2 mm",
}
ALONE = {
    "bar.material": (["Ti-6Al-4V", "beta titanium", "420", "301 full hard"], {}),
    "bar.youngs_modulus": (text((100, 114, 205), "GPa"), {}),
    "bar.poissons_ratio": ([0.0, 0.29, 0.45], {}),
    "bar.yield_strength": (text((60, 880, 1400), "MPa"), {}),
    "bar.thickness": (text((2.5, 3, 3.6), "mm"), {}),
    "bar.width": (text((6, 8, 12), "mm"), {}),
    "bar.relief_thickness": (text((0.9, 1.3, 3), "mm"), {}),
    "bar.relief_length": (text((6, 10, 20), "mm"), {}),
    "bar.relief_side": (["outer", "inner", "both"], {}),
    "bar.root": (["slab", "edge", "clamped"], {}),
    "bar.ball_from_root": (text((36, 44, 49), "mm"), {}),
    "bar.tip_from_root": (text((45, 50, 58), "mm"), {}),
    "bar.bend": (text((-1, 1.6, 3), "mm"), {}),
    "bar.bend_at": (["relief", "along", "5 mm", "30 mm"], {}),
    "bar.calibration": ([0.9, 1.0, 1.15], {}),
    "bar.measured.pull": (text((8, 10, 12), "N"), MEASURED),
    "bar.measured.travel": (text((0.6, 0.8, 1.1), "mm"), MEASURED),
    "bar.measured.at": (text((40, 44, 50), "mm"), MEASURED),
    "bar.stiffness": (text((9, 13, 17), "N/mm"), {}),
    "bar.lateral_stiffness": (["rigid", "300 N/mm", "40 N/mm"], {}),
    "ball.diameter": (["1/16 in", "1.5 mm", "2 mm"], {}),
    "ball.material": (["silicon nitride", "52100", "tungsten carbide"], {"bar.bend": "1.35 mm"}),
    "ball.protrusion": (["25 thou", "0.5 mm", "0.7 mm"], {}),
    "bar.bend_push_at": (text((30, 45, 50), "mm"), {}),
    "bar.reverse_yield": ([0.7, 0.9, 1.0], {}),
    "bar.pushed_back": (text((0, 3, 5), "mm"), {}),
    "bar.lockup_travel": (text((0, 0.6, 2), "mm"), {}),
    "ball.hole_drill": (["#53", "1/16 in", "1.5 mm"], {}),
    "ball.hole_depth": (text((1.6, 2), "mm"), {}),
    "dimple.pilot_drill": (["#54", "1.2 mm", "1.3 mm"], {}),
    "dimple.pilot_depth": (text((0.02, 0.2, 0.6), "mm"), {}),
    "dimple.rim_drill": (["none", "#53", "1.6 mm"], {}),
    "dimple.rim_feed": (text((0, 0.07, 0.16), "mm"), {}),
    "dimple.loose_ball_height": (text((1.06, 1.09, 1.12), "mm"), HEIGHT),
    "dimple.point_angle": (text((90, 118, 140), "deg"), {}),
    "dimple.pilot_point_angle": (text((90, 118, 140), "deg"), {"dimple.pilot_depth": "0.02 mm"}),
    "dimple.rim_point_angle": (text((90, 118, 140), "deg"), {}),
    "dimple.edge_radius": (["0 mm", "0.02 mm", "as drilled", "polished", "tumbled", "worn in"], {}),
    "dimple.inner_edge_radius": (text((0, 0.02, 0.05), "mm"), {}),
    "dimple.burr": (text((0, 0.002, 0.03), "mm"), {}),
    "dimple.overclose": (["-0.05 mm", "0 mm", "0.05 mm", "0.5 deg"], {}),
    "dimple.radial_error": (text((-0.04, 0, 0.03), "mm"), {}),
    "dimple.hole_oversize": (text((0, 0.01, 0.03), "mm"), {}),
    "tang.pivot_to_ball": (text((6, 8, 9.5), "mm"), {}),
    "tang.face_gap": (["10 thou", "20 thou", "40 thou"], {}),
    "tang.material": (["hardened steel", "D2"], {"bar.bend": "1.546 mm"}),
    "tang.hardness": (["40 HRC", "60 HRC", "2000 HV"], {"bar.bend": "1.35 mm"}),
    "tang.travel_angle": (text((-20, 0, 15), "deg"), {}),
    "stop.radius": (text((7, 9, 12), "mm"), PIN),
    "stop.pin_change": (text((-0.1, 0, 0.06), "mm"), PIN),
    "blade.mass": (text((5, 24, 200), "gram"), LEANT),
    "blade.balance_radius": (text((1, 34, 60), "mm"), LEANT),
    "blade.inertia": (text((20, 40), "kg*mm**2"), {}),
    "blade.pendulum_period": (text((0.4, 0.42, 0.5), "s"), {"blade.inertia": None}),
    "blade.length": (text((60, 75, 90), "mm"), SHAPE),
    "blade.root_width": (text((10, 22, 30), "mm"), SHAPE),
    "blade.tip_width": (text((0, 4, 22), "mm"), SHAPE),
    "blade.thickness": (text((2, 3, 4), "mm"), SHAPE),
    "blade.grind": ([0.5, 0.75, 1.0], SHAPE),
    "blade.open_angle": (text((90, 150, 180), "deg"), {}),
    "pivot.kind": (["washers", "bearings"], {}),
    "pivot.friction_torque": (text((0, 2, 6), "N*mm"), {}),
    "pivot.pull.force": (text((0, 0.05, 0.2), "N"), PULL),
    "pivot.pull.at": (text((20, 40, 80), "mm"), PULL),
    "pivot.washer_inner": (text((8, 12, 16), "mm"), WASHERS),
    "pivot.washer_outer": (text((20, 24, 30), "mm"), WASHERS),
    "pivot.washer_friction": ([0.0, 0.12, 0.3], WASHERS),
    "bar.coating": (text((0, 0.003, 0.03), "mm"), {}),
    "ball.coating": (text((0, 0.003, 0.03), "mm"), {}),
    "tang.coating": (text((0, 0.003, 0.03), "mm"), {}),
    "pivot.seats": (["masked", "coated"], {"tang.coating": "0.02 mm"}),
    "pivot.washer_contact": (["rim", "face"], WASHERS),
    "pivot.end_play": (text((0, 0.02, 0.1), "mm"), WASHERS),
    "pivot.pin_diameter": (text((3, 4, 6), "mm"), {}),
    "pivot.pin_friction": ([0.0, 0.12, 0.3], {"pivot.pin_diameter": "4 mm"}),
    "pivot.clearance": (text((0, 0.02), "mm"), {}),
    "pivot.washer_thickness": (text((0.6, 0.8, 1), "mm"), STACK),
    "pivot.handle_pocket": (text((0, 0.2, 0.3), "mm"), STACK),
    "pivot.tang_pocket": (text((0, 0.1, 0.3), "mm"), STACK),
    "opener.radius": (text((10, 15, 22), "mm"), {}),
    "opener.push_angle": (text((-30, 20, 170), "deg"), {}),
    "opener.push": (["fixed", "follows"], {}),
    "opener.leaves_at": (text((30, 60), "deg"), {}),
    "friction.ball_on_tang": (
        [0.0, 0.12, "oiled", "greased", "dry film", "dry as handled", "degreased", *OTHER_PAIRS],
        {},
    ),
    "friction.ball_on_tang_static": ([0.12, 0.15, 0.3], {}),
    "contact.rim": (["rigid", "elastic"], {}),
    "grip.force": (text((-4, 0, 8), "N"), GRIP),
    "grip.from_root": (text((20, 45, 50), "mm"), GRIP),
    "finger.effort": ([1.05, 1.5], {}),
    "finger.speed_limit": (text((1, 1.5), "m/s"), {}),
    "finger.shape": ([0.25, 0.5], {}),
    "attitude.tilt": (text((0, 30, 90), "deg"), LEANT),
    "attitude.down_angle": (text((-90, 0, 90), "deg"), LEANT),
    "overtravel.gap": (text((0.5, 1), "mm"), {}),
    "overtravel.from_root": (text((40, 50), "mm"), {"overtravel.gap": "1 mm"}),
    "overtravel.stiffness": (["rigid", "200 N/mm"], {"overtravel.gap": "1 mm"}),
    "overtravel.push": (text((50, 137), "N"), {}),
    "clip.material": (["420", "301 full hard"], CLIP),
    "clip.length": (text((30, 40), "mm"), CLIP),
    "clip.width": (text((6, 8), "mm"), CLIP),
    "clip.thickness": (text((0.8, 1), "mm"), CLIP),
    "clip.preset": (text((0, 0.5), "mm"), CLIP),
    "clip.cloth": (text((0.5, 1), "mm"), CLIP),
    "clip.gap": (text((0.5, 1), "mm"), CLIP),
    "clip.from_root": (text((40, 46), "mm"), CLIP),
    "attitude.close_from": (text((60, 90, 170), "deg"), LEANT),
}
NO_MATTER = {"ball.hole_drill", "ball.hole_depth", "pivot.clearance"} | {
    name for name in INPUTS if name.startswith(("overtravel.", "clip."))
}


_SOLVED = {}


def solved(one, names):
    """Response of a record, solved once: of the builds of many sweeps one is the build swept about."""
    key = (names, *(np.asarray(value).tobytes() for value in one))
    if key not in _SOLVED:
        _SOLVED[key] = respond(one, names)
    return _SOLVED[key]


def expected(build, names):
    """Results in their units and flags of a single build; a truth that cannot be told is not so."""
    found = solved(record(build), names)
    values = {name: float(in_unit(name, found.results[name])) for name in names}
    return {name: value > 0 if RESULTS[name].is_truth else value for name, value in values.items()}, found.flags


def matches(s, places, closeness=CLOSE):
    """Hold designs of a sweep to builds solved one at a time."""
    singles = [expected(s.build_at(*place), tuple(s.results)) for place in places]
    at = tuple(np.array(places, int).T)
    for name, array in s.results.items():
        wanted = np.array([results[name] for results, _ in singles])
        if RESULTS[name].is_truth:
            np.testing.assert_array_equal(array[at], wanted, err_msg=name)
            continue
        near = max(closeness, THROWN) if name in MOTION_NAMES else closeness
        np.testing.assert_allclose(array[at], wanted, rtol=near, atol=near * SIZE[RESULTS[name].unit], err_msg=name)
    for name in FLAGS:
        np.testing.assert_array_equal(s.flags[name][at], [bool(flags[name]) for _, flags in singles], err_msg=name)


def everywhere(s):
    return list(np.ndindex(s.shape))


MISFITS = {
    "relief_thickness": ({}, {"bar.relief_thickness": ["1.3 mm", "3.1 mm", "3 mm"]}),
    "relief_length": ({}, {"bar.relief_length": ["10 mm", "44 mm", "43 mm"]}),
    "ball_from_root": ({}, {"bar.ball_from_root": ["44 mm", "50.1 mm", "50 mm"]}),
    "measured_at": (MEASURED, {"bar.measured.at": ["44 mm", "50.1 mm", "50 mm"]}),
    "grip_from_root": (GRIP, {"grip.from_root": ["44 mm", "50.1 mm", "50 mm"]}),
    "bend_at": ({}, {"bar.bend_at": ["relief", "44 mm", "43 mm"]}),
    "bend_push_at": ({}, {"bar.bend_push_at": ["44 mm", "50.1 mm", "50 mm"]}),
    "overtravel": ({"overtravel.gap": "1 mm"}, {"overtravel.from_root": ["44 mm", "50.1 mm", "50 mm"]}),
    "clip": (CLIP, {"clip.from_root": ["44 mm", "50.1 mm", "50 mm"]}),
    "ball_in_bar": ({}, {"bar.width": ["8 mm", "1.5 mm", "1.6 mm"]}),
    "hole_depth": ({}, {"ball.hole_depth": ["1.2 mm", "0.95 mm", "0.953 mm"]}),
    "protrusion": ({}, {"ball.protrusion": ["25 thou", "1/16 in", "1.5 mm"]}),
    "rim_drill": ({}, {"dimple.pilot_drill": ["#54", "1.6 mm", "#53"]}),
    "loose_ball_height": (HEIGHT, {"dimple.loose_ball_height": ["1.09 mm", "1.7 mm", "1.1 mm"]}),
    "pivot_to_ball": ({}, {"tang.pivot_to_ball": ["8 mm", "3.17 mm", "3.18 mm"]}),
    "radial_error": ({}, {"dimple.radial_error": ["0 mm", "-2.1 mm", "0.05 mm"]}),
    "overclose": ({}, {"dimple.overclose": ["0.05 mm", "4.1 mm", "19 deg"]}),
    "gap": (STACK, {"pivot.handle_pocket": ["0.2 mm", "0.8 mm", "0.7 mm"]}),
    "burr": ({"dimple.burr": "0.09 mm"}, {"ball.diameter": ["1/16 in", "0.71 mm", "0.73 mm"]}),
    "coat_in_dimple": ({"tang.coating": "0.09 mm"}, {"dimple.pilot_drill": ["#54", "0.18 mm", "0.2 mm"]}),
    "coat_in_gap": ({"tang.coating": "0.09 mm"}, {"tang.face_gap": ["20 thou", "0.08 mm", "0.09 mm"]}),
    "coat_over_ball": ({"bar.coating": "0.09 mm"}, {"ball.protrusion": ["25 thou", "0.09 mm", "0.1 mm"]}),
    "washer_contact": ({}, {"pivot.washer_contact": ["rim", "face", "rim"]}),
    "pin_diameter": (WASHERS | {"pivot.pin_diameter": "4 mm"}, {"pivot.pin_diameter": ["4 mm", "12.1 mm", "12 mm"]}),
    "pin_under_ball": ({"pivot.pin_diameter": "4 mm"}, {"pivot.pin_diameter": ["4 mm", "16 mm", "15.9 mm"]}),
    "washer_inner": (WASHERS, {"pivot.washer_inner": ["12 mm", "24 mm", "23 mm"]}),
    "tip_width": (SHAPE, {"blade.tip_width": ["4 mm", "22.1 mm", "22 mm"]}),
}
