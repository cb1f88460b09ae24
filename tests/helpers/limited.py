"""Limits of changed builds, and builds that are past each limit on purpose."""

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.show.one_build.limits.report import limits_document, limits_report
from helpers.garden import workshop

CLIP = {
    "clip.material": "420",
    "clip.length": "40 mm",
    "clip.width": "8 mm",
    "clip.thickness": "1 mm",
    "clip.preset": "0.5 mm",
}
# What is changed, and the limits that the change is to pass.
PAST = {
    "fold": ({"bar.bend": "11 mm"}, {"fold"}),
    "radius": ({"bar.bend": "9.58 mm"}, {"radius"}),
    "bend": ({"bar.relief_thickness": "0.5 mm", "bar.bend": "14 mm"}, {"bend"}),
    "room": ({"overtravel.gap": "0.1 mm"}, {"room"}),
    "over-travel": ({"overtravel.gap": "3 mm"}, {"over-travel"}),
    "fatigue": ({"bar.bend": "5 mm", "bar.lockup_travel": None}, {"fatigue"}),
    "lock-up": ({"bar.lockup_travel": "1.9 mm"}, {"lock-up"}),
    "dent": ({"tang.hardness": "45 HRC"}, {"dent"}),
    "crack": (
        {
            "ball.material": "ruby",
            "ball.diameter": "0.8 mm",
            "ball.protrusion": "0.39 mm",
            "bar.relief_thickness": "1.8 mm",
        },
        {"crack"},
    ),
    "seat": ({"ball.protrusion": "0.81 mm"}, {"seat"}),
    "loose hole": ({"ball.hole_drill": "#52"}, {"hole"}),
    "bursting hole": ({"ball.hole_drill": "1.2 mm", "bar.width": "3 mm"}, {"hole"}),
    "hard press": ({"ball.hole_drill": "1.33 mm"}, {"press"}),
    "clip": (CLIP | {"clip.cloth": "8 mm"}, {"clip"}),
}


def limits_of(changes, build=None):
    return ds.limits((build or workshop()).change(changes))


def report_of(found, full=False):
    return limits_report(found, summary(found.build, known=found), full=full)


def document_of(found):
    return limits_document(found, summary(found.build, known=found))


def named(found, name):
    return next(limit for limit in found.limits if limit.name == name)


def names(limits):
    return {limit.name for limit in limits}
