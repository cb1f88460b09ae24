"""Builds under their knobs, of every kind that gives a knob of its own."""

from functools import cache

import detentsim as ds
from detentsim.analysis.explore.session import Session
from helpers.garden import workshop

STACK = {"tang.face_gap": None, "pivot.washer_thickness": "0.55 mm", "pivot.tang_pocket": "0.05 mm"}
MEASURED = {"bar.measured.pull": "20 N", "bar.measured.travel": "0.5 mm", "bar.measured.at": "50 mm"}
TOLERANCES = """
[tolerance]
"ball.hole_drill" = { plus_minus = "0.02 mm" }   # as reamed
"dimple.rim_drill" = { plus_minus = "0.01 mm" }
"dimple.rim_feed" = { at_least = "0.04 mm", at_most = "0.06 mm" }
"bar.measured.travel" = { plus_minus = "0.02 mm" }
"bar.bend" = { plus_minus = "0.1 mm" }
"""
# What each is changed from the demo.
KINDS: dict[str, dict[str, object]] = {
    "demo": {},
    "thin liner": {
        "bar.relief_thickness": None,
        "bar.relief_length": None,
        "bar.thickness": "1.1 mm",
        "bar.root": "edge",
        "bar.bend": "6 mm",
        "overtravel.gap": None,
        "overtravel.from_root": None,
    },
    "one drill": {"dimple.rim_drill": "none", "dimple.rim_feed": None},
    "read by a loose ball": {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.03 mm"},
    "stacked washer": STACK,
    "over-close by angle": {"dimple.overclose": "0.4 deg"},
    "inch": {"bar.bend": "90 thou", "dimple.rim_feed": "2 thou", "grip.force": "0.5 lbf", "ball.diameter": "0.0625 in"},
    "measured bar": MEASURED,
    "left hand": {"hand": "left", "friction.ball_on_tang": 0.155},
    "with tolerances": MEASURED,
    "odd sizes": {"ball.diameter": "1.61 mm", "dimple.pilot_drill": "1.42 mm", "dimple.rim_drill": "1.53 mm"},
}


@cache
def kind(name: str) -> ds.Build:
    """A build, named by what is special about it."""
    build = workshop().change(KINDS[name])
    return ds.Build.loads(build.text + TOLERANCES) if name == "with tolerances" else build


def put(build: ds.Build, places: dict[str, int | str]) -> Session:
    """A build with knobs put to stops, by place or by the text of one."""
    turns = Session(build)
    for name, place in places.items():
        texts = [stop.text for stop in turns.knob(name).stops]
        turns.turn(name, texts.index(place) if isinstance(place, str) else place % len(texts))
    return turns
