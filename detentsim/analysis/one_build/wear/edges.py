"""Edges of one dimple that carry the ball: their loads along its path, and the radii that use gives them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact import coining, dimple
from detentsim.mechanics.contact.dimple import PIECE
from detentsim.mechanics.contact.rim import Edge
from detentsim.mechanics.contact.section import section
from detentsim.mechanics.detent import balance

if TYPE_CHECKING:
    from detentsim.mechanics.contact.rim import Moduli
    from detentsim.mechanics.record import Array, Index, Record
    from detentsim.mechanics.response import Response

POINTS = 160  # on the ball's path from rest to the flat

UPPER, INNER = "edge_radius", "inner_edge_radius"
"""Inputs of the section ``[dimple]`` that use changes."""

PLACES = {UPPER: (PIECE.upper_edge, PIECE.rounding), INNER: (PIECE.inner_edge,)}
"""Pieces of the dimple that lie on an edge."""

BROADEST = 0.5e-3
"""Largest radius of a dimple's edge that a build holds [m]."""


class Passed(NamedTuple):
    """One pass of the ball over an edge, a number for each point of its path; forces along the dimple's axis [N]."""

    offset: Array  # of the ball from the dimple's axis [m]
    sine: Array  # of the contact angle [-]
    slid: Array  # way that the ball slides about this point [m]
    opening: Array  # force while opening [N]
    closing: Array  # force while closing [N]


class EdgeWear(NamedTuple):
    """What use does to one edge; lengths in [m], pressures in [Pa].

    `area_by_coefficient` is what one opening and one closing wear off its section, over Archard's coefficient [m^2].
    """

    name: str
    wedge: float  # angle that the metal fills [rad]
    fresh: float  # radius as typed
    coined: float  # after its first openings
    settled: float  # after some hundred
    room: float  # largest that the dimple has room for
    pressure: float  # peak on it as typed; not a number on a sharp edge, which no elastic pressure describes
    borne: tuple[float, float]  # peak pressures that it bears at first, and for ever
    area_by_coefficient: float

    def worn(self, openings: Array, coefficient: float) -> Array:
        """Radius after openings and closings by Archard's law [m].

        Parameters
        ----------
        openings : array
            Counts, one at least.
        coefficient : float
            Of wear [-].
        """
        share = np.clip(np.log(np.maximum(openings, 1)) / np.log(SETTLES), 0, 1)
        start = self.coined + share * (self.settled - self.coined)
        area = np.asarray(openings, float) * coefficient * self.area_by_coefficient
        return np.minimum(coining.worn_radius(start, self.wedge, area), max(self.room, self.fresh))


SETTLES = 100
"""Openings after which the pressure is taken as shaken down, in equal steps of their logarithm from the first; common
practice, no source."""


def read_edges(response: Response) -> tuple[EdgeWear, ...]:
    """Wear of each edge that carries the ball between rest and the flat; of one design, outermost first.

    Parameters
    ----------
    response : Response
        Of a design with a breakout, 0-d.
    """
    record = response.load.record
    piece, passed = _path(response)
    edges = []
    for name, places in PLACES.items():
        on = np.isin(piece, places) & (passed.opening > 0)
        if np.any(on):
            edges.append(_wear(record, name, Passed(*(field[on] for field in passed))))
    return tuple(edges)


def _path(response: Response) -> tuple[Index, Passed]:
    """Pieces that carry the ball from rest to the flat, and its loads there."""
    solved, record, shape = response.load, response.load.record, response.load.shape
    mouth = float(balance.phi_at_offset(record, float(shape.start[-1])))
    rest = min(abs(float(response.rest.phi)), mouth)
    phi = np.linspace(rest, mouth, POINTS)
    offset, along = balance.offset_at_phi(record, phi)
    piece = dimple.piece_at(shape, offset)
    height, sine = dimple.height_and_slope(shape, offset, piece)
    push = balance.ball_force(solved.spring, record.ball_radius - height)
    cosine, uphill = np.sqrt(1 - sine**2), sine * along
    path = np.sqrt(cosine**2 + uphill**2)
    swing = float(solved.spring.swing)

    def along_axis(friction: float) -> Array:
        carried = cosine - swing * uphill - friction * (uphill + swing * cosine) / path
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.where(carried > 0, push * cosine / carried, np.inf))

    slid = record.pivot_to_ball * np.gradient(phi) * path / np.maximum(cosine, 1e-9) if mouth > rest else 0 * phi
    mu = float(record.friction)
    return piece, Passed(offset, sine, np.asarray(slid), along_axis(mu), along_axis(-mu))


def _wear(record: Record, name: str, passed: Passed) -> EdgeWear:
    own, room, low, high = _shape(record, name)
    wedge, moduli = np.pi - (high - low), _moduli(record)
    edge = Edge(float(record.ball_radius), passed.sine, own, wedge, (low + high) / 2)
    hardness, friction = float(record.tang_hardness), float(record.friction)
    borne = float(coining.first_limit(hardness, wedge)), float(coining.shakedown_limit(hardness, friction))
    top = max(room, own)

    by_radius = coining.recession_by_radius(edge)

    def bears(limit: float) -> tuple[float, float]:
        back = coining.coined_recession(edge, moduli, passed.opening, passed.offset, limit)
        deepest = int(np.argmax(back))
        return float(back[deepest]), min(own + float(back[deepest] / by_radius[deepest]), top)

    (_, coined), (back, settled) = (bears(limit) for limit in borne)
    settled = max(coined, settled)
    ways = ((force, passed.slid) for force in (passed.opening, passed.closing))
    slid = sum(float(np.sum(_line_load(edge, moduli, force, passed.offset, back) * way)) for force, way in ways)
    fresh = coining.coined(edge, moduli, passed.opening, passed.offset, 0.0).pressure
    pressure = float(np.max(fresh)) if own >= SHARP else np.nan
    area = float(coining.worn_area(slid, hardness, 1.0))
    return EdgeWear(name, wedge, own, coined, settled, room, pressure, borne, area)


def _line_load(edge: Edge, moduli: Moduli, force: Array, offset: Array, back: float) -> Array:
    """Line load of one pass over a coined edge [N/m]."""
    return coining.coined(edge, moduli, force, offset, min(back, coining.FARTHEST)).line_load


def _shape(record: Record, name: str) -> tuple[float, float, float, float]:
    """Radius of an edge and the largest that has room [m]; slopes of the faces on its two sides [rad]."""
    if name == INNER:
        sec = section(record._replace(inner_edge_radius=np.array(BROADEST)))
        own = float(section(record).inner_round)
        return own, float(sec.inner_round), float(np.arctan(sec.flank_tan)), np.pi / 2
    own = float(record.edge_radius)
    sec = section(record._replace(edge_radius=np.array(max(own, TYPICAL))))
    return own, BROADEST, 0.0, max(float(np.arcsin(np.clip(sec.fillet_sin, 0, 1))), SHALLOWEST)


SHARP = 1e-6
"""Radius below which an edge is sharp [m]."""

TYPICAL = 0.02e-3
"""Radius at which the slope below a sharper edge is read [m]: what the rounding will span once it is worn."""

SHALLOWEST = np.radians(5.0)
"""Least turn of an edge: a flatter one is no edge to coin [rad]."""


def _moduli(record: Record) -> Moduli:
    ball = record.ball_modulus / (1 - record.ball_poisson**2)
    return float(ball), float(record.tang_modulus / (1 - record.tang_poisson**2))
