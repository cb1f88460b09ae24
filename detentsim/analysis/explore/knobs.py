"""The knobs of the explorer: inputs that a maker sets, each with the places it can be put in.

Sizes that are bought go by the stock tables; the others by steps that a careful bench can tell apart, in the unit that
the build gives them in. Knows sizes and words, not results.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.moves.move import SINKS
from detentsim.analysis.results import number
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import as_text
from detentsim.knife.table.values import limits
from detentsim.shop.balls import balls
from detentsim.shop.drills import neighbours
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

MM = 1e-3

# Stock drills offered on either side of the build's own.
DRILLS = 12

# Balls offered: within this ratio of the build's own, either way.
BALLS = 2.0

# Most places of a scale; the step grows until they are no more.
MOST = 121

NO_DRILL = "none"

# Knobs that the loose ball height depends on, the pilot hole included.
FEEDS = (*SINKS, "dimple.pilot_drill", "dimple.pilot_depth")

# Inputs that change the bar's stiffness as computed.
STIFFENS = ("bar.thickness", "bar.relief_thickness")

_INCH = re.compile(r"(?:thou|mil|mils|in|inch|inches|\")$")


@dataclass(frozen=True)
class KnobStop:
    """One setting of a knob.

    Attributes
    ----------
    text : str
        As a build file would hold it.
    si : float
        [SI]; not a number for no second drill.
    changes : mapping
        Changes of the build for this setting, by dotted name.
    """

    text: str
    si: float
    changes: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class Knob:
    """One knob.

    Attributes
    ----------
    name : str
        Dotted name of the input it turns.
    label : str
        In the trade's words.
    stops : tuple of Stop
        From small to large; no second drill comes first.
    start : int
        Where the build stands.
    """

    name: str
    label: str
    stops: tuple[KnobStop, ...]
    start: int


class _Scale(NamedTuple):
    """A knob along a scale: its ends as parts of its own value and of the ball, and millimetres; its step."""

    label: str
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    step: float  # [mm]
    thou: float  # where the build gives it in inch measure

    def ends(self, own: float, ball: float) -> tuple[float, float]:
        """Lowest and highest value [m], by its own value and the ball's diameter.

        Parameters
        ----------
        own, ball : float
            [m].
        """
        (part, balls, more), (parts, ball_parts, much) = self.low, self.high
        return part * own + balls * ball + more * MM, parts * abs(own) + ball_parts * ball + much * MM


_SCALES = {
    "ball.protrusion": _Scale("ball stands proud", (0, 0.15, 0), (0, 0.85, 0), 0.02, 1),
    "dimple.pilot_depth": _Scale("first drill, depth", (0, 0, 0), (1, 0.5, 0), 0.02, 1),
    "dimple.rim_feed": _Scale("second drill, feed", (0, 0, 0), (1, 0, 0.25), 0.005, 0.2),
    "dimple.edge_radius": _Scale("edge broken to", (0, 0, 0), (1, 0, 0.1), 0.005, 0.2),
    "dimple.overclose": _Scale("over-close", (1, 0, -0.2), (1, 0, 0.2), 0.01, 0.5),
    "dimple.radial_error": _Scale("dimple too far out", (0, 0, -0.1), (0, 0, 0.1), 0.01, 0.5),
    "tang.face_gap": _Scale("gap, slab to tang", (1, 0, -0.3), (1, 0, 0.3), 0.01, 1),
    "pivot.washer_thickness": _Scale("washer, bar's side", (1, 0, -0.3), (1, 0, 0.3), 0.01, 1),
    "bar.thickness": _Scale("bar, thickness", (0.5, 0, 0), (1.5, 0, 0), 0.05, 2),
    "bar.relief_thickness": _Scale("relief, metal left", (0.4, 0, 0), (2.2, 0, 0), 0.02, 1),
    "bar.bend": _Scale("bend", (0, 0, 0), (1.5, 0, 1), 0.05, 2),
}
"""Knobs along a scale: how far each goes and its steps (common practice, no source)."""

LABELS = {
    "ball.diameter": "ball",
    "dimple.pilot_drill": "first drill",
    "dimple.rim_drill": "second drill",
    "friction.ball_on_tang": "friction",
    "grip.force": "thumb on the bar",
}

# Highest friction offered where the build has less.
ROUGHEST = 0.40

_ORDER = (
    "ball.diameter",
    "ball.protrusion",
    "dimple.pilot_drill",
    "dimple.pilot_depth",
    "dimple.rim_drill",
    "dimple.rim_feed",
    "dimple.edge_radius",
    "dimple.overclose",
    "dimple.radial_error",
    "tang.face_gap",
    "pivot.washer_thickness",
    "bar.thickness",
    "bar.relief_thickness",
    "bar.bend",
    "friction.ball_on_tang",
    "grip.force",
)


def knobs(build: Build, numbers: Plain) -> tuple[Knob, ...]:
    """Every knob of a build.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.

    Returns
    -------
    tuple of Knob
        From ball and drills to bar, friction and thumb.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> from detentsim.knife.record.record import plain
    >>> knob = knobs(demo(), plain(demo()))[4]
    >>> knob.label, [stop.text for stop in knob.stops[:2]], knob.stops[knob.start].text
    ('second drill', ['none', '1.55 mm'], '1.9 mm')
    """
    return tuple(_knob(build, numbers, name) for name in _ORDER if _has(build, name))


def _has(build: Build, name: str) -> bool:
    """Whether this build has a knob: a gap goes by what it was given as, a bar by its relief where it has one."""
    if name in ("tang.face_gap", "pivot.washer_thickness"):
        return build[name] is not None
    if name in STIFFENS:
        return (build["bar.relief_thickness"] is None) == (name == "bar.thickness")
    return True


def _knob(build: Build, numbers: Plain, name: str) -> Knob:
    bought = {"ball.diameter": _balls, "dimple.pilot_drill": _pilots, "dimple.rim_drill": _rims}
    if name in bought:
        return _placed(name, LABELS[name], bought[name](build, numbers), number(numbers, name), build.word(name))
    if name == "friction.ball_on_tang":
        return _placed(name, LABELS[name], _frictions(build, numbers), number(numbers, name), build.word(name))
    if name == "grip.force":
        return _placed(name, LABELS[name], _presses(build, numbers), number(numbers, name), build.word(name))
    return _scaled(build, numbers, name)


def _placed(name: str, label: str, stops: Iterable[KnobStop], own: float, typed: str) -> Knob:
    """A knob with the build's own place put among its stops, worded as typed."""
    placed = [stop for stop in stops if not _same(stop.si, own)]
    placed.append(KnobStop(typed, own))
    placed.sort(key=lambda stop: -np.inf if np.isnan(stop.si) else stop.si)
    return Knob(name, label, tuple(placed), next(i for i, stop in enumerate(placed) if _same(stop.si, own)))


def _same(one: float, other: float) -> bool:
    return bool(np.isnan(one) and np.isnan(other)) or abs(one - other) <= 1e-9 * max(abs(one), abs(other), 1e-4)


def _balls(build: Build, numbers: Plain) -> list[KnobStop]:
    """Balls that can be bought; another one stands as proud as now, and its hole is opened or bushed to suit."""
    own = number(numbers, "ball.diameter")
    near = [ball for ball in balls() if own / BALLS <= ball.diameter <= own * BALLS]
    hole: dict[str, object] = {name: None for name in ("ball.hole_drill", "ball.hole_depth") if build[name] is not None}
    return [KnobStop(ball.name, ball.diameter, {"ball.diameter": ball.name} | hole) for ball in near]


def _pilots(_: Build, numbers: Plain) -> list[KnobStop]:
    return _drills("dimple.pilot_drill", number(numbers, "dimple.pilot_drill"))


def _rims(_: Build, numbers: Plain) -> list[KnobStop]:
    own, pilot = number(numbers, "dimple.rim_drill"), number(numbers, "dimple.pilot_drill")
    none = KnobStop(NO_DRILL, np.nan, {"dimple.rim_drill": NO_DRILL})
    return [none, *_drills("dimple.rim_drill", pilot if np.isnan(own) else own)]


def _drills(name: str, about: float) -> list[KnobStop]:
    """Stock drills on either side of a size, each size once."""
    below, equal, above = neighbours(about, DRILLS)
    stock = [*below, *([equal] if equal else []), *above]
    return _first_of_each([KnobStop(drill.name, drill.diameter, {name: drill.name}) for drill in stock])


def _first_of_each(stops: list[KnobStop]) -> list[KnobStop]:
    """Stops of one size once."""
    kept: list[KnobStop] = []
    for stop in stops:
        if not any(_same(stop.si, other.si) for other in kept):
            kept.append(stop)
    return kept


def _frictions(build: Build, numbers: Plain) -> Iterator[KnobStop]:
    """Friction by hundredths; where the build gives that at rest too, it is no less."""
    still, name = build["friction.ball_on_tang_static"], "friction.ball_on_tang"
    for value in np.arange(0, max(ROUGHEST, number(numbers, name)) + 0.005, 0.01):
        moving = float(f"{value:.2f}")
        rougher = still is not None and moving > still.si
        also: dict[str, object] = {"friction.ball_on_tang_static": moving} if rougher else {}
        yield KnobStop(f"{moving:g}", moving, {name: moving} | also)


def _presses(build: Build, numbers: Plain) -> Iterator[KnobStop]:
    """Pushes of a thumb, in the unit that the build gives its own in."""
    own, pounds = number(numbers, "grip.force"), build.word("grip.force").endswith("lbf")
    unit, step, most = ("lbf", 0.1, 5.0) if pounds else ("N", 0.5, 20.0)
    size = factor(unit)
    low, high = min(0.0, own / size), max(most, own / size)
    return _grid("grip.force", low, high, step, unit, size)


def _scaled(build: Build, numbers: Plain, name: str) -> Knob:
    """A knob along a scale, within what the input allows."""
    scale, value = _SCALES[name], build[name]
    kind = "length" if value is None else value.kind
    own = number(numbers, name) if value is None else value.si
    own = 0.0 if np.isnan(own) else own
    if kind == "angle":
        unit, step, ends = "deg", 0.1, (own - np.radians(2), own + np.radians(2))
    else:
        inches = value is not None and _INCH.search(value.text) is not None
        unit, step = ("thou", scale.thou) if inches else ("mm", scale.step)
        ends = scale.ends(own, number(numbers, "ball.diameter"))
    least, most = limits(INPUTS[name], kind)
    low, high = min(max(ends[0], least), own), max(min(ends[1], most), own)
    size = factor(unit)
    typed = as_text(float(f"{own:.4g}"), kind) if value is None else value.text
    return _placed(name, scale.label, _grid(name, low / size, high / size, step, unit, size), own, typed)


def _grid(name: str, low: float, high: float, step: float, unit: str, size: float) -> Iterator[KnobStop]:
    """Even places between two ends, in a unit that is `size` SI."""
    wide = next(step * by for k in range(12) for by in (10**k, 2 * 10**k, 5 * 10**k) if high - low <= step * by * MOST)
    for count in range(int(np.ceil(low / wide - 1e-9)), int(np.floor(high / wide + 1e-9)) + 1):
        text = f"{count * wide:.10g} {unit}"
        yield KnobStop(text, count * wide * size, {name: text})
