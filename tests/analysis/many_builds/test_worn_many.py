"""Batches and sweeps worn in: every knife and every design as `ds.worn_in` gives it by itself."""

import contextlib
import random
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import garden
from helpers.mutations import random_changes

import detentsim as ds
from detentsim.analysis.one_build.wear.worn_records import worn_radii
from detentsim.knife.record.record import record
from detentsim.knife.target.target import Target
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError

ASKED = ("breakout_force", "draw_torque", "seat_depth", "let_go_angle")

GARDEN = garden()


def alone(build, name):
    """Result of one build worn in; not a number where there is none."""
    w = ds.worn_in(build)
    value = w.stages[0 if w.untold else 2].results[name]
    return np.nan if value is None else value


@pytest.mark.parametrize(
    "changes",
    [{}, {"tang.coating": "0.005 mm"}, {"dimple.rim_drill": None, "dimple.rim_feed": None}, {"bar.bend": "0 mm"}],
)
def test_a_batch_without_doubts_is_the_build_worn_in(changes):
    build = GARDEN.change(changes)
    b = ds.batch(build, 16, vary=[], of=ASKED, worn_in=True)
    for name in ASKED:
        np.testing.assert_allclose(b[name].m, alone(build, name), rtol=1e-9, err_msg=name)


@pytest.mark.slow
def test_each_knife_of_a_batch_wears_for_itself():
    names = ["dimple.rim_feed", "dimple.edge_radius", "friction.ball_on_tang"]
    b = ds.batch(GARDEN, 16, vary=names, of=ASKED, worn_in=True)
    for i in range(0, 16, 3):
        one = GARDEN.change({name: b.inputs[name][i] for name in names})
        for name in ASKED:
            assert b[name].m[i] == pytest.approx(alone(one, name), rel=1e-9), name
    assert np.ptp(b.found.record.edge_radius) > 0


def test_fresh_holds_the_same_knives_as_drilled():
    b, fresh = ds.batch(GARDEN, 64, worn_in=True), ds.batch(GARDEN, 64)
    assert b.fresh.share() == fresh.share()
    np.testing.assert_array_equal(b.fresh["breakout_force"].m, fresh["breakout_force"].m)
    np.testing.assert_array_equal(b.inputs["dimple.rim_feed"].m, fresh.inputs["dimple.rim_feed"].m)
    assert np.all(b.found.record.edge_radius >= b.fresh.found.record.edge_radius)
    assert fresh.fresh is fresh


def test_all_answers_are_of_knives_worn_in():
    """Curves, worst knives and settings tried agree with single builds worn in."""
    b = ds.batch(GARDEN, 16, vary=[], of=ASKED, worn_in=True)
    assert np.nanmax(b.curves().force) == pytest.approx(alone(GARDEN, "breakout_force"), rel=2e-3)
    lowest = ds.batch(GARDEN, 64, vary=["dimple.rim_feed"], of=ASKED, worn_in=True).worst("breakout_force").lowest
    other = GARDEN.change({"dimple.rim_feed": f"{lowest.inputs['dimple.rim_feed'] * 1e3!r} mm"})
    assert lowest.value == pytest.approx(alone(other, "breakout_force"), rel=1e-9)
    sound = ds.demo()
    between = (alone(sound, "breakout_force") + ds.curve(sound).results["breakout_force"]) / 2
    for end in ({"at_least": between}, {"at_most": between}):
        build = replace(sound, target=(Target("breakout_force", **end),))
        now, before = (ds.batch(build, 16, vary=[], worn_in=worn_in) for worn_in in (True, False))
        assert now.share().share + before.share().share == 1.0
        assert now.aim({"bar.bend": ["2.2 mm"]}).before.share == now.share().share == now.of(12).middle / 12


@pytest.mark.slow
def test_each_design_of_a_sweep_wears_for_itself():
    vary = {"bar.bend": ["-0.5 mm", "1.5 mm", "2.6 mm"], "tang.hardness": ["45 HRC", "62 HRC"]}
    s = ds.sweep(GARDEN, vary, of=ASKED, worn_in=True)
    for place in np.ndindex(*s.shape):
        for name in ASKED:
            assert s[name].m[place] == pytest.approx(alone(s.build_at(*place), name), rel=1e-9, nan_ok=True), name
    assert s.flags["floats"][0].all()
    assert s.own["breakout_force"] == pytest.approx(alone(GARDEN, "breakout_force"), rel=1e-9)
    row = s.to_records()[-1]
    stage = ds.worn_in(s.build_at(2, 1))["worn in"]
    assert row["worn_edge_radius_mm"] == pytest.approx(stage.edge_radius, rel=1e-9)
    assert row["worn_inner_edge_radius_mm"] == pytest.approx(stage.inner_edge_radius, rel=1e-9)
    with ThreadPoolExecutor(2) as pool:
        spread = ds.sweep(GARDEN, vary, of=ASKED, worn_in=True, executor=pool)
    np.testing.assert_array_equal(spread["breakout_force"].m, s["breakout_force"].m)


def test_a_border_on_a_worn_in_map_is_where_the_builds_there_say():
    """Every design tried between two of the grid wears in by itself, rather than by radii between theirs."""
    feeds, frictions = ("0 mm", "0.16 mm", 4), (0.16, 0.25, 4)
    s = ds.sweep(GARDEN, {"dimple.rim_feed": feeds, "friction.ball_on_tang": frictions}, worn_in=True)
    shares = s.turns("snaps", (0, 1, np.arange(4), np.arange(4), {})).across
    places = np.argwhere(np.isfinite(shares))
    assert len(places) >= 3
    for i, j in places:
        beside = [(i + shares[i, j] + side) * 0.16 / 3 for side in (-1 / 60, 1 / 60)]
        told = [
            "snaps" in ds.worn_in(s.build_at(0, int(j)).change({"dimple.rim_feed": f"{feed!r} mm"}))["worn in"].flags
            for feed in map(float, beside)
        ]
        assert told == [bool(s.flags["snaps"][i, j]), bool(s.flags["snaps"][i + 1, j])]
    assert s.made.edge_radius.max() < s.record.edge_radius.min()


def test_designs_that_are_no_knife_stay_marked():
    s = ds.sweep(GARDEN, {"bar.relief_thickness": ["9 mm", "0.5 mm"]}, of=ASKED, worn_in=True)
    assert s.excluded.tolist() == [True, False]
    assert np.isfinite(s["breakout_force"].m).tolist() == [False, True]
    none = ds.sweep(GARDEN, {"bar.relief_thickness": ["8 mm", "9 mm"]}, of=ASKED, worn_in=True)
    assert none.excluded.all()


def test_a_sweep_over_batches_counts_knives_worn_in():
    bends = {"bar.bend": ["1.4 mm", "1.6 mm"]}
    s = ds.sweep(GARDEN, bends, over="batch", worn_in=True)
    for i in range(2):
        assert s["share_inside"].m[i] == ds.batch(s.build_at(i), 256, worn_in=True).share().share
    assert not np.any(s["share_inside"].m == ds.sweep(GARDEN, bends, over="batch")["share_inside"].m)


def test_what_has_worn_in_already_is_refused():
    worn = GARDEN.change({"dimple.edge_radius": "worn in"})
    with pytest.raises(InputError, match="worn in already"):
        ds.batch(worn, 16, worn_in=True)
    with pytest.raises(InputError, match="worn in already"):
        ds.sweep(GARDEN, {"dimple.edge_radius": ["tumbled", "worn in"]}, worn_in=True)
    assert ds.sweep(worn, {"dimple.edge_radius": ["tumbled"]}, worn_in=True).size == 1
    with pytest.raises(InputError, match="worn_in"):
        ds.batch(GARDEN, 16, worn_in="yes")
    with pytest.raises(InputError, match="fresh knives"):
        ds.advise(ds.batch(GARDEN, 16, worn_in=True))


@pytest.mark.slow
def test_random_builds_together_and_alone():
    rng, builds = random.Random(3), []
    while len(builds) < 40:
        with contextlib.suppress(InputError):  # sizes that fit no knife
            builds.append(GARDEN.change(random_changes(rng)[0]))
    records = [record(build) for build in builds]
    together = type(records[0])(*(np.array(field, float) for field in zip(*records, strict=True)))
    radii = worn_radii(respond(together))
    for i, build in enumerate(builds):
        w = ds.worn_in(build)
        stage = w.stages[0 if w.untold else 2]
        assert radii["edge_radius"][i] * 1e3 == pytest.approx(stage.edge_radius, rel=1e-9)
        assert radii["inner_edge_radius"][i] * 1e3 == pytest.approx(stage.inner_edge_radius, rel=1e-9)


def test_worn_radii_do_not_jump_with_the_drawing():
    """Where the inner edge only just stands out it is pressed level with what is beside it, and no flag flickers."""
    demo = ds.demo().change({"friction.ball_on_tang": 0.22})
    s = ds.sweep(demo, {"dimple.rim_feed": ("0.105 mm", "0.145 mm", 81)}, of="breakout_force", worn_in=True)
    for radius, most in (("edge_radius", 0.5e-6), ("inner_edge_radius", 1e-6)):
        assert np.abs(np.diff(getattr(s.record, radius))).max() < most, radius
    assert np.abs(np.diff(s["breakout_force"].m)).max() < 0.3
    assert np.count_nonzero(np.diff(s.flags["snaps"])) == 1
