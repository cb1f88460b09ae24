"""Figures of sweeps: the sweep's own numbers are drawn, what is flagged is marked where it is, no words collide."""

import dataclasses
import itertools
import subprocess
import sys
from functools import cache

import matplotlib
import numpy as np
import pytest
from matplotlib.figure import Figure
from words import check_words

from detentsim.analysis.sweep.sweep import sweep
from detentsim.knife.outcomes import FLAGS, RESULTS, UNSOUND
from detentsim.knife.packaged import demo
from detentsim.knife.table.schema import INPUTS
from detentsim.shop.drills import find_drill
from detentsim.show import design_map, family, lines, panels, sweep_figure
from detentsim.show.sweep.maps.shading import colours
from detentsim.show.sweep.page import check_drawable
from detentsim.show.sweep.regions import MARKS
from detentsim.show.sweep.scales import input_name, result_label
from detentsim.show.theme.saving import save_figure
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

FEED = {"dimple.rim_feed": ("0 mm", "0.15 mm", 31)}
BEND = {"bar.bend": ("1 mm", "3.2 mm", 21)}
GAP = {"tang.face_gap": ("0 mm", "1.1 mm", 23)}
INWARD = {"bar.bend": ("-1 mm", "3.2 mm", 22)}
DRILLS = {"dimple.rim_drill": ["none", "#53", "1.55 mm", "#52"]}
BALLS = {"ball.diameter": ["1/16 in", "1.5 mm", "2 mm"]}
METALS = {"bar.material": ["Ti-6Al-4V", "CP titanium grade 2", "301 full hard"]}
RELIEF = {"bar.relief_thickness": ("2 mm", "4 mm", 9)}
PILOT = {"dimple.pilot_drill": quantity(np.linspace(1.0, 1.5, 41), "mm")}
ONE = {
    "feed": FEED,
    "bend": BEND,
    "gap": GAP,
    "inward": INWARD,
    "drills": DRILLS,
    "balls": BALLS,
    "metals": METALS,
    "relief": RELIEF,
    "pilot": PILOT,
    "friction": {"friction.ball_on_tang": (0.02, 0.9, 45)},
    "error": {"dimple.radial_error": ("-0.1 mm", "0.1 mm", 21)},
    "reversed": {"bar.bend": ("3 mm", "1 mm", 9)},
    "one point": {"bar.bend": ["2 mm"]},
    "its own point": {"bar.bend": ["2.3 mm"]},
    "same twice": {"bar.bend": ["2 mm", "2 mm"]},
    "constant": {"blade.mass": ("10 gram", "20 gram", 5)},
    "floats": {"bar.bend": ("-3 mm", "-2 mm", 9)},
    "no knife": {"bar.relief_thickness": ("3.5 mm", "4 mm", 5)},
}
TWO = {
    "feed and bend": FEED | BEND,
    "gap and bend": GAP | INWARD,
    "error": ONE["error"] | {"dimple.overclose": ("-0.1 mm", "0.15 mm", 21)},
    "protrusion": GAP | {"ball.protrusion": ("0.05 mm", "0.8 mm", 21)},
    "relief": {"bar.bend": ("0 mm", "8 mm", 21)} | RELIEF,
    "drills and bend": DRILLS | BEND,
    "words": DRILLS | METALS,
    "reversed": {"bar.bend": ("3 mm", "1 mm", 9), "dimple.rim_feed": ("0.1 mm", "0 mm", 8)},
    "one point": {"bar.bend": ["2 mm"], "dimple.rim_feed": ["0.1 mm"]},
    "a row": {"bar.bend": ("1 mm", "3 mm", 9), "dimple.rim_feed": ["0.1 mm"]},
    "same twice": {"bar.bend": ["2 mm", "2 mm"], "dimple.rim_feed": ["0.1 mm", "0.1 mm"]},
    "constant": ONE["constant"] | {"opener.leaves_at": ("50 deg", "70 deg", 5)},
    "floats": ONE["floats"] | FEED,
    "no knife": ONE["no knife"] | BEND,
    "pilot": PILOT | {"tang.travel_angle": ("-20 deg", "20 deg", 9)},
}
USUAL = ("breakout_force", "preload", "drag_force", "contact_angle", "falls_shut")


@cache
def made(group, name):
    vary = (ONE if group == 1 else TWO)[name]
    return sweep(demo(), vary, list(USUAL))


def blank(s):
    """The sweep as if nothing came of it."""
    gone = {n: a if RESULTS[n].is_truth else np.full(a.shape, np.nan) for n, a in s.results.items()}
    return dataclasses.replace(s, results=gone)


def untargeted(s):
    return dataclasses.replace(s, build=dataclasses.replace(s.build, target=()))


def axes(height=3.86, right=0.13, top=0.86):
    return Figure(figsize=(3.35, height)).add_axes((0.18, 0.14, 0.82 - right, top - 0.14))


def by_gid(ax, gid):
    return [one for one in ax.get_children() if one.get_gid() == gid]


def by_label(ax, label):
    return [one for one in ax.lines if one.get_label() == label]


def texts(ax):
    return [text.get_text().replace("\n", " ") for text in ax.texts]


def framed(ax, x, y):
    """Whether a point lies inside the frame, its edges left out."""
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    return left < x < right and low < y < high


def covers(collection, x, y):
    """Whether a filled contour covers a point in data."""
    return any(path.contains_point((x, y)) for path in collection.get_paths() if len(path.vertices))


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
    s = sweep(demo(), {"bar.relief_length": ("8 mm", "14 mm", 5)}, "preload")
    (top,) = lines(s, "preload", axes()).child_axes
    assert top.get_xlabel() == "relief length [inch]"
    s = sweep(demo(), {"tang.travel_angle": ("0 deg", "20 deg", 5)}, "preload")
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
        assert all(p.get_hatch() for p in by_gid(ax, f"span {flag}"))
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
    s = sweep(demo(), COARSE, list(USUAL))
    (own,) = by_label(lines(s, of, axes()), "this build")
    exact = sweep(demo(), {"bar.bend": ["2.3 mm"]}, [of]).results[of][0]
    assert own.get_ydata()[0] == pytest.approx(float(exact), rel=1e-9)
    if of == "falls_shut":
        assert own.get_ydata()[0] in (0, 1)
    if of == "contact_angle":
        assert abs(np.interp(2.3, s.axes[0].values, s.results[of]) - exact) > 1e-3


def test_a_truth_of_the_build_is_no_or_yes_and_never_half():
    build = demo().change({"bar.bend": "2.6 mm"})
    s = sweep(build, {"bar.bend": ["1 mm", "3.6 mm"]}, ["falls_shut"])
    assert list(s.results["falls_shut"]) == [True, False]
    (own,) = by_label(lines(s, "falls_shut", axes()), "this build")
    assert own.get_ydata()[0] == float(s.own["falls_shut"])


def test_a_build_without_the_result_has_no_marker():
    floating = demo().change({"bar.bend": "-2.5 mm"})
    s = sweep(floating, {"bar.bend": ("-3 mm", "3 mm", 9)}, ["contact_angle"])
    assert s.own["contact_angle"] is None
    ax = lines(s, "contact_angle", axes())
    assert not by_label(ax, "this build")
    assert not any("this build" in text for text in texts(ax))


# What a stopped sweep did not come to


def stopped(s, keep):
    """The sweep as if it had been stopped: only where `keep` holds is it solved."""
    results = {n: np.where(keep, a, False if RESULTS[n].is_truth else np.nan) for n, a in s.results.items()}
    flags = {name: where & keep for name, where in s.flags.items()}
    return dataclasses.replace(s, results=results, flags=flags, done=np.array(keep))


def test_a_stopped_line_says_what_is_not_solved():
    s = stopped(made(1, "feed"), np.arange(31) < 8)
    for of in ("breakout_force", "falls_shut"):
        ax = lines(s, of, axes())
        (span,) = by_gid(ax, "span not solved")
        assert span.get_x() == pytest.approx(0.0375)
        assert span.get_x() + span.get_width() == pytest.approx(0.15)
        assert "not solved" in texts(ax)
        assert not any("no value" in text for text in texts(ax))
        (line,) = by_label(ax, of)
        assert np.all(np.isnan(line.get_ydata()[8:]))
        check_words(ax.figure)


def test_a_stopped_line_of_which_nothing_is_solved_says_only_that():
    ax = lines(stopped(made(1, "feed"), np.zeros(31, bool)), "preload", axes())
    assert "not solved" in texts(ax)
    assert not any("no value" in text for text in texts(ax))


def test_stopped_lines_say_where_some_are_not_solved():
    s = sweep(demo(), FEED | BALLS, "breakout_force")
    keep = np.zeros(s.shape, bool)
    keep[:20] = True
    assert "not solved" in texts(lines(stopped(s, keep), "breakout_force", axes()))
    keep[20:, 1] = True
    ax = lines(stopped(s, keep), "breakout_force", axes())
    assert "not all solved" in texts(ax)
    check_words(ax.figure)


@pytest.mark.parametrize("also", [(), ("falls_shut",)])
def test_a_stopped_map_says_what_is_not_solved(also):
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :5] = True
    ax = design_map(stopped(s, keep), "breakout_force", axes(), also=also)
    (region,) = by_gid(ax, "region not solved")
    for i, j in itertools.product(range(1, s.shape[0] - 1), range(1, s.shape[1] - 1)):
        assert covers(region, s.axes[0].values[i], s.axes[1].values[j]) == (not keep[i, j])
    words = texts(ax)
    assert "not solved" in words
    assert not any("no value" in text or "nowhere here" in text or "everywhere here" in text for text in words)
    if also:
        assert not by_gid(ax, "truth falls_shut")
        assert "falls shut everywhere in what is solved" in words
        assert "target breakout force 9 to 13 N and falls shut: nowhere in what is solved" in words
    else:
        assert "target 9 to 13 N: nowhere in what is solved" in words
    check_words(ax.figure)


def test_a_stopped_map_of_nothing_claims_nothing():
    s = made(2, "feed and bend")
    ax = design_map(stopped(s, np.zeros(s.shape, bool)), "breakout_force", axes(), also=["falls_shut"])
    assert {text for text in texts(ax) if text != "this build"} == {"not solved"}


def test_the_outline_of_a_target_stays_open_towards_what_is_not_solved():
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :14] = True
    for each, closed in ((s, True), (stopped(s, keep), False)):
        (outline,) = by_gid(design_map(each, "breakout_force", axes()), "target")
        (path,) = outline.get_paths()
        assert np.allclose(path.vertices[0], path.vertices[-1]) == closed
        inner = path.vertices[(path.vertices[:, 0] > 0.001) & (path.vertices[:, 0] < 0.1)]
        flat = np.isclose(inner[:, 1], s.axes[1].values[13])
        assert not np.any(flat)


def test_a_truth_is_not_filled_where_it_is_not_solved():
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :5] = True
    (filled,) = fill(design_map(stopped(s, keep), "falls_shut", axes()), "falls_shut")
    assert covers(filled, 0.071, 1.3)
    assert not covers(filled, 0.071, 2.9)


# Lines that coincide, and words across


def test_lines_that_coincide_share_a_name():
    vary = {"opener.push": ["fixed", "follows"], "bar.material": ["Ti-6Al-4V", "410"]}
    figure = sweep_figure(sweep(demo(), vary, ["breakout_force", "preload"]))
    assert any("fixed, follows" in text for text in texts(figure.axes[1]))
    check_words(figure)
    twice = sweep(demo(), {"ball.diameter": ["1.5 mm", "1.5 mm", "2 mm"]} | FEED, "preload")
    words = texts(lines(twice, "preload", axes()))
    assert words.count("ball diameter 1.5 mm") == 1
    assert "2 mm" in words


def test_values_that_are_words_are_not_joined():
    for vary in (METALS, DRILLS):
        (line,) = by_label(lines(sweep(demo(), vary, "preload"), "preload", axes()), "preload")
        assert line.get_linestyle() == "None"
        assert line.get_marker() == "o"
    s = sweep(demo(), METALS | BALLS, "preload")
    rows = [line for line in lines(s, "preload", axes()).lines if str(line.get_label()).startswith("preload")]
    assert len(rows) == 3
    assert len({line.get_marker() for line in rows}) == 3


@pytest.mark.parametrize("vary", [METALS | BALLS, METALS | DRILLS, METALS | {"bar.bend": ("1 mm", "3 mm", 5)}])
def test_words_of_a_few_flagged_points_do_not_collide(vary):
    check_words(sweep_figure(sweep(demo(), vary, ["breakout_force", "preload"])))


def test_sizes_bought_one_by_one_are_joined():
    (line,) = by_label(lines(made(1, "balls"), "preload", axes()), "preload")
    assert line.get_linestyle() == "-"


def test_own_value_outside_is_not_marked():
    s = sweep(demo(), {"bar.bend": ("1 mm", "2 mm", 5)}, "preload")
    assert not by_label(lines(s, "preload", axes()), "this build")


def test_own_drill_is_marked_by_its_name_or_size():
    s = made(1, "drills")
    (own,) = by_label(lines(s, "breakout_force", axes()), "this build")
    assert own.get_xdata()[0] == 1
    s = sweep(demo(), {"dimple.pilot_drill": ["#55", "1.397 mm"]}, "preload")
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
    s = sweep(demo(), FEED | BALLS, "breakout_force")
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


# Maps


def fill(ax, of="breakout_force"):
    return by_gid(ax, f"fill {of}")


@pytest.mark.parametrize("name", ["feed and bend", "gap and bend", "reversed", "drills and bend", "a row", "pilot"])
def test_each_design_lies_in_the_band_of_its_value(name):
    s = made(2, name)
    ax = design_map(s, "breakout_force", axes())
    (filled,) = fill(ax)
    x, y = s.axes
    at = [np.arange(len(a), dtype=float) if a.labels[0] == "none" else a.values for a in (x, y)]
    layers = np.concatenate([[-np.inf], filled.levels, [np.inf]])
    layers = layers[
        {"neither": slice(1, -1), "min": slice(0, -1), "max": slice(1, None), "both": slice(None)}[filled.extend]
    ]
    seen = 0
    for i, j in itertools.product(range(len(x)), range(len(y))):
        value, point = s.results["breakout_force"][i, j], (at[0][i], at[1][j])
        near = np.abs(filled.levels - value).min() < 0.02 * np.ptp(filled.levels)
        if near or not np.isfinite(value) or not framed(ax, *point):
            continue
        paths = filled.get_paths()
        hit = [k for k, path in enumerate(paths) if len(path.vertices) and path.contains_point(point)]
        assert hit == [int(np.searchsorted(layers, value)) - 1]
        seen += 1
    assert seen >= 5


@pytest.mark.parametrize(
    "name", ["feed and bend", "gap and bend", "error", "protrusion", "relief", "floats", "no knife"]
)
def test_hatches_lie_where_flags_are(name):
    s = made(2, name)
    ax = design_map(s, "breakout_force", axes())
    raised = {n: w for n, w in (s.flags | s.misfits).items() if w.any()}
    assert raised
    severe = np.any([np.zeros(s.shape, bool), *(w for n, w in raised.items() if n != "snaps")], axis=0)
    used = []
    for flag, where in raised.items():
        (region,) = by_gid(ax, f"region {flag}")
        hatched = where & ~severe if flag == "snaps" else where
        for i, j in itertools.product(range(s.shape[0]), range(s.shape[1])):
            point = s.axes[0].values[i], s.axes[1].values[j]
            if framed(ax, *point):
                assert covers(region, *point) == hatched[i, j], (flag, point)
        used += [h for h in region.hatches if h]
        words = MARKS[flag].words if flag in MARKS else flag
        assert words in texts(ax)
    assert len(set(used)) == len(used)


def test_designs_without_a_value_that_no_flag_explains_are_named():
    ax = design_map(blank(made(2, "feed and bend")), "breakout_force", axes())
    assert not fill(ax)
    assert "no value" in texts(ax)
    assert len(by_gid(ax, "region nothing")) == 1


def test_own_build_is_marked_at_its_values():
    ax = design_map(made(2, "feed and bend"), "breakout_force", axes())
    (own,) = by_label(ax, "this build")
    assert (own.get_xdata()[0], own.get_ydata()[0]) == pytest.approx((0.05, 2.3))
    assert "this build" in texts(ax)
    ax = design_map(made(2, "drills and bend"), "breakout_force", axes())
    (own,) = by_label(ax, "this build")
    assert (own.get_xdata()[0], own.get_ydata()[0]) == pytest.approx((1, 2.3))
    assert not by_label(design_map(made(2, "no knife"), "breakout_force", axes()), "this build")


def test_target_is_outlined_where_it_is_met_and_only_with_a_target():
    s = made(2, "feed and bend")
    ax = design_map(s, "breakout_force", axes())
    (outline,) = by_gid(ax, "target")
    assert outline.get_linewidth()[0] > 2
    assert "target 9 to 13 N" in texts(ax)
    (path,) = outline.get_paths()
    for i, j in itertools.product(range(s.shape[0]), range(s.shape[1])):
        value, point = s.results["breakout_force"][i, j], (s.axes[0].values[i], s.axes[1].values[j])
        if framed(ax, *point) and min(abs(value - 9), abs(value - 13)) > 0.2:
            assert path.contains_point(point) == (9 <= value <= 13), point
    ax = design_map(untargeted(s), "breakout_force", axes())
    assert not by_gid(ax, "target")
    assert not any("target" in text for text in texts(ax))


def test_target_takes_in_every_result_drawn():
    s = made(2, "feed and bend")
    ax = design_map(s, "breakout_force", axes(), also=["falls_shut"])
    (path,) = by_gid(ax, "target")[0].get_paths()
    met = (s.results["breakout_force"] >= 9.2) & (s.results["breakout_force"] <= 12.8) & s.results["falls_shut"]
    for i, j in np.argwhere(met):
        if framed(ax, s.axes[0].values[i], s.axes[1].values[j]):
            assert path.contains_point((s.axes[0].values[i], s.axes[1].values[j]))
    assert path.get_extents().y1 < 2.6
    assert "target breakout force 9 to 13 N and falls shut" in texts(ax)


def test_a_target_out_of_reach_is_said():
    ax = design_map(made(2, "floats"), "breakout_force", axes())
    assert not by_gid(ax, "target")
    assert "target 9 to 13 N: nowhere here" in texts(ax)


def test_other_results_are_labelled_lines_at_their_levels():
    s = made(2, "feed and bend")
    ax = design_map(s, "breakout_force", axes(), also=["drag_force", "contact_angle"])
    (drag,), (angle,) = by_gid(ax, "lines drag_force"), by_gid(ax, "lines contact_angle")
    assert drag.get_linestyle() != angle.get_linestyle()
    bends, forces = s.axes[1].values, s.results["drag_force"][0]
    for level, path in zip(drag.levels, drag.get_paths(), strict=True):
        np.testing.assert_allclose(np.interp(path.vertices[:, 1], bends, forces), level, rtol=1e-6)
    words = texts(ax)
    assert "drag force 1.5 N" in words
    assert any(text.startswith("contact angle ") and text.endswith(" deg") for text in words)


def test_a_truth_is_a_line_named_on_the_side_where_it_holds():
    s = made(2, "feed and bend")
    ax = design_map(s, "breakout_force", axes(), also=["falls_shut"])
    (line,) = by_gid(ax, "truth falls_shut")
    turn = line.get_paths()[0].vertices[:, 1]
    assert np.all((turn > 2.3) & (turn < 2.6))
    (label,) = [text for text in ax.texts if text.get_text() == "falls shut\non this side"]
    ax.figure.draw_without_rendering()
    middle = ax.transData.inverted().transform(label.get_window_extent().get_points()).mean(axis=0)
    assert middle[1] < turn.min()


def test_a_truth_that_never_turns_is_said():
    s = made(2, "no knife")
    ax = design_map(s, "breakout_force", axes(), also=["falls_shut"])
    assert "falls shut nowhere here" in texts(ax)


def test_colour_bar_names_result_and_unit():
    ax = design_map(made(2, "feed and bend"), "breakout_force", axes())
    (bar,) = [other for other in ax.figure.axes if other is not ax]
    assert bar.get_xlabel() == "breakout force [N]"
    low, high = bar.get_xlim()
    values = made(2, "feed and bend").results["breakout_force"]
    assert low <= values.min() <= values.max() <= high


def test_map_labels_carry_units_and_second_scales():
    ax = design_map(made(2, "feed and bend"), "breakout_force", axes())
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("rim feed [mm]", "bar bend [mm]")
    top, right = ax.child_axes
    assert (top.get_xlabel(), right.get_ylabel()) == ("rim feed [thou]", "bar bend [thou]")


# Panels


@cache
def three(count=3):
    balls = [f"{1.5 + 0.1 * i:.1f} mm" for i in range(count - 1)] + ["1/16 in"]
    vary = {"bar.bend": ("1 mm", "3 mm", 9), "dimple.rim_feed": ("0 mm", "0.1 mm", 8), "ball.diameter": balls}
    return sweep(demo(), vary, ["breakout_force", "preload"])


def maps_of(figure):
    return [ax for ax in figure.axes if ax.get_title()]


@pytest.mark.parametrize("count", [2, 3, 4, 6, 9])
def test_panels_are_even_named_and_share_their_colours(count):
    s = three(count)
    figure = panels(s, "breakout_force")
    found = maps_of(figure)
    assert len(found) == min(count, 6)
    titles = [f"ball diameter {text}" for text in s.axes[2].labels]
    assert [t for t in titles if t in {ax.get_title() for ax in found}] == [ax.get_title() for ax in found]
    assert found[0].get_title() == titles[0]
    assert found[-1].get_title() == titles[-1]
    levels = {tuple(fill(ax)[0].levels) for ax in found}
    assert len(levels) == 1
    assert len(figure.axes) == len(found) + 1
    assert figure.axes[-1].get_xlabel() == "breakout force [N]"
    assert [ax.get_title() for ax in found if by_label(ax, "this build")] == ["ball diameter 1/16 in"]
    check_words(figure)


def test_a_panel_is_the_slice_it_names():
    s = three()
    held = sweep(
        demo().change({"ball.diameter": "1.6 mm"}),
        {"bar.bend": ("1 mm", "3 mm", 9)} | {"dimple.rim_feed": ("0 mm", "0.1 mm", 8)},
        ["breakout_force"],
    )
    (panel,) = [ax for ax in maps_of(panels(s, "breakout_force")) if ax.get_title() == "ball diameter 1.6 mm"]
    np.testing.assert_allclose(s.results["breakout_force"][:, :, 1], held.results["breakout_force"], rtol=1e-12)
    (filled,) = fill(panel)
    paths, levels = filled.get_paths(), filled.levels
    for i, j in itertools.product(range(1, 8), range(1, 7)):
        value, point = held.results["breakout_force"][i, j], (s.axes[0].values[i], s.axes[1].values[j])
        if np.abs(levels - value).min() > 0.05:
            (hit,) = [k for k, path in enumerate(paths) if len(path.vertices) and path.contains_point(point)]
            assert levels[hit] < value < levels[hit + 1]


def test_words_stand_from_panel_to_panel_wherever_they_were_given():
    vary = {"bar.bend": ("1 mm", "3 mm", 5), **DRILLS, "dimple.rim_feed": ("0 mm", "0.1 mm", 5)}
    figure = Figure(figsize=(6.7, 5))
    assert panels(sweep(demo(), vary, "preload"), "preload", figure) is figure
    assert [ax.get_title() for ax in maps_of(figure)] == [f"rim drill {d}" for d in ("none", "#53", "1.55 mm", "#52")]
    assert (maps_of(figure)[0].get_xlabel(), maps_of(figure)[0].get_ylabel()) == ("bar bend [mm]", "rim feed [mm]")


# Families


def curves_of(ax):
    return [line for line in ax.lines if line.get_gid() not in ("dot", "leader")]


def test_a_family_is_the_sweeps_own_curves():
    s = made(1, "balls")
    at = quantity(np.linspace(0, 8, 41), "deg")
    ax, found = family(s, axes(), at), s.curves(at)
    drawn = curves_of(ax)
    assert len(drawn) == 3
    for line, i in zip(drawn, np.argsort(s.axes[0].values), strict=True):
        np.testing.assert_array_equal(line.get_xdata(), found.angle)
        np.testing.assert_array_equal(line.get_ydata(), found.force[i])
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("blade angle [deg]", "force at the opener [N]")
    assert sorted(texts(ax)) == sorted(["1.5 mm", "1/16 in, this build", "ball diameter 2 mm"])
    heavy = [line.get_linewidth() for line in drawn]
    assert np.argmax(heavy) == 1
    assert heavy.count(max(heavy)) == 1


def test_many_curves_are_thinned_evenly_and_keep_the_builds_own():
    ax = family(made(1, "feed"), axes())
    assert len(curves_of(ax)) == 8
    assert "0.05 mm, this build" in texts(ax)
    assert "0 mm" in texts(ax)
    assert "rim feed 0.15 mm" in texts(ax)


def test_the_last_curve_that_has_a_force_says_which_input():
    words = texts(family(made(1, "friction"), axes()))
    assert sum("friction of ball on tang" in text for text in words) == 1
    assert not any(text.endswith("0.9") for text in words)  # it locks solid
    assert not any("..." in text for text in words)


def test_bare_curves_are_told_apart_by_their_number():
    found = made(1, "balls").curves()
    ax = family(found, axes())
    assert sorted(texts(ax)) == ["curve 1", "curve 2", "curve 3"]
    with pytest.raises(InputError, match="have their angles"):
        family(found, at=("0 deg", "5 deg", 3))


# Whole figures


@pytest.mark.parametrize("name", ONE)
def test_stacked_lines_share_their_scale_and_no_words_collide(name):
    figure = sweep_figure(made(1, name))
    assert [ax.get_ylabel() for ax in figure.axes] == ["breakout force [N]", "preload [N]", "drag force [N]"]
    assert len({ax.get_xlim() for ax in figure.axes}) == 1
    check_words(figure)


@pytest.mark.parametrize("name", ONE)
def test_words_of_lines_do_not_collide(name):
    check_words(sweep_figure(made(1, name), "breakout_force"))
    check_words(sweep_figure(made(1, name), "falls_shut"))


@pytest.mark.parametrize("also", [(), ("drag_force",), ("falls_shut", "contact_angle")])
@pytest.mark.parametrize("name", TWO)
def test_words_of_maps_do_not_collide(name, also):
    check_words(design_map(made(2, name), "breakout_force", axes(), also=also).figure)


@pytest.mark.parametrize("name", ["feed", "bend", "balls", "friction", "floats", "one point", "metals"])
def test_words_of_families_do_not_collide(name):
    check_words(family(made(1, name), axes()).figure)


@pytest.mark.parametrize("draw", [lambda s, ax: lines(s, "preload", ax), lambda s, ax: family(s, ax)])
@pytest.mark.parametrize("name", ["drills", "reversed", "one point", "same twice", "no knife"])
def test_nothing_to_draw_is_drawn_without_fuss(name, draw):
    ax = axes()
    assert draw(blank(made(1, name)), ax) is ax
    ax.figure.draw_without_rendering()


@pytest.mark.parametrize("name", TWO)
def test_maps_of_nothing_are_drawn_without_fuss(name):
    check_words(design_map(blank(made(2, name)), "breakout_force", axes(), also=["preload"]).figure)


def test_figure_chooses_by_how_much_is_varied():
    assert len(sweep_figure(made(1, "feed"), "preload").axes) == 1
    figure = sweep_figure(made(2, "feed and bend"), ["breakout_force", "drag_force"])
    assert by_gid(figure.axes[0], "fill breakout_force")
    assert by_gid(figure.axes[0], "lines drag_force")
    assert by_label(sweep_figure(made(2, "drills and bend"), "preload").axes[0], "preload 3")
    assert len(maps_of(sweep_figure(three()))) == 3


@pytest.mark.parametrize("make", [lambda: sweep_figure(made(1, "feed")), lambda: sweep_figure(made(2, "gap and bend"))])
def test_same_sweep_same_bytes(make, tmp_path):
    one, two = (save_figure(make(), tmp_path / name).read_bytes() for name in ("a.svg", "b.svg"))
    assert one == two


# What is refused


FOUR = {"bar.bend": ["2 mm", "3 mm"], "bar.width": ["8 mm", "9 mm"], "dimple.rim_feed": ["0 mm", "0.1 mm"]} | {
    "tang.face_gap": ["0.5 mm", "0.6 mm"]
}
THREE = dict(list(FOUR.items())[:3])


@pytest.mark.parametrize(
    ("draw", "vary", "words"),
    [
        (
            lambda s: sweep_figure(s, "preload"),
            FOUR,
            "at most 3 inputs and this sweep varies 4; hold one at a single value",
        ),
        (lambda s: panels(s, "preload"), FOUR, "three inputs .* hold one at a single value"),
        (
            lambda s: design_map(s, "preload"),
            FOUR,
            "two inputs .* tang.face_gap; hold 2 of them at a single value each",
        ),
        (lambda s: family(s), FEED | BEND, "one input .* hold the others"),
        (lambda s: lines(s, "preload"), FEED | BEND, "at most 6 values, .* draw a design_map"),
        (lambda s: lines(s, "preload"), {}, "varies nothing; vary one, such as"),
        (lambda s: design_map(s, "preload"), FEED, "two inputs .* varies dimple.rim_feed; vary another"),
        (lambda s: panels(s, "preload"), FEED, "three inputs"),
        (lambda s: design_map(s, "preload", also=["prelod"]), FEED | BEND, "did you mean preload"),
        (lambda s: lines(s, "drag"), FEED, "no result of this sweep"),
        (lambda s: design_map(s, "preload"), THREE, "two inputs .* draw panels, or hold one at a single value"),
        (lambda s: lines(s, "preload"), THREE, "draw panels, or hold one at a single value"),
        (lambda s: lines(s, "preload"), FOUR, "hold 2 of them at a single value each"),
        (lambda s: sweep_figure(s, []), FEED, "one to 4 results and none is given; name one"),
        (lambda s: sweep_figure(s, 5), FEED, "5 is no name of a result; give one such as"),
        (lambda s: lines(s, ["preload"]), FEED, "a list is no name of a result; give one such as"),
        (lambda s: design_map(s, "preload", also=[["preload"]]), FEED | BEND, "a list is no name of a result"),
        (lambda s: family(s.build), FEED, "a Build is no sweep and no curves; give a sweep of one input"),
        (lambda s: lines(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: design_map(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: panels(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: sweep_figure(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(draw, vary, words):
    with pytest.raises(InputError, match=words) as caught:
        draw(sweep(demo(), vary, "preload"))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("vary", "of"),
    [(FOUR, ["preload"]), (FEED, [*USUAL]), (THREE, [*USUAL[:4]]), (FEED, ["preload"] * 5), (FOUR | BEND, USUAL)],
)
def test_what_cannot_be_drawn_is_known_before_it_is_solved(vary, of):
    s = sweep(demo(), vary, of)
    said = []
    for check in (lambda: check_drawable(s.shape, of), lambda: sweep_figure(s, of)):
        try:
            check()
            said.append("drawn")
        except InputError as error:
            said.append(str(error))
    assert said[0] == said[1]
    assert (said[0] == "drawn") == (len(vary) < 4 and len(set(of)) < 5)


def test_inputs_of_one_value_and_no_names_are_drawable():
    check_drawable([1, 31, 21, 1, 6], [])
    with pytest.raises(InputError, match="at most 3 inputs and this sweep varies 5; hold 2 of them"):
        check_drawable([2] * 5, [])


def test_a_result_given_twice_is_drawn_once():
    assert len(sweep_figure(made(1, "feed"), ["breakout_force", "breakout_force"]).axes) == 1
    ax = design_map(made(2, "feed and bend"), "preload", axes(), also=["preload", "drag_force", "drag_force"])
    assert not by_gid(ax, "lines preload")
    assert len(by_gid(ax, "lines drag_force")) == 1


# What is left behind


def test_axes_are_taken_and_settings_left():
    before = dict(matplotlib.rcParams)
    for draw, s in (
        (lambda s, ax: lines(s, "preload", ax), made(1, "feed")),
        (lambda s, ax: design_map(s, "preload", ax), made(2, "feed and bend")),
        (family, made(1, "balls")),
    ):
        ax = axes()
        assert draw(s, ax) is ax
    assert dict(matplotlib.rcParams) == before


def test_given_axes_open_no_window():
    script = (
        "import sys, detentsim as ds; from matplotlib.figure import Figure\n"
        "s = ds.sweep(ds.demo(), {'bar.bend': ('1 mm', '3 mm', 5)})\n"
        "t = ds.sweep(ds.demo(), {'bar.bend': ('1 mm', '3 mm', 5), 'dimple.rim_feed': ['0 mm', '0.1 mm']})\n"
        "ds.show.lines(s, 'preload', Figure().subplots()); ds.show.family(s, Figure().subplots())\n"
        "ds.show.design_map(t, 'preload', Figure().subplots()); ds.show.sweep_figure(t)\n"
        "sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize(
    "draw",
    [
        lambda: lines(made(1, "feed"), "preload"),
        lambda: family(made(1, "balls")),
        lambda: design_map(made(2, "feed and bend"), "preload"),
    ],
)
def test_without_axes_a_notebook_gets_one_figure_half_a_page_wide(draw, monkeypatch):
    monkeypatch.setenv("MPLBACKEND", "agg")
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    before = plt.get_fignums()
    ax = draw()
    try:
        assert len(plt.get_fignums()) == len(before) + 1
        assert ax.figure.get_size_inches()[0] * 25.4 == pytest.approx(85)
        check_words(ax.figure)
    finally:
        plt.close(ax.figure)
