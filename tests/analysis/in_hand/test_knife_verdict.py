"""The verdict for the knife on the bench: least change of what is wanted, what is unsound, readings that do not fit."""

from dataclasses import replace
from functools import cache

import pytest
from helpers.benched import benched
from helpers.five_knives import KNIVES
from helpers.garden import garden

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.in_hand.advise.thresholds import GAIN
from detentsim.analysis.in_hand.advise.words import brings, least_change_words
from detentsim.cli.entry import main
from detentsim.knife.model import Build
from detentsim.knife.target.target import Target
from detentsim.show.in_hand.advise.document import knife_document
from detentsim.show.in_hand.advise.knife import knife_report, verdict_words
from detentsim.show.theme.tables import PAGE
from detentsim.units.systems import INCH, METRIC

pytestmark = pytest.mark.slow  # every test here draws knives and asks for advice, which costs seconds


@cache
def out_of_reach():
    """A liner that must fall shut and break out lightly: no move does either."""
    return advise(ds.fit(Build.loads(KNIVES["liner"]), {"falls_shut": False}))


def test_the_least_change_of_what_is_wanted_is_told_where_nothing_gets_there():
    """Every move that does not get there misses more, in hand-steps, and what is eased is what the move gives."""
    a = out_of_reach()
    words = least_change_words(a)
    text = knife_report(a, a.knives)
    assert a.best is None
    assert words.startswith("The least change of what is wanted: give up that it falls shut; let breakout go ")
    assert words in " ".join(text.split())
    assert words in knife_document(a, a.knives)["advice"]
    assert text.count("\n") <= PAGE

    able = [p for p in a.others if p.tried.sound]
    best = min(able, key=lambda p: p.tried.miss)
    force = ds.curve(a.build.change(best.changes)).breakout_force.m_as("N")
    assert a.build.units.two_digits(force, "N") in words
    assert best.tried.moves[0].short(best.tried.values[0]) in words


def test_giving_up_all_that_is_wanted_is_no_change_of_it():
    a = advise(
        ds.fit(replace(Build.loads(KNIVES["slim"]), target=(Target("falls_shut", truth=True),)), {"snaps": False})
    )
    assert a.best is None
    assert least_change_words(a) == ""
    assert "least change" not in knife_report(a, a.knives)


def test_an_unsound_knife_is_not_just_left_alone():
    """The garden folder dents its tang; `advise` without readings says so, and ends with status 1."""
    build = replace(garden(), target=(Target("breakout_force", 9.0, 16.0),))
    a = advise(ds.fit(build, {"breakout_force": ("13.6 N", "0.2 N")}))
    assert (a.met, a.right, a.flags) == (True, False, ("dents_tang",))
    leave, wrong = verdict_words(a)
    assert leave.startswith("Leave its feel alone: ")
    assert "The ball presses hard enough to dent the tang." in wrong
    assert wrong in " ".join(knife_report(a, a.knives).split())


def test_readings_that_do_not_fit_stand_first_and_end_with_status_1(tmp_path, capsys):
    path = benched("light").save(tmp_path / "light.toml")
    build = Build.read(path)
    assert build.target
    read = ["--reading", "breakout_force=4.1 N", "--reading", "lift_force_open=11 N"]
    assert [main(["fit", str(path), *read]), main(["advise", str(path), *read])] == [1, 1]
    out = capsys.readouterr().out
    assert "The readings do not fit the drawing: check them before anything is changed." in out


def test_no_move_is_told_for_a_reading_far_from_every_knife_of_the_drawing():
    """The likeliest of its knives breaks out at half of what was read, so a move tried on them may go the wrong way."""
    build = benched("light")
    fit = ds.fit(build, {"breakout_force": f"{3 * ds.curve(build).breakout_force.m_as('N'):.1f} N"})
    assert [one.explained for one in fit.conflicts] == [False]
    a = advise(fit)
    assert (a.met, a.best, a.astray) == (False, None, True)
    text = " ".join(knife_report(a, fit).split())
    assert "No change is told yet" in text
    assert "No change is told yet" in knife_document(a, fit)["advice"]
    assert "What to change" not in text
    assert text.index("No change") < text.index("Check Breakout reads")
    assert a.short.startswith("read it again")


def test_what_to_check_stays_on_the_page_beside_the_moves():
    """A reading just outside what the drawing gives: some of its knives do read so, and are advised on."""
    build = benched("light").change({"bar.bend": "3.2 mm"})
    high = ds.batch(build, 1024).interval("breakout_force", 0.999)[1].m_as("N")
    fit = ds.fit(build, {"breakout_force": f"{1.05 * high:.2f} N"})
    a = advise(fit)
    assert [one.explained for one in fit.conflicts] == [True]
    assert a.proposals
    text = knife_report(a, fit)
    assert "  Check  " in text
    assert text.count("\n") <= PAGE


def test_no_move_that_lands_no_knife_is_listed_beside_one_that_does():
    build = benched("light").change({"bar.bend": "3.2 mm"})
    a = advise(ds.fit(build, {"breakout_force": ("14 N", "0.5 N")}))
    assert max(p.chance for p in a.proposals) > GAIN
    assert min(p.chance for p in a.proposals) > GAIN


def test_a_result_inside_its_band_reads_inside_it():
    aims = (Aim("breakout_force", 11.1, 12.3, None, 1.0),)
    assert brings(aims, {"breakout_force": 11.2}, METRIC) == "breakout 11.2 N"
    assert brings(aims, {"breakout_force": 11.6}, METRIC) == "breakout 12 N"
    assert brings(aims, {"breakout_force": 11.05}, METRIC) == "breakout 11 N, just below what is wanted"
    assert brings((Aim("breakout_force", 2 * 4.4482216, 3 * 4.4482216, None, 1.0),), {"breakout_force": 9.0}, INCH) == (
        "breakout 2.0 lbf"
    )
