"""Sweeps that are drawn, each solved once, and what a drawing of one holds."""

import dataclasses
from functools import cache

import numpy as np
from matplotlib.figure import Figure

from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.knife.outcomes import RESULTS
from detentsim.units.quantities import quantity
from helpers.garden import workshop

FEED = {"dimple.rim_feed": ("0 mm", "0.15 mm", 31)}


BEND = {"bar.bend": ("1 mm", "3.2 mm", 21)}


GAP = {"tang.face_gap": ("0 mm", "1.1 mm", 23)}


INWARD = {"bar.bend": ("-1 mm", "3.2 mm", 22)}


DRILLS = {"dimple.rim_drill": ["none", "#53", "1.55 mm", "#52"]}


BALLS = {"ball.diameter": ["1/16 in", "1.5 mm", "2 mm"]}


METALS = {"bar.material": ["Ti-6Al-4V", "CP titanium grade 2", "301 full hard"]}


RELIEF = {"bar.relief_thickness": ("2 mm", "4 mm", 9)}


PILOT = {"dimple.pilot_drill": quantity(np.linspace(1.0, 1.5, 41), "mm")}


ONE = {
    "feed": FEED,
    "bend": BEND,
    "gap": GAP,
    "inward": INWARD,
    "drills": DRILLS,
    "balls": BALLS,
    "metals": METALS,
    "relief": RELIEF,
    "pilot": PILOT,
    "friction": {"friction.ball_on_tang": (0.02, 0.9, 45)},
    "error": {"dimple.radial_error": ("-0.1 mm", "0.1 mm", 21)},
    "reversed": {"bar.bend": ("3 mm", "1 mm", 9)},
    "one point": {"bar.bend": ["2 mm"]},
    "its own point": {"bar.bend": ["2.3 mm"]},
    "same twice": {"bar.bend": ["2 mm", "2 mm"]},
    "constant": {"blade.mass": ("10 gram", "20 gram", 5)},
    "floats": {"bar.bend": ("-3 mm", "-2 mm", 9)},
    "no knife": {"bar.relief_thickness": ("3.5 mm", "4 mm", 5)},
}


TWO = {
    "feed and bend": FEED | BEND,
    "gap and bend": GAP | INWARD,
    "error": ONE["error"] | {"dimple.overclose": ("-0.1 mm", "0.15 mm", 21)},
    "protrusion": GAP | {"ball.protrusion": ("0.05 mm", "0.8 mm", 21)},
    "relief": {"bar.bend": ("0 mm", "8 mm", 21)} | RELIEF,
    "drills and bend": DRILLS | BEND,
    "words": DRILLS | METALS,
    "reversed": {"bar.bend": ("3 mm", "1 mm", 9), "dimple.rim_feed": ("0.1 mm", "0 mm", 8)},
    "one point": {"bar.bend": ["2 mm"], "dimple.rim_feed": ["0.1 mm"]},
    "a row": {"bar.bend": ("1 mm", "3 mm", 17), "dimple.rim_feed": ["0.1 mm"]},
    "same twice": {"bar.bend": ["2 mm", "2 mm"], "dimple.rim_feed": ["0.1 mm", "0.1 mm"]},
    "constant": ONE["constant"] | {"opener.leaves_at": ("50 deg", "70 deg", 5)},
    "floats": ONE["floats"] | FEED,
    "no knife": ONE["no knife"] | BEND,
    "pilot": PILOT | {"tang.travel_angle": ("-20 deg", "20 deg", 9)},
}


USUAL = ("breakout_force", "preload", "drag_force", "contact_angle", "falls_shut")


@cache
def made(group, name):
    vary = (ONE if group == 1 else TWO)[name]
    return sweep(workshop(), vary, list(USUAL))


def blank(s):
    """The sweep as if nothing came of it."""
    gone = {n: a if RESULTS[n].is_truth else np.full(a.shape, np.nan) for n, a in s.results.items()}
    return dataclasses.replace(s, results=gone)


def untargeted(s):
    return dataclasses.replace(s, build=dataclasses.replace(s.build, target=()))


def axes(height=3.86, right=0.13, top=0.86):
    return Figure(figsize=(3.35, height)).add_axes((0.18, 0.14, 0.82 - right, top - 0.14))


def by_gid(ax, gid):
    return [one for one in ax.get_children() if one.get_gid() == gid]


def by_label(ax, label):
    return [one for one in ax.lines if one.get_label() == label]


def texts(ax):
    return [text.get_text().replace("\n", " ") for text in ax.texts]


def covers(collection, x, y):
    """Whether a filled contour covers a point in data."""
    return any(path.contains_point((x, y)) for path in collection.get_paths() if len(path.vertices))


# Maps


def fill(ax, of="breakout_force"):
    return by_gid(ax, f"fill {of}")


# Panels


@cache
def three(count=3):
    balls = [f"{1.5 + 0.1 * i:.1f} mm" for i in range(count - 1)] + ["1/16 in"]
    vary = {"bar.bend": ("1 mm", "3 mm", 9), "dimple.rim_feed": ("0 mm", "0.1 mm", 8), "ball.diameter": balls}
    return sweep(workshop(), vary, ["breakout_force", "preload"])


def maps_of(figure):
    return [ax for ax in figure.axes if ax.get_title()]
