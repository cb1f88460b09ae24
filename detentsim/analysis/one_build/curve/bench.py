"""At the bench: the cuts in order, what to read after each, and where to stop and try first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.curve.rim_feed import loose_ball_height
from detentsim.analysis.results import Results, number
from detentsim.knife.record.fields import COATS, assemble
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

# The rim drill is fed in this many tries: each can be read with a loose ball before the next.
TRIES = 4


@dataclass(frozen=True)
class Step:
    """One step at the bench.

    Attributes
    ----------
    do : str
        What to do.
    read : str
        What to measure afterwards, and what it should be; may be empty.
    stop : str
        What to try before going on, where the step cannot be undone; empty where it can.
    """

    do: str
    read: str
    stop: str


@dataclass(frozen=True)
class FeedStop:
    """One stop on the way of the rim drill; lengths [mm], force [N] or None."""

    feed: float
    height: float
    breakout: float | None


@dataclass(frozen=True)
class BenchSteps:
    """The bench block: steps, and the stops of the rim drill."""

    steps: tuple[Step, ...]
    tries: tuple[FeedStop, ...]


def bench(build: Build, numbers: Plain, results: Results, expected: str, bounds: Limits) -> BenchSteps:
    """Make the bench block of a build.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    results : dict
        Its results, in their units.
    expected : str
        Expected breakout with its likely range, in words.
    bounds : Limits
        Its limits.
    """
    tries = _tries(numbers)
    steps = [
        _pilot(build, numbers),
        *_rim(build, tries),
        _ball(build, bounds),
        _bend(build, results),
        _feel(expected),
    ]
    return BenchSteps(tuple(steps), tries)


def _number(numbers: Plain, name: str) -> float:
    return number(numbers, name) * 1e3


def _pilot(build: Build, numbers: Plain) -> Step:
    size = build.units.size
    past = _number(numbers, "dimple.overclose")
    past += float(np.asarray(numbers["dimple.overclose_angle"])) * _number(numbers, "tang.pivot_to_ball")
    side = "past" if past > 0 else "short of"
    held = f"the blade held {size(abs(past))} {side} its stop, measured at the ball"
    where = held if abs(past) > 0 else "the blade on its stop"
    # The edge is broken last, so a hole that a second drill follows is read as sharp as it was drilled.
    edge = 0.0 if np.isfinite(np.asarray(numbers["dimple.rim_drill"])) else numbers["dimple.edge_radius"]
    height = float(loose_ball_height(numbers | {"dimple.rim_drill": np.nan, "dimple.edge_radius": edge}))
    depth = _number(numbers, "dimple.pilot_depth")
    return Step(
        f"First drill {build.word('dimple.pilot_drill')}: with {where}, {size(depth)} deep at full diameter.",
        f"A loose ball laid in the hole stands {size(height)} proud of the tang.",
        "Before drilling: spot with a scribe or marker through the ball's hole and see that the spot lies "
        "where the ball will; the hole fixes where the blade is drawn to.",
    )


def _tries(numbers: Plain) -> tuple[FeedStop, ...]:
    rim = float(np.asarray(numbers["dimple.rim_drill"]))
    feed = float(np.asarray(numbers.get("dimple.rim_feed", np.nan)))
    if np.isnan(rim) or not feed > 0:
        return ()
    feeds = feed * np.arange(1, TRIES + 1) / TRIES
    forces = respond(assemble(numbers | {"dimple.rim_feed": feeds}), ("breakout_force",)).results["breakout_force"]
    heights = loose_ball_height(numbers | {"dimple.rim_feed": feeds})
    rows = zip(feeds * 1e3, heights, forces, strict=True)
    return tuple(FeedStop(float(q), float(h), float(f) if np.isfinite(f) else None) for q, h, f in rows)


def _rim(build: Build, tries: tuple[FeedStop, ...]) -> list[Step]:
    if not tries:
        return []
    last = tries[-1]
    before = ", before any coat" if any(build.si(name, 0.0) > 0 for name in COATS) else ""
    return [
        Step(
            f"Second drill {build.word('dimple.rim_drill')}: feed {build.units.size(last.feed)} from first touch.",
            f"The loose ball now stands {build.units.size(last.height)} proud{before}.",
            f"Feed in {TRIES} tries and lay the ball in after each; stop early once the height is reached. "
            "Metal does not come back: what was fed too deep stays too deep.",
        )
    ]


# Limits that decide whether the ball may be pressed in.
PRESSING = ("seat", "hole", "press")


def _ball(build: Build, bounds: Limits) -> Step:
    protrusion = build.si("ball.protrusion") * 1e3
    exceeded = " ".join(limit.words for limit in bounds.passed if limit.name in PRESSING)
    if build.si("ball.hole_drill") > build.si("ball.diameter"):
        hole = f"a hole of {build.word('ball.hole_drill')} lets a ball of {build.word('ball.diameter')} fall through"
        return Step(f"Do not press the ball: {hole}. Take a larger ball, or a smaller drill before it is cut.", "", "")
    return Step(
        f"Press the ball until it stands {build.units.size(protrusion)} out of the bar's inner face."
        + (f" Warning: {exceeded[0].lower()}{exceeded[1:]}" if exceeded else ""),
        "Read it with a depth gauge or by calipers over ball and bar.",
        "Before pressing: the guide hole is gone once the ball is in. Be sure the dimple needs no more drilling.",
    )


def _bend(build: Build, results: Results) -> Step:
    offset = build.si("bar.bend") * 1e3
    way = "inward" if offset >= 0 else "outward"
    return Step(
        f"Bend the bar until its tip, free, stands {build.units.size(abs(offset))} {way} of flat.",
        f"Pull at the tip that just lifts the ball: blade open {build.units.pull(results['lift_force_open'])}, "
        f"blade closed {build.units.pull(results['lift_force_closed'])}.",
        "",
    )


def _feel(expected: str) -> Step:
    return Step("Assemble and try.", f"Expected breakout at the opener: {expected}.", "")
