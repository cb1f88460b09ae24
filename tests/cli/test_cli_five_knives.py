"""Five unlike knives read as a maker reads them: a page each, one verdict everywhere, numbers that say something."""

import re

import pytest
from helpers.five_knives import KNIVES
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.show.one_build.feel_curve.report import report as curve_report
from detentsim.show.one_build.limits.report import limits_report
from detentsim.show.one_build.motion.report import motion_report

pytestmark = pytest.mark.slow  # every command on five knives

COMMANDS = ("curve", "limits", "motion")


def _reports(run, file, *words):
    return {command: run(command, file, *words)[1] for command in COMMANDS}


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", KNIVES)
def test_short_reports_fit_a_page_and_agree_on_the_verdict(run, build_file, name, units):
    texts = _reports(run, build_file(KNIVES[name]), "--units", units)
    for command, text in texts.items():
        assert len(text.splitlines()) <= 30, command
        assert max(map(len, text.splitlines())) <= 96, command
        assert not re.search(r"less than 0 |[a-z]+_[a-z]+ [\d.]+ %", text), command
    assert len({text.split("\n\n")[0] for text in texts.values()}) == 1


def test_a_loss_too_small_to_measure_is_no_bend_to_settle_at(run, build_file):
    """The slim bar loses less than a hundredth of a millimetre: no second bend to aim at that reads the same."""
    text = " ".join(run("limits", build_file(KNIVES["slim"]))[1].split())
    assert "the first unlock takes less than 0.39 thou of it" in text
    assert "it settles at" not in text


def test_a_wanted_change_is_told_beside_the_other_targets(run, build_file):
    text = " ".join(run("curve", build_file(KNIVES["slim"]))[1].split())
    assert re.search(r"Breakout [\d.]+ lbf: a change of -20 % from this build is wanted", text)
    assert "Flies open: no, missed, wanted yes." in text


def test_a_target_typed_in_other_units_than_the_report_has_the_result_in_both(run, build_file):
    """1 lbf is 4.448 N by definition."""
    text = " ".join(run("curve", build_file(KNIVES["measured"]), "--units", "inch")[1].split())
    found = re.search(r"Breakout ([\d.]+) lbf \(([\d.]+) N\): missed by [\d.]+ lbf, wanted 20 to 24 N", text)
    assert found
    assert float(found[2]) == pytest.approx(float(found[1]) * 4.44822, rel=0.005)
    assert "Breakout 25.1 N: missed" in run("curve", build_file(KNIVES["measured"]), "--units", "metric")[1]


def test_no_rim_feed_is_judged_where_there_is_no_breakout(run, build_file):
    text = run("curve", build_file(KNIVES["floating"]))[1]
    assert "Breakout                  none: the ball never reaches the tang" in text
    assert "rim feed" not in text.lower()


def test_a_blade_that_stays_where_it_is_let_go_is_not_said_to_hang(run, build_file):
    texts = _reports(run, build_file(KNIVES["liner"]))
    assert all("at 90 deg, it stays where it is" in " ".join(texts[c].split()) for c in ("curve", "motion"))


# What gives the longest verdicts: several warnings, several limits, inch sizes beside a target in newtons.
LONG = {
    "bar.bend": "140 thou",
    "bar.relief_thickness": "1.1 mm",
    "overtravel.gap": None,
    "overtravel.from_root": None,
    "dimple.overclose": "-0.05 mm",
    "friction.ball_on_tang": 0.37,
    "friction.ball_on_tang_static": 0.2,
    "opener.leaves_at": "20 deg",
}


@pytest.mark.parametrize("left_out", [(), ("friction.ball_on_tang_static",), ("bar.bend",), ("dimple.overclose",)])
def test_even_a_knife_with_many_faults_is_told_on_a_page(left_out):
    build = workshop().change({name: text for name, text in LONG.items() if name not in left_out})
    bar = ds.limits(build)
    checked = summary(build, bar)
    assert len(checked.bad) >= 2
    texts = curve_report(ds.curve(build)), limits_report(bar, checked), motion_report(ds.motion(build))
    for text in texts:
        assert text.count("\n") <= 30, text
        assert " ".join(checked.words.split()) in " ".join(text.split())  # wrapped where it is long
