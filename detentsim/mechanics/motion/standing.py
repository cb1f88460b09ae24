"""What is left of weight and ball over drag, for shutting an unlocked blade that stands still."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.motion import pivot

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record


def closing_surplus(record: Record, blade_angle: ArrayLike, ball_torque: ArrayLike, push: ArrayLike) -> Array:
    """Torque left over for shutting the blade from standstill [N m]; positive falls, negative hangs.

    Parameters
    ----------
    record : Record
        Broadcasts against the angles (give it a last axis first).
    blade_angle : array_like
        [rad].
    ball_torque : array_like
        Closing torque of the ball, pull-in positive, drag negative [N m].
    push : array_like
        Force of the bar on the tang [N].

    Notes
    -----
    `-T_g + T_close - T_piv`: weight, ball and pivot. NaN where the blade's mass or balance is unknown.
    """
    weight = pivot.gravity_torque(record, blade_angle)
    return np.asarray(-weight + np.asarray(ball_torque, float) - pivot.pivot_torque(record, push))
