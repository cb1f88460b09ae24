"""Coats, burr and the pivot's details in every command: one knife as it is and finished, by curve, motion and sweep."""

import json
from functools import cache

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
from detentsim.analysis.one_build.motion.holding import MetBurr, met_burr
from detentsim.cli.entry import main
from detentsim.show.one_build.feel_curve.page import curve_figure
from detentsim.show.one_build.feel_curve.report import report
from detentsim.show.one_build.motion.report import motion_report

# A heavy blade let go near its dimple, which just falls shut.
KNIFE = {
    "pivot.kind": "washers",
    "pivot.friction_torque": "1.5 N*mm",
    "pivot.washer_friction": 0.05,
    "pivot.washer_inner": "4.8 mm",
    "pivot.washer_outer": "9.5 mm",
    "bar.bend": "1.48 mm",
    "blade.mass": "70 gram",
    "blade.inertia": "120 kg*mm**2",
    "attitude.close_from": "20 deg",
}
FINISH = {
    "tang.coating": "0.02 mm",
    "bar.coating": "0.02 mm",
    "ball.coating": "0.02 mm",
    "pivot.end_play": "0.05 mm",
    "pivot.washer_contact": "face",
    "pivot.pin_diameter": "4 mm",
    "dimple.burr": "0.03 mm",
}
# Results that each must move, in the order of the table above.
MOVES = (
    "breakout_force",
    "riding_force",
    "breakout_force",
    "riding_force",
    "drag_force",
    "drag_force",
    "closing_spare",
)
EVERY = ("breakout_force", "riding_force", "drag_force", "closing_spare", "draw_torque", "contact_pressure")


@cache
def plain():
    return garden().change(KNIFE)


def results(build):
    s = ds.sweep(build, {"bar.calibration": [1.0]}, of=EVERY)
    return {name: float(s.results[name][0]) for name in EVERY}


@pytest.mark.parametrize(("name", "moves"), list(zip(FINISH, MOVES, strict=True)))
def test_a_sweep_over_each_sees_it(name, moves):
    seats = {"pivot.seats": "coated"} if name == "bar.coating" else {}  # else its coat leaves the ball where it was
    before, after = (results(plain().change(one)) for one in ({}, {name: FINISH[name], **seats}))
    assert abs(after[moves] / before[moves] - 1) > 1e-3


@pytest.mark.slow
def test_curve_motion_limits_and_sweep_give_one_number_for_one_knife(tmp_path, capsys):
    build = plain().change({**FINISH, "pivot.end_play": None})
    path = tmp_path / "finished.toml"
    path.write_text(build.text, encoding="utf-8")
    swept = results(build)
    found = {}
    for command in ("curve", "motion", "limits"):
        main([command, str(path), "--json"])
        for name, value in json.loads(capsys.readouterr().out)["results"].items():
            if isinstance(value, dict) and value["value"] is not None:
                found.setdefault(name, []).append(value["value"])
    for name in EVERY:
        assert found[name], name
        assert found[name] == pytest.approx([swept[name]] * len(found[name]), rel=1e-9)


def test_a_burr_is_on_the_closing_curve_and_nowhere_else():
    smooth, rough = ds.curve(plain()), ds.curve(plain().change({"dimple.burr": "0.03 mm"}))
    assert np.min(rough.closing_torque.m) < 2.5 * np.min(smooth.closing_torque.m)
    for name, value in smooth.results.items():
        assert rough.results[name] == value, name
    grid = smooth.blade_angle.m
    again = np.interp(grid, rough.blade_angle.m, rough.opening_torque.m)
    np.testing.assert_allclose(again, smooth.opening_torque.m, atol=1e-3 * np.max(smooth.opening_torque.m))


@pytest.mark.slow
def test_a_blade_that_hangs_on_its_burr_is_told_so_and_the_flat_is_sanded():
    rough = plain().change({"dimple.burr": "0.03 mm"})
    assert ds.motion(rough.change({"dimple.burr": None})).results["falls_shut"]
    motion = ds.motion(rough)
    assert not motion.results["falls_shut"]
    assert motion.holding.on_burr
    assert "the ball, climbing the burr round its dimple, holds" in motion_report(motion, full=True).replace(
        "\n  ", " "
    )
    s = symptom(rough, "will not fall shut")
    assert s.present
    assert "a burr of 0.030 mm resists the closing blade from" in s.words
    assert "times the drag" in s.words
    clause = motion.burr.words(rough.units)
    assert clause in s.words
    for text in (motion_report(motion), report(ds.curve(rough)), report(ds.curve(rough), full=True)):
        assert f"A{clause[1:]}." in " ".join(text.split())
    falls = (Aim("falls_shut", -np.inf, np.inf, True, 1.0),)
    sanded = [p for p in advise(rough, aims=falls).proposals if "Sand the tang's flat" in " ".join(p.words)]
    assert sanded


def test_a_burr_that_is_not_met_is_not_told():
    assert met_burr(ds.curve(plain()).response) is None
    assert met_burr(ds.curve(plain().change({"dimple.burr": "0.03 mm", "bar.bend": "-2 mm"})).response) is None
    stopped = MetBurr(0.03, 9.4, None, 5.0).sentence(plain().units)
    assert stopped == "A burr of 0.030 mm stops the closing blade at 9.4 deg, too steep for the ball to climb."


def test_the_figure_of_the_feel_tells_what_the_burr_does():
    rough = ds.curve(plain().change({"dimple.burr": "0.03 mm"}))
    said = " ".join(text.get_text() for text in curve_figure(rough).texts)
    assert rough.burr.sentence(rough.build.units) in said.replace("\n", " ")
