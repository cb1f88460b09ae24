"""List of the changes a bench can make: input, range, needs, and whether each can be undone.

A move knows sizes and words, not results: it hands out columns of numbers for the kernel, and what a build file would
hold once it is made.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.moves.ball import ball_moves
from detentsim.analysis.in_hand.advise.moves.move import (
    BROADEST_EDGE,
    DEEPEST_FEED,
    DRESSED,
    FARTHEST_BEND,
    LARGER_DRILLS,
    NEAR,
    OILED,
    PIN,
    SHIM,
    SLICK,
    THINNEST,
    Move,
    bench_size,
    scaled_move,
    with_feed,
)
from detentsim.analysis.in_hand.advise.moves.pivots import pivot_moves
from detentsim.analysis.results import number
from detentsim.knife.table.value import as_text
from detentsim.shop.drills import neighbours
from detentsim.units.numbers import digits, two_digits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.units.systems import UnitSystem


def moves(build: Build, numbers: Plain) -> tuple[Move, ...]:
    """Every move that this build has.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    """
    every = (*_dimple(build, numbers), *_bar(numbers), *ball_moves(build, numbers), *_rest(build, numbers))
    able = (replace(move, units=build.units) for move in every if move.only or move.high > move.low)
    return (
        tuple(able) if build["dimple.loose_ball_height"] is None else tuple(with_feed(move, numbers) for move in able)
    )


def _dimple(build: Build, numbers: Plain) -> Iterator[Move]:
    rim, feed = number(numbers, "dimple.rim_drill"), number(numbers, "dimple.rim_feed")
    pilot, edge = number(numbers, "dimple.pilot_drill"), number(numbers, "dimple.edge_radius")
    drilled = "blade out; the drill needs the ball's hole, or a jig, to guide it"
    if not np.isnan(rim):
        says = "Feed the second drill {amount} deeper, to {value}"
        ends = (feed, feed + DEEPEST_FEED)
        yield scaled_move("feed deeper", says, "dimple.rim_feed", ends, feed, undo=False, needs=drilled)
    deepest = 0.0 if np.isnan(rim) else feed
    for drill in neighbours(pilot if np.isnan(rim) else rim, LARGER_DRILLS, build.stock)[2]:
        yield _next_drill(drill.name, drill.diameter, deepest, drilled)
    burr = number(numbers, "dimple.burr")
    if burr > 0:
        until = "Sand the tang's flat on a hard block until the burr round the dimple"
        says, gone = f"{until} stands {{value}} high", (f"{until} is gone", "{name} until the burr is gone")
        name, ends = "sand the flat", (0.0, burr)
        sand = scaled_move(name, says, "dimple.burr", ends, burr, undo=False, needs="blade out", way="to")
        yield replace(sand, gone=gone)
    says = "Break the dimple's edge to a radius of {value} with a stone or a polishing point"
    name, ends = "break the edge", (edge, edge + BROADEST_EDGE)
    yield scaled_move(name, says, "dimple.edge_radius", ends, edge, undo=False, needs="blade out", way="to")


def _next_drill(name: str, diameter: float, feed: float, needs: str) -> Move:
    """Opening the rim with a larger drill; it must go as deep as the last one, or its cone does not clear that cut."""
    return Move(
        name=f"open with {name}",
        says=f"Open the rim with the {name} drill, fed {{value}} after it first touches",
        undo=False,
        needs=needs,
        low=feed,
        high=feed + DEEPEST_FEED,
        start=feed,
        near=NEAR["dimple.rim_feed"],
        columns=lambda values: {"dimple.rim_drill": np.full_like(values, diameter), "dimple.rim_feed": values},
        texts=lambda value: {
            "dimple.rim_drill": name,
            "dimple.rim_feed": as_text(value, "length"),
            "dimple.loose_ball_height": None,
        },
        size=lambda value, units: bench_size(value, "length", units),
        brief=f"open with the {name} drill, fed {{value}}",
        way="to",
        stays=False,
    )


def _bar(numbers: Plain) -> Iterator[Move]:
    bend, relief = number(numbers, "bar.bend"), number(numbers, "bar.relief_thickness")
    says = "Bend the bar in by {amount}, to {value}"
    yield scaled_move("bend in", says, "bar.bend", (bend, bend + FARTHEST_BEND), bend, undo=True)
    says = "Bend the bar out by {amount}, to {value}"
    yield scaled_move("bend out", says, "bar.bend", (0.0, bend), bend, undo=True)
    if not np.isnan(relief):
        says = "Thin the relief by {amount}, to {value}"
        name, ends = "thin the relief", (THINNEST * relief, relief)
        yield scaled_move(name, says, "bar.relief_thickness", ends, relief, undo=False, needs="bar bare")


def _rest(build: Build, numbers: Plain) -> Iterator[Move]:
    gap, mu = number(numbers, "tang.face_gap"), number(numbers, "friction.ball_on_tang")
    yield _washer(build, gap, "thicker", (gap, gap + SHIM))
    yield _washer(build, gap, "thinner", (max(gap - SHIM, 0.0), gap))
    if build["stop.radius"] is not None:
        pin = number(numbers, "stop.pin_change")
        pin = 0.0 if np.isnan(pin) else pin
        says = "Fit a pin {amount} {thicker} than now at the closed stop"
        ends, brief = (pin - PIN, pin + PIN), "stop pin {amount} {thicker}"
        yield scaled_move("stop pin", says, "stop.pin_change", ends, pin, undo=True, needs="blade out", brief=brief)
    yield from _dressed(build, numbers)
    yield from _slicker(mu)
    yield from pivot_moves(build, numbers)


def _slicker(mu: float) -> Iterator[Move]:
    """Oil, which a solvent takes off again; and polish, which takes metal off."""
    if mu > OILED:
        says = "Clean and oil the ball's track, so that friction falls to about {value}"
        oil = scaled_move("oil the track", says, "friction.ball_on_tang", (OILED, mu), mu, undo=True, way="times")
        yield replace(oil, size=partial(_friction_size, mu), brief=_TO_FRICTION)
    if mu > SLICK:
        says = "Polish the ball's track and oil it, so that friction falls to about {value}"
        name, field, ends = "polish the track", "friction.ball_on_tang", (SLICK, mu)
        polish = scaled_move(name, says, field, ends, mu, undo=False, needs="blade out", way="times")
        yield replace(polish, size=partial(_friction_size, mu), brief=_TO_FRICTION)


_TO_FRICTION = "{name}, for a friction of {value}"


def _friction_size(now: float, value: float, _: UnitSystem) -> str:
    """Two digits, as no bench sets friction closer; a third where two would read as it is now."""
    return digits(value, 2 if two_digits(value) != two_digits(now) else 3)


def _washer(build: Build, gap: float, way: str, ends: tuple[float, float]) -> Move:
    """Another washer, or a shim, on the bar's side."""
    stacked = build["tang.face_gap"] is None
    washer = build.si("pivot.washer_thickness")

    def texts(value: float) -> dict[str, object]:
        if stacked:
            return {"pivot.washer_thickness": as_text(washer + value - gap, "length")}
        return {"tang.face_gap": as_text(value, "length")}

    return Move(
        name=f"washer {way}",
        says=f"Take a washer on the bar's side {{amount}} {way} than now, for a gap of {{value}}",
        undo=True,
        needs="blade out",
        low=ends[0],
        high=ends[1],
        start=gap,
        near=NEAR["tang.face_gap"],
        field="" if stacked else "tang.face_gap",
        columns=lambda values: {"tang.face_gap": values},
        texts=texts,
        size=lambda value, units: bench_size(value, "length", units),
        brief=f"washer {{amount}} {way}",
    )


def _dressed(build: Build, numbers: Plain) -> Iterator[Move]:
    """Metal taken off the closed stop's face lets the blade sink to where the ball is centred: less over-close."""
    value = build["dimple.overclose"]
    if value is not None and value.kind == "angle":
        return
    past = number(numbers, "dimple.overclose")
    says = "Dress the closed stop's face so that the blade sinks {amount} farther at the ball"
    name, ends, brief = "dress the stop", (past - DRESSED, past), "dress the stop by {amount}"
    yield scaled_move(name, says, "dimple.overclose", ends, past, undo=False, needs="blade out", brief=brief)
