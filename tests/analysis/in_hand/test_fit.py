"""Fit of a build to readings: the prior where nothing is read, posteriors by quadrature, slips of the hand, ranges."""

import math

import numpy as np
import pytest
from helpers.benched import bench, benched
from helpers.garden import garden
from scipy import stats

import detentsim as ds

pytestmark = pytest.mark.usefixtures("remembered")

THREE = ("breakout_force", "lift_force_open", "drag_force")


FACES = ("ball.protrusion", "tang.face_gap")


def width(made, name="breakout_force"):
    low, high = made.interval(name)
    return high.m - low.m


def test_no_reading_leaves_the_batch():
    fit, batch = ds.fit(garden(), {}), ds.batch(garden(), 4096)
    for name in ("breakout_force", "loose_ball_height"):
        assert fit.results[name] == pytest.approx(batch.results[name], rel=1e-9, nan_ok=True)
        assert fit.interval(name)[0].m == pytest.approx(batch.interval(name)[0].m, rel=1e-9)
    assert np.all(fit.weights == 1 / 4096)
    assert fit.conflicts == ()
    assert fit.build is fit.drawing
    assert fit.share().share == pytest.approx(batch.share().share)


@pytest.mark.slow
@pytest.mark.usefixtures("afresh")
def test_the_same_seed_gives_the_same_bytes():
    one, other = (ds.fit(garden(), {"breakout_force": "12.5 N"}, seed=4) for _ in range(2))
    assert one.to_records().tobytes() == other.to_records().tobytes()
    assert one.build.text == other.build.text
    assert ds.fit(garden(), {"breakout_force": "12.5 N"}, seed=5).weights[-1] != one.weights[-1]


def student(values, read, error):
    """Likelihood of a reading, by scipy: the middle 68 % of Student's t end at one standard error."""
    return stats.t.pdf(values, 4, loc=read, scale=error / stats.t.ppf(stats.norm.cdf(1), 4))


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_stiffness_and_bend_from_two_pulls_by_quadrature():
    """Two readings, two unknowns: the posterior on a fine grid, with results of the model at every point of it."""
    sure = "".join(f'"{name}" = {{ plus_minus = "0 mm" }}\n' for name in ("bar.relief_thickness", *FACES))
    build = ds.Build.loads(garden().text + f'\n[tolerance]\n"bar.bend" = {{ plus_minus = "0.2 mm" }}\n{sure}')
    calibration, bend = np.linspace(0.7, 1.3, 121), np.linspace(1.1, 2.1, 101)
    varied = {"bar.calibration": list(calibration), "bar.bend": [f"{one} mm" for one in bend]}
    grid = ds.sweep(build, varied, of=["bar_stiffness", "lift_force_open"])
    weight = stats.norm.pdf(calibration, 1, 0.1 / 1.96)[:, None] * stats.norm.pdf(bend, 1.6, 0.2 / 1.96)
    weight = weight * student(grid["bar_stiffness"].m, 9.9, 0.2) * student(grid["lift_force_open"].m, 11.0, 0.3)
    weight /= np.sum(weight)
    fit = ds.fit(build, {"bar_stiffness": ("9.9 N/mm", "0.2 N/mm"), "lift_force_open": ("11.0 N", "0.3 N")})
    for name, axis, values in (("bar.calibration", 0, calibration), ("bar.bend", 1, bend)):
        alone = weight.sum(axis=1 - axis)
        mean, own = alone @ values, fit.inputs[name].m
        spread = math.sqrt(alone @ (values - mean) ** 2)
        assert fit.weights @ own == pytest.approx(mean, abs=5 * spread / math.sqrt(fit.effective))
        found = math.sqrt(fit.weights @ (own - fit.weights @ own) ** 2)
        assert found == pytest.approx(spread, rel=5 / math.sqrt(2 * fit.effective))


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_three_good_readings_narrow_the_breakout_threefold():
    for build in (ds.demo(), garden()):
        before = ds.batch(build, 1024, of="breakout_force")
        read = bench(build, THREE, 5)[0]
        after = ds.fit(build, read.readings)
        assert width(before) > 3 * width(after)
        low, high = after.interval("breakout_force", 0.99)
        assert low.m < read.truth["breakout_force"] < high.m


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_one_reading_ten_errors_off_pulls_little_and_is_named():
    build = garden()
    read = {"breakout_force": ("11.4 N", "0.3 N"), "lift_force_open": ("12 N", "0.2 N"), "drag_force": "2.9 N"}
    slip = read | {"lift_force_open": ("16 N", "0.2 N")}
    good, bad = ds.fit(build, read), ds.fit(build, slip)
    assert abs(good.middle("breakout_force").m - bad.middle("breakout_force").m) < 0.3
    assert good.conflicts == ()
    assert bad.conflicts[0].what == "lift_force_open"
    assert bad.conflicts[0].chance < 0.01
    assert "check the reading and its unit first" in bad.conflicts[0].words


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_readings_that_contradict_each_other_are_named():
    """Either stiffness is usual for the drawing; both at once are not."""
    read = {"bar_stiffness": ("8.5 N/mm", "0.03 N/mm"), "lift_force_open": ("12.7 N", "0.03 N")}
    for name, value in read.items():
        assert ds.fit(garden(), {name: value}).conflicts == ()
    both = ds.fit(garden(), read).conflicts
    assert {one.what for one in both} == set(read)
    assert all(one.beside == "other readings" for one in both)


@pytest.mark.slow
@pytest.mark.parametrize("stiffness", ["1.1 N/mm", "1800 N/mm"])
def test_a_stiffness_that_no_such_bar_has_is_named(stiffness):
    """Whether it stands in the build or is read; 1,800 is 1.8 with a wrong prefix."""
    inside = ds.fit(garden().change({"bar.stiffness": stiffness}), {}).conflicts
    read = ds.fit(garden(), {"bar.stiffness": stiffness}).conflicts
    assert inside[0].what == "bar.stiffness"
    assert "times what the bar's sizes give" in inside[0].words
    assert read[0].what == "bar_stiffness"
    assert read[0].chance < 0.001
    for near in ("9.1 N/mm", "7.4 N/mm"):  # what the verdict does not doubt
        assert ds.fit(garden().change({"bar.stiffness": near}), {}).conflicts == ()


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_a_wrong_size_in_the_drawing_is_among_those_to_check():
    """The bar is really bent to 2.2 mm; its pull tells of it."""
    true = ds.curve(garden().change({"bar.bend": "2.2 mm"}))
    conflict = ds.fit(garden(), {"lift_force_open": f"{true.lift_force_open.m} N"}).conflicts[0]
    assert "bar.bend" in conflict.check
    assert "2.2 mm instead of 1.6 mm" in conflict.words


def test_what_is_measured_again_is_taken_as_measured():
    fit = ds.fit(garden(), {"bar.thickness": ("2.9 mm", "0.01 mm")})
    assert fit.middle("bar.thickness").m == pytest.approx(2.9, abs=0.002)
    assert width(fit, "bar.thickness") == pytest.approx(2 * 1.645 * 0.01, rel=0.1)
    changed = ds.curve(garden().change({"bar.thickness": "2.9 mm"}))
    assert fit.middle("lift_force_open").m == pytest.approx(changed.lift_force_open.m, rel=0.01)
    assert [one.what for one in fit.conflicts] == ["bar.thickness"]


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_a_blade_seen_to_fly_open_has_more_to_spare():
    build = garden()
    before = ds.batch(build, 1024, of=["opens_fully", "opening_spare"])
    yes, often = (ds.fit(build, {"opens_fully": seen}) for seen in (True, "sometimes"))
    assert before.share("opens_fully").high < 0.6
    assert yes.share("opens_fully").low > 0.9
    assert width(often, "opening_spare") < 0.4 * width(before, "opening_spare")
    assert abs(often.middle("opening_spare").m) < 1.0


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_a_curve_is_read_as_its_breakout_and_let_go(tmp_path):
    c = ds.curve(garden())
    angle = np.arange(0, 20, 0.02)
    force = np.interp(angle, c.columns[0], c.columns[3])
    rows = "\n".join(f"{t:.2f}, {f:.5f}" for t, f in zip(angle, force, strict=True))
    (tmp_path / "pull.csv").write_text(f"angle_deg, force_N\n{rows}\n", encoding="utf-8")
    (tmp_path / "knife.toml").write_text('curve = "pull.csv"\n', encoding="utf-8")
    fit = ds.fit(garden(), tmp_path / "knife.toml")
    low, high = fit.interval("breakout_force")
    assert low.m < c.breakout_force.m < high.m
    assert {"breakout_force", "let_go_angle"} <= {reading.what for reading in fit.readings.taken}
    assert width(fit) < 0.6 * width(ds.batch(garden(), 1024, of="breakout_force"))


@pytest.mark.slow
def test_the_fitted_build_reads_like_the_knife(tmp_path):
    fit = ds.fit(garden(), {"breakout_force": ("12.5 N", "0.1 N"), "drag_force": ("3.3 N", "0.1 N")})
    c = ds.curve(fit.build)
    assert (c.breakout_force.m, c.drag_force.m) == pytest.approx((12.5, 3.3), abs=0.1)
    low, high = fit.interval("friction.ball_on_tang", 0.5)
    assert low.m < fit.build.si("friction.ball_on_tang") < high.m
    path = fit.build.save(tmp_path / "fitted.toml")
    again = ds.Build.read(path)
    assert again.values == fit.build.values
    low, high = fit.interval("dimple.overclose", 0.95)
    assert again.tolerance["dimple.overclose"].plus_minus == pytest.approx((high - low).m / 2e3, rel=1e-3)
    drawn = [line for line in garden().text.splitlines() if line.startswith("#") or "bar.material" in line]
    assert set(drawn) <= set(path.read_text(encoding="utf-8").splitlines())
    assert "# fitted to breakout_force, drag_force" in again.text


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_the_next_reading_of_a_result_is_the_result_itself():
    found = ds.fit(garden(), {}).next_readings("breakout_force")
    assert found[0].what == "breakout_force"
    assert found[0].narrows < 1 / 3
    taken = ds.fit(garden(), {"breakout_force": "11.4 N"}).next_readings("breakout_force")
    assert "breakout_force" not in [one.what for one in taken]
    assert all(0 < one.narrows < 1 for one in (*found, *taken))


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_stiffness_and_bend_are_not_told_apart_by_one_pull():
    """A pull is stiffness times bend; of two factors of one known product the logarithms sum to a constant."""
    assert ds.fit(garden(), {}).tied == ()
    pair = ds.fit(garden(), {"lift_force_open": ("12 N", "0.02 N")}).tied[0]
    assert {"bar.calibration"} <= {pair.one, pair.other} <= {"bar.calibration", "bar.bend", "bar.relief_thickness"}
    assert pair.correlation < -0.4
    assert "more of one reads like more of the other" in pair.words


def test_a_height_that_stands_in_the_build_is_read_again():
    build = garden().change({"dimple.rim_feed": None, "dimple.loose_ball_height": "1.1 mm"})
    fit = ds.fit(build, {"loose_ball_height": "1.08 mm"})
    assert fit.middle("loose_ball_height").m == pytest.approx(1.08, abs=0.001)
    assert fit.build.si("dimple.loose_ball_height") == pytest.approx(1.08e-3)
    assert width(fit, "loose_ball_height") == pytest.approx(2 * 1.645 * 0.01, rel=0.1)


@pytest.mark.slow
@pytest.mark.usefixtures("ranges_alone")
def test_what_the_next_reading_promises_it_brings():
    """Expected narrowing against the narrowing of simulated knives that are read so, on average."""
    build = garden()
    promised = {one.what: one.narrows for one in ds.fit(build, {}).next_readings("drag_force")}
    before = width(ds.batch(build, 1024, of="drag_force"), "drag_force")
    points = stats.qmc.LatinHypercube(20, rng=np.random.default_rng(9)).random(6)
    knives = bench(build, ["drag_force"], 9, points)
    brought = np.mean([width(ds.fit(build, one.readings), "drag_force") for one in knives]) / before
    assert brought == pytest.approx(promised["drag_force"], rel=0.15)


@pytest.mark.slow
def test_curves_and_shares_follow_the_weights():
    fit = ds.fit(garden(), {"breakout_force": ("12.5 N", "0.1 N")})
    highest = np.nanmax(fit.curves(("0 deg", "3 deg", 301)).force, axis=1)
    assert np.median(highest) == pytest.approx(12.5, abs=0.15)
    assert fit.share().share == pytest.approx(np.sum(fit.weights[fit.inside]))
    assert np.sum(fit.weights) == pytest.approx(1)
    assert fit.capability("breakout_force").cpk > 0
    assert "12.5" in fit._repr_html_()


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ({"breakout_force": 12}, "has no unit"),
        ({"blade.length": "70 mm"}, "does not have it as a number"),
        ("missing.toml", "no such file"),
        (None, "neither a file nor a mapping"),
    ],
)
def test_wrong_readings_are_refused_in_words(readings, words):
    with pytest.raises(ds.InputError, match=words):
        ds.fit(garden(), readings)


def test_a_sight_that_needs_the_blade_says_so():
    bare = garden().change({"blade.inertia": None})
    with pytest.raises(ds.InputError, match=r"readings: .*opens_fully needs blade.inertia"):
        ds.fit(bare, {"opens_fully": True})


def test_wrong_arguments_are_refused():
    with pytest.raises(ds.InputError, match="seed"):
        ds.fit(garden(), {}, seed=-1)
    with pytest.raises(ds.InputError, match="no build"):
        ds.fit("garden.toml", {})
    with pytest.raises(ds.InputError, match="no result"):
        ds.fit(garden(), {}, of="breakout")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["one drill", "measured", "on washers"])
def test_unlike_builds_are_fitted(name):
    build = benched(name)
    read = bench(build, THREE, 3)[0]
    fit = ds.fit(build, read.readings)
    assert fit.effective > 800
    low, high = fit.interval("breakout_force", 0.99)
    assert low.m < read.truth["breakout_force"] < high.m
    assert ds.curve(fit.build).breakout_force.m == pytest.approx(fit.middle("breakout_force").m, rel=0.03)
