"""Wear-in together with an elastic rim, a burr, coats and end play: one by one, in a batch and in a sweep alike."""

import contextlib
import random

import numpy as np
import pytest
from helpers.garden import garden
from helpers.mutations import random_changes
from helpers.strict_json import strict

import detentsim as ds
from detentsim.analysis.one_build.wear.worn_in import SHOWN
from detentsim.knife.outcomes import FLAGS
from detentsim.units.errors import InputError

GARDEN = garden()
WASHERS = {"pivot.washer_inner": "5 mm", "pivot.washer_outer": "9.5 mm"}


def together(rng):
    """Changes that hold the four at once, some of them at nothing."""

    def thick(most):
        return f"{rng.choice([0, 1]) * rng.uniform(0, most):.4f} mm"

    coats = {f"{part}.coating": thick(0.02) for part in ("bar", "ball", "tang")}
    washers = WASHERS | {"pivot.end_play": thick(0.15)}
    rim = {"contact.rim": rng.choice(["elastic", "elastic", "rigid"]), "dimple.burr": thick(0.03)}
    return coats | washers | rim


def builds(seed, count):
    """Random builds with random sizes, and the four at once."""
    rng, found = random.Random(seed), []
    for _ in range(3 * count):
        with contextlib.suppress(InputError):  # sizes that fit no knife
            found.append(GARDEN.change(random_changes(rng)[0] | together(rng)))
    assert len(found) >= count
    return found[:count]


def check(build):
    """One by one, in a batch without doubts and in a sweep of one; all numbers finite or none."""
    w = ds.worn_in(build, 500)
    stage = w.stages[0 if w.untold else 2]
    for one in w.stages:
        assert np.isfinite([one.edge_radius, one.inner_edge_radius]).all()
        assert all(value is None or np.isfinite(value) for value in one.results.values())
        assert set(one.flags) <= set(FLAGS)
    b = ds.batch(build, 16, vary=[], of=SHOWN, worn_in=True)
    s = ds.sweep(build, {"bar.bend": [build["bar.bend"].text]}, of=SHOWN, worn_in=True)
    for name in SHOWN:
        want = np.nan if stage.results[name] is None else stage.results[name]
        np.testing.assert_allclose(b[name].m, want, rtol=1e-9, atol=1e-12, err_msg=name)
        np.testing.assert_allclose(s[name].m, want, rtol=1e-9, atol=1e-12, err_msg=name)
    for flag in FLAGS:
        raised = flag in stage.flags
        assert b.flags[flag].tolist() == [raised] * 16, flag
        assert s.flags[flag].tolist() == [raised], flag
    if w.untold is None:
        c = ds.curve(w.build_at("worn in"))
        assert c.flags == stage.flags
        got, want = ([one.results[name] for name in SHOWN] for one in (c, stage))
        np.testing.assert_allclose(np.array(got, float), np.array(want, float), rtol=1e-9, atol=1e-12)
    return w


@pytest.mark.parametrize("rim", ["rigid", "elastic"])
def test_all_at_once(rim):
    changes = {"contact.rim": rim, "dimple.burr": "0.015 mm", "tang.coating": "0.003 mm", "ball.coating": "0.002 mm"}
    w = check(GARDEN.change(changes | {"bar.coating": "0.004 mm", "pivot.end_play": "0.1 mm"} | WASHERS))
    assert w.untold is None
    assert w["fresh"].edge_radius == pytest.approx(0.023)
    assert w["worn in"].edge_radius > w["fresh"].edge_radius


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_random_builds_at_once(seed):
    told = [check(build).untold is None for build in builds(seed, 12)]
    assert sum(told) >= 4


@pytest.mark.slow
def test_random_builds_on_the_command_line(run, tmp_path):
    for i, build in enumerate(builds(9, 5)):
        path = tmp_path / f"{i}.toml"
        build.save(path)
        status, out, err = run("curve", path, "--worn-in", "--json")
        assert (status, err) == (0, "")
        assert strict(out)["stages"][0]["stage"] == "fresh"
        words = "sweep", path, "--worn-in", "--vary", "dimple.edge_radius=0 mm,0.05 mm", "--json"
        status, out, err = run(*words)
        assert (status, err) == (0, "")
        assert strict(out)["worn_in"] is True
