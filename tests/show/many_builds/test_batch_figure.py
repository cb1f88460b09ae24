"""The page of a batch: dots, target, range of the feel curve, bars; words that can be read."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.words import check_words

from detentsim.analysis.many_builds.batch.batch import batch
from detentsim.analysis.many_builds.batch.findings import findings, results_of
from detentsim.knife.target.target import Target
from detentsim.show.many_builds.batch.page import batch_figure
from detentsim.show.many_builds.batch.panels import DOTS, force_range, index_bars, knife_dots

pytestmark = pytest.mark.slow  # every test here solves a batch and what would help it

LONG = "the garden folder with the long handle and the short blade " * 3
SETTINGS = {"bar.bend": ["2 mm", "2.4 mm"]}

BUILDS = {
    "garden": workshop(),
    "inch": workshop().change({"units": "inch", "name": LONG}),
    "no target": replace(workshop(), target=()),
    "truth alone": replace(workshop(), target=(Target("falls_shut", truth=True),)),
    "far from target": replace(workshop(), target=(Target("breakout_force", 100.0, 120.0),)),
    "one end": replace(workshop(), target=(Target("draw_torque", 10.0, None),)),
    "floats": workshop().change({"bar.bend": "-2 mm"}),
    "change": replace(workshop(), target=(Target("breakout_force", change=0.2),)),
}


@cache
def found(name):
    build = BUILDS[name]
    return findings(batch(build, 256, of=results_of(build)), wanted=0.2, settings=SETTINGS)


@pytest.mark.parametrize("name", BUILDS)
def test_every_page_can_be_read(name):
    figure = batch_figure(found(name))
    check_words(figure)
    assert [ax.get_xlabel() != "" for ax in figure.axes] == [True] * 3


def test_dots_stand_for_knives():
    one = found("garden")
    ax = knife_dots(one)
    dots = {line.get_gid(): line.get_xydata() for line in ax.lines if line.get_gid() in ("inside", "outside")}
    count = min(DOTS, len(one.batch))
    inside = one.batch.inside[:count]
    low, high = ax.get_xlim()
    force = one.batch.results["breakout_force"][:count]
    shown = (force > low) & (force < high)
    assert len(dots["inside"]) == np.count_nonzero(inside & shown)
    assert len(dots["outside"]) == np.count_nonzero(~inside & shown)
    places = np.vstack(list(dots.values()))
    assert len(np.unique(places, axis=0)) == len(places)
    column = (high - low) / 80
    assert np.sort(places[:, 0]) == pytest.approx(np.sort(force[shown]), abs=0.51 * column)


def test_target_and_drawing_are_where_the_results_say():
    one = found("garden")
    ax = knife_dots(one)
    band = next(patch for patch in ax.patches if patch.get_gid() == "target")
    assert (band.get_x(), band.get_x() + band.get_width()) == pytest.approx((9.0, 13.0))
    drawing = next(line for line in ax.lines if line.get_gid() == "drawing")
    assert drawing.get_xdata()[0] == one.own["breakout_force"]
    assert ax.get_xlabel() == "breakout [N]"
    assert knife_dots(found("inch")).get_xlabel() == "breakout [lbf]"


def test_range_of_the_curve_holds_nine_knives_in_ten():
    one = found("garden")
    ax = force_range(one)
    wide, half = one.force_ranges
    curves = one.batch.curves()
    at = 40
    force = curves.force[:, at]
    force = force[np.isfinite(force)]  # a knife that rests farther open has none here
    assert len(force) > 250
    assert np.mean(force < wide.low[at]) == pytest.approx(0.05, abs=0.005)
    assert np.mean(force > wide.high[at]) == pytest.approx(0.05, abs=0.005)
    assert np.mean((force > half.low[at]) & (force < half.high[at])) == pytest.approx(0.5, abs=0.01)
    middle = next(line for line in ax.lines if line.get_gid() == "middle")
    assert middle.get_ydata()[at] == pytest.approx(np.median(force))
    assert ax.get_ylabel() == "force at the opener [N]"
    assert force_range(found("inch")).get_ylabel() == "force at the opener [lbf]"


def test_bars_are_the_total_indices_the_longest_first():
    one = found("garden")
    ax = index_bars(one)
    lengths = [patch.get_width() for patch in ax.patches]
    known = one.matters["breakout_force"].inputs
    assert lengths == sorted(lengths, reverse=True)
    names = [text.get_text() for text in ax.get_yticklabels()]
    assert lengths == pytest.approx([100 * known[name].in_all for name in names])


def test_a_wanted_change_is_drawn_as_a_band_about_its_value():
    one = found("change")
    band = next(patch for patch in knife_dots(one).patches if patch.get_gid() == "target")
    assert band.get_x() < 1.2 * one.own["breakout_force"] < band.get_x() + band.get_width()


def test_knives_without_a_value_are_told_in_words():
    words = [text.get_text() for text in knife_dots(found("floats")).texts]
    assert any("none has a breakout" in text for text in words)


def test_without_a_number_among_the_targets_breakout_is_drawn():
    assert found("truth alone").chief == "breakout_force"
    assert found("one end").chief == "draw_torque"
    assert knife_dots(found("one end")).get_xlabel() == "draw onto the stop [N*mm]"
