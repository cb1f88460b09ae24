"""Does weight beat drag at every angle, standing still? Stricter than a fall, which has its speed to help."""

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion.shutting import closing_surplus
from detentsim.mechanics.path import at_blade_angle, segment_rows
from detentsim.mechanics.record import last_axis

# The stop itself carries the blade; what counts begins a hair beyond it [rad].
BEYOND_REST = 1e-9


def falls_shut(solved, rest_phi, rest_angle):
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
    table = at_blade_angle.closing_table(solved, rest_phi)
    mouth = np.full(rest_phi.size, -np.inf)
    np.maximum.at(mouth, table.met.ways.design, table.met.high)
    mouth = np.maximum(np.reshape(mouth, rest_phi.shape), rest_angle)
    hangs = np.reshape(_hangs_inside(table, np.ravel(start), np.ravel(rest_angle)), rest_phi.shape)
    inside = (start > rest_angle + BEYOND_REST) & (start < mouth)
    hangs |= inside & (_surplus_at(solved, table, np.maximum(start, rest_angle)) <= 0)
    return np.asarray(~hangs & (_least_on_flat(solved, mouth) > 0))


def _hangs_inside(table, start, rest):
    """Whether the blade of each design hangs anywhere on the dimple's way that it meets; shape (n,)."""
    ways = table.met.ways
    record = last_axis(segment_rows.record_at(table.load.record, ways.design))
    felt = at_blade_angle.torque_slipping(ways, table.nodes, opening=False)
    surplus = closing_surplus(record, table.theta, felt.torque - felt.face_drag, felt.push)
    low, high = rest[ways.design][:, None] + BEYOND_REST, start[ways.design][:, None] + BEYOND_REST
    stuck = np.any((table.theta > low) & (table.theta <= high) & (surplus <= 0), axis=1)
    return np.bincount(ways.design, stuck, rest.size) > 0


def _start(record):
    """Blade angle it is let go from, no farther than lock-up [rad]."""
    return np.minimum(record.close_from, record.open_angle)


def _surplus_at(solved, table, theta):
    """Surplus at one blade angle of each design, not below its rest [N m]."""
    theta = theta[..., None]
    felt = at_blade_angle.torque_at(table, theta, opening=False, above=False)
    return closing_surplus(last_axis(solved.record), theta, felt.torque - felt.face_drag, felt.push)[..., 0]


def _least_on_flat(solved, mouth):
    """Least surplus between the dimple's mouth and `close_from`; inf where the blade is let go inside it [N m]."""
    record, start = solved.record, _start(solved.record)
    riding = balance.ball_force(solved.spring, 0.0)
    drag = balance.drag(solved, opening=False)
    # The weight pulls open most where the balance lies level on the opening side.
    level = record.down_angle - np.pi / 2
    worst = mouth + np.mod(level - mouth, 2 * np.pi)
    places = [mouth, start, np.minimum(worst, start)]
    least = np.min([closing_surplus(record, place, drag, riding) for place in places], axis=0)
    return np.where(start > mouth, least, np.inf)
