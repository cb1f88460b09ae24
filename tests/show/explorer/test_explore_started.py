"""The explorer started at the command line and in a notebook, and what is left when it is closed."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from helpers.explored import Sheet, middle
from helpers.garden import GARDEN_FILE, workshop
from helpers.turned import put
from matplotlib.figure import Figure
from matplotlib.image import imread

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.cli.entry import main
from detentsim.show.explorer.board import explore_figure
from detentsim.show.explorer.report import NO_WARNINGS, explore_document, explore_report
from detentsim.show.explorer.window import Window
from detentsim.show.theme.tables import to_json
from detentsim.units.numbers import two_digits

# What is left when the window is closed


@pytest.mark.slow
def test_the_report_tells_what_was_turned_and_what_came_of_it():
    turns = put(workshop(), {"bar.bend": "3 mm", "dimple.rim_drill": "#52"})
    turns.settle()
    text = explore_report(turns, "First.", "new.toml")
    assert text.startswith("First.\n82 mm garden folder: turned as below.\n")
    assert "second drill  dimple.rim_drill  #53     #52" in text
    assert text.endswith("Saved as new.toml.\n")
    assert "every knob is where it started" in explore_report(Session(workshop()))


def test_the_document_has_every_result_or_why_not():
    turns = put(workshop(), {"bar.bend": 0, "tang.face_gap": -1})
    turns.settle()
    document = json.loads(to_json(explore_document(turns)))
    assert document["turned"]["bar.bend"] == {"from": "2.3 mm", "to": "0 mm"}
    assert document["build"]["name"] == "82 mm garden folder"
    assert document["build"]["given"]["bar.bend"] == "0 mm"
    assert document["results"]["breakout_force"] == {
        "value": None,
        "unit": "N",
        "why": "the ball never reaches the tang",
    }
    assert document["results"]["falls_shut"] is True
    assert document["flags"] == ["floats"]
    assert document["saved"] is None
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    document = json.loads(to_json(explore_document(turns)))
    assert "smaller than the first" in document["unfit"]
    assert document["build"]["given"]["dimple.pilot_drill"] == "#54"
    assert document["results"] == {}


# At the command line


@pytest.fixture
def run(capsys, monkeypatch):
    """The command, with a window that a given hand uses in place of a screen."""

    def call(*words, hand=lambda _: None):
        def closed(turns, save_as):
            figure = Figure(figsize=(11, 7.2), dpi=100)
            Sheet(figure)
            opened = Window(figure, turns, save_as)
            hand(opened)
            turns.settle()
            return opened

        monkeypatch.setattr("detentsim.show.explorer.window.open_window", closed)
        status = main(["explore", *(str(word) for word in words)])
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.mark.slow
def test_the_command_tells_what_was_turned(run, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(GARDEN_FILE.read_text(encoding="utf-8"), encoding="utf-8")

    def hand(opened):
        opened.board.sliders["bar.bend"].set_val(4)
        opened.save()

    status, out, err = run(path, "--json", hand=hand)
    assert (status, err) == (0, "")
    found = json.loads(out)
    assert found["turned"] == {"bar.bend": {"from": "1.6 mm", "to": "0.2 mm"}}
    assert found["saved"] == str(tmp_path / "own-turned.toml")
    assert ds.Build.read(found["saved"]).word("bar.bend") == "0.2 mm"
    status, out, _ = run(path, "-o", tmp_path / "named.toml", "--press", "5 N", hand=hand)
    assert status == 0
    assert "bend  bar.bend  1.6 mm  0.2 mm" in out
    assert ds.Build.read(tmp_path / "named.toml").word("grip.force") == "5 N"


@pytest.mark.slow
def test_without_a_build_it_is_the_demo(run):
    status, out, err = run()
    assert (status, err) == (0, "")
    assert out.startswith("No build file given: this is the packaged demo")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nosuch.toml"], "nosuch.toml: there is no such file"),
        (["own.toml", "-o", "own.toml"], '-o: "own.toml" is there already; give another name, such as own-turned.toml'),
        (["own.toml", "-o", ""], "-o: names no file; give one, such as own-turned.toml"),
        (["own.toml", "-o", "no/new.toml"], '-o: "no/new.toml" is in a folder that does not exist'),
        (["own.toml", "--figure", "y.svg", "-o", "y.toml"], "-o: cannot go with --figure, which opens no window"),
        (["own.toml", "--figure", "own.toml"], "--figure: own.toml is the build file"),
        (["own.toml", "--figure", "x.gif"], '--figure: "x.gif" must end in .png, .svg or .pdf'),
        (["own.toml", "-o", "~nobody-at-all/x.toml"], '-o: "~nobody-at-all/x.toml" is in a folder that does not exist'),
        (["own.toml", "--press", "5"], '--press: "5" has no unit'),
    ],
)
def test_wrong_words_are_told_in_a_line(run, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    Path("own.toml").write_text(workshop().text, encoding="utf-8")
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert err.startswith(said)
    assert err.count("\n") == 1


@pytest.mark.slow
@pytest.mark.parametrize("kind_of", ["png", "svg", "pdf"])
def test_the_window_as_it_opens_is_a_figure_without_a_screen(run, tmp_path, kind_of):
    path = tmp_path / f"x.{kind_of}"

    def nobody(_):
        raise AssertionError("no window is opened")

    status, out, err = run("--figure", path, hand=nobody)
    assert (status, err) == (0, "")
    assert "every knob is where it started" in out
    assert path.stat().st_size > 10_000
    if kind_of == "svg":
        text = path.read_text(encoding="utf-8")
        for words in (
            "10",
            "20",
            "force at the opener [N]",
            ds.demo().word("ball.diameter"),
            NO_WARNINGS,
            f"{two_digits(ds.curve(ds.demo()).results['breakout_force'])} N",
            "Back to start",
        ):
            assert f"<!-- {words} -->" in text
        first = path.read_bytes()
        run("--figure", path)
        assert path.read_bytes() == first


@pytest.mark.slow
def test_every_knob_shows_in_the_figure(tmp_path):
    figure = explore_figure(Session(workshop()), "x.png")
    figure.savefig(tmp_path / "x.png", dpi=figure.dpi)
    seen = np.array(imread(tmp_path / "x.png"))
    drawn = {ax.get_label(): ax for ax in figure.axes}
    for knob in Session(workshop()).knobs:
        ax = drawn[knob.name]
        row = seen[seen.shape[0] - 1 - round(middle(ax)[1]), round(ax.bbox.x0) : round(ax.bbox.x1), :3]
        assert np.ptp(row) > 0.1, knob.name
        assert row[-5:].max() < 0.95, knob.name  # the track, not white paper


@pytest.mark.slow
def test_a_way_of_drawing_that_there_is_not_is_told(tmp_path):
    for words in (["explore"], ["curve", "--figure", str(tmp_path / "x.png")]):
        call = [sys.executable, "-m", "detentsim", *words]
        done = subprocess.run(call, capture_output=True, text=True, check=False, env=os.environ | {"MPLBACKEND": "foo"})
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith('MPLBACKEND: "foo" is no way of drawing')
        assert done.stderr.count("\n") == 1


@pytest.mark.slow
@pytest.mark.parametrize("kit", ["agg", "tkagg", "webagg"])
def test_without_a_screen_one_line_says_what_is_needed(kit):
    if sys.platform != "linux" and kit == "tkagg":
        pytest.skip("there is always a screen here")
    around = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    words = [sys.executable, "-m", "detentsim", "explore"]
    done = subprocess.run(words, capture_output=True, text=True, check=False, env=around | {"MPLBACKEND": kit})
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("explore: no window can be opened here")
    assert "--figure FILE draws it, ds.show.explore(build) is for a notebook" in done.stderr
    assert done.stderr.count("\n") == 1
