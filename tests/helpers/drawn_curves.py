"""Builds of every kind for the figures of the feel curve, and what to look up in a figure."""

from functools import cache

from matplotlib.figure import Figure

from detentsim.analysis.one_build.curve.curve import curve as compute
from detentsim.knife.packaged import demo
from detentsim.show import curve_figure

LONG = (
    "The long-named garden folder with a second lock bar, a deeper rim and a name that nobody types in full, "
    + "not even in winter. " * 4
)
NO_RIM = {"dimple.rim_drill": "none", "dimple.rim_feed": None}
BIG = {
    "ball.diameter": "1/8 in",
    "ball.protrusion": "1.3 mm",
    "dimple.pilot_drill": "#32",
    "dimple.rim_drill": "#31",
    "tang.face_gap": "1.0 mm",
}
BUILDS = {
    "demo": {},
    "square on, no rim drill": {"dimple.overclose": "0 mm", **NO_RIM},
    "rigid bar": {"bar.lateral_stiffness": "rigid"},
    "hangs loose": {"bar.bend": "0 mm"},
    "floats": {"bar.bend": "-1 mm"},
    "floats far off": {"bar.bend": "-2 mm"},
    "much friction": {"friction.ball_on_tang": 0.4},
    "locks solid": {"friction.ball_on_tang": 0.9},
    "locks in a deep rim": {"friction.ball_on_tang": 0.4, "dimple.rim_feed": "0.16 mm"},
    "stands proud": {"dimple.overclose": "-0.05 mm"},
    "snaps": {"dimple.rim_feed": "0.16 mm"},
    "big ball": BIG,
    "big ball, letter drill": {**BIG, "dimple.rim_drill": "letter A", "dimple.pilot_depth": "1.5 mm"},
    "left hand": {"hand": "left"},
    "long name": {"name": LONG},
    "push at 80 deg": {"opener.push_angle": "80 deg"},
    "no lever at first": {"opener.push_angle": "95 deg"},
    "push follows": {"opener.push": "follows"},
    "small hole": {"dimple.pilot_drill": "0.8 mm", **NO_RIM},
    "deep hole": {"dimple.pilot_depth": "2.5 mm"},
    "shallow hole": {"dimple.pilot_depth": "0.05 mm", **NO_RIM},
    "on the floor": {"dimple.pilot_depth": "0.1 mm"},
    "bar on tang by ten thou": {"ball.protrusion": "10 thou"},
    "bar on tang": {"ball.protrusion": "0.3 mm", "tang.face_gap": "0.3 mm"},
    "short swing": {"blade.open_angle": "18 deg"},
    "inch": {"units": "inch"},
    "inch, big ball": {"units": "inch", **BIG},
    "inch, floats": {"units": "inch", "bar.bend": "-1 mm"},
}


@cache
def made(name):
    """The curve of one of the builds."""
    return compute(demo().change(BUILDS[name]))


@cache
def page(name):
    """The whole figure of one of the builds."""
    return curve_figure(made(name))


@cache
def drawn(draw, name):
    """One drawing of one of the builds, to be looked at and left as it is."""
    return draw(made(name), axes())


def axes():
    """Axes of half a page's width."""
    return Figure(figsize=(3.35, 2.9)).add_axes((0.15, 0.13, 0.8, 0.82))
