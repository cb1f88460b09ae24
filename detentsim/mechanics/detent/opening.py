"""Breakout torque, breakout force, let-go angle and snap of the opening blade.

Stands on the rest position (``rest``) and the segments of the path; ``response`` gives the results, ``work`` adds the
energy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.path import extrema, segment_rows, segments, stable
from detentsim.mechanics.roots import bisected

if TYPE_CHECKING:
    from detentsim.mechanics.detent.rest import Rest
    from detentsim.mechanics.detent.solution import SolvedDetent, Torques
    from detentsim.mechanics.path.extrema import Peak
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array, Truth

# Halvings of the bracket about the end of the finger's lever: down to rounding.
LEVER_ROUNDS = 50


class Way(NamedTuple):
    """Path of the ball in opening, from rest to the flat, for n designs with m segments."""

    load: SolvedDetent  # flattened, n designs
    rest: Rest
    segments: Segments
    at_ends: Torques  # at the segments' ends, shape (m, 4)
    theta: Array  # blade angle there [rad]
    falls: Truth  # segments on which the blade angle falls somewhere, shape (m,)


def way(solved: SolvedDetent, at_rest: Rest, ways: Segments) -> Way:
    """Path of the ball in opening, with torques and blade angles at the ends of its segments.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    at_rest : Rest
        Of shape (n,).
    ways : Segments
        From rest to the flat.

    Returns
    -------
    Way
    """
    phi = segments.points(ways, segments.ENDS)
    at_ends = segments.torques(ways, phi)
    theta = segments.angle(ways, phi, at_ends.opening)
    return Way(solved, at_rest, ways, at_ends, theta, stable.falls(ways, at_ends.opening, theta, opening=True))


def _resisting(ways: Segments, phi: Array) -> Array:
    return segments.torque(ways, phi, opening=True)


def breakout_torque(one: Way) -> tuple[Array, Array, Array]:
    """Largest torque against opening [N m], its blade angle [rad], and the force of the bar on the tang there [N].

    Parameters
    ----------
    one : Way
        Of n designs.

    Returns
    -------
    torque, angle, push : array, shape (n,)
        The torque is inf where the ball locks.

    Notes
    -----
    Largest of the stick limit at rest and of `T_open` along the path. Derived in studies/00-the-model.ipynb.
    """
    top = extrema.peak(one.segments, one.at_ends.opening, _resisting)
    rest, eps = one.rest, one.load.record.overclose
    sticks = rest.stick > top.value
    angle = top.phi - eps + balance.twist(one.load.spring.twist_give, top.value)
    _, push = segments.contact_at(segment_rows.select(one.segments, top.segment), top.phi)
    torque = np.where(sticks, rest.stick, top.value)
    return torque, np.where(sticks, rest.slip, angle), np.where(sticks, rest.at.push, push)


def breakout_force(one: Way) -> tuple[Array, Array]:
    """Largest force of the finger [N] and its blade angle [rad]; NaN where no lever is long enough.

    Parameters
    ----------
    one : Way
        Of n designs.

    Returns
    -------
    force, angle : array, shape (n,)

    Notes
    -----
    Maximum of `pivot.finger_force`, apart from that of the torque. Derived in studies/00-the-model.ipynb.
    """
    ways, values, crest = _with_lever(one)
    rest, record = one.rest, one.load.record
    top = extrema.peak(ways, values, _pushed, crest)
    there = segment_rows.select(ways, top.segment)
    angle = segments.opening_angle(there, top.phi)
    stick = pivot.finger_force(record, rest.slip, rest.stick, rest.at.push)
    sticks = stick >= top.value
    force = np.where(sticks, stick, top.value)
    none = np.isneginf(force)
    return np.where(none, np.nan, force), np.where(none, np.nan, np.where(sticks, rest.slip, angle))


def _pushed(ways: Segments, phi: Array) -> Array:
    """Force of the finger [N]; -inf where its lever is too short to give one."""
    return _force(ways, phi, segments.torques(ways, phi))


def _force(ways: Segments, phi: Array, at_phi: Torques) -> Array:
    theta = segments.angle(ways, phi, at_phi.opening)
    record = segment_rows.widened(ways).record if phi.ndim > 1 else ways.record
    force = pivot.finger_force(record, theta, at_phi.opening, at_phi.push)
    return np.where(np.isnan(force), -np.inf, force)


def _with_lever(one: Way) -> tuple[Segments, Array, Truth]:
    """Path as far as the finger has a lever, the force at its segments' ends, and where the torque has a crest.

    On a path of a few degrees the lever runs out at most once; the segment on which it does ends there.
    """
    ways, crest = one.segments, extrema.has_crest(one.at_ends.opening)
    values = _force(ways, segments.points(ways, segments.ENDS), one.at_ends)
    short = np.isneginf(values)
    part = np.flatnonzero(short[:, 0] != short[:, 3])
    if part.size:
        inside = segment_rows.select(ways, part)
        near, far = np.where(short[part, 0], [inside.right, inside.left], [inside.left, inside.right])
        end = _lever_ends(inside, near, far)
        left, right = np.array(ways.left), np.array(ways.right)
        left[part], right[part] = np.minimum(near, end), np.maximum(near, end)
        ways = ways._replace(left=left, right=right)
        inside = segment_rows.select(ways, part)
        values[part] = _pushed(inside, segments.points(inside, segments.ENDS))
    return ways, values, crest


def _lever_ends(ways: Segments, near: Array, far: Array) -> Array:
    """Farthest ball angle from `near` toward `far` at which the finger has a lever [rad]."""
    return bisected(lambda phi: ~np.isneginf(_pushed(ways, phi)), near, far, LEVER_ROUNDS)[0]


def farthest(one: Way) -> Peak:
    """Let-go: largest blade angle of the slipping ball [rad], at which the dimple lets the blade go.

    Parameters
    ----------
    one : Way
        Of n designs.

    Returns
    -------
    Peak
        Fields of shape (n,).

    Notes
    -----
    Maximum of `theta = phi - eps + C T_open(phi)`. Derived in studies/00-the-model.ipynb.
    """
    return extrema.peak(one.segments, one.theta, segments.opening_angle, one.falls)


def turns_back(one: Way) -> Truth:
    """Truth of each design that the blade snaps, shape (n,): the slipping ball's blade angle falls somewhere.

    `d theta/d phi = 1 + C dT/d phi < 0` somewhere; derived in studies/00-the-model.ipynb.
    """
    return segment_rows.any_of(one.segments, one.falls | _falls_before(one))


def _falls_before(one: Way) -> Truth:
    """Segments at whose inner end the blade angle lies below that at the outer end of the segment before."""
    same = one.segments.design[1:] == one.segments.design[:-1]
    with np.errstate(invalid="ignore"):
        drops = one.theta[1:, 0] < one.theta[:-1, 3] - stable.STANDS
    return np.concatenate([[False], same & drops])
