"""The table of inputs: each line whole, each packaged number with its source; texts of a build, and absurd values."""

import csv
from pathlib import Path

import pytest
from helpers.garden import workshop

import detentsim as ds
from detentsim.knife.table import schema
from detentsim.knife.table.schema import INPUTS, MARKS
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.feel_curve.report import report

TABLE = Path(schema.__file__).with_name("inputs.csv")

# Defaults that are set beside the table, since they depend on other inputs.
ELSEWHERE = {"pivot.friction_torque", "pivot.washer_friction"}


def test_each_line_has_as_many_cells_as_the_heading():
    """An unquoted comma would cut a help text short, and shift the cells after it."""
    rows = list(csv.reader(TABLE.read_text("utf-8").splitlines()))
    assert {len(row) for row in rows} == {len(rows[0])}


@pytest.mark.parametrize("entry", INPUTS.values(), ids=INPUTS)
def test_each_packaged_number_names_its_source_and_how_sure_it_is(entry):
    packaged = entry.default is not None or entry.band is not None or entry.name in ELSEWHERE
    assert bool(entry.source) == packaged
    assert not packaged or any(mark in entry.source for mark in MARKS), entry.source


def test_the_full_report_tells_where_each_assumed_number_comes_from():
    c = ds.curve(workshop())
    assert len(c.assumed) > 3
    text = " ".join(report(c, full=True).split())
    json = curve_document(c)["assumed"]
    for name in c.assumed:
        assert " ".join(INPUTS[name].source.split()) in text, name
        assert json[name]["source"] == INPUTS[name].source
    assert INPUTS[c.assumed[0]].source not in " ".join(report(c).split())


@pytest.mark.parametrize("space", ["\u00a0", "\u202f", "\u2009", "\u3000"])
def test_a_wide_or_no_break_space_in_a_name_counts_as_a_space(space):
    build = workshop().change({"name": f"garden{space}folder"})
    assert build.name == "garden folder"
    assert ds.Build.loads(build.text).name == "garden folder"


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("garden\nfolder", "has a line break"),
        ("garden\u2028folder", "has a line break"),
        ("garden\u200bfolder", r"has a hidden character \(U\+200B\)"),
        ("garden\tfolder", r"has a hidden character \(U\+0009\)"),
        ("g" * 201, "is too long"),
    ],
)
def test_a_name_is_refused_for_what_is_wrong_with_it(name, fault):
    with pytest.raises(
        ds.InputError, match=fault + '; give one line of at most 200 characters, such as "garden folder"'
    ):
        workshop().change({"name": name})
