"""Opening motion of one build: stall or full opening by finger speed, energy budget, and launch threshold.

Reads the kernel's `in_motion` for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.mechanics.motion import in_motion, swing
from detentsim.mechanics.response import Response, respond, starts

if TYPE_CHECKING:
    from detentsim.mechanics.motion.in_motion import Start
    from detentsim.mechanics.record import Record

Line = npt.NDArray[np.float64]

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

    angle: Line
    speed: Line
    finger: Line
    spent: Line
    left: Line
    time: Line


def many(record: Record, **fields: npt.ArrayLike) -> tuple[Response, Start]:
    """Solve one design with some record fields varied along one axis; response and start of the motion.

    Parameters
    ----------
    record : Record
        One design.
    **fields : array_like
        Fields of the record, shape (n,).
    """
    response = respond(record._replace(**{name: np.asarray(value, float) for name, value in fields.items()}))
    return response, starts(response)


def by_speed(record: Record) -> tuple[Speed, ...]:
    """Opening at each finger speed of the published band and at the build's own.

    Parameters
    ----------
    record : Record
        One design with a known inertia.
    """
    limits = np.unique([*SPEEDS, float(record.finger_speed)])
    _, start = many(record, finger_speed=limits)
    rows, _, path = in_motion.throw(start)
    if rows.size == 0:
        return ()
    stall, last = swing.first_stop(path.theta, path.energy), path.energy[:, -1, -1]
    least, time = np.min(path.energy, axis=(1, 2)), path.time[:, -1, -1]
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
    _, start = many(record, bend=np.atleast_1d(record.bend))
    rows, way, path = in_motion.throw(start)
    if rows.size == 0:
        return None
    legs = way.theta[0, :, -1] > way.theta[0, :, 0]
    angle, energy, spent, time = (field[0, legs].ravel() for field in (path.theta, path.energy, path.work, path.time))
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
    _, start = many(record, bend=np.full(ROW, float(record.bend)))
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
