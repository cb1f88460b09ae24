"""Builds with what is wanted of them, and the advice on each: solved once for every test that needs it."""

from dataclasses import replace
from functools import cache

from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptoms
from detentsim.knife.target.target import Target
from helpers.garden import workshop

OWN = (Target("breakout_force", 9.0, 13.0), Target("falls_shut", truth=True))

# Changes of the demo, targets, words.
CASES = {
    "lighter": ({}, (), "lighter"),
    "stiffer": ({}, (), "stiffer 3"),
    "bent too little": ({"bar.bend": "1.2 mm"}, OWN, None),
    "rough": ({"friction.ball_on_tang": 0.3}, OWN, None),
    "two together": ({}, (Target("breakout_force", 15.0, 17.0), Target("drag_force", 1.2, 1.4)), None),
    "against each other": ({}, (Target("breakout_force", 2.0, 4.0), Target("breakout_torque", 90.0, 110.0)), None),
    "loose ball": (
        {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.08 mm"},
        (Target("loose_ball_height", None, 1.05),),
        None,
    ),
    "measured": (
        {"bar.measured.pull": "10 N", "bar.measured.travel": "1 mm", "bar.measured.at": "46 mm"},
        (Target("breakout_force", 9.0, 10.0),),
        None,
    ),
    "stack": (
        {"tang.face_gap": None, "pivot.washer_thickness": "1.5 mm", "pivot.handle_pocket": "1 mm"},
        (Target("breakout_force", change=-0.2),),
        None,
    ),
    "proud": (
        {"dimple.overclose": "-0.02 mm", "stop.radius": "9 mm"},
        (Target("draw_torque", 20.0, 40.0), Target("rest_angle", None, 0.0)),
        None,
    ),
    "a tenth lighter": ({}, (Target("breakout_force", change=-0.1),), None),
    "right": ({}, OWN, None),
    "floats": ({"bar.bend": "-1.2 mm"}, (Target("breakout_force", 1.0, 3.0),), None),
}


@cache
def made(name):
    """The build of a case, with its target."""
    changes, targets, _ = CASES[name]
    return replace(workshop().change(changes), target=targets)


@cache
def advised(name):
    """Advice on a case."""
    return advise(made(name), CASES[name][2])


@cache
def shown(given, name):
    """Symptoms of the build that advice was given on, `given` being `advised` or its like for other builds."""
    return symptoms(given(name).build)
