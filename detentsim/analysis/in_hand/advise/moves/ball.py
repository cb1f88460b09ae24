"""Moves that change the ball: pressed deeper, larger, or of another material."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.moves.move import (
    DEEPER,
    LARGER_BALLS,
    PROUDEST,
    Columns,
    Move,
    bench_size,
    scaled_move,
)
from detentsim.analysis.results import number
from detentsim.knife.table.value import as_text
from detentsim.shop.balls import balls
from detentsim.shop.materials import find_material, materials

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array


def ball_moves(build: Build, numbers: Plain) -> Iterator[Move]:
    """Yield the moves that change the ball: deeper in its hole, larger, or of another material.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    """
    proud, size = number(numbers, "ball.protrusion"), number(numbers, "ball.diameter")
    says = "Press the ball {amount} deeper, so that it stands {value} proud"
    room = build.si("ball.hole_depth", math.inf)
    least = max(proud - DEEPER, 0.15 * size, size - room)
    if least < proud:
        name, brief = "press the ball deeper", "press the ball {amount} deeper"
        yield scaled_move(name, says, "ball.protrusion", (least, proud), proud, undo=False, brief=brief)
    most = min(proud + DEEPER, PROUDEST * size)
    if most > proud:
        says = "Drive the ball out and set it again, so that it stands {value} proud, {amount} more than now"
        yield scaled_move(
            "set the ball prouder",
            says,
            "ball.protrusion",
            (proud, most),
            proud,
            undo=False,
            needs="ball out",
            brief="set the ball {amount} prouder",
        )
    larger = [ball for ball in balls() if size * 1.0001 < ball.diameter][:LARGER_BALLS]
    if larger:
        yield _larger_ball(size, {ball.diameter: ball.name for ball in larger})
    yield _other_ball(build)


def _larger_ball(size: float, names: dict[float, str]) -> Move:
    """A larger ball that can be bought, of those named by their diameters [m]."""
    hole: dict[str, object] = {"ball.hole_drill": None, "ball.hole_depth": None}
    return Move(
        name="larger ball",
        says="Swap the ball for a {value} one, standing as proud as now, its hole opened to suit",
        undo=False,
        needs="ball out",
        low=size,
        high=max(names),
        start=size,
        only=tuple(names),
        columns=lambda values: {"ball.diameter": values},
        texts=lambda value: {"ball.diameter": as_text(value, "length")} | hole,
        size=lambda value, units: names.get(value, bench_size(value, "length", units)),
        brief="larger ball, {value}",
        way="to",
    )


def _other_ball(build: Build) -> Move:
    """A ball of another material, numbered as they stand in the table."""
    kinds = tuple(m for m in materials() if "ball" in m.roles)
    now = find_material(build.word("ball.material"), "ball", "ball.material")
    others = tuple(float(i) for i, m in enumerate(kinds) if m is not now)

    def columns(values: Array) -> Columns:
        picked = [kinds[int(value)] for value in values]
        return {
            "ball.youngs_modulus": np.array([m.youngs_modulus for m in picked]),
            "ball.poissons_ratio": np.array([m.poissons_ratio for m in picked]),
        }

    return Move(
        name="other ball material",
        says="Swap the ball for one of {value}, of the same size",
        undo=False,  # pressed out and in again, a ball's hole holds less than before
        needs="ball out",
        low=0.0,
        high=float(len(kinds) - 1),
        start=float(kinds.index(now)),
        only=others,
        columns=columns,
        texts=lambda value: {"ball.material": kinds[int(value)].name},
        size=lambda value, _: kinds[int(value)].name if float(value).is_integer() else "",
        brief="ball of {value}",
        way="to",
    )
