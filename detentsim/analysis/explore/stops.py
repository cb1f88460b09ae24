"""Stops of a knob: sizes that can be bought, and even steps that a careful bench can tell apart.

Reads the shop's tables for `knobs`; knows sizes and words, not results.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.results import number
from detentsim.shop.balls import balls
from detentsim.shop.drills import neighbours
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

# Stock drills offered on either side of the build's own.
DRILLS = 12

# Balls offered: within this ratio of the build's own, either way.
BALLS = 2.0

# Most places of a scale; the step grows until they are no more.
MOST = 121

NO_DRILL = "none"

# Highest friction offered where the build has less.
ROUGHEST = 0.40

INCHES = re.compile(r"(?:thou|mil|mils|in|inch|inches|\")$")
"""End of a length that is typed in inch measure."""


@dataclass(frozen=True)
class KnobStop:
    """One setting of a knob.

    Attributes
    ----------
    text : str
        As in a build file.
    si : float
        Value [SI]; NaN for no second drill.
    changes : mapping
        Inputs to change for this setting, by dotted name.
    """

    text: str
    si: float
    changes: Mapping[str, object] = field(default_factory=dict)


def same(one: float, other: float) -> bool:
    """Whether two values are equal but for rounding; two NaN are.

    Parameters
    ----------
    one, other : float
        [SI].
    """
    return bool(np.isnan(one) and np.isnan(other)) or abs(one - other) <= 1e-9 * max(abs(one), abs(other), 1e-4)


def even_stops(name: str, low: float, high: float, step: float, unit: str, size: float) -> Iterator[KnobStop]:
    """Stops at round, even places between two ends, `MOST` of them at most.

    Parameters
    ----------
    name : str
        Dotted name of the input.
    low, high, step : float
        Ends and least step, in the unit.
    unit : str
    size : float
        One of the unit in SI.

    Yields
    ------
    KnobStop
    """
    wide = next(step * by for k in range(12) for by in (10**k, 2 * 10**k, 5 * 10**k) if high - low <= step * by * MOST)
    for count in range(int(np.ceil(low / wide - 1e-9)), int(np.floor(high / wide + 1e-9)) + 1):
        text = f"{count * wide:.10g} {unit}"
        yield KnobStop(text, count * wide * size, {name: text})


def _balls(build: Build, numbers: Plain) -> list[KnobStop]:
    """Balls that can be bought; protrusion stays, and the hole of another ball is no longer given."""
    own = number(numbers, "ball.diameter")
    near = [ball for ball in balls() if own / BALLS <= ball.diameter <= own * BALLS]
    hole: dict[str, object] = {name: None for name in ("ball.hole_drill", "ball.hole_depth") if build[name] is not None}
    return [KnobStop(ball.name, ball.diameter, {"ball.diameter": ball.name} | hole) for ball in near]


def _pilots(build: Build, numbers: Plain) -> list[KnobStop]:
    return _drills(build, "dimple.pilot_drill", number(numbers, "dimple.pilot_drill"))


def _rims(build: Build, numbers: Plain) -> list[KnobStop]:
    own, pilot = number(numbers, "dimple.rim_drill"), number(numbers, "dimple.pilot_drill")
    none = KnobStop(NO_DRILL, np.nan, {"dimple.rim_drill": NO_DRILL})
    return [none, *_drills(build, "dimple.rim_drill", pilot if np.isnan(own) else own)]


def _drills(build: Build, name: str, about: float) -> list[KnobStop]:
    """The shop's drills on either side of a size, each size once."""
    below, equal, above = neighbours(about, DRILLS, build.stock)
    stock = [*below, *([equal] if equal else []), *above]
    return _first_of_each([KnobStop(drill.name, drill.diameter, {name: drill.name}) for drill in stock])


def _first_of_each(stops: list[KnobStop]) -> list[KnobStop]:
    """The first stop of each size."""
    kept: list[KnobStop] = []
    for stop in stops:
        if not any(same(stop.si, other.si) for other in kept):
            kept.append(stop)
    return kept


def _frictions(build: Build, numbers: Plain) -> Iterator[KnobStop]:
    """Friction in steps of 0.01; static friction, where it is given, is raised to at least the same."""
    still, name = build["friction.ball_on_tang_static"], "friction.ball_on_tang"
    for value in np.arange(0, max(ROUGHEST, number(numbers, name)) + 0.005, 0.01):
        moving = float(f"{value:.2f}")
        rougher = still is not None and moving > still.si
        also: dict[str, object] = {"friction.ball_on_tang_static": moving} if rougher else {}
        yield KnobStop(f"{moving:g}", moving, {name: moving} | also)


def _presses(build: Build, numbers: Plain) -> Iterator[KnobStop]:
    """Pushes of a thumb, in lbf where the build gives its own in lbf, else in N."""
    own, pounds = number(numbers, "grip.force"), build.word("grip.force").endswith("lbf")
    unit, step, most = ("lbf", 0.1, 5.0) if pounds else ("N", 0.5, 20.0)
    size = factor(unit)
    low, high = min(0.0, own / size), max(most, own / size)
    return even_stops("grip.force", low, high, step, unit, size)


STOPS: dict[str, Callable[[Build, Plain], Iterable[KnobStop]]] = {
    "ball.diameter": _balls,
    "dimple.pilot_drill": _pilots,
    "dimple.rim_drill": _rims,
    "friction.ball_on_tang": _frictions,
    "grip.force": _presses,
}
"""Stops of the knobs that go by what can be bought, by hundredths of friction, or by a thumb's push."""
