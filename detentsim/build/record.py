"""From a build to the plain SI record that the formulas take.

Two steps, so that a sweep never makes builds: `plain` turns a build into SI numbers by dotted name, `assemble` turns
such numbers, or arrays in their place, into a record.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from detentsim.build.columns import Column
from detentsim.build.fits import FITS, Fit
from detentsim.build.model import Build
from detentsim.build.numbers import Plain as Plain
from detentsim.build.numbers import Reader, read_numbers
from detentsim.build.problems import BuildError, Problem
from detentsim.mechanics import beam, dimple, pivot, plate
from detentsim.mechanics.record import Array, Index, Record, Truth

# Outside this ratio a measured stiffness more likely means a slip of the rule than a soft bar.
USUAL_CALIBRATION = (0.7, 1.3)
MEASURED = ("bar.stiffness", "bar.measured.pull", "bar.measured.travel", "bar.measured.at")
# Feeds solved together for a loose-ball height: some tens of megabytes of work.
FEEDS_AT_ONCE = 16_384
_NEEDS = ("bar", "ball", "dimple", "tang", "opener")
_NO_FEED = "no feed of the second drill gives that loose-ball height"


class Swept(NamedTuple):
    """Numbers of a build with columns of values in place of some: each column on an axis of its own."""

    numbers: Plain
    misfits: dict[str, Truth]  # what does not fit, in words, and where; shapes broadcast


def plain(build: Build) -> Plain:
    """Every number a record needs, by dotted name, in SI.

    Parameters
    ----------
    build : Build

    Returns
    -------
    dict of str to float
        Names of inputs; materials are their elastic constants; `dimple.overclose` is the part given as a length at
        the ball [m], `dimple.overclose_angle` the part given as an angle [rad]. NaN: not given.

    Raises
    ------
    BuildError
        Where a section that the feel curve needs is missing, or a loose-ball height that no feed gives.
    """
    found = swept(build, ())
    if np.any(found.misfits.get(_NO_FEED, False)):
        raise BuildError([_no_feed(build, found.numbers)])
    return found.numbers


def swept(build: Build, columns: Sequence[Column]) -> Swept:
    """Numbers of a build with some inputs varied, each column along an axis of its own.

    Parameters
    ----------
    build : Build
        What stays as it is.
    columns : sequence of Column
        In the order of the axes.

    Returns
    -------
    Swept
        A number is a float, or an array that has the columns' number of axes and is as long as its columns.

    Raises
    ------
    BuildError
        Where the columns cannot stand in such a build at all.

    Notes
    -----
    A measured stiffness calibrates the bar as given, once; the ratio then stays through whatever is varied.
    """
    base = build.trial(_first(columns)) if columns else build
    base.require(*_NEEDS)
    read = Reader(base, columns)
    numbers = read_numbers(read)
    height = "dimple.loose_ball_height"
    if height in numbers:  # without a second drill there is nothing to feed
        drill = np.asarray(numbers["dimple.rim_drill"], float)
        numbers[height] = np.where(np.isnan(drill), math.nan, np.asarray(numbers[height], float))
    measuring = [column for column in columns if column.name in MEASURED]
    own = build.trial(_first(measuring)) if measuring else build
    if any(own[name] is not None for name in MEASURED):
        numbers["bar.calibration"] = _calibration(Reader(own, columns, MEASURED))
    misfits = {fit.words: _misfit(fit, numbers) for fit in FITS.values()}
    if base[height] is not None:
        numbers["dimple.rim_feed"], misfits[_NO_FEED] = _feed_for_height(numbers)
    return Swept(numbers, {words: where for words, where in misfits.items() if np.any(where)})


def _first(columns: Sequence[Column]) -> dict[str, object]:
    """One value of each column that a build can stand with; a word that takes a part out comes last."""
    found: dict[str, object] = {}
    for column in columns:
        sized = np.flatnonzero(~np.isnan(column.si))
        found[column.name] = column.raw(int(sized[0]) if sized.size else 0)
    if "dimple.rim_drill" in found and found["dimple.rim_drill"] == "none":
        found |= {"dimple.rim_feed": None, "dimple.loose_ball_height": None}
    return found


def _misfit(fit: Fit, numbers: Plain) -> Truth:
    return np.asarray(fit.broken(lambda name: np.asarray(numbers.get(name, math.nan), float)))


def assemble(numbers: Mapping[str, npt.ArrayLike]) -> Record:
    """Turn plain numbers into the record that the formulas take.

    Parameters
    ----------
    numbers : mapping of str to float or array
        As `plain` gives them; any of them may be an array, as long as all broadcast.

    Returns
    -------
    Record
        Fields of the shapes given, not yet broadcast.
    """

    def get(name: str, default: npt.ArrayLike = math.nan) -> Array:
        value = np.asarray(numbers.get(name, math.nan), float)
        return np.where(np.isnan(value), default, value)

    parts = _bar_fields(get) | _dimple_fields(get) | _tang_fields(get) | _blade_fields(get)
    return Record(**parts)


class _Get(Protocol):
    """Reads one number, or a default where it is not given."""

    def __call__(self, name: str, default: npt.ArrayLike = math.nan) -> Array: ...


def _bar_fields(get: _Get) -> dict[str, Array]:
    thickness, tip = get("bar.thickness"), get("bar.tip_from_root")
    return {
        "youngs_modulus": get("bar.youngs_modulus"),
        "poissons_ratio": get("bar.poissons_ratio"),
        "yield_strength": get("bar.yield_strength"),
        "thickness": thickness,
        "width": get("bar.width"),
        "relief_thickness": get("bar.relief_thickness", thickness),
        "relief_length": get("bar.relief_length", tip),
        "relief_side": get("bar.relief_side", -1.0),
        "slab_root": get("bar.root", 1.0),
        "root_at_edge": get("bar.root_at_edge", 0.0),
        "ball_from_root": get("bar.ball_from_root"),
        "tip_from_root": tip,
        "bend": get("bar.bend"),
        "bend_along": get("bar.bend_along", 0.0),
        "bend_at": get("bar.bend_at"),
        "bend_push_at": get("bar.bend_push_at", tip),
        "reverse_yield": get("bar.reverse_yield", 1.0),
        "pushed_back": get("bar.pushed_back", 0.0),
        "lockup_travel": get("bar.lockup_travel"),
        "calibration": get("bar.calibration", 1.0),
        "lateral_compliance": get("bar.lateral_compliance"),
        "grip_force": get("grip.force", 0.0),
        "grip_from_root": get("grip.from_root", tip),
    }


def _dimple_fields(get: _Get) -> dict[str, Array]:
    """Drilled sizes; without a rim drill the pilot's own size stands in, fed to the pilot's depth."""
    point = get("dimple.point_angle")
    pilot, rim = get("dimple.pilot_drill"), get("dimple.rim_drill")
    depth = get("dimple.pilot_depth")
    half_pilot = get("dimple.pilot_point_angle", point) / 2
    half_rim = np.where(np.isnan(rim), half_pilot, get("dimple.rim_point_angle", point) / 2)
    oversize = get("dimple.hole_oversize", 0.0)
    return {
        "pilot_radius": (pilot + oversize) / 2,
        "pilot_depth": depth,
        "pilot_tangent": np.tan(half_pilot),
        "rim_radius": (np.where(np.isnan(rim), pilot, rim) + oversize) / 2,
        "rim_feed": np.where(np.isnan(rim), depth, get("dimple.rim_feed", 0.0)),
        "rim_tangent": np.tan(half_rim),
        "edge_radius": get("dimple.edge_radius", 0.0),
    }


def _tang_fields(get: _Get) -> dict[str, Array]:
    arm = get("tang.pivot_to_ball")
    with np.errstate(divide="ignore", invalid="ignore"):
        pin = np.where(get("stop.pin_change", 0.0) == 0, 0.0, get("stop.pin_change") / 2 / get("stop.radius"))
    friction = get("friction.ball_on_tang")
    # A larger pin stops the blade sooner, farther from where the ball would be centred.
    return {
        "ball_radius": get("ball.diameter") / 2,
        "protrusion": get("ball.protrusion"),
        "ball_modulus": get("ball.youngs_modulus"),
        "ball_poisson": get("ball.poissons_ratio"),
        "overclose": get("dimple.overclose", 0.0) / arm + get("dimple.overclose_angle", 0.0) + pin,
        "radial_error": get("dimple.radial_error", 0.0),
        "pivot_to_ball": arm,
        "face_gap": get("tang.face_gap"),
        "tang_modulus": get("tang.youngs_modulus"),
        "tang_poisson": get("tang.poissons_ratio"),
        "tang_hardness": get("tang.hardness"),
        "travel_angle": get("tang.travel_angle", 0.0),
        "friction": friction,
        "static_friction": get("friction.ball_on_tang_static", friction),
    }


def _weight_fields(get: _Get) -> dict[str, Array]:
    """Mass, balance and inertia: as given, or by the blade's shape; inertia by a pendulum's period too."""
    shape = plate.tapered(get("blade.root_width"), get("blade.tip_width"), get("blade.length"))
    drawn = get("tang.density") * shape.area * get("blade.thickness") * get("blade.grind", 1.0)
    mass = get("blade.mass", drawn)
    balance = get("blade.balance_radius", shape.centre)
    timed = plate.pendulum_inertia(get("blade.pendulum_period"), mass, balance)
    swung = np.where(np.isnan(timed), mass * shape.square, timed)
    return {"blade_mass": mass, "balance_radius": balance, "blade_inertia": get("blade.inertia", swung)}


def _blade_fields(get: _Get) -> dict[str, Array]:
    outer, inner = get("pivot.washer_outer"), get("pivot.washer_inner")
    radius = pivot.collar_radius(outer, inner)
    return {
        "pivot_torque": get("pivot.friction_torque", 0.0),
        "washer_friction": get("pivot.washer_friction", 0.0),
        "washer_radius": np.where(np.isnan(radius), 0.0, radius),
        "opener_radius": get("opener.radius"),
        "push_angle": get("opener.push_angle"),
        "push_follows": get("opener.push", 0.0),
        "leaves_at": get("opener.leaves_at"),
        "finger_effort": get("finger.effort", 1.05),
        "finger_speed": get("finger.speed_limit", 1.5),
        "finger_shape": get("finger.shape", 0.25),
        "open_angle": get("blade.open_angle", math.pi),
        "tilt": get("attitude.tilt", 0.0),
        "down_angle": get("attitude.down_angle"),
        "close_from": get("attitude.close_from"),
    } | _weight_fields(get)


def record(build: Build) -> Record:
    """Return the record of one build; fields are 0-d."""
    return assemble(plain(build))


def _calibration(read: Reader) -> Array:
    """Ratio of the measured stiffness to the computed one [-]."""
    ideal = assemble(read_numbers(read) | {"bar.calibration": 1.0})
    stiffness = np.asarray(read.si("bar.stiffness"), float)
    at = np.asarray(read.si("bar.measured.at", read.build.si("bar.ball_from_root")), float)
    pulled = np.asarray(read.si("bar.measured.pull")) / np.asarray(read.si("bar.measured.travel"))
    measured = pulled * beam.flexibility(ideal, at, at)
    return np.where(np.isnan(stiffness), measured, stiffness / beam.bar_stiffness(ideal))


def _feed_for_height(numbers: Plain) -> tuple[Array, Truth]:
    """Rim feed that leaves a loose ball standing at the given height [m], and where no feed does."""
    from scipy.optimize.elementwise import find_root

    wanted = np.asarray(numbers["dimple.loose_ball_height"], float)
    solved = assemble(numbers | {"dimple.rim_feed": 0.0})
    names = ("ball_radius", "pilot_radius", "pilot_depth", "pilot_tangent", "rim_radius", "rim_tangent", "edge_radius")
    needed = [np.asarray(getattr(solved, name), float) for name in names]
    shape = np.broadcast_shapes(wanted.shape, *(part.shape for part in needed))
    flat = [np.broadcast_to(part, shape).ravel() for part in needed]
    target = np.broadcast_to(wanted, shape).ravel()
    place = Record(*np.zeros(len(Record._fields)))

    def miss(feed: Array, index: Index) -> Array:
        parts = dict(zip(names, (part[index] for part in flat), strict=True))
        seat = dimple.seat_depth(dimple.pieces(place._replace(rim_feed=feed, **parts)))
        return np.asarray(2 * parts["ball_radius"] - seat - target[index])

    feed, bad = np.zeros_like(target), np.zeros(target.shape, bool)
    for start in range(0, target.size, FEEDS_AT_ONCE):
        part = np.arange(start, min(start + FEEDS_AT_ONCE, target.size))
        low, high = np.zeros(part.size), _full_feed(flat[0][part])
        found = find_root(miss, (low, high), args=(part,), tolerances={"xatol": 1e-12, "xrtol": 0.0})
        bad[part] = ~found.success | (miss(low, part) <= 0)
        feed[part] = np.where(bad[part], 0.0, found.x)
    return feed.reshape(shape), (bad & ~np.isnan(target)).reshape(shape)


def _full_feed(ball_radius: Array) -> Array:
    """Feed after which the loose ball no longer sinks: the rim's wall holds it, or the ball's own diameter."""
    return 2 * ball_radius


def _no_feed(build: Build, numbers: Plain) -> Problem:
    def height(feed: npt.ArrayLike) -> float:
        solved = assemble(numbers | {"dimple.rim_feed": feed})
        return 2 * float(solved.ball_radius) - float(dimple.seat_depth(dimple.pieces(solved)))

    low, high = height(_full_feed(assemble(numbers).ball_radius)), height(0.0)
    given = build.word("dimple.loose_ball_height")
    reach = f"this ball and these drills take it from above {low * 1e3:.3f} to below {high * 1e3:.3f} mm"
    text = f'"{given}" decides no feed; {reach}; give rim_feed instead, such as "0.05 mm"'
    return Problem(build.source, None, "dimple.loose_ball_height", text)
