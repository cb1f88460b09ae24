"""Opening and closing force at the opener over blade angle, with the likely band, for drawing.

`likely` gives the knives made to the build; `curve` hands the band to the figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.curve.intervals import SHARE, quantiles
from detentsim.mechanics.detent.closing import felt_at
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import last_axis

if TYPE_CHECKING:
    from detentsim.analysis.one_build.curve.likely import Likely
    from detentsim.mechanics.record import Array
    from detentsim.mechanics.response import Response

# Marks of the opening and of the closing blade by which knives are set beside each other, between rest and lock-up.
OPENING_MARKS, CLOSING_MARKS = ("breakout_force_angle", "let_go_angle"), ("pull_in_angle",)


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

    angle: Array
    opening: Array
    opening_low: Array
    opening_high: Array
    closing: Array
    closing_low: Array
    closing_high: Array


def band(base: Response, made: Likely, angle: Array) -> CurveBand:
    """Likely band of the curve: the middle nine in ten of the knives, breakout beside breakout, let-go beside let-go.

    Knives break out and let go at unlike angles. Each is drawn out along the angle so that its marks fall on those of
    the build, so the band at the build's breakout is the likely range of the breakout force.

    Parameters
    ----------
    base : Response
        One design, 0-d.
    made : Likely
        Knives made to it.
    angle : array
        Blade angles [deg], from rest on.

    Notes
    -----
    Landmark registration: J. O. Ramsay and B. W. Silverman, Functional Data Analysis, 2nd ed., chapter 7, from memory.
    """
    opening, closing = forces(base, angle)
    if made.knives is None:
        return CurveBand(angle, opening, opening, opening, closing, closing, closing)
    out = opening_force(made.knives, _beside(base, made.knives, angle, OPENING_MARKS))
    crest = np.isclose(angle, np.degrees(base.results["breakout_force_angle"]), rtol=0, atol=1e-9)
    out[:, crest] = made.knives.results["breakout_force"][:, None]  # it may stand on either side of a jump
    back = _closing_force(made.knives, _beside(base, made.knives, angle, CLOSING_MARKS))
    low, high = _middle(out[~made.excluded])
    shut_low, shut_high = _middle(back[~made.excluded])
    return CurveBand(angle, opening, low, high, closing, shut_low, shut_high)


def _middle(values: Array) -> Array:
    """Ends of the middle share of the knives at each angle, shape (2, n); NaN where none has a force."""
    return quantiles(values, [(1 - SHARE) / 2, (1 + SHARE) / 2])


def _beside(base: Response, knives: Response, angle: Array, names: tuple[str, ...]) -> Array:
    """Angle of each knife that stands beside each angle of the build, shape (n, m) [deg]."""
    own, theirs = _marks(base, names), _marks(knives, names)
    there = np.isfinite(own)
    own, theirs = own[there], theirs[:, there]
    theirs = np.where(np.isfinite(theirs), theirs, own)  # a knife without a mark is set beside the build's
    own, theirs = np.maximum.accumulate(own), np.maximum.accumulate(theirs, axis=1)
    part = np.clip(np.searchsorted(own, angle, side="right") - 1, 0, own.size - 2)
    length = own[part + 1] - own[part]
    along = np.clip((angle - own[part]) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    return np.asarray(theirs[:, part] + along * (theirs[:, part + 1] - theirs[:, part]))


def _marks(response: Response, names: tuple[str, ...]) -> Array:
    """Rest, marks and lock-up along the last axis [deg]."""
    rest = response.rest.angle
    marks = (rest, *(response.results[name] for name in names), response.load.record.open_angle)
    return np.asarray(np.degrees(np.stack([np.broadcast_to(mark, rest.shape) for mark in marks], axis=-1)))


def forces(response: Response, angle: Array) -> tuple[Array, Array]:
    """Opening and closing force at the opener [N], angle last; NaN where there is no lever or it locks.

    Parameters
    ----------
    response : Response
    angle : array
        Blade angle [deg], the same for all designs or a row for each.
    """
    return opening_force(response, angle), _closing_force(response, angle)


def opening_force(response: Response, angle: Array) -> Array:
    """Finger force that opens the blade [N], angle last; NaN where there is no lever or it locks.

    Parameters
    ----------
    response : Response
    angle : array
        Blade angle [deg], the same for all designs or a row for each.
    """
    solved, rest = response.load, response.rest
    record, theta = last_axis(solved.record), _from_rest(response, angle)
    table = at_blade_angle.opening_table(solved, rest.phi, rest.slip)
    out = at_blade_angle.torque_at(table, theta, opening=True, above=True)
    force = finger_force(record, theta, out.torque + out.face_drag, out.push)
    return np.where(response.flags["locks_solid"][..., None], np.nan, force)


def _closing_force(response: Response, angle: Array) -> Array:
    """Pull shut at the opener, positive, or the push that closing needs, negative [N]; angle last."""
    solved, rest = response.load, response.rest
    record, theta = last_axis(solved.record), _from_rest(response, angle)
    back = felt_at(at_blade_angle.closing_table(solved, rest.phi), theta, above=True)
    pulled = back.torque - back.face_drag
    pulled = pulled - pivot.pivot_torque(record, back.push, pulled)
    return np.asarray(pulled / pivot.lever(record, theta))


def _from_rest(response: Response, angle: Array) -> Array:
    """Blade angles [rad], none below rest."""
    return np.asarray(np.maximum(np.radians(angle), response.rest.angle[..., None]))
