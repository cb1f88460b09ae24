"""A build typed in inches is told in inches, thou and pounds by every report and figure; a metric one in mm and N."""

import re

import pytest
from helpers.garden import INCH_FILE
from helpers.reported import Read

import detentsim as ds
from detentsim.show.in_hand.report.page import report_page

pytestmark = pytest.mark.usefixtures("remembered", "fewer")

METRIC = re.compile(r"(?<![\w.])(?:mm|um|[mk]?N|mJ|[MG]?Pa|gram|kg)\b(?!\*\*0)|\bm/(?:s|min)\b")
INCH = re.compile(
    r"(?<![\w.])(?:thou|in(?=[\])*/])|lbf|ozf|oz|ksi|lb/in)\b|\d in\b(?! (?:ten|twenty|a hundred))|\bft/min\b"
)

QUICK = {
    "curve": ["--full"],
    "curve pressed": ["--press", "1 lbf", "--full"],
    "curve worn in": ["--worn-in", "--full"],
    "limits": ["--full", "--push", "0.5 in"],
    "motion": ["--full"],
    "readings": [],
    "compare": [INCH_FILE, "--full"],
    "sweep": ["--vary", "bar.bend=1.8 mm:2.2 mm:3", "--of", "breakout_force,seat_depth,bar_stiffness,working_stress"],
}
READ = ["--reading", "breakout_force=2.4 lbf", "--reading", "loose_ball_height=55 thou"]
LONG = {
    "layout": ["--full"],
    "sheet": [],
    "advise": ["--full"],
    "advise knife": [*READ, "--want", "lighter", "--full"],
    "design": ["--full", "--fix", "ball.diameter"],
    "fit": [*READ, "--full"],
    "batch": ["--full", "--aim", "dimple.overclose=1 thou:3 thou:3"],
}


def drawn(path) -> str:
    """Words of a figure: a drawing whose text is paths names each line in a comment."""
    return without_second_scales("\n".join(re.findall(r"<!-- (.*?) -->", path.read_text(encoding="utf-8"))))


def without_second_scales(words) -> str:
    """Words of figures but for the label of a scale that gives the same lengths in the other system."""
    for name in re.findall(r"([a-z']+ [a-z']+) \[thou\]", words):
        words = words.replace(f"{name} [mm]", "")
    return words


def check(run, tmp_path, command, words, file, units, others):
    """A report and its figure, with a number in `units` and none in `others`."""
    name, picture = command.partition(" ")[0], tmp_path / "drawn.svg"
    figure = [] if name in ("readings", "sweep", "sheet") else ["--figure", picture]
    status, out, err = run(name, file, *words, *figure)
    assert status in (0, 1), err
    text = out + (drawn(picture) if figure else "")
    assert units.search(text)
    assert [line for line in text.splitlines() if others.search(line)] == []


@pytest.mark.parametrize("command", QUICK)
def test_no_metric_unit_in_a_report_of_an_inch_build(run, tmp_path, command):
    check(run, tmp_path, command, QUICK[command], INCH_FILE, INCH, METRIC)


@pytest.mark.slow
@pytest.mark.parametrize("command", LONG)
def test_no_metric_unit_in_a_longer_report_of_an_inch_build(run, tmp_path, command):
    check(run, tmp_path, command, LONG[command], INCH_FILE, INCH, METRIC)


@pytest.mark.parametrize(
    "command", ["curve", "limits", "motion", "readings", pytest.param("sheet", marks=pytest.mark.slow)]
)
def test_no_inch_unit_in_a_report_of_a_metric_build(run, tmp_path, build_file, command):
    words = ["--full"] if command in ("curve", "limits", "motion") else []
    check(run, tmp_path, command, words, build_file(ds.demo().text), METRIC, INCH)


@pytest.mark.slow
def test_the_whole_page_of_an_inch_build_keeps_to_its_units():
    """But for what a source is quoted with."""
    page = Read(report_page(ds.report(ds.Build.read(INCH_FILE), count=64)))
    del page.text["sources"]
    told = [line for text in (*page.text.values(), without_second_scales(page.drawn)) for line in text.splitlines()]
    assert any(INCH.search(line) for line in told)
    assert [line for line in told if METRIC.search(line)] == []


def test_forces_typed_in_ounces_are_told_in_ounces(run, build_file):
    text = INCH_FILE.read_text(encoding="utf-8").replace('"2 lbf"', '"32 ozf"').replace('"2.9 lbf"', '"46 ozf"')
    out = run("curve", build_file(text), "--full")[1]
    assert re.search(r"Breakout +\d\d ozf \(likely \d\d to \d\d ozf\)", out)
    assert "lbf" not in out
