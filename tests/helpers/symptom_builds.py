"""Builds that show each symptom and builds that do not, solved once."""

from functools import cache

import numpy as np

from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptoms
from helpers.garden import workshop

BUILDS = {
    "demo": {},
    "floats": {"bar.bend": "-3 mm"},
    "loose": {"bar.bend": "0.2 mm"},
    "all but afloat": {"bar.bend": "-0.12 mm", "pivot.friction_torque": "0 N*mm"},
    "weak": {"bar.bend": "0.8 mm"},
    "strong": {"bar.bend": "4.2 mm"},
    "stronger": {"bar.bend": "9 mm"},
    "locks": {"friction.ball_on_tang": 1.2, "dimple.rim_feed": "0.3 mm"},
    "proud": {"dimple.overclose": "-0.05 mm"},
    "soft tang": {"tang.hardness": "42 HRC"},
    "fed": {"dimple.rim_feed": "0.13 mm"},
    "no blade": {"blade.mass": None, "blade.balance_radius": None, "blade.inertia": None},
    "flat bar": {"bar.relief_thickness": None, "bar.relief_length": None},
    "tight pivot": {"pivot.friction_torque": "20 N*mm", "friction.ball_on_tang": 0.135},
}


@cache
def made(name):
    return workshop().change(BUILDS[name])


@cache
def told(name):
    return {s.name: s for s in symptoms(made(name))}


def brute(angle, torque, dip=0.05):
    """Crests by looking both ways from each point, as far as the line stays under it."""
    line = np.concatenate([[0.0], np.asarray(torque, float), [0.0]])
    found = []
    for i in range(1, line.size - 1):
        if not (line[i] > line[i - 1] and line[i] >= line[i + 1]):
            continue
        left = right = line[i]
        for j in range(i - 1, -1, -1):
            left = min(left, line[j])
            if line[j] > line[i]:
                break
        for j in range(i + 1, line.size):
            right = min(right, line[j])
            if line[j] > line[i]:
                break
        if line[i] - max(left, right) > dip * line[i]:
            found.append((float(angle[i - 1]), float(line[i])))
    return found
