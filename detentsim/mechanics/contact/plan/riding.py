"""The arc that the ball rides on the tang: where it lies on the flat, how near it comes to each edge, how far it drops.

Uses `plane`. The tang lies still, as drawn with the blade closed; the ball turns about the pivot against the blade's
opening sense.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.mechanics.contact.plan.plane import Array, Edges, circle_meets, distance, on_metal

# Points along a stretch off the flat at which the ball's drop is read.
READ = 181


class Ride(NamedTuple):
    """The ball's way over the tang."""

    pivot: Array  # (2,) [m]
    ball: Array  # (2,) where the ball stands with the blade closed [m]
    sense: float  # +1 the blade opens counterclockwise as drawn, -1 clockwise
    open_angle: float  # [rad]

    @property
    def radius(self) -> float:
        """From the pivot to the ball [m]."""
        return float(np.hypot(*(self.ball - self.pivot)))

    def at(self, angle: npt.ArrayLike) -> Array:
        """Points of the tang under the ball at blade angles.

        Parameters
        ----------
        angle : array, shape (...)
            Blade angle, 0 closed, positive opening [rad].

        Returns
        -------
        array, shape (..., 2)
            On the tang as drawn with the blade closed [m].
        """
        turn, out = -self.sense * np.asarray(angle, float), self.ball - self.pivot
        x = out[0] * np.cos(turn) - out[1] * np.sin(turn)
        y = out[0] * np.sin(turn) + out[1] * np.cos(turn)
        return np.asarray(self.pivot + np.stack([x, y], axis=-1))

    def angles(self, directions: npt.ArrayLike) -> Array:
        """Blade angles at which the ball lies in some directions from the pivot, those of the ride alone, in order.

        Parameters
        ----------
        directions : array, shape (n,)
            On the drawing [rad].

        Returns
        -------
        array, shape (m,)
            With both ends of the ride [rad].
        """
        out = self.ball - self.pivot
        found = np.mod(self.sense * (np.arctan2(out[1], out[0]) - np.asarray(directions, float)), 2 * np.pi)
        return np.unique(np.concatenate([[0.0, self.open_angle], found[found < self.open_angle]]))


class Near(NamedTuple):
    """Least distance of the ball's way from each edge."""

    gap: Array  # (n,) [m]
    angle: Array  # (n,) blade angle there [rad]


def least_distances(ride: Ride, edges: Edges, until: float | None = None) -> Near:
    """Least distance of the ball's contact from each edge on its way.

    Parameters
    ----------
    ride : Ride
    edges : Edges
    until : float, optional
        Blade angle at which the way ends; lock-up by default [rad].

    Returns
    -------
    Near

    Notes
    -----
    Distance from an edge is least at an end of the way, where the two meet, on the line from the pivot to an end of the
    edge, on that through an arc's centre, or where a straight edge is square to the radius.
    """
    part = ride if until is None else ride._replace(open_angle=until)
    along = edges.end - edges.start
    square = np.arctan2(along[:, 1], along[:, 0]) + np.pi / 2
    marks = np.concatenate([edges.start, edges.end, edges.centre]) - ride.pivot
    toward = np.arctan2(marks[:, 1], marks[:, 0])
    directions = [square, toward, toward + np.pi, square + np.pi, circle_meets(edges, ride.pivot, ride.radius)]
    angles = part.angles(np.concatenate(directions))
    gaps = distance(edges, part.at(angles))
    low = gaps.min(axis=0)
    first = np.argmax(gaps <= low + 1e-12, axis=0)  # a hole about the pivot is as near at every angle
    return Near(np.where(low < 1e-12, 0.0, low), angles[first])


class Gap(NamedTuple):
    """A stretch of the ball's way that is not on the flat."""

    start: float  # blade angle where the ball's contact leaves the flat [rad]
    end: float  # where it comes back, or lock-up [rad]
    last: bool  # whether it lasts until lock-up
    left_by: int  # the edge it leaves by; -1 where it starts off the flat
    back_by: int  # the edge it comes back by; -1 where it does not


def gaps(ride: Ride, edges: Edges, chamfer: Array) -> tuple[Gap, ...]:
    """Stretches of the ball's way from closed to lock-up on which its contact is off the tang's flat.

    Parameters
    ----------
    ride : Ride
    edges : Edges
        Loop 0 is the outline, the others are holes.
    chamfer : array, shape (n,)
        Width of the chamfer along each edge, inward on the metal; the flat ends with it [m].

    Returns
    -------
    tuple of Gap
        In the order of the ride.
    """
    marks = np.concatenate(
        [circle_meets(edges, ride.pivot, ride.radius), circle_meets(edges, ride.pivot, ride.radius, chamfer)]
    )
    angles = ride.angles(marks)
    off = ~on_flat(edges, chamfer, ride.at((angles[1:] + angles[:-1]) / 2))
    ends = np.diff(np.concatenate([[False], off, [False]]).astype(int))
    stretches = zip(np.flatnonzero(ends == 1), np.flatnonzero(ends == -1), strict=True)
    return tuple(_gap(ride, edges, chamfer, angles, int(i), int(j)) for i, j in stretches)


def _gap(ride: Ride, edges: Edges, chamfer: Array, angles: Array, first: int, last: int) -> Gap:
    start, end = float(angles[first]), float(angles[last])
    final = last == len(angles) - 1
    return Gap(
        start,
        end,
        final,
        -1 if first == 0 else _edge_at(edges, chamfer, ride.at(start)),
        -1 if final else _edge_at(edges, chamfer, ride.at(end)),
    )


def farthest_off(ride: Ride, edges: Edges, chamfer: Array, gap: Gap) -> float:
    """Farthest distance of the ball's contact from the flat on a stretch off it [m]; parameters as of `gaps`."""
    return float(off_flat(edges, chamfer, ride.at(np.linspace(gap.start, gap.end, READ))).max())


def _edge_at(edges: Edges, chamfer: Array, point: Array) -> int:
    """The edge whose flat ends at a point."""
    return int(np.argmin(np.abs(distance(edges, point) - chamfer)))


def on_flat(edges: Edges, chamfer: Array, points: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether points lie on the metal and beside no chamfer.

    Parameters
    ----------
    edges : Edges
    chamfer : array, shape (n,)
        [m]
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array of bool, shape (...)
    """
    return np.asarray(on_metal(edges, points) & np.all(distance(edges, points) > chamfer, axis=-1))


def off_flat(edges: Edges, chamfer: Array, points: npt.ArrayLike) -> Array:
    """Distance of points from the flat; 0 on it.

    Parameters
    ----------
    edges : Edges
    chamfer : array, shape (n,)
        [m]
    points : array, shape (..., 2)
        [m]

    Returns
    -------
    array, shape (...)
        [m]
    """
    far = distance(edges, points)
    out = np.where(on_metal(edges, points), (chamfer - far).max(axis=-1), (far + chamfer).min(axis=-1))
    return np.asarray(np.maximum(out, 0.0))


def drop(radius: float, away: float, most: float) -> float:
    """How far a ball sinks below the flat when it is carried by the flat's edge, `R - sqrt(R^2 - d^2)`.

    Parameters
    ----------
    radius : float
        Of the ball, R [m].
    away : float
        Distance of the ball's middle from the flat, in plan, d [m].
    most : float
        How far the bar lets it sink [m].

    Returns
    -------
    float
        Between 0 and `most` [m].

    Examples
    --------
    >>> round(drop(1.0, 0.6, 0.5), 3), drop(1.0, 2.0, 0.5)
    (0.2, 0.5)
    """
    carried = radius - float(np.sqrt(radius**2 - away**2)) if away < radius else radius
    return max(0.0, min(carried, most))


def climb(radius: float, step: float, chamfer: float) -> float:
    """Contact angle at which a sunken ball starts to climb an edge with a chamfer of 45 degrees.

    Parameters
    ----------
    radius : float
        Of the ball [m].
    step : float
        How far the ball stands below the flat [m].
    chamfer : float
        Its width, and so its depth [m].

    Returns
    -------
    float
        0 on the flat, pi/2 against a wall [rad].

    Examples
    --------
    >>> [round(float(np.degrees(climb(1.0, step, 0.2)))) for step in (0.1, 0.4, 0.7)]
    [26, 45, 60]
    """
    low = step - radius * (1 - np.cos(np.pi / 4))  # depth at which a slope of 45 degrees would carry it
    lip = 0.0 if low <= 0 else chamfer
    if 0 < low <= chamfer:
        return float(np.pi / 4)
    return float(np.arccos(np.clip((radius - step + lip) / radius, -1, 1)))
