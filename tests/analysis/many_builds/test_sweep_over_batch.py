"""A sweep over batches: shares equal those of `batch` at every design, and what cannot be counted is refused."""

import json
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import pytest
from helpers.garden import GARDEN_FILE, garden

import detentsim as ds

GARDEN = garden()
VARY = {"bar.bend": ["1.4 mm", "1.6 mm"], "bar.relief_thickness": [GARDEN.word("bar.relief_thickness"), "12 mm"]}

AIMLESS = ds.Build.loads(GARDEN.text.split("[target]")[0])
ZERO = {"pivot.friction_torque": '"0 N*mm"', "friction.ball_on_tang": "0", "bar.calibration": "0"}


def batch_share(build):
    return ds.batch(build, 256).share().share


@pytest.fixture(scope="module")
def swept():
    return ds.sweep(GARDEN, VARY, over="batch")


def test_each_share_is_that_of_a_batch_of_the_design(swept):
    assert list(swept.results) == ["share_inside", "breakout_force"]
    for i in range(2):
        assert swept.results["share_inside"][i, 0] == batch_share(swept.build_at(i, 0))
        assert np.isnan(swept.results["share_inside"][i, 1])  # a relief thicker than its bar
    assert len(set(swept.results["share_inside"][:, 0])) == 2
    assert swept.own["share_inside"] == batch_share(GARDEN)


def test_a_measured_bar_keeps_what_is_known_of_it():
    build = GARDEN.change({"bar.stiffness": "9 N/mm"})
    s = ds.sweep(build, {"dimple.rim_feed": [GARDEN.word("dimple.rim_feed")]}, over="batch")
    assert s.results["share_inside"][0] == batch_share(build) == s.own["share_inside"]


def test_a_wanted_change_counts_from_the_build_itself():
    text = GARDEN.text.split("[target]")[0] + "[target]\nbreakout_force = { change = '-15 %' }\n"
    build = ds.Build.loads(text)
    s = ds.sweep(build, {"bar.bend": [f"{1000 * GARDEN.si('bar.bend'):.9g} mm", "1.4 mm"]}, over="batch")
    assert s.results["share_inside"][0] == batch_share(build)
    assert s.results["share_inside"][1] > s.results["share_inside"][0]


def test_a_design_that_leaves_nothing_in_doubt_is_inside_or_not():
    sure = "".join(
        f'"{name}" = {{ plus_minus = {ZERO.get(name, chr(34) + "0 mm" + chr(34))} }}\n'
        for name in ds.batch(GARDEN, 16).inputs
    )
    build = ds.Build.loads(f"{GARDEN.text}\n[tolerance]\n{sure}")
    s = ds.sweep(build, {"bar.bend": ["0.9 mm", "1.4 mm"]}, over="batch")
    assert s.results["share_inside"].tolist() == [0, 1]


def test_an_executor_gives_the_same(swept):
    for pool in (ThreadPoolExecutor(2), ProcessPoolExecutor(2)):
        with pool:
            spread = ds.sweep(GARDEN, VARY, over="batch", executor=pool)
        np.testing.assert_array_equal(spread.results["share_inside"], swept.results["share_inside"])


def test_ctrl_c_keeps_what_is_counted():
    def stop(done, _total):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.warns(UserWarning, match="2 of 3 designs"):
        s = ds.sweep(GARDEN, {"bar.bend": ["1.4 mm", "1.5 mm", "1.7 mm"]}, over="batch", progress=stop)
    assert s.done.tolist() == [True, True, False]
    assert np.isnan(s.results["share_inside"]).tolist() == [False, False, True]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: ds.sweep(GARDEN, VARY, over="knives"), r"^over: .*\"batch\""),
        (
            lambda: ds.sweep(AIMLESS, VARY, over="batch"),
            r"^target: is missing",
        ),
        (lambda: ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 20_001)}, over="batch"), "20,001 designs"),
    ],
)
def test_what_cannot_be_counted_is_refused(call, words):
    with pytest.raises(ds.InputError, match=words):
        call()


def test_command_report_json_csv_and_figure_give_one_share(run, tmp_path):
    vary = ("sweep", GARDEN_FILE, "--over", "batch", "--vary", "bar.bend=1.4 mm,1.7 mm")
    share = batch_share(GARDEN.change({"bar.bend": "1.7 mm"}))
    status, out, err = run(*vary, "--csv", tmp_path / "s.csv", "--figure", tmp_path / "s.svg")
    assert (status, err) == (0, "")
    assert f"{share:.4g}" in out
    assert repr(share) in (tmp_path / "s.csv").read_text(encoding="utf-8")
    assert "share_inside" in (tmp_path / "s.csv").read_text(encoding="utf-8").splitlines()[0]
    found = json.loads(run(*vary, "--json")[1])
    assert found["results"]["share_inside"] == {
        "value": [batch_share(GARDEN.change({"bar.bend": "1.4 mm"})), share],
        "unit": "",
    }
