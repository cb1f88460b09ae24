"""The short report of a curve: what the maker reads at the bench, two significant digits and plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.curve.rim_feed import MISS
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.target.target import FELT
from detentsim.show.theme.rows import verdict_lines
from detentsim.show.theme.tables import wrap
from detentsim.units.numbers import both, pull, two

if TYPE_CHECKING:
    from detentsim.analysis.curve.curve import Curve

_FEEL = {
    "breakout_force": "Breakout",
    "breakout_energy": "Work to break out",
    "let_go_angle": "Lets go at",
    "drag_force": "Drag at mid-swing",
    "breakout_to_drag": "Breakout over drag, torque",
    "draw_torque": "Draws onto its stop",
    "pull_in_angle": "Ball alone pulls in from",
}

_BEHIND = {
    "preload": "Preload at rest",
    "riding_force": "Force riding the flat",
    "bar_stiffness": "Bar stiffness",
    "free_offset": "Free offset at the ball",
    "seat_depth": "Ball seats below the flat",
    "contact_angle": "Contact angle at rest",
    "rim_diameter": "Rim of the dimple",
}

_SOMETIMES = {"rest_angle": "Rests proud at", "lash": "Rattles through"}


def report(c: Curve, where_from: str = "") -> str:
    """Text of the report.

    Parameters
    ----------
    c : Curve
    where_from : str
        A first line saying where the build comes from; left out when empty.

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    parts = [
        [*([where_from] if where_from else []), c.build.name],
        _block("Feel at the opener", c, _FEEL),
        _block("Behind it", c, _BEHIND | {k: v for k, v in _SOMETIMES.items() if c.results.get(k)}),
        _words(c),
        verdict_lines(c.verdicts),
        _assumed(c),
        _bench(c),
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _block(title: str, c: Curve, names: dict[str, str]) -> list[str]:
    lines = [title]
    for name, label in names.items():
        most = c.likely.matters.get(name)
        tail = f"; hangs most on {most}" if most and name in _FEEL else ""
        at = f" at {two(angle)} deg" if name == "breakout_force" and (angle := _at(c)) is not None else ""
        lines += wrap(f"{c.in_words(name)}{at}{tail}", f"  {label:<28}", " " * 30)
    return lines


def _at(c: Curve) -> float | None:
    return c.results["breakout_force_angle"]


def _words(c: Curve) -> list[str]:
    """Flags, the rim feed and falling shut, in plain words."""
    lines = ["In plain words"]
    grip = c.build["grip.force"]
    if grip is not None and grip.si:
        lines += wrap(f"All of this with {grip.text} pressing the bar inward; let go, it is lighter.")
    if c.stopped_short:
        lines += wrap("The over-travel stop meets the bar before the ball is out of its dimple: widen its gap.")
    for flag in c.flags:
        lines += wrap(f"{FLAGS[flag]} [{flag}]")
    if not c.flags:
        lines.append("  Nothing is raised against this build.")
    if c.likely.may:
        lines += wrap(f"Within what nobody can measure it may also raise: {', '.join(c.likely.may)}.")
    return [*lines, *wrap(feed_words(c)), *wrap(shut_words(c))]


_PLACE = {
    "before": "short of the rise: up to it a deeper feed makes it a little lighter, then much stiffer",
    "on": "on the rise itself",
    "past": "past the rise: feeding deeper changes little more",
}


def feed_words(c: Curve) -> str:
    """Where the build sits on the rise of breakout with the rim drill's feed."""
    feed = c.rim_feed
    if feed is None:
        return "There is no second drill, so no rim feed to miss."
    if feed.rise is None:
        return "The rim feed hardly changes this breakout at any depth."
    start, end = feed.rise
    share = f"{two(100 * feed.change)} %" if feed.change == feed.change else "an unknown share"
    judged = "steep: that is more than a finger's step" if feed.steep else "not steep"
    return (
        f"Rim feed: breakout climbs between {both(start)} and {both(end)}; this build, fed {both(feed.here)}, stands "
        f"{_PLACE[feed.place]}. Missing the feed by {both(MISS * 1e3)} changes breakout by up to {share} ({judged}, "
        f"a finger feels about {100 * FELT:.0f} %)."
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
    """Whether the blade falls shut against drag, let go at rest, and where a blade at rest would stay."""
    shut = c.falls_shut
    if shut is None:
        return "Falling shut: not told; give blade.mass and blade.balance_radius."
    held = attitude_words(shut.down_angle)
    where = " and ".join(f"{low:.0f} to {high:.0f} deg" for low, high in shut.hangs)
    stays = f"a blade at rest anywhere from {where} stays there"
    if shut.falls and not shut.hangs:
        return f"Falling shut: yes; from {shut.start:.0f} deg weight and ball beat drag at every angle, {held}."
    if shut.falls:
        return f"Falling shut: yes; let go at {shut.start:.0f} deg it swings through, but {stays}, {held}."
    hangs = f"let go at {shut.start:.0f} deg it hangs at {shut.hangs_at:.0f} deg"
    return f"Falling shut: no; {hangs}, and {stays}, {held}."


def _assumed(c: Curve) -> list[str]:
    if not c.assumed:
        return []
    rows = (f"  {name:<26}{text} (band {low} to {high})" for name, (text, low, high) in c.assumptions.items())
    return ["Assumed, since nobody gave them", *rows]


def _bench(c: Curve) -> list[str]:
    lines = ["At the bench"]
    for number, step in enumerate(c.bench.steps, start=1):
        lines += wrap(step.do, f"  {number}. ", "     ")
        lines += wrap(step.read, "     ") if step.read else []
        if step.do.startswith("Second drill"):
            lines += _tries(c)
        lines += wrap(f"Stop and try. {step.stop}", "     ") if step.stop else []
    return [*lines, *wrap(CAUTION)]


def _tries(c: Curve) -> list[str]:
    rows = ["        fed from first touch       loose ball stands proud    breakout would be"]
    rows += [f"        {both(t.feed):<27}{both(t.height):<27}{pull(t.breakout)}" for t in c.bench.tries]
    return rows


CAUTION = (
    "Eye protection; clamp the work; small carbide drills shatter. Cover the edge before handling the blade. Check "
    "the lock's hold again after any change of bend. A knife that opens in a pocket cuts: carry it only once it stays "
    "shut. Law on knives and how they open differs by place; ask where you are."
)
