"""Retention of the closed blade: weights it is held against, and the fall of the knife that swings it out.

Asks the kernel once more, with half the friction, for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.motion.falling import pulls_shut
from detentsim.analysis.results import in_unit
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.in_motion import with_friction
from detentsim.mechanics.motion.pivot import GRAVITY
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record


@dataclass(frozen=True)
class Staying:
    """Retention of the closed blade; torques in N*mm, lengths in mm, None where the blade's mass is unknown.

    Attributes
    ----------
    torque : float or None
        On the blade, that opens it in the worst attitude.
    carry_g, carry_g_slick : float or None
        Own weights it is held against, and the same with half the friction.
    drop : float or None
        Fall of the knife whose dead stop swings the blade out, by an estimate on the safe side.
    pull : float or None
        Greatest torque of the ball alone that pulls the closed blade shut, friction against it.
    biased : bool or None
        Whether, with friction left out, the ball pulls the blade shut all the way from rest to let-go.
    """

    torque: float | None
    carry_g: float | None
    carry_g_slick: float | None
    drop: float | None
    pull: float | None
    biased: bool | None


def staying(response: Response, carry: float | None) -> Staying:
    """Compute what holds the closed blade: against its weight, with less friction, in a fall of the knife.

    Parameters
    ----------
    response : Response
        Of one design.
    carry : float or None
        Its ``carry_g``.
    """
    record = response.load.record
    out = np.isfinite(float(response.results["let_go_angle"]))
    pull, biased = pulls_shut(response) if out else (None, None)
    if carry is None and not bool(response.flags["locks_solid"]):
        return Staying(None, None, None, None, pull, biased)
    slick = float(respond(with_friction(record, 0.5), ("carry_g",)).results["carry_g"])
    oiled = slick if np.isfinite(slick) else None
    if carry is None:
        return Staying(None, None, oiled, None, pull, biased)
    weight = float(record.blade_mass * record.balance_radius) * GRAVITY
    held = float(in_unit("breakout_torque", (carry - 1) * weight))
    drop = _drop(record, response) if out else None
    return Staying(held, carry, oiled, drop, pull, biased)


def _drop(record: Record, response: Response) -> float:
    """Drop height of the knife [mm] at which a dead stop of the handle swings the blade out of the dimple.

    The handle stops at once while the blade, its balance square to the fall, swings on freely about the pivot: it takes
    `m r_c v` of angular momentum along, and the work to let-go uses its energy up.
    """
    results = response.results
    riding = results["riding_force"]
    way = results["let_go_angle"] - results["rest_angle"]
    drag = results["drag_torque"] + pivot.pivot_torque(record, riding, results["drag_torque"])
    work = float(results["breakout_energy"] + drag * way)
    lever = float(record.blade_mass * record.balance_radius)
    return work * float(record.blade_inertia) / (lever**2 * GRAVITY) / 1e-3
