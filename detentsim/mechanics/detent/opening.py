"""The opening way: most torque, most push, where the dimple lets go, whether the ball snaps, the work it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion import pivot
from detentsim.mechanics.path import at_ball_angle, extrema, segments, stable
from detentsim.mechanics.roots import bisected

if TYPE_CHECKING:
    from detentsim.mechanics.detent.balance import SolvedDetent
    from detentsim.mechanics.detent.rest import Rest
    from detentsim.mechanics.path.at_ball_angle import Torques
    from detentsim.mechanics.path.extrema import Peak
    from detentsim.mechanics.path.segments import Segments
    from detentsim.mechanics.record import Array, Truth

# Halvings by which the end of the finger's lever is found: down to rounding.
LEVER_ROUNDS = 50


class Way(NamedTuple):
    """The opening way from rest to the flat, for designs on one flat axis."""

    load: SolvedDetent  # lean
    rest: Rest
    stretches: Segments
    found: Torques  # at the stretches' ends
    theta: Array  # blade angle there [rad]
    falls: Truth  # stretches on which the blade angle falls somewhere


def way(solved: SolvedDetent, at_rest: Rest, ways: Segments) -> Way:
    """Solve the ends of all stretches of the opening way."""
    phi = segments.points(ways, segments.ENDS)
    found = segments.torques(ways, phi)
    theta = segments.angle(ways, phi, found.opening)
    return Way(solved, at_rest, ways, found, theta, stable.falls(ways, found.opening, theta, opening=True))


def _resisting(ways: Segments, phi: Array) -> Array:
    return segments.torque(ways, phi, opening=True)


def breakout_torque(one: Way) -> tuple[Array, Array, Array]:
    """Largest torque against opening [N m], the blade angle [rad], and the bar's push on the tang there [N]."""
    top = extrema.peak(one.stretches, one.found.opening, _resisting)
    rest, eps = one.rest, one.load.record.overclose
    sticks = rest.stick > top.value
    angle = top.phi - eps + at_ball_angle.twist(one.load.spring.twist_give, top.value)
    _, push = segments.contact_at(segments.select(one.stretches, top.stretch), top.phi)
    torque = np.where(sticks, rest.stick, top.value)
    return torque, np.where(sticks, rest.slip, angle), np.where(sticks, rest.at.push, push)


def breakout_force(one: Way) -> tuple[Array, Array]:
    """Largest push of the finger [N] and the blade angle there [rad]; NaN where no lever is long enough."""
    ways, values, crest = _with_lever(one)
    rest, record = one.rest, one.load.record
    top = extrema.peak(ways, values, _pushed, crest)
    there = segments.select(ways, top.stretch)
    angle = segments.opening_angle(there, top.phi)
    stick = pivot.finger_force(record, rest.slip, rest.stick, rest.at.push)
    sticks = stick >= top.value
    force = np.where(sticks, stick, top.value)
    none = np.isneginf(force)
    return np.where(none, np.nan, force), np.where(none, np.nan, np.where(sticks, rest.slip, angle))


def _pushed(ways: Segments, phi: Array) -> Array:
    """Force of the finger, -inf where its lever is too short to quote one."""
    return _force(ways, phi, segments.torques(ways, phi))


def _force(ways: Segments, phi: Array, found: Torques) -> Array:
    theta = segments.angle(ways, phi, found.opening)
    record = segments.widened(ways).record if phi.ndim > 1 else ways.record
    force = pivot.finger_force(record, theta, found.opening, found.push)
    return np.where(np.isnan(force), -np.inf, force)


def _with_lever(one: Way) -> tuple[Segments, Array, Truth]:
    """The way as far as the finger has a lever, its force at the ends, and where the torque has a crest.

    The lever runs out once at most on a way of a few degrees; the stretch on which it does ends there.
    """
    ways, crest = one.stretches, extrema.has_crest(one.found.opening)
    values = _force(ways, segments.points(ways, segments.ENDS), one.found)
    short = np.isneginf(values)
    part = np.flatnonzero(short[:, 0] != short[:, 3])
    if part.size:
        inside = segments.select(ways, part)
        near, far = np.where(short[part, 0], [inside.right, inside.left], [inside.left, inside.right])
        end = _lever_ends(inside, near, far)
        left, right = np.array(ways.left), np.array(ways.right)
        left[part], right[part] = np.minimum(near, end), np.maximum(near, end)
        ways = ways._replace(left=left, right=right)
        inside = segments.select(ways, part)
        values[part] = _pushed(inside, segments.points(inside, segments.ENDS))
    return ways, values, crest


def _lever_ends(ways: Segments, near: Array, far: Array) -> Array:
    """Farthest ball angle from `near` toward `far` at which there is a force to quote [rad]."""
    return bisected(lambda phi: ~np.isneginf(_pushed(ways, phi)), near, far, LEVER_ROUNDS)[0]


def farthest(one: Way) -> Peak:
    """Largest blade angle of the slipping ball, at which the dimple lets go [rad]."""
    return extrema.peak(one.stretches, one.theta, segments.opening_angle, one.falls)


def turns_back(one: Way) -> Truth:
    """Whether the blade angle falls anywhere on the slipping ball's way, so that the blade jumps."""
    return segments.any_of(one.stretches, one.falls | _falls_before(one))


def _falls_before(one: Way) -> Truth:
    """Stretches at whose beginning the blade angle lies below the end of the stretch before."""
    same = one.stretches.design[1:] == one.stretches.design[:-1]
    with np.errstate(invalid="ignore"):
        drops = one.theta[1:, 0] < one.theta[:-1, 3] - stable.STANDS
    return np.concatenate([[False], same & drops])
