"""Every place that tells a build's numbers, gathered: documents, reports and figures; and the numbers read out of them.

A number counts as read where it stands behind its result's name: "breakout 9.6 N", "Lets go at  7.6 deg".
"""

import re
from functools import cache

from matplotlib.text import Text

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.outcomes import RESULTS, label
from detentsim.show.in_hand.sheet.document import sheet_document, sheet_text
from detentsim.show.many_builds.sweep.report import sweep_document
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.feel_curve.report import report as curve_report
from detentsim.show.one_build.limits.report import limits_document, limits_report
from detentsim.show.one_build.motion.report import motion_document, motion_report
from detentsim.units.quantities import factor
from helpers.five_knives import KNIVES
from helpers.garden import workshop

CHANGED = {
    "in inches": {"units": "inch", "tang.coating": "3 um", "dimple.burr": "0.02 mm"},
    "locks": {"friction.ball_on_tang": 1.2, "dimple.rim_feed": "0.3 mm"},
    "stopped, bent too far": {"overtravel.gap": "0.05 mm", "bar.bend": "7 mm"},
    "beside its dimple": {"dimple.overclose": "0.8 mm"},
    "proud, over an edge": {"dimple.overclose": "-0.05 mm", "bar.bend_at": "6 mm", "bar.pushed_back": "6 mm"},
    "worn in, elastic": {"contact.rim": "elastic", "dimple.edge_radius": "worn in"},
}
NAMES = [*CHANGED, *KNIVES]

OTHERWISE = {
    "breakout_force": ["breakout at the opener"],
    "let_go_angle": ["lets go", "lets go at"],
    "drag_force": ["drag"],
    "pull_in_angle": ["pulls in", "ball alone pulls in from"],
    "draw_torque": ["draws onto its stop"],
    "preload": ["preload at rest"],
    "riding_force": ["force riding the flat"],
    "free_offset": ["free offset at the ball"],
    "seat_depth": ["ball seats below the flat"],
    "contact_angle": ["contact angle at rest", "contact \N{GREEK SMALL LETTER PSI}"],
    "rim_diameter": ["rim of the dimple"],
    "carry_g": ["the detent holds"],
}
"""What a report or a figure calls a result beside its label."""

_NUMBER = r"(-?\d[\d,]*(?:\.\d+)?|none)(?: ?([a-zA-Z\N{DEGREE SIGN}*/]+))?"


@cache
def build(name):
    return ds.Build.loads(KNIVES[name]) if name in KNIVES else workshop().change(CHANGED[name])


@cache
def answered(name):
    """Curve, limits, motion, sheet, and a sweep of the build alone with all results."""
    b = build(name)
    alone = ds.sweep(b, {"bar.bend": [b.values["bar.bend"].text]}, of=list(RESULTS))
    return ds.curve(b), ds.limits(b), ds.motion(b), ds.sheet(b), alone


@cache
def documents(name):
    """JSON documents by command."""
    c, bounds, m, sheet, alone = answered(name)
    return {
        "curve": curve_document(c),
        "limits": limits_document(bounds, summary(c.build, bounds)),
        "motion": motion_document(m),
        "sheet": sheet_document(sheet),
        "sweep": sweep_document(alone, False),
    }


@cache
def figures(name):
    """Figures by command."""
    c, bounds, m, sheet, _ = answered(name)
    return {
        "curve": ds.show.curve_figure(c),
        "limits": ds.show.limits_figure(bounds, summary(c.build, bounds)),
        "motion": ds.show.motion_figure(m),
        "sheet": ds.show.sheet_figure(sheet),
    }


@cache
def texts(name):
    """Reports, short and whole, and the words of figures, by command; each in one line."""
    c, bounds, m, sheet, _ = answered(name)
    checked = summary(c.build, bounds)
    told = {
        f"{where} figure": "\n".join(text.get_text() for text in one.findobj(Text))
        for where, one in figures(name).items()
    }
    for full in (False, True):
        told |= {
            f"curve {full}": curve_report(c, full=full),
            f"limits {full}": limits_report(bounds, checked, full=full),
            f"motion {full}": motion_report(m, full=full),
        }
    told["sheet"] = sheet_text(sheet)
    return {where: _plain(text) for where, text in told.items()}


def _plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{MINUS SIGN}", "-").replace("\N{NO-BREAK SPACE}", " "))


def number_of(told):
    """Number or truth of one result of a document; a sweep of one design has it in a list."""
    value = told["value"] if isinstance(told, dict) else told
    return value[0] if isinstance(value, list) else value


@cache
def _patterns(name):
    called = (label(name), name.replace("_", " "), *OTHERWISE.get(name, []))
    return [re.compile(rf"(?i)(?<![a-z])(?<!no )(?<!over ){re.escape(words)}:? {_NUMBER}") for words in called]


def read_numbers(text, name):
    """Every number behind a result's name in one of `texts`: as printed, in its unit, and half its last digit."""
    for pattern in _patterns(name):
        for printed, unit in pattern.findall(text):
            if printed == "none":
                yield printed, None, 0.0
                continue
            own = RESULTS[name].unit
            scale = factor(unit.replace("\N{DEGREE SIGN}", "deg")) / factor(own) if own else 1.0
            yield printed, float(printed.replace(",", "")) * scale, _half_a_digit(printed.replace(",", "")) * scale


def _half_a_digit(printed):
    """Half of the last digit that counts; the noughts before the point of a whole number of three or more may not."""
    whole, _, decimals = printed.partition(".")
    if decimals or len(whole.lstrip("-")) < 3:
        return 0.5 * 10.0 ** -len(decimals)
    return 0.5 * 10.0 ** (len(whole.lstrip("-")) - 2)
