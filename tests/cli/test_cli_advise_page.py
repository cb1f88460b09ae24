"""The report of `detentsim advise`: a page, the rest under `--full`, in the maker's units; progress on the way."""

import itertools
import re
import sys
from dataclasses import replace

import pytest
from helpers.advised import CASES, advised, shown
from helpers.garden import workshop
from helpers.strict_json import strict
from helpers.unlike import UNLIKE, unlike_advised

from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptoms
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.analysis.many_builds.sweep import blocks
from detentsim.cli.entry import main
from detentsim.cli.outputs import SIGNED
from detentsim.knife.target.target import Target, parse_target
from detentsim.show.in_hand.advise.document import advise_document
from detentsim.show.in_hand.advise.page import decision_figure
from detentsim.show.in_hand.advise.report import PAGE, advise_report
from detentsim.show.in_hand.advise.verdict import in_short
from detentsim.show.theme.tables import to_json

pytestmark = [
    pytest.mark.slow,
    pytest.mark.usefixtures("remembered"),
]  # every test here asks for advice, which costs seconds

# What is sold by a metric size, and a number in a metric unit.
SOLD = re.compile(r"(open with the|rim with the|for a|larger ball,) [\d.]+ mm")
METRIC = re.compile(r"[\d.]+ (?:mm|um|N|MPa|mJ)\b")

ROUGH = {"friction.ball_on_tang": 0.3}


def metric(text):
    """Numbers in metric units, those of what is sold left out."""
    return METRIC.findall(SOLD.sub("", " ".join(text.split())))


def every_case():
    return [*((advised, name) for name in CASES), *((unlike_advised, name) for name in UNLIKE)]


@pytest.fixture
def inch(tmp_path):
    """A build file typed in inches and pounds, target and all, with some inputs changed."""

    def write(changes):
        path = workshop().change({**changes, "units": "inch"}).save(tmp_path / "inch.toml")
        text = path.read_text(encoding="utf-8")
        assert '"9 N"' in text
        path.write_text(text.replace('"9 N"', '"2 lbf"').replace('"13 N"', '"2.9 lbf"'), encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize(("given", "name"), every_case())
def test_the_report_is_a_page_with_the_verdict_on_top(given, name):
    a = given(name)
    short = advise_report(a, shown(given, name)).splitlines()
    assert len(short) <= PAGE == 30
    top = " ".join(short[:5])
    assert a.summary.words in top
    what = f"Best change: {in_short(a.best)}." if a.best else "Leave it" if a.right else "Leave its feel"
    assert (what if a.met or a.best else "No single move and no two together get there") in top


@pytest.mark.parametrize(("given", "name"), every_case())
def test_what_fails_to_help_takes_two_lines_of_the_short_report(given, name):
    a = given(name)
    short = advise_report(a, shown(given, name)).splitlines()
    at = [i for i, line in enumerate(short) if line.startswith(("Does not get there: ", "The nearest of them, "))]
    assert bool(at) is bool(a.others)
    if at:
        assert short[at[0] - 1] == ""
        assert short.index("", at[0]) - at[0] <= 2 + any("not before this" in one.reason for one in a.others[:1])


@pytest.mark.parametrize("name", CASES)
def test_every_case_can_be_told_and_written(name):
    a = advised(name)
    known = shown(advised, name) if name in ("right", "floats") else ()
    text = advise_report(a, known)
    assert all(len(line) <= 96 for line in text.splitlines())
    assert not re.search(r"\b(nan|inf|None)\b", text)
    found = strict(to_json(advise_document(a, known)))
    assert len(found["proposals"]) == len(a.proposals)
    for p, told in zip(a.proposals, found["proposals"], strict=True):
        assert told["do"] == list(p.words)
        assert told["limits_passed"] == list(p.passed)


def test_a_pair_is_one_sentence_and_its_needs_are_told():
    text = " ".join(advise_report(advised("two together")).split())
    assert re.search(r"1\. Open the rim with .* and polish the ball's track .* \(blade out; .*\)\.", text)


def test_contradictory_targets_are_told_in_words():
    text = " ".join(advise_report(advised("against each other")).split())
    assert "No single move and no two together" in text
    assert "Breakout and breakout torque can each be reached, but pull against each other here." in text


@pytest.mark.parametrize("name", ["lighter", "rough", "against each other"])
def test_the_whole_report_adds_what_the_short_one_leaves_out(name):
    a, known = advised(name), shown(advised, name)
    short, full = (" ".join(advise_report(a, known, full=full).split()) for full in (False, True))
    assert len(full) > 1.2 * len(short)
    for p in a.proposals[:5]:
        assert p.reason in full
    for p in a.others:
        assert (p.names[0] if p.reason == NO_HELP else p.words[0]) in full
    for check in a.summary.checks:
        assert check.words in full or (check.name, check.state) == ("sizes", "good")
    for s in known:
        assert (s.words in full) is s.present


def test_the_file_and_full_tell_the_whole_and_the_terminal_a_page(capsys, inch, tmp_path):
    path, file = inch(ROUGH), tmp_path / "advice.txt"
    assert main(["advise", str(path)]) == 0
    short = capsys.readouterr().out
    assert main(["advise", str(path), "--full"]) == 0
    full = capsys.readouterr().out
    assert len(short.splitlines()) <= 30 < len(full.splitlines())
    assert main(["advise", str(path), "-o", str(file)]) == 0
    assert file.read_text(encoding="utf-8") == f"{full}\n{SIGNED}\n"


@pytest.mark.parametrize("words", [(), ("--want", "lighter 2"), ("--symptom", "too stiff"), ("--symptom", "gritty")])
def test_every_number_of_an_inch_build_is_in_inch_and_pounds(capsys, inch, words):
    main(["advise", str(inch(ROUGH)), "--full", *words])
    out = capsys.readouterr().out
    name, _, report = out.partition("\n")
    assert name == "82 mm garden folder"  # its name, as the maker wrote it
    assert not metric(report)
    seen = "--symptom" in words  # what hardly any knife of the drawing is like asks for readings, not for a size
    assert seen or re.search(r"\d thou", report)
    assert re.search(r"\d lbf|\d ksi", report)
    assert words or "breakout 2 to 2.9 lbf" in report  # the target as typed


def test_units_choose_and_the_target_stays_as_typed(capsys, inch):
    main(["advise", str(inch(ROUGH)), "--full", "--units", "metric"])
    out = capsys.readouterr().out
    assert "breakout 2 to 2.9 lbf" in out
    beside = re.sub(r"N \([\d.]+ lbf\)", "N", out)  # a missed target's result, in the target's own unit as well
    assert set(re.findall(r"[\d.]+ (?:lbf|thou|ksi)", beside)) == {"2.9 lbf"}


@pytest.mark.parametrize("name", ["two together", "loose ball", "measured", "stack"])
def test_the_same_advice_is_given_in_either_unit(name):
    build = replace(advised(name).build.change({"units": "inch"}), target=advised(name).build.target)
    mine = advise(build, CASES[name][2])
    assert [p.names for p in mine.proposals] == [p.names for p in advised(name).proposals]
    report = advise_report(mine, symptoms(build), full=True).partition("\n")[2]
    assert not metric(report)


def test_words_under_a_figure_are_in_inch_too():
    target = (parse_target("breakout_force", {"at_least": "2 lbf", "at_most": "2.9 lbf"}),)
    a = advise(replace(workshop().change({**ROUGH, "units": "inch"}), target=target))
    figure = decision_figure(a)
    assert not metric(figure.texts[1].get_text())
    (ax,) = [ax for ax in figure.axes if ax.get_xlabel() and ax.get_ylabel()]
    assert (ax.get_xlabel()[-6:], ax.get_ylabel()[-6:]) == ("[thou]", "[thou]")
    assert "breakout force [lbf]" in [other.get_xlabel() for other in figure.axes]


class Terminal:
    """Standard error that says it is a terminal."""

    def __init__(self):
        self.text = ""

    def write(self, text):
        self.text += text

    def flush(self):
        pass

    def isatty(self):
        return True


@pytest.mark.usefixtures("afresh")
def test_progress_is_shown_where_the_search_takes_long(monkeypatch, inch, capsys):
    """The clock goes a second for each look at it; the count of designs only rises, and the line ends."""
    shown, clock = Terminal(), itertools.count()
    path = inch(ROUGH)
    monkeypatch.setattr(sys, "stderr", shown)
    monkeypatch.setattr(blocks.time, "monotonic", lambda: next(clock))
    assert main(["advise", str(path)]) == 0
    counts = [int(count.replace(",", "")) for count in re.findall(r"\r([\d,]+) designs tried", shown.text)]
    assert len(counts) > 2
    assert counts == sorted(counts)
    assert shown.text.endswith(" designs tried\n")
    assert "designs tried" not in capsys.readouterr().out


def test_a_knife_with_much_wrong_still_fits_a_page():
    """Four limits exceeded, two warnings, a size to check, a long pair: what failed to help gives way to them."""
    changes = {"bar.relief_thickness": "1.9 mm", "bar.relief_length": "5.4 mm", "tang.pivot_to_ball": "6.24 mm"}
    build = workshop().change({**changes, "opener.radius": "22.4 mm", "opener.push_angle": "76 deg"})
    target = {"at_least": "2 lbf", "at_most": "3 lbf"}
    a = advise(replace(build, target=(parse_target("breakout_force", target), parse_target("falls_shut", True))))
    assert len(a.past) >= 4
    assert a.others
    report = advise_report(a, symptoms(a.build))
    assert len(report.splitlines()) <= 30
    words = " ".join(report.split())
    assert "Symptoms this build shows" not in words
    assert all(check.words in words for check in a.summary.bad)
    assert a.best.reason in words
    assert "Wear eye protection" in words


def test_a_cut_that_is_the_best_change_is_told_in_the_steps_of_the_json():
    """Only a larger drill lets the ball sink so far; it cannot be undone, so it is fed, read and fed again."""
    a = advise(replace(workshop(), target=(Target("loose_ball_height", None, 0.95), Target("falls_shut", truth=True))))
    short = advise_report(a, symptoms(a.build))
    text = " ".join(short.split())
    assert not a.best.undo
    assert short.count("\n") <= PAGE
    assert "In steps: a)" in text
    steps = advise_document(a)["proposals"][0]["steps"]
    assert len(steps) > 1
    assert all(words in text for words in steps)
    assert f"Best change: {in_short(a.best)}." in text
    assert not re.search(r"open with (?!the )", text)
