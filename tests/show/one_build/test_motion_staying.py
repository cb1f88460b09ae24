"""Staying shut and the attitudes of falling shut: drawn, told and in JSON with the same numbers."""

import numpy as np
import pytest
from helpers.drawn_motions import axes, made, page
from helpers.drawn_parts import words
from helpers.words import check_words

from detentsim.analysis.one_build.motion.all_round import OUTCOMES
from detentsim.knife.outcomes import CARRY
from detentsim.show import attitude_ring, staying_gauge, what_opens
from detentsim.show.one_build.motion.report import motion_document, motion_report
from detentsim.units.numbers import two_digits


def bars(ax):
    return {p.get_gid().removeprefix("held "): p.get_width() for p in ax.patches if str(p.get_gid()).startswith("held")}


def test_weights_held_are_those_of_report_and_json():
    m = made("demo")
    drawn, document = bars(staying_gauge(m, axes())), motion_document(m)
    assert drawn["as built"] == document["results"]["carry_g"]["value"] == document["staying"]["carry_g"]
    assert drawn["half the friction"] == document["staying"]["carry_g_slick"] < drawn["as built"]
    report = " ".join(motion_report(m, full=True).split())
    for value in drawn.values():
        assert f" {two_digits(value)}" in words(staying_gauge(m, axes()))
        assert two_digits(value) in report
    assert f"below {CARRY:g} it may open when carried" in words(staying_gauge(m, axes()))


@pytest.mark.slow
@pytest.mark.parametrize("name", ["demo", "held lightly"])
def test_words_beside_what_a_carried_blade_needs_stay_in_the_gauge(name):
    (gauge,) = [ax for ax in page(name).axes if ax.get_xlabel().startswith("times its own weight")]
    page(name).canvas.draw()
    (said,) = [text for text in gauge.texts if "when carried" in text.get_text()]
    assert said.get_window_extent().x1 <= gauge.bbox.x1


def test_what_opens_it_is_told_in_the_numbers_of_report_and_json():
    m = made("demo")
    told, held = words(what_opens(m, axes())), motion_document(m)["staying"]
    report = " ".join(motion_report(m, full=True).split())
    for number, unit in ((held["drop"], "mm"), (held["torque"], "N*mm")):
        assert f"{two_digits(number)} {unit}" in told
        assert f"{two_digits(number)} {unit}" in report


def test_only_below_its_own_weight_is_hatched():
    (hatched,) = [p for p in staying_gauge(made("demo"), axes()).patches if p.get_hatch()]
    assert (hatched.get_x(), hatched.get_width()) == (0, 1)
    assert words(staying_gauge(made("floats"), axes())).startswith("Nothing holds the blade shut")


@pytest.mark.parametrize(("name", "side"), [("demo", 1), ("left hand", -1)])
def test_ring_shows_the_spans_of_the_json_on_their_side(name, side):
    m = made(name)
    ax, spans = attitude_ring(m, axes()), motion_document(m)["all_round"]
    wedges = [p for p in ax.patches if p.get_gid() in OUTCOMES]
    assert [p.get_gid() for p in wedges] == [one["outcome"] for one in spans]
    for wedge, one in zip(wedges, spans, strict=True):
        # butt-down is down the page; the opening sense is counter-clockwise for a right hand
        middle = np.radians(-90 + side * (one["low"] + one["high"]) / 2)
        drawn = np.radians((wedge.theta1 + wedge.theta2) / 2)
        assert np.cos(drawn - middle) == pytest.approx(1)
        assert wedge.theta2 - wedge.theta1 == pytest.approx(one["high"] - one["low"])


def test_each_attitude_of_the_row_lies_in_its_span_of_the_ring():
    for name in ("demo", "coasts", "floats", "short swing", "own attitude"):
        m = made(name)
        assert sum(one.high - one.low for one in m.all_round) == pytest.approx(360)
        for hang in m.attitudes:
            turned = [(hang.down_angle + turn, one) for one in m.all_round for turn in (-360, 0, 360)]
            (outcome,) = {one.outcome for down, one in turned if one.low <= down < one.high}
            assert outcome == OUTCOMES[0 if hang.falls else 2 if hang.opens else 1]


def test_report_says_in_which_attitudes_it_falls_shut():
    m = made("demo")
    (span,) = [one for one in m.all_round if one.outcome == "falls shut"]
    told = f"it falls shut tilted {-span.high:.0f} to {-span.low:.0f} deg from butt-down, slot up."
    assert told in " ".join(motion_report(m, full=True).split())
    assert told in page("demo").texts[1].get_text().replace("\n", " ")
    assert "it falls shut in no attitude of the handle." in " ".join(motion_report(made("coasts"), full=True).split())


@pytest.mark.slow
@pytest.mark.parametrize("name", ["demo", "left hand", "floats", "no mass", "coasts"])
def test_pages_with_it_can_be_read(name):
    check_words(page(name))
