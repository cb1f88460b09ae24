"""Curves of a build of fixed sizes and of changes of it, each solved once."""

from functools import cache

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.model import Build
from helpers.garden import GARDEN_TEXT, garden

# Every band a build like this has, closed; a test opens those it asks about.
CLOSED = {
    "bar.relief_thickness": '{ plus_minus = "0 mm" }',
    "bar.bend": '{ plus_minus = "0 mm" }',
    "ball.protrusion": '{ plus_minus = "0 mm" }',
    "tang.face_gap": '{ plus_minus = "0 mm" }',
    "bar.calibration": "{ plus_minus = 0.0 }",
    "dimple.edge_radius": '{ plus_minus = "0 mm" }',
    "dimple.overclose": '{ plus_minus = "0 mm" }',
    "dimple.radial_error": '{ plus_minus = "0 mm" }',
    "dimple.rim_feed": '{ plus_minus = "0 mm" }',
    "dimple.hole_oversize": '{ plus_minus = "0 mm" }',
    "pivot.friction_torque": '{ plus_minus = "0 N*mm" }',
    "friction.ball_on_tang": "{ plus_minus = 0.0 }",
}
RIGID = {"bar.lateral_stiffness": "rigid"}
DEEP = {"dimple.rim_feed": "0.16 mm"}
DEAD_ENDS = {
    "floats": {"bar.bend": "-2 mm"},
    "hangs_loose": {"bar.bend": "0 mm"},
    "locks_solid": {"friction.ball_on_tang": 0.9},
    "bar_on_tang": {"ball.protrusion": "0.3 mm", "tang.face_gap": "0.3 mm"},
}


def with_tolerance(lines):
    return Build.loads(
        GARDEN_TEXT + "\n[tolerance]\n" + "\n".join(f'"{name}" = {band}' for name, band in lines.items())
    )


@cache
def _solved(changes):
    return curve(garden().change(dict(changes)))


def solve(changes=None):
    return _solved(tuple((changes or {}).items()))


def result(name, **changes):
    return solve({key.replace("__", "."): value for key, value in changes.items()}).results[name]
