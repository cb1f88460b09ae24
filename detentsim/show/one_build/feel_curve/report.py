"""Text of the report of a feel curve: verdict, feel, bench steps; two significant digits, in the build's units."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.target.target import FELT
from detentsim.show.one_build.feel_curve.made_words import as_drawn_words, made_words
from detentsim.show.theme.cautions import BENCH, CHANGE_FIRST, CUTTING
from detentsim.show.theme.rows import summary_lines, title_lines, verdict_lines
from detentsim.show.theme.tables import first_that_fits, report_of, wrap, wrap_all
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Collection

    from detentsim.analysis.one_build.curve.curve import Curve
    from detentsim.knife.model import Build

FEEL = {
    "breakout_force": "Breakout",
    "breakout_energy": "Work to break out",
    "let_go_angle": "Lets go at",
    "drag_force": "Drag at mid-swing",
    "breakout_to_drag": "Breakout over drag",
    "draw_torque": "Draws onto its stop",
    "pull_in_angle": "Ball alone pulls in from",
}

_SHORT = {name: FEEL[name] for name in ("breakout_force", "drag_force", "let_go_angle", "draw_torque")}

BEHIND = {
    "preload": "Preload at rest",
    "riding_force": "Force riding the flat",
    "bar_stiffness": "Bar stiffness",
    "free_offset": "Free offset at the ball",
    "seat_depth": "Ball seats below the flat",
    "contact_angle": "Contact angle at rest",
    "rim_diameter": "Rim of the dimple",
}

MINUS = "-\u2212 "
"""Marks before the size of a negative force, as typed."""

_SOMETIMES = {"rest_angle": "Rests proud at", "lash": "Rattles through"}


def report(c: Curve, where_from: str = "", full: bool = False) -> str:
    """Text of the report: the verdict, the feel, and the bench in short; with `full` all that explains it.

    Parameters
    ----------
    c : Curve
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether to add what is behind the feel, the assumed inputs and each step's readings.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head = [*title_lines(c.build.name, where_from), *summary_lines(c.summary)]
    if not full:
        return first_that_fits(report_of(_short_parts(c, head, without)) for without in LEFT_OUT)
    feel = _block("Feel at the opener", c, FEEL, full)
    parts = [head, feel, ["In plain words", *_words(c, full)], _block("Behind it", c, behind(c), full)]
    return report_of([*parts, verdict_lines(c.verdicts), _assumed(c), _bench(c)])


LEFT_OUT = (
    (),
    ("rim feed",),
    ("rim feed", "share"),
    ("rim feed", "share", "steps"),
    ("rim feed", "share", "steps", "falling"),
)
"""What the short report leaves to ``--full`` where a long verdict takes the page's room."""


def _short_parts(c: Curve, head: list[str], without: Collection[str]) -> list[list[str]]:
    feel = _block("Feel at the opener", c, _SHORT, full=False)
    return [head, [*feel, *_words(c, False, without)], _bench_short(c, "steps" not in without)]


def _block(title: str, c: Curve, names: dict[str, str], full: bool) -> list[str]:
    rows = (wrap(result_words(c, name, full), f"  {label:<26}", " " * 28) for name, label in names.items())
    return [title, *(line for row in rows for line in row)]


def behind(c: Curve) -> dict[str, str]:
    """Results that explain the feel, by name, with what a report calls them."""
    return BEHIND | {name: label for name, label in _SOMETIMES.items() if c.results.get(name)}


def result_words(c: Curve, name: str, full: bool = True) -> str:
    """A result with its likely range; with `full` where the breakout is reached and what each depends on most."""
    most = c.likely.matters.get(name)
    tail = f"; depends most on {most}" if most and name in FEEL and (full or name == "breakout_force") else ""
    angle = c.results["breakout_force_angle"] if full and name == "breakout_force" else None
    at = "" if angle is None else f" at {two_digits(angle)} deg"
    held = _held_off(c) if name == "seat_depth" else ""
    off = "; negative: it pushes the blade off its stop" if name == "draw_torque" and (c.results[name] or 0) < 0 else ""
    return f"{c.in_words(name)}{held}{at}{off}{tail}"


def _held_off(c: Curve) -> str:
    """How deep the ball of a resting blade comes, where the bar's face keeps it off its seat."""
    if "bar_on_tang" not in c.flags:
        return ""
    return f" when laid in; the bar's face on the tang holds it at {c.build.units.size(c.picture.depth)}"


def _words(c: Curve, full: bool, without: Collection[str] = ()) -> list[str]:
    """Sentences on grip, elastic rim, over-travel stop, warnings, rim feed and falling shut."""
    flags = c.flags if full else [flag for flag in c.flags if flag not in UNSOUND]
    told = full or (c.rim_feed is not None and c.results["breakout_force"] is not None and "rim feed" not in without)
    return wrap_all(
        [
            grip_words(c.build),
            as_drawn_words(c, [*FEEL, *behind(c)] if full else _SHORT),
            rim_words(c),
            *(f"{FLAGS[flag]} [{flag}]" for flag in flags),
            "" if "share" in without else made_words(c, full),
            "" if not told else feed_words(c) if full else _feed_short(c),
            "" if "falling" in without else shut_words(c) if full else _shut_short(c),
        ]
    )


def grip_words(build: Build) -> str:
    """What a thumb or grip on the bar does to every result; empty without one.

    Parameters
    ----------
    build : Build
    """
    grip = build["grip.force"]
    if grip is None or not grip.si:
        return ""
    if grip.si < 0:
        return f"All of this with {grip.text.lstrip(MINUS)} pulling the bar outward; let go, it is stiffer."
    return f"All of this with {grip.text} pressing the bar inward; let go, it is lighter."


def rim_words(c: Curve) -> str:
    """How ball and rim are taken, where the build says that they give; empty where they are rigid."""
    rim = c.build["contact.rim"]
    elastic = rim is not None and rim.text == "elastic"
    return "Ball and rim are taken as elastic: both give where they touch [contact.rim]." if elastic else ""


def _feed_short(c: Curve) -> str:
    """Where the rise of breakout lies, and what a missed feed changes."""
    feed, size = c.rim_feed, c.build.units.size
    if feed is None or feed.rise is None:
        return feed_words(c)
    start, end = feed.rise
    return (
        f"Rim feed {size(feed.here)}: {_SHORT_PLACE[feed.place]} where breakout rises steeply, {size(start)} to "
        f"{size(end)}; an error of {size(feed.miss)} changes breakout by up to {two_digits(100 * feed.change)} %."
    )


_SHORT_PLACE = {"before": "short of the range", "on": "within the range", "past": "past the range"}


_PLACE = {
    "before": "short of the rise: up to it a deeper feed makes it a little lighter, then much stiffer",
    "on": "on the rise itself",
    "past": "past the rise: feeding deeper changes little more",
}


def feed_words(c: Curve) -> str:
    """Where the build sits on the rise of breakout with the rim drill's feed."""
    feed, size = c.rim_feed, c.build.units.size
    if feed is None:
        return "There is no second drill, so no rim feed to miss."
    if feed.rise is None:
        return "The rim feed hardly changes this breakout at any depth."
    start, end = feed.rise
    share = f"{two_digits(100 * feed.change)} %" if math.isfinite(feed.change) else "an unknown share"
    felt = "more than a finger feels" if feed.steep else f"a finger feels about {100 * FELT:.0f} %"
    return (
        f"Rim feed: breakout climbs between {size(start)} and {size(end)}; this build, fed {size(feed.here)}, stands "
        f"{_PLACE[feed.place]}. A feed off by {size(feed.miss)} changes breakout by up to {share} ({felt})."
    )


def attitude_words(down_angle: float) -> str:
    """How the handle is held, from where straight down lies [deg from the closed blade, opening sense].

    >>> attitude_words(-45.0)
    'the handle tilted 45 deg from butt-down, slot up'
    """
    turned = (down_angle + 180) % 360 - 180
    if abs(turned) < 0.5:
        return "the handle held butt-down"
    return f"the handle tilted {abs(turned):.0f} deg from butt-down, slot {'up' if turned < 0 else 'down'}"


def shut_words(c: Curve) -> str:
    """Whether the blade falls shut against drag, let go at rest, where a blade at rest would stay, and any burr."""
    return _shut_long(c) + _over_burr(c)


def _over_burr(c: Curve) -> str:
    """A sentence on the burr that a closing ball climbs, after a space; empty without one."""
    return "" if c.burr is None else f" {c.burr.sentence(c.build.units)}"


def _shut_long(c: Curve) -> str:
    shut = c.falls_shut
    if shut is None:
        return "Falling shut: not known; give blade.mass and blade.balance_radius."
    held = attitude_words(shut.down_angle)
    where = " and ".join(f"{low:.0f} to {high:.0f} deg" for low, high in shut.hangs)
    stays = f"a blade at rest anywhere from {where} stays there"
    if shut.falls and not shut.hangs:
        return f"Falling shut: yes; from {shut.start:.0f} deg weight and ball outdo friction at every angle, {held}."
    if shut.falls:
        return f"Falling shut: yes; let go at {shut.start:.0f} deg, it swings through, but {stays}, {held}."
    hangs = f"let go at {shut.start:.0f} deg, it {stop_words(shut.start, shut.hangs_at)}"
    return f"Falling shut: no; {hangs}, and {stays}, {held}."


def _shut_short(c: Curve) -> str:
    """Whether the blade falls shut, in one short sentence."""
    shut = c.falls_shut
    if shut is None:
        return shut_words(c)
    held = attitude_words(shut.down_angle)
    if shut.falls:
        return f"Falling shut: yes, from {shut.start:.0f} deg, {held}.{_over_burr(c)}"
    stops = stop_words(shut.start, shut.hangs_at)
    return f"Falling shut: no; let go at {shut.start:.0f} deg, it {stops}, {held}.{_over_burr(c)}"


def stop_words(start: float, at: float | None) -> str:
    """Where a blade that does not fall shut comes to rest, from where it was let go and where it stops [deg].

    >>> stop_words(90.0, 90.0), stop_words(90.0, 6.0)
    ('stays where it is', 'hangs at 6 deg')
    """
    return "stays where it is" if abs((at or 0.0) - start) < 0.01 else f"hangs at {at or 0.0:.0f} deg"


def _assumed(c: Curve) -> list[str]:
    if not c.assumed:
        return []
    lines = []
    for name, one in c.assumptions.items():
        lines += [f"  {name:<26}{one.value} (band {one.band})", *wrap(INPUTS[name].source, " " * 28)]
    return ["Assumed, since the build does not give them, with the source of each", *lines, *_assumed_friction(c)]


def _assumed_friction(c: Curve) -> list[str]:
    """Tell what state the friction is for, and that at rest it is taken as sliding."""
    said = []
    if "friction.ball_on_tang" in c.assumed:
        said.append("Friction is that of a lightly oiled tang; other states: detentsim sizes friction.")
    if c.build["friction.ball_on_tang_static"] is None:
        said.append("Friction at rest is taken as when sliding; published pairs hold 1.2 to 2.3 times as hard.")
    return [f"  {line}" for line in said]


def _bench(c: Curve) -> list[str]:
    lines = ["At the bench", *([] if c.summary.sound else wrap(CHANGE_FIRST))]
    for number, step in enumerate(c.bench.steps, start=1):
        lines += wrap(step.do, f"  {number}. ", "     ") + wrap(step.read, "     ")
        if step.do.startswith("Second drill"):
            lines += _tries(c)
        lines += wrap(f"Stop and try. {step.stop}", "     ") if step.stop else []
    return [*lines, *wrap(_cautions(c))]


def _cautions(c: Curve) -> str:
    cut = any("drill" in step.do.lower() for step in c.bench.steps)
    return f"{CUTTING} {BENCH}" if cut else BENCH


def _bench_short(c: Curve, steps: bool) -> list[str]:
    """Each step without its readings, or where the steps stand."""
    numbered = enumerate(c.bench.steps, start=1) if steps else ()
    lines = [line for number, step in numbered for line in wrap(step.do, f"  {number}. ", "     ")]
    more = "Before any cut, read --full." if steps else "Change the build first; the steps stand in --full."
    first = wrap(CHANGE_FIRST) if steps and not c.summary.sound else []
    return ["At the bench", *first, *lines, *wrap(f"{more} {_cautions(c)}")]


def _tries(c: Curve) -> list[str]:
    size, pull = c.build.units.size, c.build.units.pull
    rows = ["        fed from first touch       loose ball stands proud    breakout would be"]
    rows += [f"        {size(t.feed):<27}{size(t.height):<27}{pull(t.breakout)}" for t in c.bench.tries]
    return rows
