"""Computes the fields of the SI record from numbers by dotted name, part by part.

Says which input feeds which field. Uses `detentsim.mechanics.record`; called by `record` and by every sweep.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from detentsim.mechanics.motion import blade, pivot
from detentsim.mechanics.record import Array, Record

if TYPE_CHECKING:
    from collections.abc import Mapping

# Inputs of a measured stiffness, which a record holds as the calibration that they come to.
MEASURED = ("bar.stiffness", "bar.measured.pull", "bar.measured.travel", "bar.measured.at")

# Radial error taken as none [m]: under an atom, and its square would be lost beside that of the ball's way.
NOTHING = 1e-12


# Inputs that are added after drilling and pressing.
COATS = ("tang.coating", "ball.coating", "bar.coating")


def uncoated(numbers: Mapping[str, npt.ArrayLike]) -> dict[str, npt.ArrayLike]:
    """Return the numbers of the same knife before it is coated: as it is drilled and pressed.

    Parameters
    ----------
    numbers : mapping of str to float or array
        In SI by dotted name, as for `assemble`.

    Returns
    -------
    dict of str to float or array

    Examples
    --------
    >>> float(assemble(uncoated({"ball.diameter": 2e-3, "ball.coating": 5e-6})).ball_radius)
    0.001
    """
    return dict(numbers) | dict.fromkeys(COATS, 0.0)


def assemble(numbers: Mapping[str, npt.ArrayLike]) -> Record:
    """Return the record that the formulas take, from numbers by dotted name.

    Parameters
    ----------
    numbers : mapping of str to float or array
        In SI, as from `record.plain`; each may be an array, and all must broadcast.

    Returns
    -------
    Record
        Fields of the shapes given, not yet broadcast.

    Examples
    --------
    >>> float(assemble({"ball.diameter": 1.5e-3}).ball_radius)
    0.00075
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
    """Return the sizes, metal and springiness of the bar, and what pushes on it."""
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
        "stop_gap": get("overtravel.gap", math.inf),
        "stop_from_root": get("overtravel.from_root", tip),
        "lockup_travel": get("bar.lockup_travel"),
        "calibration": get("bar.calibration", 1.0),
        "lateral_compliance": get("bar.lateral_compliance"),
        "grip_force": get("grip.force", 0.0),
        "grip_from_root": get("grip.from_root", tip),
    }


def _dimple_fields(get: _Get) -> dict[str, Array]:
    """Return the drilled sizes; without a rim drill they are the pilot's, fed to the pilot's depth.

    A coat of thickness t moves every face out by t along its own normal (an offset of the profile, derived): a hole is
    2 t narrower, a cone meets its wall `t (1 - tan(point/4))` farther below the coated face, and the radius of an edge
    is t larger.
    """
    point = get("dimple.point_angle")
    pilot, rim = get("dimple.pilot_drill"), get("dimple.rim_drill")
    depth = get("dimple.pilot_depth")
    half_pilot = get("dimple.pilot_point_angle", point) / 2
    half_rim = np.where(np.isnan(rim), half_pilot, get("dimple.rim_point_angle", point) / 2)
    oversize, coat = get("dimple.hole_oversize", 0.0), get("tang.coating", 0.0)
    sunk = coat * (1 - np.tan(half_rim / 2))
    return {
        "pilot_radius": (pilot + oversize) / 2 - coat,
        "pilot_depth": depth + coat * (1 - np.tan(half_pilot / 2)),
        "pilot_tangent": np.tan(half_pilot),
        "rim_radius": (np.fmax(rim, pilot) + oversize) / 2 - coat,  # equal sizes may differ in their last digit
        "rim_feed": np.where(np.isnan(rim), depth, get("dimple.rim_feed", 0.0)) + sunk,
        "rim_tangent": np.tan(half_rim),
        "burr_height": get("dimple.burr", 0.0),
        "edge_radius": get("dimple.edge_radius", 0.0) + coat,
        "inner_edge_radius": get("dimple.inner_edge_radius", 0.0) + coat,
        "elastic_rim": get("contact.rim_gives", 0.0),
    }


def _tang_fields(get: _Get) -> dict[str, Array]:
    """Return ball, tang, and how they lie to each other; coats, end play and a changed stop pin taken in."""
    arm = get("tang.pivot_to_ball")
    with np.errstate(divide="ignore", invalid="ignore"):
        pin = np.where(get("stop.pin_change", 0.0) == 0, 0.0, get("stop.pin_change") / 2 / get("stop.radius"))
    friction = get("friction.ball_on_tang")
    radial = get("dimple.radial_error", 0.0)
    played = pivot.gap_opened(get("pivot.end_play", 0.0), get("pivot.washer_outer", math.inf), arm)
    ball, bar = get("ball.coating", 0.0), get("bar.coating", 0.0)
    # Coats of tang and slab close the gap between them, unless the washers stand on those coats.
    coats = np.where(get("pivot.seats", 0.0) > 0, 0.0, get("tang.coating", 0.0) + bar)
    # A larger pin stops the blade sooner, farther from the angle at which the ball is centred.
    return {
        "ball_radius": get("ball.diameter") / 2 + ball,
        "protrusion": get("ball.protrusion") + ball - bar,
        "ball_modulus": get("ball.youngs_modulus"),
        "ball_poisson": get("ball.poissons_ratio"),
        "overclose": get("dimple.overclose", 0.0) / arm + get("dimple.overclose_angle", 0.0) + pin,
        "radial_error": np.where(np.abs(radial) < NOTHING, 0.0, radial),
        "pivot_to_ball": arm,
        "face_gap": get("tang.face_gap") + played - coats,
        "tang_modulus": get("tang.youngs_modulus"),
        "tang_poisson": get("tang.poissons_ratio"),
        "tang_hardness": get("tang.hardness"),
        "travel_angle": get("tang.travel_angle", 0.0),
        "friction": friction,
        "static_friction": get("friction.ball_on_tang_static", friction),
    }


def _weight_fields(get: _Get) -> dict[str, Array]:
    """Return mass, balance radius and inertia: as given, or from the blade's shape or its pendulum period."""
    shape = blade.tapered(get("blade.root_width"), get("blade.tip_width"), get("blade.length"))
    drawn = get("tang.density") * shape.area * get("blade.thickness") * get("blade.grind", 1.0)
    mass = get("blade.mass", drawn)
    balance = get("blade.balance_radius", shape.centre)
    timed = blade.pendulum_inertia(get("blade.pendulum_period"), mass, balance)
    swung = np.where(np.isnan(timed), mass * shape.square, timed)
    return {"blade_mass": mass, "balance_radius": balance, "blade_inertia": get("blade.inertia", swung)}


def _pivot_fields(get: _Get) -> dict[str, Array]:
    outer, inner = get("pivot.washer_outer"), get("pivot.washer_inner")
    snug = (get("pivot.washer_contact", 0.0) > 0) & ~(get("pivot.end_play", 0.0) > 0)
    tilted = pivot.tilted_radius(outer, inner, get("tang.pivot_to_ball"))
    radius = np.where(snug, tilted, pivot.collar_radius(outer, inner))
    circle = pivot.friction_circle(get("pivot.pin_diameter", 0.0), get("pivot.pin_friction", 0.0))
    return {
        "pivot_torque": get("pivot.friction_torque", 0.0),
        "washer_friction": get("pivot.washer_friction", 0.0),
        "washer_radius": np.where(np.isnan(radius), 0.0, radius),
        "friction_circle": circle,
    }


def _blade_fields(get: _Get) -> dict[str, Array]:
    return (
        _pivot_fields(get)
        | {
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
        }
        | _weight_fields(get)
    )
