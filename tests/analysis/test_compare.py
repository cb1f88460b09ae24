"""Comparisons: known feels given back by made-up gauges, distances in hand-steps, targets, figures and text."""

import dataclasses
import json
import re

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.gauges import readings, table, true_curve
from helpers.words import check_words
from matplotlib.figure import Figure
from scipy.signal import savgol_filter

import detentsim as ds
from detentsim.analysis.in_hand.compare.distance import FLOOR, MOST, distance, hand_steps, steps_between
from detentsim.analysis.in_hand.compare.feel_curves import feel_of_build, feel_of_measured
from detentsim.analysis.in_hand.compare.quantities import DRAG, UNITS
from detentsim.analysis.in_hand.compare.readings import local_fit, noise_of, read_run, smooth
from detentsim.knife.measured.measured import Measured
from detentsim.knife.target.target import FELT
from detentsim.show.in_hand.compare.data_files import compare_csv, compare_document
from detentsim.show.in_hand.compare.overlays import MARKERS, compare_figure, overlay
from detentsim.show.in_hand.compare.overlays import hand_steps as draw_steps
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.show.theme.tables import to_json
from detentsim.units.numbers import two
from detentsim.units.systems import INCH

LIGHT, DEEP, PROUD = {"bar.bend": "1.4 mm"}, {"dimple.rim_feed": "0.16 mm"}, {"dimple.overclose": "-0.05 mm"}
BUILDS = {"demo": {}, "light": LIGHT, "deep": DEEP, "proud": PROUD}


@pytest.fixture(scope="module")
def demo():
    return workshop()


@pytest.fixture(scope="module")
def light(demo):
    return demo.change(LIGHT)


def gauge(build, runs=3, noise=0.15, unit="N", seed=1, **more):
    made = [readings(build, noise=noise, seed=seed + i, **more) for i in range(runs)]
    return Measured.from_text(table(made, unit), "on the bench")


# ---------------------------------------------------------------- what is read off a measured curve


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_a_gauge_without_noise_gives_the_curve_back(demo, name):
    build = demo.change(BUILDS[name])
    exact = ds.curve(build).results
    feel = feel_of_measured(gauge(build, 1, 0.0, peak=True), "m", ds.curve(build).response.load.record)
    assert feel.values["breakout_force"] == pytest.approx(exact["breakout_force"], rel=1e-6)
    assert feel.values["breakout_force_angle"] == pytest.approx(exact["breakout_force_angle"], abs=1e-6)
    # by a flank taken for a parabola: off by a part of the way out of the dimple, most where it is most curved
    assert feel.values["let_go_angle"] == pytest.approx(exact["let_go_angle"], abs=0.35 if name == "deep" else 0.08)
    assert feel.values["breakout_energy"] == pytest.approx(exact["breakout_energy"], rel=0.03)
    assert feel.values[DRAG] == pytest.approx(feel_of_build(build, "b").values[DRAG], rel=0.01)
    assert feel.scatter == {}


@pytest.mark.slow
@pytest.mark.parametrize(("name", "unit"), [("demo", "N"), ("light", "lbf"), ("deep", "ozf"), ("proud", "gf")])
def test_noise_unevenness_runs_and_units_give_the_known_breakout(demo, name, unit):
    build, noise = demo.change(BUILDS[name]), 0.15
    exact = ds.curve(build).results
    feel = feel_of_measured(gauge(build, 5, noise, unit, peak=True), "m")
    assert feel.noise == pytest.approx(noise, rel=0.15)
    # the mean of five within the noise of one
    assert feel.values["breakout_force"] == pytest.approx(exact["breakout_force"], abs=1.5 * noise)
    assert feel.values["let_go_angle"] == pytest.approx(exact["let_go_angle"], abs=0.4)
    assert 0.0 < feel.scatter["breakout_force"] < 2.5 * noise
    assert feel.values[DRAG] == pytest.approx(feel_of_build(build, "b").values[DRAG], abs=0.03)


def test_units_change_nothing(demo):
    values = [feel_of_measured(gauge(demo, 2, unit=unit), "m").values for unit in ("N", "lbf", "ozf", "gf")]
    for other in values[1:]:
        assert {k: v for k, v in other.items() if v} == pytest.approx(
            {k: v for k, v in values[0].items() if v}, rel=1e-5
        )


def test_scatter_over_runs_is_that_of_the_runs(demo):
    factors = (0.9, 1.0, 1.1)
    made = [readings(demo, noise=0.0, factor=f, peak=True) for f in factors]
    feel = feel_of_measured(Measured.from_text(table(made)), "m")
    exact = ds.curve(demo).results["breakout_force"]
    assert feel.values["breakout_force"] == pytest.approx(exact, rel=1e-6)
    assert feel.scatter["breakout_force"] == pytest.approx(0.1 * exact, rel=1e-6)
    assert feel.count == 3


def test_without_noise_nothing_is_smoothed(demo):
    x, y = true_curve(demo)
    kept = np.flatnonzero(np.diff(x, prepend=-1) > 0)
    even = np.linspace(0, 12, 400)
    level = smooth(even, 3 - 0.2 * even)
    assert level.widest == 1
    exact = smooth(x[kept], y[kept])
    assert np.abs(exact.force - y[kept]).max() < 5 * exact.noise < 0.05


def test_local_fit_on_even_spacing_is_the_known_filter():
    x = np.linspace(0, 10, 61)
    y = np.sin(x) + np.random.default_rng(2).normal(0, 0.1, x.size)
    value, error = local_fit(x, y, 9)
    assert value == pytest.approx(savgol_filter(y, 9, 2, mode="interp"), abs=1e-12)
    # the weight of its own reading is the variance that is left of a filter that projects
    assert error[30] == pytest.approx(np.sqrt(savgol_filter(np.eye(9)[4], 9, 2, mode="interp")[4]), abs=1e-12)


def test_smoothing_takes_less_off_a_sharp_breakout_than_a_fixed_filter_does(demo):
    angle, force = true_curve(demo)
    x = np.linspace(0, 12, 301)
    y = np.interp(x, angle, force)
    ours, fixed = [], []
    for seed in range(20):
        noisy = y + np.random.default_rng(seed).normal(0, 0.15, x.size)
        for found, kept in ((smooth(x, noisy).force, ours), (savgol_filter(noisy, 25, 2), fixed)):
            kept.append((found.max() / y.max() - 1, np.sqrt(np.mean((found - y)[x > 3] ** 2))))
    assert abs(np.mean(ours, 0)[0]) < 0.03 < 0.1 < abs(np.mean(fixed, 0)[0])
    assert np.mean(ours, 0)[1] < 0.07  # less than half the noise is left


def test_noise_is_found_on_uneven_readings(demo):
    for noise in (0.02, 0.1, 0.4):
        x, y = readings(demo, 2000, noise, seed=4)
        assert noise_of(x, y) == pytest.approx(noise, rel=0.1)


def test_many_readings_are_averaged_first(demo):
    x, y = readings(demo, 20_000, 0.3, seed=4)
    run = smooth(x, y)
    assert run.angle.size == 2000
    assert run.noise == pytest.approx(0.3 / np.sqrt(10), rel=0.15)
    assert read_run(run).breakout_force == pytest.approx(ds.curve(demo).results["breakout_force"], abs=0.4)


def test_what_cannot_be_read_is_said(demo, light):
    short = feel_of_measured(gauge(demo, 1, 0.05, last=3.0), "m")
    assert short.values["breakout_force"]
    assert short.values["let_go_angle"] is None
    assert "end before the force settles" in short.why["let_go_angle"]
    flat = Measured.from_text("angle_deg,force_N\n" + "".join(f"{i},{1 + 0.01 * (i * 7 % 5)}\n" for i in range(40)))
    feel = feel_of_measured(flat, "m")
    assert feel.values["breakout_force"] is None
    assert "no breakout stands out" in feel.why["breakout_force"]
    even = np.linspace(0, 12, 25)
    few = feel_of_measured(Measured.from_text(table([(even, np.interp(even, *true_curve(demo)))])), "m")
    assert any("far apart at the breakout" in note for note in few.notes)
    assert few.missed > 0.3
    assert ds.compare(flat, gauge(light)).distances[1].steps is not None
    nolever = ds.compare(gauge(demo), gauge(light)).first
    assert "lever" in nolever.why["breakout_energy"]
    assert ds.compare(gauge(demo), light).first.values["breakout_energy"] > 2


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
    assert ds.compare(demo, target=light).to_target[0].steps == pytest.approx(distance(c.items[0], c.items[1]).steps)
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


# ---------------------------------------------------------------- text, document, table, figure


def test_report_and_document(demo, light):
    c = ds.compare(demo, gauge(light), light, names=["as drawn", "on the bench", "bent out"])
    text = compare_report(c)
    assert all(len(line) <= 96 for line in text.splitlines())
    assert "2. on the bench: measured, 3 runs" in text
    assert re.search(r"breakout \[N\] +9\.7 +4\.\d \+- 0\.\d+ +4\.7", text)
    found = json.loads(to_json(compare_document(c)))
    assert list(found) == ["items", "target", "step", "curves"]
    one = found["items"][1]
    assert one["results"]["breakout_force"]["value"] == c.items[1].values["breakout_force"]
    assert one["results"]["draw_torque"] == {"value": None, "unit": "N*mm", "why": c.items[1].why["draw_torque"]}
    assert one["distance"]["steps"] == c.distances[1].steps
    assert len(found["curves"]["force_N"]) == 3
    assert {len(row) for row in found["curves"]["force_N"]} == {len(found["curves"]["blade_angle_deg"])}
    assert set(one["results"]) == set(UNITS)
    assert repr(c).startswith("<Comparison with 'as drawn': 'on the bench' ")


def test_in_a_notebook_it_is_a_small_table(demo, light):
    html = ds.compare(demo, light, names=["<b>", "light"])._repr_html_()
    assert "<th>&lt;b&gt;</th><th>light</th>" in html
    assert "<th>breakout_force [N]</th><td>9.7</td><td>4.7</td>" in html


def test_one_slip_of_the_gauge_is_warned_of(demo):
    x, y = readings(demo, noise=0.1)
    y[200] = 40.0
    feel = feel_of_measured(Measured.from_text(table([(x, y)])), "m")
    assert any("that one is a slip" in note for note in feel.notes)


def test_table_can_be_read_again(demo, light):
    c = ds.compare(demo, light)
    again = Measured.from_text(compare_csv(c))
    assert len(again.runs) == 2
    for run, feel in zip(again.runs, c.items, strict=True):
        assert run.force == pytest.approx(feel.at(np.degrees(run.angle)), rel=1e-9)
    assert np.all(np.diff(c.angle) > 0)


def test_curve_table_of_a_build_is_a_measured_curve(demo):
    from detentsim.show.one_build.feel_curve.data_files import curve_csv

    c = ds.compare(demo, Measured.from_text(curve_csv(ds.curve(demo))))
    assert c.distances[1].steps < 0.05
    assert c.items[1].values["breakout_force"] == pytest.approx(c.first.values["breakout_force"], rel=2e-3)


@pytest.fixture(scope="module")
def pictured(demo, light):
    return ds.compare(demo, gauge(light, 3), demo.change(DEEP), names=["as drawn", "on the bench", "fed deep"])


def test_overlay_draws_what_was_found(pictured):
    ax = overlay(pictured, Figure().subplots())
    dots = [line for line in ax.lines if line.get_gid() == "readings"]
    assert len(dots) == 3
    assert {line.get_marker() for line in dots} == {MARKERS[1]}
    rings = [line.get_xydata()[0] for line in ax.lines if line.get_gid() == "breakout"]
    wanted = [(f.values["breakout_force_angle"], f.values["breakout_force"]) for f in pictured.items]
    assert np.allclose(rings, wanted)
    band = next(patch for patch in ax.patches if patch.get_gid() == "target")
    assert (band.get_y(), band.get_height()) == (9, 4)
    assert ax.get_legend().get_texts()[1].get_text() == "2  on the bench (measured, 3 runs)"
    assert not any(c.get_gid() == "one step" for c in ax.collections)


def test_target_curve_is_shaded_one_step_either_way(demo, light):
    c = ds.compare(demo, target=gauge(light, 1, 0.0))
    ax = overlay(c, Figure().subplots())
    shade = next(part for part in ax.collections if part.get_gid() == "one step").get_paths()[0].vertices
    top = c.target.values["breakout_force"]
    assert shade[:, 1].max() == pytest.approx(top * (1 + FELT))
    steps = draw_steps(c, Figure().subplots())
    assert steps.get_ylabel() == "hand-steps from target"


def test_steps_are_drawn_from_the_first(pictured):
    ax = draw_steps(pictured, Figure().subplots())
    drawn = [line.get_ydata() for line in ax.lines if len(line.get_ydata()) == pictured.angle.size]
    assert len(drawn) == 2
    at = int(np.searchsorted(pictured.angle, 3.0))
    expected = steps_between(pictured.forces[0, at], pictured.forces[1, at])
    assert drawn[0][at] == pytest.approx(float(expected))


def test_words_of_the_figure_can_be_read(pictured, demo):
    check_words(compare_figure(pictured))
    long = ds.compare(
        *[demo.change({"bar.bend": f"{1 + 0.25 * i} mm"}) for i in range(MOST)], names=["$x_" * 30] * MOST
    )
    check_words(compare_figure(long))
    ends = ds.compare(demo, target=gauge(demo, 1, 0.0, last=3.0))
    check_words(compare_figure(ends))


def test_inches_in_report_and_figure(demo, light):
    """Shown in inches the numbers are the same: 4.4482216 N to the pound, 7.061552 mJ to the ounce-inch."""
    c = dataclasses.replace(ds.compare(demo, light), shown_in=INCH)
    text = compare_report(c, full=True)
    assert "breakout [lbf]" in text
    assert not re.search(r"\[(N|mJ|N\*mm)\]", text)
    assert f"{two(c.items[1].values['breakout_force'] / 4.4482216)}" in text
    ax = overlay(c, Figure().subplots())
    assert ax.get_ylabel() == "force at the opener [lbf]"
    line = next(line for line in ax.lines if line.get_label() == c.first.name)
    assert 4.4482216 * line.get_ydata() == pytest.approx(c.first.force)
    assert ds.compare(demo.change({"units": "inch"}), light).units is INCH
    check_words(compare_figure(c))


def test_short_report_explains_the_hand_step_and_uses_no_internal_names(demo, light):
    short, full = (compare_report(ds.compare(demo, light), full) for full in (False, True))
    assert "A hand-step is 10 % of force" in short
    assert short.index("How far apart they feel") < short.index("Each build by itself") < short.index("Results")
    assert len(short.splitlines()) <= 40
    assert len(full) > len(short)
    assert not re.search(r"[a-z]_[a-z]", short.replace("radial_error", ""))


def test_rounding_is_shown_as_zero(demo):
    """A difference of 1e-17 N between equal builds is rounding, whatever its sign."""
    made = ds.compare(demo, demo)
    other = dataclasses.replace(made.items[1], values=made.items[1].values | {"draw_torque": 54.0 - 1e-15})
    first = dataclasses.replace(made.items[0], values=made.items[0].values | {"draw_torque": 54.0})
    assert not re.search(r"0\.0000", compare_report(dataclasses.replace(made, items=(first, other)), full=True))
