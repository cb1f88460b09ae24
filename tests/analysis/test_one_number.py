"""One number for one thing: in every document, table, report and figure of a build, and as attributes in Python."""

import csv
import io

import numpy as np
import pytest
from helpers.told import NAMES, answered, build, documents, figures, number_of, read_numbers, texts

from detentsim.knife.outcomes import RESULTS
from detentsim.show.many_builds.sweep.report import sweep_csv
from detentsim.show.one_build.feel_curve.data_files import curve_csv

EVERYDAY = ("in inches", "locks")
BUILDS = [pytest.param(name, marks=() if name in EVERYDAY else pytest.mark.slow) for name in NAMES]


@pytest.mark.parametrize("name", BUILDS)
def test_documents_give_one_number_in_one_unit_for_one_reason(name):
    first = {}
    for command, document in documents(name).items():
        for result, told in document["results"].items():
            value, row = number_of(told), told if isinstance(told, dict) else {}
            known, why, place = first.setdefault(result, (value, row.get("why"), command))
            assert value == (known if known is None else pytest.approx(known, rel=1e-9)), (result, place, command)
            assert row.get("why", why) == why or command == "sweep", (result, place, command)
            if value is not None and not isinstance(value, bool):
                assert row["unit"] == ("" if RESULTS[result].is_truth else RESULTS[result].unit), (result, command)
    assert set(first) == set(RESULTS)


@pytest.mark.parametrize("name", BUILDS)
def test_documents_give_one_verdict(name):
    verdicts = [one["verdict"] for one in documents(name).values() if "verdict" in one]
    assert len(verdicts) == 4
    assert all(verdict == verdicts[0] for verdict in verdicts)


@pytest.mark.parametrize("name", BUILDS)
def test_numbers_in_reports_and_figures_are_rounded_from_the_documents(name):
    count = 0
    for result in RESULTS:
        value = next(number_of(one["results"][result]) for one in documents(name).values() if result in one["results"])
        for where, text in texts(name).items():
            for printed, told, half in read_numbers(text, result):
                count += 1
                assert (told is None) == (value is None), (where, result, printed, value)
                assert value is None or abs(told - value) <= 1.02 * half, (where, result, printed, value)
    assert count >= 20


@pytest.mark.parametrize("name", BUILDS)
def test_python_gives_the_numbers_of_the_documents(name):
    c, bounds, m, _, alone = answered(name)
    for found, command in ((c, "curve"), (bounds, "limits"), (m, "motion")):
        for result, told in documents(name)[command]["results"].items():
            value, got = number_of(told), getattr(found, result)
            got = getattr(got, "falls", got)  # a curve tells why it falls shut, too
            assert (got.m_as(RESULTS[result].unit) if hasattr(got, "m_as") else got) == value
    for result in RESULTS:
        unknown = bool(alone.unknown(result)[0])
        got = np.asarray(getattr(alone[result], "m", alone[result]))[0]
        value = number_of(documents(name)["sweep"]["results"][result])
        assert value is None if unknown or np.isnan(float(got)) else value == got


def _rows(text):
    return list(csv.reader(io.StringIO(text)))


@pytest.mark.parametrize("name", BUILDS)
def test_tables_hold_the_numbers_of_the_documents(name):
    c, *_, alone = answered(name)
    heads, *rows = _rows(curve_csv(c))
    columns = documents(name)["curve"]["curve"]
    assert heads == list(columns)
    told = [[None if cell == "" else float(cell) for cell in row] for row in rows]
    assert told == [list(row) for row in zip(*columns.values(), strict=True)]
    heads, row = _rows("".join(sweep_csv(alone)))
    for result, told in documents(name)["sweep"]["results"].items():
        place = next(i for i, head in enumerate(heads) if head == result or head.startswith(f"{result}_"))
        value = number_of(told)
        assert row[place] == ("" if value is None else str(value).lower() if isinstance(value, bool) else repr(value))


@pytest.mark.parametrize("name", BUILDS)
def test_lines_of_figures_are_the_columns_of_the_documents(name):
    given, results = documents(name)["curve"]["curve"], documents(name)["curve"]["results"]
    lines = {line.get_label(): line for line in figures(name)["curve"].axes[0].lines}
    if "opening" in lines:
        for drawn, column in zip(lines["opening"].get_data(), ("blade_angle_deg", "opening_force_N"), strict=True):
            np.testing.assert_array_equal(drawn, np.array(given[column], float))
    for mark, place, height in (
        ("breakout", "breakout_force_angle", "breakout_force"),
        ("let-go", "let_go_angle", None),
        ("pull-in", "pull_in_angle", None),
        ("drag", None, "drag_force"),
    ):
        if mark in lines:
            (x,), (y,) = lines[mark].get_data()
            assert place is None or x == pytest.approx(number_of(results[place]))
            assert height is None or y == pytest.approx(number_of(results[height]))
    assert ("breakout" in lines) == (number_of(results["breakout_force"]) is not None)


@pytest.mark.parametrize("name", BUILDS)
def test_energies_of_the_figure_are_those_of_the_document(name):
    """At every angle of the document, up to where a blade that stalls does so: there the lines end."""
    given = documents(name)["motion"]["path"]
    drawn = {line.get_label(): line.get_data() for ax in figures(name)["motion"].axes for line in ax.lines}
    assert ("left" in drawn) == (given is not None)
    for line in ("finger", "spent", "left") if given is not None else ():
        told = np.array(given[f"{line}_mJ"], float) * build(name).units.scale("mJ")
        at = np.interp(given["blade_angle_deg"], *drawn[line], right=np.nan)
        known = np.isfinite(told) & np.isfinite(at)
        assert known.sum() > 2
        np.testing.assert_allclose(at[known], told[known], rtol=1e-9, atol=1e-9 * np.max(np.abs(told[known])))
