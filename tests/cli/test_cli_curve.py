"""`detentsim curve` as a newcomer meets it: report, JSON, CSV, figure."""

import csv
import re

import pytest
from helpers.garden import GARDEN_FILE, WORKSHOP_FILE, WORKSHOP_TEXT
from helpers.strict_json import strict

import detentsim as ds
from detentsim.cli.outputs import SIGNED


def test_curve_of_the_demo_says_so_in_the_first_line(run):
    status, out, err = run("curve")
    assert (status, err) == (0, "")
    assert out.splitlines()[0].startswith("No build file given: this is the packaged demo")
    for part in ("Warnings", "Limits", "Target", "Stays shut", "Feel at the opener", "At the bench"):
        assert part in out
    whole = run("curve", "--full")[1]
    for part in ("In plain words", "Behind it", "Against the target", "Assumed", "Stop and try"):
        assert part in whole
        assert part not in out


@pytest.mark.slow
@pytest.mark.parametrize("build", [None, GARDEN_FILE, WORKSHOP_FILE])
@pytest.mark.parametrize("command", ["curve", "limits", "motion"])
def test_a_short_report_opens_with_the_verdict_and_fits_a_page(run, command, build):
    lines = run(command, *([] if build is None else [build]))[1].splitlines()
    verdicts = ("No warning, within its limits, on target.", "Not right as it is: ")
    assert sum(line.startswith(verdicts) for line in lines[:5]) == 1
    assert len(lines) <= 30


def test_a_torque_that_pushes_the_blade_off_its_stop_says_so(run, tmp_path):
    proud = tmp_path / "proud.toml"
    proud.write_text(ds.demo().change({"dimple.overclose": "-0.05 mm"}).text)
    told = "negative: it pushes the blade off its stop"
    assert told in " ".join(run("curve", proud)[1].split())
    assert told not in " ".join(run("curve")[1].split())


def test_dust_is_warned_of_where_a_cut_is_told(run):
    """Drilling asks for care with dust; bending the bar in does not."""
    assert "titanium chips and dust burn" in " ".join(run("curve", GARDEN_FILE)[1].split())
    assert "dust" not in run("limits", GARDEN_FILE)[1]


def test_units_may_be_chosen(run):
    out = run("curve", "--units", "inch", "--full")[1]
    assert " lbf" in out
    assert " thou" in out
    computed = out.partition("Feel at the opener")[2].partition("Against the target")[0]
    assert not re.search(r"\d (N|mm|MPa|N/mm|mJ)\b", computed)
    assert max(map(len, out.splitlines())) <= 110


def test_curve_of_a_file_does_not_speak_of_the_demo(run, build_file):
    status, out, _ = run("curve", build_file(WORKSHOP_TEXT))
    assert status == 0
    assert "demo" not in out
    assert out.startswith("82 mm garden folder")


def test_curve_json_has_the_keys_others_rely_on(run, build_file):
    document = strict(run("curve", "--json")[1])
    assert {"build", "demo", "results", "flags", "assumed", "curve"} <= set(document)
    assert document["demo"] is True
    assert document["results"]["breakout_force"]["unit"] == "N"
    assert list(document["curve"]) == [
        "blade_angle_deg",
        "opening_torque_Nmm",
        "closing_torque_Nmm",
        "opening_force_N",
    ]
    assert "friction.ball_on_tang" in document["assumed"]
    assert strict(run("curve", build_file(WORKSHOP_TEXT), "--json")[1])["demo"] is False


def test_json_says_why_a_result_is_missing(run, build_file):
    text = WORKSHOP_TEXT.replace('bend = "', 'bend = "-').replace("[friction]", "[friction]")
    document = strict(run("curve", build_file(text), "--json")[1])
    assert document["flags"] == ["floats"]
    missing = document["results"]["breakout_force"]
    assert missing["value"] is None
    assert missing["why"] == "the ball never reaches the tang"


def test_a_locked_blade_gives_null_not_infinity(run, build_file):
    text = WORKSHOP_TEXT + "\n[friction]\nball_on_tang = 0.9\n"
    document = strict(run("curve", build_file(text), "--json")[1])
    assert "locks_solid" in document["flags"]
    assert document["results"]["breakout_torque"]["value"] is None
    assert set(document["curve"]["opening_torque_Nmm"][1:]) == {None}  # the first row is the blade at rest


def test_csv_holds_what_json_holds(run, tmp_path):
    path = tmp_path / "curve.csv"
    document = strict(run("curve", "--json", "--csv", path)[1])
    rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    assert rows[0] == list(document["curve"])
    for column, values in enumerate(document["curve"].values()):
        assert [float(row[column]) if row[column] else None for row in rows[1:]] == values


def test_press_stiffens_and_is_a_force(run):
    free = strict(run("curve", "--json")[1])["results"]["preload"]["value"]
    pressed = strict(run("curve", "--json", "--press", "5 N")[1])["results"]["preload"]["value"]
    assert 5 < pressed - free < 7
    status, out, err = run("curve", "--press", "5 lb")
    assert (status, out) == (2, "")
    assert err.startswith("--press:")
    assert "lbf" in err


@pytest.mark.slow
def test_document_and_figure_are_written(run, tmp_path):
    document, figure = tmp_path / "report.txt", tmp_path / "curve.png"
    status, out, _ = run("curve", "-o", document, "--figure", figure)
    assert status == 0
    assert document.read_text(encoding="utf-8") == f"{out}\n{SIGNED}\n"
    assert figure.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


@pytest.mark.slow
@pytest.mark.parametrize("option", ["--csv", "-o", "--figure"])
def test_an_output_that_cannot_be_written_is_one_sentence(run, tmp_path, option):
    status, out, err = run("curve", option, tmp_path / "nowhere" / "file.png")
    assert (status, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert option in err
    assert list(tmp_path.iterdir()) == []


def test_an_output_that_is_a_folder_is_one_sentence(run, tmp_path):
    status, _, err = run("curve", "--csv", tmp_path)
    assert status == 2
    assert len(err.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_a_figure_of_another_kind_is_refused(run, tmp_path):
    status, _, err = run("curve", "--figure", tmp_path / "curve.bmp")
    assert status == 2
    assert "--figure" in err
    assert ".png" in err


@pytest.mark.parametrize("full", [(), ("--full",)])
def test_an_elastic_rim_is_told(run, build_file, full):
    said = "Ball and rim are taken as elastic"
    elastic = build_file(WORKSHOP_TEXT + '\n[contact]\nrim = "elastic"\n')
    assert said in run("curve", elastic, *full)[1]
    assert said not in run("curve", build_file(WORKSHOP_TEXT), *full)[1]


@pytest.mark.parametrize("full", [(), ("--full",)])
def test_what_is_wrong_is_changed_before_a_cut(run, build_file, full):
    told = run("curve", build_file(GARDEN_FILE.read_text().replace('bend = "1.6 mm"', 'bend = "-1 mm"')), *full)[1]
    assert "At the bench\n  Change the build before you cut.\n  1. " in told
    assert "Change the build" not in run("curve", *full)[1]


def test_an_assumed_length_stands_in_the_units_of_its_band(run):
    told = run("curve", "--full", "--units", "inch")[1]
    assert "dimple.edge_radius        0.8 thou (band 0.0 to 2.0 thou)" in told
    assert "dimple.edge_radius        0.02 mm (band 0 to 0.05 mm)" in run("curve", "--full")[1]
