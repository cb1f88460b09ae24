"""Shutting of an unlocked blade by its weight and the ball: torque left at standstill, and energy of a falling blade.

Uses ``pivot`` and ``resistance``; ``in_motion``, ``analysis.motion`` and the curve's statement on falling shut use
it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion import chebyshev, pivot, resistance
from detentsim.mechanics.motion.resistance import AT, Panels

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record

# A turn below this is rounding of the ends of panels [rad].
LEAST_TURN = 1e-9


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
    return np.asarray(-weight + np.asarray(ball_torque, float) - pivot.pivot_torque(record, push, ball_torque))


class Fall(NamedTuple):
    """Motion of a blade let fall; fields of shape (n, j, 65), at even square roots of each panel's share."""

    theta: Array  # blade angle [rad]
    energy: Array  # kinetic energy [J]; below zero beyond the angle at which it hangs


def fallen(way: Panels) -> Fall:
    """Energy of a blade that falls along its closing panels, from rest at their start.

    Parameters
    ----------
    way : Panels
        Of n designs, inward.

    Returns
    -------
    Fall

    Notes
    -----
    Work of weight and ball less friction, `E = -int T d theta`; derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> theta = 1 - np.broadcast_to(chebyshev.POINTS, (1, 1, chebyshev.POINTS.size))
    >>> float(fallen(Panels(theta, -2.0 * np.ones_like(theta), theta)).energy[0, 0, -1])
    2.0
    """
    turn = way.theta[:, :1, :1] - way.theta[:, -1:, -1:]
    # A blade let go at its stop does not move: what its panels are long is rounding.
    gained = np.where(turn > LEAST_TURN, resistance.work(way), 0.0)
    # The blade angle decreases, so the integral of the resisting torque is the energy gained.
    energy = resistance.from_the_start(chebyshev.shares(gained, AT**2))
    return Fall(chebyshev.shares(way.theta, AT**2), energy)


def spare_torque(flight: Fall) -> Array:
    """Constant torque against its motion that a falling blade could bear in addition and still reach its stop [N m].

    Parameters
    ----------
    flight : Fall
        Of n designs.

    Returns
    -------
    array, shape (n,)
        Negative where the blade hangs: by how much the drag would have to be less. NaN where it is let go at its stop.

    Notes
    -----
    A torque `t` more takes `t (theta_0 - theta)` from the energy, so that the most is the least of
    `E/(theta_0 - theta)` (derived).

    Examples
    --------
    >>> theta = 1 - np.broadcast_to(chebyshev.POINTS, (1, 1, chebyshev.POINTS.size))
    >>> round(float(spare_torque(fallen(Panels(theta, -2.0 * theta, theta)))[0]), 9)
    1.0
    """
    turned = flight.theta[:, :1, :1] - flight.theta
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = np.where(turned > LEAST_TURN, flight.energy / turned, np.inf)
    least = np.min(mean, axis=(1, 2), initial=np.inf)
    return np.where(np.isfinite(least), least, np.nan)
