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
from detentsim.mechanics.contact.bedding import leaning, pressing, sharing, wedging
from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import SolvedDetent, Spring
from detentsim.mechanics.path import contact_at
from detentsim.mechanics.path.contact_at import Felt, contact, felt, torque_of
from detentsim.mechanics.path.segment_rows import HAIR, Bed, Columns, Path, Rule, Segments, in_runs, some_or_all
from detentsim.mechanics.record import Array, Index, Record
from detentsim.mechanics.roots import bracketed_root

# 1 on flanks and cones, 1 on circles, 0 else; by the number of the piece, the flat included.
SLOPED = np.append(dimple.STRAIGHT, False).astype(float)
ROUND = np.append(~dimple.STRAIGHT, False).astype(float)

# How a rim gives.
RULES = wedging.Rules(pressing.spread, pressing.widens, pressing.carried, pressing.sinking, leaning.leans)
BED = Bed(
    sharing.mixed, sharing.mixed_rise, lambda *at: wedging.spread(RULES, *at), leaning.pressed,
    lambda *at: wedging.widens(RULES, *at), leaning.slopes)  # fmt: skip

# Accuracy of a root [rad].
NEAR = 1e-13


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
    >>> ways = cut(flatten(ds.curve(ds.demo()).response.load, ()), np.zeros(1), np.full(1, 0.1))
    >>> float(ways.left[0]), float(ways.right[-1]), bool(np.all(ways.right[:-1] == ways.left[1:]))
    (0.0, 0.1, True)
    """
    edges = _edges(solved, start, np.maximum(start, end))
    keep = edges[1:] > edges[:-1] + HAIR
    keep[-1] |= ~keep.any(axis=0)
    kept = np.count_nonzero(keep, axis=0)
    design = np.repeat(np.arange(start.size), kept)
    # Row numbers of the ends, design by design: NumPy's own search in two dimensions takes longer.
    column = np.flatnonzero(np.ascontiguousarray(keep.T)) - design * keep.shape[0]
    place = column * start.size + design
    left, right = edges.take(place), edges.take(place + start.size)
    return _carried(solved, design, np.cumsum(kept) - kept, left, right)


def _carried(solved: SolvedDetent, design: Index, first: Index, left: Array, right: Array) -> Segments:
    """Segments between ball angles, with the piece of the dimple and the push of the bar at their middle."""
    record, spring, shape = solved.record, solved.spring, solved.shape

    def of(field: Array) -> Array:
        return field[design] if np.ndim(field) else field

    ball, eccentric, arm = of(record.ball_radius), of(record.radial_error), of(record.pivot_to_ball)
    twice_ball, twice_dimple, error = 2 * arm, 2 * (arm + eccentric), eccentric**2
    centred, square = not np.any(record.radial_error), not np.any(spring.swing)
    half = np.tan((left + right) / 4)
    middle = np.sqrt(error + twice_ball * twice_dimple * half**2 / (1 + half**2))
    # A soft bar may turn a ball on the flat so far that the dimple would come round again: it stays on the flat.
    piece = np.where(left < of(mouth_angle(solved)), _piece_at(shape, design, middle), dimple.PIECES)
    sine, turn, height, cosine, tangent = _lines(shape, design, piece, ball)
    stiffness, reach, protrusion = of(spring.stiffness), of(spring.reach), of(spring.protrusion)
    inside = np.maximum(sine - turn * middle, 0)
    depth = ball - (height + cosine * np.sqrt(np.maximum(1 - inside**2, 0)) + tangent * middle)
    bears, touches = depth <= protrusion, depth < reach
    carries = stiffness * (bears & touches)
    on_face = stiffness * np.maximum(reach - protrusion, 0) * ~bears
    at = Columns(
        left, right, sine, turn, carries * (reach - ball + height) + on_face, carries * cosine, carries * tangent,
        arm * bears, twice_ball, twice_dimple, error, of(record.friction), of(record.static_friction),
        of(spring.swing), of(spring.twist_give), of(record.overclose), *[np.zeros(())] * 9,
    )  # fmt: skip
    if not np.any(spring.bed):
        return Segments(design, first, piece, centred, square, None, at)
    off = piece < dimple.PIECES
    hinge = ball / (ball + of(record.edge_radius))
    at = at._replace(ball=ball, hinge=hinge, bed=of(spring.bed) * off, lift=carries, flat=of(spring.flat) * off)
    places = of(spring.shared), of(spring.alone), of(spring.rubs)
    at = sharing.beside(at, places, shape.meet[design] if shape.meet.ndim > 1 else shape.meet, piece)
    return Segments(design, first, piece, centred, square, BED, at)


def _piece_at(shape: dimple.Pieces, design: Index, offset: Array) -> Index:
    """Piece that carries the ball at an offset of each row, as in `dimple.piece_at`."""
    piece = np.zeros(design.size, np.intp)
    for begin in np.moveaxis(shape.start, -1, 0)[1:]:
        piece += offset >= (begin[design] if begin.ndim else begin)
    return piece


def _lines(shape: dimple.Pieces, design: Index, piece: Index, ball: Array) -> tuple[Array, Array, Array, Array, Array]:
    """Sine at offset 0, its fall per offset; height of the ball's centre at offset 0, per cosine and per offset.

    `sin(psi) = sine - turn s`, `c = height + cosine cos(psi) + tangent s`, on a circle or flank as in
    `dimple.on_piece`; on the flat the sine is 0 and the height the ball's radius.
    """
    sloped, round_ = SLOPED[piece], ROUND[piece]
    inside = np.minimum(piece, dimple.PIECES - 1)
    r, z, size = (
        field[inside] if field.ndim == 1 else field[design, inside] for field in (shape.r, shape.z, shape.size)
    )
    tangent, cosine = sloped * size, round_ * size
    root = np.sqrt(1 + tangent * tangent)
    turn = round_ / (cosine + (1 - round_))
    height = (1 - round_) * ball * root - (sloped + round_) * z - r * tangent
    return tangent / root + r * turn, turn, height, cosine, tangent


def _edges(solved: SolvedDetent, start: Array, end: Array) -> Array:
    """Ends of all segments, empty ones included, one below the other, shape (j, n) [rad]."""
    record = solved.record
    offsets = [*np.moveaxis(solved.shape.start[..., 1 : dimple.PIECES], -1, 0), loose_offset(solved)]
    offsets += sharing.cuts(solved.spring, solved.shape.meet[..., 0], record.friction)
    angles = [balance.phi_at_offset(record, offset) for offset in offsets]
    bent = np.abs(record.radial_error / record.pivot_to_ball)
    # A radial error bends the path within a few times its own size; cuts there leave one crest to a segment.
    angles += [share * bent for share in (0.5, 1.0, 2.0, 4.0, 16.0)] if np.any(bent) else []
    # The mouth comes from the formula that gave `end`, so that rounding opens no segment beyond it.
    edges = np.empty((len(angles) + 3, start.size))
    for row, angle in zip(edges[1:-1], (*angles, mouth_angle(solved)), strict=True):
        np.maximum(angle, start, out=row)
        np.minimum(row, end, out=row)
    edges[0], edges[-1] = start, end
    if len(angles) > dimple.PIECES:
        edges[1:-1].sort(axis=0)
        return edges
    # The pieces stand in order and the mouth lies beyond all: only the loose offset is to be put in its place.
    for low, high in zip(edges[-4:0:-1], edges[-3:1:-1], strict=True):
        low[:], high[:] = np.minimum(low, high), np.maximum(low, high)
    return edges


def walk(solved: SolvedDetent, end: Array) -> Path:
    """Path of each design from the dimple's centre to ball angle `end` (n,) [rad], and what opening takes at its cuts.

    >>> import detentsim as ds
    >>> way = walk(flatten(ds.curve(ds.demo()).response.load, ()), np.full(1, 0.1))
    >>> way.at_ends.torque.shape == (2, way.ways.left.size)
    True
    """
    ways = cut(solved, np.zeros(end.shape), end)
    return Path(ways, felt_at(ways, ends(ways)))


def felt_at(ways: Segments, phi: Array) -> Felt:
    """Torque against opening, push of the bar, and their slopes at ball angles `phi` [rad] of shape (m,) or (k, m)."""
    return Felt(*in_runs(lambda run, phi: felt(run, contact(run, phi)), ways, phi))


def ends(ways: Segments) -> Array:
    """Ball angles at both ends of each segment, shape (2, m) [rad]."""
    return np.stack([ways.left, ways.right])


def points(ways: Segments, shares: Array) -> Array:
    """Ball angles at shares of each segment's width, shape (k, m) [rad]."""
    return np.asarray(ways.left + (ways.right - ways.left) * shares[:, None])


def torque(ways: Segments, phi: Array, *, opening: bool) -> Array:
    """Torque in one sense of motion at ball angles `phi` [rad] of shape (m,) or (k, m) [N m].

    The opening torque resists, the closing torque pulls in where positive. Balance of forces in `balance.torque`,
    derived in studies/00-the-model.ipynb.
    """
    return in_runs(lambda run, phi: (torque_of(run, contact(run, phi), opening=opening),), ways, phi)[0]


def climb(ways: Segments, phi: Array, *, opening: bool) -> tuple[Array, Array]:
    """`torque` [N m] and its slope over the ball angle, 0 where the ball locks [N m/rad], as `contact_at.climb`."""
    value, slope = in_runs(lambda run, phi: contact_at.climb(run, phi, opening=opening), ways, phi)
    return value, slope


def angle(ways: Segments, phi: Array, torque: Array) -> Array:
    """Blade angle for ball angle and torque, `theta = phi - eps + C T` [rad].

    `phi` [rad] and `torque` [N m] have shape (m,) or (k, m). Derived in studies/00-the-model.ipynb.
    """
    return phi - ways.overclose + balance.twist(ways.give, torque)


def turning(ways: Segments, torque_slope: Array) -> Array:
    """Slope of the blade angle over the ball angle, `1 + C dT/d phi` [-], for that of the torque [N m/rad].

    Shapes (m,) or (k, m). Derived in studies/00-the-model.ipynb.
    """
    return np.asarray(1 + balance.twist(ways.give, torque_slope))


def opening_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in opening at ball angles `phi` of shape (m,) or (k, m) [rad].

    `theta = phi - eps + C T_open(phi)`, derived in studies/00-the-model.ipynb.
    """
    return angle(ways, phi, torque(ways, phi, opening=True))


def closing_angle(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in closing at ball angles `phi` of shape (m,) or (k, m) [rad].

    `theta = phi - eps + C T_close(phi)`, derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> ways = cut(flatten(ds.curve(ds.demo()).response.load, ()), np.zeros(1), np.full(1, 0.1))
    >>> bool(np.all(closing_angle(ways, ways.left) <= opening_angle(ways, ways.left)))
    True
    """
    return angle(ways, phi, torque(ways, phi, opening=False))


def root(ways: Segments, low: Array, high: Array, rule: Rule, ends: tuple[Array, Array] | None = None) -> Array:
    """Ball angle between `low` and `high` at which a quantity changes sign, shape (m,) [rad]; `low` where it does not.

    `rule(ways, phi)` gives the quantity at ball angles `phi` of shape (m,); `ends` has it at both, if known.
    """

    def value(phi: Array, index: Index) -> Array:
        return rule(some_or_all(ways, index), phi)

    crossing = bracketed_root(value, low, high, NEAR, ends=ends)
    return np.where(np.isnan(crossing), low, crossing)
