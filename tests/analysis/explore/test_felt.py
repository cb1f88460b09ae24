"""One distance of feels: explorer and comparison give one number and one word for the same two builds, everywhere."""

import re
from functools import cache

import numpy as np
import pytest
from helpers.five_knives import KNIVES
from helpers.garden import INCH_FILE, workshop
from helpers.strict_json import strict

import detentsim as ds
from detentsim.analysis.explore.felt import felt_apart, felt_change
from detentsim.analysis.explore.look import solve_look
from detentsim.analysis.explore.session import Session
from detentsim.analysis.hand_steps import Distance, force_off, hand_steps, steps_between
from detentsim.analysis.one_build.curve.band import opening_force
from detentsim.knife.measured.measured import Measured
from detentsim.show.explorer.page import explore_html
from detentsim.show.explorer.report import explore_document, explore_report, headlines
from detentsim.show.in_hand.compare.data_files import compare_csv, compare_document
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.show.theme.rows import HAND_STEP
from detentsim.show.theme.tables import to_json

LOCKS = {"friction.ball_on_tang": 1.2, "dimple.rim_feed": "0.3 mm"}
INCHES = ds.Build.read(INCH_FILE)
PAIRS = {
    "the same": (workshop(), workshop()),
    "hardly lighter": (workshop(), workshop().change({"bar.bend": "2.25 mm"})),
    "lighter": (workshop(), workshop().change({"bar.bend": "1.8 mm"})),
    "snaps": (workshop(), workshop().change({"dimple.rim_feed": "0.16 mm"})),
    "elastic rim": (workshop(), workshop().change({"contact.rim": "elastic"})),
    "proud": (workshop(), workshop().change({"dimple.overclose": "-0.05 mm"})),
    "no breakout, floats": (workshop(), workshop().change({"bar.bend": "-1 mm"})),
    "no breakout, beside its dimple": (workshop().change({"dimple.overclose": "0.8 mm"}), workshop()),
    "no lever from 2.1 deg on": (workshop(), workshop().change({"opener.push_angle": "-85 deg"})),
    "stopped": (workshop(), workshop().change({"overtravel.gap": "0.05 mm"})),
    "locks": (workshop().change(LOCKS), workshop()),
    "both held": (workshop().change(LOCKS), workshop().change({"overtravel.gap": "0.05 mm"})),
    "in inches": (INCHES, INCHES.change({"bar.bend": "60 thou"})),
    "inches beside mm": (INCHES, workshop()),
    "unlike knives": (ds.Build.loads(KNIVES["slim"]), ds.Build.loads(KNIVES["liner"])),
}
SAID = {"stopped": "one of them cannot be opened", "locks": "one of them cannot be opened"}
SAID |= {"both held": "neither can be opened"}
KNOWN = [name for name in PAIRS if name not in SAID]


@cache
def asked(name):
    """Comparison, and a session of the first build that stands at the second."""
    one, other = PAIRS[name]
    turns = Session(one)
    turns.now = solve_look(other, turns.start)
    return ds.compare(one, other), turns


@pytest.mark.parametrize("name", PAIRS)
def test_explorer_and_comparison_give_one_distance(name):
    c, turns = asked(name)
    told, found = felt_apart(turns.now, turns.start), c.distances[1]
    assert (told.steps, told.felt, told.why) == (found.steps, found.felt, found.why)
    assert told[1:4] == pytest.approx(found[1:4], nan_ok=True)
    assert told.why == SAID.get(name, "")
    assert felt_change("breakout_force", turns.now, turns.start) == c.breakout_steps[1]


@pytest.mark.parametrize("name", PAIRS)
def test_documents_give_one_distance(name):
    c, turns = asked(name)
    told, found = strict(to_json(explore_document(turns))), strict(to_json(compare_document(c)))["items"][1]
    assert told["distance"] == found["distance"]
    assert told["breakout_steps"] == found["breakout_steps"]


@pytest.mark.parametrize("name", PAIRS)
def test_reports_give_one_number_and_one_word(name):
    c, turns = asked(name)
    row = headlines(turns.now, turns.start)[-1]
    assert row.name == "whole curve"
    told, found = (" ".join(text.split()) for text in (explore_report(turns), compare_report(c)))
    if name in SAID:
        assert f"no distance to 1: {SAID[name]}." in found
        assert f"No distance to the start: {SAID[name]}." in told
        assert row.change == "none to compare"
        return
    number, word = re.search(
        r": (\S+ hand-steps?) from 1, from \S+ to \S+ deg: the difference is (.+?)\.", found
    ).groups()
    assert (row.now, row.change) == (word, number)
    assert f"whole curve {word} {number}" in told
    assert f">{word}</td>" in explore_html(turns.now, turns.start)


@pytest.mark.parametrize("name", KNOWN)
def test_the_distance_is_that_of_the_forces_at_every_angle(name):
    """Sampled evenly and densely from the kernel, with no regard to breakout, jumps or let-go."""
    c, _ = asked(name)
    found = c.distances[1]
    angle = np.linspace(found.start, found.end, 40_001)
    dense = hand_steps(angle, *(opening_force(item.curve.response, angle) for item in c.items))
    assert found.steps == pytest.approx(dense, rel=3e-3, abs=3e-3)


@pytest.mark.parametrize("name", KNOWN)
def test_a_table_of_the_forces_gives_the_distance_too(name):
    c, _ = asked(name)
    found = c.distances[1]
    rows = np.array([line.split(",") for line in compare_csv(c).splitlines()[1:]])
    inside = [row for row in rows if found.start <= float(row[0]) <= found.end and "" not in row]
    assert hand_steps(*np.array(inside, float).T) == pytest.approx(found.steps, rel=0.05, abs=0.05)


def test_words_follow_the_number():
    words = {name: asked(name)[0].distances[1].felt for name in ("the same", "hardly lighter", "lighter", "snaps")}
    assert words == {"the same": "not felt", "hardly lighter": "not felt", "lighter": "felt", "snaps": "felt"}
    near = ds.compare(workshop(), workshop().change({"bar.bend": "2 mm"})).distances[1]
    assert 1 <= near.steps < 2
    assert near.felt == "just felt"
    assert Distance(0.96).felt == "just felt"  # told as 1.0
    assert HAND_STEP.endswith("the least difference that a finger feels.")


@pytest.mark.parametrize("want", ["lighter", "stiffer 2"])
def test_a_customers_wish_is_counted_in_the_same_steps(want):
    """Advice brings the breakout within half a hand-step of what was asked for, as comparison and explorer count."""
    asked_for = {"lighter": -1.0, "stiffer 2": 2.0}[want]
    own = workshop()
    advice = ds.advise(own, want=want)
    (aim,) = (one for one in advice.aims if one.name == "breakout_force")
    force = ds.curve(own).results["breakout_force"]
    ends = steps_between(force, np.array([aim.low, force_off(force, asked_for), aim.high]))
    assert ends == pytest.approx(asked_for + 0.512 * np.array([-1, 0, 1]), abs=1e-3)  # ln 1.05 / ln 1.1
    c, start = ds.compare(own, advice.advised), solve_look(own, None)
    assert felt_change("breakout_force", solve_look(advice.advised, start), start) == c.breakout_steps[1]
    assert ends[0] <= c.breakout_steps[1] <= ends[2]


def test_a_measured_curve_is_held_against_the_same_opening():
    """A build's own forces up to 90 deg, read as a measured curve, are no distance from it."""
    one = workshop()
    table = "\n".join(f"{a!r},{f!r}" for a, f in ds.curve(one).columns[[0, 3]].T.tolist() if a < 90)
    c = ds.compare(one, Measured.from_text(f"angle_deg,force_N\n{table}\n"))
    assert c.distances[1].steps < 0.05
