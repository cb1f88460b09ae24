"""Parts of the page that everybody reads: the verdict, how it feels, what it withstands, how the blade moves."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from detentsim import show
from detentsim.knife.outcomes import FLAGS, UNSOUND, label
from detentsim.show.in_hand.report.markup import Html, join, number, rows_table, said, section, tag
from detentsim.show.in_hand.report.pictures import Drawing, drawings
from detentsim.show.one_build.feel_curve.made_words import as_drawn_words, made_words
from detentsim.show.one_build.feel_curve.report import (
    FEEL,
    behind,
    feed_words,
    grip_words,
    result_words,
    rim_words,
    shut_words,
)
from detentsim.show.one_build.limits.gauges import gauges_height
from detentsim.show.one_build.limits.report import worst_first
from detentsim.show.one_build.limits.words import (
    bending_words,
    clip_words,
    contact_words,
    more_bending_words,
    more_service_words,
    service_words,
)
from detentsim.show.one_build.motion.report import attitude_rows, blade_words, speed_rows
from detentsim.show.one_build.motion.shut_words import staying_words
from detentsim.show.one_build.motion.words import (
    closing_words,
    comfort_words,
    holding_words,
    opening_words,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from detentsim.analysis.in_hand.report.report import Report
    from detentsim.analysis.one_build.checks import Check
    from detentsim.analysis.one_build.curve.curve import Curve
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.motion.motion import Motion

# How a check's state is marked and named; the mark tells it without colour.
STATES = {"good": ("\u2713", "yes"), "mind": ("!", "look"), "bad": ("\u2717", "no"), "unknown": ("?", "not known")}

# What a check asks, so that yes is good.
_ASKED = {
    "warnings": "free of warnings",
    "limits": "within its limits",
    "target": "target met",
    "layout": "layout right",
    "sizes": "sizes as meant",
}

_GLANCE = ("breakout_force", "drag_force", "let_go_angle", "draw_torque")


def verdict_part(r: Report) -> Html:
    """The verdict: the whole in one sentence, each check, and the numbers a reader looks for first.

    Parameters
    ----------
    r : Report
    """
    checks = tag("ul", join(_check(check, bool(r.build.target)) for check in r.summary.checks), class_="checks")
    numbers = tag("dl", join(_glance(r)), class_="glance")
    read = (
        [] if r.fit is None else ["This is the verdict on the drawing; the knife that was read has its own part below."]
    )
    return section("verdict", "Verdict", tag("p", r.summary.words, class_="whole"), checks, said(read), numbers)


def _check(check: Check, wanted: bool) -> Html:
    mark, word = STATES[check.state] if wanted or check.name != "target" else ("\u2013", "none set")
    head = tag("span", f"{mark} {_ASKED.get(check.name, check.name)}: {word}", class_="state")
    words = "" if check.words == "None." else f" {check.words}"
    return tag("li", head, tag("span", words), class_=check.state)


def _glance(r: Report) -> Iterator[Html]:
    """Name and value of each number that is looked for first."""
    for name in _GLANCE:
        yield _pair(label(name), _result(r.curve, name))
    if r.motion is not None:
        for name, words in (("opens_fully", "flies open"), ("falls_shut", "falls shut")):
            value = r.motion.results[name]
            if value is not None:
                yield _pair(words, number("yes" if value else "no", bool(value), "motion", "results", name))
    if r.limits.first is not None and r.limits.first.use is not None:
        i = [one.name for one in r.limits.limits].index(r.limits.first.name)
        used = number(r.limits.first.used, r.limits.first.use, "limits", "limits", i, "use")
        yield _pair(f"of its nearest limit, {r.limits.first.part} {r.limits.first.called}", used)


def _pair(name: str, value: Html) -> Html:
    return tag("div", tag("dt", name), tag("dd", value))


def _result(c: Curve, name: str, words: str = "") -> Html:
    return number(words or c.in_words(name), c.results[name], "curve", "results", name, "value")


def curve_part(r: Report, customer: bool) -> Html:
    """How the detent feels at the opener, and what explains it.

    Parameters
    ----------
    r : Report
    customer : bool
        Whether to leave out what only a bench needs.
    """
    c = r.curve
    told = [
        grip_words(c.build),
        as_drawn_words(c, (*FEEL, *behind(c))),
        rim_words(c),
        *(f"{FLAGS[flag]}" for flag in c.flags),
        *([] if customer else [made_words(c), feed_words(c)]),
    ]
    how = "Drawn as the finger feels it: what it must push with at the opener, over the blade's angle."
    pictures = [Drawing("curve", partial(show.curve, c), 72, f"{how} {_shaded(c)}".rstrip())]
    dimple = "Ball and dimple to scale, cut along the ball's path, the blade closed."
    pictures += [] if customer else [Drawing("dimple", partial(show.dimple, c), 72, dimple)]
    bare = dict.fromkeys(FEEL, "") if customer else {name: result_words(c, name) for name in FEEL}
    feel = rows_table((), [(words, _result(c, name, bare[name])) for name, words in FEEL.items()])
    why = rows_table((), [(words, _result(c, name, result_words(c, name))) for name, words in behind(c).items()])
    more = () if customer else (tag("h3", "Behind it"), why)
    words = said([*told, shut_words(c)])
    return section("curve", "How it feels", drawings(*pictures), feel, words, *more)


def _shaded(c: Curve) -> str:
    drawn = c.likely.knives is not None and "floats" not in c.flags
    return "Shaded: nine in ten of the knives made to this build." if drawn else ""


def limits_part(r: Report, customer: bool) -> Html:
    """How near each part is to its limit.

    Parameters
    ----------
    r : Report
    customer : bool
        Whether to leave out how the bar is bent in.
    """
    found = r.limits
    table = rows_table(("part", "limit", "used", "why"), _limit_rows(found), class_="stack")
    bench = [] if customer else _bench_limits(found)
    bars = Drawing("gauges", partial(show.gauges, found), gauges_height(found) + 13, GAUGES, left=27)
    return section(
        "limits", "What it withstands", drawings(bars), table, *([] if customer else [_limit_drawings(found)]), *bench
    )


GAUGES = "How much of each limit is used, the worst on top; past 100 % it is exceeded, and hatched."


def _limit_rows(found: Limits) -> Iterator[tuple[str, ...]]:
    """A row for each limit, the worst first."""
    for limit in worst_first(found.limits):
        at = "limits", "limits", found.limits.index(limit), "use"
        share = limit.used
        used = number(f"{share}, exceeded" if limit.holds is False and limit.use is not None else share, limit.use, *at)
        yield limit.part, limit.called, used, limit.words


def _limit_drawings(found: Limits) -> Html:
    side = "The bar from the side, flat in its slab and free (dashed), with the ball."
    ruler = "Where the ball stands, and what is left until the bar loses bend."
    stress = "Stress along the bar's inner face, and what the metal withstands."
    return drawings(
        Drawing("side", partial(show.bar_side, found), 62, side, left=17),
        Drawing("stress", partial(show.bar_stress, found), 62, stress, left=17),
        Drawing("ruler", partial(show.travel_ruler, found), 44, ruler, left=4),
    )


def _bench_limits(found: Limits) -> list[Html]:
    """How the bar is bent in, what service takes back, ball and tang, clip."""
    parts: tuple[tuple[str, Iterable[str]], ...] = (
        ("Bending it in", (*bending_words(found), *more_bending_words(found))),
        ("In service", (*service_words(found), *more_service_words(found))),
        ("Ball and tang", contact_words(found)),
        ("Pocket clip", clip_words(found)),
    )
    told = ((title, said(words)) for title, words in parts)
    return [join([tag("h3", title), words]) for title, words in told if words]


def motion_part(r: Report, customer: bool) -> Html:
    """Whether the blade flies open, falls shut and stays shut.

    Parameters
    ----------
    r : Report
    customer : bool
        Whether to leave out the torques that hold a hanging blade, and what was taken for the blade.
    """
    m = r.motion
    if m is None:
        missing = "Not known: the build has no section [blade], which gives the blade's mass and balance."
        return section("motion", "How the blade moves", said([missing]))
    traits = (FLAGS[flag] for flag in m.flags if flag not in UNSOUND)
    return section(
        "motion",
        "How the blade moves",
        _thrown(m),
        *_answered("Does it fly open?", (*opening_words(m), *comfort_words(m)), rows_table(*speed_rows(m))),
        *_answered(
            "Does it fall shut?",
            (*closing_words(m), *(() if customer else holding_words(m))),
            _falling(m),
            rows_table(*attitude_rows(m)),
        ),
        *_answered("Does it stay shut?", staying_words(m)),
        said([*traits, *([] if customer else [blade_words(m)])]),
    )


def _answered(question: str, words: Iterable[str], *parts: Html) -> list[Html]:
    return [tag("h3", question), said(words), *parts]


def _thrown(m: Motion) -> Html:
    strip = "The blade thrown open, at equal times, from faint to dark."
    speed, energy = "How fast the blade turns over its angle.", "Energy put in, taken and left over the blade's angle."
    return drawings(
        Drawing("strip", partial(show.blade_strip, m), 60, strip, left=3, bottom=3),
        Drawing("speed", partial(show.speed, m), 50, speed),
        Drawing("energy", partial(show.energy, m), 55, energy),
    )


def _falling(m: Motion) -> Html:
    if not m.attitudes:
        return Html("")
    falls = "Let go (dashed), and where it comes to rest (filled), the handle held each way; down is down the page."
    return drawings(Drawing("attitudes", partial(show.attitudes, m), 78, falls, left=2, right=2, bottom=4))
