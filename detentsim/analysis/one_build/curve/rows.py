"""Rows of the feel curve: blade angles, and the ball's torques and the finger's force at each.

Samples the kernel's torque over blade angle for `curve`; at a jump two rows stand for one angle.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.detent.closing import felt_at, lip_angles
from detentsim.mechanics.motion import shutting
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array
    from detentsim.mechanics.response import Response

# Two rows stand for one angle where the limits from either side differ by more than this share of the largest.
JUMP = 1e-9

# Farthest apart that rows stand [rad].
ROW_STEP = np.radians(2.0)


def rows(response: Response, start: float) -> tuple[Array, Array]:
    """Compute the four columns of one design's feel curve, and its surplus torque for falling shut.

    Parameters
    ----------
    response : Response
        Of one design.
    start : float
        Blade angle that gets a row of its own [rad].

    Returns
    -------
    columns : array, shape (4, n)
        Blade angle [deg], opening and closing torque of the ball [N*mm], opening force [N].
    surplus : array, shape (n,)
        Torque toward shut that is left over drag [N*mm].
    """
    solved, rest = response.load, response.rest
    opening = at_blade_angle.opening_table(solved, rest.phi, rest.slip)
    closing = at_blade_angle.closing_table(solved, rest.phi)
    theta = _angles(response, opening, closing, start)
    sides = [_side(response, opening, closing, theta, above) for above in (False, True)]
    sides[0][:, 0] = theta[0], rest.start, rest.start, _first_force(response), sides[0][4, 0]
    limits = np.stack(sides, axis=-1)
    scale = [np.nanmax(np.abs(part), initial=1e-12) for part in (limits[1:3], limits[3])]
    torque, force = (np.abs(part[..., 1] - part[..., 0]) for part in (limits[1:3], limits[3]))
    jumps = np.any(torque > JUMP * scale[0], axis=0) | (force > JUMP * scale[1])
    keep = np.stack([np.ones_like(jumps), jumps], axis=-1).ravel()
    table = limits.reshape(5, -1)[:, keep] * np.array([180 / np.pi, 1e3, 1e3, 1.0, 1e3])[:, None]
    table = _with_static(response, table)
    return table[:4], table[4]


def _with_static(response: Response, table: Array) -> Array:
    """The rows with one more behind the first, where static friction on a rigid bar holds more than sliding does.

    A bar that gives sideways reaches the stick limit along its curve; on a rigid one it stands at the resting angle.
    """
    rest, record = response.rest, response.load.record
    gives = bool(response.flags["locks_solid"]) or float(response.load.spring.twist_give) > 0
    if gives or not float(rest.stick) > float(rest.at.opening) * (1 + JUMP):
        return table
    row = table[:, 0].copy()
    row[[1, 3]] = float(rest.stick) * 1e3, float(finger_force(record, rest.slip, rest.stick, rest.at.push))
    return np.insert(table, 1, row, axis=1)


def _first_force(response: Response) -> float:
    """Finger force that is in balance on the resting blade [N]; 0 where the stop carries the blade."""
    rest, record = response.rest, response.load.record
    return float(finger_force(record, rest.angle, np.maximum(rest.start, 0), rest.at.push))


def _angles(
    response: Response, opening: at_blade_angle.TorqueTable, closing: at_blade_angle.TorqueTable, start: float
) -> Array:
    """Blade angles of the rows: the points of both paths, and even steps where they lie far apart [rad]."""
    low, high = float(response.rest.angle), float(response.load.record.open_angle)
    single = [float(angle) for angle in (response.rest.slip, response.results["breakout_force_angle"])]
    points = np.concatenate(
        [at_blade_angle.angles(opening), at_blade_angle.angles(closing), lip_angles(closing), [*single, low, high]]
    )
    points = np.unique(np.clip(points[np.isfinite(points)], low, high))
    points = points[np.concatenate([[True], np.diff(points) > 1e-9])]
    even = [np.arange(left, right, ROW_STEP)[1:] for left, right in pairwise(points) if right - left > ROW_STEP]
    return np.union1d(points, np.concatenate([*even, [np.clip(start, low, high)]]))


def _side(
    response: Response,
    opening: at_blade_angle.TorqueTable,
    closing: at_blade_angle.TorqueTable,
    theta: Array,
    above: bool,
) -> Array:
    """The five columns as limits from one side: angle, torques, finger force, surplus for shutting [SI]."""
    solved = response.load
    record = last_axis(solved.record)
    shut = felt_at(closing, theta, above=above)
    surplus = shutting.closing_surplus(record, theta, shut.torque - shut.face_drag, shut.push)
    if bool(response.flags["locks_solid"]):
        blank = np.full_like(theta, np.nan)
        return np.stack([theta, blank, shut.torque, blank, surplus])
    out = at_blade_angle.torque_at(opening, theta, opening=True, above=above)
    force = finger_force(record, theta, out.torque + out.face_drag, out.push)
    return np.stack([theta, out.torque, shut.torque, force, surplus])
