"""Sweeps give what single builds give, whatever is varied; what is no knife is marked and never raised."""

from functools import cache

import numpy as np
import pytest
from helpers.sweeps import (
    ALONE,
    CLOSE,
    EVERY,
    GARDEN,
    GRIP,
    HEIGHT,
    MEASURED,
    MISFITS,
    NO_MATTER,
    PIN,
    PULL,
    STACK,
    WASHERS,
    everywhere,
    matches,
)

import detentsim as ds
from detentsim.knife.checks.fits import FITS
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.record import record
from detentsim.knife.table.schema import INPUTS
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError

"""Values of every input that can be varied, and what the garden folder needs for it to stand there and to matter."""

"""Inputs that no result of a sweep hangs on."""


# Every input alone


def test_every_input_is_covered():
    """A new input needs a line in ALONE, or it is one that changes no number."""
    assert set(ALONE) | {"name", "hand", "units"} == set(INPUTS)
    uncovered = {name for name, entry in INPUTS.items() if not set(entry.choices) <= set(ALONE.get(name, [()])[0])}
    assert uncovered == {"hand", "units"}


@pytest.mark.slow
@pytest.mark.parametrize("name", ALONE)
def test_one_input_alone_equals_single_builds(name):
    """Typed values are the same numbers in both, so nothing but the order of operations differs."""
    values, needs = ALONE[name]
    s = ds.sweep(GARDEN.change(needs), {name: values}, of=EVERY)
    assert s.shape == (len(values),)
    assert not s.misfits
    matches(s, everywhere(s), 1e-11)


@pytest.mark.slow
@pytest.mark.parametrize("name", ALONE)
def test_one_input_alone_moves_something(name):
    """Else the comparison above would hold for a sweep that leaves the input where it is."""
    values, needs = ALONE[name]
    s = ds.sweep(GARDEN.change(needs), {name: values}, of=EVERY)
    arrays = [*s.results.values(), *s.flags.values()]
    moved = any(not np.allclose(a, a[0], rtol=CLOSE, atol=1e-12, equal_nan=a.dtype == float) for a in arrays)
    assert moved == (name not in NO_MATTER)


@pytest.mark.parametrize(
    "name", ["bar.bend", "dimple.rim_drill", "bar.lateral_stiffness", "dimple.overclose", "pivot.kind"]
)
def test_one_input_alone_equals_whole_curves(name):
    values, needs = ALONE[name]
    s = ds.sweep(GARDEN.change(needs), {name: values}, of=[*RESULT_NAMES, "falls_shut"])
    for i in range(len(values)):
        single = ds.curve(s.build_at(i))
        for result in RESULT_NAMES:
            wanted = single.results[result]
            assert s.results[result][i] == pytest.approx(np.nan if wanted is None else wanted, rel=1e-11, nan_ok=True)
        assert tuple(flag for flag in FLAGS if s.flags[flag][i]) == single.flags
        assert s.results["falls_shut"][i] == single.falls_shut.falls


@pytest.mark.parametrize("name", ["name", "hand"])
def test_what_changes_no_number_is_not_varied(name):
    with pytest.raises(InputError, match=f"{name}: changes no number"):
        ds.sweep(GARDEN, {name: ["right"]})


# Many at random

BASES = [
    {},
    PIN | GRIP,
    MEASURED,
    STACK | WASHERS,
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
    numbers = [float(value.split()[0]) for value in values]
    ends = rng.uniform(min(numbers), max(numbers), 2)
    return (f"{ends[0]} {unit}", f"{ends[1]} {unit}", count)


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
    chosen = [knives[i] for i in rng.permutation(len(knives))[:28]]
    if chosen:
        matches(s, chosen)
    return len(chosen), s


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(50))
def test_random_sweeps_equal_single_builds(seed):
    count, s = compared(seed)
    assert count > 0 or s.excluded.all()
    assert s.done.all()


@pytest.mark.slow
def test_a_thousand_designs_were_compared():
    found = [compared(seed) for seed in range(50)]
    assert sum(count for count, _ in found) >= 1000
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


# What is no knife

"""A sweep over each of `FITS` whose middle design is broken and whose last stands at the edge."""


def test_every_fit_is_covered():
    assert set(MISFITS) == set(FITS)


@pytest.mark.parametrize("fit", MISFITS)
def test_a_misfit_is_marked_and_its_neighbours_are_not(fit):
    needs, vary = MISFITS[fit]
    build = GARDEN.change(needs)
    s = ds.sweep(build, vary, of=[*RESULT_NAMES, "falls_shut"])
    assert s.misfits[FITS[fit].words].tolist() == [False, True, False]
    assert s.excluded.tolist() == [False, True, False]
    assert s.done.all()
    assert all(np.isnan(s.results[name][1]) for name in RESULT_NAMES)
    assert not s.results["falls_shut"][1]
    assert not any(array[1] for array in s.flags.values())
    matches(s, [(0,), (2,)])
    (name,) = vary
    with pytest.raises(InputError) as told:
        s.build_at(1)
    with pytest.raises(InputError) as refused:
        build.change({name: vary[name][1]})
    assert str(told.value) == str(refused.value)


@pytest.mark.parametrize("fit", MISFITS)
def test_a_misfit_leaves_the_bits_of_its_neighbours_alone(fit):
    needs, vary = MISFITS[fit]
    ((name, values),) = vary.items()
    mixed, good = (ds.sweep(GARDEN.change(needs), {name: v}) for v in (values, values[::2]))
    for key, array in good.results.items():
        np.testing.assert_allclose(mixed.results[key][::2], array, rtol=1e-12, atol=1e-12, err_msg=key)


@pytest.mark.parametrize("fit", MISFITS)
def test_nothing_but_misfits_is_no_error(fit):
    needs, vary = MISFITS[fit]
    ((name, values),) = vary.items()
    s = ds.sweep(GARDEN.change(needs), {name: [values[1]] * 2})
    assert s.excluded.all()
    assert np.isnan(s["preload"].magnitude).all()
    assert np.isnan(s.curves().force).all()


def test_a_height_that_no_feed_gives_is_marked():
    """1.17 mm is the ball on the rim before the second drill has cut; a higher one cannot be."""
    s = ds.sweep(GARDEN.change(HEIGHT), {"dimple.loose_ball_height": ["1.09 mm", "1.5 mm", "0.5 mm"]})
    (words,) = s.misfits
    assert "no feed" in words
    assert s.excluded.tolist() == [False, True, True]
    with pytest.raises(InputError, match="build_at: no feed of the second drill"):
        s.build_at(1)
    with pytest.raises(InputError):
        ds.curve(GARDEN.change(HEIGHT | {"dimple.loose_ball_height": "1.5 mm"}))


def test_a_build_that_is_itself_no_knife_in_the_sweeps_first_corner():
    s = ds.sweep(GARDEN, {"bar.thickness": ["1 mm", "3 mm"], "bar.relief_thickness": ["1.3 mm", "0.9 mm"]})
    assert s.excluded.tolist() == [[True, False], [False, False]]
    matches(s, [(0, 1), (1, 0), (1, 1)])


def test_several_misfits_of_one_design_are_all_told():
    s = ds.sweep(GARDEN, {"bar.thickness": ["1 mm", "3 mm"], "bar.relief_length": ["10 mm", "46 mm"]})
    thick, long = (s.misfits[FITS[fit].words] for fit in ("relief_thickness", "relief_length"))
    assert thick.tolist() == [[True, True], [False, False]]
    assert long.tolist() == [[False, True], [False, True]]
    assert s.excluded.tolist() == [[True, True], [False, True]]
    with pytest.raises(InputError) as told:
        s.build_at(0, 1)
    assert "bar.relief_thickness" in str(told.value)
    assert "bar.relief_length" in str(told.value)


FIT_SIZES = {
    "bar.thickness": (0.8, 3.5),
    "bar.relief_thickness": (0.5, 2.0),
    "bar.relief_length": (5, 60),
    "bar.ball_from_root": (20, 60),
    "bar.tip_from_root": (30, 60),
    "bar.bend_at": (0, 60),
    "ball.protrusion": (0.3, 2.5),
    "ball.diameter": (1, 3),
    "tang.pivot_to_ball": (1.5, 9),
    "dimple.radial_error": (-1, 1),
    "dimple.overclose": (-3, 3),
    "pivot.washer_inner": (4, 12),
    "pivot.washer_outer": (6, 14),
    "pivot.washer_thickness": (0.1, 1.0),
    "pivot.handle_pocket": (0, 0.5),
    "grip.from_root": (20, 60),
}


@pytest.mark.parametrize("seed", range(12))
def test_a_sweep_excludes_just_what_a_build_refuses(seed):
    """Random sizes in pairs and threes, each design also put to `Build.change`."""
    rng = np.random.default_rng(seed)
    names = [list(FIT_SIZES)[i] for i in rng.permutation(len(FIT_SIZES))[: rng.integers(2, 4)]]
    vary = {name: [f"{rng.uniform(*FIT_SIZES[name]):.3f} mm" for _ in range(5)] for name in names}
    build = GARDEN.change(STACK | WASHERS | GRIP)
    s = ds.sweep(build, vary, of="preload")
    for place in everywhere(s):
        changes = {name: values[i] for (name, values), i in zip(vary.items(), place, strict=True)}
        try:
            build.change(changes)
        except InputError:
            assert s.excluded[place], changes
        else:
            assert not s.excluded[place], changes


# One design, one point, backwards


def test_nothing_varied_is_the_build_itself():
    s = ds.sweep(GARDEN, {})
    assert s.shape == ()
    assert s.size == 1
    single = ds.curve(GARDEN)
    for name in RESULT_NAMES:
        assert float(s.results[name]) == pytest.approx(single.results[name], rel=1e-12)
    assert s["preload"].units == "newton"
    assert s.build_at().values == GARDEN.values


def test_one_point_keeps_its_axis():
    for values in (["1.8 mm"], ("1.8 mm", "2 mm", 1)):
        s = ds.sweep(GARDEN, {"bar.bend": values, "friction.ball_on_tang": [0.1, 0.2]})
        assert s.shape == s["preload"].shape == (1, 2)
        matches(s, everywhere(s))


def test_backwards_is_the_same_backwards():
    there, back = (ds.sweep(GARDEN, {"bar.bend": ends}) for ends in (("1 mm", "2 mm", 9), ("2 mm", "1 mm", 9)))
    assert back.axis("bar.bend").values[0] == 2
    for name, array in there.results.items():
        np.testing.assert_allclose(back.results[name][::-1], array, rtol=CLOSE, err_msg=name)


def test_the_same_value_twice_stands_twice():
    s = ds.sweep(GARDEN, {"dimple.rim_drill": ["#53", "none", "#53"]})
    assert all(array[0] == array[2] or np.isnan(array[0]) for array in s.results.values())


# What comes back


def small():
    vary = {"dimple.rim_drill": ["none", "#53"], "bar.bend": ("1 mm", "2 mm", 3)}
    return ds.sweep(GARDEN, vary, of=["breakout_force", "draw_torque", "falls_shut", "breakout_to_drag"])


def test_results_are_those_asked_for_in_their_unit_and_shape():
    s = small()
    assert list(s.results) == ["breakout_force", "draw_torque", "falls_shut", "breakout_to_drag"]
    assert s["breakout_force"].shape == (2, 3)
    np.testing.assert_allclose(s["draw_torque"].m_as("N*m") * 1e3, s.results["draw_torque"], rtol=1e-12)
    assert s["falls_shut"].dtype == bool
    assert set(s.flags) == set(FLAGS)
    assert all(array.shape == (2, 3) and array.dtype == bool for array in s.flags.values())
    assert list(ds.sweep(GARDEN, {}).results) == list(RESULT_NAMES)
    with pytest.raises(InputError, match="did you mean breakout_force"):
        s["breakout_forse"]
    with pytest.raises(InputError, match=r"this sweep varies dimple\.rim_drill, bar\.bend"):
        s.axis("bar.width")


def test_axes_know_their_unit_and_the_builds_own_place():
    s = ds.sweep(
        GARDEN,
        {
            "bar.bend": ["1 mm", "0.1 in"],
            "dimple.rim_drill": ["none", "#53"],
            "dimple.pilot_drill": ["#54", "1.2 mm"],
            "friction.ball_on_tang": [0.1],
            "stop.radius": ["9 mm"],
        },
        of=[],
    )
    bend, rim, pilot, friction, stop = s.axes
    np.testing.assert_allclose(bend.values, [1, 2.54], rtol=1e-12)
    assert (bend.unit, bend.labels, bend.is_scale, bend.here) == ("mm", ("1 mm", "0.1 in"), True, pytest.approx(1.6))
    assert (rim.values.tolist(), rim.labels, rim.is_scale, rim.here) == ([0, 1], ("none", "#53"), False, 1)
    assert pilot.values == pytest.approx([0.055 * 25.4, 1.2])
    assert pilot.here == pytest.approx(0.055 * 25.4)
    assert (friction.unit, friction.here) == ("", 0.12)
    assert np.isnan(stop.here)


@pytest.mark.parametrize("index", [(), (0,), (0, 0, 0), (2, 0), (0, -4), (0.5, 0), ("a", 0), (None, None)])
def test_a_wrong_index_is_told_in_a_line(index):
    with pytest.raises(InputError) as told:
        small().build_at(*index)
    assert str(told.value).startswith("build_at: ")
    assert "\n" not in str(told.value)


def test_an_index_counts_as_in_an_array():
    s = small()
    assert s.build_at(-1, -3).values == s.build_at(1, 0).values
    assert s.build_at(np.int64(1), np.int8(2)).si("bar.bend") == pytest.approx(2e-3)
    assert s.build_at(0, 1)["dimple.rim_feed"] is None
    assert s.build_at(1, 1).values == GARDEN.change({"bar.bend": "1.5 mm"}).values


def test_records_have_a_row_a_design_in_order():
    s = small()
    rows = s.to_records()
    assert rows.shape == (6,)
    assert rows.dtype.names[:6] == (
        "dimple.rim_drill",
        "bar.bend_mm",
        "breakout_force_N",
        "draw_torque_Nmm",
        "falls_shut",
        "breakout_to_drag",
    )
    assert rows.dtype.names[6:] == (*FLAGS, "excluded", "done")
    assert rows["dimple.rim_drill"].tolist() == ["none"] * 3 + ["#53"] * 3
    assert rows["bar.bend_mm"].tolist() == pytest.approx([1, 1.5, 2] * 2)
    np.testing.assert_array_equal(rows["breakout_force_N"].reshape(2, 3), s.results["breakout_force"])
    np.testing.assert_array_equal(rows["dents_tang"].reshape(2, 3), s.flags["dents_tang"])
    assert ds.sweep(GARDEN, {}).to_records().shape == (1,)


def test_dict_is_what_labelled_arrays_read():
    s = small()
    found = s.to_dict()
    assert found["dims"] == {"dimple.rim_drill": 2, "bar.bend": 3}
    assert found["attrs"] == {"build": "82 mm garden folder"}
    assert found["coords"]["dimple.rim_drill"]["data"] == ["none", "#53"]
    assert found["coords"]["bar.bend"]["attrs"] == {"units": "mm"}
    assert set(found["data_vars"]) == {*s.results, *FLAGS, "excluded", "done"}
    force = found["data_vars"]["breakout_force"]
    assert force["dims"] == ("dimple.rim_drill", "bar.bend")
    assert force["attrs"]["units"] == "N"
    assert "units" not in found["data_vars"]["falls_shut"]["attrs"]


def test_xarray_reads_it():
    xarray = pytest.importorskip("xarray")
    s = small()
    data = xarray.Dataset.from_dict(s.to_dict())
    assert data["breakout_force"].attrs["units"] == "N"
    there = data["breakout_force"].sel({"dimple.rim_drill": "#53", "bar.bend": 2.0}, method=None)
    assert float(there) == s.results["breakout_force"][1, 2]
    one = xarray.Dataset.from_dict(ds.sweep(GARDEN, {}).to_dict())
    assert float(one["preload"]) == pytest.approx(ds.curve(GARDEN).results["preload"])


def test_pandas_reads_it():
    pandas = pytest.importorskip("pandas")
    s = small()
    frame = pandas.DataFrame(s.to_records())
    assert len(frame) == 6
    chosen = frame[(frame["dimple.rim_drill"] == "#53") & (frame["bar.bend_mm"] > 1.9)]
    assert chosen["breakout_force_N"].tolist() == [s.results["breakout_force"][1, 2]]


def test_a_sweep_in_a_line_and_in_a_small_table():
    s = ds.sweep(GARDEN, {"bar.relief_thickness": ["1.3 mm", "3.1 mm"], "bar.bend": ("-1 mm", "2 mm", 4)})
    assert repr(s).startswith("<Sweep of '82 mm garden folder': bar.relief_thickness 2 x bar.bend 4; floats ")
    assert "one design" in repr(ds.sweep(GARDEN, {}))
    page = s._repr_html_()
    assert "8 designs" in page
    assert "<th>bar.bend</th><td>4: -1 mm to 2 mm</td>" in page
    assert "<th>the relief is thicker than the bar</th><td>4 of 8</td>" in page
    assert page.count("<tr>") < 50
    assert s._ipython_key_completions_() == list(RESULT_NAMES)
    odd = ds.sweep(GARDEN.change({"name": "a <b> & c"}), {})
    assert "a &lt;b&gt; &amp; c" in odd._repr_html_()


def test_a_sweep_leaves_the_build_alone():
    before = GARDEN.text
    ds.sweep(GARDEN, {"bar.bend": ["1 mm", "2 mm"]}).build_at(0)
    assert GARDEN.text == before
