"""The figure and the table of a fit give the numbers of the fit."""

import csv
import io

import numpy as np
import pytest
from helpers.garden import garden
from matplotlib.colors import to_hex

import detentsim as ds
from detentsim.show.in_hand.fit.data_files import fit_csv, fit_document
from detentsim.show.theme.style import OPENING

pytestmark = pytest.mark.slow  # every test here looks at one fit

READ = {"breakout_force": ("9 N", "0.2 N"), "lift_force_open": "6 N"}


@pytest.fixture(scope="module")
def fitted():
    return ds.fit(garden(), READ)


def test_the_table_says_what_the_document_says(fitted):
    rows = {row["what"]: row for row in csv.DictReader(io.StringIO(fit_csv(fitted)))}
    document = fit_document(fitted)
    told = document["inputs"] | document["results"]
    assert set(rows) == set(told)
    for name, one in told.items():
        for column, key in (("low", "low"), ("high", "high"), ("middle", "middle"), ("drawing_low", "drawing_low")):
            value = one[key]
            assert rows[name][column] == ("" if value is None else repr(value)), (name, column)
    assert (float(rows["breakout_force"]["reading"]), float(rows["breakout_force"]["error"])) == (9.0, 0.2)
    assert rows["drag_force"]["reading"] == ""


def test_the_reading_stands_on_the_curve_with_its_error(fitted):
    ax = ds.show.fitted_curve(fitted)
    (bars,) = ax.containers
    (low, high) = bars[2][0].get_segments()[0][:, 1]
    assert (low, high) == (pytest.approx(9 - 1.96 * 0.2), pytest.approx(9 + 1.96 * 0.2))
    assert bars[0].get_xdata()[0] == pytest.approx(float(fitted.middle("breakout_force_angle").m))
    bands = {one.get_gid(): one.get_paths()[0].get_extents() for one in ax.collections if one.get_gid()}
    assert bands["this knife"].height < bands["drawing"].height
    assert ax.get_xlabel() == "blade angle [deg]"
    assert ax.get_ylabel() == "force at the opener [N]"


def test_each_input_has_its_range_over_that_of_the_drawing(fitted):
    ax = ds.show.input_ranges(fitted)
    bars = [bar for bar in ax.patches if to_hex(bar.get_facecolor()) == OPENING]
    assert len(bars) == len(fitted.found.values)
    for bar, name in zip(bars, fitted.found.values, strict=True):
        (low, high), (first, last) = fitted.interval(name), fitted.before(name)
        assert bar.get_width() == pytest.approx(float((high - low).m / (last - first).m))
    assert np.all(np.diff(ax.get_ylim()) < 0)


def test_the_page_is_drawn_whole(fitted):
    figure = ds.show.fit_figure(fitted)
    assert len(figure.axes) == 2
    assert "lift force open" in figure.texts[-1].get_text()
