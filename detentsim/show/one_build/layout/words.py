"""Sentences about a layout; report, figure and sheet share them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.layout.faults import with_article
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from detentsim.analysis.one_build.layout.clearances import Drop
    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.analysis.one_build.layout.overclose import Reading
    from detentsim.units.systems import UnitSystem


def place_words(found: Layout) -> str:
    """Where the ball is scribed on the bar, and what follows from it."""
    s, size = found.section, found.build.units.size
    edge = "lower" if s.inward > 0 else "upper"
    scribed = f"{size(s.from_lock_face * 1e3)} from the bar's lock face, {size(s.from_edge * 1e3)} from its {edge} edge"
    off = f"{two_digits(abs(math.degrees(s.travel_angle)))} deg off square"
    return f"Scribe the ball {scribed}: {size(found.ride.radius * 1e3)} from the pivot, travelling {off}."


def way_words(found: Layout) -> str:
    """Where the ball rides, and where it drops off for good."""
    off = found.drops_off
    if off is None:
        return "The ball is on the tang from closed to lock-up, where it should be off it."
    if off.start <= 0:
        return "It is off the tang from the start."
    units, opened = found.build.units, math.degrees(found.ride.open_angle)
    before = f"{opened - off.start:.0f} deg before lock-up"
    edge = f", at {with_article(off.left_by)}" if off.left_by else ""
    return f"It drops off at {off.start:.0f} deg{edge}, {before}. {step_words(off, units)}"


def step_words(drop: Drop, units: UnitSystem) -> str:
    """The step that the ball climbs coming back."""
    return (
        f"Closing, it climbs back a step of {units.size(drop.step)} unless a thumb holds the bar out; "
        f"the climb starts at a contact angle of {drop.climb:.0f} deg."
    )


def hole_words(found: Layout) -> str:
    """Least metal round the ball's hole in the bar."""
    least = min(found.walls, key=lambda wall: wall.left)
    return f"Least metal round the ball's hole: {found.build.units.size(least.left)}, at the {least.name}."


def pin_words(found: Layout) -> str:
    """How near the ball comes to the stop pin's track; empty where no pin is drawn."""
    if found.pin is None:
        return ""
    size, pin = found.build.units.size, found.pin
    near = f"{size(pin.contact)} from the ball's contact at {pin.angle:.0f} deg"
    return f"Stop pin's track: {near}, {size(pin.rim)} from the dimple's rim."


def overclose_words(found: Layout) -> str:
    """How far the clamp moves the blade, at each place it can be read, with its feeler leaf."""
    if not found.overclose:
        return "Over-close: none; drill with the blade on its stop."
    units = found.build.units
    readings = "; ".join(_reading(reading, units) for reading in found.overclose)
    past = "past" if found.overclose[0].moves > 0 else "short of"
    return f"Over-close, as the clamp moves the blade {past} its stop: {readings}."


def _reading(reading: Reading, units: UnitSystem) -> str:
    at = f"{units.size(abs(reading.moves))} at the {reading.where}"
    if reading.leaf is None or reading.gives is None:
        return f"{at} (no leaf near it)"
    gives = "" if reading.where == "ball" else f", which sets {units.size(abs(reading.gives))} at the ball"
    return f"{at} (leaf {units.size(reading.leaf)}{gives})"


def best_words(found: Layout) -> str:
    """The best place on the bar, with its margin and what it would give."""
    best, here, units = found.places.best, found.places.here, found.build.units
    wanted = found.places.band is not None
    if best is None:
        with_it = " with the wanted breakout" if wanted else ""
        return f"No place tried on this bar is feasible{with_it}, all else as it is."
    now = f"here {units.size(here.margin)}" if here.margin > 0 else "here none"
    most = "with the wanted breakout" if wanted else "of all"
    torque = "none" if best.torque is None else units.two_digits(best.torque, "N*mm")
    where = f"{units.size(best.from_lock_face)} from the lock face, {units.size(best.from_edge)} from the edge"
    room = f"margin {units.size(best.margin)} ({now}), least at the {best.tight}"
    gives = f"{torque} at the same force on the ball; breakout computed there {units.pull(best.breakout)}"
    return f"Most room {most}: {where}; {room}; {units.size(best.radius)} from the pivot, {gives}."
