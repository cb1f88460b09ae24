"""Wanted results: reading and judging."""

import math
import re

import pytest
from helpers.garden import GARDEN_TEXT

from detentsim.knife.model import Build
from detentsim.knife.target.target import FELT, Target, change_band, parse_target
from detentsim.knife.target.verdict import judge
from detentsim.knife.target.words import wanted_words
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.systems import INCH, METRIC

LBF = 0.45359237 * 9.80665  # newtons in a pound-force; both factors exact by definition


def test_band_in_the_results_own_unit():
    wanted = parse_target("breakout_force", {"at_least": "2 lbf", "at_most": "13 N"})
    assert wanted.at_least == pytest.approx(2 * LBF, rel=1e-12)
    assert wanted.at_most == pytest.approx(13.0)


@pytest.mark.parametrize(
    ("name", "text", "number"),
    [
        ("breakout_torque", "0.05 N*m", 50.0),
        ("breakout_angle", "0.5 deg", 0.5),
        ("bar_stiffness", "13 N/mm", 13.0),
        ("working_stress", "0.6 GPa", 600.0),
        ("seat_depth", "1/64 in", 0.396875),
        ("breakout_energy", "0.002 J", 2.0),
        ("breakout_energy", "2 N*mm", 2.0),
        ("arrival_speed", "20 rad/s", 20.0),
        ("arrival_speed", "180 deg/s", math.pi),
        ("carry_g", 3, 3.0),
    ],
)
def test_every_kind_of_result(name, text, number):
    assert parse_target(name, {"at_least": text}).at_least == pytest.approx(number, rel=1e-12)


def test_quantities_will_do():
    assert parse_target("breakout_energy", {"at_most": quantity(0.003, "J")}).at_most == pytest.approx(3.0)
    assert parse_target("breakout_force", {"at_most": quantity(3.0, "N")}).at_most == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("name", "raw", "says"),
    [
        ("breakout_fource", {"at_least": "9 N"}, "did you mean breakout_force"),
        ("breakout_force", {"at_least": 9}, "no unit"),
        ("breakout_force", {"at_least": "9 lb"}, "lbf"),
        ("breakout_force", {"at_least": "9 mm"}, "mm"),
        ("breakout_force", {"at_leest": "9 N"}, "at_least"),
        ("breakout_force", {"at_least": "13 N", "at_most": "9 N"}, "above"),
        ("breakout_force", {}, "not a band"),
        ("breakout_force", "9 N", "not a band"),
        ("breakout_force", True, "not a band"),
        ("breakout_force", {"change": "-20"}, "-20 %"),
        ("breakout_force", {"change": -20}, "-20 %"),
        ("breakout_force", {"change": "-120 %"}, "-20 %"),
        ("breakout_force", {"change": "nan %"}, "-20 %"),
        ("breakout_force", {"change": "-\uff12\uff10 %"}, "-20 %"),
        ("breakout_force", {"change": "-20 %", "at_least": "9 N"}, "beside"),
        ("falls_shut", "true", "true or false"),
        ("falls_shut", 1, "true or false"),
        ("breakout_energy", {"at_least": 2}, "mJ"),
        ("breakout_energy", {"at_least": "2 N"}, "mJ"),
        ("breakout_energy", {"at_least": "nan mJ"}, "mJ"),
        ("breakout_energy", {"at_least": quantity(2.0, "mm")}, "mJ"),
        ("arrival_speed", {"at_least": quantity([1.0, 2.0], "rad/s")}, "rad/s"),
        ("carry_g", {"at_least": "3"}, "plain number"),
        ("carry_g", {"at_least": math.nan}, "finite"),
        ("stays_shut", True, "told by carry_g, which should be at least 6"),
        ("flies_open", True, "did you mean opens_fully"),
    ],
)
def test_refused(name, raw, says):
    with pytest.raises(InputError) as caught:
        parse_target(name, raw)
    assert says in str(caught.value)
    assert str(caught.value).startswith(f"target.{name}")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("result", "met", "short", "text"),
    [
        (8.1, False, 0.9, "breakout 8.1 N: missed by 0.9 N, wanted 9 to 13 N"),
        (14.5, False, -1.5, "breakout 14.5 N: missed by 1.5 N, wanted 9 to 13 N"),
        (9.0, True, 0.0, "breakout 9 N: met, wanted 9 to 13 N"),
        (None, None, None, "breakout has no value, wanted 9 to 13 N"),
        (math.nan, None, None, "breakout has no value, wanted 9 to 13 N"),
    ],
)
def test_band_judged(result, met, short, text):
    verdict = judge([Target("breakout_force", 9.0, 13.0)], {"breakout_force": result})[0]
    assert (verdict.met, verdict.text) == (met, text)
    assert verdict.short_by == (None if short is None else pytest.approx(short))


def test_open_band_and_missing_result():
    low = judge([Target("carry_g", at_least=3.0)], {"carry_g": 2.0})[0]
    assert low.text == "hold against its own weight 2: missed by 1, wanted at least 3"
    high = judge([Target("drag_force", at_most=2.0)], {"drag_force": 1.5})[0]
    assert high.text == "drag at mid-swing 1.5 N: met, wanted at most 2 N"
    assert judge([Target("drag_force", at_most=2.0)], {})[0].met is None


@pytest.mark.parametrize(
    ("result", "met", "text"),
    [
        (True, True, "falls shut: yes, met"),
        (False, False, "falls shut: no, missed, wanted yes"),
        (None, None, "falls shut has no value, wanted yes"),
    ],
)
def test_truth_judged(result, met, text):
    verdict = judge([Target("falls_shut", truth=True)], {"falls_shut": result})[0]
    assert (verdict.met, verdict.text) == (met, text)


def test_targets_are_repeated_as_typed_and_results_in_the_units_asked_for():
    wanted = parse_target("breakout_force", {"at_least": "2 lbf", "at_most": "3.0 lbf"})
    assert (
        judge([wanted], {"breakout_force": 10.0}, units=INCH)[0].text == "breakout 2.25 lbf: met, wanted 2 to 3.0 lbf"
    )
    halves = parse_target("free_offset", {"at_least": "1 1/2 in", "at_most": "2 1/2in"})
    assert wanted_words(halves) == "1 1/2 to 2 1/2 in"
    mixed = parse_target("breakout_force", {"at_least": "9 N", "at_most": "3 lbf"})
    assert judge([mixed], {"breakout_force": 14.0})[0].text.endswith("wanted 9 N to 3 lbf")


@pytest.mark.parametrize(
    ("result", "met"), [(8.0, True), (8.49, True), (7.51, True), (8.51, False), (7.49, False), (10.0, False)]
)
def test_change_means_about_that_much(result, met):
    wanted = [parse_target("breakout_force", {"change": "-20 %"})]
    verdict = judge(wanted, {"breakout_force": result}, base={"breakout_force": 10.0})[0]
    assert verdict.met is met
    assert verdict.text.endswith("wanted about 8 N (-20 % from 10 N)")


@pytest.mark.parametrize("percent", [-90, -20, -10, -5, -1.5, -0.4, 0.4, 1.5, 5, 10, 20, 200])
@pytest.mark.parametrize("start", [10.0, -3.0])
def test_a_change_holds_its_goal_and_half_a_hand_step_at_most_and_never_passes_the_base(percent, start):
    change = percent / 100
    low, high = change_band(change, start)
    assert (low + high) / 2 == pytest.approx(start * (1 + change))
    assert 0 < high - low <= FELT * abs(start) * (1 + 1e-12)
    past = (start - low) if start * change > 0 else (high - start)
    assert past <= 1e-12


def test_no_change_is_met_within_one_percent():
    assert change_band(0.0, 10.0) == pytest.approx((9.9, 10.1))


def test_change_without_a_base_is_no_verdict():
    wanted = [parse_target("breakout_force", {"change": "\u221220%"})]
    assert judge(wanted, {"breakout_force": 8.0})[0].met is None
    assert "nothing to compare with" in judge(wanted, {"breakout_force": 8.0})[0].text


def test_targets_of_a_file():
    extra = 'falls_shut = true\nbreakout_torque = { change = "-20 %" }\n'
    build = Build.loads(GARDEN_TEXT + extra)
    assert [wanted.name for wanted in build.target] == ["breakout_force", "falls_shut", "breakout_torque"]


def test_faulty_target_is_told_with_its_line():
    text = GARDEN_TEXT + 'falls_shutt = true\ndrag_force = { at_most = "2 lb" }\n'
    with pytest.raises(InputError) as caught:
        Build.loads(text, "garden.toml")
    last = text.count("\n")
    first, second = str(caught.value).split("\n")
    assert first.startswith(f"garden.toml:{last - 1}: target.falls_shutt: ")
    assert second.startswith(f"garden.toml:{last}: target.drag_force.at_most: ")


@pytest.mark.parametrize("units", [METRIC, INCH])
@pytest.mark.parametrize("typed", [("9 N", "13 N"), ("2 lbf", "3 lbf")])
@pytest.mark.parametrize("off", [-0.04, -1e-3, -1e-5, 1e-5, 1e-3, 0.04])
def test_a_result_beside_an_end_of_its_band_is_not_rounded_into_it(units, typed, off):
    """A miss by a hair reads as one, in the report's units and in those the target is typed in."""
    low, high = typed
    wanted = parse_target("breakout_force", {"at_least": low, "at_most": high})
    for end in (wanted.at_least, wanted.at_most):
        (verdict,) = judge([wanted], {"breakout_force": end + off}, units=units)
        assert verdict.met == (wanted.at_least <= end + off <= wanted.at_most)
        told = verdict.text.partition(":")[0]
        for number, unit in re.findall(r"([\d.]+) (N|lbf)", told):
            newtons = float(number) * (LBF if unit == "lbf" else 1)
            assert newtons == pytest.approx(end + off, rel=6e-3)
            if not verdict.met:
                assert (newtons > end) == (off > 0), verdict.text
