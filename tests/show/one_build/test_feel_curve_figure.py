"""Figures of the feel curve: what loading costs, its lines, that no words collide, what stands under the page."""

import itertools
import subprocess
import sys

import matplotlib
import numpy as np
import pytest
from helpers.drawn_curves import BUILDS, axes, drawn, made, page
from helpers.drawn_pages import notebook_axes
from helpers.drawn_parts import line
from helpers.words import check_words

from detentsim.analysis.one_build.curve.curve import curve as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import curve, curve_figure, dimple

# What loading costs, and what is left behind


def test_importing_show_loads_no_matplotlib():
    script = "import sys, detentsim.show; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.slow
def test_a_figure_for_a_file_leaves_no_window_and_no_setting_behind():
    script = (
        "import sys, matplotlib, detentsim as ds; before = matplotlib.rcParams.copy()\n"
        "ds.show.curve_figure(ds.curve(ds.demo()))\n"
        "sys.exit('matplotlib.pyplot' in sys.modules or matplotlib.rcParams.copy() != before)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize("draw", [curve, dimple])
def test_axes_are_taken_and_returned(draw):
    ax = axes()
    before = dict(matplotlib.rcParams)
    assert draw(made("demo"), ax) is ax
    assert draw(made("demo"), ax=ax) is ax
    assert dict(matplotlib.rcParams) == before


@pytest.mark.parametrize("draw", [curve, dimple])
def test_without_axes_a_notebook_gets_a_figure_half_a_page_wide(draw, monkeypatch):
    with notebook_axes(monkeypatch, lambda: draw(made("demo"))) as ax:
        assert ax.figure.get_figwidth() * 25.4 == pytest.approx(85)


# Both together


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    assert check_words(page(name)) > 25


# Those with most to say on little room.
CROWDED = ["demo", "floats", "floats far off", "much friction", "locks in a deep rim", "stands proud", "snaps"]
CROWDED += ["big ball, letter drill", "no lever at first", "deep hole", "on the floor", "bar on tang by ten thou"]
CROWDED += ["short swing", "inch, big ball", "inch, floats"]


@pytest.mark.slow
@pytest.mark.parametrize("draw", [curve, dimple])
@pytest.mark.parametrize("name", CROWDED)
def test_alone_on_half_a_page_no_words_collide_and_none_are_cut_off(draw, name):
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    figure = draw(made(name)).figure
    try:
        check_words(figure)
    finally:
        plt.close(figure)


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_lines_are_the_curve_itself(name):
    c = made(name)
    ax = drawn(curve, name)
    np.testing.assert_array_equal(line(ax, "opening").get_xydata(), c.columns[[0, 3]].T)
    np.testing.assert_array_equal(line(ax, "closing").get_xdata(), c.band.angle)
    np.testing.assert_array_equal(line(ax, "closing").get_ydata(), c.band.closing)
    assert line(ax, "opening").get_linestyle() != line(ax, "closing").get_linestyle()
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("blade angle [deg]", f"force at the opener [{c.build.units.force}]")


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_limits_are_finite_and_hold_the_whole_swing_and_the_zero_line(name):
    c = made(name)
    ax = drawn(curve, name)
    assert np.all(np.isfinite([ax.get_xlim(), ax.get_ylim()]))
    assert ax.get_xlim()[0] < 0
    assert ax.get_xlim()[1] == pytest.approx(c.columns[0, -1])
    assert ax.get_ylim()[0] < 0 < ax.get_ylim()[1]


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_drag_is_named_beside_its_mark_or_tied_to_it(name):
    ax = drawn(curve, name)
    at = line(ax, "drag").get_xydata()[0]
    (label,) = [text for text in ax.texts if text.get_text().startswith("drag")]
    box, mark = label.get_window_extent(), ax.transData.transform(at)
    off = np.hypot(*(np.clip(mark, box.min, box.max) - mark)) * 72 / ax.figure.dpi
    tied = [one for one in ax.lines if one.get_gid() == "leader" and np.allclose(one.get_xydata()[-1], at)]
    assert off < 12 or tied
    for text in ax.texts:
        assert not text.get_window_extent().contains(*mark), text.get_text()


@pytest.mark.parametrize("draw", [lambda c: dimple(c, axes()), lambda _: page("deep hole").axes[1]])
def test_words_leave_the_walls_of_a_deep_hole_to_be_seen(draw):
    ax = draw(made("deep hole"))
    wall = ax.transData.transform(line(ax, "tang").get_xydata())
    rows = np.linspace(0, 1, 200)[:, None]
    points = np.vstack([a + rows * (b - a) for a, b in itertools.pairwise(wall)])
    named = [text for text in ax.texts if text.get_bbox_patch() is not None and "drill" in text.get_text()]
    assert named
    for text in named:
        box = text.get_window_extent()
        assert not np.any(np.all((points > box.min) & (points < box.max), axis=1)), text.get_text()


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_nothing_is_smaller_than_seven_points(name):
    figure = page(name)
    sizes = [text.get_fontsize() for text in figure.findobj(matplotlib.text.Text) if text.get_text()]
    assert min(sizes) >= 7
    assert figure.get_figwidth() * 25.4 == pytest.approx(170)


@pytest.mark.parametrize("name", ["floats", "locks solid", "stands proud", "snaps"])
def test_flags_stand_underneath_in_words(name):
    c = made(name)
    under = " ".join(text.get_text().replace("\n", " ") for text in page(name).texts)
    assert c.flags
    for flag in c.flags:
        assert FLAGS[flag] in under


@pytest.mark.slow
def test_demo_is_called_one():
    title = page("demo").texts[0].get_text()
    assert title == f"{demo().name} (demo)"
    assert curve_figure(compute(Build.loads(demo_text()))).texts[0].get_text() == demo().name


def test_names_are_drawn_as_they_stand():
    c = compute(demo().change({"name": "cost $5 & $6, \\alpha_1 <b> 刀"}))
    title = curve_figure(c).texts[0]
    assert title.get_text() == "cost $5 & $6, \\alpha_1 <b> \ufffd (demo)"
    assert not title.get_parse_math()


def test_long_name_takes_two_lines():
    title = page("long name").texts[0].get_text()
    assert title.count("\n") == 1
    assert title.endswith("... (demo)")
