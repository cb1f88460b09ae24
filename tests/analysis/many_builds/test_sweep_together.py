"""Sweeps over random and over coupled inputs give what single builds give, as does a measured bar."""

from functools import cache

import numpy as np
import pytest
from helpers.sweeps import (
    ALONE,
    GARDEN,
    GRIP,
    HEIGHT,
    MEASURED,
    NO_MATTER,
    PIN,
    PULL,
    STACK,
    WASHERS,
    everywhere,
    matches,
)

import detentsim as ds
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.record import record
from detentsim.knife.table.schema import INPUTS

# Many at random


BASES = [
    {},
    PIN | GRIP,
    MEASURED,
    STACK | WASHERS | {"pivot.pin_diameter": "4 mm"},
    HEIGHT,
    PULL | {"bar.lateral_stiffness": "rigid"},
    {"dimple.rim_drill": "none", "dimple.rim_feed": None, "bar.bend_at": "along"},
    {"bar.stiffness": "12 N/mm", "dimple.overclose": "-0.03 mm"},
    {"friction.ball_on_tang": 0.75, "friction.ball_on_tang_static": 0.9},
    {"ball.protrusion": "0.3 mm", "tang.face_gap": "0.2 mm"},
    {"bar.bend": "-0.15 mm"},
]
# Of the blade as a body: what stands in for what is tried one at a time.
BODY = ("blade.pendulum", "blade.length", "blade.root", "blade.tip", "blade.thickness", "blade.grind")
OUT_OF_PLACE = {
    "bar.stiffness": lambda base: base in (BASES[2],),
    "bar.calibration": lambda base: base in (BASES[2], BASES[7]),
    "pivot.end_play": lambda base: "pivot.washer_outer" not in base,
    "pivot.washer_contact": lambda base: "pivot.washer_outer" not in base,
    "pivot.pin_friction": lambda base: "pivot.pin_diameter" not in base,
}


def stands(name, base):
    """Whether an input may stand in a base build."""
    if name.startswith(
        ("bar.measured", "stop.", "pivot.washer_inner", "pivot.washer_outer", "pivot.pull", "grip.from", *BODY)
    ):
        return name in base
    if name in ("dimple.rim_feed", "dimple.loose_ball_height", "dimple.rim_drill"):
        return name in base if name == "dimple.loose_ball_height" else "dimple.rim_feed" not in base
    if name in ("tang.face_gap", "pivot.washer_thickness", "pivot.handle_pocket", "pivot.tang_pocket"):
        return (name in base and base[name] is not None) if "tang.face_gap" in base else name == "tang.face_gap"
    if name == "pivot.friction_torque":
        return "pivot.pull.force" not in base
    return not OUT_OF_PLACE.get(name, lambda _base: False)(base)


def some(rng, name, count):
    """Random values of an input: a list of words, a range, or a list of sizes."""
    values = ALONE[name][0]
    sizes = [INPUTS[name].kinds, {type(value) for value in values}]
    words = {"choice", "drill", "material", "hardness"} & set(sizes[0]) or "in" in str(values) or "thou" in str(values)
    if words or name == "dimple.overclose":
        return [values[i] for i in rng.integers(len(values), size=count)]
    if float in sizes[1]:  # named states of it are no scale
        scale = [value for value in values if isinstance(value, float)]
        ends = np.sort(rng.uniform(min(scale), max(scale), 2))
        return (ends[0], ends[1], count)
    unit = values[0].partition(" ")[2]
    numbers = [float(value.split()[0]) for value in values if value.endswith(unit)]
    ends = rng.uniform(min(numbers), max(numbers), 2)
    return (f"{ends[0]} {unit}", f"{ends[1]} {unit}", count)


# The last has a ball that hangs loose, which few have.
SEEDS = (*range(50), 65)


def random_sweep(seed):
    """A base build with two inputs moved, and two to four others varied."""
    rng = np.random.default_rng(seed)
    base = BASES[seed % len(BASES)]
    names = [name for name in ALONE if name not in NO_MATTER and stands(name, base)]
    picked = [names[i] for i in rng.permutation(len(names))[: 2 + rng.integers(2, 5)]]
    moved = {name: some(rng, name, 1)[0] for name in picked[:2] if name != "dimple.rim_drill"}
    vary = {name: some(rng, name, int(rng.integers(2, 6))) for name in picked[2:]}
    return rng, ds.sweep(GARDEN.change(base).change(moved), vary)


@cache
def compared(seed):
    rng, s = random_sweep(seed)
    knives = [place for place in everywhere(s) if not s.excluded[place]]
    chosen = [knives[i] for i in rng.permutation(len(knives))[:15]]
    if chosen:
        matches(s, chosen)
    return len(chosen), s


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_random_sweeps_equal_single_builds(seed):
    count, s = compared(seed)
    assert count > 0 or s.excluded.all()
    assert s.done.all()


@pytest.mark.slow
def test_hundreds_of_designs_were_compared():
    found = [compared(seed) for seed in SEEDS]
    assert sum(count for count, _ in found) >= 600
    seen = {name for _, s in found for name in FLAGS if s.flags[name].any()}
    # A bar softer sideways, a dimple farther off, a stop nearer than any drawn here.
    rare = {"never_lets_go", "misses_dimple", "stopped_short"}
    assert seen | rare == set(FLAGS)
    assert len({axis.name for _, s in found for axis in s.axes}) >= 45


# Inputs that act through one number


TOGETHER = {
    "washer in its pockets": (
        STACK,
        {
            "pivot.washer_thickness": ["0.7 mm", "0.9 mm"],
            "pivot.handle_pocket": ["0.1 mm", "0.2 mm"],
            "pivot.tang_pocket": ("0 mm", "0.2 mm", 3),
        },
    ),
    "pull and where": (PULL, {"pivot.pull.force": ("0 N", "0.2 N", 3), "pivot.pull.at": ["30 mm", "60 mm"]}),
    "pull and travel": (
        MEASURED,
        {"bar.measured.pull": ("8 N", "12 N", 3), "bar.measured.travel": ["0.7 mm", "0.9 mm"]},
    ),
    "all of a measurement, and the bar it was made on": (
        MEASURED,
        {
            "bar.measured.pull": ["8 N", "12 N"],
            "bar.measured.at": ["44 mm", "48 mm"],
            "bar.relief_thickness": ["1.2 mm", "1.4 mm"],
        },
    ),
    "a measurement that only the sweep gives": ({}, {name: [value] for name, value in MEASURED.items()}),
    "ball and its height in the dimple": (
        HEIGHT,
        {"ball.diameter": ["1/16 in", "1.6 mm"], "dimple.loose_ball_height": ("1.08 mm", "1.1 mm", 3)},
    ),
    "no drill, no height": (
        HEIGHT,
        {"dimple.rim_drill": ["none", "#53"], "dimple.loose_ball_height": ["1.08 mm", "1.1 mm"]},
    ),
    "no drill, no feed": (
        {},
        {"dimple.rim_drill": ["none", "#53", "none"], "dimple.rim_feed": ["0.05 mm", "0.1 mm"]},
    ),
    "only no drill, then feed": ({}, {"dimple.rim_drill": ["none"], "dimple.rim_feed": ["0.05 mm", "0.1 mm"]}),
    "feed, then only no drill": ({}, {"dimple.rim_feed": ["0.05 mm", "0.1 mm"], "dimple.rim_drill": ["none"]}),
    "overclose as length and angle": (
        {},
        {"dimple.overclose": ["0.05 mm", "0.4 deg", "-0.3 deg", "2 thou"], "tang.pivot_to_ball": ["7 mm", "9 mm"]},
    ),
    "pin and where it stands": (
        {"dimple.overclose": "0 mm"},
        {"stop.pin_change": ["-0.06 mm", "0 mm", "0.05 mm"], "stop.radius": ["8 mm", "11 mm"]},
    ),
    "pivot and its defaults": (
        {"pivot.kind": None},
        {"pivot.kind": ["washers", "bearings", "washers"], "tang.pivot_to_ball": ["7 mm", "9 mm"]},
    ),
    "pivot and a friction of one's own": (
        {"pivot.friction_torque": "2 N*mm"},
        {"pivot.kind": ["washers", "bearings"], "pivot.washer_friction": [0.05, 0.2]},
    ),
    "pivot and a pull": (PULL, {"pivot.kind": ["washers", "bearings"], "pivot.pull.force": ["0.1 N", "0.2 N"]}),
    "metal and a constant of one's own": (
        {"bar.youngs_modulus": "100 GPa"},
        {"bar.material": ["Ti-6Al-4V", "420"], "bar.poissons_ratio": [0.3, 0.4]},
    ),
    "relief, which bends where it is": (
        {"bar.relief_thickness": None, "bar.relief_length": None},
        {"bar.relief_thickness": ["1.2 mm", "1.4 mm"], "bar.relief_length": ["8 mm", "12 mm"]},
    ),
    "friction and that at rest": (
        {},
        {"friction.ball_on_tang": [0.1, 0.2], "bar.lateral_stiffness": ["rigid", "80 N/mm"]},
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("case", TOGETHER)
def test_inputs_that_act_together_equal_single_builds(case):
    needs, vary = TOGETHER[case]
    s = ds.sweep(GARDEN.change(needs), vary)
    assert not s.misfits
    matches(s, everywhere(s), 1e-11)
    # the order of the axes is the order given, nothing else
    back = ds.sweep(GARDEN.change(needs), dict(reversed(vary.items())))
    for name, array in s.results.items():
        np.testing.assert_allclose(back.results[name].T, array, rtol=1e-11, atol=1e-11, err_msg=name)


def test_the_two_ways_of_overclose_are_one_angle():
    """0.5 deg at 8 mm is 0.0698 mm at the ball."""
    s = ds.sweep(GARDEN, {"dimple.overclose": ["0.5 deg", f"{np.radians(0.5) * 8:.15f} mm"]})
    for name, (angle, length) in s.results.items():
        assert angle == pytest.approx(length, rel=1e-10), name


def test_a_pockets_sum_is_all_that_counts():
    vary = {"pivot.handle_pocket": ["0.1 mm", "0.2 mm"], "pivot.tang_pocket": ["0.1 mm", "0.2 mm"]}
    s = ds.sweep(GARDEN.change(STACK), vary, of="riding_force")
    found = s.results["riding_force"]
    assert found[0, 1] == pytest.approx(found[1, 0], rel=1e-12)
    # 0.1 mm less gap at the ball is 0.1 mm more bend there
    stiffness = ds.curve(s.build_at(0, 0)).results["bar_stiffness"]
    assert found[1, 0] - found[0, 0] == pytest.approx(0.1 * stiffness, rel=1e-9)


def test_the_kind_of_pivot_brings_its_own_friction():
    """Washers 4 N*mm and 0.12 of the push at the ball's arm; bearings 1.5 N*mm and nothing of the push."""
    s = ds.sweep(GARDEN.change({"opener.push": "follows"}), {"pivot.kind": ["washers", "bearings"]})
    force, ball, riding = (s.results[name] for name in ("drag_force", "drag_torque", "riding_force"))
    arm = 15 * np.cos(np.radians(20))
    assert force[0] * arm == pytest.approx(ball[0] + 4 + 0.12 * 8 * riding[0], rel=1e-9)
    assert force[1] * arm == pytest.approx(ball[1] + 1.5, rel=1e-9)


# A measured bar


@pytest.mark.parametrize("needs", [MEASURED, {"bar.stiffness": "12 N/mm"}])
def test_a_measured_bar_keeps_its_calibration(needs):
    """Measured once on the bar as it is; what the sweep then mills scales as that bar's formula does."""
    build = GARDEN.change(needs)
    s = ds.sweep(build, {"bar.relief_thickness": ("1 mm", "1.6 mm", 4), "bar.width": ["7 mm", "8 mm"]})
    ratio = float(record(build).calibration)
    assert abs(ratio - 1) > 0.01
    ideal = ds.sweep(GARDEN, {axis.name: list(axis.labels) for axis in s.axes})
    np.testing.assert_allclose(s.results["bar_stiffness"], ratio * ideal.results["bar_stiffness"], rtol=1e-9)
    for place in everywhere(s):
        other = s.build_at(*place)
        assert other.si("bar.calibration") == pytest.approx(ratio, rel=1e-12)
        assert other["bar.stiffness"] is None
        assert other["bar.measured.pull"] is None
    matches(s, everywhere(s))


def test_a_stiffness_swept_is_the_stiffness_got():
    s = ds.sweep(GARDEN, {"bar.stiffness": ("9 N/mm", "15 N/mm", 4), "bar.bend": ["1.5 mm", "2 mm"]})
    np.testing.assert_allclose(s.results["bar_stiffness"], [[n, n] for n in (9, 11, 13, 15)], rtol=1e-12)
