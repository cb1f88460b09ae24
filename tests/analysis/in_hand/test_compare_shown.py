"""Comparisons shown: report, document, table and figure."""

import dataclasses
import json
import re

import numpy as np
import pytest
from helpers.gauged import DEEP, gauge
from helpers.gauges import readings, table
from helpers.words import check_words
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.analysis.hand_steps import steps_between
from detentsim.analysis.in_hand.compare.compare import MOST
from detentsim.analysis.in_hand.compare.feel_curves import feel_of_measured
from detentsim.analysis.in_hand.compare.quantities import UNITS
from detentsim.knife.measured.measured import Measured
from detentsim.knife.target.target import FELT
from detentsim.show.in_hand.compare.data_files import compare_csv, compare_document
from detentsim.show.in_hand.compare.overlays import MARKERS, overlay
from detentsim.show.in_hand.compare.overlays import hand_steps as draw_steps
from detentsim.show.in_hand.compare.page import compare_figure
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.show.theme.tables import to_json
from detentsim.units.numbers import two_digits
from detentsim.units.systems import INCH

# ---------------------------------------------------------------- text, document, table, figure


@pytest.mark.slow
def test_report_and_document(demo, light):
    c = ds.compare(demo, gauge(light), light, names=["as drawn", "on the bench", "bent out"])
    text = compare_report(c)
    assert all(len(line) <= 96 for line in text.splitlines())
    assert "2. on the bench: measured, 3 runs" in text
    assert re.search(r"breakout \[N\] +9\.7 +4\.\d to 5\.\d \+- 0\.\d+ +4\.7", text)
    found = json.loads(to_json(compare_document(c)))
    assert list(found) == ["items", "target", "step", "curves"]
    one = found["items"][1]
    assert one["results"]["breakout_force"]["value"] == c.items[1].values["breakout_force"]
    assert one["results"]["draw_torque"] == {"value": None, "unit": "N*mm", "why": c.items[1].why["draw_torque"]}
    assert one["distance"]["steps"] == c.distances[1].steps
    assert len(found["curves"]["force_N"]) == 3
    assert {len(row) for row in found["curves"]["force_N"]} == {len(found["curves"]["blade_angle_deg"])}
    assert set(one["results"]) == set(UNITS)
    assert repr(c).startswith("<Comparison with 'as drawn': 'on the bench' ")


def test_in_a_notebook_it_is_a_small_table(demo, light):
    html = ds.compare(demo, light, names=["<b>", "light"])._repr_html_()
    assert "<th>&lt;b&gt;</th><th>light</th>" in html
    assert "<th>breakout_force [N]</th><td>9.7</td><td>4.7</td>" in html


def test_one_slip_of_the_gauge_is_warned_of(demo):
    x, y = readings(demo, noise=0.1)
    y[200] = 40.0
    feel = feel_of_measured(Measured.from_text(table([(x, y)])), "m")
    assert any("that one is a slip" in note for note in feel.notes)


def test_table_can_be_read_again(demo, light):
    c = ds.compare(demo, light)
    again = Measured.from_text(compare_csv(c))
    assert len(again.runs) == 2
    for run, feel in zip(again.runs, c.items, strict=True):
        assert run.force == pytest.approx(feel.at(np.degrees(run.angle)), rel=1e-9)
    assert np.all(np.diff(c.angle) > 0)


def test_curve_table_of_a_build_is_a_measured_curve(demo):
    from detentsim.show.one_build.feel_curve.data_files import curve_csv

    c = ds.compare(demo, Measured.from_text(curve_csv(ds.curve(demo))))
    assert c.distances[1].steps < 0.05
    assert c.items[1].values["breakout_force"] == pytest.approx(c.first.values["breakout_force"], rel=2e-3)


@pytest.fixture(scope="module")
def pictured(demo, light):
    return ds.compare(demo, gauge(light, 3), demo.change(DEEP), names=["as drawn", "on the bench", "fed deep"])


def test_overlay_draws_what_was_found(pictured):
    ax = overlay(pictured, Figure().subplots())
    dots = [line for line in ax.lines if line.get_gid() == "readings"]
    assert len(dots) == 3
    assert {line.get_marker() for line in dots} == {MARKERS[1]}
    rings = [line.get_xydata()[0] for line in ax.lines if line.get_gid() == "breakout"]
    wanted = [(f.values["breakout_force_angle"], f.values["breakout_force"]) for f in pictured.items]
    assert np.allclose(rings, wanted)
    band = next(patch for patch in ax.patches if patch.get_gid() == "target")
    assert (band.get_y(), band.get_height()) == (9, 4)
    assert ax.get_legend().get_texts()[1].get_text() == "2  on the bench (measured, 3 runs)"
    assert not any(c.get_gid() == "one step" for c in ax.collections)


def test_target_curve_is_shaded_one_step_either_way(demo, light):
    c = ds.compare(demo, target=gauge(light, 1, 0.0))
    ax = overlay(c, Figure().subplots())
    shade = next(part for part in ax.collections if part.get_gid() == "one step").get_paths()[0].vertices
    top = c.target.values["breakout_force"]
    assert shade[:, 1].max() == pytest.approx(top * (1 + FELT))
    steps = draw_steps(c, Figure().subplots())
    assert steps.get_ylabel() == "hand-steps from target"


def test_steps_are_drawn_from_the_first(pictured):
    ax = draw_steps(pictured, Figure().subplots())
    drawn = [line.get_ydata() for line in ax.lines if len(line.get_ydata()) == pictured.angle.size]
    assert len(drawn) == 2
    at = int(np.searchsorted(pictured.angle, 3.0))
    expected = steps_between(pictured.forces[0, at], pictured.forces[1, at])
    assert drawn[0][at] == pytest.approx(float(expected))


@pytest.mark.slow
def test_words_of_the_figure_can_be_read(pictured, demo):
    check_words(compare_figure(pictured))
    long = ds.compare(
        *[demo.change({"bar.bend": f"{1 + 0.25 * i} mm"}) for i in range(MOST)], names=["$x_" * 30] * MOST
    )
    check_words(compare_figure(long))
    ends = ds.compare(demo, target=gauge(demo, 1, 0.0, last=3.0))
    check_words(compare_figure(ends))


@pytest.mark.slow
def test_inches_in_report_and_figure(demo, light):
    """Shown in inches the numbers are the same: 4.4482216 N to the pound, 7.061552 mJ to the ounce-inch."""
    c = dataclasses.replace(ds.compare(demo, light), shown_in=INCH)
    text = compare_report(c, full=True)
    assert "breakout [lbf]" in text
    assert not re.search(r"\[(N|mJ|N\*mm)\]", text)
    assert f"{two_digits(c.items[1].values['breakout_force'] / 4.4482216)}" in text
    ax = overlay(c, Figure().subplots())
    assert ax.get_ylabel() == "force at the opener [lbf]"
    line = next(line for line in ax.lines if line.get_label() == c.first.name)
    assert 4.4482216 * line.get_ydata() == pytest.approx(c.first.force)
    assert ds.compare(demo.change({"units": "inch"}), light).units is INCH
    check_words(compare_figure(c))


@pytest.mark.slow
def test_short_report_explains_the_hand_step_and_uses_no_internal_names(demo, light):
    short, full = (compare_report(ds.compare(demo, light), full) for full in (False, True))
    assert "A hand-step is 10 % of force" in short
    assert short.index("How far apart they feel") < short.index("Each build by itself") < short.index("Results")
    assert len(short.splitlines()) <= 40
    assert len(full) > len(short)
    assert not re.search(r"[a-z]_[a-z]", short.replace("radial_error", ""))


def test_rounding_is_shown_as_zero(demo):
    """A difference of 1e-17 N between equal builds is rounding, whatever its sign."""
    made = ds.compare(demo, demo)
    other = dataclasses.replace(made.items[1], values=made.items[1].values | {"draw_torque": 54.0 - 1e-15})
    first = dataclasses.replace(made.items[0], values=made.items[0].values | {"draw_torque": 54.0})
    assert not re.search(r"0\.0000", compare_report(dataclasses.replace(made, items=(first, other)), full=True))
