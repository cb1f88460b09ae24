"""Path of the ball through the dimple as a list of segments, for many designs at once.

The path of each design is cut wherever contact changes: another piece of the dimple carries the ball, the bar's face
comes down on the tang, a radial error bends the path. On a segment every quantity is smooth, and those whose maximum
matters (torque, finger force, blade angle) have one crest at most. So the maximum lies at an end or, where the slopes
at the ends show a crest, inside; only those few segments are searched (``extrema``).

One crest (derived): on a round edge of radius Q about the ball's centre path, with `N = A + B cos psi` (B = k Q > 0),
the wedge torque `N tan(psi + lambda)` has the slope of `A + B cos psi - B/2 sin psi sin(2 psi + 2 lambda)`, which
decreases up to the angle psi where the ball locks; on a flank only N changes, linearly. A radial error disturbs this
within a few times its own size; there the cuts are closer, and tests compare with a dense grid.

All segments of all designs stand in one flat list, in the order of the designs and outward; empty ones are left out.
"""

from __future__ import annotations

import math

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.balance import BallContact
from detentsim.mechanics.detent.solution import SolvedDetent, Spring, Torques
from detentsim.mechanics.path.segment_rows import Rule, Segments, record_and_spring, select, widened
from detentsim.mechanics.record import Array, Index, Record
from detentsim.mechanics.roots import bracketed_root


def loose_offset(solved: SolvedDetent) -> Array:
    """Offset within which the ball hangs loose or the bar's face lies on the tang, `s_L`; 0 where neither happens [m].

    Shape of the designs. The offset at depth `min(p, Y)`, with protrusion `p` and reach `Y`. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> float(loose_offset(ds.curve(ds.demo()).response.load))
    0.0
    """
    limit = np.minimum(solved.spring.protrusion, solved.spring.reach)
    return dimple.offset_at_depth(solved.shape, np.maximum(limit, 0))


def mouth_angle(solved: SolvedDetent) -> Array:
    """Ball angle at which the ball reaches the flat face around the dimple [rad]; shape of the designs.

    >>> import detentsim as ds
    >>> round(float(np.degrees(mouth_angle(ds.curve(ds.demo()).response.load))), 3)
    7.946
    """
    return balance.phi_at_offset(solved.record, solved.shape.start[..., -1])


# Points of a segment that give value and slope at both ends, as shares of its width.
ENDS = np.array([0.0, 1e-6, 1 - 1e-6, 1.0])

# Narrower segments come from rounding where two cuts coincide [rad].
HAIR = 1e-14


def flatten(solved: SolvedDetent, shape: tuple[int, ...]) -> SolvedDetent:
    """Designs in one row of n, the product of `shape`; fields that all designs share stay without an axis.

    >>> import detentsim as ds
    >>> flat = flatten(ds.curve(ds.demo()).response.load, (2, 3))
    >>> flat.record.bend.shape, flat.shape.r.shape
    ((), (7,))
    """

    def flat(field: Array, tail: tuple[int, ...]) -> Array:
        if field.size == math.prod(tail):
            return field.reshape(tail)
        if field.size and not any(field.strides[: field.ndim - len(tail)]):
            return np.asarray(field[(0,) * (field.ndim - len(tail))])
        return np.broadcast_to(field, (*shape, *tail)).reshape(-1, *tail)

    record = Record(*(flat(np.asarray(field), ()) for field in solved.record))
    spring = Spring(*(flat(np.asarray(field), ()) for field in solved.spring))
    return SolvedDetent(record, spring, dimple.Pieces(*(flat(field, field.shape[-1:]) for field in solved.shape)))


def cut(solved: SolvedDetent, start: Array, end: Array) -> Segments:
    """Cut the path of each design into segments.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    start, end : array, shape (n,)
        Ball angles of the path's ends [rad]; a path that ends before it starts is one segment of no width.

    Returns
    -------
    Segments

    Examples
    --------
    >>> import detentsim as ds
    >>> flat = flatten(ds.curve(ds.demo()).response.load, ())
    >>> ways = cut(flat, np.zeros(1), np.full(1, 0.1))
    >>> float(ways.left[0]), float(ways.right[-1]), bool(np.all(ways.right[:-1] == ways.left[1:]))
    (0.0, 0.1, True)
    """
    left, right = _edges(solved, start, np.maximum(start, end))
    keep = right > left + HAIR
    keep[:, -1] |= ~np.any(keep, axis=-1)
    design = np.broadcast_to(np.arange(start.size)[:, None], keep.shape)[keep]
    left, right = left[keep], right[keep]
    record, spring = record_and_spring(solved, design)
    middle, _ = balance.offset_at_phi(record, (left + right) / 2)
    shape = solved.shape
    begins = shape.start[design, 1:] if shape.start.ndim > 1 else shape.start[1:]
    piece = np.sum(middle[:, None] >= begins, axis=-1)
    flat = piece >= dimple.PIECES
    piece = np.minimum(piece, dimple.PIECES - 1)
    r, z, size = (np.where(flat, 0.0, _pick(field, design, piece)) for field in (shape.r, shape.z, shape.size))
    first = np.searchsorted(design, np.arange(start.size))
    straight = dimple.STRAIGHT[piece] | flat
    height, _ = dimple.on_piece(middle, r, z, size, straight, record.ball_radius)
    bears = record.ball_radius - height <= spring.protrusion
    return Segments(design, first, left, right, r, z, size, straight, bears, record, spring)


def _edges(solved: SolvedDetent, start: Array, end: Array) -> tuple[Array, Array]:
    """Both ends of all segments, empty ones included, shape (n, j) [rad]."""
    record = solved.record
    wide = (start.size, 1)
    angles = [balance.phi_at_offset(record, solved.shape.start[..., i]) for i in range(1, dimple.PIECES)]
    # The mouth comes from the formula that gave `end`, so that rounding opens no segment beyond it.
    angles += [balance.phi_at_offset(record, loose_offset(solved))]
    bent = np.abs(record.radial_error / record.pivot_to_ball)
    # A radial error bends the path within a few times its own size; cuts there leave one crest to a segment.
    angles += [share * bent for share in (0.5, 1.0, 2.0, 4.0, 16.0)] if np.any(bent) else []
    mouth = mouth_angle(solved)
    low, high = start[:, None], end[:, None]
    columns = [np.broadcast_to(np.reshape(angle, (-1, 1)), wide) for angle in (*angles, mouth)]
    inner = np.sort(np.clip(np.concatenate(columns, axis=1), low, high), axis=-1)
    return np.concatenate([low, inner], axis=1), np.concatenate([inner, high], axis=1)


def _pick(field: Array, design: Index, piece: Index) -> Array:
    """Value of one piece of the dimple for each segment."""
    return field[piece] if field.ndim == 1 else field[design, piece]


def contact_at(ways: Segments, phi: Array) -> tuple[BallContact, Array]:
    """Contact of the ball and force of the bar on the tang [N] at ball angles `phi` [rad]; fields of that shape."""
    record, bar = ways.record, ways.spring
    offset, along = balance.offset_at_phi(record, phi)
    height, sine = dimple.on_piece(offset, ways.r, ways.z, ways.size, ways.straight, record.ball_radius)
    depth = record.ball_radius - height
    return BallContact(depth, sine, along), balance.tang_force(bar, depth)


def torques(ways: Segments, phi: Array, *, static: bool = False) -> Torques:
    """Torques, forces and depth at ball angles `phi` [rad] on each segment; fields of shape (m,) or (m, k).

    `static` takes the static coefficient of friction. Balance of forces in `balance.torque`, derived in
    studies/00-the-model.ipynb.
    """
    ways = widened(ways) if phi.ndim > 1 else ways
    touch, push = contact_at(ways, phi)
    force = np.where(ways.bears, push, 0.0)
    opening, closing = (_torque(ways, touch, force, opening=sense, static=static) for sense in (True, False))
    return Torques(opening, closing, force, push, touch.depth, touch.sine)


def torque(ways: Segments, phi: Array, *, opening: bool) -> Array:
    """Torque in one sense of motion at ball angles `phi` [rad] of shape (m,) or (m, k) [N m].

    The opening torque resists, the closing torque pulls in where positive. Balance of forces in `balance.torque`,
    derived in studies/00-the-model.ipynb.
    """
    return torque_and_push(ways, phi, opening=opening)[0]


def torque_and_push(ways: Segments, phi: Array, *, opening: bool) -> tuple[Array, Array]:
    """Torque [N m] and force of the bar on the tang [N] in one sense of motion, at ball angles `phi` [rad].

    Shapes (m,) or (m, k). Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    ways = widened(ways) if phi.ndim > 1 else ways
    touch, push = contact_at(ways, phi)
    return _torque(ways, touch, np.where(ways.bears, push, 0.0), opening=opening), push


def _torque(ways: Segments, touch: BallContact, force: Array, *, opening: bool, static: bool = False) -> Array:
    record = ways.record
    mu = record.static_friction if static else record.friction
    return balance.torque(force, touch, mu, record.pivot_to_ball, ways.spring.swing, opening=opening)


def points(ways: Segments, shares: Array) -> Array:
    """Ball angles at shares of each segment's width, shape (m, k) [rad]."""
    return np.asarray(ways.left[:, None] + (ways.right - ways.left)[:, None] * shares)


def angle(ways: Segments, phi: Array, torque: Array) -> Array:
    """Blade angle for ball angle and torque, `theta = phi - eps + C T` [rad].

    `phi` [rad] and `torque` [N m] have shape (m,) or (m, k). Derived in studies/00-the-model.ipynb.
    """
    give, eps = ways.spring.twist_give, ways.record.overclose
    if phi.ndim > 1:
        give, eps = (field[:, None] if np.ndim(field) else field for field in (give, eps))
    return phi - eps + balance.twist(give, torque)


def opening_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in opening at ball angles `phi` of shape (m,) or (m, k) [rad].

    `theta = phi - eps + C T_open(phi)`, derived in studies/00-the-model.ipynb.
    """
    return angle(ways, phi, torque(ways, phi, opening=True))


def closing_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in closing at ball angles `phi` of shape (m,) or (m, k) [rad].

    `theta = phi - eps + C T_close(phi)`, derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> flat = flatten(ds.curve(ds.demo()).response.load, ())
    >>> ways = cut(flat, np.zeros(1), np.full(1, 0.1))
    >>> bool(np.all(closing_angle(ways, ways.left) <= opening_angle(ways, ways.left)))
    True
    """
    return angle(ways, phi, torque(ways, phi, opening=False))


def root(ways: Segments, low: Array, high: Array, rule: Rule) -> Array:
    """Ball angle between `low` and `high` at which a quantity changes sign, shape (m,) [rad]; `low` where it does not.

    `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (m,).
    """

    def value(phi: Array, index: Index) -> Array:
        return rule(select(ways, index), phi)

    crossing = bracketed_root(value, low, high)
    return np.where(np.isnan(crossing), low, crossing)
