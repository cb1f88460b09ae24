"""Opening and closing force at the opener over blade angle, with the likely band, for drawing.

`likely` gives the designs moved across the bands of their inputs; `curve` hands the band to the figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.curve.intervals import added_up
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.response import Response

Forces = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CurveBand:
    """Likely band of the curve; all arrays of shape (n,).

    Attributes
    ----------
    angle : array
        Blade angle, rising [deg].
    opening, opening_low, opening_high : array
        Finger force that opens the blade [N].
    closing, closing_low, closing_high : array
        Pull shut at the opener, positive, or the push that closing needs, negative [N].
    """

    angle: Forces
    opening: Forces
    opening_low: Forces
    opening_high: Forces
    closing: Forces
    closing_low: Forces
    closing_high: Forces


def band(base: Response, moved: Response | None, angle: Forces) -> CurveBand:
    """Likely band of the curve: the moved designs combined angle by angle, as `likely` combines results.

    Parameters
    ----------
    base : Response
        One design, 0-d.
    moved : Response or None
        Designs of shape (inputs, steps), each input moved alone across its band; None without bands.
    angle : array
        Blade angles [deg], from rest on.
    """
    opening, closing = forces(base, angle)
    if moved is None:
        return CurveBand(angle, opening, opening, opening, closing, closing, closing)
    out, back = forces(moved, angle)
    low, high = _spread(opening, out)
    shut_low, shut_high = _spread(closing, back)
    return CurveBand(angle, opening, low, high, closing, shut_low, shut_high)


def _spread(base: Forces, moved: Forces) -> tuple[Forces, Forces]:
    away = np.where(np.isfinite(moved), moved - base, 0.0)
    return added_up(base, -np.minimum(away.min(axis=1), 0), np.maximum(away.max(axis=1), 0))


def forces(response: Response, angle: Forces) -> tuple[Forces, Forces]:
    """Opening and closing force at the opener [N], angle last; NaN where there is no lever or it locks.

    Parameters
    ----------
    response : Response
    angle : array
        Blade angle [deg].
    """
    solved, rest = response.load, response.rest
    record = last_axis(solved.record)
    theta = np.maximum(np.radians(angle), rest.angle[..., None])
    out = at_blade_angle.torque_at(
        at_blade_angle.opening_table(solved, rest.phi, rest.slip), theta, opening=True, above=True
    )
    back = at_blade_angle.torque_at(at_blade_angle.closing_table(solved, rest.phi), theta, opening=False, above=True)
    opening = finger_force(record, theta, out.torque + out.face_drag, out.push)
    pulled = back.torque - back.face_drag - pivot.pivot_torque(record, back.push)
    closing = pulled / pivot.lever(record, theta)
    locked = response.flags["locks_solid"][..., None]
    return np.where(locked, np.nan, opening), np.asarray(closing)
