"""Opening motion of one build: stall or full opening by finger speed, energy budget, and launch threshold.

Reads the kernel's `in_motion` for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.motion.falling import returns_to, start_with
from detentsim.mechanics.motion import in_motion, panels, pivot, resistance, swing
from detentsim.mechanics.response import Response

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.mechanics.record import Array, Record

# Where published data on fingers disagree, the verdict is given over this band [m/s] (judgement, no source).
SPEEDS = (0.75, 1.5, 3.0)

# Range of the detent's scale for the launch threshold, scales in a row, and rows of the grid refinement.
LIGHTEST, HEAVIEST, ROW, ROWS = 0.02, 2000.0, 24, 5


@dataclass(frozen=True)
class Speed:
    """Opening by a finger of one speed limit [m/s]; deg, rad/s, s, mJ, None where it does not apply."""

    limit: float
    opens: bool
    stall: float | None
    speed: float | None
    time: float | None
    lacks: float | None


@dataclass(frozen=True)
class Opening:
    """Opening of the blade; forces in N, angles in deg, energies in mJ, None where unknown or not applicable.

    Attributes
    ----------
    stall : str
        Empty where it opens fully; else ``no breakout``, ``finger too weak``, ``finger leaves first``, ``finger stuck``
        or ``coasted out``.
    after : str
        Rest of a stalled blade: ``stays``, ``hangs`` lower, or falls ``shut``; empty where it opens.
    after_at : float or None
        Where it then hangs.
    finger : float or None
        Push of the finger: its effort times what overcomes detent, pivot and weight.
    leaves : float
        Where the finger loses the blade.
    speeds : tuple of Speed
        The verdict over a band of finger speeds, since published data disagree.
    launch : float or None
        Lightest breakout that would still throw this blade fully open.
    """

    stall: str
    after: str
    after_at: float | None
    finger: float | None
    leaves: float
    speeds: tuple[Speed, ...]
    launch: float | None


@dataclass(frozen=True, eq=False)
class Budget:
    """Energy budget of an opening blade: arrays over its blade angle.

    Attributes
    ----------
    angle : array
        Blade angle [deg].
    speed : array
        [rad/s]; 0 after the stall.
    finger, spent, left : array
        Work of the finger, work against ball, pivot and weight, and kinetic energy of the blade [mJ].
    time : array
        From the start [s]; NaN after the stall.
    """

    angle: Array
    speed: Array
    finger: Array
    spent: Array
    left: Array
    time: Array


def _by_speed(record: Record) -> tuple[Speed, ...]:
    """Opening at each finger speed of the published band and at the build's own."""
    limits = np.unique([*SPEEDS, float(record.finger_speed)])
    start = start_with(record, finger_speed=limits)
    rows, _, path = in_motion.throw(start)
    if rows.size == 0:
        return ()
    stall, last = resistance.first_stop(path.theta, path.energy), path.energy[:, -1, -1]
    least, time = np.min(path.energy, axis=(1, 2)), swing.times(record, path)[:, -1, -1]
    inertia = float(record.blade_inertia)
    return tuple(_speed(*values, inertia) for values in zip(limits, stall, last, least, time, strict=True))


def _speed(limit: float, stall: float, last: float, least: float, time: float, inertia: float) -> Speed:
    if np.isnan(stall):
        return Speed(float(limit), True, None, float(np.sqrt(2 * max(last, 0) / inertia)), float(time), None)
    return Speed(float(limit), False, float(np.degrees(stall)), None, None, float(-least) * 1e3)


def budget(record: Record) -> Budget | None:
    """Energy of one opening over blade angle; None where no opening is solved.

    Parameters
    ----------
    record : Record
        One design.
    """
    start = start_with(record, bend=np.atleast_1d(record.bend))
    rows, way, path = in_motion.throw(start)
    if rows.size == 0:
        return None
    legs = way.theta[0, :, -1] > way.theta[0, :, 0]
    fields = (*path, resistance.spent(way), swing.times(record, path))
    angle, energy, spent, time = (field[0, legs].ravel() for field in fields)
    keep = np.concatenate([[True], np.diff(angle) > 0])
    angle, energy, spent, time = (field[keep] for field in (angle, energy, spent, time))
    moving = np.logical_and.accumulate(energy >= 0)
    left = np.where(moving, energy, 0.0)
    speed = np.sqrt(2 * left / float(record.blade_inertia))
    finger = np.where(moving, energy + spent, np.nan)
    time = np.where(np.isfinite(time) & moving, time, np.nan)
    return Budget(np.degrees(angle), speed, finger * 1e3, np.where(moving, spent, np.nan) * 1e3, left * 1e3, time)


def launch_threshold(record: Record) -> float | None:
    """Least breakout force from which this blade still opens fully [N]; 0 where any does, None where none does.

    The detent torque above drag is scaled as a whole; blade, drag, pivot, opener and finger stay. Found by successive
    grid refinement: geometric rows of scales, each between the two of the last row that bracket the threshold.

    Parameters
    ----------
    record : Record
        One design with a known inertia.
    """
    low, high = LIGHTEST, HEAVIEST
    lightest: float | None = None
    start = start_with(record, bend=np.full(ROW, float(record.bend)))
    for _ in range(ROWS):
        scales = np.geomspace(low, high, ROW)
        opens, force = in_motion.throw_scaled(start, scales)
        if not np.any(opens):
            return lightest
        at = int(np.argmax(opens))
        lightest = float(force[at])
        low, high = float(scales[max(at - 1, 0)]), float(scales[at])
        if at == 0:
            return 0.0 if low == LIGHTEST else lightest
    return lightest


def opening(response: Response, results: Mapping[str, float | bool | None]) -> Opening:
    """Compute how the finger throws the blade open, and where a stalled blade comes to rest.

    Parameters
    ----------
    response : Response
        Of one design, with the results of motion.
    results : mapping of str to float, bool or None
        Its results of motion in their own units.
    """
    record = response.load.record
    force, angle = float(response.results["breakout_force"]), float(response.results["breakout_force_angle"])
    leaves = float(np.degrees(min(float(panels.finger_leaves(record)), float(record.open_angle))))
    if not (np.isfinite(force) and np.isfinite(angle)):
        return Opening("no breakout", "", None, None, leaves, (), None)
    weight = float(np.nan_to_num(pivot.gravity_torque(record, angle)) / pivot.lever(record, angle))
    finger = float(record.finger_effort) * max(force - weight, 0.0)
    stall, after, at = "", "", None
    if not results["opens_fully"]:
        stopped = float(results["stall_angle"] or 0.0)
        stall = _stall(float(np.degrees(angle)), stopped, leaves)
        after, at = returns_to(record, stopped)
    return Opening(stall, after, at, finger, leaves, _by_speed(record), launch_threshold(record))


def _stall(start: float, stopped: float, leaves: float) -> str:
    """Cause of a stall at blade angle `stopped` [deg], in words."""
    if leaves <= start:
        return "finger leaves first"
    if stopped <= start + 1e-6:
        return "finger too weak"
    return "finger stuck" if stopped <= leaves else "coasted out"
