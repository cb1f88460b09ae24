"""Wrong files, wrong words and wrong outputs at the command line: one line each, and the exit status."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from helpers.garden import WORKSHOP_TEXT
from helpers.strict_json import strict

BAD_FILES = {
    "unquoted": (WORKSHOP_TEXT.replace('"25 thou"', "25 thou"), "quotes"),
    "bare number": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', "thickness = 3.0"), "bar.thickness"),
    "wrong dimension": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', 'thickness = "3.0 N"'), "bar.thickness"),
    "nan": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', 'thickness = "nan mm"'), "bar.thickness"),
    "huge": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', 'thickness = "1e400 mm"'), "bar.thickness"),
    "power": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', 'thickness = "2**9999 mm"'), "bar.thickness"),
    "long": (WORKSHOP_TEXT.replace('thickness = "3.0 mm"', f'thickness = "{"9" * 100_000} mm"'), "bar.thickness"),
    "unknown key": (WORKSHOP_TEXT.replace("thickness =", "thicknes =", 1), "thicknes"),
    "unknown section": (WORKSHOP_TEXT + "\n[dimpel]\nx = 1\n", "dimpel"),
    "missing section": (WORKSHOP_TEXT.split("[opener]")[0], "opener"),
    "empty": ("", "empty"),
    "binary": (b"\x00\x01\x02\xff\xfe" * 40, ""),
    "not utf-8": (WORKSHOP_TEXT.replace("garden", "g\u00e4rden").encode("latin-1"), "UTF-8"),
    "ball's radius": (WORKSHOP_TEXT.replace('pivot_to_ball = "', 'pivot_to_ball = "0.'), "pivot_to_ball"),
    "rim under pilot": (WORKSHOP_TEXT.replace('rim_drill = "#53"', 'rim_drill = "#60"'), "rim_drill"),
}


@pytest.mark.parametrize("case", BAD_FILES)
def test_a_bad_file_is_told_not_thrown(run, build_file, case):
    text, word = BAD_FILES[case]
    assert text != WORKSHOP_TEXT
    path = build_file(text)
    status, out, err = run("curve", path)
    assert (status, out) == (2, "")
    assert err.startswith(str(path))
    assert word in err
    assert "Traceback" not in err
    assert max(map(len, err.splitlines())) < 600


def test_all_problems_come_at_once_with_their_lines(run, build_file):
    text = WORKSHOP_TEXT.replace('thickness = "3.0 mm"', "thickness = 3.0").replace('width = "8 mm"', 'width = "8 N"')
    path = build_file(text)
    _, _, err = run("curve", path)
    lines = text.splitlines()
    wanted = [i + 1 for i, line in enumerate(lines) if line.startswith(("thickness = 3.0", "width ="))]
    assert [int(line.removeprefix(f"{path}:").split(":")[0]) for line in err.splitlines()] == sorted(wanted)


def test_a_byte_order_mark_is_fine(run, build_file):
    assert run("curve", build_file(b"\xef\xbb\xbf" + WORKSHOP_TEXT.encode()))[0] == 0


@pytest.mark.parametrize("path", [".", "no-such-file.toml"])
def test_a_folder_or_a_missing_file_is_one_sentence(run, path):
    status, _, err = run("curve", path)
    assert status == 2
    assert len(err.splitlines()) == 1


def test_new_writes_a_file_that_curve_takes(run, tmp_path):
    path = tmp_path / "mine.toml"
    status, out, _ = run("new", path)
    assert status == 0
    assert f"detentsim curve {path}" in out
    assert run("curve", path)[0] == 0
    assert path.read_text(encoding="utf-8").count("#") > 20


def test_new_leaves_an_existing_file_alone(run, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    status, _, err = run("new", path)
    assert status == 2
    assert "there already" in err
    assert path.read_text(encoding="utf-8") == "mine"


def test_sizes_near_gives_the_neighbours(run):
    names = [row["name"] for row in strict(run("sizes", "drills", "--near", "1.45 mm", "--json")[1])["rows"]]
    assert names == ["1.35 mm", "#54", "1.4 mm", "1.45 mm", "1.5 mm", "#53", "1.55 mm"]


@pytest.mark.parametrize("kind", ["drills", "balls", "materials", "friction"])
def test_sizes_prints_each_table(run, kind):
    status, out, err = run("sizes", kind)
    assert (status, err) == (0, "")
    lines = out.partition("\n\n")[0].splitlines()
    rows = strict(run("sizes", kind, "--json")[1])["rows"]
    assert len(rows) == len(lines) - 1 >= 5
    assert max(map(len, out.splitlines())) <= 160
    for row in rows:  # what is too long for the table stands under it
        assert " ".join(str(row.get("source", row["name" if "name" in row else "state"])).split()) in " ".join(
            out.split()
        )


def test_sizes_near_nonsense_is_one_sentence(run):
    status, out, err = run("sizes", "drills", "--near", "1.45")
    assert (status, out) == (2, "")
    assert len(err.splitlines()) == 1


WORDS = {
    "": "COMMAND: is missing; give curve, sweep, limits, ",
    "frobnicate": 'COMMAND: "frobnicate" is not allowed; give curve, sweep, limits, ',
    "curv": 'COMMAND: "curv" is not allowed; did you mean curve; ',
    "curve a b": "b: detentsim curve takes no such argument; ",
    "curve --fulll": "--fulll: detentsim curve takes no such option; did you mean --full; ",
    "curve --json=3": "--json: takes no value; ",
    "curve --units cm": '--units: "cm" is not allowed; give metric or inch; ',
    "curve --press": '--press: has no value; give FORCE: inward push of a thumb on the bar\'s tip, like "5 N"; ',
    "report --re": "ambiguous option: --re could match --reading, --replace; ",
    "sizes nuts": 'kind: "nuts" is not allowed; give drills, balls, materials or friction; ',
    "sweep": "--vary: is missing; give NAME=VALUES: an input and its values; may be repeated; ",
    "new": "FILE: is missing; give FILE: file to write, like garden.toml; ",
}


@pytest.mark.parametrize("words", WORDS)
def test_wrong_words_are_one_sentence_that_says_what_may_be_given(run, words):
    status, out, err = run(*words.split())
    assert (status, out, err.count("\n")) == (2, "", 1)
    command = words.split()[0] if words.split()[1:] or words in ("sweep", "new") else ""
    assert err.startswith(WORDS[words])
    assert err.endswith(f"; see {f'detentsim {command}'.strip()} --help\n")


def test_a_word_with_a_line_break_is_told_in_one_line(run):
    for words in (["curve", "--a\nb"], ["curve", "--units", "c\nm"], ["a\nb"]):
        assert run(*words)[2].count("\n") == 1


@pytest.mark.slow
def test_a_closed_pipe_is_quiet():
    command = [sys.executable, "-m", "detentsim", "curve", "--json"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        child.stdout.close()
        assert child.stderr.read() == b""
        child.wait(30)


@pytest.mark.skipif(os.name != "posix", reason="signals as a terminal sends them")
def test_ctrl_c_is_status_130():
    code = (
        # as at a terminal, even where the tests themselves run in the background
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "import time, detentsim.cli.entry as cli\n"
        "cli.curve.run = lambda args: (print('ready', flush=True), time.sleep(30))\n"
        "raise SystemExit(cli.main(['curve']))"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as child:
        assert child.stdout.readline() == b"ready\n"
        time.sleep(0.05)
        child.send_signal(signal.SIGINT)
        _, err = child.communicate(timeout=30)
    assert child.returncode == 130
    assert err == b""


def test_the_build_file_is_never_an_output(run, build_file):
    path = build_file(WORKSHOP_TEXT, "knife.txt")
    for option in ("-o", "--csv"):
        status, out, err = run("curve", path, option, path)
        assert (status, out) == (2, "")
        assert "is the build file" in err
        assert path.read_text(encoding="utf-8") == WORKSHOP_TEXT


def test_a_wrong_figure_is_refused_before_anything_is_written(run, tmp_path):
    status, out, err = run("curve", "--figure", tmp_path / "c.jpg", "--csv", tmp_path / "c.csv")
    assert (status, out) == (2, "")
    assert "must end in .png" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", [["curve", ""], ["new", ""], ["curve", "-o", ""]])
def test_an_empty_name_is_no_file(run, words):
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert "names no file" in err
    assert len(err.splitlines()) == 1


def test_two_outputs_never_share_a_file(run, tmp_path):
    status, _, err = run("curve", "--csv", tmp_path / "x", "-o", tmp_path / "x")
    assert status == 2
    assert "written by --csv already" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_a_full_device_is_one_line():
    with open("/dev/full", "w") as full:
        words = [sys.executable, "-m", "detentsim", "sizes", "drills"]
        done = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1


def test_a_device_is_no_file_to_replace(run, tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for option, path in (("-o", pipe), ("--csv", pipe)):
        assert run("curve", option, path)[0] == 2
        assert pipe.is_fifo()


def test_a_line_of_a_hundred_thousand_letters_is_told_at_once(run, build_file):
    status, _, err = run("curve", build_file("a" * 100_000))
    assert status == 2
    assert len(err) < 400


def test_a_press_is_told_in_the_report(run):
    assert "5 N pressing the bar inward" in run("curve", "--press", "5 N")[1]
    assert "pressing" not in run("curve")[1].split("At the bench")[0]
    assert "All of this with 5 N pulling the bar outward; let go, it is stiffer." in run("curve", "--press", "-5 N")[1]


OPTIONS = [
    (("limits", "--push", "12"), '--push: "12" has no unit'),
    (("sheet", "mine.toml", "--surface-speed", "10"), '--surface-speed: "10" has no unit'),
    (("advise", "mine.toml", "--symptom", "bad"), '--symptom: "bad" is no symptom'),
    (("sweep", "--vary", "bar.bend=1 mm:2 mm:2", "--of", "brekout"), '--of: "brekout" is no result'),
    (("fit", "mine.toml", "--reading", "drag_force=2 N", "--next", "brekout"), '--next: "brekout" is no result'),
    (("advise", "mine.toml", "--want", "lighter 200"), "1 to 9 hand-steps"),
]


@pytest.mark.parametrize(("words", "says"), OPTIONS)
def test_a_bad_argument_is_named_as_it_was_typed(run, build_file, words, says):
    mine = build_file(WORKSHOP_TEXT)
    status, _, err = run(*(mine if word == "mine.toml" else word for word in words))
    assert (status, err.count("\n")) == (2, 1)
    assert says in err
