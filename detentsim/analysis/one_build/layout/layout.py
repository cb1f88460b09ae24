"""Layout of a build: the ball's way over the tang, its clearances, its drop-off, the dimple's walls, over-close."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.layout.clearances import (
    Clearance,
    Drop,
    PinTrack,
    Rim,
    Wall,
    ball_on_bar,
    final,
    read_clearances,
    read_drops,
    read_pin,
    read_walls,
    ride_of,
    rim_of,
)
from detentsim.analysis.one_build.layout.faults import LayoutFault, read_faults
from detentsim.analysis.one_build.layout.overclose import Reading, read_overclose
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.contact.plan.riding import gaps
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import Response, respond
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from detentsim.analysis.one_build.layout.places import Places
    from detentsim.knife.record.inputs import Plain
    from detentsim.knife.record.layout.section import LayoutSection, Tang
    from detentsim.mechanics.contact.plan.riding import Ride
    from detentsim.mechanics.record import Array


@dataclass(frozen=True, eq=False, repr=False)
class Layout:
    """The ball's path on the tang of one build, and what its place on the bar brings.

    Attributes
    ----------
    build : Build
    section : LayoutSection
        The drawing and the ball's place [m].
    tang : Tang
        Edges as they lie with the blade closed [m].
    ride : Ride
        The ball's way over them.
    rim : Rim
        The dimple's rim on the tang [m].
    clearances : tuple of Clearance
        By name of edge or hole.
    drops : tuple of Drop
        Stretches of the way on which the ball is off the flat; the last one lasts until lock-up.
    walls : tuple of Wall
        Metal of the bar round the ball's hole.
    pin : PinTrack or None
        None where no stop pin is drawn.
    overclose : tuple of Reading
        How far the clamp moves the blade, by place; empty where there is none.
    faults : tuple of LayoutFault
        Bad ones first.
    sinks : float
        How far the bar lets the ball sink below the flat where nothing carries it [mm].
    numbers, response
        The build's plain numbers and its response.
    """

    build: Build
    section: LayoutSection
    tang: Tang
    ride: Ride
    rim: Rim
    clearances: tuple[Clearance, ...]
    drops: tuple[Drop, ...]
    walls: tuple[Wall, ...]
    pin: PinTrack | None
    overclose: tuple[Reading, ...]
    faults: tuple[LayoutFault, ...]
    sinks: float
    numbers: Plain
    response: Response

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong; thin places do not count."""
        return all(fault.state != "bad" for fault in self.faults)

    @property
    def drops_off(self) -> Drop | None:
        """Where the ball drops off the tang until lock-up; None where it is on the flat then."""
        return final(self.drops)

    @cached_property
    def places(self) -> Places:
        """Other places on the bar: which are feasible, the torque and breakout of each, and the best."""
        # only here: trying places is costly, and a verdict does not ask for them
        from detentsim.analysis.one_build.layout.places import read_places

        return read_places(self)

    @cached_property
    def place_turns(self) -> tuple[Array, Array]:
        """Where feasibility changes between the places tried, for drawing; see `places.read_turns`."""
        from detentsim.analysis.one_build.layout.places import read_turns

        return read_turns(self)

    def __repr__(self) -> str:
        return f"<Layout of {self.build.name}: {'sound' if self.sound else self.faults[0].words}>"


def layout(build: Build) -> Layout:
    """Lay out the ball's path on the tang and check it.

    Parameters
    ----------
    build : Build
        With a section ``[layout]`` beside those of a curve.

    Returns
    -------
    Layout

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where there is no layout, or its drawing cannot be read.

    Examples
    --------
    >>> import detentsim as ds
    >>> layout(ds.demo())
    Traceback (most recent call last):
    ...
    detentsim.units.errors.InputError: layout: the section [layout] is missing; detentsim new writes one to fill in
    """
    need_build(build).require("bar", "ball", "dimple", "tang", "opener")
    numbers = plain(build)
    return laid_out(build, numbers, respond(assemble(numbers), RESULT_NAMES))


def laid_out(build: Build, numbers: Plain, response: Response) -> Layout:
    """Layout of a build whose response is at hand.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    response : Response
        With the results of a curve.

    Raises
    ------
    InputError
        Where there is no layout, or its drawing cannot be read.
    """
    section, record = build.layout, response.load.record
    if section is None:
        raise InputError("layout", None, "the section [layout] is missing; detentsim new writes one to fill in")
    tang, results = section.tang(build.path.parent if build.path else None), response.results
    ride = ride_of(section, float(record.open_angle))
    rim = rim_of(ride, record, float(results["rim_diameter"]))
    sinks = float(results["free_offset"]) + float(record.protrusion) - float(record.face_gap)
    most = max(0.0, min(float(record.protrusion), sinks))
    stretches = gaps(ride, tang.edges, tang.chamfer)
    drops = read_drops(ride, tang, stretches, (float(record.ball_radius), most))
    clearances = read_clearances(ride, tang, rim, final(stretches))
    walls = read_walls(section, ball_on_bar(build))
    pin = read_pin(section, ride, rim)
    stop = math.dist(section.pin.at, section.pivot) if section.pin is not None else math.nan
    readings = read_overclose(build, float(record.overclose), ride.radius, build.si("stop.radius", stop))
    faults = read_faults(clearances, drops, walls, pin, math.degrees(ride.open_angle), build.units)
    parts = clearances, drops, walls, pin, readings, faults
    return Layout(build, section, tang, ride, rim, *parts, most * 1e3, numbers, response)
