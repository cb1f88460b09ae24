"""Torques on a blade at the angle where it hangs: weight, ball and pivot, which say why it does not fall shut.

Reads the closing path of the kernel for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.detent.closing import felt_at
from detentsim.mechanics.motion import pivot, shutting
from detentsim.mechanics.path import at_blade_angle, burr
from detentsim.mechanics.record import last_axis
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from detentsim.mechanics.response import Response
    from detentsim.units.systems import UnitSystem


@dataclass(frozen=True)
class Holding:
    """Torques on the blade where it hangs, friction against a motion toward shut [N*mm].

    Attributes
    ----------
    angle : float
        Blade angle at which it hangs [deg].
    weight : float
        Of the blade's weight; toward shut positive, toward open negative.
    ball : float
        Of the ball on the tang: its pull into the dimple positive, its drag negative.
    pivot : float
        Friction of the pivot, negative, for it acts against the motion.
    surplus : float
        Sum of the three: below zero the blade does not move on toward shut.
    on_burr : bool
        Whether the ball climbs a burr round its dimple there.
    """

    angle: float
    weight: float
    ball: float
    pivot: float
    surplus: float
    on_burr: bool

    @property
    def what_drags(self) -> str:
        """What resists the ball's way there, in words."""
        return "the ball, climbing the burr round its dimple," if self.on_burr else "the ball's drag"


@dataclass(frozen=True)
class MetBurr:
    """Burr round the dimple where a closing ball meets it.

    Attributes
    ----------
    height : float
        Over the flat [mm].
    angle : float
        Blade angle at which the ball meets it [deg].
    torque : float or None
        Against closing as the ball starts up it [N*mm]; None where friction keeps it from climbing.
    drag : float
        Against closing just before [N*mm].
    """

    height: float
    angle: float
    torque: float | None
    drag: float

    def words(self, units: UnitSystem) -> str:
        """A clause with where the ball meets the burr, and what it holds.

        Parameters
        ----------
        units : UnitSystem
            Of the build.
        """
        burr_of, at = f"a burr of {units.size(self.height)}", f"{two_digits(self.angle)} deg"
        if self.torque is None:
            return f"{burr_of} stops the closing blade at {at}, too steep for the ball to climb"
        times = f", {two_digits(self.torque / self.drag)} times the drag" if self.drag > 0 else ""
        return f"{burr_of} resists the closing blade from {at} with {units.two_digits(self.torque, 'N*mm')}{times}"

    def sentence(self, units: UnitSystem) -> str:
        """The same as a sentence.

        Parameters
        ----------
        units : UnitSystem
            Of the build.
        """
        return f"A{self.words(units)[1:]}."


def met_burr(response: Response) -> MetBurr | None:
    """Burr that the closing ball climbs; None where there is none, or the ball does not come down to it.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d.
    """
    table = at_blade_angle.closing_table(response.load, response.rest.phi)
    met = float(burr.lip(table).touch[0])
    drag, climb = (-1e3 * float(felt_at(table, [met], above=above).torque[0]) for above in (True, False))
    if not climb > 0:
        return None
    height = 1e3 * float(response.load.record.burr_height)
    return MetBurr(height, float(np.degrees(met)), climb if climb < 1e3 * burr.LOCKED else None, drag)


def holding(response: Response, hang_angle: float | None) -> Holding | None:
    """Torques on a blade that hangs at `hang_angle`; None where it falls shut or its weight is unknown.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d.
    hang_angle : float or None
        Blade angle at which the falling blade hangs [deg].

    Notes
    -----
    Torques as the blade reaches the angle from a larger one (derived).
    """
    if hang_angle is None:
        return None
    record, theta = last_axis(response.load.record), np.atleast_1d(np.radians(hang_angle))
    table = at_blade_angle.closing_table(response.load, response.rest.phi)
    shut = felt_at(table, theta, above=True)
    ball = shut.torque - shut.face_drag
    parts = (
        -pivot.gravity_torque(record, theta),
        ball,
        -pivot.pivot_torque(record, shut.push, ball),
        shutting.closing_surplus(record, theta, ball, shut.push),
    )
    weight, pull, friction, surplus = (1e3 * float(np.ravel(part)[0]) for part in parts)
    over = burr.lip(table)
    return Holding(hang_angle, weight, pull, friction, surplus, bool((over.crest < theta) & (theta <= over.touch)))
