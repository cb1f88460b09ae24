"""Advice: amounts against dense scans, what the figure draws, and what is wanted."""

from dataclasses import replace
from html import escape

import numpy as np
import pytest
from helpers.advised import OWN, advised, made
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim, read_aims, wanted_feel
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.proposals import Advice
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.record import plain
from detentsim.knife.target.target import Target
from detentsim.units.errors import InputError

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds

# A change that a ball with little metal left under it can still make.
LITTLE = Target("breakout_force", change=-0.03)


# Amounts


def merit(bench, move, values):
    """Miss, and room both in feel and at the bench, by looking both ways from each value."""
    solved = bench.solve(move.columns(values))
    miss, raised = bench.miss(solved), np.any(bench.raised(solved), axis=-1)
    reaches = (miss == 0) & ~raised
    gaps = values[~reaches]
    ends = np.concatenate([[-np.inf], gaps, [np.inf]])
    at = np.searchsorted(ends, values, side="left")
    far = np.minimum(values - ends[at - 1], ends[at] - values)
    return np.where(raised, np.inf, miss), np.minimum(bench.margin(solved), far / move.near)


def scanned(bench, move):
    """Of 4001 amounts along a move one in eight; every one about the least miss, and wherever an eighth reaches."""
    values = np.linspace(move.low, move.high, 4001)
    values = values[np.abs(values - move.start) > 1e-9 * move.near]
    coarse = values[::8]
    miss, _ = merit(bench, move, coarse)
    close = (miss == 0) | (np.arange(miss.size) == np.argmin(miss))
    near = np.convolve(close, np.ones(3), "same") > 0  # with the neighbours of each
    return values[np.repeat(near, 8)[: values.size] | (np.arange(values.size) % 8 == 0)]


def bests(bench, tried):
    """Best try of each move by its name, all solved together."""
    return {t.moves[0].name: t for t in bench.best_of(tried)}


@pytest.mark.parametrize("name", ["rough", "proud"])
def test_amounts_are_no_worse_than_a_dense_scan(name):
    numbers = plain(made(name))
    bench = Trials(numbers, advised(name).aims)
    looked, tried = 0, [move for move in moves(made(name), numbers) if move.near]
    best = bests(bench, tried)
    for move in tried:
        miss, room = merit(bench, move, scanned(bench, move))
        if not np.any(np.isfinite(miss)):
            continue
        t = best[move.name]
        least = miss.min()
        assert t.miss <= least + 1e-3, move.name
        if least == 0:
            looked += 1
            spacing = (move.high - move.low) / 4000 / move.near  # what the scan itself cannot tell
            found = min(t.margin, t.room, 1.0)
            assert found >= room[miss == 0].max() - 1e-3 - spacing, move.name
    assert looked


@pytest.mark.parametrize("name", ["lighter", "rough"])
def test_what_is_bought_is_no_worse_than_each_of_it(name):
    numbers = plain(made(name))
    bench = Trials(numbers, advised(name).aims)
    looked, tried = 0, [move for move in moves(made(name), numbers) if move.only]
    best = bests(bench, tried)
    for move in tried:
        t = best[move.name]
        each = bench.solve(move.columns(np.array(move.only)))
        sound = bench.miss(each)[~np.any(bench.raised(each), axis=-1)]
        assert t.values[0] in move.only
        if sound.size:
            looked += 1
            assert t.miss == pytest.approx(min(sound), abs=1e-6)
    assert looked


@pytest.mark.parametrize("name", ["two together"])
def test_pairs_are_no_worse_than_a_dense_scan(name):
    numbers = plain(made(name))
    bench = Trials(numbers, advised(name).aims)
    pair = next(p.tried for p in advised(name).proposals if len(p.names) == 2)
    one, other = pair.moves
    x, y = (np.linspace(move.low, move.high, 121) for move in (one, other))
    xs, ys = (grid.ravel() for grid in np.meshgrid(x, y, indexing="ij"))
    solved = bench.solve(one.columns(xs) | other.columns(ys))
    miss, raised = bench.miss(solved), np.any(bench.raised(solved), axis=-1)
    reaches = ((miss == 0) & ~raised).reshape(121, 121)
    assert pair.miss <= np.where(raised, np.inf, miss).min() + 1e-3
    best = 0.0
    for i, j in zip(*np.nonzero(reaches), strict=True):
        rooms = []
        for values, line, at, move in ((x, reaches[:, j], i, one), (y, reaches[i], j, other)):
            gaps = values[~line]
            rooms.append(np.min(np.abs(values[at] - gaps)) / move.near if gaps.size else np.inf)
        best = max(best, min(bench.margin(solved).reshape(121, 121)[i, j], *rooms))
    assert min(pair.margin, pair.room) >= best - 0.15  # the scan's own steps are an eighth of what a bench misses by


def test_a_small_amount_is_not_overlooked():
    """What is wanted lies between the build and the first amount that is tried."""
    own = float(ds.curve(workshop()).breakout_force.m)
    aim = Aim("breakout_force", own - 0.06, own - 0.03, None, 0.1 * own)
    bench = Trials(plain(workshop()), (aim,))
    found = bests(bench, moves(workshop(), plain(workshop())))
    assert found["bend out"].miss == 0
    assert found["washer thicker"].miss == 0
    assert np.isfinite(found["bend out"].room)


def test_a_move_ends_where_it_is_told_and_takes_its_words_along():
    best = advised("bent too little").best
    assert best.names == ("bend in",)
    (value,) = best.tried.values
    assert f"to {value * 1e3:.2f} mm" in best.words[0]
    assert best.changes["bar.bend"].startswith(f"{value * 1e3:.6g}"[:4])


def test_room_is_what_may_be_missed():
    """Ending off by the room still reaches; by more than it, it does not."""
    a = advised("bent too little")
    bench, (move,) = Trials(plain(a.build), a.aims), a.best.tried.moves
    (value,), far = a.best.tried.values, a.best.room * move.near
    off = np.array([value - far, value + far, value - 1.1 * far - 1e-6, value + 1.1 * far + 1e-6])
    miss = bench.miss(bench.solve(move.columns(off)))
    assert miss[0] == miss[1] == 0
    assert max(miss[2:]) > 0


# What the figure draws


def test_the_fields_inputs_are_those_of_the_chief_moves():
    for name in ("lighter", "bent too little", "rough", "right", "proud"):
        a = advised(name)
        assert len(a.chief) == 2
        assert a.field is not None
        assert tuple(axis.name for axis in a.field.axes) == tuple(move.field for move in a.chief)
        for axis, move in zip(a.field.axes, a.chief, strict=True):
            assert INPUT_OF[axis.unit] * axis.values[0] <= move.start <= INPUT_OF[axis.unit] * axis.values[-1]
        assert all(aim.name in a.field.results for aim in a.aims)


INPUT_OF = {"mm": 1e-3, "": 1.0, "N*mm": 1e-3}


def test_a_map_of_truths_alone_shows_the_breakout_too():
    aim = Aim("falls_shut", -np.inf, np.inf, True, 1.0)
    a = Advice(workshop(), (aim,), True, {}, (), (), ())
    assert set(a.field.results) == {"breakout_force", "falls_shut"}


def test_advice_is_shown_in_a_notebook():
    assert "leave it alone" in repr(advised("right"))
    assert escape(advised("lighter").best.words[0]) in advised("lighter")._repr_html_()


def test_nothing_wanted_and_no_build_are_told_in_one_sentence():
    with pytest.raises(InputError, match=r"^target: is missing; write \[target\] with breakout_force"):
        advise(replace(workshop(), target=()))
    with pytest.raises(InputError):
        advise("garden.toml")


def test_side_effects_do_not_count_what_nobody_knows():
    """Without a blade's mass nothing is told of falling shut, before or after."""
    build = workshop().change({"blade.mass": None, "blade.balance_radius": None})
    bench = Trials(plain(build), (Aim("breakout_force", 8.0, 9.0, None, 1.0),))
    assert float(bench.side_effects(bench.base)[0]) == 0
    assert OWN[1] == Target("falls_shut", truth=True)
    assert RESULTS["falls_shut"].is_truth


# What is wanted


def test_a_band_is_missed_in_tenths_of_the_builds_own_value():
    (aim,) = read_aims((Target("breakout_force", 9.0, 13.0),), {"breakout_force": 20.0})
    assert (aim.low, aim.high, aim.step) == (9.0, 13.0, 2.0)
    assert aim.miss(np.array([5.0, 9.0, 11.0, 13.0, 20.0, np.nan])) == pytest.approx([2, 0, 0, 0, 3.5, 20])
    assert aim.margin(np.array([5.0, 9.0, 10.0, 11.0, 12.5, np.nan])) == pytest.approx([0, 0, 0.5, 1, 0.25, 0])


def test_a_step_is_a_tenth_of_the_band_where_the_build_has_less_or_nothing():
    for own in ({"breakout_force": 2.0}, {}):
        (aim,) = read_aims((Target("breakout_force", 9.0, 13.0),), own)
        assert aim.step == pytest.approx(1.3)
    (open_end,) = read_aims((Target("drag_force", None, 1.0),), {"drag_force": 2.0})
    assert open_end.margin(np.array([-1e9, 0.9])) == pytest.approx([1, 0.5])


@pytest.mark.parametrize(
    ("change", "low", "high"), [(-0.2, 7.5, 8.5), (0.2, 11.5, 12.5), (0.05, 10.25, 10.75), (-0.01, 9.8, 10.0)]
)
def test_a_change_is_a_band_about_it_that_does_not_reach_back_to_no_change(change, low, high):
    (aim,) = read_aims((Target("breakout_force", change=change),), {"breakout_force": 10.0})
    assert (aim.low, aim.high) == (pytest.approx(low), pytest.approx(high))


def test_a_change_of_what_a_build_has_not_is_refused():
    with pytest.raises(InputError, match=r"target.lash: asks for a change of -20 %, but this build has no lash"):
        read_aims((Target("lash", change=-0.2),), {"lash": np.nan})


def test_nothing_at_all_is_well_inside_what_may_be_at_most_nothing():
    (aim,) = read_aims((Target("rest_angle", None, 0.0),), {"rest_angle": 0.3})
    assert aim.margin(np.array([0.0, 0.1])) == pytest.approx([1, 0])
    best = advised("proud").best
    assert best.names == ("stop pin",)
    assert best.room > 0.9
    assert 23 < best.results["draw_torque"] < 37


def test_truths_are_met_or_not():
    (aim,) = read_aims((Target("falls_shut", truth=False),), {"falls_shut": 1.0})
    assert aim.miss(np.array([0.0, 1.0, np.nan])) == pytest.approx([0, 5, 20])
    assert aim.words == "falls shut: no"


def test_wants_count_in_steps_that_a_hand_feels():
    own = {"breakout_force": 10.0, "falls_shut": 1.0}
    one, falls = wanted_feel("lighter", own)
    assert falls.truth is True
    assert one.low == pytest.approx(10 / 1.1 / 1.05)
    assert one.high == pytest.approx(10 / 1.1 * 1.05)
    assert one.high < 10
    for words, goal in (("stiffer", 11.0), ("stiffer 3", 13.31), ("lighter 2", 10 / 1.21)):
        aim = wanted_feel(words, own)[0]
        assert aim.low < goal < aim.high
        assert np.sqrt(aim.low * aim.high) == pytest.approx(goal)
    assert len(wanted_feel("lighter", {"breakout_force": 10.0, "falls_shut": 0.0})) == 1
    assert len(wanted_feel("lighter", {"breakout_force": 10.0, "falls_shut": np.nan})) == 1


def test_too_stiff_looks_at_the_top_of_the_target_and_too_light_at_its_bottom():
    """Past that end the target itself is wanted; inside, or with that end open, a hand-step."""
    band = (Target("breakout_force", 9.0, 13.0),)
    stiff = {"breakout_force": 15.0, "falls_shut": 1.0}
    (aim, falls), (light, _) = wanted_feel("too hard to open", stiff, band), wanted_feel("lighter", stiff)
    assert (aim.low, aim.high, falls.truth) == (9.0, 13.0, True)
    assert wanted_feel("too light", {"breakout_force": 8.0}, band)[0].low == 9.0
    for own, target in (
        (stiff, ()),
        (stiff, (Target("breakout_force", 9.0),)),
        (stiff, (Target("falls_shut", truth=True),)),
    ):
        assert wanted_feel("Too stiff", own, target)[0] == light
    assert wanted_feel("too light", stiff, band)[0] == wanted_feel("stiffer", stiff)[0]
    (aim,) = wanted_feel("too stiff", {"breakout_force": 11.0}, band)
    assert aim.high < 11.0


@pytest.mark.parametrize("words", ["", "softer", "lighter 0", "lighter 10", "lighter two", "lighter stiffer", "a b c"])
def test_words_that_are_no_want_are_refused_with_an_example(words):
    with pytest.raises(InputError, match=r'--want: ".*" is not understood; give "lighter" or "stiffer", alone'):
        wanted_feel(words, {"breakout_force": 10.0})


def test_a_build_without_breakout_cannot_be_made_lighter():
    with pytest.raises(InputError, match="this build has no breakout force"):
        advise(workshop().change({"bar.bend": "-3 mm"}), "lighter")


@pytest.mark.parametrize(("targets", "want", "enough"), [((), "lighter", False), ((LITTLE,), None, True)])
def test_a_shallow_hole_bounds_how_deep_the_ball_is_pressed(targets, want, enough):
    """A hole 1.0 mm deep under a ball of 1.5875 mm: pressed to its floor, the ball stands 0.5875 mm proud."""
    build = replace(workshop().change({"ball.hole_depth": "1.0 mm"}), target=targets)
    a = advise(build, want)
    after = [build.change(p.changes) for p in a.proposals]  # a hole too shallow for its ball is refused here
    proud = [b.si("ball.protrusion") for b in after if b["ball.hole_depth"] is not None]
    assert min(proud) >= build.si("ball.diameter") - 1.0e-3 - 1e-12
    assert (("press the ball deeper",) in [p.names for p in a.proposals if p.reaches]) is enough


def test_what_is_wanted_in_words():
    aims = read_aims(made("two together").target, {})
    assert aims[0].words == "breakout 15 to 17 N"
    assert read_aims((Target("breakout_to_drag", 4.0),), {})[0].words == "breakout over drag at least 4"
