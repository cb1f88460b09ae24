"""Thrown open and let fall: one build's motion by its finger's speed, and by the attitude of its handle."""

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

# Attitudes of the handle by where straight down lies from the closed blade, in the opening sense [deg].
ATTITUDES = {
    "butt-down": 0.0,
    "tilted 45 deg, slot up": -45.0,
    "level, slot up": -90.0,
    "level, slot down": 90.0,
    "butt-up": 180.0,
}

# Scales of the detent among which the launch threshold is sought, by ever finer rows of so many.
LIGHTEST, HEAVIEST, ROW, ROWS = 0.02, 2000.0, 24, 5


@dataclass(frozen=True)
class Speed:
    """How a blade opens by a finger of one speed limit [m/s]; deg, rad/s, s, mJ, None where it does not apply."""

    limit: float
    opens: bool
    stall: float | None
    speed: float | None
    time: float | None
    lacks: float | None


@dataclass(frozen=True, eq=False)
class Budget:
    """Where the energy goes while the blade is thrown open; arrays along the way.

    Attributes
    ----------
    angle : array
        Blade angle [deg].
    speed : array
        [rad/s]; 0 from where it stalls.
    finger, spent, left : array
        Put in by the finger, taken by ball, pivot and weight, and left in the blade [mJ].
    time : array
        From the start [s]; not a number once stalled.
    """

    angle: Line
    speed: Line
    finger: Line
    spent: Line
    left: Line
    time: Line


def many(record: Record, **fields: npt.ArrayLike) -> tuple[Response, Start]:
    """The same knife with some fields varied along one axis, solved, and what its motion starts from.

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
    """The verdict over the band of finger speeds, and at the build's own.

    Parameters
    ----------
    record : Record
        One design with a known inertia.
    """
    limits = np.unique([*SPEEDS, float(record.finger_speed)])
    _, start = many(record, finger_speed=limits)
    rows, _, found = in_motion.throw(start)
    if rows.size == 0:
        return ()
    stall, last = swing.first_stop(found.theta, found.energy), found.energy[:, -1, -1]
    least, time = np.min(found.energy, axis=(1, 2)), found.time[:, -1, -1]
    inertia = float(record.blade_inertia)
    return tuple(_speed(*values, inertia) for values in zip(limits, stall, last, least, time, strict=True))


def _speed(limit: float, stall: float, last: float, least: float, time: float, inertia: float) -> Speed:
    if np.isnan(stall):
        return Speed(float(limit), True, None, float(np.sqrt(2 * max(last, 0) / inertia)), float(time), None)
    return Speed(float(limit), False, float(np.degrees(stall)), None, None, float(-least) * 1e3)


def budget(record: Record) -> Budget | None:
    """The energy of one throw, along the way; None where nothing is thrown.

    Parameters
    ----------
    record : Record
        One design.
    """
    _, start = many(record, bend=np.atleast_1d(record.bend))
    rows, way, found = in_motion.throw(start)
    if rows.size == 0:
        return None
    legs = way.theta[0, :, -1] > way.theta[0, :, 0]
    angle, energy, spent, time = (
        field[0, legs].ravel() for field in (found.theta, found.energy, found.work, found.time)
    )
    keep = np.concatenate([[True], np.diff(angle) > 0])
    angle, energy, spent, time = (field[keep] for field in (angle, energy, spent, time))
    moving = np.logical_and.accumulate(energy >= 0)
    left = np.where(moving, energy, 0.0)
    speed = np.sqrt(2 * left / float(record.blade_inertia))
    finger = np.where(moving, energy + spent, np.nan)
    time = np.where(np.isfinite(time) & moving, time, np.nan)
    return Budget(np.degrees(angle), speed, finger * 1e3, np.where(moving, spent, np.nan) * 1e3, left * 1e3, time)


def launch_threshold(record: Record) -> float | None:
    """Lightest breakout that still throws this blade fully open [N]; 0 where any does, None where none does.

    The detent is scaled as a whole above its drag; blade, drag, pivot, opener and finger stay. Sought by rows of scales
    in even ratios, each row between the two of the last that enclose it.

    Parameters
    ----------
    record : Record
        One design with a known inertia.
    """
    low, high = LIGHTEST, HEAVIEST
    found: float | None = None
    _, start = many(record, bend=np.full(ROW, float(record.bend)))
    for _ in range(ROWS):
        scales = np.geomspace(low, high, ROW)
        opens, force = in_motion.throw_scaled(start, scales)
        if not np.any(opens):
            return found
        at = int(np.argmax(opens))
        found = float(force[at])
        low, high = float(scales[max(at - 1, 0)]), float(scales[at])
        if at == 0:
            return 0.0 if low == LIGHTEST else found
    return found
