"""Motions of every kind to draw, solved once, and the parts of their figures."""

from dataclasses import replace
from functools import cache

import numpy as np
from matplotlib.figure import Figure

from detentsim.analysis.one_build.motion.motion import motion as compute
from detentsim.show import motion_figure
from helpers.garden import workshop

LONG = "The long-named garden folder with a second lock bar and a name that nobody types in full, " + "ever. " * 15
BUILDS = {
    "demo": {},
    "coasts": {"friction.ball_on_tang": 0.3, "finger.speed_limit": "0.6 m/s"},
    "stuck": {"pivot.friction_torque": "120 N*mm", "opener.leaves_at": None, "finger.effort": 1.02},
    "held lightly": {"blade.mass": "60 gram", "blade.inertia": "80 kg*mm**2"},
    "weak": {"finger.effort": 0.9},
    "leaves first": {"opener.leaves_at": "0 deg"},
    "floats": {"bar.bend": "-1 mm"},
    "no mass": {"blade.mass": None, "blade.balance_radius": None},
    "short swing": {"blade.open_angle": "90 deg"},
    "full circle": {"blade.open_angle": "360 deg", "finger.speed_limit": "6 m/s"},
    "stays on": {"opener.push": "follows", "opener.leaves_at": None},
    "hangs": {"attitude.down_angle": "90 deg", "finger.speed_limit": "0.4 m/s"},
    "own attitude": {"attitude.down_angle": "30 deg", "attitude.close_from": "120 deg"},
    "long name": {"name": LONG},
    "left hand": {"hand": "left"},
    "left, coasts": {"hand": "left", "finger.speed_limit": "0.3 m/s"},
    "slow": {"finger.speed_limit": "0.05 m/s"},
    "known length": {"blade.length": "75 mm", "blade.root_width": "22 mm", "blade.tip_width": "4 mm"}
    | {"blade.thickness": "3 mm", "blade.mass": None, "blade.balance_radius": None, "blade.inertia": None},
}
OPENS = ["demo", "no mass", "short swing", "full circle", "stays on", "long name", "left hand"]
STALLS = {
    "coasts": "coasted out",
    "hangs": "coasted out",
    "left, coasts": "coasted out",
    "stuck": "finger stuck",
    "weak": "finger too weak",
    "leaves first": "finger leaves first",
}
STILL = ["weak", "leaves first"]
MOVES = [*OPENS, *(name for name in STALLS if name not in STILL)]


@cache
def made(name):
    elastic = {"bar.youngs_modulus": "113.8 GPa", "bar.poissons_ratio": 0.342}  # whatever the table says
    return compute(replace(workshop().change(elastic | BUILDS[name]), demo=True))


@cache
def page(name):
    return motion_figure(made(name))


def axes():
    return Figure(figsize=(6.7, 2.6)).add_axes((0.1, 0.2, 0.88, 0.78))


def open_angle(name):
    return np.degrees(made(name).build.si("blade.open_angle"))


def under(name):
    return " ".join(text.get_text().replace("\n", " ") for text in page(name).texts[1:])
