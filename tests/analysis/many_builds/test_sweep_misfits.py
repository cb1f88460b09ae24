"""Combinations that make no knife are marked in a sweep and never raised."""

import numpy as np
import pytest
from helpers.sweeps import (
    GARDEN,
    GRIP,
    HEIGHT,
    MISFITS,
    STACK,
    WASHERS,
    everywhere,
    matches,
)

import detentsim as ds
from detentsim.knife.checks.fits import FITS
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError

# What is no knife


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


@pytest.mark.slow
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
