"""Measured curves compared: known feels given back by made-up gauges, smoothing and scatter."""

import numpy as np
import pytest
from helpers.gauged import DEEP, LIGHT, PROUD, gauge
from helpers.gauges import readings, table, true_curve
from scipy.signal import savgol_filter

import detentsim as ds
from detentsim.analysis.in_hand.compare.feel_curves import feel_of_build, feel_of_measured
from detentsim.analysis.in_hand.compare.quantities import DRAG
from detentsim.analysis.in_hand.compare.readings import local_fit, noise_of, read_run, smooth
from detentsim.knife.measured.measured import Measured

BUILDS = {"demo": {}, "light": LIGHT, "deep": DEEP, "proud": PROUD}


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


@pytest.mark.slow
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


@pytest.mark.slow
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
