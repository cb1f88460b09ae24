"""How close the ball's contact and the dimple's rim come to each edge of the tang, and the ball's hole to the bar's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

from detentsim.mechanics.contact.plan.plane import Array, distance, on_metal
from detentsim.mechanics.contact.plan.riding import Gap, Ride, climb, drop, farthest_off, least_distances

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.layout.section import LayoutSection, Tang
    from detentsim.mechanics.record import Record

MM = 1e3


class Rim(NamedTuple):
    """The dimple's rim on the tang, as drawn with the blade closed [m]."""

    centre: Array  # (2,)
    radius: float


class BallOnBar(NamedTuple):
    """What the layout takes from the build beside the drawing [m]."""

    hole_radius: float
    width: float


def ball_hole(build: Build) -> float:
    """Radius of the ball's hole, that of the ball where no drill is given [m].

    Parameters
    ----------
    build : Build
    """
    return max(build.si("ball.hole_drill", 0.0), build.si("ball.diameter")) / 2


def ball_on_bar(build: Build) -> BallOnBar:
    """What the layout takes from the build beside the drawing.

    Parameters
    ----------
    build : Build
    """
    return BallOnBar(ball_hole(build), build.si("bar.width"))


@dataclass(frozen=True)
class Clearance:
    """Least distances from the edges of one name.

    Attributes
    ----------
    name : str
    contact : float
        Of the ball's contact from the edge, until it drops off or the blade locks up [mm].
    angle : float
        Blade angle there [deg].
    flat : float
        The same less the edge's chamfer: how much flat is left beside the contact; negative beyond it [mm].
    rim : float
        Metal between the dimple's rim and the edge; negative where the dimple breaks into it [mm].
    rim_to_chamfer : float
        The same less the chamfer; negative where the chamfer cuts the rim [mm].
    chamfer : float
        Its width, the widest where edges of the name differ [mm].
    leaves : bool
        Whether the ball drops off the tang by it for good.
    """

    name: str
    contact: float
    angle: float
    flat: float
    rim: float
    rim_to_chamfer: float
    chamfer: float
    leaves: bool


@dataclass(frozen=True)
class Drop:
    """A stretch of the way on which the ball is off the flat.

    Attributes
    ----------
    start, end : float
        Blade angles [deg].
    last : bool
        Whether it lasts until lock-up.
    left_by, back_by : str
        Names of the edges at its ends; empty where there is none.
    step : float
        How far the ball sinks, and so the step it climbs coming back [mm].
    climb : float
        Contact angle at which that climb starts: 0 level, 90 a wall [deg].
    """

    start: float
    end: float
    last: bool
    left_by: str
    back_by: str
    step: float
    climb: float


@dataclass(frozen=True)
class Wall:
    """Metal of the bar between the ball's hole and one of its edges [mm]; negative where the hole breaks out."""

    name: str
    left: float


@dataclass(frozen=True)
class PinTrack:
    """The stop pin's track over the tang, or the pin in it.

    Attributes
    ----------
    contact : float
        From the ball's contact; negative where it crosses [mm].
    angle : float
        Blade angle there [deg].
    rim : float
        From the dimple's rim; negative where the dimple breaks into it [mm].
    """

    contact: float
    angle: float
    rim: float


def ride_of(section: LayoutSection, open_angle: float) -> Ride:
    """The ball's way over the tang, from closed to lock-up.

    Parameters
    ----------
    section : LayoutSection
    open_angle : float
        Blade angle at lock-up [rad].
    """
    return Ride(np.array(section.pivot), np.array(section.ball), section.sense, open_angle)


def rim_of(ride: Ride, record: Record, rim_diameter: float) -> Rim:
    """The dimple's rim: drilled where the ball stands with the blade held past its stop, off by the radial error.

    Parameters
    ----------
    ride : Ride
    record : Record
        Of the build.
    rim_diameter : float
        [m]
    """
    past = ride.at(-float(record.overclose)) - ride.pivot
    stretched = past * (1 + float(record.radial_error) / ride.radius)
    return Rim(ride.pivot + stretched, rim_diameter / 2)


def read_drops(ride: Ride, tang: Tang, stretches: tuple[Gap, ...], sizes: tuple[float, float]) -> tuple[Drop, ...]:
    """Stretches of the way on which the ball is off the flat, with the step it climbs coming back.

    Parameters
    ----------
    ride : Ride
    tang : Tang
    stretches : tuple of Gap
        Of the way over the tang.
    sizes : (ball_radius, most)
        Radius of the ball, and how far the bar lets it sink below the flat [m].
    """
    return tuple(_drop(ride, tang, gap, *sizes) for gap in stretches)


def _drop(ride: Ride, tang: Tang, gap: Gap, ball_radius: float, most: float) -> Drop:
    step = drop(ball_radius, farthest_off(ride, tang.edges, tang.chamfer, gap), most)
    back = gap.left_by if gap.last else gap.back_by  # closing, it climbs what it left by last
    steepest = climb(ball_radius, step, float(tang.chamfer[back]) if back >= 0 else 0.0)
    left, other = (tang.names[at] if at >= 0 else "" for at in (gap.left_by, gap.back_by))
    start, end = math.degrees(gap.start), math.degrees(gap.end)
    return Drop(start, end, gap.last, left, other, step * MM, math.degrees(steepest))


def read_clearances(ride: Ride, tang: Tang, rim: Rim, off: Gap | None) -> tuple[Clearance, ...]:
    """Least distances from the edges of each name, until the ball drops off for good or the blade locks up.

    Parameters
    ----------
    ride : Ride
    tang : Tang
    rim : Rim
    off : Gap or None
        Stretch off the flat that lasts until lock-up; None where the ball is on the flat then.
    """
    near = least_distances(ride, tang.edges, None if off is None else off.start)
    sign = 1.0 if bool(on_metal(tang.edges, rim.centre)) else -1.0
    walls = sign * distance(tang.edges, rim.centre) - rim.radius
    rows = []
    for name in dict.fromkeys(tang.names):
        own = np.array([i for i, other in enumerate(tang.names) if other == name])
        at = own[np.argmin((near.gap - tang.chamfer)[own])]
        rows.append(
            Clearance(
                name,
                float(near.gap[at]) * MM,
                math.degrees(float(near.angle[at])),
                float((near.gap - tang.chamfer)[at]) * MM,
                float(walls[own].min()) * MM,
                float((walls - tang.chamfer)[own].min()) * MM,
                float(tang.chamfer[own].max()) * MM,
                off is not None and off.left_by >= 0 and tang.names[off.left_by] == name,
            )
        )
    return tuple(rows)


Stretch = TypeVar("Stretch", Gap, Drop)


def final(stretches: tuple[Stretch, ...]) -> Stretch | None:
    """Where the ball drops off the tang until lock-up; None where it is on the flat then.

    Parameters
    ----------
    stretches : tuple of Gap or of Drop
    """
    return next((one for one in stretches if one.last), None)


def read_walls(section: LayoutSection, bar: BallOnBar) -> tuple[Wall, ...]:
    """Metal of the bar round the ball's hole.

    Parameters
    ----------
    section : LayoutSection
    bar : BallOnBar
    """
    left = {
        "bar's lock face": section.from_lock_face,
        "bar's edge it is scribed from": section.from_edge,
        "bar's other edge": bar.width - section.from_edge,
    }
    return tuple(Wall(name, (far - bar.hole_radius) * MM) for name, far in left.items())


def read_pin(section: LayoutSection, ride: Ride, rim: Rim) -> PinTrack | None:
    """How near the ball comes to the stop pin's track on the tang, or to a pin that stands in the tang.

    Parameters
    ----------
    section : LayoutSection
    ride : Ride
    rim : Rim

    Notes
    -----
    A pin in the handle sweeps an arc about the pivot over the tang, as the ball does; two such arcs are nearest where
    both lie in one direction from the pivot, else at their ends.
    """
    if section.pin is None:
        return None
    half, pin = section.pin.diameter / 2, ride._replace(ball=np.array(section.pin.at))
    if section.pin.fixed_in == "blade":
        angles = ride.angles([_toward(pin), _toward(pin) + np.pi])
        far = np.hypot(*(ride.at(angles) - pin.ball).T)
        to_rim = float(np.hypot(*(rim.centre - pin.ball)))
    else:
        angles = ride.angles(_directions(pin))
        turns = pin.angles(_directions(ride))
        between = ride.at(angles)[:, None] - pin.at(turns)[None]
        far = np.hypot(between[..., 0], between[..., 1]).min(axis=1)
        track = pin.at(np.unique(np.concatenate([turns, pin.angles([_toward(ride._replace(ball=rim.centre))])])))
        to_rim = float(np.hypot(*(track - rim.centre).T).min())
    best = int(np.argmin(far))
    gap = float(far[best]) - half
    return PinTrack(gap * MM, math.degrees(float(angles[best])), (to_rim - half - rim.radius) * MM)


def _toward(ride: Ride) -> float:
    out = ride.ball - ride.pivot
    return float(np.arctan2(out[1], out[0]))


def _directions(ride: Ride) -> Array:
    """Directions from the pivot in which a way begins and ends."""
    out = ride.at([0.0, ride.open_angle]) - ride.pivot
    return np.asarray(np.arctan2(out[:, 1], out[:, 0]))
