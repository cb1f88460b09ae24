"""The ball's passes over the edges of many dimples at once.

Designs stand in one row of n, points of the ball's path on a second axis.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.contact.dimple import PIECE
from detentsim.mechanics.contact.rim import Edge, moduli_of
from detentsim.mechanics.contact.section import section
from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import SolvedDetent, Spring
from detentsim.mechanics.record import Record, last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.contact.dimple import Pieces
    from detentsim.mechanics.contact.rim import Moduli
    from detentsim.mechanics.record import Array, Index, Truth
    from detentsim.mechanics.response import Response

POINTS = 160  # evenly on the ball's path from rest to the flat

BESIDE = 1e-6
"""How near to the end of a piece of the dimple it is looked at, over its ball angle [-]."""

UPPER, INNER = "edge_radius", "inner_edge_radius"
"""Inputs of the section ``[dimple]`` that use changes; fields of the record too."""

PLACES = {UPPER: (PIECE.upper_edge, PIECE.rounding), INNER: (PIECE.inner_edge,)}
"""Pieces of the dimple that lie on an edge."""

BROADEST = 0.5e-3
"""Largest radius of a dimple's edge that a build holds [m]."""

TYPICAL = 0.02e-3
"""Radius at which the slope below a sharper edge is read [m]: what the rounding will span once it is worn."""

SHORT_OF = 1 - 1e-4
"""Share of the room that an edge takes at most: of a flank that it takes up whole no path is told for sure [-]."""

SHALLOWEST = np.radians(5.0)
"""Least turn of an edge: a flatter one is no edge to coin [rad]."""


class Passes(NamedTuple):
    """One opening and one closing of n designs; forces along the dimple's axis [N]; arrays of shape (n, points)."""

    piece: Index  # that carries the ball
    offset: Array  # of the ball from the dimple's axis [m]
    sine: Array  # of the contact angle [-]
    slid: Array  # way that the ball slides about this point [m]
    opening: Array  # force while opening [N]
    closing: Array  # force while closing [N]


class Carrier(NamedTuple):
    """One edge of n designs, and where on the ball's path it carries."""

    on: Truth  # (n, points)
    wedge: Array  # angle that the metal fills, (n,) [rad]
    middle: Array  # contact angle in the middle of the edge, (n,) [rad]
    own: Array  # radius as typed, as much of it as has room, (n,) [m]
    room: Array  # largest that the dimple has room for, (n,) [m]


class Points(NamedTuple):
    """Points of the ball's path that lie on one edge, of all designs in one row; all of shape (k,)."""

    row: Index  # the design of each
    edge: Edge
    moduli: Moduli
    force: Array  # along the dimple's axis while opening [N]
    offset: Array  # of the ball from the dimple's axis [m]


def in_row(response: Response) -> tuple[SolvedDetent, Array]:
    """Designs of a response in one row of n, whatever their shape, and the ball angle of each at rest [rad].

    Parameters
    ----------
    response : Response
    """
    load = response.load
    record, spring = Record(*map(np.ravel, load.record)), Spring(*map(np.ravel, load.spring))
    shape = dimple.Pieces(*(np.reshape(field, (-1, np.shape(field)[-1])) for field in load.shape))
    return SolvedDetent(record, spring, shape), np.ravel(response.rest.phi)


def passes(solved: SolvedDetent, rest: Array) -> Passes:
    """Pieces that carry the ball from rest to the flat, and its loads there.

    Parameters
    ----------
    solved : SolvedDetent
        In one row.
    rest : array, shape (n,)
        Ball angle at rest [rad].
    """
    record, shape = solved.record, solved.shape
    wide, spring = last_axis(record), Spring(*(field[:, None] for field in solved.spring))
    mouth = balance.phi_at_offset(record, shape.start[..., -1])
    phi = _along(wide, shape, np.minimum(np.abs(rest), mouth), mouth)
    offset, along = balance.offset_at_phi(wide, phi)
    piece = dimple.piece_at(shape, offset)
    height, sine = dimple.height_and_slope(shape, offset, piece)
    push = balance.ball_force(spring, wide.ball_radius - height)
    cosine, uphill = np.sqrt(1 - sine**2), sine * along
    path = np.sqrt(cosine**2 + uphill**2)

    def along_axis(friction: Array) -> Array:
        carried = cosine - spring.swing * uphill - friction * (uphill + spring.swing * cosine) / path
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.where(carried > 0, push * cosine / carried, np.inf))

    slid = wide.pivot_to_ball * np.gradient(phi, axis=-1) * path / np.maximum(cosine, 1e-9)
    mu = wide.friction
    return Passes(piece, offset, sine, np.asarray(slid), along_axis(mu), along_axis(-mu))


def _along(wide: Record, shape: Pieces, first: Array, last: Array) -> Array:
    """Ball angles from first to last, evenly and on either side of where a piece of the dimple takes over [rad]."""
    share, low, high = np.linspace(0, 1, POINTS), first[:, None], last[:, None]
    ends = balance.phi_at_offset(wide, shape.start[:, 1:-1])
    between = np.clip(np.concatenate([ends * (1 - BESIDE), ends * (1 + BESIDE)], axis=-1), low, high)
    return np.sort(np.concatenate([low * (1 - share) + high * share, between], axis=-1), axis=-1)


def carrier(record: Record, name: str, passed: Passes) -> Carrier:
    """Shape of one edge of each design, and where it carries the ball.

    Parameters
    ----------
    record : Record
        Fields of shape (n,).
    name : str
        `UPPER` or `INNER`.
    passed : Passes
    """
    own, room, low, high = _shape(record, name)
    # where friction alone holds the ball, its force is infinite: it snaps past there and rides nothing
    on = np.isin(passed.piece, PLACES[name]) & (passed.opening > 0) & np.isfinite(passed.opening)
    return Carrier(on, np.pi - (high - low), (low + high) / 2, own, room)


def _shape(record: Record, name: str) -> tuple[Array, Array, Array, Array]:
    """Radius of an edge and the largest that has room [m]; slopes of the faces on its two sides [rad]."""
    if name == INNER:
        sec = section(record._replace(inner_edge_radius=np.full_like(record.inner_edge_radius, BROADEST)))
        return (
            section(record).inner_round,
            sec.inner_round * SHORT_OF,
            np.arctan(sec.flank_tan),
            np.full_like(sec.inner_round, np.pi / 2),
        )
    own = record.edge_radius
    sec = section(record._replace(edge_radius=np.maximum(own, TYPICAL)))
    slope = np.maximum(np.arcsin(np.clip(sec.fillet_sin, 0, 1)), SHALLOWEST)
    return own, np.full_like(own, BROADEST), np.zeros_like(own), slope


def points_on(record: Record, at: Carrier, passed: Passes) -> Points:
    """Points of the path that lie on an edge, in the order of the designs and outward.

    Parameters
    ----------
    record : Record
        Fields of shape (n,).
    at : Carrier
    passed : Passes
    """
    row, _ = np.nonzero(at.on)
    edge = Edge(record.ball_radius[row], passed.sine[at.on], at.own[row], at.wedge[row], at.middle[row])
    ball, tang = moduli_of(record)
    return Points(row, edge, (ball[row], tang[row]), passed.opening[at.on], passed.offset[at.on])


def chosen(points: Points, keep: Index | Truth) -> Points:
    """Some of the points.

    Parameters
    ----------
    points : Points
    keep : array of int or bool
    """
    ball, tang = (np.asarray(part)[keep] for part in points.moduli)
    edge = Edge(*(np.asarray(part)[keep] for part in points.edge))
    return Points(points.row[keep], edge, (ball, tang), points.force[keep], points.offset[keep])
