"""From a build to the plain SI record that the formulas take.

Two steps, so that a sweep never makes builds: `plain` turns a build into SI numbers by dotted name, `assemble` turns
such numbers, or arrays in their place, into a record.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Protocol

import numpy as np
import numpy.typing as npt

from detentsim.build.model import Build
from detentsim.build.problems import BuildError, Problem
from detentsim.mechanics import beam, dimple, pivot
from detentsim.mechanics.record import Array, Record
from detentsim.shop.materials import find_material

Plain = dict[str, npt.ArrayLike]

RELIEF_SIDES = {"outer": -1.0, "both": 0.0, "inner": 1.0}
# Outside this ratio a measured stiffness more likely means a slip of the rule than a soft bar.
USUAL_CALIBRATION = (0.7, 1.3)


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
    build.require("bar", "ball", "dimple", "tang", "opener")
    numbers: Plain = {name: value.si for name, value in build.values.items()}
    numbers |= _materials(build) | _words(build) | _stand_ins(build)
    if build["bar.measured.pull"] is not None or build["bar.stiffness"] is not None:
        numbers["bar.calibration"] = _calibration(build, numbers)
    if build["dimple.loose_ball_height"] is not None:
        numbers["dimple.rim_feed"] = _feed_for_height(build, numbers)
    return numbers


def _materials(build: Build) -> Plain:
    bar = find_material(build.word("bar.material"), "bar", "bar.material")
    ball = find_material(build.word("ball.material"), "ball", "ball.material")
    tang = find_material(build.word("tang.material"), "tang", "tang.material")
    return {
        "bar.youngs_modulus": build.si("bar.youngs_modulus", bar.youngs_modulus),
        "bar.poissons_ratio": build.si("bar.poissons_ratio", bar.poissons_ratio),
        "bar.yield_strength": build.si("bar.yield_strength", bar.yield_strength or math.nan),
        "ball.youngs_modulus": ball.youngs_modulus,
        "ball.poissons_ratio": ball.poissons_ratio,
        "tang.youngs_modulus": tang.youngs_modulus,
        "tang.poissons_ratio": tang.poissons_ratio,
    }


def _words(build: Build) -> Plain:
    """Words as numbers."""
    lateral = build.word("bar.lateral_stiffness")
    return {
        "bar.relief_side": RELIEF_SIDES[build.word("bar.relief_side")],
        "bar.root": float(build.word("bar.root") == "slab"),
        "bar.bend_along": float(build.word("bar.bend_at") == "along"),
        "bar.lateral_compliance": 0.0 if lateral == "rigid" else 1 / build.si("bar.lateral_stiffness"),
        "opener.push": float(build.word("opener.push") == "follows"),
    }


def _stand_ins(build: Build) -> Plain:
    """Inputs that others may stand for, and over-close in its two kinds."""
    gap = build.si("pivot.washer_thickness") - build.si("pivot.handle_pocket") - build.si("pivot.tang_pocket")
    pulled = build.si("pivot.pull.force") * build.si("pivot.pull.at")
    angled = build.values["dimple.overclose"].kind == "angle"
    return {
        "tang.face_gap": build.si("tang.face_gap", gap),
        "pivot.friction_torque": build.si("pivot.friction_torque", pulled),
        "dimple.overclose": 0.0 if angled else build.si("dimple.overclose"),
        "dimple.overclose_angle": build.si("dimple.overclose") if angled else 0.0,
    }


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
        "ball_from_root": get("bar.ball_from_root"),
        "tip_from_root": tip,
        "bend": get("bar.bend"),
        "bend_along": get("bar.bend_along", 0.0),
        "bend_at": get("bar.bend_at"),
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
    return {
        "ball_radius": get("ball.diameter") / 2,
        "protrusion": get("ball.protrusion"),
        "ball_modulus": get("ball.youngs_modulus"),
        "ball_poisson": get("ball.poissons_ratio"),
        "overclose": get("dimple.overclose", 0.0) / arm + get("dimple.overclose_angle", 0.0) - pin,
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
        "open_angle": get("blade.open_angle", math.pi),
        "blade_mass": get("blade.mass"),
        "balance_radius": get("blade.balance_radius"),
        "tilt": get("attitude.tilt", 0.0),
        "down_angle": get("attitude.down_angle"),
    }


def record(build: Build) -> Record:
    """Return the record of one build; fields are 0-d."""
    return assemble(plain(build))


def _calibration(build: Build, numbers: Plain) -> float:
    """Ratio of the measured stiffness to the computed one [-]."""
    ideal = assemble(numbers | {"bar.calibration": 1.0})
    if build["bar.stiffness"] is not None:
        return build.si("bar.stiffness") / float(beam.bar_stiffness(ideal))
    at = build.si("bar.measured.at", build.si("bar.ball_from_root"))
    measured = build.si("bar.measured.pull") / build.si("bar.measured.travel")
    return measured * float(beam.flexibility(ideal, at, at))


def _feed_for_height(build: Build, numbers: Plain) -> float:
    """Rim feed that leaves a loose ball standing at the given height [m]."""
    from scipy.optimize import brentq

    wanted = build.si("dimple.loose_ball_height")

    def height(feed: float) -> float:
        solved = assemble(numbers | {"dimple.rim_feed": feed})
        return 2 * float(solved.ball_radius) - float(dimple.seat_depth(dimple.pieces(solved)))

    deepest = _full_feed(assemble(numbers | {"dimple.rim_feed": 0.0}))
    low, high = height(deepest), height(0.0)
    if not low < wanted < high:
        raise BuildError([_no_feed(build, low, high)])
    return float(brentq(lambda feed: height(feed) - wanted, 0.0, deepest, xtol=1e-12))


def _full_feed(solved: Record) -> float:
    """Feed after which the loose ball no longer sinks: the rim's wall holds it, or the ball's own diameter."""
    return float(2 * solved.ball_radius)


def _no_feed(build: Build, low: float, high: float) -> Problem:
    given = build.word("dimple.loose_ball_height")
    reach = f"this ball and these drills take it from above {low * 1e3:.3f} to below {high * 1e3:.3f} mm"
    text = f'"{given}" decides no feed; {reach}; give rim_feed instead, such as "0.05 mm"'
    return Problem(build.source, None, "dimple.loose_ball_height", text)
