"""Batches: shares against plain Monte Carlo, ranges against root-sum-square, capability by hand, dead ends counted."""

import math
from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import GARDEN_FILE, workshop

import detentsim as ds
from detentsim.analysis.many_builds.batch.answers.indices import indices
from detentsim.analysis.many_builds.batch.batch import FIRST, batch
from detentsim.analysis.many_builds.batch.counts.shares import share_of
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import REPLICATES, spread_points
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn, plain
from detentsim.knife.target.target import Target
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError

BAND = Target("breakout_force", 9.0, 13.0)


def aimed(build, *targets):
    return replace(build, target=targets or (BAND,))


def share_by_monte_carlo(build, low, high, count):
    """Share with a breakout inside a band and no warning of an unsound design, from independent random knives."""
    spread = doubts(build, plain(build))
    random = np.random.default_rng(99).random((count, len(spread)))
    found = drawn(build, {doubt.name: doubt.at(random[:, i]) for i, doubt in enumerate(spread)})
    assert not found.misfits
    response = respond(assemble(found.numbers), ("breakout_force",))
    force = response.results["breakout_force"]
    unsound = np.any([response.flags[name] for name in UNSOUND], axis=0)
    return np.mean((force >= low) & (force <= high) & ~unsound)


@pytest.mark.slow
@pytest.mark.parametrize("bend", ["1.6 mm", "2 mm", "2.6 mm"])
def test_share_is_that_of_plain_monte_carlo(bend):
    build = workshop().change({"bar.bend": bend})
    nominal = float(respond(assemble(plain(build)), ("breakout_force",)).results["breakout_force"])
    low, high = 0.9 * nominal, 1.15 * nominal
    true = share_by_monte_carlo(build, low, high, 40_000)
    error = 3 * math.sqrt(true * (1 - true) / 40_000)
    share = batch(aimed(build, Target("breakout_force", low, high)), 2048, of="breakout_force").share()
    assert 0.1 < true < 0.9
    assert share.low - error <= true <= share.high + error
    assert share.high - share.low < 0.05


@pytest.mark.slow
def test_the_interval_holds_the_share_of_many_knives_about_19_times_in_20():
    build = aimed(workshop(), Target("draw_torque", 25.0, 60.0))
    true = batch(build, 1 << 15, seed=1000, of="draw_torque").share().share
    assert 0.02 < true < 0.98
    shares = [batch(build, 256, seed=seed, of="draw_torque").share() for seed in range(100)]
    assert 88 <= sum(share.low <= true <= share.high for share in shares) <= 100
    width = np.mean([share.high - share.low for share in shares])
    assert width < 2 * 1.96 * math.sqrt(true * (1 - true) / 256)  # no wider than that of independent knives


def test_share_of_knives_that_do_not_scatter_is_the_rule_of_three():
    """None of n: the upper end of 95 % is near 3/n (Hanley and Lippman-Hand, JAMA 249 (1983) 1743, from memory)."""
    share = share_of(np.zeros(3200, bool))
    assert share.share == share.low == 0
    assert 3 / 3200 < share.high < 5 / 3200


def test_points_fill_each_input_evenly_and_begin_with_the_fewer():
    points = spread_points(5, 1024, 3)
    assert np.array_equal(spread_points(5, 512, 3), points[:512])
    assert not np.array_equal(spread_points(5, 512, 4), points[:512])
    each = points.reshape(-1, REPLICATES, 5)
    for replicate in range(REPLICATES):
        for axis in range(5):  # one point of a Sobol' sequence in each of n equal slices
            assert np.array_equal(np.unique(np.floor(each[:, replicate, axis] * 64)), np.arange(64))


def test_a_linear_result_spreads_by_root_sum_square(tmp_path):
    """Preload is stiffness times offset: linear in small errors of bend and gap."""
    file = tmp_path / "held.toml"
    held = '"bar.bend" = { plus_minus = "0.01 mm" }\n"tang.face_gap" = { plus_minus = "0.02 mm" }\n'
    file.write_text(GARDEN_FILE.read_text("utf-8") + "\n[tolerance]\n" + held, "utf-8")
    build = ds.Build.read(file)

    def scatter(*names):
        return np.std(batch(build, 4096, vary=names, of="preload")["preload"].m)

    one, other = scatter("bar.bend"), scatter("tang.face_gap")
    assert min(one, other) > 0.1 * max(one, other)
    assert scatter("bar.bend", "tang.face_gap") == pytest.approx(math.hypot(one, other), rel=0.01)


def test_capability_of_a_normal_spread_is_the_textbooks():
    """Cp of a band of 8 standard deviations is 8/6; off its middle by one, Cpk is 3/3 (ISO 22514-1, from memory)."""
    made = batch(workshop(), 4096, vary={"bar.bend": {"plus_minus": "0.02 mm"}}, of="free_offset")
    values = made["free_offset"].m
    mean, scatter = values.mean(), values.std(ddof=1)
    middle = replace(made, build=aimed(made.build, Target("free_offset", mean - 4 * scatter, mean + 4 * scatter)))
    assert middle.capability("free_offset") == pytest.approx((8 / 6, 8 / 6))
    off = replace(made, build=aimed(made.build, Target("free_offset", mean - 3 * scatter, mean + 5 * scatter)))
    assert off.capability("free_offset") == pytest.approx((8 / 6, 1.0))
    one = replace(made, build=aimed(made.build, Target("free_offset", mean - 3 * scatter)))
    assert one.capability("free_offset").cp is None
    assert one.capability("free_offset").cpk == pytest.approx(1.0)


def test_a_normal_tolerance_gives_the_spread_that_it_says():
    made = batch(workshop(), 4096, vary={"bar.bend": {"plus_minus": "0.1 mm"}}, of="free_offset")
    bend = made.inputs["bar.bend"]
    assert str(bend.units) == "millimeter"
    assert np.std(bend.m) == pytest.approx(0.1 / 1.959964, rel=0.01)
    low, high = np.quantile(bend.m, [0.025, 0.975])
    assert high - low == pytest.approx(0.2, rel=0.01)


def test_interval_leaves_as_many_below_as_above():
    made = batch(workshop(), 1024, of="breakout_force")
    low, high = made.interval("breakout_force", 0.8)
    values = made["breakout_force"]
    assert np.mean(values < low) == pytest.approx(0.1, abs=0.002)
    assert np.mean(values > high) == pytest.approx(0.1, abs=0.002)


def test_what_spoils_knives_is_named_and_adds_up():
    made = batch(aimed(workshop(), Target("breakout_force", 10.0, 10.5)), 1024, of="breakout_force")
    assert {"breakout_force below", "breakout_force above"} & set(made.outside)
    assert np.array_equal(made.inside, ~np.any([*made.outside.values()], axis=0))
    assert made.share().share == np.mean(made.inside)


def test_a_wanted_truth_that_fails_is_named():
    made = batch(aimed(workshop(), Target("falls_shut", truth=True)), 64, of="breakout_force")
    assert np.array_equal(made.outside.get("falls_shut false", np.zeros(64, bool)), ~made["falls_shut"])
    no = replace(made, build=aimed(made.build, Target("falls_shut", truth=False)))
    assert np.array_equal(no.outside.get("falls_shut true", np.zeros(64, bool)), made["falls_shut"])
    assert np.any(made["falls_shut"])


def test_knives_that_float_count_as_outside():
    build = aimed(workshop().change({"bar.bend": "0.1 mm"}))
    made = batch(build, 1024, vary={"bar.bend": {"plus_minus": "1.5 mm"}}, of="breakout_force")
    floats = made.flags["floats"]
    assert 0.2 < made.share("floats").share < 0.8
    assert np.all(np.isnan(made["breakout_force"].m[floats]))
    assert not np.any(made.inside & floats)
    assert np.all(made.outside["floats"] == floats)
    assert np.array_equal(np.isnan(made["breakout_force"].m), made.outside["breakout_force none"])


def test_sizes_that_do_not_fit_are_counted_and_named():
    build = aimed(workshop())
    thin = {"bar.relief_thickness": {"plus_minus": "6 mm"}}
    made = batch(build, 256, vary=thin, of="breakout_force")
    assert 0 < np.count_nonzero(made.excluded) < len(made)
    assert not np.any(made.inside & made.excluded)
    assert all(np.any(made.outside[words]) for words in made.misfits)


def test_a_drawing_without_doubt_gives_its_own_results_every_time():
    build = aimed(workshop())
    made = batch(build, 64, vary=[], of="breakout_force")
    own = ds.curve(build).breakout_force.m
    assert made.inputs == {}
    assert made["breakout_force"].m == pytest.approx(np.full(64, own), rel=1e-9)
    assert made.share().share == float(BAND.at_least <= own <= BAND.at_most)


def test_a_knife_of_the_batch_is_the_build_with_its_sizes():
    made = batch(workshop(), 64, vary=["dimple.rim_feed", "friction.ball_on_tang"], of="breakout_force")
    feed, friction = made.inputs["dimple.rim_feed"], made.inputs["friction.ball_on_tang"]
    for i in (0, 17, 63):
        changes = {"dimple.rim_feed": feed[i], "friction.ball_on_tang": float(friction[i].m)}
        one = ds.curve(workshop().change(changes)).breakout_force.m
        assert made["breakout_force"].m[i] == pytest.approx(one, rel=1e-9)


@pytest.mark.slow
def test_a_batch_without_a_count_grows_until_its_share_is_known():
    sure = batch(aimed(workshop(), Target("preload", 0.0)), of="preload")
    assert len(sure) == FIRST
    assert sure.share().high - sure.share().low <= 0.02
    few = batch(aimed(workshop()), 64, of="breakout_force")
    assert few.share().high - few.share().low > 0.02


def test_the_same_seed_gives_the_same_bytes_and_another_does_not():
    one, same, other = (batch(workshop(), 128, seed=seed, of="breakout_force") for seed in (5, 5, 6))
    assert one.to_records().tobytes() == same.to_records().tobytes()
    assert not np.array_equal(one["breakout_force"].m, other["breakout_force"].m)


def test_records_hold_inputs_results_flags_and_whether_inside():
    made = batch(aimed(workshop()), 64, of="breakout_force")
    rows = made.to_records()
    assert rows.shape == (64,)
    assert {"dimple.rim_feed_mm", "breakout_force_N", "floats", "inside", "excluded", "done"} <= set(rows.dtype.names)
    assert np.array_equal(rows["inside"], made.inside)


def test_curves_of_knives_peak_at_their_breakout():
    made = batch(workshop(), 32, of=["breakout_force", "breakout_force_angle"])
    curves = made.curves(("0 deg", "20 deg", 2001))
    peak = np.nanmax(curves.force, axis=1)
    assert peak == pytest.approx(made["breakout_force"].m, rel=0.01)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"count": 0}, "whole number from 1 to"),
        ({"count": 1.5}, "whole number from 1 to"),
        ({"count": True}, "whole number from 1 to"),
        ({"count": 10**9}, "whole number from 1 to"),
        ({"seed": -1}, "whole number of 0 or more"),
        ({"vary": ["bar.bnd"]}, "is no uncertain input of this build"),
        ({"vary": "bar.width"}, "is no uncertain input of this build"),
        ({"vary": {"bar.bend": {"plus_minus": 0.1}}}, "bar.bend"),
        ({"vary": {"bar.bnd": {"plus_minus": "0.1 mm"}}}, "bar.bend"),
        ({"of": "breakout"}, "is no result"),
    ],
)
def test_wrong_requests_are_told_in_one_line(arguments, words):
    with pytest.raises(InputError, match=words) as caught:
        batch(workshop(), **({"count": 16} | arguments))
    assert "\n" not in str(caught.value)


def test_questions_that_have_no_answer_are_refused():
    made = batch(replace(workshop(), target=()), 16, of="breakout_force")
    for ask, words in (
        (made.share, "has no target"),
        (lambda: made.share("breakout_force"), "no flag or yes-no result"),
        (lambda: made["breakout"], "did you mean breakout_force"),
        (lambda: made.interval("breakout_force", 90), "between 0 and 1"),
        (lambda: made.capability("breakout_force"), "no target band"),
    ):
        with pytest.raises(InputError, match=words):
            ask()


def test_a_notebook_shows_the_share_and_the_ranges():
    made = batch(aimed(workshop()), 64, of="breakout_force")
    assert "inside the target" in made._repr_html_()
    assert "breakout_force" in made._repr_html_()
    assert "64 knives" in repr(made)


def ishigami(points):
    x = math.pi * (2 * points - 1)
    return np.sin(x[:, 0]) + 7 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


def test_indices_of_ishigamis_function_are_its_closed_forms():
    """Ishigami and Homma, Proc. ISUMA 1990, a = 7, b = 0.1: variance 13.845 (from memory)."""
    a, b, pi = 7, 0.1, math.pi
    first = (1 + b * pi**4 / 5) ** 2 / 2
    both = b**2 * pi**8 * (1 / 18 - 1 / 50)
    variance = first + a**2 / 8 + both
    assert variance == pytest.approx(13.845, abs=1e-3)
    found = indices(ishigami, ("x", "y", "z"), 0, 4096)
    alone = {"x": first / variance, "y": a**2 / 8 / variance, "z": 0.0}
    in_all = alone | {"x": (first + both) / variance, "z": both / variance}
    for name, index in found.inputs.items():
        assert index.alone == pytest.approx(alone[name], abs=0.02)
        assert index.in_all == pytest.approx(in_all[name], abs=0.02)
        assert index.in_all_low < index.in_all < index.in_all_high
    assert found.missing == 0


def test_indices_pass_over_what_has_no_value_and_say_how_much():
    def holed(points):
        return np.where(points[:, 1] > 0.9, np.nan, points[:, 0])

    found = indices(holed, ("x", "y"), 0, 512)
    assert found.missing == pytest.approx(0.1, abs=0.01)
    assert found.inputs["x"].in_all == pytest.approx(1, abs=0.05)
    assert found.inputs["y"].in_all == pytest.approx(0, abs=0.01)
    assert indices(lambda points: np.full(len(points), np.nan), ("x",), 0, 64).missing == 1
    assert set(indices(lambda points: np.ones(len(points)), ("x",), 0, 64).inputs["x"]) == {0.0}


@pytest.mark.slow
def test_the_input_that_spreads_breakout_most_has_the_largest_index():
    made = batch(aimed(workshop()), 512, of="breakout_force")
    scatter = {}
    for doubt in made.spread:
        scatter[doubt.name] = np.std(batch(workshop(), 512, vary=[doubt.name], of="breakout_force")["breakout_force"].m)
    found = made.matters("breakout_force")
    assert max(found.inputs, key=lambda name: found.inputs[name].in_all) == max(scatter, key=scatter.__getitem__)
    assert sum(index.alone for index in found.inputs.values()) < 1.05
    assert set(made.matters().inputs) == set(scatter)
    assert max(index.in_all for index in made.matters().inputs.values()) > 0
