"""Torque that is left for shutting an unlocked blade that stands still: weight and ball less friction.

Stands on ``pivot``; ``analysis.motion`` and the curve's statement on falling shut stand on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.motion import pivot

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record


def closing_surplus(record: Record, blade_angle: ArrayLike, ball_torque: ArrayLike, push: ArrayLike) -> Array:
    """Torque left for shutting a blade at standstill, `-T_g + T_close - T_piv` [N m]; negative where it stays.

    Parameters
    ----------
    record : Record
        Broadcasts against the angles (see `record.last_axis`).
    blade_angle : array_like
        [rad].
    ball_torque : array_like
        Closing torque of the ball, pull-in positive, drag negative [N m].
    push : array_like
        Force of the bar on the tang [N].

    Returns
    -------
    array
        NaN where the blade's mass or balance is unknown.

    Notes
    -----
    Balance of the torques of weight, ball and pivot (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(closing_surplus(knife, 0.0, 0.05, 0.0) - closing_surplus(knife, 0.0, 0.02, 0.0))
    0.03
    """
    weight = pivot.gravity_torque(record, blade_angle)
    return np.asarray(-weight + np.asarray(ball_torque, float) - pivot.pivot_torque(record, push))
