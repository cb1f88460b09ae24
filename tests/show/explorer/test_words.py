"""The explorer's words say what is wrong."""

import numpy as np
import pytest
from helpers.explored import feel_of
from helpers.garden import workshop
from helpers.turned import KINDS, kind, put

from detentsim.analysis.explore.session import Session
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.show.explorer.page import explore_html
from detentsim.show.explorer.report import (
    HAND_STEP,
    NO_WARNINGS,
    UNCHANGED,
    WAITS,
    explore_document,
    explore_report,
    headlines,
    sentences,
)
from detentsim.units.numbers import two_digits


def by(artists, label):
    return next(artist for artist in artists if artist.get_label() == label)


# Words


def rows_of(turns):
    return {row.name: row for row in headlines(turns.now, turns.start)}


def test_headlines_at_the_start_have_not_changed():
    rows = rows_of(Session(workshop()))
    assert {row.change for row in rows.values()} == {UNCHANGED}
    assert rows["breakout"].now == "9.7 N"
    assert rows["flies open"].now == "yes"
    assert rows["falls shut"].now == "yes"


def test_headlines_tell_forces_in_hand_steps_angles_in_degrees_and_truths_in_words():
    turns = put(workshop(), {"bar.bend": "3.5 mm", "ball.diameter": "2 mm"})
    assert rows_of(turns)["flies open"] == ("flies open", WAITS, UNCHANGED)
    turns.settle()
    rows = rows_of(turns)
    assert rows["breakout"].change.endswith(" hand-steps")
    assert rows["drag at mid-swing"].change.startswith("+")
    assert rows["contact"].change.startswith("-")
    assert rows["contact"].change.endswith("°")
    assert rows["seat below the flat"].change.startswith("-")
    assert rows["seat below the flat"].change.endswith(" %")
    assert rows["held shut against"].change.startswith("-")
    assert rows["falls shut"] == ("falls shut", "no", "was yes")
    assert rows["whole curve"].change.endswith(" hand-steps")


def test_headlines_of_what_is_gone_tell_what_it_was():
    turns = put(workshop(), {"bar.bend": 0, "tang.face_gap": -1})
    assert turns.settle().flags == ("floats",)
    rows = rows_of(turns)
    assert rows["breakout"] == ("breakout", "none", "was 9.7 N")
    assert rows["whole curve"].now == "felt"
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    assert {row.now for row in rows_of(turns).values()} == {"none", ""}
    assert rows_of(turns)["whole curve"].change == "none to compare"


def test_a_pull_that_changed_sides_tells_what_it_was():
    assert rows_of(put(workshop(), {"dimple.overclose": 0}))["draw onto the stop"].change.startswith("was ")


@pytest.mark.slow
@pytest.mark.parametrize("name", list(KINDS))
def test_nothing_infeasible_goes_unsaid(name):
    turns = Session(kind(name))
    rng = np.random.default_rng(7)
    seen = set()
    for _ in range(24):
        for knob in turns.knobs:
            if rng.random() < 0.5:
                turns._places[knob.name] = int(rng.integers(len(knob.stops)))
        look = turns._turned()
        words = sentences(look)
        assert words
        assert all(sentence.endswith(".") for sentence in words)
        if look.build is None:
            assert words == (f"No such knife. {look.unfit}.",)
            assert "dimple." not in look.unfit
        else:
            assert {FLAGS[flag] for flag in look.flags} <= set(words)
            pressed = any(sentence.startswith("Nothing draws the blade shut") for sentence in words)
            opens = (look.results["carry_g"] or 1) < 1
            wrong = {*look.flags} & {*UNSOUND} or pressed or opens or any(v.met is False for v in look.verdicts)
            assert (NO_WARNINGS in words) == (not wrong and look.results["breakout_force"] is not None)
        seen |= {look.build is None, *look.flags}
    assert len(seen) > 3


def test_a_blade_that_nothing_draws_shut_is_told():
    turns = Session(workshop().change({"dimple.radial_error": "0.6 mm"}))
    assert turns.start.results["draw_torque"] < 0
    assert turns.start.flags == ()
    assert sentences(turns.start)[0] == summary(turns.first)["stays shut"].words
    assert sentences(turns.start)[0].startswith("Nothing draws the blade shut: it takes ")
    proud = put(workshop(), {"dimple.overclose": 0})
    assert proud.now.flags == ("stands_proud",)
    assert not any("Nothing draws" in words for words in sentences(proud.now))


@pytest.mark.slow
@pytest.mark.parametrize(
    "change",
    [{}, {"bar.bend": "1 mm"}, {"bar.bend": "-1 mm"}, {"blade.mass": "300 gram"}, {"dimple.overclose": "0.8 mm"}],
)
def test_window_calls_nothing_fine_that_the_verdict_of_every_report_calls_bad(change):
    turns = Session(workshop().change(change))
    found = summary(turns.first)
    bad = [check.name for check in found.bad if check.name != "limits"]
    assert (NO_WARNINGS in sentences(turns.now)) == (not bad)
    report = explore_report(turns).splitlines()
    assert " ".join(report).startswith(f"{turns.first.name}: every knob is where it started. {found.words}")
    assert explore_document(turns)["verdict"]["words"] == found.words


@pytest.mark.parametrize(("change", "state"), [({"bar.bend": "1 mm"}, "mind"), ({"blade.mass": "300 gram"}, "bad")])
def test_window_words_staying_shut_as_the_verdict_does(change, state):
    turns = Session(workshop().change(change))
    check = summary(turns.first)["stays shut"]
    assert check.state == state
    assert check.words in sentences(turns.now)


def test_worst_comes_first_and_the_hand_step_is_explained():
    turns = put(workshop(), {"bar.bend": 0})
    words = sentences(turns.now)
    assert words[0] == FLAGS["hangs_loose"]
    assert any(one.startswith("Target: breakout") and "missed" in one for one in words[1:])
    assert HAND_STEP in explore_report(turns)
    assert HAND_STEP in explore_html(turns.now, turns.start)


def test_headlines_are_in_the_units_of_the_build():
    """In a build in inches a force stands in pounds: 4.4482216 N each."""
    turns = Session(workshop().change({"units": "inch"}))
    force = turns.now.results["breakout_force"]
    assert rows_of(turns)["breakout"].now == f"{two_digits(force / 4.4482216)} lbf"
    assert rows_of(turns)["draw onto the stop"].now.endswith(" ozf·in")
    view = feel_of(turns)
    assert "force at the opener [lbf]" in {text.get_text() for text in view.ax.texts}
    assert 4.4482216 * by(view.ax.lines, "opening").get_ydata() == pytest.approx(turns.now.opening, nan_ok=True)
    assert 4.4482216 * by(view.ax.patches, "target").get_bbox().y1 == pytest.approx(13)


def test_the_target_is_judged_in_words():
    turns = put(workshop(), {"bar.bend": "4 mm"})
    turns.settle()
    (told,) = [words for words in sentences(turns.now) if words.startswith("Target: ")]
    first, second = told.removeprefix("Target: ").split("; ")
    assert first.startswith("breakout ")
    assert "missed" in first
    assert second.startswith("falls shut: no, missed")


def test_what_is_left_out_of_the_build_is_told():
    words = sentences(put(workshop(), {"ball.diameter": "2 mm"}).now)
    assert words[-1] == "Left out here and when saved: ball.hole_drill."


def test_a_truth_that_nobody_knows_says_why_in_the_document():
    turns = Session(workshop().change({"blade.mass": None, "blade.inertia": None, "blade.balance_radius": None}))
    for name in ("opens_fully", "falls_shut"):
        found = explore_document(turns)["results"][name]
        assert found["value"] is None
        assert found["unit"] == ""
        assert found["why"]


def test_without_a_mass_what_the_blade_does_is_unknown():
    rows = rows_of(
        Session(workshop().change({"blade.mass": None, "blade.inertia": None, "blade.balance_radius": None}))
    )
    assert [rows[name].now for name in ("flies open", "falls shut", "held shut against")] == ["unknown"] * 3


def test_the_table_for_a_notebook_is_plain_and_escapes():
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    html = explore_html(turns.now, turns.start)
    assert "<script" not in html
    assert "#53 against" in html
    assert "No such knife" in html
