"""Every move a bench has: what it changes, how far it may go, what it needs, and whether it can be undone.

A move knows sizes and words, not results: it hands out columns of numbers for the kernel, and what a build file would
hold once it is made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from detentsim.build.model import Build
from detentsim.build.record import MEASURED, Plain
from detentsim.build.schema import INPUTS
from detentsim.build.values import as_text
from detentsim.shop.balls import balls
from detentsim.shop.drills import neighbours
from detentsim.shop.materials import find_material, materials

from .numbers import number

Column = npt.NDArray[np.float64]
Columns = dict[str, Column]

MM = 1e-3
# How near a careful bench comes to what it means to do (common practice, no source): the room a move needs.
NEAR = {
    "dimple.rim_feed": 0.02 * MM,
    "dimple.edge_radius": 0.01 * MM,
    "bar.bend": 0.05 * MM,
    "ball.protrusion": 0.02 * MM,
    "bar.relief_thickness": 0.03 * MM,
    "tang.face_gap": 0.01 * MM,
    "stop.pin_change": 0.01 * MM,
    "dimple.overclose": 0.01 * MM,
    "friction.ball_on_tang": 0.02,
    "pivot.friction_torque": 0.5e-3,
    "opener.radius": 0.25 * MM,
}
# How far each move is looked at, both ways (common practice, no source).
DEEPEST_FEED, BROADEST_EDGE = 0.4 * MM, 0.12 * MM
FARTHEST_BEND, THINNEST = 3.0 * MM, 0.6
SHIM, DEEPER, PIN, DRESSED = 0.25 * MM, 0.25 * MM, 0.2 * MM, 0.1 * MM
SLICK, OPENER = 0.08, 0.25
# Inputs on which the height of a loose ball hangs.
SINKS = ("ball.diameter", "dimple.edge_radius", "dimple.rim_drill", "dimple.rim_feed")
LARGER_DRILLS, LARGER_BALLS = 3, 3


@dataclass(frozen=True)
class Move:
    """One move, with one amount that can be chosen.

    Attributes
    ----------
    name : str
        Short and unique.
    says : str
        What to do, with ``{value}`` and ``{amount}`` for where it ends and by how much.
    undo : bool
        Whether it can be undone.
    needs : str
        What has to come apart for it; empty for nothing.
    low, high, start : float
        Ends of the input it turns on, and where that stands now [SI].
    only : tuple of float
        Values that can be bought; empty along a scale.
    near : float
        How near a careful bench comes to a value [SI]; 0 for what is bought.
    field : str
        The input it turns on, where it is that one alone; else empty.
    columns : callable
        Takes values, gives columns for `detentsim.build.record.assemble`.
    texts : callable
        Takes one value, gives what the build file would hold.
    shown : callable
        Takes one value, or a difference, gives it in words.
    """

    name: str
    says: str
    undo: bool
    needs: str
    low: float
    high: float
    start: float
    only: tuple[float, ...]
    near: float
    field: str
    columns: Callable[[Column], Columns]
    texts: Callable[[float], dict[str, object]]
    shown: Callable[[float], str]

    def words(self, value: float) -> str:
        """What to do, to end at a value [SI]."""
        return self.says.format(value=self.shown(value), amount=self.shown(abs(value - self.start)))


def moves(build: Build, numbers: Plain) -> tuple[Move, ...]:
    """Every move that this build has.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    """
    found = (*_dimple(numbers), *_bar(numbers), *_ball(build, numbers), *_rest(build, numbers))
    able = (move for move in found if move.only or move.high > move.low)
    return tuple(able) if build["dimple.loose_ball_height"] is None else tuple(_fed(move, numbers) for move in able)


def _fed(move: Move, numbers: Plain) -> Move:
    """The move in a build that names a loose ball's height: what changes that leaves the drilled feed as it is."""
    if set(move.columns(np.full(1, move.start))).isdisjoint(SINKS):
        return move
    feed = as_text(number(numbers, "dimple.rim_feed"), "length")
    drilled: dict[str, object] = {"dimple.loose_ball_height": None, "dimple.rim_feed": feed}
    return replace(move, texts=lambda value: drilled | move.texts(value))


def calibrated(build: Build, numbers: Plain) -> dict[str, object]:
    """What holds a measured stiffness through a change of the bar: it stays as the ratio that it came to.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.

    Returns
    -------
    dict
        For `Build.change`; empty where none was measured.
    """
    if all(build[name] is None for name in MEASURED):
        return {}
    return dict.fromkeys(MEASURED) | {"bar.calibration": number(numbers, "bar.calibration")}


def _scale(name: str, says: str, undo: bool, needs: str, field: str, ends: tuple[float, float], start: float) -> Move:
    """A move along one input."""
    kind = INPUTS[field].kinds[0]
    instead: dict[str, object] = {"dimple.loose_ball_height": None} if field == "dimple.rim_feed" else {}
    return Move(
        name,
        says,
        undo,
        needs,
        ends[0],
        ends[1],
        start,
        (),
        NEAR[field],
        field,
        lambda values: {field: values},
        lambda value: instead | {field: float(f"{value:.12g}") if kind == "ratio" else as_text(value, kind)},
        lambda value: _sized(value, kind),
    )


def _sized(value: float, kind: str) -> str:
    """A size for the bench: hundredths of a millimetre, thousandths where it is under one; or three digits."""
    if kind == "length":
        return f"{value / MM:.3f} mm" if abs(value) < MM else f"{value / MM:.2f} mm"
    return as_text(float(f"{value:.3g}"), kind)


def _dimple(numbers: Plain) -> Iterator[Move]:
    rim, feed = number(numbers, "dimple.rim_drill"), number(numbers, "dimple.rim_feed")
    pilot, edge = number(numbers, "dimple.pilot_drill"), number(numbers, "dimple.edge_radius")
    drilled = "blade out; the drill needs the ball's hole, or a jig, to guide it"
    if not np.isnan(rim):
        says = "Feed the second drill {amount} deeper, to {value}"
        yield _scale("feed deeper", says, False, drilled, "dimple.rim_feed", (feed, feed + DEEPEST_FEED), feed)
    deepest = 0.0 if np.isnan(rim) else feed
    for drill in neighbours(pilot if np.isnan(rim) else rim, LARGER_DRILLS)[2]:
        yield _next_drill(drill.name, drill.diameter, deepest, drilled)
    says = "Break the dimple's edge to a radius of {value} with a stone or a polishing point"
    yield _scale("break the edge", says, False, "blade out", "dimple.edge_radius", (edge, edge + BROADEST_EDGE), edge)


def _next_drill(name: str, diameter: float, feed: float, needs: str) -> Move:
    """Opening the rim with a larger drill; it must go as deep as the last one, or its cone does not clear that cut."""
    near = NEAR["dimple.rim_feed"]
    return Move(
        f"open with {name}",
        f"Open the rim with {name}, fed {{value}} after it first touches",
        False,
        needs,
        feed,
        feed + DEEPEST_FEED,
        feed,
        (),
        near,
        "",
        lambda values: {"dimple.rim_drill": np.full_like(values, diameter), "dimple.rim_feed": values},
        lambda value: {
            "dimple.rim_drill": name,
            "dimple.rim_feed": as_text(value, "length"),
            "dimple.loose_ball_height": None,
        },
        lambda value: _sized(value, "length"),
    )


def _bar(numbers: Plain) -> Iterator[Move]:
    bend, relief = number(numbers, "bar.bend"), number(numbers, "bar.relief_thickness")
    says = "Bend the bar in by {amount}, to {value}"
    yield _scale("bend in", says, True, "", "bar.bend", (bend, bend + FARTHEST_BEND), bend)
    says = "Bend the bar out by {amount}, to {value}"
    yield _scale("bend out", says, True, "", "bar.bend", (0.0, bend), bend)
    if not np.isnan(relief):
        says = "Thin the relief by {amount}, to {value}"
        ends = (THINNEST * relief, relief)
        yield _scale("thin the relief", says, False, "bar bare", "bar.relief_thickness", ends, relief)


def _ball(build: Build, numbers: Plain) -> Iterator[Move]:
    proud, size = number(numbers, "ball.protrusion"), number(numbers, "ball.diameter")
    says = "Press the ball {amount} deeper, so that it stands {value} proud"
    ends = (max(proud - DEEPER, 0.15 * size), proud)
    yield _scale("press the ball deeper", says, False, "", "ball.protrusion", ends, proud)
    larger = [ball for ball in balls() if size * 1.0001 < ball.diameter][:LARGER_BALLS]
    if larger:
        yield _larger_ball(size, tuple(ball.diameter for ball in larger), {b.diameter: b.name for b in larger})
    yield _other_ball(build)


def _larger_ball(size: float, sizes: tuple[float, ...], names: dict[float, str]) -> Move:
    return Move(
        "larger ball",
        "Swap the ball for a {value} one, standing as proud as now, its hole opened to suit",
        False,
        "ball out",
        size,
        sizes[-1],
        size,
        sizes,
        0.0,
        "",
        lambda values: {"ball.diameter": values},
        lambda value: {"ball.diameter": as_text(value, "length"), "ball.hole_drill": None},
        lambda value: names.get(value, _sized(value, "length")),
    )


def _other_ball(build: Build) -> Move:
    """A ball of another material, numbered as they stand in the table."""
    kinds = tuple(m for m in materials() if "ball" in m.roles)
    now = find_material(build.word("ball.material"), "ball", "ball.material")
    others = tuple(float(i) for i, m in enumerate(kinds) if m is not now)

    def columns(values: Column) -> Columns:
        picked = [kinds[int(value)] for value in values]
        return {
            "ball.youngs_modulus": np.array([m.youngs_modulus for m in picked]),
            "ball.poissons_ratio": np.array([m.poissons_ratio for m in picked]),
        }

    return Move(
        "other ball material",
        "Swap the ball for one of {value}, of the same size",
        True,
        "ball out",
        0.0,
        float(len(kinds) - 1),
        float(kinds.index(now)),
        others,
        0.0,
        "",
        columns,
        lambda value: {"ball.material": kinds[int(value)].name},
        lambda value: kinds[int(value)].name if float(value).is_integer() else "",
    )


def _rest(build: Build, numbers: Plain) -> Iterator[Move]:
    gap, mu = number(numbers, "tang.face_gap"), number(numbers, "friction.ball_on_tang")
    yield _washer(build, gap, "thicker", (gap, gap + SHIM))
    yield _washer(build, gap, "thinner", (max(gap - SHIM, 0.0), gap))
    if build["stop.radius"] is not None:
        pin = number(numbers, "stop.pin_change")
        pin = 0.0 if np.isnan(pin) else pin
        says = "Change the closed stop's pin by {amount}, so that it is {value} from the first"
        yield _scale("stop pin", says, True, "blade out", "stop.pin_change", (pin - PIN, pin + PIN), pin)
    yield from _dressed(build, numbers)
    if mu > SLICK:
        says = "Polish the ball's track and put a drop of oil on it, so that friction falls to about {value}"
        yield _scale("polish or oil", says, True, "", "friction.ball_on_tang", (SLICK, mu), mu)
    torque = number(numbers, "pivot.friction_torque")
    if np.isfinite(torque) and build["pivot.pull.force"] is None:
        says = "Set the pivot's tension so that it turns with {value}"
        yield _scale("pivot tension", says, True, "", "pivot.friction_torque", (0.3 * torque, 3 * torque), torque)
    arm = number(numbers, "opener.radius")
    says = "Move the opener to {value} from the pivot"
    ends = ((1 - OPENER) * arm, (1 + OPENER) * arm)
    yield _scale("move the opener", says, False, "blade out", "opener.radius", ends, arm)


def _washer(build: Build, gap: float, way: str, ends: tuple[float, float]) -> Move:
    """Another washer, or a shim, on the bar's side."""
    stacked = build["tang.face_gap"] is None
    washer = build.si("pivot.washer_thickness")

    def texts(value: float) -> dict[str, object]:
        if stacked:
            return {"pivot.washer_thickness": as_text(washer + value - gap, "length")}
        return {"tang.face_gap": as_text(value, "length")}

    return Move(
        f"washer {way}",
        f"Take a washer on the bar's side {{amount}} {way}, for a gap of {{value}}",
        True,
        "blade out",
        ends[0],
        ends[1],
        gap,
        (),
        NEAR["tang.face_gap"],
        "" if stacked else "tang.face_gap",
        lambda values: {"tang.face_gap": values},
        texts,
        lambda value: _sized(value, "length"),
    )


def _dressed(build: Build, numbers: Plain) -> Iterator[Move]:
    """Metal taken off the closed stop's face lets the blade sink to where the ball is centred: less over-close."""
    value = build["dimple.overclose"]
    if value is not None and value.kind == "angle":
        return
    past = number(numbers, "dimple.overclose")
    says = "Dress the closed stop's face so that the blade sinks {amount} farther at the ball"
    yield _scale("dress the stop", says, False, "blade out", "dimple.overclose", (past - DRESSED, past), past)
