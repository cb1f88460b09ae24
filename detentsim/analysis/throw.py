"""Thrown open and let fall: one build's motion by its finger's speed, and by the attitude of its handle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from detentsim.mechanics import motion, swing, trace, track
from detentsim.mechanics.motion import Start
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import Response, respond, starts

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


@dataclass(frozen=True)
class Hang:
    """How the unlocked blade falls with the handle held one way.

    Attributes
    ----------
    name : str
        Of the attitude.
    down_angle : float
        [deg].
    falls : bool
        Whether it reaches its stop, let go from rest at `close_from`.
    hangs : float or None
        Where it hangs otherwise [deg].
    speed : float or None
        At which it meets its stop [rad/s]; None without an inertia.
    opens, stays : bool
        Whether its weight swings it open from where it is let go, or nothing moves it there.
    """

    name: str
    down_angle: float
    falls: bool
    hangs: float | None
    speed: float | None
    opens: bool
    stays: bool


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
    rows, _, found = motion.throw(start)
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
    rows, way, found = motion.throw(start)
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


def by_attitude(record: Record) -> tuple[Hang, ...]:
    """How the blade falls with the handle held in each attitude, the build's own first; empty without a weight.

    Parameters
    ----------
    record : Record
        One design.
    """
    own = float(np.degrees(record.down_angle))
    named = {name: angle for name, angle in ATTITUDES.items() if abs(np.mod(angle - own + 180, 360) - 180) > 1e-9}
    names = ["as given", *named]
    angles = np.array([own, *named.values()])
    _, start = many(record, down_angle=np.radians(angles))
    rows, _, found = motion.fall(start)
    if rows.size == 0:
        return ()
    stops = swing.first_stop(found.theta, found.energy)
    speeds = np.sqrt(2 * np.maximum(found.energy[:, -1, -1], 0) / float(record.blade_inertia))
    let_go = np.full(angles.size, float(np.minimum(record.close_from, record.open_angle)))
    shut_of_open = let_go < float(record.open_angle)  # what lies at lock-up already opens no farther
    opens = shut_of_open & (track.floor(start.load, let_go[:, None, None])[:, 0, 0] < 0)
    stays = (np.abs(stops - let_go) < 1e-6) & ~opens
    return tuple(_hang(*values) for values in zip(names, angles, stops, speeds, opens, stays, strict=True))


def _hang(name: str, down: float, stop: float, speed: float, opens: bool, stays: bool) -> Hang:
    falls = bool(np.isnan(stop))
    known = falls and np.isfinite(speed)
    hangs = None if falls else float(np.degrees(stop))
    return Hang(
        name, float(down), falls, hangs, float(speed) if known else None, bool(opens) and not falls, bool(stays)
    )


def returns_to(record: Record, stall: float) -> tuple[str, float | None]:
    """What a stalled blade does: ``stays`` where it is, ``hangs`` lower, or falls ``shut``; and where it hangs [deg].

    Parameters
    ----------
    record : Record
        One design.
    stall : float
        Blade angle at which it stalled [deg].
    """
    _, start = many(record, close_from=np.atleast_1d(np.radians(stall)))
    rows, _, found = motion.fall(start)
    if rows.size == 0:
        return "stays", None
    stop = float(swing.first_stop(found.theta, found.energy)[0])
    if np.isnan(stop):
        return "shut", None
    angle = float(np.degrees(stop))
    return ("stays", angle) if angle > stall - 1e-6 else ("hangs", angle)


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
        opens, force = motion.throw_scaled(start, scales)
        if not np.any(opens):
            return found
        at = int(np.argmax(opens))
        found = float(force[at])
        low, high = float(scales[max(at - 1, 0)]), float(scales[at])
        if at == 0:
            return 0.0 if low == LIGHTEST else found
    return found


def pulls_shut(response: Response) -> tuple[float, bool]:
    """Greatest pull of the ball on the closed blade [N*mm], and whether, friction apart, it pulls shut until let-go.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d, with a way out.
    """
    rest, last = float(response.rest.angle), float(response.results["let_go_angle"])
    theta = rest + (last - rest) * np.linspace(0, 1, 202)[1:-1]
    out = trace.opening_table(response.load, response.rest.phi, response.rest.slip)
    back = trace.closing_table(response.load, response.rest.phi)
    opening = trace.felt_at(out, theta, opening=True, above=False).torque
    closing = trace.felt_at(back, theta, opening=False, above=False).torque
    apart = (opening + closing) / 2
    most = max(float(np.max(closing)), float(response.results["draw_torque"]))
    return most * 1e3, bool(np.all(apart > 0))
