"""Simulated knives on the bench: drawn from a build's distributions, solved, and read with the errors of tools."""

from typing import NamedTuple

import numpy as np

from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.knife.measured.tools import tool
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import draw
from detentsim.knife.record.record import plain
from helpers.garden import garden

# Builds as unlike as bar, dimple, pivot and doubt make them.
BENCHED = {
    "as drawn": {},
    "on washers": {"pivot.kind": "washers", "pivot.washer_inner": "4.8 mm", "pivot.washer_outer": "9.5 mm"},
    "one drill": {"dimple.rim_drill": "none", "dimple.rim_feed": None},
    "light": {"bar.bend": "1.1 mm", "bar.relief_thickness": "1.1 mm"},
    "wide relief": {"bar.width": "11 mm", "bar.relief_thickness": "1 mm", "bar.bend": "2 mm"},
    "edge bar": {"bar.root": "edge", "friction.ball_on_tang": "oiled"},
    "large ball": {"ball.diameter": "2 mm", "ball.protrusion": "0.8 mm", "dimple.pilot_drill": "1.8 mm"}
    | {"dimple.rim_drill": "1.9 mm", "tang.face_gap": "0.65 mm"},
    "measured": {"bar.stiffness": "9.4 N/mm"},
    "deep feed": {"dimple.rim_feed": "0.14 mm", "dimple.overclose": "0.08 mm"},
    "far ball": {"tang.pivot_to_ball": "10 mm", "opener.radius": "12 mm"},
}


class Bench(NamedTuple):
    """One simulated knife."""

    truth: dict  # results in their units, inputs in SI
    readings: dict  # as `detentsim.fit` takes them


def benched(name):
    """The build of a name."""
    return garden().change(BENCHED[name])


def bench(build, what, seed, points=None):
    """Knives of a build, each read once with the usual tools: one knife, or those at given points, 0 to 1.

    A reading's error is normal, with the tool's standard error.
    """
    rng = np.random.default_rng([seed, 77])
    spread = doubts(build, plain(build))
    points = rng.uniform(size=(1, len(spread))) if points is None else points[:, : len(spread)]
    count = len(points)
    found = draw(build, spread, points)
    wanted = tuple(dict.fromkeys((*what, "breakout_force", "drag_force")))
    solved = solve_all(found.record, found.excluded, wanted, None, lambda _done, _total: None).results
    knives = []
    for i in range(count):
        truth = {one: float(solved[one][i]) for one in wanted} | {one: float(v[i]) for one, v in found.values.items()}
        read = {}
        for one in what:
            error = tool(one).error(truth[one])
            unit = RESULTS[one].unit
            read[one] = (f"{abs(truth[one] + error * rng.standard_normal()):.9g} {unit}", f"{error:.9g} {unit}")
        knives.append(Bench(truth, read))
    return knives
