"""`detentsim compare` as a newcomer meets it, right input and wrong."""

import pytest
from helpers.garden import GARDEN_TEXT
from helpers.gauges import readings, table
from helpers.strict_json import strict

import detentsim as ds
from detentsim.cli.entry import main
from detentsim.cli.outputs import SIGNED
from detentsim.knife.measured.measured import Measured


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def call(*words):
        status = main(["compare", *(str(word) for word in words)])
        out, err = capsys.readouterr()
        return status, out, err

    assert main(["new", "mine.toml"]) == 0
    build = ds.Build.read("mine.toml")
    for i in (1, 2, 3):
        (tmp_path / f"pull{i}.csv").write_text(table([readings(build, noise=0.1, seed=i)], "ozf"))
    capsys.readouterr()
    return call


def test_build_and_curves(run):
    status, out, err = run("mine.toml", "pull1.csv")
    assert (status, err) == (0, "")
    assert "2. pull1: measured, 1 run" in out
    assert "the difference is not felt" in " ".join(out.split())


def test_files_with_a_comma_between_are_runs_of_one_knife(run):
    out = run("mine.toml", "pull1.csv,pull2.csv, pull3.csv")[1]
    assert "2. pull1, pull2, pull3: measured, 3 runs" in out
    assert "+-" in out


def test_builds_of_one_name_are_told_apart_by_their_files(run, tmp_path):
    text = (tmp_path / "mine.toml").read_text()
    (tmp_path / "other.toml").write_text(text)
    out = run("mine.toml", "other.toml")[1]
    assert "1. my folder (mine): a build" in out
    assert "2. my folder (other): a build" in out
    assert "0.0 hand-steps from 1" in out


def test_json_and_target(run):
    status, out, _ = run("mine.toml", "--target", "pull1.csv", "--json")
    found = strict(out)
    assert status == 0
    assert found["items"][0]["to_target"]["steps"] < 1
    assert found["target"]["kind"] == "measured"
    assert run("pull2.csv", "--target", "mine.toml")[0] == 0


@pytest.mark.slow
def test_outputs_are_files(run, tmp_path):
    status, out, _ = run("mine.toml", "pull1.csv", "--csv", "f.csv", "--figure", "f.png", "-o", "f.txt")
    assert status == 0
    assert (tmp_path / "f.txt").read_text() == f"{out}\n{SIGNED}\n"
    assert (tmp_path / "f.png").read_bytes().startswith(b"\x89PNG")
    assert len(Measured.read(tmp_path / "f.csv").runs) == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "compare needs two items at least"),
        (["mine.toml"], "compare needs two items at least"),
        (["--target", "pull1.csv"], "compare needs two items at least"),
        (["mine.toml", "pull1.txt"], 'BUILD: "pull1.txt" must end in .toml (a build) or .csv (a measured curve)'),
        (["mine.toml", ""], 'BUILD: "" must end in .toml'),
        (["mine.toml", "none.csv"], "none.csv: there is no such file"),
        (["mine.toml", "pull1.csv,none.csv"], "none.csv: there is no such file"),
        (["mine.toml", "mine.toml", "--target", "none.csv"], "none.csv: there is no such file"),
        (["mine.toml", "pull1.csv", "--csv", "pull1.csv"], "--csv: pull1.csv is read by this command"),
        (["mine.toml", "pull1.csv,pull2.csv", "-o", "pull2.csv"], "-o: pull2.csv is read by this command"),
        (["mine.toml", "pull1.csv", "--csv", "x.csv", "-o", "x.csv"], "-o: x.csv is written by --csv already"),
        (["mine.toml", "pull1.csv", "--figure", "x.gif"], "must end in .png, .svg or .pdf"),
        (["mine.toml"] * 9, "has 9 items; give 8 at most"),
    ],
)
def test_bad_input(run, words, said):
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
    assert len(err.splitlines()) == 1


def test_all_problems_of_all_files_at_once(run, tmp_path):
    (tmp_path / "bad.toml").write_text('[bar]\nthickness = 3\nbend = "x"\n')
    (tmp_path / "bad.csv").write_text("angle_deg,force_N\n0,nan\n1,x\n")
    status, _, err = run("bad.toml", "bad.csv", "none.csv")
    lines = err.splitlines()
    assert status == 2
    assert [line.startswith("bad.csv:2: force_N: ") for line in lines].count(True) == 1
    assert any(line.startswith("bad.csv:3: force_N: ") for line in lines)
    assert any(line.startswith("bad.toml:2: bar.thickness: ") for line in lines)
    assert lines[-1].startswith("none.csv: there is no such file")


def test_rounding_is_no_scatter(tmp_path, capsys):
    """Three equal runs differ by rounding alone; no row of zeros stands for that."""
    pull = ((0, 5.1), (0.3, 9.1), (1, 6.3), (3, 3.1), (6, 0.41), (9, 0.41), (12, 0.41))
    rows = "".join(f"{x},{y},{run}\n" for run in (1, 2, 3) for x, y in pull)
    (tmp_path / "pull.csv").write_text("angle_deg,force_N,run\n" + rows)
    (tmp_path / "garden.toml").write_text(GARDEN_TEXT)
    assert main(["compare", str(tmp_path / "garden.toml"), str(tmp_path / "pull.csv")]) == 0
    text = capsys.readouterr().out
    assert "+- 0" in text
    assert "0.00000" not in text
