"""Questions to a batch: how many of twelve, the worst knives, what to hold, where to aim."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import workshop
from scipy.stats import betabinom, binom

import detentsim as ds
from detentsim.analysis.many_builds.batch.answers.holding import most_halvings
from detentsim.analysis.many_builds.batch.batch import batch
from detentsim.analysis.many_builds.batch.counts.counted import count_of
from detentsim.analysis.many_builds.batch.findings import bends, findings, results_of
from detentsim.analysis.many_builds.batch.knives.cloud import no_progress
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn, plain
from detentsim.knife.target.target import Target
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

BREAKOUT = "breakout_force"


def aimed(*targets, **changes):
    return replace(workshop().change(changes), target=targets or (Target(BREAKOUT, 7.5, 10.0),))


def test_knives_that_have_nothing_in_common_follow_the_binomial_law():
    inside = np.random.default_rng(5).random((1, 1 << 18)) < 0.7
    law = count_of(inside, 12)
    assert law.chances == pytest.approx(binom.pmf(np.arange(13), 12, inside.mean()), abs=1e-4)
    assert (law.low, law.middle, law.high) == tuple(binom.ppf([0.05, 0.5, 0.95], 12, 0.7))


def test_shops_that_differ_follow_the_beta_binomial_law():
    """Share of each shop drawn from a beta distribution; 64 knives of each estimate the law of 12 without bias."""
    rng = np.random.default_rng(6)
    shares = rng.beta(2.0, 1.0, 20_000)
    law = count_of(rng.random((20_000, 64)) < shares[:, None], 12)
    assert law.chances == pytest.approx(betabinom.pmf(np.arange(13), 12, 2.0, 1.0), abs=0.005)
    assert law.chances.sum() == pytest.approx(1.0)


def test_a_batch_of_all_or_none():
    assert count_of(np.ones((3, 64), bool), 5)[:4] == (5, 5, 5, 5)
    assert count_of(np.zeros((3, 64), bool), 5)[:4] == (5, 0, 0, 0)


@pytest.mark.slow
def test_the_count_of_twelve_is_that_of_simulated_batches():
    """1,500 batches of twelve: what is of the shop is drawn once for each batch, the rest for each knife."""
    build, batches, of = aimed(), 1500, 12
    spread = doubts(build, plain(build))
    assert {doubt.of_shop for doubt in spread} == {True, False}
    rng = np.random.default_rng(7)
    shares = rng.random((batches, of, len(spread)))
    for i, doubt in enumerate(spread):
        if doubt.of_shop:
            shares[..., i] = rng.random((batches, 1))
    flat = shares.reshape(-1, len(spread))
    found = drawn(build, {doubt.name: doubt.at(flat[:, i]) for i, doubt in enumerate(spread)})
    force = respond(assemble(found.numbers), (BREAKOUT,)).results[BREAKOUT]
    made = ((force >= 7.5) & (force <= 10.0)).reshape(batches, of).sum(axis=1)
    count = batch(build, 1024, of=BREAKOUT).of(of)
    true = np.bincount(made, minlength=of + 1) / batches
    assert 0.2 < made.mean() / of < 0.95
    assert count.chances @ np.arange(of + 1) == pytest.approx(made.mean(), abs=4 * made.std() / batches**0.5)
    assert np.cumsum(count.chances) == pytest.approx(np.cumsum(true), abs=0.05)
    assert abs(count.middle - np.median(made)) <= 1


def test_without_a_doubt_of_the_shop_knives_of_a_batch_are_independent():
    build = aimed()
    own = [doubt.name for doubt in doubts(build, plain(build)) if not doubt.of_shop]
    made = batch(build, 4096, vary=own, of=BREAKOUT)
    share = made.share().share
    assert 0.05 < share < 0.95
    assert made.of(12).chances == pytest.approx(binom.pmf(np.arange(13), 12, share), abs=0.02)


def test_a_doubt_of_the_shop_alone_makes_all_knives_of_a_batch_alike():
    build = aimed()
    made = batch(build, 1024, vary=["friction.ball_on_tang"], of=BREAKOUT)
    law = made.of(12).chances
    assert law[0] + law[12] == pytest.approx(1.0)
    assert law[12] == pytest.approx(made.share().share, abs=0.02)


def test_a_warning_can_be_counted_too():
    made = batch(aimed(**{"dimple.overclose": "-0.03 mm"}), 1024, of=BREAKOUT)
    share = made.share("stands_proud").share
    law = made.of(10, "stands_proud")
    assert 0.3 < share < 1.0
    assert law.chances @ np.arange(11) / 10 == pytest.approx(share, abs=0.02)


def test_worst_knives_are_builds_whose_curve_says_the_same():
    build = aimed()
    found = batch(build, 256, of=BREAKOUT).worst(BREAKOUT)
    for corner in (found.lowest, found.highest):
        sizes = {name: si for name, si in corner.inputs.items() if name != "bar.calibration"}
        units = {"friction.ball_on_tang": None}
        changes = {name: si if name in units else quantity(si, "m") for name, si in sizes.items()}
        numbers = dict(plain(build.change(changes))) | {"bar.calibration": corner.inputs["bar.calibration"]}
        force = float(respond(assemble(numbers), (BREAKOUT,)).results[BREAKOUT])
        assert corner.value == pytest.approx(force, rel=1e-9)
    assert found.lowest.value < ds.curve(build).results[BREAKOUT] < found.highest.value


def test_no_knife_within_the_bands_is_worse_than_the_worst():
    held = {
        name: {"plus_minus": size, "shape": "uniform"}
        for name, size in (("bar.bend", "0.1 mm"), ("dimple.radial_error", "0.02 mm"), ("ball.protrusion", "0.02 mm"))
    }
    made = batch(aimed(), 2048, vary=held, of=BREAKOUT)
    lowest, highest = made.worst(BREAKOUT)
    force = made[BREAKOUT].m
    assert lowest.value <= force.min()
    assert force.max() <= highest.value
    assert set(lowest.ends) == set(made.inputs)


def test_worst_stiffness_is_at_the_ends_of_its_calibration():
    made = batch(aimed(), 256, vary=["bar.calibration", "friction.ball_on_tang"], of="bar_stiffness")
    own = ds.curve(aimed()).results["bar_stiffness"]
    lowest, highest = made.worst("bar_stiffness")
    assert (lowest.value, highest.value) == pytest.approx((0.9 * own, 1.1 * own))
    assert [name for name, end in lowest.ends.items() if end != "middle"] == ["bar.calibration"]


def test_worst_knives_go_no_farther_than_their_inputs_may():
    """A coat held to 3 um plus or minus 5 um is none at the least, never less than none."""
    coated = aimed(**{"tang.coating": "3 um"})
    made = batch(coated, 256, vary={"tang.coating": {"plus_minus": "5 um"}}, of=BREAKOUT)
    coats = [corner.inputs["tang.coating"] for corner in made.worst(BREAKOUT)]
    assert min(coats) == 0
    assert max(coats) < 8.1e-6


@pytest.mark.slow
def test_held_tolerances_bring_the_share_that_they_say():
    build = aimed(Target(BREAKOUT, 7.0, 12.0))
    made = batch(build, 2048, of=BREAKOUT)
    wanted = made.share().share + 0.1
    held = made.hold(wanted)
    assert held.reached
    assert held.before == pytest.approx(made.share().share, abs=0.02)
    assert set(held.halvings) <= {doubt.name for doubt in made.spread if not doubt.of_shop}
    narrow = tuple(doubt.narrowed(0.5 ** held.halvings.get(doubt.name, 0)) for doubt in made.spread)
    assert {doubt.name: (doubt.low, doubt.high) for doubt in narrow if doubt.name in held.halvings} == held.bands
    rng = np.random.default_rng(8).random((40_000, len(narrow)))
    found = drawn(build, {doubt.name: doubt.at(rng[:, i]) for i, doubt in enumerate(narrow)})
    force = respond(assemble(found.numbers), (BREAKOUT,)).results[BREAKOUT]
    assert np.mean((force >= 7.0) & (force <= 12.0)) == pytest.approx(held.after, abs=0.02)


@pytest.mark.slow
def test_a_dear_tolerance_is_left_alone():
    build = aimed(Target("seat_depth", 0.455, 0.49))
    made = batch(build, 1024, of="seat_depth")
    cheap = made.hold(0.97)
    assert cheap.halvings
    first = max(cheap.halvings, key=cheap.halvings.get)
    dear = made.hold(0.97, {first: 1000.0})
    assert dear.halvings.get(first, 0) <= cheap.halvings[first]


def test_nothing_is_held_where_the_share_is_reached_as_it_is():
    made = batch(aimed(Target(BREAKOUT, 0.1, 400.0)), 256, of=BREAKOUT)
    held = made.hold(0.5)
    assert held.reached
    assert held.halvings == {}
    assert held.before == held.after > 0.99


@pytest.mark.slow
def test_progress_rises_to_its_end():
    told = []
    batch(aimed(), 64, of=BREAKOUT).hold(0.999, progress=lambda done, total: told.append((done, total)))
    done = [step for step, _ in told]
    assert done == sorted(done)
    assert done[-1] == told[-1][1] == max(done)
    assert len(done) > 5


def test_a_share_out_of_reach_is_said_to_be():
    made = batch(aimed(Target(BREAKOUT, 500.0, 600.0)), 256, of=BREAKOUT)
    held = made.hold(0.9)
    assert not held.reached
    assert held.halvings == {}
    assert held.after == 0.0


@pytest.mark.slow
def test_the_best_setting_is_that_of_batches_made_one_by_one():
    build = aimed(Target(BREAKOUT, 9.0, 13.0))
    values = ["1.6 mm", "2 mm", "2.4 mm", "2.8 mm"]
    found = batch(build, 1024, of=BREAKOUT).aim({"bar.bend": values}, progress=no_progress)
    shares = [
        batch(replace(build.change({"bar.bend": bend}), target=build.target), 1024, of=BREAKOUT).share()
        for bend in values
    ]
    best = int(np.argmax([share.share for share in shares]))
    assert found.setting == {"bar.bend": values[best]}
    assert found.after == shares[best]
    assert found.before == batch(build, 1024, of=BREAKOUT).share()
    assert found.shares == pytest.approx([share.share for share in shares], abs=0.05)


@pytest.mark.slow
def test_settings_that_pass_a_limit_are_left_out():
    """A ball so much larger than its hole cracks in the press; the knife's feel does not tell."""
    build = aimed(Target(BREAKOUT, 9.0, 13.0))
    tight, easy = "1.2 mm", build.word("ball.hole_drill")
    assert not ds.limits(build.change({"ball.hole_drill": tight})).within
    settings = {"ball.hole_drill": [tight, easy], "bar.bend": ["2 mm", "2.4 mm"]}
    found = batch(build, 256, of=BREAKOUT).aim(settings, progress=no_progress)
    assert found.shares[0] == pytest.approx(found.shares[1])
    assert found.setting == {"ball.hole_drill": easy, "bar.bend": "2.4 mm"}
    assert found.beyond == 1


def test_where_no_setting_is_better_the_drawing_stays():
    made = batch(aimed(Target(BREAKOUT, 0.1, 400.0)), 256, of=BREAKOUT)
    found = made.aim({"bar.bend": ["2 mm", "2.2 mm"]}, progress=no_progress)
    assert (found.setting, found.before, found.after) == ({}, made.share(), made.share())


def test_a_wanted_change_counts_from_the_drawing_also_where_the_setting_moves():
    wanted = Target(BREAKOUT, change=0.2)
    build = aimed(wanted)
    own = ds.curve(build).results[BREAKOUT]
    found = batch(build, 256, of=BREAKOUT).aim({"bar.bend": ("2 mm", "4 mm", 9)}, progress=no_progress)
    assert found.setting
    assert np.median(found.cloud.results[BREAKOUT]) == pytest.approx(1.2 * own, rel=0.1)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda b: b.of(0), "whole number from 1 to 200"),
        (lambda b: b.of(2.5), "whole number from 1 to 200"),
        (lambda b: b.of(12, "snap"), "no flag or yes-no result"),
        (lambda b: b.worst("breakout"), "no result of this batch"),
        (lambda b: b.hold(1.5), "not a share between 0 and 1"),
        (lambda b: b.hold("most"), "not a share between 0 and 1"),
        (lambda b: b.hold(0.9, {"friction.ball_on_tang": 1.0}), "does not vary from knife to knife"),
        (lambda b: b.hold(0.9, {"dimple.radial_error": 0.0}), "no cost above 0"),
        (lambda b: b.aim({"bar.bent": ["2 mm"]}), "bar.bend"),
        (lambda b: b.aim({"bar.bend": 2}), "is no range and no list of values"),
        (lambda b: b.aim({"bar.bend": ("1 mm", "2 mm", 5000)}), "5,000 settings are too many"),
    ],
)
def test_wrong_questions_get_one_clear_sentence(ask, words):
    made = batch(aimed(), 64, of=BREAKOUT)
    with pytest.raises(InputError, match=words) as caught:
        ask(made)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("ask", [lambda b: b.of(12), lambda b: b.hold(), lambda b: b.aim({"bar.bend": ["2 mm"]})])
def test_without_a_target_nothing_is_inside(ask):
    with pytest.raises(InputError, match="the build has no target"):
        ask(batch(replace(workshop(), target=()), 64, of=BREAKOUT))


def test_bends_are_what_a_bench_can_set():
    (values,) = bends(workshop()).values()
    bend = workshop().si("bar.bend") * 1e3
    sizes = np.array([float(text.removesuffix(" mm")) for text in values])
    assert sizes[0] == pytest.approx(bend / 2, rel=0.1)
    assert sizes[-1] == pytest.approx(2 * bend, rel=0.1)
    assert np.allclose(sizes / 0.05, np.round(sizes / 0.05))
    (inches,) = bends(workshop().change({"units": "inch"})).values()
    assert all(text.endswith(" thou") for text in inches)
    assert bends(workshop().change({"bar.bend": "0 mm"})) == {}


def test_results_of_an_undescribed_blade_are_not_asked_for():
    assert {"falls_shut", "opens_fully", "carry_g"} <= set(results_of(workshop()))
    bare = workshop().change({"blade.mass": None, "blade.inertia": None})
    assert not {"falls_shut", "opens_fully", "carry_g"} & set(results_of(bare))


@pytest.mark.slow
def test_findings_without_a_target_still_have_ranges():
    build = replace(workshop(), target=())
    found = findings(batch(build, 256, of=results_of(build)))
    assert (found.count, found.aimed, found.held) == (None, None, None)
    assert set(found.matters) == set(found.corners) == {BREAKOUT}
    assert found.own[BREAKOUT] == pytest.approx(ds.curve(build).results[BREAKOUT])


def test_no_length_is_to_be_held_closer_than_a_bench_can():
    """A hole's place of +-0.03 mm is halved twice, its oversize of 0 to 0.02 mm once, what is no length three times."""
    most = {one.name: most_halvings(one) for one in doubts(workshop(), plain(workshop()))}
    assert (most["dimple.radial_error"], most["dimple.hole_oversize"], most["bar.calibration"]) == (2, 1, 3)
