"""Files that commands write: never over a build, nor over anything that no command has written."""

import json
import os
import subprocess
import sys

import pytest
from helpers.garden import GARDEN_TEXT

pytestmark = pytest.mark.slow  # processes of their own


@pytest.fixture
def build(tmp_path):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN_TEXT, encoding="utf-8")
    return path


OUTPUTS = [("-o", "x.txt"), ("--csv", "x.csv"), ("--figure", "x.png"), ("--figure", "x.svg"), ("--figure", "x.pdf")]


@pytest.mark.parametrize(("option", "name"), OUTPUTS)
@pytest.mark.parametrize("there", [GARDEN_TEXT, "my notes on detentsim", "angle_deg,force_N\n1,2\n"])
def test_a_file_of_another_kind_is_left_alone(run, build, tmp_path, option, name, there):
    path = tmp_path / name
    path.write_text(there, encoding="utf-8")
    status, out, err = run("curve", build, option, path)
    assert (status, out) == (2, "")
    assert "is there already" in err
    assert "--replace" in err
    assert err.count("\n") == 1
    assert path.read_text("utf-8") == there


@pytest.mark.parametrize(("option", "name"), OUTPUTS)
def test_it_is_replaced_where_that_is_asked_for_and_written_again_as_ones_own(run, build, tmp_path, option, name):
    path = tmp_path / name
    path.write_text("my notes", encoding="utf-8")
    assert run("curve", build, option, path, "--replace")[0] == 0
    first = path.read_bytes()
    assert b"my notes" not in first
    build.write_text(GARDEN_TEXT.replace('bend = "1.6 mm"', 'bend = "2 mm"'), encoding="utf-8")
    assert run("curve", build, option, path)[0] == 0
    assert path.read_bytes() != first


def test_an_empty_file_may_be_written(run, build, tmp_path):
    (tmp_path / "empty").touch()
    assert run("curve", build, "-o", tmp_path / "empty")[0] == 0


def test_another_table_is_not_ones_own(run, build, tmp_path):
    path = tmp_path / "x.csv"
    assert run("curve", build, "--csv", path)[0] == 0
    status, _, err = run("sweep", build, "--vary", "bar.bend=1 mm:2 mm:3", "--csv", path)
    assert status == 2
    assert "--replace" in err


@pytest.mark.parametrize("option", ["-o", "--csv"])
def test_no_output_goes_over_the_build_by_another_name(run, build, tmp_path, option):
    other = tmp_path / "other.txt"
    os.link(build, other)
    for more in ((), ("--replace",)):
        status, _, err = run("curve", build, option, other, *more)
        assert status == 2
        assert "is the build file" in err
    assert build.read_text("utf-8") == GARDEN_TEXT


# The program as a process of its own: what surrounds it may be odd.


def started(build, *words, before="", **env):
    """Status and outputs of the command, run by a shell in an environment with a few settings more."""
    line = f'{before} "{sys.executable}" -m detentsim curve "{build}" {" ".join(words)}'
    done = subprocess.run(["sh", "-c", line], capture_output=True, env=os.environ | env, check=False)
    return done.returncode, done.stdout, done.stderr.decode()


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
def test_a_name_that_the_terminal_lacks_is_printed_all_the_same(build, encoding):
    build.write_text(GARDEN_TEXT.replace("82 mm garden folder", "Grün → ε"), encoding="utf-8")
    status, out, err = started(build, PYTHONIOENCODING=encoding)
    assert (status, err) == (0, "")
    assert out.decode(encoding).startswith("Gr")


def test_json_holds_a_name_that_the_terminal_lacks(build):
    build.write_text(GARDEN_TEXT.replace("82 mm garden folder", "Grün → ε"), encoding="utf-8")
    _, out, _ = started(build, "--json", PYTHONIOENCODING="ascii")
    assert json.loads(out)["build"]["name"] == "Grün → ε"


@pytest.mark.skipif(sys.platform == "win32", reason="a shell's redirection")
def test_a_closed_output_is_no_fault(build):
    assert started(build, ">&-")[::2] == (0, "")
    assert started(build, "| head -1")[::2] == (0, "")


@pytest.mark.parametrize("date", ["abc", "99999999999999999"])
def test_a_wrong_date_of_packages_changes_nothing(run, build, tmp_path, monkeypatch, date):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", date)
    assert run("curve", build, "--figure", tmp_path / "x.pdf")[::2] == (0, "")
    assert (tmp_path / "x.pdf").stat().st_size


def test_the_look_of_figures_needs_no_typesetter(build, tmp_path):
    (tmp_path / "matplotlibrc").write_text("text.usetex: True\n", encoding="utf-8")
    status, _, err = started(build, "--figure", f'"{tmp_path}/x.png"', MATPLOTLIBRC=str(tmp_path / "matplotlibrc"))
    assert (status, err) == (0, "")


def test_a_gap_stacked_from_washers_is_drawn(run, build, tmp_path):
    gap = 'washer_thickness = "0.7 mm"\nhandle_pocket = "0.15 mm"\ntang_pocket = "0.05 mm"'
    lines = [line for line in GARDEN_TEXT.split("\n") if not line.startswith("face_gap")]
    build.write_text("\n".join(lines).replace('kind = "bearings"', f'kind = "washers"\n{gap}'), encoding="utf-8")
    assert run("limits", build, "--figure", tmp_path / "x.png")[0] in (0, 1)
    assert (tmp_path / "x.png").stat().st_size


@pytest.mark.parametrize("handles", [6, 8, 9])
def test_few_file_handles_are_one_sentence(tmp_path, handles):
    """With six to nine open files allowed, three of them the terminal's, a figure can run out of them anywhere."""
    resource = pytest.importorskip("resource")
    done = subprocess.run(
        [sys.executable, "-m", "detentsim", "curve", "--figure", str(tmp_path / "c.png")],
        capture_output=True,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (handles, handles)),
    )
    assert "Traceback" not in done.stderr
    assert done.returncode == 0 or (done.returncode == 2 and done.stderr.count("\n") == 1), done.stderr


@pytest.mark.parametrize(
    ("command", "option", "example"),
    [
        ("curve", "--csv", "new.csv"),
        ("curve", "--figure", "new.png"),
        ("curve", "-o", "new.txt"),
        ("fit", "-o", "new.toml"),
        ("readings", "-o", "new.toml"),
    ],
)
def test_an_example_of_an_output_is_of_its_kind(run, build, tmp_path, command, option, example):

    read = ("--reading", "drag_force=1 N") if command == "fit" else ()
    for taken in (build, tmp_path):  # the build file itself, and a folder
        status, out, err = run(command, build, *read, option, taken)
        assert (status, out, len(err.splitlines())) == (2, "", 1)
        assert err.endswith(f"{example}\n")
    assert build.read_text(encoding="utf-8") == GARDEN_TEXT


@pytest.mark.parametrize(
    "words",
    [
        ("curve", "--press", "5 N", "--press", "6 N"),
        ("curve", "--units", "inch", "--units", "metric"),
        ("batch", "--count", "16", "--count", "32"),
    ],
)
def test_an_option_with_two_values_is_refused(run, words):
    """Else the last one would win in silence."""
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert err.startswith(f'{words[1]}: is given twice, as "{words[2]}" and as "{words[4]}"; give it once')


def test_a_report_takes_no_build_files_name(run, build, tmp_path):
    """It would be read as a build later on, and is none."""
    named = tmp_path / "advised.toml"
    status, out, err = run("curve", build, "-o", named)
    assert (status, out, named.exists()) == (2, "", False)
    assert err.endswith("is a build file's name, and this writes a report; give a name such as new.txt\n")
