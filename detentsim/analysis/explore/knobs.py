"""Knobs of the explorer: inputs that a maker sets, each with the settings it can take.

Sizes that are bought follow the stock tables; the others go by steps that a careful bench can tell apart, in the unit
in which the build gives them. Knows sizes and words, not results.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.explore.stops import INCHES, STOPS, KnobStop, even_stops, same
from detentsim.analysis.in_hand.advise.moves.move import SINKS
from detentsim.analysis.results import number
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import as_text
from detentsim.knife.table.values import limits
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

MM = 1e-3

# Knobs that the loose ball height depends on, the pilot hole included.
FEEDS = (*SINKS, "dimple.pilot_drill", "dimple.pilot_depth")

# Inputs that change the bar's stiffness as computed.
STIFFENS = ("bar.thickness", "bar.relief_thickness")


@dataclass(frozen=True)
class Knob:
    """One input that can be turned.

    Attributes
    ----------
    name : str
        Dotted name of the input it turns.
    label : str
        In the trade's words.
    stops : tuple of KnobStop
        From small to large; no second drill comes first.
    start : int
        Index of the stop at which the build stands.
    """

    name: str
    label: str
    stops: tuple[KnobStop, ...]
    start: int


class _Scale(NamedTuple):
    """Scale of a knob; each end is a share of the own value, plus a share of the ball's diameter, plus millimetres."""

    label: str
    low: tuple[float, float, float]
    high: tuple[float, float, float]
    step: float  # [mm]
    thou: float  # where the build gives it in inch measure

    def ends(self, own: float, ball: float) -> tuple[float, float]:
        """Lowest and highest value [m].

        Parameters
        ----------
        own, ball : float
            The build's own value and the ball's diameter [m].
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
    """Knobs of a build.

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
    ('second drill', ['none', '1.3 mm'], '1.9 mm')
    """
    return tuple(_knob(build, numbers, name) for name in _ORDER if _has(build, name))


def _has(build: Build, name: str) -> bool:
    """Whether a build has a knob: the gap or the washer as given, the relief where there is one, else the bar."""
    if name in ("tang.face_gap", "pivot.washer_thickness"):
        return build[name] is not None
    if name in STIFFENS:
        return (build["bar.relief_thickness"] is None) == (name == "bar.thickness")
    return True


def _knob(build: Build, numbers: Plain, name: str) -> Knob:
    if name in STOPS:
        return _placed(name, LABELS[name], STOPS[name](build, numbers), number(numbers, name), build.word(name))
    return _scaled(build, numbers, name)


def _placed(name: str, label: str, stops: Iterable[KnobStop], own: float, typed: str) -> Knob:
    """Knob with the build's own value, worded as typed, in its place among the stops."""
    placed = [stop for stop in stops if not same(stop.si, own)]
    placed.append(KnobStop(typed, own))
    placed.sort(key=lambda stop: -np.inf if np.isnan(stop.si) else stop.si)
    return Knob(name, label, tuple(placed), next(i for i, stop in enumerate(placed) if same(stop.si, own)))


def _scaled(build: Build, numbers: Plain, name: str) -> Knob:
    """Knob along a scale, within the range that the input allows."""
    scale, value = _SCALES[name], build[name]
    kind = "length" if value is None else value.kind
    own = number(numbers, name) if value is None else value.si
    own = 0.0 if np.isnan(own) else own
    if kind == "angle":
        unit, step, ends = "deg", 0.1, (own - np.radians(2), own + np.radians(2))
    else:
        inches = value is not None and INCHES.search(value.text) is not None
        unit, step = ("thou", scale.thou) if inches else ("mm", scale.step)
        ends = scale.ends(own, number(numbers, "ball.diameter"))
    least, most = limits(INPUTS[name], kind)
    low, high = min(max(ends[0], least), own), max(min(ends[1], most), own)
    size = factor(unit)
    typed = as_text(float(f"{own:.4g}"), kind) if value is None else value.text
    return _placed(name, scale.label, even_stops(name, low / size, high / size, step, unit, size), own, typed)
