"""Ball and forces at one blade angle of an opening blade, for the drawing that follows the blade.

`look` keeps the table of the path; a session asks for a `Riding` at each blade angle.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.curve.picture import contacts
from detentsim.mechanics.contact.dimple import height_and_slope, piece_at
from detentsim.mechanics.detent.balance import ball_force, offset_at_phi, twist
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.path.at_blade_angle import TorqueTable, opening_table, torque_at
from detentsim.mechanics.record import last_axis

if TYPE_CHECKING:
    from detentsim.analysis.one_build.curve.picture import Picture
    from detentsim.mechanics.path.at_blade_angle import Torque
    from detentsim.mechanics.response import Response


# Blade angle before one that is asked for [rad].
SHORT = 1e-12


@dataclass(frozen=True, eq=False)
class Riding:
    """Ball, contact and forces at one blade angle in opening.

    Attributes
    ----------
    angle : float
        Blade angle, not below rest [deg].
    force : float
        Finger force at the opener [N]; NaN where there is no lever or the ball locks.
    picture : Picture
        Ball, dimple and bar at this blade angle.
    pressed : float
        Force of the bar on the ball, toward the tang [N]; 0 where the bar's face or nothing carries it.
    pushed : (along, up)
        Force of the tang on the ball [N]: along the ball's path, negative against opening, and out of the tang.
    """

    angle: float
    force: float
    picture: Picture
    pressed: float
    pushed: tuple[float, float]


class _Touch(NamedTuple):
    """Place of the ball over the dimple."""

    offset: float  # from the dimple's axis [m]
    depth: float  # of the ball's tip below the face [m]
    sine: float  # of the contact angle
    bears: bool  # on the ball


def riding(response: Response, table: TorqueTable, at_rest: Picture, angle: float) -> Riding:
    """Compute ball and forces at one blade angle in opening.

    Parameters
    ----------
    response : Response
        Of one design, 0-d.
    table : TorqueTable
        Of its opening.
    at_rest : Picture
        Of the same design.
    angle : float
        Blade angle [deg]; below rest, or of a ball that locks, rest counts.

    Returns
    -------
    Riding

    Notes
    -----
    The ball angle follows from `theta = phi - eps + C T`, which holds for the slipping and for the sticking ball. Along
    the path the tang pushes the ball with `-T/rho`; with the bar's balance, `N + chi sin(beta) T/rho` out of the tang.
    Derived in studies/00-the-model.ipynb. By how little the ball sinks into an elastic rim is left out of the picture.

    Examples
    --------
    >>> import detentsim as ds
    >>> c = ds.curve(ds.demo())
    >>> at = riding(c.response, path_of(c.response), c.picture, c.results["breakout_force_angle"])
    >>> float(at.force / c.results["breakout_force"])
    1.0
    """
    rest, record = float(response.rest.angle), last_axis(response.load.record)
    if response.flags["locks_solid"]:
        return Riding(float(np.degrees(rest)), np.nan, at_rest, 0.0, (0.0, 0.0))
    theta = np.array([max(np.radians(angle) - SHORT, rest)])  # rounding must not take a mark beyond a jump
    felt = torque_at(table, theta, opening=True, above=False)
    force = float(finger_force(record, theta, felt.torque + felt.face_drag, felt.push)[0])
    touch = _touch(response, float(theta[0]), float(felt.torque[0]))
    pressed, pushed = _forces(response, felt) if touch.bears else (0.0, (0.0, 0.0))
    return Riding(float(np.degrees(theta[0])), force, _moved(response, at_rest, touch), pressed, pushed)


def path_of(response: Response) -> TorqueTable:
    """Table of the opening path of one design, 0-d.

    Parameters
    ----------
    response : Response
    """
    return opening_table(response.load, response.rest.phi, response.rest.slip)


def greatest_force(response: Response) -> float:
    """Upper bound of the tang's force on the ball while it opens, for the end of a scale [N].

    Parameters
    ----------
    response : Response
        Of one design, 0-d, with its `breakout_torque`; where it has none, the bar's force alone counts.
    """
    bar = max(float(response.rest.at.push), float(ball_force(response.load.spring, 0.0)))
    torque = float(np.nan_to_num(response.results["breakout_torque"]))
    return float(np.hypot(torque / float(response.load.record.pivot_to_ball), bar))


def _touch(response: Response, theta: float, torque: float) -> _Touch:
    """Place of the ball at a blade angle [rad] under its torque [N m]."""
    solved = response.load
    phi = theta + solved.record.overclose - twist(solved.spring.twist_give, np.asarray(torque))
    offset, _ = offset_at_phi(last_axis(solved.record), np.reshape(phi, 1))
    height, sine = height_and_slope(solved.shape, offset, piece_at(solved.shape, offset))
    depth, carried = (
        float(solved.shape.ball[0] - height[0]),
        min(float(solved.spring.reach), float(solved.spring.protrusion)),
    )
    bears = depth < carried
    return _Touch(float(offset[0]), depth if bears else carried, float(sine[0]), bears)


def _forces(response: Response, felt: Torque) -> tuple[float, tuple[float, float]]:
    """Force of the bar on the ball, and of the tang on the ball: along its path and out of the tang [N]."""
    along = float(felt.torque[0]) / float(response.load.record.pivot_to_ball)
    pressed = float(felt.push[0])
    return pressed, (-along, pressed + float(response.load.spring.swing) * along)


def _moved(response: Response, at_rest: Picture, touch: _Touch) -> Picture:
    """Picture with the ball and the bar where they are at a blade angle [mm]."""
    radius = float(response.load.record.ball_radius)
    centre = (1e3 * touch.offset, 1e3 * (radius - touch.depth))
    points: npt.NDArray[np.float64] = contacts(centre, 1e3 * radius, touch.sine) if touch.bears else np.empty((0, 2))
    face = 1e3 * (float(response.load.record.protrusion) - touch.depth)
    return replace(at_rest, ball=centre, contacts=points, bar_face=face)
