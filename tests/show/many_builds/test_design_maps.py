"""Maps, panels and families of a sweep: its own numbers are drawn, what is flagged is marked where it is."""

import itertools

import numpy as np
import pytest
from helpers.drawn_sweeps import (
    DRILLS,
    axes,
    blank,
    by_gid,
    by_label,
    covers,
    fill,
    made,
    maps_of,
    texts,
    three,
    untargeted,
)
from helpers.garden import workshop
from helpers.words import check_words
from matplotlib.figure import Figure

from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.show import design_map, family, panels
from detentsim.show.many_builds.sweep.regions import MARKS
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity


def framed(ax, x, y):
    """Whether a point lies inside the frame, its edges left out."""
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    return left < x < right and low < y < high


@pytest.mark.slow
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


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["feed and bend", "gap and bend", "error", "protrusion", "relief", "floats", "no knife"]
)
def test_hatches_lie_where_flags_are(name):
    s = made(2, name)
    ax = design_map(s, "breakout_force", axes())
    raised = {n: w for n, w in (s.flags | s.misfits).items() if w.any()}
    assert raised
    used = []
    for flag, where in raised.items():
        (region,) = by_gid(ax, f"region {flag}")
        for i, j in itertools.product(range(s.shape[0]), range(s.shape[1])):
            point = s.axes[0].values[i], s.axes[1].values[j]
            if framed(ax, *point):
                assert covers(region, *point) == where[i, j], (flag, point)
        assert bool(region.get_hatch()) == (flag != "snaps")  # a trait is no fault
        used += [region.get_hatch()] if region.get_hatch() else []
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


@pytest.mark.slow
@pytest.mark.parametrize("count", [2, 3, 4, 9])
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
        workshop().change({"ball.diameter": "1.6 mm"}),
        {"bar.bend": ("1 mm", "3 mm", 9)} | {"dimple.rim_feed": ("0 mm", "0.1 mm", 8)},
        ["breakout_force"],
    )
    (panel,) = [ax for ax in maps_of(panels(s, "breakout_force")) if ax.get_title() == "ball diameter 1.6 mm"]
    np.testing.assert_allclose(s.results["breakout_force"][:, :, 1], held.results["breakout_force"], rtol=1e-12)
    (filled,) = fill(panel)
    paths, levels = filled.get_paths(), filled.levels
    looked = 0
    for i, j in itertools.product(range(1, 8), range(1, 7)):
        value, point = held.results["breakout_force"][i, j], (s.axes[0].values[i], s.axes[1].values[j])
        if np.abs(levels - value).min() > 0.05:
            (hit,) = [k for k, path in enumerate(paths) if len(path.vertices) and path.contains_point(point)]
            assert levels[hit] < value < levels[hit + 1]
            looked += 1
    assert looked > 20


def test_words_stand_from_panel_to_panel_wherever_they_were_given():
    vary = {"bar.bend": ("1 mm", "3 mm", 5), **DRILLS, "dimple.rim_feed": ("0 mm", "0.1 mm", 5)}
    figure = Figure(figsize=(6.7, 5))
    assert panels(sweep(workshop(), vary, "preload"), "preload", figure) is figure
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
