"""`detentsim sweep` as a newcomer meets it, right input and wrong."""

import csv
import json
import os
import re
import signal
import subprocess
import sys
from functools import partial

import numpy as np
import pytest
from helpers.strict_json import strict

import detentsim as ds
from detentsim.cli.outputs import SIGNED
from detentsim.knife.table.columns import parse_column

BENDS = "bar.bend=1 mm:3 mm:5"


@pytest.fixture
def run(run):
    return partial(run, "sweep")


def test_a_short_sweep_lists_every_design(run):
    status, out, err = run("--vary", BENDS, "--vary", "dimple.rim_drill=none,#60,1.9 mm")
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("No build file given")
    assert lines[2] == "bar.bend (5) x dimple.rim_drill (3): 15 designs"
    assert sum(line.startswith(("1 mm", "1.5 mm", "2 mm", "2.5 mm", "3 mm")) for line in lines) == 15
    assert sum("the second drill is smaller than the first" in line for line in lines) == 5 + 1


def test_the_listed_numbers_are_the_sweeps_own(run):
    out = run("--vary", BENDS, "--of", "breakout_force")[1]
    s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)}, of="breakout_force")
    rows = [re.split(r" {2,}", line) for line in out.splitlines() if re.match(r"[\d.]+ mm  ", line)]
    shown = [float(row[1]) for row in rows]
    np.testing.assert_allclose(shown, s.results["breakout_force"], rtol=6e-4)


def test_a_long_sweep_is_summed_up(run):
    out = run("--vary", "bar.bend=1 mm:3 mm:21", "--vary", "dimple.rim_feed=0 mm:0.15 mm:6", "--of", "breakout_force")[
        1
    ]
    s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 21), "dimple.rim_feed": ("0 mm", "0.15 mm", 6)})
    force = s.results["breakout_force"]
    assert f"{force.min():.4g}" in out
    assert f"{force.max():.4g}" in out
    at = np.unravel_index(force.argmax(), force.shape)
    assert f"bend {s.axes[0].labels[at[0]]}, rim_feed {s.axes[1].labels[at[1]]}" in out
    inside = np.count_nonzero((force >= 9) & (force <= 13))
    assert f"{inside} of 126 meet the build's target on breakout_force." in out
    assert 0 < inside < 126
    raised = np.count_nonzero(s.flags["snaps"])
    assert f"snaps: {raised} of 126." in out


def test_json_holds_the_whole_sweep(run):
    out = run("--vary", BENDS, "--vary", "ball.diameter=5/64 in,2 mm", "--of", "breakout_force, falls_shut", "--json")[
        1
    ]
    found = strict(out)
    s = ds.sweep(
        ds.demo(),
        {"bar.bend": ("1 mm", "3 mm", 5), "ball.diameter": ["5/64 in", "2 mm"]},
        of=["breakout_force", "falls_shut"],
    )
    assert found["demo"] is True
    assert found["shape"] == [5, 2]
    assert found["vary"]["ball.diameter"] == {"text": ["5/64 in", "2 mm"], "value": [1.984375, 2.0], "unit": "mm"}
    assert found["results"]["breakout_force"]["unit"] == "N"
    np.testing.assert_array_equal(found["results"]["breakout_force"]["value"], s.results["breakout_force"])
    assert found["results"]["falls_shut"]["value"] == s.results["falls_shut"].tolist()
    assert found["meets_target"] == s.meets_target.tolist()
    assert set(found["flags"]) == set(s.flags)


def test_json_says_null_where_there_is_no_knife(run):
    found = json.loads(run("--vary", "dimple.rim_drill=#60,1.9 mm", "--of", "breakout_force", "--json")[1])
    assert found["results"]["breakout_force"]["value"][0] is None
    assert found["excluded"] == [True, False]
    assert found["misfits"] == {"the second drill is smaller than the first": [True, False]}


def test_csv_has_a_row_for_each_design_in_full_digits(run, tmp_path):
    path = tmp_path / "sweep.csv"
    run("--vary", BENDS, "--vary", "dimple.rim_drill=#60,1.9 mm", "--csv", path)
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5), "dimple.rim_drill": ["#60", "1.9 mm"]})
    assert len(rows) == 10
    assert [row["breakout_force_N"] for row in rows[::2]] == [""] * 5
    assert [float(row["breakout_force_N"]) for row in rows[1::2]] == s.results["breakout_force"][:, 1].tolist()
    assert [row["dimple.rim_drill"] for row in rows[:2]] == ["#60", "1.9 mm"]
    assert [row["excluded"] for row in rows[:2]] == ["true", "false"]
    assert [float(row["bar.bend_mm"]) for row in rows[::2]] == [1, 1.5, 2, 2.5, 3]


def test_figure_and_document_are_written(run, tmp_path):
    status, out, _ = run("--vary", BENDS, "--figure", tmp_path / "f.png", "-o", tmp_path / "f.txt")
    assert status == 0
    assert (tmp_path / "f.png").read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "f.txt").read_text(encoding="utf-8") == f"{out}\n{SIGNED}\n"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--vary", "bar.bend"], "names no input with values"),
        (["--vary", "=1 mm"], "names no input with values"),
        (["--vary", "bar.bend=1 mm:3 mm"], "is no range"),
        (["--vary", "bar.bend=1 mm:3 mm:x"], '"x" is no count of values'),
        (["--vary", "bar.bend=1 mm:3 mm:0"], "is no count of values"),
        (["--vary", "bar.bend=1 mm:3 mm:9999999999"], "is no count of values"),
        (["--vary", "bar.bend=1 mm:3 mm:2.5"], "such as bar.bend=1 mm:3 mm:11"),
        (["--vary", "dimple.rim_drill=#53:#50:4"], 'give a list such as "dimple.rim_drill=1.9 mm"'),
        (["--vary", "dimple.overclose=0.1 mm:1 deg:4"], '"dimple.overclose=0.05 mm:0.075 mm:11"'),
        (["--vary", BENDS, "--csv", ""], "--csv: names no file"),
        (["--vary", BENDS, "--figure", ""], "--figure: names no file"),
        (["--vary", BENDS, ""], "BUILD: names no file"),
        (["--vary", "grip.force=1 N,2 N", "--press", "50 N"], "stands beside --vary grip.force"),
        (["--vary", "bar.bnd=1 mm,2 mm"], "did you mean bar.bend"),
        (["--vary", "bar.bend=1,2"], "has no unit"),
        (["--vary", "bar.bend=1 mm,2 mm", "--vary", "bar.bend=3 mm"], "is varied twice"),
        (["--vary", "friction.ball_on_tang=a"], "give a plain number"),
        (["--vary", BENDS, "--of", "brekout"], "did you mean breakout_force"),
        (["--vary", BENDS, "--of", "snaps"], "is a flag"),
        (["--vary", BENDS, "--figure", "x.bmp"], "must end in .png, .svg or .pdf"),
        (["--vary", BENDS, "--press", "5"], "has no unit"),
        (["--vary", BENDS, "nowhere.toml"], "nowhere.toml"),
        (["--vary", BENDS, "--csv", "x", "-o", "x"], "written by --csv already"),
    ],
)
def test_wrong_words_are_one_sentence(run, words, told):
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert told in err
    assert len(err.splitlines()) == 1


def test_a_result_named_twice_is_given_once(run):
    out = run("--vary", BENDS, "--of", "preload,preload", "--of", "preload")[1]
    assert out.count("preload") == 1


def test_long_numbers_of_a_range_are_shown_short(run):
    out = run("--vary", "bar.bend=1 mm:2 mm:7", "--of", "preload")[1]
    assert "1.1667 mm" in out
    assert "1.16666" not in out


def test_no_vary_is_status_2(run):
    assert run()[0] == 2


def test_press_is_part_of_every_design(run):
    plain, pressed = (run("--vary", BENDS, "--of", "preload", *more)[1] for more in ((), ("--press", "5 N")))
    assert plain != pressed


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("bar.bend = 1 mm : 2 mm : 3", ("bar.bend", ("1 mm", "2 mm", 3))),
        ("friction.ball_on_tang=0.1:0.2:3", ("friction.ball_on_tang", (0.1, 0.2, 3))),
        ("friction.ball_on_tang=0.1, 0.2", ("friction.ball_on_tang", [0.1, 0.2])),
        ("ball.diameter=1 1/2 mm,1/16 in", ("ball.diameter", ["1 1/2 mm", "1/16 in"])),
    ],
)
def test_a_word_reads_as_a_column(text, wanted):
    assert parse_column(text) == wanted


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="signals as a terminal sends them")
def test_ctrl_c_keeps_what_is_done(tmp_path):
    path = tmp_path / "part.csv"
    code = (
        # as at a terminal, even where the tests themselves run in the background
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import sys, detentsim.analysis.many_builds.sweep.solving as solving, detentsim.cli.entry as cli\n"
        "true, calls = solving.answer, []\n"
        "def slow(*args):\n"
        "    calls.append(1)\n"
        "    if len(calls) > 2:\n"
        "        print('ready', flush=True); import time; time.sleep(30)\n"
        "    return true(*args)\n"
        "solving.answer, solving.cut.__defaults__ = slow, (2,)\n"
        f"raise SystemExit(cli.main(['sweep', '--vary', {BENDS!r}, '--csv', {str(path)!r}]))"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        assert child.stdout.readline() == b"ready\n"
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=30)
    assert (child.returncode, err) == (130, b"")
    assert b"were not solved" in out
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    assert [bool(row["breakout_force_N"]) for row in rows] == [True, True, True, True, False]
    assert [row["done"] for row in rows] == ["true"] * 4 + ["false"]
    assert b"of 4 solved meet the build's target" in out


def test_a_figure_of_too_much_is_refused_before_anything_is_solved(run, tmp_path, monkeypatch):
    monkeypatch.setattr("detentsim.analysis.many_builds.sweep.sweep.solve_all", lambda *_: pytest.fail("solved"))
    four = (
        "bar.bend=1 mm,2 mm",
        "dimple.rim_feed=0 mm,0.1 mm",
        "friction.ball_on_tang=0.1,0.2",
        "tang.face_gap=0.5 mm,0.6 mm",
    )
    words = [word for text in four for word in ("--vary", text)]
    status, out, err = run(*words, "--figure", tmp_path / "f.png", "--csv", tmp_path / "f.csv")
    assert (status, out) == (2, "")
    assert len(err.splitlines()) == 1
    five = "breakout_force,preload,drag_force,draw_torque,let_go_angle"
    assert run("--vary", BENDS, "--of", five, "--figure", tmp_path / "f.png")[0] == 2
    assert list(tmp_path.iterdir()) == []


def test_where_the_extremes_lie_is_told_in_short_numbers(run):
    out = run("--vary", "bar.bend=1 mm:3 mm:70", "--of", "draw_torque")[1]
    s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 70)}, of="draw_torque")
    at = s.axes[0].values[np.argmax(s.results["draw_torque"])]
    assert f"bend {at:.5g} mm" in out
    assert f"{at:.7g}" not in out


def test_a_long_sweep_lists_its_designs_on_request(run, tmp_path):
    vary = ("--vary", "bar.bend=1 mm:3 mm:61", "--of", "breakout_force")
    short, full = (run(*vary, *more)[1] for more in ((), ("--full",)))
    assert "A row for each design: --full, or --csv FILE." in short
    assert "A row for each design" not in full
    assert full.splitlines()[:4] == short.splitlines()[:4]
    rows = [line for line in full.splitlines() if line.startswith(("1.0333 mm ", "2.9667 mm "))]
    assert len(rows) == 2
    assert len(full.splitlines()) - len(short.splitlines()) == 62  # a heading and 61 designs more, one hint less
    path = tmp_path / "sweep.txt"
    assert run(*vary, "-o", path)[0] == 0
    assert path.read_text(encoding="utf-8").startswith(full)


def test_what_the_target_asks_beyond_the_results_is_told(run):
    """The demo's target is on breakout and falling shut; designs must not pass for right on the first alone."""
    vary = ("--vary", "bar.bend=1 mm:3 mm:3")
    left = "The target also asks for falls_shut, which is not counted here: name it with --of."
    assert left in run(*vary)[1]
    assert left in run(*vary, "--of", "breakout_force")[1]
    assert left not in run(*vary, "--of", "breakout_force,falls_shut")[1]
