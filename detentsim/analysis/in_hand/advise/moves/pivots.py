"""Moves of the pivot and the opener: tension, bearings for washers, the opener moved, lighter or heavier."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.moves.move import (
    OPENER,
    OPENER_MASS,
    OPENER_PART,
    WEIGHED,
    Columns,
    Move,
    bench_size,
    scaled_move,
)
from detentsim.analysis.results import number
from detentsim.knife.table.value import as_text
from detentsim.knife.table.values import PIVOT_TORQUE
from detentsim.units.convert import to_si

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array


def pivot_moves(build: Build, numbers: Plain) -> Iterator[Move]:
    """Yield the moves of pivot and opener.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    """
    torque = number(numbers, "pivot.friction_torque")
    if np.isfinite(torque) and build["pivot.pull.force"] is None:
        says = "Set the pivot's tension so that it turns with {value}"
        ends = (0.3 * torque, 3 * torque)
        yield scaled_move("pivot tension", says, "pivot.friction_torque", ends, torque, undo=True, way="to")
    if build.word("pivot.kind") == "washers":
        yield _bearings(torque)
    arm = number(numbers, "opener.radius")
    says = "Move the opener to {value} from the pivot"
    ends = ((1 - OPENER) * arm, (1 + OPENER) * arm)
    yield scaled_move("move the opener", says, "opener.radius", ends, arm, undo=False, needs="blade out")
    if all(build[name] is not None for name in ("blade.mass", "blade.balance_radius", "blade.inertia")):
        yield from _opener_mass(numbers, arm)


def _bearings(torque: float) -> Move:
    """Ball bearings for washers: as thick, or let into pockets, so that the gap stays."""
    free = to_si(PIVOT_TORQUE["bearings"], "torque", "pivot.friction_torque")

    def columns(values: Array) -> Columns:
        return {"pivot.friction_torque": np.full_like(values, free), "pivot.washer_friction": np.zeros_like(values)}

    return Move(
        name="bearings for washers",
        says="Put ball bearings in place of the washers, let in so that the gap stays as it is",
        undo=False,  # pockets are cut for them
        needs="blade out",
        low=torque,
        high=free,
        start=torque,
        only=(free,),
        columns=columns,
        texts=lambda _: {
            "pivot.kind": "bearings",
            "pivot.friction_torque": PIVOT_TORQUE["bearings"],
            "pivot.washer_friction": None,
            "pivot.pull.force": None,
            "pivot.pull.at": None,
        },
        size=lambda value, units: bench_size(value, "torque", units),
        brief="bearings for washers",
        way="to",
    )


def _opener_mass(numbers: Plain, arm: float) -> Iterator[Move]:
    """An opener of other mass, taken as lying on the line from the pivot to the balance point."""
    mass, centre = number(numbers, "blade.mass"), number(numbers, "blade.balance_radius")
    inertia = number(numbers, "blade.inertia")
    most = min(OPENER_MASS, OPENER_PART * mass, 0.5 * inertia / arm**2)

    def columns(values: Array) -> Columns:
        after = mass + values
        balance = (mass * centre + values * arm) / after
        return {"blade.mass": after, "blade.balance_radius": balance, "blade.inertia": inertia + values * arm**2}

    def texts(value: float) -> dict[str, object]:
        kinds = {"blade.mass": "mass", "blade.balance_radius": "length", "blade.inertia": "inertia"}
        after = {name: float(array[0]) for name, array in columns(np.array([value])).items()}
        return {name: as_text(after[name], kinds[name]) for name in after}

    for way, ends in (("lighter", (-most, 0.0)), ("heavier", (0.0, most))):
        yield Move(
            name=f"{way} opener",
            says=f"Fit an opener that is {{amount}} {way}",
            undo=True,
            low=ends[0],
            high=ends[1],
            start=0.0,
            near=WEIGHED,
            columns=columns,
            texts=texts,
            size=lambda value, units: bench_size(abs(value), "mass", units),
            brief=f"opener {{amount}} {way}",
        )
