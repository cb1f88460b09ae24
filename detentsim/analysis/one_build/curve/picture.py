"""Outlines of ball and dimple and their contact at rest, to scale, as points for drawing.

`show` draws them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact import section

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Record
    from detentsim.mechanics.response import Response

ARC_POINTS = 25


@dataclass(frozen=True, eq=False)
class Picture:
    """Half plane along the ball's path through the dimple's axis; lengths [mm], height positive out of the tang.

    Attributes
    ----------
    outline : array, shape (n, 2)
        Surface of the tang from left to right, through the dimple; with a lip where there is a burr.
    ball : (x, y)
        Centre of the ball at rest; x is positive where the ball has moved in opening.
    radius : float
        Of the ball.
    contacts : array, shape (m, 2)
        Where the ball touches: two points when centred, one off centre, none when it hangs loose.
    bar_face : float
        Height of the bar's inner face over the tang at rest.
    """

    outline: Array
    ball: tuple[float, float]
    radius: float
    contacts: Array
    bar_face: float

    @property
    def depth(self) -> float:
        """Depth of the ball's tip below the flat at rest [mm]."""
        return self.radius - self.ball[1]


def picture(response: Response) -> Picture:
    """Outline points and contacts of one design (0-d) [mm].

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d.
    """
    solved, rest = response.load, response.rest
    record = solved.record
    sec = section.section(record)
    half = half_outline(record, sec)
    depth, radius = float(rest.at.depth), float(record.ball_radius)
    offset = float(np.sqrt(record.radial_error**2 + (record.pivot_to_ball * rest.phi) ** 2))
    width = max(1.6 * radius, 1.25 * float(sec.fillet_r), offset + 1.1 * radius)  # metal on both sides of the ball
    half = np.vstack([half, *_lip(half[-1], float(record.burr_height)), [width, 0.0]])
    outline = np.vstack([half[::-1] * [-1, 1], half])
    loaded = bool(rest.at.force > 0)
    if bool(response.flags["floats"]):
        depth = float(solved.spring.reach)
    elif not loaded:
        depth = float(np.minimum(depth, np.minimum(solved.spring.protrusion, solved.spring.reach)))
    centre = (offset * 1e3, (radius - depth) * 1e3)
    touch = contacts(centre, radius * 1e3, float(rest.at.sine)) if loaded else np.empty((0, 2))
    return Picture(outline * 1e3, centre, radius * 1e3, touch, float(record.protrusion - depth) * 1e3)


def contacts(centre: tuple[float, float], radius: float, sine: float) -> Array:
    """Contact points on the ball: two of a centred one, else one, on the side away from the dimple's axis.

    Parameters
    ----------
    centre : (x, y)
        Of the ball, x from the dimple's axis [mm].
    radius : float
        Of the ball [mm].
    sine : float
        Of the contact angle.
    """
    down = radius * np.sqrt(1 - sine**2)
    right = [centre[0] + radius * sine, centre[1] - down]
    left = [centre[0] - radius * sine, centre[1] - down]
    return np.array([left, right] if centre[0] < 1e-9 else [right])


def half_outline(record: Record, sec: section.Section) -> Array:
    """Surface of the dimple from its axis to its mouth, radius and height [m]; shape (n, 2), depth negative.

    Parameters
    ----------
    record : Record
    sec : Section
        Profile of the dimple.
    """
    a1, q = float(record.pilot_radius), float(record.rim_feed)
    radii = np.linspace(0, a1, 4 * ARC_POINTS)
    pilot = float(record.pilot_depth) + (a1 - radii) / float(record.pilot_tangent)
    floor = np.maximum(pilot, q + (a1 - radii) / float(record.rim_tangent))
    points = [np.stack([radii, -floor], axis=1)]
    points.append(_inner_edge(sec))
    if float(sec.edge_r) > a1 * (1 + 1e-9):
        wall = max(0.0, q - (float(record.rim_radius) - a1) / float(record.rim_tangent))
        if float(sec.edge_z) < wall:
            points.append(np.array([[sec.edge_r, -wall]]))
        points.append(np.array([[sec.edge_r, -sec.edge_z]]))
    slope = np.linspace(np.arcsin(float(sec.fillet_sin)), 0, ARC_POINTS)
    r_e = float(record.edge_radius)
    arc = np.stack([float(sec.fillet_r) - r_e * np.sin(slope), -r_e * (1 - np.cos(slope))], axis=1)
    return np.vstack([*points, arc]).astype(float)


def _lip(mouth: Array, height: float) -> list[Array]:
    """Corners of a burr on the dimple's mouth [m]: upright inside, as wide as high; none without one."""
    return [mouth + np.array(corner) for corner in ((0.0, height), (height, 0.0))] if height > 0 else []


def _inner_edge(sec: section.Section) -> Array:
    """Edge between the two cuts, rounded or sharp, radius and height [m]; shape (n, 2)."""
    q = float(sec.inner_round)
    slope = np.linspace(np.pi / 2, np.arctan(float(sec.flank_tan)), ARC_POINTS if q > 0 else 1)
    across, up = float(sec.inner_r) + q * (1 - np.sin(slope)), q * np.cos(slope) - float(sec.inner_centre)
    return np.stack([across, up], axis=1)
