"""Rows of the feel curve: blade angles, and the ball's torques and the finger's force at each.

Samples the kernel's torque over blade angle for `curve`; at a jump two rows stand for one angle. `opening_of` samples
the opening alone, to tell how far apart a hand feels two.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.hand_steps import Opening
from detentsim.analysis.one_build.checks import held_fast
from detentsim.analysis.results import raised, single
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
    theta = _angles(response, at_blade_angle.angles(opening), at_blade_angle.angles(closing), lip_angles(closing))
    theta = np.union1d(theta, np.clip(start, theta[0], theta[-1]))
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


def opening_of(response: Response) -> Opening:
    """Opening of one design, from rest up to the first angle at which the opener has no lever.

    Parameters
    ----------
    response : Response
        Of one design, with the angles of breakout force and let-go.

    Returns
    -------
    Opening

    Examples
    --------
    >>> import detentsim as ds
    >>> c = ds.curve(ds.demo())
    >>> float(opening_of(c.response).force.max() / c.results["breakout_force"])
    1.0
    """
    table = at_blade_angle.opening_table(response.load, response.rest.phi, response.rest.slip)
    theta = _angles(response, at_blade_angle.angles(table))
    # nothing lies below rest
    force = np.stack([_opened(response, table, theta, above)[1] for above in (False, True)], axis=-1).ravel()[1:]
    last = int(np.argmin(np.append(np.isfinite(force), False)))
    angle, marks = np.repeat(np.degrees(theta), 2)[1:], single(response.results)
    held = bool(held_fast(raised(response.flags)))
    return Opening(angle[:last], force[:last], marks["breakout_force_angle"], marks["let_go_angle"], held)


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


def _angles(response: Response, *paths: Array) -> Array:
    """Blade angles of rows: the points of the paths, and even steps where they lie far apart [rad]."""
    low, high = float(response.rest.angle), float(response.load.record.open_angle)
    marks = [float(angle) for angle in (response.rest.slip, response.results["breakout_force_angle"])]
    points = np.concatenate([*paths, [*marks, low, high]])
    points = np.unique(np.clip(points[np.isfinite(points)], low, high))
    points = points[np.concatenate([[True], np.diff(points) > 1e-9])]
    even = [np.arange(left, right, ROW_STEP)[1:] for left, right in pairwise(points) if right - left > ROW_STEP]
    return np.sort(np.concatenate([points, *even]))


def _side(
    response: Response,
    opening: at_blade_angle.TorqueTable,
    closing: at_blade_angle.TorqueTable,
    theta: Array,
    above: bool,
) -> Array:
    """The five columns as limits from one side: angle, torques, finger force, surplus for shutting [SI]."""
    record = last_axis(response.load.record)
    shut = felt_at(closing, theta, above=above)
    surplus = shutting.closing_surplus(record, theta, shut.torque - shut.face_drag, shut.push)
    torque, force = _opened(response, opening, theta, above)
    return np.stack([theta, torque, shut.torque, force, surplus])


def _opened(response: Response, opening: at_blade_angle.TorqueTable, theta: Array, above: bool) -> tuple[Array, Array]:
    """Torque of the ball against opening, and finger force, as limits from one side [SI]; NaN where it locks."""
    if bool(response.flags["locks_solid"]):
        return np.full_like(theta, np.nan), np.full_like(theta, np.nan)
    out = at_blade_angle.torque_at(opening, theta, opening=True, above=above)
    force = finger_force(last_axis(response.load.record), theta, out.torque + out.face_drag, out.push)
    return out.torque, force
