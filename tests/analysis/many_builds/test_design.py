"""Proposed designs: against brute force, put back into a build, and their share inside by sampling of its own."""

import math
from functools import cache

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.many_builds.design.choices import BOUGHT, FREE, LARGER, PILOTS, RIMS, SET
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn, plain
from detentsim.mechanics.response import respond
from detentsim.shop.drills import drills

GARDEN = garden().change({"stock": "both"})
ONE_BAR = ("ball.diameter", "bar.thickness", "bar.relief_length")
INF = math.inf


@pytest.fixture(scope="module")
def found():
    return ds.design(GARDEN)


def wanted(name, low=-INF, high=INF, truth=None):
    return Aim(name, low, high, truth, 1.0)


def inside_by_chance(build, points=3000):
    """Share of knives with a breakout between 9 and 13 N and nothing unsound, at random points."""
    rng = np.random.default_rng(11)
    values = {doubt.name: doubt.at(rng.random(points)) for doubt in doubts(build, plain(build))}
    knives = respond(assemble(drawn(build, values).numbers), ("breakout_force",))
    force = knives.results["breakout_force"]
    sound = ~np.any([knives.flags[flag] for flag in UNSOUND], axis=0)
    return np.mean(sound & (force >= 9) & (force <= 13))


@pytest.mark.slow
def test_every_proposal_meets_the_target_with_the_results_it_promises(found):
    assert len(found) >= 10
    assert found.words == ""
    for p in found.proposals[:10]:
        c = ds.curve(GARDEN.change(p.changes))
        assert [verdict.met for verdict in c.verdicts] == [True]
        assert not set(c.flags) & set(UNSOUND)
        assert set(c.flags) == set(p.flags)
        for name, value in c.results.items():
            assert p.results[name] == (None if value is None else pytest.approx(value, rel=1e-6, abs=1e-9)), name


@pytest.mark.slow
def test_every_proposal_meets_the_target_by_its_own_results(found):
    for p in found.proposals:
        assert 9 <= p.results["breakout_force"] <= 13
        assert 0 <= p.margin <= 1
        assert 0 <= p.inside <= 1
        assert p.metres["bar.bend"] >= 0
        assert GARDEN.si("ball.protrusion") < p.metres["ball.diameter"] / 2


@pytest.mark.slow
def test_proposals_are_ranked_by_share_inside_and_none_is_a_near_copy(found):
    shares = [round(100 * p.inside) for p in found.proposals]
    assert shares == sorted(shares, reverse=True)
    kinds = [(p.sizes["ball.diameter"], p.sizes["dimple.pilot_drill"]) for p in found.proposals]
    assert len(set(kinds)) == len(kinds)
    assert len({ball for ball, _ in kinds}) >= 3


@pytest.mark.slow
def test_sizes_are_bought_by_their_names_or_set_to_a_hundredth(found):
    names = {drill.name for drill in drills()}
    for p in found.proposals:
        assert {p.sizes["dimple.pilot_drill"], p.sizes["dimple.rim_drill"]} <= names | {"none"}
        for name in SET:
            if name in p.sizes:
                hundredths = 1e5 * p.metres[name]
                assert hundredths == pytest.approx(round(hundredths), abs=1e-6)
        low, high = (share * p.metres["ball.diameter"] for share in PILOTS)
        assert low - 1e-9 <= p.metres["dimple.pilot_drill"] <= high + 1e-9


@pytest.mark.slow
@pytest.mark.parametrize("place", [0, 1, 4, 9])
def test_inside_is_the_share_of_a_batch_and_of_knives_drawn_at_random(found, place):
    p = found.proposals[place]
    assert p.inside == ds.batch(p.build, 256).share().share
    assert p.inside == pytest.approx(inside_by_chance(p.build), abs=0.04)


@pytest.mark.slow
def test_the_build_itself_has_fewer_inside(found):
    bent = GARDEN.change({"bar.bend": "1.4 mm"})
    assert found.best.inside > inside_by_chance(bent) + 0.1


@pytest.mark.slow
def test_choices_are_those_of_brute_force():
    build = GARDEN.change({"bar.bend": "1.4 mm"})
    found = ds.design(build, (*ONE_BAR, *SET))
    ball = build.si("ball.diameter")
    sizes = {round(drill.diameter, 9): drill.name for drill in reversed(drills())}
    pilots = [si for si in sorted(sizes) if PILOTS[0] * ball <= si <= PILOTS[1] * ball]
    rims = [si for si in sorted(sizes) if pilots[0] < si <= ball + 1e-9]
    vary = {"dimple.pilot_drill": [sizes[si] for si in pilots], "dimple.rim_drill": [sizes[si] for si in rims]}
    s = ds.sweep(build, vary, ["breakout_force"])
    force = s.results["breakout_force"]
    good = (force >= 9) & (force <= 13) & ~s.excluded & ~np.any([s.flags[flag] for flag in UNSOUND], axis=0)
    right = set()
    for i, pilot in enumerate(pilots):
        nearest = [j for j, rim in enumerate(rims) if rim >= LARGER * pilot - 1e-9][:RIMS]
        if np.any(good[i, nearest]):
            right.add(sizes[pilot])
    assert 0 < len(right) < len(pilots)
    assert {p.sizes["dimple.pilot_drill"] for p in found.proposals} == right
    assert all(p.sizes[name] == build.word(name) for p in found.proposals for name in ONE_BAR)


@pytest.mark.slow
def test_what_is_set_has_as_many_inside_as_brute_force_finds():
    found = ds.design(GARDEN, (*BOUGHT, "bar.relief_thickness"))
    vary = {"bar.bend": ("0.8 mm", "2 mm", 13), "dimple.rim_feed": ("0.01 mm", "0.2 mm", 12)}
    s = ds.sweep(GARDEN, vary, ["breakout_force"])
    force = s.results["breakout_force"]
    good = (force >= 9) & (force <= 13) & ~np.any([s.flags[flag] for flag in UNSOUND], axis=0)
    shares = [inside_by_chance(s.build_at(*place), 400) for place in np.argwhere(good)]
    assert len(shares) > 5
    assert found.best.inside >= max(shares) - 0.06


@pytest.mark.slow
def test_fixed_inputs_stay():
    fixed = ("dimple.pilot_drill", "bar.bend", "bar.thickness")
    found = ds.design(GARDEN, fixed)
    assert set(found.fixed) == set(fixed)
    assert set(found.free) == set(FREE) - set(fixed)
    assert found.proposals
    for p in found.proposals:
        assert not set(fixed) & set(p.changes)
        assert all(p.build.si(name) == GARDEN.si(name) for name in fixed)


def test_with_all_fixed_it_is_the_build_or_nothing():
    good = GARDEN.change({"bar.bend": "1.4 mm"})
    (only,) = ds.design(good, FREE).proposals
    assert only.changes == {}
    none = ds.design(GARDEN.change({"bar.bend": "1 mm"}), FREE)
    assert none.best is None
    assert "breakout 9 to 13 N" in none.words


@pytest.mark.slow
@pytest.mark.parametrize("name", ["opener.radius", "bar.width"])
def test_ranking_is_stable_under_small_changes_of_the_build(name):
    _base, other, first = moved_a_little(name)
    shares = {p.sizes["dimple.pilot_drill"]: p.inside for p in other.proposals}
    assert shares[first] >= other.best.inside - 0.08


@pytest.mark.slow
@pytest.mark.parametrize("name", ["opener.radius", "bar.width"])
def test_the_best_share_is_stable_under_small_changes_of_the_build(name):
    base, other, _ = moved_a_little(name)
    assert other.best.inside == pytest.approx(base.best.inside, abs=0.05)


@cache
def with_one_bar(name=""):
    """Design of the garden build as it is, or with one size 1 % larger."""
    build = GARDEN.change({name: f"{1010 * GARDEN.si(name)} mm"}) if name else GARDEN
    return ds.design(build, (*ONE_BAR, "bar.relief_thickness"))


def moved_a_little(name):
    """Design of the garden build and of one with a size 1 % larger, and the first drill of the former's best."""
    base, other = with_one_bar(), with_one_bar(name)
    return base, other, base.best.sizes["dimple.pilot_drill"]


def test_out_of_reach_is_said_in_words():
    fixed = (*ONE_BAR, "bar.relief_thickness")
    far = ds.design(GARDEN, fixed, (wanted("breakout_force", 300),))
    assert far.best is None
    assert far.words.startswith("No sound design gives breakout at least 300 N; the nearest gives ")


def test_a_target_that_contradicts_itself_is_said_in_words():
    aims = (wanted("breakout_force", high=4), wanted("seated_force", 8))
    found = ds.design(GARDEN, ONE_BAR, aims)
    assert found.proposals == ()
    assert found.words == "Breakout force and seated force can each be met, but no sound design meets both."


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"ball.protrusion": "1.3 mm"}, "half the ball or more stands out of its hole"),
        ({"dimple.overclose": "-0.05 mm"}, "The blade rests proud of its closed stop"),
    ],
)
def test_a_build_that_nothing_helps_is_told_why(changes, words):
    found = ds.design(GARDEN.change(changes), ("bar.thickness", "bar.relief_length", "dimple.rim_feed"))
    assert found.best is None
    assert words in found.words


@pytest.mark.slow
def test_motion_is_a_target_too():
    falls = (wanted("breakout_force", 2, 5), wanted("falls_shut", truth=True))
    found = ds.design(GARDEN, ONE_BAR, falls)
    assert found.proposals
    assert all(p.results["falls_shut"] is True and 2 <= p.results["breakout_force"] <= 5 for p in found.proposals)
    bare = GARDEN.change(dict.fromkeys(("blade.mass", "blade.balance_radius", "blade.inertia")))
    unknown = ds.design(bare, ONE_BAR, falls)
    assert unknown.best is None
    assert "mass" in unknown.words


def test_a_measured_bar_keeps_its_calibration():
    build = GARDEN.change({"bar.stiffness": "9 N/mm"})
    p = ds.design(build, (*ONE_BAR, "dimple.pilot_drill")).best
    assert p.changes["bar.stiffness"] is None
    assert p.changes["bar.calibration"] == pytest.approx(float(np.asarray(plain(build)["bar.calibration"])))
    assert ds.curve(build.change(p.changes)).results["breakout_force"] == pytest.approx(p.results["breakout_force"])


@pytest.mark.slow
def test_a_loose_ball_height_gives_way_to_a_feed():
    build = GARDEN.change({"dimple.rim_feed": None, "dimple.loose_ball_height": "1.05 mm"})
    for fixed in ((), ("dimple.rim_feed",)):
        found = ds.design(build, (*ONE_BAR, "dimple.pilot_drill", "dimple.rim_drill", *fixed))
        assert found.best.changes["dimple.loose_ball_height"] is None
        assert "dimple.rim_feed" in found.best.changes
    assert found.best.metres["dimple.rim_feed"] == pytest.approx(float(np.asarray(plain(build)["dimple.rim_feed"])))


def test_a_bar_of_one_thickness_is_cut_from_another_slab():
    plain_bar = {"bar.relief_thickness": None, "bar.relief_length": None, "bar.thickness": "1.2 mm", "bar.bend": "4 mm"}
    found = ds.design(GARDEN.change(plain_bar), ("ball.diameter", "dimple.pilot_drill"))
    assert found.best is not None
    assert not {"bar.relief_thickness", "bar.relief_length"} & set(found.best.sizes)
