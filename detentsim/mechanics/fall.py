"""Does the blade's weight beat drag? Standing still at each angle, unlocked; motion is another matter."""

import numpy as np
from numpy.typing import ArrayLike

from . import detent, pivot, stretches, trace
from .detent import Load
from .record import Array, Record, Truth, last_axis

# The stop itself carries the blade; what counts begins a hair beyond it [rad].
BEYOND_REST = 1e-9


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


def falls_shut(solved: Load, rest_phi: Array, rest_angle: Array) -> Truth:
    """Tell whether nothing holds the blade anywhere between `close_from` and its stop, from standstill.

    Parameters
    ----------
    solved : Load
        Designs of shape (...), the blade's mass and balance known.
    rest_phi, rest_angle : array
        Ball angle in the dimple and blade angle at rest [rad], shape (...).

    Returns
    -------
    array of bool
        True too where the blade is let go no farther than its rest.
    """
    start = _start(solved.record)
    table = trace.closing_table(solved, rest_phi)
    mouth = np.full(rest_phi.size, -np.inf)
    np.maximum.at(mouth, table.met.ways.design, table.met.high)
    mouth = np.maximum(np.reshape(mouth, rest_phi.shape), rest_angle)
    hangs = np.reshape(_hangs_inside(table, np.ravel(start), np.ravel(rest_angle)), rest_phi.shape)
    inside = (start > rest_angle + BEYOND_REST) & (start < mouth)
    hangs |= inside & (_surplus_at(solved, table, np.maximum(start, rest_angle)) <= 0)
    return np.asarray(~hangs & (_least_on_flat(solved, mouth) > 0))


def _hangs_inside(table: trace.Table, start: Array, rest: Array) -> Truth:
    """Whether the blade of each design hangs anywhere on the dimple's way that it meets; shape (n,)."""
    ways = table.met.ways
    wide = stretches.widened(ways)
    felt = trace.felt_on(ways, table.nodes, opening=False)
    surplus = closing_surplus(wide.record, table.theta, felt.torque - felt.face_drag, felt.push)
    low, high = rest[ways.design][:, None] + BEYOND_REST, start[ways.design][:, None] + BEYOND_REST
    stuck = np.any((table.theta > low) & (table.theta <= high) & (surplus <= 0), axis=1)
    return np.bincount(ways.design, stuck, rest.size) > 0


def _start(record: Record) -> Array:
    """Blade angle it is let go from, no farther than lock-up [rad]."""
    return np.minimum(record.close_from, record.open_angle)


def _surplus_at(solved: Load, table: trace.Table, theta: Array) -> Array:
    """Surplus at one blade angle of each design, not below its rest [N m]."""
    theta = theta[..., None]
    felt = trace.felt_at(table, theta, opening=False, above=False)
    return closing_surplus(last_axis(solved.record), theta, felt.torque - felt.face_drag, felt.push)[..., 0]


def _least_on_flat(solved: Load, mouth: Array) -> Array:
    """Least surplus between the dimple's mouth and `close_from`; inf where the blade is let go inside it [N m]."""
    record, start = solved.record, _start(solved.record)
    riding = detent.ball_force(solved.spring, 0.0)
    drag = detent.drag(solved, opening=False)
    # The weight pulls open most where the balance lies level on the opening side.
    level = record.down_angle - np.pi / 2
    worst = mouth + np.mod(level - mouth, 2 * np.pi)
    places = [mouth, start, np.minimum(worst, start)]
    least = np.min([closing_surplus(record, place, drag, riding) for place in places], axis=0)
    return np.where(start > mouth, least, np.inf)
