"""Lines of a sweep: its own numbers are drawn, what is flagged is marked where it is, no words collide."""

import numpy as np
import pytest
from helpers.drawn_sweeps import (
    BALLS,
    DRILLS,
    FEED,
    METALS,
    USUAL,
    axes,
    by_gid,
    by_label,
    made,
    texts,
    untargeted,
)
from helpers.garden import workshop
from helpers.words import check_words

from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.knife.table.schema import INPUTS
from detentsim.shop.drills import find_drill
from detentsim.show import lines, sweep_figure
from detentsim.show.many_builds.sweep.maps.shading import colours
from detentsim.show.many_builds.sweep.regions import MARKS
from detentsim.show.many_builds.sweep.scales import input_name, result_label

# Names


def test_every_input_and_flag_has_plain_words():
    names = [input_name(name) for name in INPUTS]
    assert len(set(names)) == len(names)
    assert not any("_" in name or "." in name for name in names)
    assert set(MARKS) == set(FLAGS)
    assert {name for name, mark in MARKS.items() if mark.severe} == set(UNSOUND) == set(FLAGS) - {"snaps"}
    for marks in ({mark.words for mark in MARKS.values()}, {mark.hatch for mark in MARKS.values()}):
        assert len(marks) == len(MARKS)


def test_labels_carry_the_unit_and_a_ratio_has_none():
    assert result_label("breakout_force") == "breakout force [N]"
    assert result_label("breakout_to_drag") == "breakout to drag"


def test_the_colour_map_rises_evenly_in_lightness_and_is_light():
    grey = colours()(np.linspace(0, 1, 50))[:, :3] @ [0.2126, 0.7152, 0.0722]
    assert np.all(np.diff(grey) > 0)
    assert grey.min() > 0.45


# Lines


@pytest.mark.parametrize("name", ["feed", "reversed", "pilot", "friction", "floats"])
def test_a_line_is_the_sweeps_own_numbers(name):
    s = made(1, name)
    (line,) = by_label(lines(s, "breakout_force", axes()), "breakout_force")
    order = np.argsort(s.axes[0].values)
    np.testing.assert_array_equal(line.get_xdata(), s.axes[0].values[order])
    np.testing.assert_array_equal(line.get_ydata(), s.results["breakout_force"][order])


def test_words_stand_side_by_side_as_typed():
    s = made(1, "drills")
    ax = lines(s, "breakout_force", axes())
    assert [tick.get_text() for tick in ax.get_xticklabels()] == ["none", "#53", "1.55 mm", "#52"]
    (line,) = by_label(ax, "breakout_force")
    assert list(line.get_xdata()) == [0, 1, 2, 3]
    assert line.get_marker() == "o"
    assert ax.get_xlabel() == "rim drill"
    assert not ax.child_axes


def test_second_scale_is_in_thou_and_agrees():
    ax = lines(made(1, "feed"), "breakout_force", axes())
    (top,) = ax.child_axes
    ax.figure.draw_without_rendering()
    assert (ax.get_xlabel(), top.get_xlabel()) == ("rim feed [mm]", "rim feed [thou]")
    np.testing.assert_allclose(np.array(top.get_xlim()) * 0.0254, ax.get_xlim(), rtol=1e-9)


def test_long_lengths_have_an_inch_scale_and_angles_none():
    s = sweep(workshop(), {"bar.tip_from_root": ("46 mm", "54 mm", 5)}, "preload")
    (top,) = lines(s, "preload", axes()).child_axes
    assert top.get_xlabel().endswith(" [in]")
    s = sweep(workshop(), {"tang.travel_angle": ("0 deg", "20 deg", 5)}, "preload")
    assert not lines(s, "preload", axes()).child_axes


def test_ticks_stand_at_drill_sizes():
    (top,) = lines(made(1, "pilot"), "breakout_force", axes()).child_axes
    assert top.get_xlabel() == "drill size"
    ticks = [(tick.get_loc(), tick.label2.get_text()) for tick in top.xaxis.get_major_ticks()]
    assert len(ticks) >= 4
    for size, name in ticks:
        assert find_drill(name, "drill").diameter * 1e3 == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize("name", ["feed", "friction", "inward", "relief", "metals"])
def test_spans_cover_what_is_flagged_and_nothing_else(name):
    s = made(1, name)
    ax = lines(s, "breakout_force", axes())
    at = np.arange(len(s.axes[0])) if not s.axes[0].is_scale else s.axes[0].values
    raised = {n: w for n, w in s.flags.items() if w.any()} | s.misfits
    assert raised
    for flag, where in raised.items():
        if not where.any():
            continue
        spans = [(p.get_x(), p.get_x() + p.get_width()) for p in by_gid(ax, f"span {flag}")]
        assert all(bool(p.get_hatch()) == (flag != "snaps") for p in by_gid(ax, f"span {flag}"))
        inside = np.array([any(low - 1e-9 <= x <= high + 1e-9 for low, high in spans) for x in at])
        np.testing.assert_array_equal(inside, where)
        words = MARKS[flag].words if flag in MARKS else flag
        assert words in texts(ax)


def test_own_value_is_marked_and_named():
    s = made(1, "feed")
    ax = lines(s, "breakout_force", axes())
    (own,) = by_label(ax, "this build")
    assert own.get_xdata()[0] == pytest.approx(0.05)
    assert own.get_ydata()[0] == pytest.approx(s.results["breakout_force"][10], rel=1e-9)
    assert "this build 0.05 mm" in texts(ax)


COARSE = {"bar.bend": ["1 mm", "3.2 mm"]}


@pytest.mark.parametrize("of", ["breakout_force", "contact_angle", "falls_shut"])
def test_own_result_is_the_builds_and_not_between_its_neighbours(of):
    s = sweep(workshop(), COARSE, list(USUAL))
    (own,) = by_label(lines(s, of, axes()), "this build")
    exact = sweep(workshop(), {"bar.bend": ["2.3 mm"]}, [of]).results[of][0]
    assert own.get_ydata()[0] == pytest.approx(float(exact), rel=1e-9)
    if of == "falls_shut":
        assert own.get_ydata()[0] in (0, 1)
    if of == "contact_angle":
        assert abs(np.interp(2.3, s.axes[0].values, s.results[of]) - exact) > 1e-3


def test_a_truth_of_the_build_is_no_or_yes_and_never_half():
    build = workshop().change({"bar.bend": "2.6 mm"})
    s = sweep(build, {"bar.bend": ["1 mm", "3.6 mm"]}, ["falls_shut"])
    assert list(s.results["falls_shut"]) == [True, False]
    (own,) = by_label(lines(s, "falls_shut", axes()), "this build")
    assert own.get_ydata()[0] == float(s.own["falls_shut"])


def test_a_build_without_the_result_has_no_marker():
    floating = workshop().change({"bar.bend": "-2.5 mm"})
    s = sweep(floating, {"bar.bend": ("-3 mm", "3 mm", 9)}, ["contact_angle"])
    assert s.own["contact_angle"] is None
    ax = lines(s, "contact_angle", axes())
    assert not by_label(ax, "this build")
    assert not any("this build" in text for text in texts(ax))


# Lines that coincide, and words across


def test_lines_that_coincide_share_a_name():
    vary = {"opener.push": ["fixed", "follows"], "bar.material": ["Ti-6Al-4V", "410"]}
    figure = sweep_figure(sweep(workshop(), vary, ["breakout_force", "preload"]))
    assert any("fixed, follows" in text for text in texts(figure.axes[1]))
    check_words(figure)
    twice = sweep(workshop(), {"ball.diameter": ["1.5 mm", "1.5 mm", "2 mm"]} | FEED, "preload")
    words = texts(lines(twice, "preload", axes()))
    assert words.count("ball diameter 1.5 mm") == 1
    assert "2 mm" in words


@pytest.mark.slow
def test_values_that_are_words_are_not_joined():
    for vary in (METALS, DRILLS):
        (line,) = by_label(lines(sweep(workshop(), vary, "preload"), "preload", axes()), "preload")
        assert line.get_linestyle() == "None"
        assert line.get_marker() == "o"
    s = sweep(workshop(), METALS | BALLS, "preload")
    rows = [line for line in lines(s, "preload", axes()).lines if str(line.get_label()).startswith("preload")]
    assert len(rows) == 3
    assert len({line.get_marker() for line in rows}) == 3


@pytest.mark.slow
@pytest.mark.parametrize("vary", [METALS | BALLS, METALS | {"bar.bend": ("1 mm", "3 mm", 5)}])
def test_words_of_a_few_flagged_points_do_not_collide(vary):
    check_words(sweep_figure(sweep(workshop(), vary, ["breakout_force", "preload"])))


def test_sizes_bought_one_by_one_are_joined():
    (line,) = by_label(lines(made(1, "balls"), "preload", axes()), "preload")
    assert line.get_linestyle() == "-"


def test_own_value_outside_is_not_marked():
    s = sweep(workshop(), {"bar.bend": ("1 mm", "2 mm", 5)}, "preload")
    assert not by_label(lines(s, "preload", axes()), "this build")


def test_own_drill_is_marked_by_its_name_or_size():
    s = made(1, "drills")
    (own,) = by_label(lines(s, "breakout_force", axes()), "this build")
    assert own.get_xdata()[0] == 1
    s = sweep(workshop(), {"dimple.pilot_drill": ["#55", "1.397 mm"]}, "preload")
    (own,) = by_label(lines(s, "preload", axes()), "this build")
    assert own.get_xdata()[0] == 1


def test_target_band_stands_at_its_bounds_and_only_with_a_target():
    s = made(1, "feed")
    ax = lines(s, "breakout_force", axes())
    (band,) = by_gid(ax, "target")
    assert (band.get_y(), band.get_y() + band.get_height()) == pytest.approx((9, 13))
    assert "target 9 to 13 N" in texts(ax)
    for other, of in ((s, "preload"), (untargeted(s), "breakout_force")):
        ax = lines(other, of, axes())
        assert not by_gid(ax, "target")
        assert not any("target" in text for text in texts(ax))


def test_a_second_listed_input_gives_a_named_line_each():
    s = sweep(workshop(), FEED | BALLS, "breakout_force")
    ax = lines(s, "breakout_force", axes())
    for i, words in enumerate(["ball diameter 1/16 in", "1.5 mm", "2 mm"]):
        (line,) = by_label(ax, f"breakout_force {i}")
        np.testing.assert_array_equal(line.get_ydata(), s.results["breakout_force"][:, i])
        assert words in texts(ax)
    drawn = [by_label(ax, f"breakout_force {i}")[0] for i in range(3)]
    assert len({(line.get_linestyle(), line.get_color()) for line in drawn}) == 3
    (own,) = by_label(ax, "this build")
    assert own.get_ydata()[0] == pytest.approx(s.results["breakout_force"][10, 0])


def test_zero_is_on_the_scale_so_that_flat_looks_flat():
    ax = lines(made(1, "constant"), "drag_force", axes())
    assert ax.get_ylim()[0] == 0
    assert ax.get_ylim()[1] > made(1, "constant").results["drag_force"].max()
