"""`detentsim design` as a newcomer meets it, right input and wrong."""

import csv
import json
from functools import partial
from types import SimpleNamespace

import pytest
from helpers.garden import GARDEN_FILE, garden
from helpers.strict_json import strict

import detentsim as ds
from detentsim.cli.outputs import SIGNED
from detentsim.knife.record.fields import MEASURED
from detentsim.show.many_builds.design.report import _file_lines, design_report
from detentsim.show.theme.tables import WIDTH

FEW = ("--fix", "ball.diameter,bar.thickness", "--fix", "bar.relief_length", "--fix", "dimple.pilot_drill")


@pytest.fixture
def run(run):
    return partial(run, "design")


@pytest.mark.slow
def test_the_demo_says_so_first(run):
    status, out, err = run(*FEW, "--full")
    assert (status, err) == (0, "")
    assert out.startswith("No build file given: this is the packaged demo")
    assert "Proposals, largest share inside first" in out
    assert "Fixed: ball 2 mm, first drill 1.8 mm, slab 3.0 mm, relief's cutter 10 mm." in " ".join(out.split())


@pytest.mark.slow
def test_the_report_says_what_shop_sizes_are_in_its_own_unit_and_fits_the_terminal(run):
    status, out, _ = run(GARDEN_FILE, *FEW, "--full")
    assert status == 0
    assert max(map(len, out.splitlines())) <= WIDTH
    rows = [line.split() for line in out.splitlines()]
    assert ["#54", "1.397"] in rows
    assert ["1/16", "in", "1.5875"] in rows
    fixed = ["ball.diameter", "bar.thickness", "bar.relief_length", "dimple.pilot_drill"]
    assert out == design_report(ds.design(garden(), fixed), full=True)


@pytest.mark.slow
def test_an_inch_report_gives_the_lines_for_the_build_file_in_thou(run):
    told = run(*FEW, "--units", "inch")[1]
    lines = told.split("put into the build file\n")[1].split("  It gives")[0].splitlines()
    typed = dict(line.strip().split(" = ") for line in lines if " = " in line)
    fixed = ["ball.diameter", "bar.thickness", "bar.relief_length", "dimple.pilot_drill"]
    best = ds.design(ds.demo(), fixed).best
    assert {"bar.bend", "bar.relief_thickness"} & set(typed)
    for name in {"bar.bend", "bar.relief_thickness", "dimple.rim_feed"} & set(typed):
        assert typed[name].endswith(' thou"')
        assert ds.demo().change({name: typed[name].strip('"')}).si(name) == pytest.approx(best.metres[name], abs=0.2e-6)


@pytest.mark.slow
def test_a_flag_that_only_describes_is_no_warning(run):
    told = run(*FEW)[1]
    assert "Worth knowing, by proposal\n" in told
    assert "[snaps]" in told.split("Worth knowing, by proposal\n")[1]
    assert "Warnings, by proposal" not in told


@pytest.mark.slow
def test_most_says_how_many_are_told(run):
    def told(out):
        table = out.partition("Proposals, largest share inside first")[2].partition("Feed, relief")[0]
        return len(table.strip().splitlines()) - 1

    words = (GARDEN_FILE, "--fix", "bar.thickness,bar.relief_length,bar.relief_thickness,ball.diameter,dimple.rim_feed")
    whole = told(run(*words, "--most", "100")[1])
    assert whole > 2
    assert told(run(*words, "--most", "2")[1]) == 2


@pytest.mark.parametrize("count", ["0", "-1", "two", "1000", ""])
def test_a_count_that_is_none_is_refused(run, count):
    status, out, err = run(GARDEN_FILE, f"--most={count}")
    assert (status, out) == (2, "")
    assert err.startswith("--most: ")
    assert err.count("\n") == 1


@pytest.mark.slow
def test_json_is_one_document_and_its_changes_go_back_into_the_build(run):
    status, out, _ = run(GARDEN_FILE, *FEW, "--json")
    assert status == 0
    found = strict(out)
    assert set(found) == {
        "build", "demo", "verdict", "wanted", "free", "fixed", "proposals", "words", "combinations", "designs",
        "dropped", "errors", "stopped",
    }  # fmt: skip
    first = found["proposals"][0]
    assert set(first) == {
        "sizes", "changes", "inside", "margin_tenths", "sound", "limits_passed", "flags", "results",
    }  # fmt: skip
    c = ds.curve(garden().change(first["changes"]))
    assert first["results"]["breakout_force"] == {"value": pytest.approx(c.results["breakout_force"]), "unit": "N"}
    assert first["sizes"]["dimple.pilot_drill"] == {"text": "#54", "mm": 1.397}
    assert found["errors"]["bar.bend"] == ["-0.05 mm", "0.05 mm"]


def test_csv_has_a_row_for_each_proposal(run, tmp_path):
    path, report = tmp_path / "found.csv", tmp_path / "found.txt"
    status, out, _ = run(GARDEN_FILE, *FEW, "--csv", path, "-o", report)
    assert status == 0
    assert report.read_text(encoding="utf-8") == f"{out}\n{SIGNED}\n"
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    assert rows
    for row in rows:
        assert row["dimple.pilot_drill"] == "#54"
        assert float(row["dimple.pilot_drill_mm"]) == 1.397
        assert 9 <= float(row["breakout_force_N"]) <= 13
        assert 0 <= float(row["inside"]) <= 1


def test_nothing_that_meets_the_target_is_a_no(run, tmp_path):
    path = tmp_path / "stiff.toml"
    text = GARDEN_FILE.read_text(encoding="utf-8")
    path.write_text(text.replace('at_least = "9 N", at_most = "13 N"', 'at_least = "300 N"'), encoding="utf-8")
    status, out, err = run(path, *FEW)
    assert (status, err) == (1, "")
    assert "No design meets the target. No sound design gives breakout at least 300 N" in " ".join(out.split())
    assert json.loads(run(path, *FEW, "--json")[1])["proposals"] == []


def test_a_build_without_a_target_gets_one_sentence(run, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(GARDEN_FILE.read_text(encoding="utf-8").split("[target]")[0], encoding="utf-8")
    status, out, err = run(path)
    assert (status, out) == (2, "")
    assert err.startswith("target: is missing; write [target]")
    assert err.count("\n") == 1


def test_an_unknown_name_gets_the_nearest_known(run):
    status, out, err = run(GARDEN_FILE, "--fix", "ball.diametre")
    assert (status, out) == (2, "")
    assert "ball.diameter" in err
    assert err.count("\n") == 1


def test_only_lines_that_the_file_has_are_taken_out():
    build = ds.demo().change({"bar.stiffness": "3.3 N/mm"})
    proposed = SimpleNamespace(changes=dict.fromkeys(MEASURED) | {"bar.calibration": 1.1})
    assert list(_file_lines(proposed, build)) == ["bar.stiffness: take it out", "bar.calibration = 1.1"]
