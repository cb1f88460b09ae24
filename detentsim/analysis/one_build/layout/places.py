"""Other places for the ball on the bar: which are feasible, what each would give, and the best."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.layout.clearances import (
    ball_on_bar,
    final,
    read_clearances,
    read_pin,
    read_walls,
    ride_of,
    rim_of,
)
from detentsim.knife.record.fields import assemble
from detentsim.knife.target.target import stated_band
from detentsim.mechanics.contact.plan.riding import gaps
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.knife.record.layout.section import LayoutSection
    from detentsim.mechanics.record import Array

# Places tried along the bar and across it, and how far from its lock face the map goes at least [m].
ALONG, ACROSS, FAR = 29, 21, 9e-3

# Halvings of the way between a feasible place and one that is not.
HALVINGS = 4


class Place(NamedTuple):
    """One place of the ball on the bar."""

    from_lock_face: float  # [mm]
    from_edge: float  # [mm]
    radius: float  # from the pivot [mm]
    torque: float | None  # breakout torque at the same force on the ball [N*mm]
    breakout: float | None  # breakout force of the build with the ball there [N]
    margin: float  # least of all margins; negative where the place is not feasible [mm]
    tight: str  # what that margin is about


@dataclass(frozen=True)
class Places:
    """A map of places of the ball on the bar; arrays of shape (across, along).

    Attributes
    ----------
    from_lock_face, from_edge : array, shapes (along,) and (across,)
        [mm]
    radius : array
        From the pivot to the ball [mm].
    torque : array
        Breakout torque of this build at the same force on the ball: it goes with the radius [N*mm].
    breakout : array
        Breakout force of the whole model with the ball there; not a number where there is none [N].
    margin : array
        Least margin of dimple, way and hole; negative or not a number where a place is not feasible [mm].
    wanted : array of bool
        Whether the breakout is inside the build's target; all false where it has none.
    band : tuple of float or None
        Ends of that target, infinite where it is open [N]; None where there is none.
    best : Place or None
        Largest margin among the places with the wanted breakout, or among all where no target is set; None where no
        such place is feasible.
    here : Place
        The build's own.
    """

    from_lock_face: Array
    from_edge: Array
    radius: Array
    torque: Array
    breakout: Array
    margin: Array
    wanted: npt.NDArray[np.bool_]
    band: tuple[float, float] | None
    best: Place | None
    here: Place


def read_places(found: Layout) -> Places:
    """Try places of the ball on the bar.

    Parameters
    ----------
    found : Layout
        With the ball in its own place.
    """
    section, results = found.section, found.response.results
    along, across = _axes(found)
    trials = [[replace(section, from_lock_face=x, from_edge=y) for x in along] for y in across]
    judged = [[margin(found, one) for one in row] for row in trials]
    margins = np.array([[left for left, _ in row] for row in judged])
    breakout = _breakouts(found, trials)
    radius = np.array([[one.radius for one in row] for row in trials])
    torque = float(results["breakout_torque"]) * 1e3 * radius / section.radius
    band = stated_band(found.build.target, "breakout_force")
    low, high = band or (np.inf, np.inf)
    wanted = (breakout >= low) & (breakout <= high)
    score = np.where((margins > 0) & (wanted if band else True), margins, -np.inf)
    i, j = (int(at) for at in np.unravel_index(np.argmax(score), score.shape))
    best = _place(trials[i][j], torque[i, j], breakout[i, j], *judged[i][j]) if np.isfinite(score[i, j]) else None
    own = 1e3 * float(results["breakout_torque"]), float(results["breakout_force"])
    here = _place(section, *own, *margin(found, section))
    return Places(along * 1e3, across * 1e3, radius * 1e3, torque, breakout, margins, wanted, band, best, here)


def _place(section: LayoutSection, torque: float, breakout: float, left: float, tight: str) -> Place:
    return Place(
        float(section.from_lock_face) * 1e3,
        float(section.from_edge) * 1e3,
        float(section.radius) * 1e3,
        float(torque) if np.isfinite(torque) else None,
        float(breakout) if np.isfinite(breakout) else None,
        left,
        tight,
    )


def _axes(found: Layout) -> tuple[Array, Array]:
    """Distances from lock face and edge that are tried: the bar between its tip and its relief."""
    section, record, bar = found.section, found.response.load.record, ball_on_bar(found.build)
    near, full = bar.hole_radius, float(record.tip_from_root - record.relief_length)
    relieved = float(record.relief_length) < float(record.tip_from_root)
    room = full - bar.hole_radius if relieved else float(record.tip_from_root) / 2
    far = min(max(FAR, 1.6 * section.from_lock_face), max(room, near * 1.5))
    ends = min(near, section.from_edge), max(bar.width - near, section.from_edge)
    return np.linspace(min(near, section.from_lock_face), far, ALONG), np.linspace(*ends, ACROSS)


def read_turns(found: Layout) -> tuple[Array, Array]:
    """Where feasibility changes between neighbouring places, found by halving, for drawing.

    Parameters
    ----------
    found : Layout
        Whose places are tried.

    Returns
    -------
    tuple of two arrays, shape (along - 1, across) and (along, across - 1)
        Share of the way from a place to the next along the bar, and across it; not a number where nothing turns.
    """
    places = found.places
    along, across, good = places.from_lock_face * 1e-3, places.from_edge * 1e-3, places.margin > 0

    def turn(first: tuple[int, int], second: tuple[int, int]) -> float:
        low, step = 0.0, 1.0
        for _ in range(HALVINGS):
            step /= 2
            x, y = (
                at[a] + (low + step) * (at[b] - at[a]) for at, a, b in zip((along, across), first, second, strict=True)
            )
            there = replace(found.section, from_lock_face=float(x), from_edge=float(y))
            low += step if (margin(found, there)[0] > 0) == good[first[::-1]] else 0.0
        return low + step / 2

    shares = np.full((along.size - 1, across.size), np.nan), np.full((along.size, across.size - 1), np.nan)
    for j, i in np.argwhere(good[:, :-1] != good[:, 1:]).tolist():
        shares[0][i, j] = turn((i, j), (i + 1, j))
    for j, i in np.argwhere(good[:-1] != good[1:]).tolist():
        shares[1][i, j] = turn((i, j), (i, j + 1))
    return shares


def margin(found: Layout, section: LayoutSection) -> tuple[float, str]:
    """Least margin of a place on the bar, and what it is about.

    Parameters
    ----------
    found : Layout
        Of the build.
    section : LayoutSection
        With the ball in that place.

    Returns
    -------
    tuple of float and str
        Negative where the place is not feasible [mm].
    """
    record, tang, bar = found.response.load.record, found.tang, ball_on_bar(found.build)
    ride = ride_of(section, float(record.open_angle))
    if ride.radius < 2 * bar.hole_radius:
        return -1.0, "pivot"
    rim = rim_of(ride, record, 2 * found.rim.radius)
    stretches = gaps(ride, tang.edges, tang.chamfer)
    off = final(stretches)
    if off is None or len(stretches) > 1 or off.left_by < 0:
        return -1.0, "way"
    rows = read_clearances(ride, tang, rim, off)
    every, end = [(wall.left, wall.name) for wall in read_walls(section, bar)], math.degrees(off.start) - 1e-6
    every += [(row.rim_to_chamfer, row.name) for row in rows]
    every += [(row.flat, row.name) for row in rows if not row.leaves and row.angle < end]
    pin = read_pin(section, ride, rim)
    every += [(min(pin.contact, pin.rim), "stop pin's track")] if pin is not None else []
    return min(every)


def _breakouts(found: Layout, trials: list[list[LayoutSection]]) -> Array:
    """Breakout force of the whole model at each place [N]; not a number where there is none."""
    tip = found.build.si("bar.tip_from_root")
    sizes = [[one.sizes(tip) for one in row] for row in trials]
    moved = {name: np.array([[one[name] for one in row] for row in sizes]) for name in sizes[0][0]}
    return np.asarray(respond(assemble(found.numbers | moved), ("breakout_force",)).results["breakout_force"], float)
