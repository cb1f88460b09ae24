"""Comparisons: distances in hand-steps, targets, and questions that cannot be answered."""

import re

import numpy as np
import pytest
from helpers.gauged import DEEP, PROUD, gauge
from helpers.gauges import readings, table
from helpers.words import check_words

import detentsim as ds
from detentsim.analysis.hand_steps import FLOOR, distance, hand_steps, steps_between
from detentsim.analysis.in_hand.compare.compare import MOST
from detentsim.knife.measured.measured import Measured
from detentsim.knife.target.target import FELT
from detentsim.show.in_hand.compare.data_files import compare_document
from detentsim.show.in_hand.compare.page import compare_figure
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.show.theme.tables import to_json

# ---------------------------------------------------------------- hand-steps


def random_pair(seed):
    made = np.random.default_rng(seed)
    x = np.sort(made.uniform(0, 9, 30))
    return x, made.uniform(0.3, 12, 30), made.uniform(0.3, 12, 30)


@pytest.mark.parametrize("seed", range(5))
def test_distance_is_one(seed):
    x, one, other = random_pair(seed)
    assert hand_steps(x, one, one) == 0
    assert hand_steps(x, one, other) == pytest.approx(hand_steps(x, other, one), rel=1e-12)
    third = random_pair(seed + 100)[1]
    assert hand_steps(x, one, other) <= hand_steps(x, one, third) + hand_steps(x, third, other) + 1e-12
    for steps in (-2, 1, 3):
        assert hand_steps(x, 10 * one, 10 * one * (1 + FELT) ** steps) == pytest.approx(abs(steps), rel=1e-12)
    assert hand_steps(2 * x, one, other) == pytest.approx(hand_steps(x, one, other), rel=1e-12)


def test_below_the_floor_nothing_is_felt():
    assert hand_steps([0, 1], [0.0, 0.1], [FLOOR, -3.0]) == 0
    assert steps_between(0.0, FLOOR * (1 + FELT)) == pytest.approx(1)


def test_a_build_beside_itself(demo):
    c = ds.compare(demo, demo)
    assert c.distances[1].steps == 0
    assert c.distances[1].within == 1
    assert all(d.change == 0 for d in c.differences[1].values())
    assert c.breakout_steps == (0.0, 0.0)
    assert [feel.name for feel in c.items] == [demo.name, f"{demo.name} 2"]


def test_a_longer_opener_is_lighter_throughout(demo):
    # the lever is in every force alike: one tenth shorter is one step heavier at every angle
    longer = demo.change({"opener.radius": f"{demo.si('opener.radius') * 1.1 * 1e3!r} mm"})
    c = ds.compare(longer, demo)
    assert c.distances[1].steps == pytest.approx(1, rel=1e-6)
    assert c.breakout_steps[1] == pytest.approx(1, rel=1e-9)
    assert c.differences[1]["breakout_force"].part == pytest.approx(0.1, rel=1e-9)
    assert c.differences[1]["drag_force"].part == pytest.approx(0.1, rel=1e-9)
    assert c.differences[1]["let_go_angle"].change == 0
    assert c.differences[1]["breakout_energy"].change == pytest.approx(0, abs=1e-12)


@pytest.mark.slow
def test_a_known_change_differs_by_the_known_amount(demo, light):
    one, two = (ds.curve(build).results for build in (demo, light))
    for other in (light, gauge(light, 4, 0.05, peak=True)):
        found = ds.compare(demo, other).differences[1]
        near = 0 if other is light else 0.12
        for name in ("breakout_force", "breakout_energy", "let_go_angle", "breakout_force_angle"):
            assert found[name].change == pytest.approx(two[name] - one[name], rel=1e-9, abs=near + 1e-12), name
    assert found["breakout_force"].clear
    found = ds.compare(demo, light).differences[1]
    assert found["draw_torque"].change == pytest.approx(two["draw_torque"] - one["draw_torque"])
    assert found["breakout_force"].clear is None


@pytest.mark.slow
def test_a_difference_within_the_scatter_is_doubtful(demo):
    made = [readings(demo, noise=0.1, factor=f, seed=i) for i, f in enumerate((0.9, 1.0, 1.12))]
    found = ds.compare(demo, Measured.from_text(table(made))).differences[1]
    assert found["breakout_force"].clear is False
    assert "(?)" in compare_report(ds.compare(demo, Measured.from_text(table(made))))


def test_a_measured_knife_feels_like_its_build(demo):
    c = ds.compare(demo, gauge(demo))
    assert 0 < c.distances[1].steps < 0.5
    assert c.distances[1].start == pytest.approx(0.29, abs=0.05)
    assert c.distances[1].end == pytest.approx(5.98, abs=0.2)


@pytest.mark.slow
@pytest.mark.parametrize("change", [{"bar.bend": "-1 mm"}, {"friction.ball_on_tang": 1.2}, {"bar.bend": "0 mm"}])
def test_knives_that_fail_are_compared_as_far_as_they_go(demo, change):
    c = ds.compare(demo, demo.change(change))
    text = compare_report(c)
    assert not re.search(r"\b(nan|inf|None)\b", text)
    to_json(compare_document(c))
    assert c.items[1].curve.flags
    told = " ".join(text.split())
    summary = c.items[1].curve.summary
    assert f"2. {summary.words} {summary.bad[0].words}" in told
    assert not summary.sound
    figure = compare_figure(c)
    check_words(figure)


@pytest.mark.slow
def test_angles_from_the_earlier_breakout_to_the_later_let_go(demo):
    one, two = (ds.curve(build).results for build in (demo, demo.change(PROUD)))
    for c in (ds.compare(demo, demo.change(PROUD)), ds.compare(demo.change(PROUD), demo)):
        found = c.distances[1]
        assert found.start == pytest.approx(
            max(min(one["breakout_force_angle"], two["breakout_force_angle"]), two["rest_angle"])
        )
        assert found.end == pytest.approx(max(one["let_go_angle"], two["let_go_angle"]))
    deep = ds.compare(demo, demo.change(DEEP)).distances[1]
    assert deep.start == pytest.approx(one["breakout_force_angle"])


def test_runs_that_share_no_angles(demo):
    runs = [readings(demo, 200, 0.05, last=12.0), (np.linspace(40, 50, 30), np.full(30, 0.7))]
    c = ds.compare(demo, Measured.from_text(table(runs)))
    assert c.distances[1].why == "one of them has no force to compare"
    assert "no distance to 1" in compare_report(c)
    far = Measured.from_text(table(runs[1:]))
    assert ds.compare(demo, far).distances[1].why == "they share no angles between breakout and let-go"


# ---------------------------------------------------------------- targets


@pytest.mark.slow
def test_target_curve(demo, light):
    wanted = gauge(light, 2, 0.02, peak=True)
    c = ds.compare(demo, light, target=wanted)
    assert c.to_target[1].steps < 0.4 < 3 < c.to_target[0].steps
    assert c.to_target[1].within > 0.95 > 0.05 > c.to_target[0].within
    text = " ".join(compare_report(c).split())
    assert f"Nearest to it is 2, {demo.name} 2." in text
    assert "The target curve breaks" in text
    assert "wanted 9 to 13 N. Meet one or the other." in text
    angle, low, high = c.step_band
    assert high / low == pytest.approx(np.full(angle.size, (1 + FELT) ** 2))
    between = distance(*(item.opening for item in c.items)).steps
    assert ds.compare(demo, target=light).to_target[0].steps == pytest.approx(between)
    assert ds.compare(demo, target=gauge(demo, 2, 0.02, peak=True)).contradictions == ()


def test_bands_are_held_against_every_item(demo, light):
    c = ds.compare(gauge(light), demo)
    assert [v.met for v in c.verdicts[0]] == [False]
    assert [v.met for v in c.verdicts[1]] == [True, True]


def test_a_wanted_change_is_counted_from_its_build(demo):
    text = re.sub(r"\[target\][^\[]*", '[target]\nbreakout_force = { change = "-20 %" }\n', demo.text)
    build = ds.Build.loads(text)
    own = ds.curve(build).results["breakout_force"]
    c = ds.compare(build, build.change({"opener.radius": f"{1.25 * build.si('opener.radius') * 1e3!r} mm"}))
    assert c.verdicts[0] == ()
    assert c.verdicts[1][0].met
    assert c.items[1].values["breakout_force"] == pytest.approx(0.8 * own)
    assert c.bands[0].change == -0.2


# ---------------------------------------------------------------- asking badly


@pytest.mark.parametrize(
    ("items", "more", "word"),
    [
        (0, {}, "needs two items at least"),
        (1, {}, "needs two items at least"),
        (MOST + 1, {}, f"give {MOST} at most"),
        (2, {"names": ["one"]}, "must name each of the 2 items"),
        (2, {"names": "ab"}, "must name each of the 2 items"),
        (2, {"target": "pull.csv"}, '"pull.csv" is no build and no measured curve'),
    ],
)
def test_bad_questions(demo, items, more, word):
    with pytest.raises(ds.InputError, match=re.escape(word)):
        ds.compare(*[demo] * items, **more)


def test_a_path_is_no_curve(demo):
    with pytest.raises(ds.InputError, match="read one with ds"):
        ds.compare(demo, "pull.csv")
