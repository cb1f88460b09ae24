"""The ball's way through the dimple as a list of stretches, for many designs at once.

The way of each design is cut at every place where something changes: another piece of the dimple carries the ball,
the bar's face comes down on the tang, a radial error bends the path. On a stretch everything is smooth, and what is
sought (most torque, most push, farthest blade angle) rises to one crest at most. So it lies at an end or, where the
slopes at the ends say so, at a crest between, and only those few stretches are searched.

Why one crest: on a round edge of radius Q about the ball's centre path, with `N = A + B cos psi` (B = k Q > 0), the
wedge torque `N tan(psi + lambda)` has the slope of `A + B cos psi - B/2 sin psi sin(2 psi + 2 lambda)`, which only
falls as psi grows to where the ball locks; on a flank N alone changes, evenly. A radial error bends this within a few
times itself; there the way is cut more finely, and tests look everywhere.

All stretches of all designs stand in one flat list, in the order of the designs and outward; empty ones are left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.balance import BallContact, SolvedDetent, Spring
from detentsim.mechanics.path import at_ball_angle
from detentsim.mechanics.path.at_ball_angle import T, Torques
from detentsim.mechanics.record import Array, Index, Record, Truth
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Points of a stretch that tell value and slope at its ends, as shares of its width.
ENDS = np.array([0.0, 1e-6, 1 - 1e-6, 1.0])

# Narrower stretches come from rounding where two places meet [rad].
HAIR = 1e-14


class Segments(NamedTuple):
    """Stretches of ball angle; shape (m,) where not told otherwise."""

    design: Index  # which design it belongs to; never falls
    first: Index  # of each design, shape (n,): where its stretches begin
    left: Array  # [rad]
    right: Array  # [rad]
    r: Array  # of the piece of the dimple that carries the ball, as in `dimple.Pieces`
    z: Array
    size: Array
    straight: Truth
    bears: Truth  # whether the ball carries the bar, or the bar's face lies on the tang
    record: Record  # of the stretch's design; fields that all designs share stay 0-d
    spring: Spring


Rule = Callable[[Segments, Array], Array]


def flatten(solved: SolvedDetent, shape: tuple[int, ...]) -> SolvedDetent:
    """Designs on one flat axis; what all of them share stays as it is, without an axis."""

    def flat(field: Array, tail: tuple[int, ...]) -> Array:
        if field.size == math.prod(tail):
            return field.reshape(tail)
        if field.size and not any(field.strides[: field.ndim - len(tail)]):
            return np.asarray(field[(0,) * (field.ndim - len(tail))])
        return np.broadcast_to(field, (*shape, *tail)).reshape(-1, *tail)

    record = Record(*(flat(np.asarray(field), ()) for field in solved.record))
    spring = Spring(*(flat(np.asarray(field), ()) for field in solved.spring))
    return SolvedDetent(record, spring, envelope.Pieces(*(flat(field, field.shape[-1:]) for field in solved.shape)))


def select_designs(solved: SolvedDetent, index: Index | Truth) -> SolvedDetent:
    """Some designs of a lean load."""
    record, spring = _own(solved, index)
    pieces = (field[index] if field.ndim > 1 else field for field in solved.shape)
    return SolvedDetent(record, spring, envelope.Pieces(*pieces))


def _own(solved: SolvedDetent, index: Index | Truth) -> tuple[Record, Spring]:
    """Record and bar of some designs; what all share stays without an axis."""
    return Record(*(_of(f, index) for f in solved.record)), Spring(*(_of(f, index) for f in solved.spring))


def _of(field: NDArray[T], index: Index | Truth) -> NDArray[T]:
    return np.asarray(field[index]) if np.ndim(field) else field


def cut(solved: SolvedDetent, start: Array, end: Array) -> Segments:
    """Cut the ball angles from `start` to `end` [rad] at every change of contact.

    Parameters
    ----------
    solved : Load
        Lean: fields of shape (n,) or none.
    start, end : array, shape (n,)
        A way of no length keeps one stretch of no width.

    Returns
    -------
    Stretches
    """
    left, right = _edges(solved, start, np.maximum(start, end))
    keep = right > left + HAIR
    keep[:, -1] |= ~np.any(keep, axis=-1)
    design = np.broadcast_to(np.arange(start.size)[:, None], keep.shape)[keep]
    left, right = left[keep], right[keep]
    record, spring = _own(solved, design)
    middle, _ = balance.offset_at_phi(record, (left + right) / 2)
    shape = solved.shape
    begins = shape.start[design, 1:] if shape.start.ndim > 1 else shape.start[1:]
    piece = np.sum(middle[:, None] >= begins, axis=-1)
    flat = piece >= envelope.PIECES
    piece = np.minimum(piece, envelope.PIECES - 1)
    r, z, size = (np.where(flat, 0.0, _pick(field, design, piece)) for field in (shape.r, shape.z, shape.size))
    first = np.searchsorted(design, np.arange(start.size))
    straight = envelope.STRAIGHT[piece] | flat
    height, _ = dimple.on_piece(middle, r, z, size, straight, record.ball_radius)
    bears = record.ball_radius - height <= spring.protrusion
    return Segments(design, first, left, right, r, z, size, straight, bears, record, spring)


def _edges(solved: SolvedDetent, start: Array, end: Array) -> tuple[Array, Array]:
    """Both ends of all stretches, empty ones too, shape (n, j) [rad]."""
    record = solved.record
    wide = (start.size, 1)
    angles = [balance.phi_at_offset(record, solved.shape.start[..., i]) for i in range(1, envelope.PIECES)]
    # No rounding shift may open a stretch beyond the mouth, which `end` names by the same formula.
    angles += [balance.phi_at_offset(record, at_ball_angle.loose_offset(solved))]
    bent = np.abs(record.radial_error / record.pivot_to_ball)
    # A radial error bends the path within a few times itself; cuts there keep each stretch to one crest.
    angles += [share * bent for share in (0.5, 1.0, 2.0, 4.0, 16.0)] if np.any(bent) else []
    mouth = at_ball_angle.mouth_angle(solved)
    low, high = start[:, None], end[:, None]
    columns = [np.broadcast_to(np.reshape(angle, (-1, 1)), wide) for angle in (*angles, mouth)]
    inner = np.sort(np.clip(np.concatenate(columns, axis=1), low, high), axis=-1)
    return np.concatenate([low, inner], axis=1), np.concatenate([inner, high], axis=1)


def _pick(field: Array, design: Index, piece: Index) -> Array:
    """Value of one piece for each stretch."""
    return field[piece] if field.ndim == 1 else field[design, piece]


def select(ways: Segments, index: Index | Truth) -> Segments:
    """Some stretches; `first` no longer means anything."""
    return _each(ways, lambda field: _of(field, index))._replace(design=ways.design[index])


def _each(ways: Segments, change: Callable[[NDArray[Any]], NDArray[Any]]) -> Segments:
    """The same done to every field of the stretches and of their designs."""
    left, right, r, z, size = (change(field) for field in ways[2:7])
    record, spring = Record(*map(change, ways.record)), Spring(*map(change, ways.spring))
    straight, bears = change(ways.straight), change(ways.bears)
    return Segments(ways.design, ways.first, left, right, r, z, size, straight, bears, record, spring)


def contact_at(ways: Segments, phi: Array) -> tuple[BallContact, Array]:
    """Contact and the bar's push on the tang [N] at ball angles `phi` [rad]; fields as wide as `phi`."""
    record, bar = ways.record, ways.spring
    offset, along = balance.offset_at_phi(record, phi)
    height, sine = dimple.on_piece(offset, ways.r, ways.z, ways.size, ways.straight, record.ball_radius)
    depth = record.ball_radius - height
    return BallContact(depth, sine, along), balance.tang_force(bar, depth)


def torques(ways: Segments, phi: Array, *, static: bool = False) -> Torques:
    """Torques at ball angles `phi` [rad] of each stretch, shape (m,) or (m, k)."""
    ways = widened(ways) if phi.ndim > 1 else ways
    found, push = contact_at(ways, phi)
    force = np.where(ways.bears, push, 0.0)
    opening, closing = (_torque(ways, found, force, opening=sense, static=static) for sense in (True, False))
    return Torques(opening, closing, force, push, found.depth, found.sine)


def torque(ways: Segments, phi: Array, *, opening: bool) -> Array:
    """Torque of one sense of motion alone, at ball angles `phi` [rad] of shape (m,) or (m, k) [N m]."""
    return torque_and_push(ways, phi, opening=opening)[0]


def torque_and_push(ways: Segments, phi: Array, *, opening: bool) -> tuple[Array, Array]:
    """The same with the bar's push on the tang [N]."""
    ways = widened(ways) if phi.ndim > 1 else ways
    found, push = contact_at(ways, phi)
    return _torque(ways, found, np.where(ways.bears, push, 0.0), opening=opening), push


def _torque(ways: Segments, found: BallContact, force: Array, *, opening: bool, static: bool = False) -> Array:
    record = ways.record
    mu = record.static_friction if static else record.friction
    return balance.torque(force, found, mu, record.pivot_to_ball, ways.spring.swing, opening=opening)


def widened(ways: Segments) -> Segments:
    """Stretches with one more axis, for several points of each."""

    def wide(field: NDArray[Any]) -> NDArray[Any]:
        return field[:, None] if np.ndim(field) == 1 else field

    return _each(ways, wide)


def points(ways: Segments, shares: Array) -> Array:
    """Ball angles at shares of each stretch's width, shape (m, k) [rad]."""
    return np.asarray(ways.left[:, None] + (ways.right - ways.left)[:, None] * shares)


def angle(ways: Segments, phi: Array, torque: Array) -> Array:
    """Blade angle for ball angle and torque, `phi - eps + C T` [rad]; shapes (m,) or (m, k)."""
    give, eps = ways.spring.twist_give, ways.record.overclose
    if phi.ndim > 1:
        give, eps = (field[:, None] if np.ndim(field) else field for field in (give, eps))
    return phi - eps + at_ball_angle.twist(give, torque)


def opening_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the opening ball [rad]."""
    return angle(ways, phi, torque(ways, phi, opening=True))


def closing_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the closing ball [rad]."""
    return angle(ways, phi, torque(ways, phi, opening=False))


def root(ways: Segments, low: Array, high: Array, rule: Rule) -> Array:
    """Ball angle between `low` and `high` where a quantity changes sign; `low` where there is no room [rad]."""

    def value(phi: Array, index: Index) -> Array:
        return rule(select(ways, index), phi)

    crossing = bracketed_root(value, low, high)
    return np.where(np.isnan(crossing), low, crossing)


def last(ways: Segments, truth: Truth) -> Index:
    """Last stretch of each design for which something holds, as its place in the list; -1 where none."""
    return np.maximum.reduceat(np.where(truth, np.arange(ways.design.size), -1), ways.first)


def first(ways: Segments, truth: Truth) -> Index:
    """First stretch of each design for which something holds, as its place in the list; past the list where none."""
    count = ways.design.size
    return np.minimum.reduceat(np.where(truth, np.arange(count), count), ways.first)


def any_of(ways: Segments, truth: Truth) -> Truth:
    """Whether something holds on any stretch of each design."""
    return np.logical_or.reduceat(truth, ways.first)
