"""The feel curve as drawn: its marks, scales and target."""

import numpy as np
import pytest
from helpers.drawn_curves import axes, made
from helpers.drawn_parts import line, texts

from detentsim.analysis.one_build.curve.curve import curve as compute
from detentsim.knife.model import Build
from detentsim.knife.packaged import demo_text
from detentsim.show import curve


def test_points_stand_at_the_results():
    c = made("demo")
    ax, r = curve(c, axes()), c.results
    assert line(ax, "breakout").get_xydata().tolist() == [[r["breakout_force_angle"], r["breakout_force"]]]
    assert line(ax, "let-go").get_xdata() == [r["let_go_angle"]]
    assert line(ax, "pull-in").get_xdata() == [r["pull_in_angle"]]
    assert line(ax, "drag").get_xydata().tolist() == [[90.0, r["drag_force"]]]
    words = " ".join(texts(ax))
    for part in ("breakout", "likely", "lets go", "pulls in", "drag", "opening", "closing", "target\n9 to 13 N"):
        assert part in words


def test_breakout_is_worded_as_everywhere_else():
    c = made("demo")
    assert f"breakout {c.in_words('breakout_force')}" in [text.replace("\n", " ") for text in texts(curve(c, axes()))]


def test_first_degrees_get_three_quarters_of_the_width():
    c = made("demo")
    ax = curve(c, axes())
    (mark,) = [one for one in ax.lines if one.get_gid() == "break"]
    near = float(mark.get_xdata()[0])
    left, at, right = ax.transAxes.inverted().transform(
        ax.transData.transform([[ax.get_xlim()[0], 0], [near, 0], [180, 0]])
    )[:, 0]
    assert (left, at, right) == pytest.approx((0, 0.75, 1))
    assert c.results["let_go_angle"] < near < 2 * c.results["let_go_angle"]
    assert "compressed to lock-up" in texts(ax)


def test_short_swing_is_not_squeezed():
    ax = curve(made("short swing"), axes())
    assert ax.get_xscale() == "linear"
    assert "compressed to lock-up" not in texts(ax)


def test_target_is_shaded_where_the_build_has_one():
    ax = curve(made("demo"), axes())
    (band,) = [one for one in ax.collections if one.get_label() == "target"]
    heights = band.get_paths()[0].vertices[:, 1]
    assert (heights.min(), heights.max()) == (9.0, 13.0)


@pytest.mark.parametrize(
    ("target", "words", "edge"),
    [
        ('{ at_least = "6 N" }', "target at\nleast 6 N", 6.0),
        ('{ at_most = "2 lbf" }', "target at\nmost 2 lbf", 2 * 4.4482216152605),
    ],
)
def test_target_with_one_end(target, words, edge):
    text = demo_text().partition("[target]")[0] + f"[target]\nbreakout_force = {target}\n"
    ax = curve(compute(Build.loads(text)), axes())
    assert words in texts(ax)
    assert edge in [pytest.approx(one.get_ydata()[0]) for one in ax.lines]


def test_without_a_target_none_is_drawn():
    ax = curve(compute(Build.loads(demo_text().partition("[target]")[0])), axes())
    assert not [one for one in ax.collections if one.get_label() == "target"]
    assert not [text for text in texts(ax) if "target" in text]


def test_where_the_opener_has_no_lever_nothing_is_drawn_and_it_says_so():
    c = made("demo")
    ax = curve(c, axes())
    forces = line(ax, "opening").get_ydata()
    missing = c.columns[0][np.isnan(forces)]
    (span,) = [one for one in ax.patches if one.get_gid() == "no lever"]
    assert missing.size
    assert span.get_x() <= missing[0]
    assert span.get_x() + span.get_width() >= missing[-1]
    assert "no leverage" in texts(ax)


@pytest.mark.parametrize(
    ("name", "why"), [("floats", "never"), ("locks solid", "locks"), ("no lever at first", "lever")]
)
def test_no_breakout_says_why(name, why):
    ax = curve(made(name), axes())
    (words,) = [text for text in texts(ax) if text.startswith("no breakout")]
    assert why in words
    assert not [one for one in ax.lines if one.get_label() == "breakout"]


def test_a_locked_blade_has_no_opening_line_and_no_let_go():
    ax = curve(made("locks solid"), axes())
    assert np.all(np.isnan(line(ax, "opening").get_ydata()[1:]))  # the blade at rest alone has a force
    assert not [one for one in ax.lines if one.get_label() == "let-go"]
    assert "opening" not in texts(ax)
