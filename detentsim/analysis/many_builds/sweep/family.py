"""Feel curves of a whole sweep at the same blade angles."""

from __future__ import annotations

import operator
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.sweep.blocks import block_of, cut, view_of
from detentsim.analysis.one_build.curve.intervals import quantiles
from detentsim.mechanics.detent.closing import felt_at
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import Array, Record, Truth, last_axis
from detentsim.mechanics.response import Response, respond
from detentsim.units.convert import to_si, to_si_array
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.wording import shown

POINTS = 361

# Designs whose own crests are among the default angles; a picture shows no more.
FEW = 60

# Offset before a jump at which its side is read [rad].
BEFORE = 1e-9

LIST = '["0 deg", "5 deg", "10 deg"]'
MOST_NUMBERS = 200_000_000
"""Designs times angles of one family: three arrays of that size must fit in memory."""

MOST_ANGLES = 1_000_000
"""Most blade angles of a range."""


class ForceRange(NamedTuple):
    """Range of the finger force over many designs; arrays of shape (m,), NaN where none has a force."""

    angle: Array  # [deg]
    low: Array  # [N]
    middle: Array  # median [N]
    high: Array  # [N]


@dataclass(frozen=True, eq=False, repr=False)
class Family:
    """Feel curves of many designs; NaN below a blade's rest, and where the curve is undefined.

    Attributes
    ----------
    angle : array, shape (m,)
        Blade angles [deg].
    opening, closing : array, shape (..., m)
        Torque of the ball alone against opening, and on a closing blade (pulling in where positive) [N*mm]; the latter
        NaN where it was not asked for.
    force : array, shape (..., m)
        Finger force at the opener [N].
    """

    angle: Array
    opening: Array
    closing: Array
    force: Array

    @property
    def blade_angle(self) -> Any:
        """Blade angles [quantity, deg]."""
        return quantity(self.angle, "deg")

    @property
    def opening_torque(self) -> Any:
        """Torque of the ball against opening [quantity, N*mm]."""
        return quantity(self.opening, "N*mm")

    @property
    def closing_torque(self) -> Any:
        """Torque of the ball on a closing blade, pulling in where positive [quantity, N*mm]."""
        return quantity(self.closing, "N*mm")

    @property
    def opening_force(self) -> Any:
        """Finger force at the opener [quantity, N]."""
        return quantity(self.force, "N")

    def force_range(self, share: float = 0.9) -> ForceRange:
        """Range that holds the middle share of the designs, angle by angle.

        Parameters
        ----------
        share : float
            0 to 1; 0.9 leaves 5 % of the designs below and 5 % above.

        Returns
        -------
        ForceRange
            Designs without a force at an angle do not count there.
        """
        force = self.force.reshape(-1, self.angle.size)
        return ForceRange(self.angle, *quantiles(force, [(1 - share) / 2, 0.5, (1 + share) / 2]))

    def __repr__(self) -> str:
        shape = " x ".join(str(n) for n in self.force.shape[:-1]) or "one"
        span = f"{self.angle[0]:.4g} to {self.angle[-1]:.4g} deg"
        return f"<Family of {shape} curves at {self.angle.size} blade angles, {span}>"


def family(record: Record, excluded: Truth, at: object = None, *, closing: bool = True) -> Family:
    """Solve the curves of a sweep's designs.

    Parameters
    ----------
    record : Record
        Every field 0-d or with the sweep's axes.
    excluded : array of bool
        Designs that make no knife.
    at : array quantity, (start, stop, count), list of angles, or None
        Blade angles; None for some hundreds from closed to a third past the last let-go.
    closing : bool
        Whether closing is wanted too, which costs as much as opening.

    Returns
    -------
    Family

    Raises
    ------
    InputError
        Where the angles cannot be read, or the arrays would not fit in memory.
    """
    given = None if at is None else _angles(at)
    count = POINTS if given is None else given.size
    if excluded.size * count > MOST_NUMBERS:
        most = MOST_NUMBERS // excluded.size
        text = f"{excluded.size:,} designs at {count:,} angles are too many; at most {MOST_NUMBERS:,} in all"
        text += f": give {most:,} angles or fewer, such as {LIST}"
        raise InputError("at", at, text)
    angle = _default_angles(record, excluded) if given is None else given
    arrays = [np.full((*excluded.shape, angle.size), np.nan) for _ in range(3)]
    for place in cut(excluded.shape, max(1, 262_144 // angle.size)):
        part, chosen = block_of(record, excluded, place)
        for array, solved in zip(arrays, _solved(respond(part, ()), angle, closing), strict=True):
            array[view_of(place)][... if chosen is None else chosen] = solved
    return Family(np.degrees(angle), *arrays)


def _solved(response: Response, angle: Array, closing: bool) -> tuple[Array, Array, Array]:
    """Opening torque, closing torque [N*mm] and finger force [N] of a block; closing NaN where it is not wanted."""
    solved, rest = response.load, response.rest
    theta = np.broadcast_to(angle, (*rest.phi.shape, angle.size))
    below = theta < rest.angle[..., None] - 1e-12
    held = np.maximum(theta, rest.angle[..., None])
    back = np.full(theta.shape, np.nan)
    if closing:
        back = felt_at(at_blade_angle.closing_table(solved, rest.phi), held, above=True).torque
    opening = at_blade_angle.torque_at(
        at_blade_angle.opening_table(solved, rest.phi, rest.slip), held, opening=True, above=True
    )
    force = finger_force(last_axis(solved.record), held, opening.torque + opening.face_drag, opening.push)
    dead = below | response.flags["locks_solid"][..., None]
    shown = (dead, 1e3 * opening.torque), (below, 1e3 * back), (dead, force)
    out, back, push = (np.where(blank, np.nan, values) for blank, values in shown)
    return out, back, push


def _default_angles(record: Record, excluded: Truth) -> Array:
    """From closed to a third past the last let-go, dense near closed; the crests of a few designs exactly [rad]."""
    parts = [block_of(record, excluded, place)[0] for place in cut(excluded.shape)]
    names = ("let_go_angle", "breakout_force_angle")
    solved = [respond(part, names).results for part in parts]
    last = [np.nanmax(one["let_go_angle"], initial=0.0) for one in solved]
    angle = max([*last, np.radians(3)]) * 4 / 3 * np.linspace(0, 1, POINTS) ** 2
    if excluded.size > FEW:
        return np.asarray(angle, float)
    own = np.concatenate([np.ravel(one[name]) for one in solved for name in names])
    own = own[np.isfinite(own)]
    # A crest may be the last before a jump.
    return np.unique(np.concatenate([angle, own, np.maximum(own - BEFORE, 0)]))


def _angles(at: object) -> Array:
    if isinstance(at, tuple):
        return _range(at)
    angle = to_si_array(at, "angle", "at")
    if np.any(angle < 0) or np.any(angle > 2 * np.pi):
        text = f"{shown(at)} is out of range; allowed is 0 deg to 360 deg, such as {LIST}"
        raise InputError("at", at, text)
    return angle


def _range(at: tuple[object, ...]) -> Array:
    example = '("0 deg", "12 deg", 121)'
    try:
        first, last, count = at
        number = operator.index(count)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise InputError(
            "at", at, f"{shown(at)} is no range; give (start, stop, whole count) such as {example}"
        ) from None
    if not 1 <= number <= MOST_ANGLES or isinstance(count, bool):
        text = f"{shown(count)} is no count of angles from 1 to {MOST_ANGLES:,}; give one such as {example}"
        raise InputError("at", at, text)
    return _angles(quantity(np.linspace(to_si(first, "angle", "at"), to_si(last, "angle", "at"), number), "rad"))
