"""Files that commands write: never over a build, nor over anything that no command has written."""

import os

import pytest
from helpers.garden import GARDEN_TEXT

from detentsim.cli.entry import main


@pytest.fixture
def run(capsys):
    def call(*words):
        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return status, out, err

    return call


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
    assert run("curve", build, option, path, "--replace")[0] == 0
    assert path.read_bytes() != there.encode()


@pytest.mark.parametrize(("option", "name"), OUTPUTS)
def test_a_command_may_write_its_own_file_again(run, build, tmp_path, option, name):
    path = tmp_path / name
    for bend in ("1.6 mm", "2 mm"):
        build.write_text(GARDEN_TEXT.replace('bend = "1.6 mm"', f'bend = "{bend}"'), encoding="utf-8")
        assert run("curve", build, option, path)[0] == 0
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
