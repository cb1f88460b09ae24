"""Section, deflection, moment, stress and allowable stress along the bar, for drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import bend, bending, remembered

if TYPE_CHECKING:
    from detentsim.analysis.one_build.limits.behind_bar import BehindBar
    from detentsim.mechanics.record import Array, Record

POINTS = 121


@dataclass(frozen=True, eq=False)
class Side:
    """Bar from root to tip; every array has one value per place of `x`.

    Attributes
    ----------
    x : array
        From the root [mm]; the step stands twice.
    thickness : array
        [mm].
    inner_face : array
        The bar's inner face drawn back from its own where the relief is milled from it [mm].
    free : array
        Inward offset of the free bar [mm].
    moment : dict of str to array
        Outward moment by what pushes: ``unlocked`` by the ball, ``stopped`` by the hardest push [N*mm].
    stress : dict of str to array
        Its stress, the residual of bending in included [MPa].
    residual : array
        Stress left by bending in, on the inner face [MPa].
    borne : array
        Stress at which loss of bend begins [MPa].
    """

    x: Array
    thickness: Array
    inner_face: Array
    free: Array
    moment: dict[str, Array]
    stress: dict[str, Array]
    residual: Array
    borne: Array


def read_side(record: Record, unlock: float, stop: BehindBar | None) -> Side:
    """Sizes, deflection, moment and stress along the bar.

    Parameters
    ----------
    record : Record
        One design.
    unlock : float
        Outward travel of the ball [m].
    stop : BehindBar or None
        Stop or clip behind the bar.
    """
    tip, step = float(record.tip_from_root), min(float(record.relief_length), float(record.tip_from_root))
    near = np.linspace(0, step, POINTS)
    x = np.concatenate([near, np.linspace(step, tip, POINTS)]) if step < tip else near
    relief = np.arange(x.size) < near.size
    thickness = np.where(relief, record.relief_thickness, record.thickness)
    milled = np.where(relief, (1 + record.relief_side) / 2 * (record.thickness - record.relief_thickness), 0)
    modulus = record.width * thickness**2 / 6
    force = remembered.share_of_travel(record, unlock) * bending.yield_moment(record) / record.ball_from_root
    moment = {"unlocked": force * np.maximum(record.ball_from_root - x, 0)}
    if stop is not None:
        moment["stopped"] = stop.push * (tip - x) - stop.reaction * np.maximum(stop.place / 1e3 - x, 0)
    left, limit = (part * record.yield_strength for part in remembered.residual_along(record, x))
    return Side(
        x=x * 1e3,
        thickness=thickness * 1e3,
        inner_face=milled * 1e3,
        free=bend.free_at(record, x) * 1e3,
        moment={name: line * 1e3 for name, line in moment.items()},
        stress={name: (left + line / modulus) / 1e6 for name, line in moment.items()},
        residual=left / 1e6,
        borne=limit / 1e6,
    )
