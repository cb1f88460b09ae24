"""Falling shut by attitude of the handle, and the rest position of a stalled blade.

Reads the kernel's `in_motion` for `motion`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.motion.attitudes import ATTITUDES
from detentsim.mechanics.motion import in_motion, panels, resistance
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.response import Response, respond, starts

if TYPE_CHECKING:
    from detentsim.mechanics.motion.in_motion import Start
    from detentsim.mechanics.record import Array, Record


@dataclass(frozen=True)
class Hang:
    """Fall of the unlocked blade in one attitude of the handle.

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


def start_with(record: Record, **fields: npt.ArrayLike) -> Start:
    """Start of the motion of one design with some record fields varied along one axis.

    Parameters
    ----------
    record : Record
        One design.
    **fields : array_like
        Fields of the record, shape (n,).
    """
    return starts(respond(record._replace(**{name: np.asarray(value, float) for name, value in fields.items()})))


class Falls(NamedTuple):
    """Falls of one blade in many attitudes; arrays of shape (n,)."""

    stop: Array  # blade angle at which it stops on its way [rad], NaN where it reaches its stop
    speed: Array  # at its stop [rad/s]
    opens: npt.NDArray[np.bool_]  # swung open by its weight from where it is let go
    stays: npt.NDArray[np.bool_]  # moved by nothing there


def falls_toward(record: Record, down: npt.ArrayLike) -> Falls | None:
    """Falls of the blade with straight down in each of many directions; None without a blade mass.

    Parameters
    ----------
    record : Record
        One design.
    down : array_like, shape (n,)
        From the closed blade's direction to straight down, in the opening sense [deg].
    """
    angles = np.asarray(down, float)
    start = start_with(record, down_angle=np.radians(angles))
    rows, _, path = in_motion.fall(start)
    if rows.size == 0:
        return None
    stops = resistance.first_stop(path.theta, path.energy)
    speeds = np.sqrt(2 * np.maximum(path.energy[:, -1, -1], 0) / float(record.blade_inertia))
    let_go = np.full(angles.size, float(np.minimum(record.close_from, record.open_angle)))
    shut_of_open = let_go < float(record.open_angle)  # what lies at lock-up already opens no farther
    opens = shut_of_open & (panels.floor(start.load, let_go[:, None, None])[:, 0, 0] < 0)
    return Falls(stops, speeds, opens & ~np.isnan(stops), (np.abs(stops - let_go) < 1e-6) & ~opens)


def by_attitude(record: Record) -> tuple[Hang, ...]:
    """Fall of the blade in each attitude of the handle, the build's own first; empty without a blade mass.

    Parameters
    ----------
    record : Record
        One design.
    """
    own = float(np.degrees(record.down_angle))
    named = {name: angle for name, angle in ATTITUDES.items() if abs(np.mod(angle - own + 180, 360) - 180) > 1e-9}
    names, angles = ["as given", *named], [own, *named.values()]
    found = falls_toward(record, angles)
    if found is None:
        return ()
    return tuple(_hang(*values) for values in zip(names, angles, *found, strict=True))


def _hang(name: str, down: float, stop: float, speed: float, opens: bool, stays: bool) -> Hang:
    falls = bool(np.isnan(stop))
    known = falls and np.isfinite(speed)
    hangs = None if falls else float(np.degrees(stop))
    return Hang(name, float(down), falls, hangs, float(speed) if known else None, bool(opens), bool(stays))


def returns_to(record: Record, stall: float) -> tuple[str, float | None]:
    """Rest position of a stalled blade: ``stays``, ``hangs`` lower or falls ``shut``; and the angle of rest [deg].

    Parameters
    ----------
    record : Record
        One design.
    stall : float
        Blade angle at which it stalled [deg].
    """
    start = start_with(record, close_from=np.atleast_1d(np.radians(stall)))
    rows, _, path = in_motion.fall(start)
    if rows.size == 0:
        return "stays", None
    stop = float(resistance.first_stop(path.theta, path.energy)[0])
    if np.isnan(stop):
        return "shut", None
    angle = float(np.degrees(stop))
    return ("stays", angle) if angle > stall - 1e-6 else ("hangs", angle)


def pulls_shut(response: Response) -> tuple[float, bool]:
    """Greatest pull of the ball on the closed blade [N*mm], and whether, without friction, it pulls shut until let-go.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d, with a way out.
    """
    rest, last = float(response.rest.angle), float(response.results["let_go_angle"])
    theta = rest + (last - rest) * np.linspace(0, 1, 202)[1:-1]
    out = at_blade_angle.opening_table(response.load, response.rest.phi, response.rest.slip)
    back = at_blade_angle.closing_table(response.load, response.rest.phi)
    opening = at_blade_angle.torque_at(out, theta, opening=True, above=False).torque
    closing = at_blade_angle.torque_at(back, theta, opening=False, above=False).torque
    apart = (opening + closing) / 2
    most = max(float(np.max(closing)), float(response.results["draw_torque"]))
    return most * 1e3, bool(np.all(apart > 0))
