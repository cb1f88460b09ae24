"""The bar as a spring at the ball, and a design solved once: bar stiffness and dimple geometry.

Stands on ``bar`` and on the envelope of the dimple; ``response`` starts here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.contact import dimple, envelope, hertz, rim
from detentsim.mechanics.contact.bedding import sharing
from detentsim.mechanics.contact.section import section
from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import SolvedDetent, Spring

if TYPE_CHECKING:
    from detentsim.mechanics.contact.dimple import Pieces
    from detentsim.mechanics.record import Array, Index, Record

# Part of the riding force under which a ball that hangs loose in its seat meets the rim; it counts in a logarithm only.
LOOSE = 0.3

# Growth of the way on which two edges share the load, with friction times the second one's tangent; the largest
# tangent that counts.
RUBS, STEEP = 2 / 3, 5.0

# Least way on which two edges share the load [m].
NEAREST = 1e-9


def spring(record: Record) -> Spring:
    """Bar as a spring at the ball: stiffness, reach, protrusion, twist compliance; fields of the designs' shape.

    Notes
    -----
    `Y = y_f - g + p + grip/k`: fingers on the bar push the ball in by their force over the stiffness, so that a light
    grip on a bar that stands clear of the tang carries nothing. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> bar = spring(ds.curve(ds.demo()).response.load.record)
    >>> round(float(bar.stiffness) / 1e3, 3), round(float(bar.reach) * 1e3, 3)
    (3.313, 2.072)
    """
    k = beam.bar_stiffness(record)
    give = beam.lateral_compliance(record) / record.pivot_to_ball**2
    reach = bend.free_offset(record) - record.face_gap + record.protrusion + grip_at_ball(record) / k
    return Spring(*np.broadcast_arrays(k, reach, record.protrusion, give, swing(record)))


def swing(record: Record) -> Array:
    """Travel of the ball's contact along its path per unit lift, `chi sin(beta)`, `chi = H delta'/delta` [-].

    `H` is the contact's height over the relief's mid-plane; `delta'/delta` the turn of the elastic bar at the ball over
    its deflection there, under a force at the ball. 0 where the ball travels square across the bar. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(swing(knife._replace(travel_angle=np.array(0.0))))
    0.0
    """
    if not np.any(record.travel_angle):
        return np.zeros_like(record.travel_angle)
    a = record.ball_from_root
    # Beyond the ball the bar is straight: its turn is what it deflects more, as far out again as the ball.
    turn = (beam.flexibility(record, a, 2 * a) / beam.flexibility(record, a, a) - 1) / a
    return np.asarray(beam.contact_height(record) * turn * np.sin(record.travel_angle))


def grip_at_ball(record: Record) -> Array:
    """Force at the ball from fingers that press the bar inward, `P delta(x_P, a)/delta(a, a)` [N].

    `delta` is the flexibility of the bar (`beam.flexibility`). Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(grip_at_ball(knife._replace(grip_force=np.array(10.0), grip_from_root=knife.ball_from_root)))
    10.0
    """
    if not np.any(record.grip_force):
        return np.zeros_like(record.grip_force)
    a = record.ball_from_root
    ratio = beam.flexibility(record, record.grip_from_root, a) / beam.flexibility(record, a, a)
    return record.grip_force * ratio


def solve(record: Record) -> SolvedDetent:
    """Bar stiffness and dimple geometry of a record, solved once; fields broadcast.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> solve(knife).spring.protrusion == knife.protrusion
    np.True_
    """
    bar, shape = spring(record), envelope.pieces(record)
    if not np.any(record.elastic_rim):
        return SolvedDetent(record, bar, shape)
    shape = shape._replace(meet=envelope.hand_over(record, shape))
    return SolvedDetent(record, bedded(record, bar, shape), shape)


def bedded(record: Record, bar: Spring, shape: Pieces) -> Spring:
    """The bar as a spring on a rim that gives: with the fields from `bed` on; 0 where it is rigid.

    The rim's stiffness is that of the edge on which the ball sits, under the seated force, for the whole path: an edge
    that takes the ball over later has it on one flank, where the rim's give hardly counts. Where a second edge carries
    part of the centred ball, the give is the mean of both, by what they carry. A ball that hangs loose in its seat
    meets the rim farther out, under part of its riding force. On the flat, where the bar's push is measured, the ball
    sinks in by Hertz's approach of a ball on a plane (`hertz.approach`).
    """
    riding = balance.tang_force(bar, 0.0)
    force = np.maximum(balance.tang_force(bar, dimple.seat_depth(shape)), LOOSE * riding)
    seat = dimple.piece_at(shape, np.zeros((*shape.seat.shape[:-1], 1)))[..., 0]
    edge = edge_at(record, shape, seat)
    bed = _bed(record, edge, force)
    shared = _shared(record, bar._replace(bed=bed), shape)
    other, share = _other_edge(shape, shared, seat)
    if share.any():
        bed = bed + share * (_bed(record, edge_at(record, shape, other), force) - bed)
        shared = _shared(record, bar._replace(bed=bed), shape)
    sine = np.minimum(np.asarray(edge.sine, float), rim.STEEPEST)
    spread = force * bed / ((record.ball_radius * sine) ** 2 * np.sqrt(1 - sine**2))
    modulus = hertz.contact_modulus(record.ball_modulus, record.ball_poisson, record.tang_modulus, record.tang_poisson)
    sunk = record.elastic_rim * hertz.approach(riding, record.ball_radius, modulus)
    flat = bar.stiffness * sunk
    fields = np.broadcast_arrays(bed, flat, spread, *shared)
    return bar._replace(**dict(zip(("bed", "flat", "spread", "shared", "alone", "rubs"), fields, strict=True)))


def _bed(record: Record, edge: rim.Edge, force: Array) -> Array:
    """`Spring.bed` of an edge under a force on the ball [N]."""
    return record.elastic_rim * record.ball_radius / rim.line_stiffness(edge, rim.moduli_of(record), force)


def _other_edge(shape: Pieces, shared: tuple[Array, Array, Array], seat: Index) -> tuple[Index, Array]:
    """Piece of a second edge beside the seat, and the share of the centred ball's load that it carries [-]."""
    meet, turn, _, _, inner, outer = np.moveaxis(shape.meet, -1, 0)
    lead = -meet * sharing.leads(shared, (meet, turn), seat < outer)
    share = np.where(turn > 0, 1 - sharing.carries(np.minimum(lead, 1)), 0.0)
    return np.where(seat < outer, outer, inner).astype(int), share * (lead < 1)


def _shared(record: Record, bar: Spring, shape: Pieces) -> tuple[Array, Array, Array]:
    """`Spring.shared`, `alone` and `rubs`: where one edge leads the other by its own approach."""
    meet, _, before, after, _, outer = np.moveaxis(shape.meet, -1, 0)
    shares = after > before
    if not shares.any():
        return np.zeros(()), np.zeros(()), np.zeros(())
    ball, piece = record.ball_radius, outer.astype(int)
    height = dimple.height_and_slope(shape, meet[..., None], piece[..., None])[0][..., 0]
    load = bar.bed * balance.tang_force(bar, ball - height)
    apart = np.where(shares, after - before, 1.0)
    fall = np.where(dimple.STRAIGHT[piece], 0.0, 1 / np.maximum(dimple.take_piece(shape.size, piece), ball))

    def reach(tangent: Array, beyond: Array) -> Array:
        sine = np.maximum(tangent / np.sqrt(1 + tangent**2) - beyond * fall, 0)
        return np.maximum(rim.approach(ball, sine, meet + beyond, load) / apart, NEAREST)

    # The second edge is dented less and less on the way: two steps of the secant to where its lead is its approach.
    early, first = reach(before, np.zeros(())), reach(after, np.zeros(()))
    late = first * first / np.maximum(2 * first - reach(after, first), first)
    late = late * first / np.maximum(first + late - reach(after, late), late)
    rubs = np.where(shares, RUBS * np.minimum(after, STEEP), 0.0)
    return np.where(shares, meet - early, 0.0), np.where(shares, meet + late, 0.0), rubs


def edge_at(record: Record, shape: Pieces, seat: Index) -> rim.Edge:
    """Edge that carries the centred ball on a piece: its roundness, and the wedge of metal behind it.

    A half space on a flank. `seat` has the number of the piece, of the designs' shape.

    >>> import detentsim as ds
    >>> load = ds.curve(ds.demo()).response.load
    >>> edge = edge_at(load.record, load.shape, np.array(dimple.PIECE.inner_edge))
    >>> bool(0 < edge.sine < 1), bool(edge.wedge <= np.pi)
    (True, True)
    """
    sec, centre = section(record), np.zeros((*seat.shape, 1))
    sine = dimple.height_and_slope(shape, centre, seat[..., None])[1][..., 0]
    flank, turn = np.arctan(sec.flank_tan), np.arcsin(np.clip(sec.fillet_sin, 0, 1))
    inner, outer = seat == dimple.PIECE.inner_edge, seat >= dimple.PIECE.upper_edge
    rounding = np.where(outer, record.edge_radius, np.where(inner, sec.inner_round, np.inf))
    wedge = np.where(outer, np.pi - turn, np.where(inner, np.pi / 2 + flank, np.pi))
    middle = np.where(outer, turn / 2, np.where(inner, np.pi / 4 + flank / 2, np.arcsin(sine)))
    return rim.Edge(record.ball_radius, sine, rounding, wedge, middle)
