"""`detentsim fit` and `detentsim readings` as a newcomer meets them, right input and wrong."""

import json
import tomllib

import pytest
from helpers.five_knives import KNIVES
from helpers.garden import GARDEN_FILE, GARDEN_TEXT, garden
from helpers.strict_json import strict

import detentsim as ds
from detentsim.knife.outcomes import UNSOUND
from detentsim.show.theme.tables import PAGE, WIDTH

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("remembered")]  # a fit for each

READ = ("--reading", "breakout_force=12.1 N,12.6 N,12.4 N", "--reading", "drag_force=3.2 N")


def test_the_verdict_comes_first_and_the_report_fits_a_page(run):
    status, out, err = run("fit", GARDEN_FILE, *READ)
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert lines[0] == "82 mm garden folder"
    assert lines[1].startswith("Breakout of this knife is ")
    assert len(lines) <= PAGE
    assert max(map(len, lines)) <= WIDTH
    assert "friction.ball_on_tang" in out
    assert "Read next, to narrow breakout" in out


def test_report_document_and_python_give_one_number(run):
    document = strict(run("fit", GARDEN_FILE, *READ, "--json")[1])
    build = garden()
    made = ds.fit(build, {"breakout_force": ["12.1 N", "12.6 N", "12.4 N"], "drag_force": "3.2 N"})
    low, high = made.interval("breakout_force")
    assert document["results"]["breakout_force"]["low"] == low.m
    assert document["results"]["breakout_force"]["high"] == high.m
    assert document["share"] == made.share()._asdict()
    assert document["effective"] == made.effective
    assert document["verdict"]["words"] == made.summary.words
    assert list(document["verdict"]["answers"]) == [one.name for one in made.summary.answers]
    assert document["fitted"] == {name: value.text for name, value in made.build.values.items() if value.given}
    assert f"{low.m:.1f} to {high.m:.1f} N" in run("fit", GARDEN_FILE, *READ)[1]
    first = document["inputs"]["friction.ball_on_tang"]
    assert first["middle"] == made.middle("friction.ball_on_tang").m
    assert first["drawing_low"] == made.before("friction.ball_on_tang")[0].m


def test_a_conflict_opens_the_report_and_ends_with_one(run):
    status, out, _ = run("fit", GARDEN_FILE, "--reading", "lift_force_open=24 N")
    assert status == 1
    assert out.splitlines()[1].startswith("The readings do not fit the drawing.")
    assert "bar.bend (it would have to be " in out
    assert len(out.splitlines()) <= PAGE


def test_a_knife_without_a_breakout_is_told_so(run, tmp_path):
    path = tmp_path / "floats.toml"
    path.write_text(GARDEN_TEXT.replace('bend = "1.6 mm"', 'bend = "-3 mm"'), encoding="utf-8")
    status, out, _ = run("fit", path, "--reading", "breakout_force=9 N")
    assert status == 1
    assert "This knife has no breakout." in out


def test_inches_are_spoken_where_asked(run):
    _, out, _ = run("fit", GARDEN_FILE, "--reading", "lift_force_open=24 N", "--units", "inch")
    assert "5.40 lbf" in out  # 24 N over 4.448 N
    assert " N " not in out


def test_the_fitted_build_is_written_and_a_standing_file_left_alone(run, tmp_path):
    path = tmp_path / "fitted.toml"
    assert run("fit", GARDEN_FILE, *READ, "-o", path)[0] == 0
    fitted = ds.Build.read(path)
    assert ds.curve(fitted).breakout_force.m == pytest.approx(12.4, abs=0.3)
    assert "dimple.overclose" in fitted.tolerance
    status, out, err = run("fit", GARDEN_FILE, *READ, "-o", path)
    assert (status, out) == (2, "")
    assert "--replace" in err
    assert run("fit", GARDEN_FILE, *READ, "-o", GARDEN_FILE, "--replace")[0] == 2


def test_the_file_to_fill_in_can_be_read_when_filled_in(run, tmp_path):
    path, knife = tmp_path / "readings.toml", tmp_path / "knife.toml"
    knife.write_text(GARDEN_TEXT, encoding="utf-8")
    assert run("readings", knife, "-o", path)[0] == 0
    text = path.read_text(encoding="utf-8")
    assert tomllib.loads(text) == {}
    assert "gives no reading" in run("fit", knife, path)[2]
    static = text.split("# [[saw]]")[0].replace("# [[reading]]", "[[reading]]")
    static = static.replace("# what =", "what =").replace("# value =", "value =")
    path.write_text(static, encoding="utf-8")
    names = {one["what"] for one in tomllib.loads(static)["reading"]}
    assert {"lift_force_open", "breakout_force", "loose_ball_height", "bar.thickness"} <= names
    status, out, err = run("fit", knife, path)
    assert (status, err) == (0, "")  # the drawing's own numbers fit the drawing
    assert "lift force open" in out
    rows = json.loads(run("readings", knife, "--json")[1])["readings"]
    assert {row["what"] for row in rows} <= names


def test_options_stand_beside_the_file(run, tmp_path):
    path = tmp_path / "readings.toml"
    path.write_text('[[reading]]\nwhat = "breakout_force"\nvalue = "12.4 N"\n', encoding="utf-8")
    document = strict(run("fit", GARDEN_FILE, path, "--reading", "bar.thickness=3.01 mm", "--json")[1])
    assert [one["what"] for one in document["readings"]] == ["breakout_force", "bar.thickness"]
    assert document["readings"][1]["value"] == pytest.approx(3.01)
    assert "read twice" in run("fit", GARDEN_FILE, path, "--reading", "breakout_force=3 N")[2]
    path.write_text('[[saw]]\nwhat = "falls_shut"\nis = true\n', encoding="utf-8")
    assert "--saw: falls_shut is seen both ways" in run("fit", GARDEN_FILE, path, "--saw", "falls_shut=no")[2]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "needs a build file of your own"),
        ((GARDEN_FILE,), "needs readings"),
        ((GARDEN_FILE, "missing.toml"), "no such file"),
        ((GARDEN_FILE, "--reading", "breakout_force"), "has no ="),
        ((GARDEN_FILE, "--reading", "breakout_force=12"), "has no unit"),
        ((GARDEN_FILE, "--reading", "breakout=12 N"), "did you mean breakout"),
        ((GARDEN_FILE, "--reading", "breakout_force=12 mm"), "12 mm"),
        ((GARDEN_FILE, "--reading", "breakout_force=-3 N"), "below zero"),
        ((GARDEN_FILE, "--saw", "falls_shut=maybe"), "yes, no or sometimes"),
        ((GARDEN_FILE, "--saw", "falls_shut", "--saw", "falls_shut=no"), "given twice"),
        ((GARDEN_FILE, "--saw", "snaps", "--saw", "snaps=no"), "give --saw snaps=sometimes"),
        ((GARDEN_FILE, GARDEN_FILE), "is a build file, not a readings file"),
        ((GARDEN_FILE, "--reading", "breakout_force=12 N", "--next", "feel"), "is no result"),
        ((GARDEN_FILE, "--reading", "breakout_force=9,5 N"), "has a comma after a bare number; write a decimal point"),
        ((GARDEN_FILE, "--reading", "breakout_force=12 N", "--seed", "one"), "not a whole number"),
    ],
)
def test_wrong_words_get_one_line(run, words, told):
    status, out, err = run("fit", *words)
    assert (status, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_an_inch_drawing_names_the_sizes_to_check_in_its_own_units(run, tmp_path):
    path = tmp_path / "slim.toml"
    path.write_text(KNIVES["slim"], encoding="utf-8")
    status, out, _ = run("fit", path, "--reading", "breakout_force=3 lbf")
    assert status == 1
    assert " ".join(out.split()).count(" thou instead of ") >= 2
    assert " mm" not in out


def test_a_knife_that_likely_warns_is_not_passed_over(run, tmp_path):
    """A bar that service bends back: the fit says so, as the curve of the same build does."""
    path = tmp_path / "bent.toml"
    path.write_text(GARDEN_TEXT.replace('bend = "1.6 mm"', 'bend = "7 mm"'), encoding="utf-8")
    out = run("fit", path, "--reading", "breakout_force=30 N")[1]
    assert "it will lose some of its bend. The chance of it is" in " ".join(out.split())
    assert "[loses_bend]" in out
    fit = ds.fit(garden(), {"lift_force_open": "12 N"})
    told = run("fit", GARDEN_FILE, "--reading", "lift_force_open=12 N")[1]
    assert [name for name in UNSOUND if f"[{name}]" in told] == [
        name for name in UNSOUND if fit.share(name).share >= 0.5
    ]


@pytest.mark.parametrize("command", ["fit", "advise"])
def test_an_empty_readings_file_gives_no_reading(run, tmp_path, command):
    path = tmp_path / "readings.toml"
    path.write_text("", encoding="utf-8")
    status, out, err = run(command, GARDEN_FILE, path)
    assert (status, out) == (2, "")
    assert "gives no reading; write [[reading]]" in err


def test_a_reading_in_a_wrong_unit_is_named(run):
    status, out, _ = run("fit", GARDEN_FILE, "--reading", "lift_force_open=12 kN")
    assert status == 1
    assert "check the reading and its unit first" in " ".join(out.split())


def test_a_symptom_that_a_fit_cannot_weigh_is_said_to_be_left_out(run):
    both = ("--reading", "lift_force_open=12 N", "--saw", "feels gritty")
    _, out, _ = run("fit", GARDEN_FILE, *both)
    assert 'Not used: a fit weighs numbers and yes-no results, and "gritty" is neither' in " ".join(out.split())
    assert json.loads(run("fit", GARDEN_FILE, *both, "--json")[1])["left_out"] == ["gritty"]
    status, out, err = run("fit", GARDEN_FILE, "--saw", "gritty")
    assert (status, out) == (2, "")
    assert 'ask advise --saw "gritty"' in err


@pytest.mark.parametrize("command", ["fit", "advise"])
def test_what_is_seen_is_no_reading(run, command):
    status, out, err = run(command, GARDEN_FILE, "--reading", "falls_shut=yes")
    assert (status, out) == (2, "")
    assert "falls_shut is seen, not read; give --saw falls_shut=yes" in err


def test_readings_beside_a_symptom_that_no_move_cures_are_refused(run):
    status, out, err = run("advise", GARDEN_FILE, "--reading", "lift_force_open=12 N", "--saw", "two clicks")
    assert (status, out) == (2, "")
    assert "so readings add nothing" in err
    assert run("advise", GARDEN_FILE, "--seed", "x")[:2] == (2, "")
