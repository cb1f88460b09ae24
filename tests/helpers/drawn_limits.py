"""Limits of every kind of bar to draw, solved once, and the parts of their figures."""

from functools import cache

from matplotlib.figure import Figure

from detentsim.analysis.one_build.limits.limits import limits as compute
from detentsim.knife.packaged import demo

NO_STOP = {"overtravel.gap": None, "overtravel.from_root": None}
ONE_THICKNESS = {"bar.relief_thickness": None, "bar.relief_length": None, "bar.thickness": "1.2 mm"}
CLIP = {
    **NO_STOP,
    "clip.material": "301 full hard",
    "clip.length": "40 mm",
    "clip.width": "8 mm",
    "clip.thickness": "1 mm",
    "clip.preset": "0.5 mm",
    "clip.gap": "1 mm",
    "clip.from_root": "46 mm",
}
LINER = {
    "bar.thickness": "1.2 mm",
    "bar.relief_thickness": "0.8 mm",
    "bar.relief_side": "both",
    "bar.relief_length": "14 mm",
    "bar.ball_from_root": "60 mm",
    "bar.tip_from_root": "66 mm",
    "overtravel.from_root": "60 mm",
}
SHORT = {"bar.ball_from_root": "20 mm", "bar.tip_from_root": "24 mm", "overtravel.from_root": "22 mm"}
LONG = "The long-named garden folder with a second lock bar and a name that nobody types in full, " + "ever. " * 15
BUILDS = {
    "demo": {},
    "bent along": {**ONE_THICKNESS, "bar.bend_at": "along"},
    "bent along, hardly": {**ONE_THICKNESS, **NO_STOP, "bar.bend_at": "along", "bar.bend": "0.6 mm"},
    "over an edge": {"bar.bend_at": "6 mm"},
    "no stop": NO_STOP,
    "clip": CLIP,
    "clip, pushed": {**CLIP, "overtravel.push": "100 N"},
    "flat": {"bar.bend": "0 mm"},
    "floats": {"bar.bend": "-1 mm"},
    "floats far off": {"bar.bend": "-3 mm"},
    "loses bend": {"bar.reverse_yield": 0.7},
    "loses much": {"bar.bend": "9 mm"},
    "folds": {"bar.bend": "25 mm"},
    "short": SHORT,
    "thin liner": LINER,
    "milled inside": {"bar.relief_side": "inner"},
    "stop at once": {"overtravel.gap": "0 mm"},
    "stop far off": {"overtravel.gap": "8 mm"},
    "long name": {"name": LONG},
    "left hand": {"hand": "left"},
}


@cache
def made(name):
    return compute(demo().change(BUILDS[name]))


@cache
def drawn(draw, name):
    """One drawing of one of the builds, to be looked at and left as it is."""
    return draw(made(name), axes())


def axes():
    return Figure(figsize=(6.7, 2.4)).add_axes((0.1, 0.2, 0.88, 0.78))
