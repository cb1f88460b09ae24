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
    Values,
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
    ends = (max(proud - DEEPER, 0.15 * size, size - room), proud)
    if ends[0] < proud:
        brief = "press the ball {amount} deeper"
        yield scaled_move("press the ball deeper", says, False, "", "ball.protrusion", ends, proud, brief)
    most = min(proud + DEEPER, PROUDEST * size)
    if most > proud:
        says = "Drive the ball out and set it again, so that it stands {value} proud, {amount} more than now"
        brief = "set the ball {amount} prouder"
        yield scaled_move(
            "set the ball prouder", says, False, "ball out", "ball.protrusion", (proud, most), proud, brief
        )
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
        lambda value: {"ball.diameter": as_text(value, "length"), "ball.hole_drill": None, "ball.hole_depth": None},
        lambda value, units: names.get(value, bench_size(value, "length", units)),
        "larger ball, {value}",
        way="to",
    )


def _other_ball(build: Build) -> Move:
    """A ball of another material, numbered as they stand in the table."""
    kinds = tuple(m for m in materials() if "ball" in m.roles)
    now = find_material(build.word("ball.material"), "ball", "ball.material")
    others = tuple(float(i) for i, m in enumerate(kinds) if m is not now)

    def columns(values: Values) -> Columns:
        picked = [kinds[int(value)] for value in values]
        return {
            "ball.youngs_modulus": np.array([m.youngs_modulus for m in picked]),
            "ball.poissons_ratio": np.array([m.poissons_ratio for m in picked]),
        }

    return Move(
        "other ball material",
        "Swap the ball for one of {value}, of the same size",
        False,  # pressed out and in again, a ball's hole holds less than before
        "ball out",
        0.0,
        float(len(kinds) - 1),
        float(kinds.index(now)),
        others,
        0.0,
        "",
        columns,
        lambda value: {"ball.material": kinds[int(value)].name},
        lambda value, _: kinds[int(value)].name if float(value).is_integer() else "",
        "ball of {value}",
        way="to",
    )
