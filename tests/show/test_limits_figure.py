"""Figures of limits: they show the limits' own numbers, no words collide, and every kind of bar draws."""

from functools import cache

import matplotlib
import numpy as np
import pytest
from helpers.words import boxes, check_words
from matplotlib.figure import Figure

from detentsim.analysis.one_build.limits.limits import limits as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import bar_moment, bar_side, bar_stress, limits_figure, travel_ruler
from detentsim.show.one_build.limits.ruler import spread
from detentsim.show.theme.saving import save_figure
from detentsim.units.numbers import two

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds

NO_STOP = {"overtravel.gap": None, "overtravel.from_root": None}
ONE_THICKNESS = {"bar.relief_thickness": None, "bar.relief_length": None, "bar.thickness": "1.2 mm"}
CLIP = {
    **NO_STOP,
    "clip.material": "301 full hard",
    "clip.length": "40 mm",
    "clip.width": "8 mm",
    "clip.thickness": "1 mm",
    "clip.preset": "0.5 mm",
    "clip.gap": "1 mm",
    "clip.from_root": "46 mm",
}
LINER = {
    "bar.thickness": "1.2 mm",
    "bar.relief_thickness": "0.8 mm",
    "bar.relief_side": "both",
    "bar.relief_length": "14 mm",
    "bar.ball_from_root": "60 mm",
    "bar.tip_from_root": "66 mm",
    "overtravel.from_root": "60 mm",
}
SHORT = {"bar.ball_from_root": "20 mm", "bar.tip_from_root": "24 mm", "overtravel.from_root": "22 mm"}
LONG = "The long-named garden folder with a second lock bar and a name that nobody types in full, " + "ever. " * 15
BUILDS = {
    "demo": {},
    "bent along": {**ONE_THICKNESS, "bar.bend_at": "along"},
    "bent along, hardly": {**ONE_THICKNESS, **NO_STOP, "bar.bend_at": "along", "bar.bend": "0.6 mm"},
    "over an edge": {"bar.bend_at": "6 mm"},
    "no stop": NO_STOP,
    "clip": CLIP,
    "clip, pushed": {**CLIP, "overtravel.push": "100 N"},
    "flat": {"bar.bend": "0 mm"},
    "floats": {"bar.bend": "-1 mm"},
    "floats far off": {"bar.bend": "-3 mm"},
    "loses bend": {"bar.reverse_yield": 0.7},
    "loses much": {"bar.bend": "9 mm"},
    "folds": {"bar.bend": "25 mm"},
    "short": SHORT,
    "thin liner": LINER,
    "milled inside": {"bar.relief_side": "inner"},
    "milled on both": {"bar.relief_side": "both"},
    "stop at once": {"overtravel.gap": "0 mm"},
    "stop far off": {"overtravel.gap": "8 mm"},
    "long name": {"name": LONG},
    "left hand": {"hand": "left"},
}
DRAWN = {"side": bar_side, "moment": bar_moment, "stress": bar_stress, "ruler": travel_ruler}


@cache
def made(name):
    return compute(demo().change(BUILDS[name]))


@cache
def page(name):
    return limits_figure(made(name))


def axes():
    return Figure(figsize=(6.7, 2.4)).add_axes((0.1, 0.2, 0.88, 0.78))


def line(ax, label):
    (found,) = [one for one in ax.lines if one.get_label() == label]
    return found


def patch(ax, gid):
    (found,) = [one for one in ax.patches if one.get_gid() == gid]
    return found


def texts(ax):
    return [text.get_text() for text in ax.texts]


def words(ax):
    return " ".join(texts(ax)).replace("\n", " ")


# What all share


@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    figure = page(name)
    assert len(boxes(figure)) > 25
    check_words(figure)


@pytest.mark.parametrize("name", BUILDS)
def test_a_page_wide_nothing_smaller_than_seven_points_and_units_on_every_scale(name):
    figure = page(name)
    assert figure.get_figwidth() * 25.4 == pytest.approx(170)
    assert figure.get_figheight() * 25.4 < 240
    assert min(text.get_fontsize() for text in figure.findobj(matplotlib.text.Text) if text.get_text()) >= 7
    side, moment, stress, ruler = figure.axes
    units = ["inward of flat [mm]", "moment [N*mm]", "stress, inner face [MPa]", ""]
    assert [ax.get_ylabel().partition("\n")[0] for ax in figure.axes] == units
    assert [ax.get_xlabel() for ax in figure.axes] == ["", "", "from the root [mm]", "ball inward of flat [mm]"]
    assert side.get_xlim() == moment.get_xlim() == stress.get_xlim()
    left = [ax.get_position().x0 for ax in figure.axes]
    assert left == [left[0]] * 4
    assert np.all(np.isfinite([*side.get_ylim(), *ruler.get_xlim()]))


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
def test_axes_are_taken_and_returned_and_settings_left_alone(draw):
    ax, before = axes(), dict(matplotlib.rcParams)
    assert draw(made("demo"), ax) is ax
    assert dict(matplotlib.rcParams) == before
    assert ax.get_xlabel().endswith("[mm]")


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
@pytest.mark.parametrize("name", ["demo", "flat", "loses bend"])
def test_without_axes_a_notebook_gets_a_figure_that_can_be_read(draw, name, monkeypatch):
    monkeypatch.setenv("MPLBACKEND", "agg")
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    ax = draw(made(name))
    try:
        assert plt.get_fignums() == [ax.figure.number]
        check_words(ax.figure)
    finally:
        plt.close(ax.figure)


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_same_figure_gives_the_same_bytes(tmp_path, ending):
    paths = [save_figure(limits_figure(made("demo")), tmp_path / f"{i}.{ending}") for i in range(2)]
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_the_hand_changes_nothing_seen_from_the_side():
    for draw in DRAWN.values():
        right, left = draw(made("demo"), axes()), draw(made("left hand"), axes())
        assert left.get_xlim() == right.get_xlim()
        assert texts(left) == texts(right)


# The side view


@pytest.mark.parametrize("name", BUILDS)
def test_bar_is_drawn_flat_and_free_at_its_sizes(name):
    found = made(name)
    ax, side = bar_side(found, axes()), found.side
    inner = np.stack([side.x, -side.inner_face], axis=1)
    flat, free = (patch(ax, gid).get_xy()[: side.x.size] for gid in ("flat", "free"))
    np.testing.assert_allclose(flat, inner)
    np.testing.assert_allclose(free, inner + np.stack([0 * side.x, side.free], axis=1))
    outer = patch(ax, "flat").get_xy()[side.x.size : 2 * side.x.size][::-1]
    np.testing.assert_allclose(flat[:, 1] - outer[:, 1], side.thickness)


@pytest.mark.parametrize("name", BUILDS)
def test_ball_stands_proud_of_the_flat_bar_and_as_far_in_as_the_ruler_says(name):
    found = made(name)
    ax = bar_side(found, axes())
    (x, flat), (_, free) = (patch(ax, gid).get_center() for gid in ("ball", "free ball"))
    (offset,) = [place.offset for place in found.service.places if place.name == "free"]
    assert x == pytest.approx(found.build.si("bar.ball_from_root") * 1e3)
    assert flat + patch(ax, "ball").height / 2 == pytest.approx(found.build.si("ball.protrusion") * 1e3)
    assert free - flat == pytest.approx(offset, abs=2e-3)  # read off the bar's own 121 points to a part
    assert set(line(ax, "tang").get_ydata()) == {found.build.si("tang.face_gap") * 1e3}
    assert list(line(ax, "bend").get_ydata()) == [0, found.side.free[-1]]


@pytest.mark.parametrize("name", BUILDS)
def test_heights_are_to_scale_or_the_label_says_how_many_times_they_are_drawn(name):
    ax = page(name).axes[0]
    start, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
    times = (up - start)[1] / (across - start)[0]
    label = "to scale" if times == pytest.approx(1) else f"heights drawn {times:.3g} times"
    assert ax.get_ylabel().endswith(f"\n{label}")
    assert ax.get_ylim()[0] < patch(ax, "flat").get_xy()[:, 1].min()
    assert ax.get_ylim()[1] > patch(ax, "free").get_xy()[:, 1].max()


def test_both_scales_are_met():
    assert page("demo").axes[0].get_ylabel().endswith("to scale")
    assert page("folds").axes[0].get_ylabel().endswith("heights drawn 0.5 times")


@pytest.mark.parametrize("name", ["demo", "clip", "stop far off", "milled inside", "bent along"])
def test_what_stands_behind_the_bar_stands_at_its_gap(name):
    found = made(name)
    ax, stop = bar_side(found, axes()), found.service.stop
    face = line(ax, stop.kind)
    assert np.mean(face.get_xdata()) == pytest.approx(stop.place)
    outer = -found.build.si("bar.thickness") * 1e3
    assert set(np.round(face.get_ydata(), 9)) == {round(outer - stop.gap, 9)}
    assert f"{stop.kind}, gap {two(stop.gap)} mm" in texts(ax)


def test_without_a_stop_none_is_drawn():
    ax = bar_side(made("no stop"), axes())
    assert not [one for one in ax.patches if one.get_gid() in ("stop", "clip")]
    assert "stop" not in words(ax)
    assert "stopped" not in [one.get_label() for one in bar_moment(made("no stop"), axes()).lines]
    assert "pushed" not in words(bar_stress(made("no stop"), axes()))


def test_parts_are_named_with_their_sizes():
    said = words(bar_side(made("demo"), axes()))
    for part in ("slab", "relief 0.90 mm 10 mm long", "ball 2 mm", "tang's flat 0.65 mm", "bend 2.2 mm", "free"):
        assert part in said
    assert "relief" not in words(bar_side(made("bent along"), axes()))
    assert "bend 1.0 mm outward" in words(bar_side(made("floats"), axes()))
    assert "flat, and free" in texts(bar_side(made("flat"), axes()))


# Moment and stress


@pytest.mark.parametrize("name", BUILDS)
def test_lines_are_the_limits_own(name):
    side = made(name).side
    moment, stress = bar_moment(made(name), axes()), bar_stress(made(name), axes())
    for ax, lines in ((moment, side.moment), (stress, {**side.stress, "borne": side.borne})):
        for key, values in lines.items():
            np.testing.assert_array_equal(line(ax, key).get_xdata(), side.x)
            np.testing.assert_array_equal(line(ax, key).get_ydata(), values)
        styles = {str(line(ax, key).get_linestyle()) + str(line(ax, key)._dash_pattern) for key in lines}
        assert len(styles) == len(lines)


UNKNOWN = ["over an edge", "floats", "floats far off"]
KNOWN = [name for name in BUILDS if name not in UNKNOWN]


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_bending_left_is_not_drawn_where_it_is_not_known(name):
    ax = bar_stress(made(name), axes())
    assert "residual" not in [one.get_label() for one in ax.lines]
    assert "What bending left is not known and left out: no margin is drawn." in words(ax)
    assert "to spare" not in words(ax)
    assert not ax.collections
    np.testing.assert_array_equal(
        line(bar_stress(made("demo"), axes()), "residual").get_ydata(), made("demo").side.residual
    )


@pytest.mark.parametrize("name", KNOWN)
def test_margin_is_measured_where_it_is_least(name):
    found = made(name)
    ax, side = bar_stress(found, axes()), found.side
    left = side.borne - np.max(list(side.stress.values()), axis=0)
    asked, borne = line(ax, "least").get_ydata()
    assert borne - asked == pytest.approx(left.min(), abs=1e-9)
    size = abs(left.min()) if abs(left.min()) > 1e-6 else 0.0
    assert f"{two(size)} MPa {'to spare' if left.min() > -1e-6 else 'past it'}" in words(ax)


@pytest.mark.parametrize("name", KNOWN)
def test_past_the_limit_is_hatched_and_only_there(name):
    past = [one for one in bar_stress(made(name), axes()).collections if one.get_label() == "past it"]
    side = made(name).side
    over = any(np.any(values > side.borne + 1e-6) for values in side.stress.values())
    assert [bool(one.get_hatch()) for one in past] == [True] * over


def test_lines_say_what_pushes():
    assert "tip pushed with 200 N against the stop" in texts(bar_moment(made("demo"), axes()))
    assert "tip pushed with 100 N against the clip" in texts(bar_stress(made("clip, pushed"), axes()))
    push = made("clip").service.stop.push
    assert f"tip pushed with {push:.0f} N against the clip, just before bend is lost" in texts(
        bar_stress(made("clip"), axes())
    )
    assert "unlocked: the ball touches nothing" in texts(bar_moment(made("floats"), axes()))


# The ruler


def signed(offset):
    return f"{round(offset, 2) + 0.0:.2f}".replace("-", "\N{MINUS SIGN}")


@pytest.mark.parametrize("name", BUILDS)
def test_every_place_is_marked_and_named_where_it_is(name):
    found = made(name)
    ax = travel_ruler(found, axes())
    for place in found.service.places:
        assert line(ax, f"{place.name} mark").get_xdata() == [place.offset]
        assert list(line(ax, place.name).get_xdata()[:2]) == [place.offset] * 2
        (text,) = [one for one in ax.texts if one.get_text().replace("\n", " ").startswith(place.name)]
        assert text.get_text().splitlines()[-1] == signed(place.offset)
        assert line(ax, place.name).get_xdata()[2] == pytest.approx(text.xy[0])
    assert ax.get_xlim()[0] > max(p.offset for p in found.service.places)
    assert ax.get_xlim()[1] < min(p.offset for p in found.service.places)


@pytest.mark.parametrize("name", BUILDS)
def test_travels_are_measured_from_free(name):
    found = made(name)
    service, ax = found.service, travel_ruler(found, axes())
    free, lost = (next(p.offset for p in service.places if p.name == key) for key in ("free", "bend lost"))
    loses = line(ax, f"{two(service.before_loss)} mm to bend lost")
    assert list(loses.get_xdata()) == [free, lost]
    assert free - lost == pytest.approx(service.before_loss)
    if service.unlock is None:
        assert "to unlock" not in words(ax)
    else:
        start, end = line(ax, f"{two(service.unlock)} mm to unlock").get_xdata()
        assert start - end == pytest.approx(service.unlock)
        assert start == free


@pytest.mark.parametrize("name", BUILDS)
def test_beyond_bend_lost_the_scale_is_hatched(name):
    ax = travel_ruler(made(name), axes())
    zone = patch(ax, "bend lost")
    (lost,) = [place.offset for place in made(name).service.places if place.name == "bend lost"]
    assert (zone.get_x(), zone.get_x() + zone.get_width()) == pytest.approx((ax.get_xlim()[1], lost))
    assert zone.get_hatch()


def test_outward_lies_to_the_right_and_both_ways_are_named():
    ax = travel_ruler(made("demo"), axes())
    assert ax.xaxis_inverted()
    left, right = (next(t for t in ax.texts if key in t.get_text()) for key in ("toward the blade", "outward"))
    assert left.get_window_extent().x1 < right.get_window_extent().x0


def test_names_keep_their_order_move_little_and_never_overlap():
    rng = np.random.default_rng(7)
    for _ in range(50):
        middles, widths = np.sort(rng.uniform(0, 100, 8)), rng.uniform(2, 12, 8)
        got = spread(middles, widths, 110.0)
        gaps = np.diff(got) - (widths[1:] + widths[:-1]) / 2
        assert gaps.min() > -1e-9
        assert got[0] - widths[0] / 2 > -1e-9
        assert got[-1] + widths[-1] / 2 < 110 + 1e-9
    alone = np.array([10.0, 50.0, 90.0])
    np.testing.assert_allclose(spread(alone, np.full(3, 8.0), 110.0), alone)


# The page


def under(name):
    return " ".join(text.get_text().replace("\n", " ") for text in page(name).texts[1:])


@pytest.mark.parametrize("name", BUILDS)
def test_foot_says_what_does_not_hold_or_what_is_nearest(name):
    found, said = made(name), under(name)
    for limit in found.passed:
        assert limit.words in said
    assert said.startswith("All limits hold.") == (not found.passed)
    if not found.passed:
        assert found.first.words in said
    for flag in found.flags:
        assert FLAGS[flag] in said
    side = found.side
    over = any(np.any(values > side.borne + 1e-6) for values in side.stress.values())
    assert ("the metal gives instead" in said) == over


def test_builds_here_hold_and_do_not_hold():
    assert made("demo").within
    assert not made("loses bend").within
    assert "loses_bend" in made("loses bend").flags
    assert made("floats").service.unlock is None


def test_title_is_the_builds_name_and_says_demo():
    assert page("demo").texts[0].get_text() == f"{demo().name} (demo)"
    assert limits_figure(compute(Build.loads(demo_text()))).texts[0].get_text() == demo().name
    title = page("long name").texts[0].get_text()
    assert title.count("\n") == 1
    assert title.endswith("... (demo)")
    odd = compute(demo().change({"name": "cost $5 & $6, \\alpha_1 <b>"}))
    assert limits_figure(odd).texts[0].get_text() == "cost $5 & $6, \\alpha_1 <b> (demo)"
