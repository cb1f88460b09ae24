"""One bench move: what it changes, how far it may go, and helpers that build one from an input."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.results import number
from detentsim.knife.record.fields import MEASURED
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import SHOWN_UNITS, as_text
from detentsim.knife.target.words import number_words
from detentsim.mechanics.record import Array
from detentsim.units.quantities import factor
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

Columns = dict[str, Array]

MM = 1e-3

# Errors of a careful bench (common practice, no source): the room a move needs.
NEAR = {
    "dimple.rim_feed": 0.02 * MM,
    "dimple.edge_radius": 0.01 * MM,
    "dimple.burr": 0.002 * MM,
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

# Range of each move, both ways (common practice, no source).
DEEPEST_FEED, BROADEST_EDGE = 0.4 * MM, 0.12 * MM

FARTHEST_BEND, THINNEST = 3.0 * MM, 0.6

SHIM, DEEPER, PIN, DRESSED = 0.25 * MM, 0.25 * MM, 0.2 * MM, 0.1 * MM

# Friction of a polished and oiled track, and of one that is only oiled (as the input's band and default).
SLICK, OILED, OPENER = 0.08, 0.12, 0.25

# Inputs that the loose ball height depends on.
SINKS = ("ball.diameter", "dimple.edge_radius", "dimple.rim_drill", "dimple.rim_feed")

LARGER_DRILLS, LARGER_BALLS = 3, 3

# Part of its diameter that a pressed ball may stand proud, so that its widest part stays in the hole (common practice,
# no source).
PROUDEST = 0.45

# Change of an opener's mass at most, either way, and as a part of the blade's mass; how near a bench comes to it.
OPENER_MASS, OPENER_PART, WEIGHED = 2e-3, 0.1, 0.05e-3


@dataclass(frozen=True, kw_only=True)
class Move:
    """One move, with one amount that can be chosen.

    Attributes
    ----------
    name : str
        Short and unique.
    says : str
        Instruction, with ``{value}`` and ``{amount}`` for the final value and the change; ``{thicker}`` is "thicker" or
        "thinner" by the way of the change.
    undo : bool
        Whether a bench can undo it and nothing stays changed: no metal is cut, polished or pressed.
    needs : str
        Parts to take apart for it; empty for none.
    low, high, start : float
        Ends of the input it turns on, and where that stands now [SI].
    only : tuple of float
        Values that can be bought; empty along a scale.
    near : float
        How near a careful bench comes to a value [SI]; 0 for what is bought.
    field : str
        The input it turns on, where it is that one alone; else empty.
    columns : callable
        Takes values, gives columns for `detentsim.knife.record.fields.assemble`.
    texts : callable
        Takes one value, gives what the build file would hold.
    size : callable
        Takes one value, or a difference, and a system of units; gives it in words.
    brief : str
        The move in a few words, with ``{name}`` and all that ``says`` takes.
    units : UnitSystem
        Units of its words.
    way : str
        What it does to a knife that is not as drawn: ``by`` adds the amount to the knife's own size, ``to`` puts the
        value in its place, ``times`` changes it in the same proportion.
    stays : bool
        Whether a knife stays as it is where the move ends at its start; not so where another drill goes as deep.
    gone : tuple of str or None
        Instruction and few words where it ends at nothing as a bench reads it, a burr sanded off; None where it has
        none of its own.
    """

    name: str
    says: str
    undo: bool
    needs: str = ""
    low: float
    high: float
    start: float
    only: tuple[float, ...] = ()
    near: float = 0.0
    field: str = ""
    columns: Callable[[Array], Columns]
    texts: Callable[[float], dict[str, object]]
    size: Callable[[float, UnitSystem], str]
    brief: str = "{name} to {value}"
    units: UnitSystem = METRIC
    way: str = "by"
    stays: bool = True
    gone: tuple[str, str] | None = None

    @property
    def inputs(self) -> tuple[str, ...]:
        """Dotted names of the inputs that it changes."""
        return tuple(self.columns(np.full(1, self.start)))

    def words(self, value: float) -> str:
        """Instruction in words to end at a value [SI].

        Parameters
        ----------
        value : float
            [SI].
        """
        says, _ = self._worded(value)
        return says.format(**self._numbers(value))

    def _numbers(self, value: float) -> dict[str, str]:
        thicker = "thicker" if value > self.start else "thinner"
        return {"value": self.shown(value), "amount": self.shown(abs(value - self.start)), "thicker": thicker}

    def _worded(self, value: float) -> tuple[str, str]:
        none = self.gone if self.shown(value) == self.shown(0.0) else None
        return none or (self.says, self.brief)

    def shown(self, value: float) -> str:
        """A value, or a difference of two, in words.

        Parameters
        ----------
        value : float
            [SI].
        """
        return self.size(value, self.units)

    def short(self, value: float) -> str:
        """The move in a few words, for a label.

        Parameters
        ----------
        value : float
            Where it ends [SI].
        """
        _, brief = self._worded(value)
        return brief.format(name=self.name, **self._numbers(value))


def with_feed(move: Move, numbers: Plain) -> Move:
    """Move in a build given by its loose ball height: changes of that height keep the drilled feed.

    Parameters
    ----------
    move : Move
    numbers : dict
        Plain numbers of the build.
    """
    if set(move.inputs).isdisjoint(SINKS):
        return move
    feed = as_text(number(numbers, "dimple.rim_feed"), "length")
    drilled: dict[str, object] = {"dimple.loose_ball_height": None, "dimple.rim_feed": feed}
    return replace(move, texts=lambda value: drilled | move.texts(value))


def calibrated(build: Build, numbers: Plain) -> dict[str, object]:
    """Changes that keep a measured stiffness when the bar changes: written as the calibration ratio it led to.

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


def scaled_move(
    name: str,
    says: str,
    field: str,
    ends: tuple[float, float],
    start: float,
    *,
    undo: bool,
    needs: str = "",
    brief: str = "{name} to {value}",
    way: str = "by",
) -> Move:
    """A move along one input.

    Parameters
    ----------
    name, says : str
        Of the move, and its instruction as in `Move`.
    field : str
        Dotted name of the input.
    ends : tuple of float
        Lowest and highest value [SI].
    start : float
        Present value [SI].
    undo, needs, brief, way
        As in `Move`.
    """
    kind = INPUTS[field].kinds[0]
    instead: dict[str, object] = {"dimple.loose_ball_height": None} if field == "dimple.rim_feed" else {}
    return Move(
        name=name,
        says=says,
        undo=undo,
        needs=needs,
        low=ends[0],
        high=ends[1],
        start=start,
        near=NEAR[field],
        field=field,
        columns=lambda values: {field: values},
        texts=lambda value: instead | {field: typed(value, kind)},
        size=lambda value, units: bench_size(value, kind, units),
        brief=brief,
        way=way,
    )


def typed(value: float, kind: str) -> str | float:
    """A value as a build file or a sweep takes it: with its unit, or a plain number for a ratio.

    Parameters
    ----------
    value : float
        [SI].
    kind : str
        Kind of the quantity.
    """
    return float(f"{value:.12g}") if kind == "ratio" else as_text(value, kind)


def bench_size(value: float, kind: str, units: UnitSystem) -> str:
    """A size for the bench: hundredths of a millimetre, thousandths where it is under one, tenths of a thou.

    What is no length is told in three digits.

    Parameters
    ----------
    value : float
        [SI].
    kind : str
        Kind of the quantity.
    units : UnitSystem
        To show it in.
    """
    if kind == "length" and units.length == "in":
        return units.size(value / MM)
    if kind == "length":
        return f"{value / MM:.3f} mm" if abs(value) < MM else f"{value / MM:.2f} mm"
    unit = SHOWN_UNITS[kind]
    return number_words(value / factor(unit), unit, units)
