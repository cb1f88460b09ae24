"""Figures of limits as pages: no words collide, every kind of bar draws, the side view is to scale."""

from functools import cache

import matplotlib
import numpy as np
import pytest
from helpers.drawn_limits import BUILDS, axes, drawn, made
from helpers.drawn_pages import check_page, check_same_bytes, notebook_axes
from helpers.drawn_parts import line, patch, texts, words
from helpers.words import check_words

from detentsim.analysis.one_build.limits.limits import limits as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import bar_moment, bar_side, bar_stress, limits_figure, travel_ruler
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds
DRAWN = {"side": bar_side, "moment": bar_moment, "stress": bar_stress, "ruler": travel_ruler}


@cache
def page(name):
    return limits_figure(made(name))


# What all share


@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    figure = page(name)
    assert check_words(figure) > 25


@pytest.mark.parametrize("name", BUILDS)
def test_a_page_wide_nothing_smaller_than_seven_points_and_units_on_every_scale(name):
    figure = page(name)
    check_page(figure)
    side, moment, stress, ruler, _ = figure.axes
    units = ["inward of flat [mm]", "moment [N*mm]", "stress, inner face [MPa]", "", ""]
    assert [ax.get_ylabel().partition("\n")[0] for ax in figure.axes] == units
    assert [ax.get_xlabel() for ax in figure.axes] == [
        *("", "", "from the root [mm]", "ball inward of flat [mm]", "used [%]")
    ]
    assert side.get_xlim() == moment.get_xlim() == stress.get_xlim()
    left = [ax.get_position().x0 for ax in figure.axes[:4]]
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
    with notebook_axes(monkeypatch, lambda: draw(made(name))) as ax:
        check_words(ax.figure)


def test_same_figure_gives_the_same_bytes(tmp_path):
    """SVG, which names its parts; the figure of the curve is tried in every format."""
    check_same_bytes(tmp_path, "svg", lambda: limits_figure(made("demo")))


def test_the_hand_changes_nothing_seen_from_the_side():
    for draw in DRAWN.values():
        right, left = draw(made("demo"), axes()), draw(made("left hand"), axes())
        assert left.get_xlim() == right.get_xlim()
        assert texts(left) == texts(right)


# The side view


@pytest.mark.parametrize("name", BUILDS)
def test_bar_is_drawn_flat_and_free_at_its_sizes(name):
    found = made(name)
    ax, side = drawn(bar_side, name), found.side
    inner = np.stack([side.x, -side.inner_face], axis=1)
    flat, free = (patch(ax, gid).get_xy()[: side.x.size] for gid in ("flat", "free"))
    np.testing.assert_allclose(flat, inner)
    np.testing.assert_allclose(free, inner + np.stack([0 * side.x, side.free], axis=1))
    outer = patch(ax, "flat").get_xy()[side.x.size : 2 * side.x.size][::-1]
    np.testing.assert_allclose(flat[:, 1] - outer[:, 1], side.thickness)


@pytest.mark.parametrize("name", BUILDS)
def test_ball_stands_proud_of_the_flat_bar_and_as_far_in_as_the_ruler_says(name):
    found = made(name)
    ax = drawn(bar_side, name)
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
    assert f"{stop.kind}, gap {two_digits(stop.gap)} mm" in texts(ax)


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


# The page


def under(name):
    return " ".join(text.get_text().replace("\n", " ") for text in page(name).texts[1:])


@pytest.mark.parametrize("name", BUILDS)
def test_foot_says_what_does_not_hold_or_what_is_nearest(name):
    found, said = made(name), under(name)
    for limit in found.passed:
        assert limit.words in said
    assert said.startswith("Limits: All hold;") == (found.within and not found.unknown)
    assert said.startswith("Limits: All that are known hold;") == (found.within and bool(found.unknown))
    if not found.passed:
        assert f"the nearest is {found.first.full_name}, {found.first.used} used. {found.first.words}" in said
    for flag in found.flags:
        assert FLAGS[flag] in said
    side = found.side
    over = any(np.any(values > side.borne + 1e-6) for values in side.stress.values())
    assert ("the metal yields instead" in said) == over


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
