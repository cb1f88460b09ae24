"""Breakout torque, breakout force, let-go angle and snap of the opening blade.

Stands on the rest position (``rest``) and the segments of the path; ``response`` gives the results, ``work`` adds the
energy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.path import contact_at, extrema, segment_rows, segments, stable

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.mechanics.detent.rest import Rest
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.path.segment_rows import Path, Rule, Segments
    from detentsim.mechanics.record import Array, Index, Record, Truth


class OpeningPath(NamedTuple):
    """Path of the ball in opening, from rest to the flat, for n designs with m segments."""

    load: SolvedDetent  # flattened, n designs
    rest: Rest
    path: Path  # from rest to the flat
    theta: Array  # blade angle at the segments' ends, shape (2, m) [rad]
    turning: Array  # its slope over the ball angle there [-]
    falls: Truth  # segments on which the blade angle falls somewhere, shape (m,)
    top: Array  # largest blade angle of the slipping ball on each segment, shape (m,) [rad]
    at_top: Array  # ball angle there [rad]
    most: Array  # largest torque against opening on each segment, shape (m,) [N m]
    at_most: Array  # ball angle there [rad]

    @property
    def segments(self) -> Segments:
        """Segments of the path, from rest to the flat."""
        return self.path.ways


def opened(solved: SolvedDetent, at_rest: Rest, way: Path) -> OpeningPath:
    """Path of the ball in opening, with torques and blade angles at the ends of its segments.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    at_rest : Rest
        Of shape (n,).
    way : Path
        From rest to the flat.

    Returns
    -------
    OpeningPath
    """
    ways, at_ends = way
    theta = segments.angle(ways, segments.ends(ways), at_ends.torque)
    turning = segments.turning(ways, at_ends.torque_slope)
    falling = stable.falls(ways, at_ends.torque, theta, turning, opening=True)
    top, at_top = extrema.crests(ways, theta, turning, stable.climb(opening=True), falling, rule=stable.opening_turn)
    most, at_most = extrema.crests(ways, at_ends.torque, at_ends.torque_slope, _resisting)
    return OpeningPath(solved, at_rest, way, theta, turning, falling, top, at_top, most, at_most)


def _resisting(ways: Segments, phi: Array) -> tuple[Array, Array]:
    return segments.climb(ways, phi, opening=True)


def breakout_torque(one: OpeningPath) -> tuple[Array, Array, Array]:
    """Largest torque against opening [N m], its blade angle [rad], and the force of the bar on the tang there [N].

    Parameters
    ----------
    one : OpeningPath
        Of n designs.

    Returns
    -------
    torque, angle, push : array, shape (n,)
        The torque is inf where the ball locks.

    Notes
    -----
    Largest of the stick limit at rest and of `T_open` along the path. Derived in studies/00-the-model.ipynb.
    """
    row = extrema.highest(one.segments, one.most)
    top, phi = one.most[row], one.at_most[row]
    rest, eps = one.rest, one.load.record.overclose
    sticks = rest.stick > top
    angle = phi - eps + balance.twist(one.load.spring.twist_give, top)
    push = contact_at.contact(segment_rows.select(one.segments, row), phi).push
    torque = np.where(sticks, rest.stick, top)
    return torque, np.where(sticks, rest.slip, angle), np.where(sticks, rest.at.push, push)


def breakout_force(one: OpeningPath, let_go: Array) -> tuple[Array, Array]:
    """Largest force of the finger [N] and its blade angle [rad]; NaN where its lever is too short on the way.

    Parameters
    ----------
    one : OpeningPath
        Of n designs.
    let_go : array, shape (n,)
        Blade angle at let-go [rad].

    Returns
    -------
    force, angle : array, shape (n,)

    Notes
    -----
    Maximum of `pivot.finger_force` from rest to let-go, apart from that of the torque. While the ball sticks the torque
    grows in proportion to the blade angle, so that the force has no maximum inside that range: it is largest at one of
    its ends. Derived in studies/00-the-model.ipynb.
    """
    rest, record = one.rest, one.load.record
    face = contact_at.face_drag(segment_rows.select(one.segments, one.segments.first), rest.at.push)
    held = pivot.finger_force(record, rest.angle, np.maximum(rest.start, 0) + face, rest.at.push)
    stick = pivot.finger_force(record, rest.slip, rest.stick + face, rest.at.push)
    sticks = stick >= held
    force, angle = np.where(sticks, stick, held), np.where(sticks, rest.slip, rest.angle)
    top, theta = _slipping_force(one, force)
    row = extrema.highest(one.segments, top)
    slips = top[row] > force
    force, angle = np.where(slips, top[row], force), np.where(slips, theta[row], angle)
    lasts = pushed_through(one, let_go)
    return np.where(lasts, force, np.nan), np.where(lasts, angle, np.nan)


def pushed_through(one: OpeningPath, let_go: Array) -> Truth:
    """Truth of the finger having a lever all the way from rest to let-go at `let_go` [rad]; shape (n,)."""
    return pivot.lever_lasts(one.load.record, one.rest.angle, let_go)


def _slipping_force(one: OpeningPath, stick: Array) -> tuple[Array, Array]:
    """Largest force of the finger on each segment [N], -inf where it is jumped over, and its blade angle [rad].

    Where the force that the sticking ball needs, `stick`, or that on another segment is larger, one that is jumped over
    in part is not searched for the part that is not.
    """
    ways, pushed, ends = one.segments, _pushed(one.load.record), one.path.at_ends
    crest = extrema.has_crest(ends.torque_slope)
    felt, rise = (ends.torque, ends.push), (ends.torque_slope, ends.push_slope)
    force, slope = _force(one.load.record, ways, one.theta, felt, rise)
    near = None if ways.bed is None else one.at_most
    top, where = extrema.crests(ways, force, slope, pushed, crest, near, _pushed_alone(one.load.record))
    theta = np.where(where == ways.right, one.theta[1], one.theta[0])
    inside = np.flatnonzero((where > ways.left) & (where < ways.right))
    theta[inside] = segments.opening_angle(segment_rows.select(ways, inside), where[inside])
    least = _least_ahead(one)
    behind = theta < least(np.arange(top.size), where)
    if behind.any():
        counted = np.where(behind, -np.inf, top)
        best = np.maximum(stick, np.maximum.reduceat(counted, ways.first))
        rows = np.flatnonzero(behind & (top > best[ways.design]))
        top = counted
        if rows.size:
            top[rows], theta[rows] = _ahead(
                segment_rows.select(ways, rows), _pushed_alone(one.load.record), least, rows
            )
    return top, theta


def _least_ahead(one: OpeningPath) -> Callable[[Index, Array], Array]:
    """Function of segment rows and ball angles [rad]: blade angle that the blade has reached before [rad]."""
    before = stable.largest_before(one.segments.design, one.top, one.rest.slip) - stable.STANDS
    beyond = np.maximum(before, one.top - stable.STANDS)
    return lambda rows, phi: np.where(phi <= one.at_top[rows], before[rows], beyond[rows])


def _ahead(ways: Segments, pushed: Rule, least: Callable[[Index, Array], Array], rows: Index) -> tuple[Array, Array]:
    """Largest force of the finger that is not jumped over, on segments of given rows; its blade angle."""

    def rule(ways: Segments, phi: Array) -> Array:
        return np.where(segments.opening_angle(ways, phi) < least(rows, phi), -np.inf, pushed(ways, phi))

    places = [ways.left, ways.right, extrema.zoom(ways, rule, ways.left, ways.right)[1]]
    values = [rule(ways, place) for place in places]
    best = np.argmax(values, axis=0)
    return np.max(values, axis=0), segments.opening_angle(ways, np.choose(best, places))


# Fields of the record that the finger's force takes.
_FINGER = (
    "pivot_torque",
    "washer_friction",
    "washer_radius",
    "friction_circle",
    "pivot_to_ball",
    "opener_radius",
    "push_angle",
    "push_follows",
)


def _pushed(record: Record) -> extrema.Climb:
    """Function that gives the force of the finger [N] and its slope over the ball angle [N/rad]."""

    def pushed(ways: Segments, phi: Array) -> tuple[Array, Array]:
        torque, push, torque_slope, push_slope = segments.felt_at(ways, phi)
        theta = segments.angle(ways, phi, torque)
        return _force(record, ways, theta, (torque, push), (torque_slope, push_slope))

    return pushed


def _pushed_alone(record: Record) -> Rule:
    """Function that gives the force of the finger alone [N]; -inf where its lever is too short."""

    def pushed(ways: Segments, phi: Array) -> Array:
        touch = contact_at.contact(ways, phi)
        torque = contact_at.torque_of(ways, touch, opening=True)
        turned, face = segments.angle(ways, phi, torque), contact_at.face_drag(ways, touch.push)
        force = pivot.finger_force(_finger(record, ways), turned, torque + face, touch.push)
        return np.where(np.isnan(force), -np.inf, force)

    return pushed


def _finger(record: Record, ways: Segments) -> Record:
    """Record of the segments' designs, in the fields that the finger's force takes."""
    fields = {name: getattr(record, name) for name in _FINGER}
    return record._replace(**{name: field[ways.design] for name, field in fields.items() if np.ndim(field)})


def _force(
    record: Record, ways: Segments, theta: Array, felt: tuple[Array, Array], rise: tuple[Array, Array]
) -> tuple[Array, Array]:
    """Force of the finger at blade angles [N], with the drag of the bar's face where it lies on the tang; its slope.

    `felt` has the ball's torque [N m] and the bar's force on the tang [N], `rise` their slopes over the ball angle.
    Where the lever is too short to give a force: -inf, and a slope of 0.
    """
    finger = _finger(record, ways)
    torque, climb = (one + contact_at.face_drag(ways, push) for one, push in (felt, rise))
    force = pivot.finger_force(finger, theta, torque, felt[1])
    slope = pivot.finger_slope(finger, theta, force, (climb, rise[1], segments.turning(ways, rise[0])))
    short = np.isnan(force)
    return np.where(short, -np.inf, force), np.where(short, 0.0, slope)


def let_go_angle(one: OpeningPath) -> Array:
    """Let-go: largest blade angle of the slipping ball, at which the dimple lets the blade go, shape (n,) [rad].

    Maximum of `theta = phi - eps + C T_open(phi)`. Derived in studies/00-the-model.ipynb.
    """
    return np.maximum.reduceat(one.top, one.segments.first)


def turns_back(one: OpeningPath) -> Truth:
    """Truth of each design that the blade snaps, shape (n,): the slipping ball's blade angle falls somewhere.

    `d theta/d phi = 1 + C dT/d phi < 0` somewhere; derived in studies/00-the-model.ipynb.
    """
    return segment_rows.any_of(one.segments, one.falls | _falls_before(one))


def _falls_before(one: OpeningPath) -> Truth:
    """Segments at whose inner end the blade angle lies below that at the outer end of the segment before."""
    same = one.segments.design[1:] == one.segments.design[:-1]
    with np.errstate(invalid="ignore"):
        drops = one.theta[0, 1:] < one.theta[1, :-1] - stable.STANDS
    return np.concatenate([[False], same & drops])
