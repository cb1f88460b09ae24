"""Edges of one dimple that carry the ball, and their radii after use; ``pressed`` gives how far they go back."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.one_build.wear.passes import in_row
from detentsim.analysis.one_build.wear.pressed import bears, pressed_edges
from detentsim.mechanics.contact.coining import recession, strength, wearing

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.passes import Points
    from detentsim.analysis.one_build.wear.pressed import Pressed
    from detentsim.mechanics.record import Array
    from detentsim.mechanics.response import Response

SHARP = 1e-6
"""Radius below which an edge is sharp [m]."""


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
        return np.minimum(wearing.worn_radius(start, self.wedge, area), max(self.room, self.fresh))


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
    solved, rest = in_row(response)
    edges = pressed_edges(solved, rest, np.zeros(rest.shape, bool))
    return tuple(_wear(name, pressed) for name, pressed in edges.items() if np.any(pressed.at.on))


def _wear(name: str, pressed: Pressed) -> EdgeWear:
    record, passed, at, points, back, settled = pressed
    own = at.own
    first = strength.first_limit(record.tang_hardness, at.wedge)
    for_ever = strength.shakedown_limit(record.tang_hardness, record.friction)
    coined = np.minimum(bears(points, at, first)[1], settled)
    slid = sum(_worked(points, force[at.on], back) @ passed.slid[at.on] for force in (passed.opening, passed.closing))
    uncoined = recession.coined(points.edge, points.moduli, points.force, points.offset, 0.0).pressure
    pressure = float(np.max(uncoined)) if own[0] >= SHARP else np.nan
    borne = float(first[0]), float(for_ever[0])
    area = wearing.worn_area(slid, record.tang_hardness, 1.0).item()
    angle, typed, first_radius, radius, room = (one.item() for one in (at.wedge, own, coined, settled, at.room))
    return EdgeWear(name, angle, typed, first_radius, radius, room, pressure, borne, area)


def _worked(points: Points, force: Array, back: Array) -> Array:
    """Line load of one pass over a coined edge at each point [N/m]."""
    there = np.minimum(back, recession.FARTHEST)[points.row]
    return recession.coined(points.edge, points.moduli, force, points.offset, there).line_load
