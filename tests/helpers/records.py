"""Plain-number records to start a test from, and what is read off their responses."""

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import at_ball_angle, at_blade_angle
from detentsim.mechanics.record import Record, last_axis
from detentsim.mechanics.response import respond

INCH = 0.0254
THOU = INCH / 1000
BALL = INCH / 32  # radius of a 1/16 in ball
NO_54 = 0.0550 * INCH / 2  # radii of number drills, ASME B94.11M
NO_53 = 0.0595 * INCH / 2
CONE_118 = np.tan(np.radians(59))

DEMO = {
    "youngs_modulus": 113.8e9,
    "poissons_ratio": 0.342,
    "yield_strength": 828e6,
    "thickness": 3e-3,
    "width": 8e-3,
    "relief_thickness": 1.3e-3,
    "relief_length": 10e-3,
    "relief_side": -1,
    "slab_root": 1,
    "root_at_edge": 0,
    "ball_from_root": 44e-3,
    "tip_from_root": 50e-3,
    "bend": 2.2e-3,
    "bend_along": 0,
    "bend_at": np.nan,
    "bend_push_at": 50e-3,
    "reverse_yield": 1,
    "pushed_back": 0,
    "lockup_travel": np.nan,
    "calibration": 1,
    "lateral_compliance": np.nan,
    "ball_radius": BALL,
    "protrusion": 25 * THOU,
    "ball_modulus": 310e9,
    "ball_poisson": 0.26,
    "pilot_radius": NO_54,
    "pilot_depth": 0.6e-3,
    "pilot_tangent": CONE_118,
    "rim_radius": NO_53,
    "rim_feed": 0.07e-3,
    "rim_tangent": CONE_118,
    "edge_radius": 0.02e-3,
    "inner_edge_radius": 0.0,
    "burr_height": 0,
    "elastic_rim": 0,
    "overclose": 0.05 / 8,
    "radial_error": 0,
    "stop_gap": np.inf,
    "stop_from_root": 50e-3,
    "pivot_to_ball": 8e-3,
    "face_gap": 20 * THOU,
    "tang_modulus": 205e9,
    "tang_poisson": 0.29,
    "tang_hardness": 697,
    "travel_angle": 0,
    "pivot_torque": 1.5e-3,
    "washer_friction": 0,
    "washer_radius": 0,
    "friction_circle": 0,
    "opener_radius": 15e-3,
    "push_angle": np.radians(20),
    "push_follows": 0,
    "leaves_at": np.radians(60),
    "finger_effort": 1.05,
    "finger_speed": 1.5,
    "finger_shape": 0.25,
    "friction": 0.12,
    "static_friction": None,
    "grip_force": 0,
    "grip_from_root": 50e-3,
    "open_angle": np.pi,
    "blade_mass": 0.024,
    "balance_radius": 0.034,
    "blade_inertia": 40e-6,
    "tilt": 0,
    "down_angle": 0,
    "close_from": np.pi / 2,
}


def demo(**changes):
    """One design at ordinary preload; the static coefficient follows the kinetic one unless it is given."""
    values = DEMO | changes
    if set(values) != set(Record._fields):
        raise KeyError(set(values) ^ set(Record._fields))
    if values["static_friction"] is None:
        values["static_friction"] = values["friction"]
    return Record(*(np.asarray(values[name], float) for name in Record._fields))


def one_drill(radius=NO_54, depth=0.9e-3, **changes):
    """A design without a rim drill: the second drill repeats the first."""
    same = {"pilot_radius": radius, "pilot_depth": depth, "rim_radius": radius, "rim_feed": depth}
    return demo(**(same | changes))


def dig(record, index):
    """One design out of a record of arrays."""
    return Record(*(np.asarray(field[index]) for field in np.broadcast_arrays(*record)))


def raised(response):
    """Names of the flags raised by one design."""
    return {name for name, flag in response.flags.items() if flag}


def felt(response, theta, *, opening, above=False):
    """Torque of the ball on the blade at blade angles by the kernel [N m]."""
    make = at_blade_angle.opening_table if opening else at_blade_angle.closing_table
    start = (response.rest.phi, response.rest.slip) if opening else (response.rest.phi,)
    table = make(response.load, *start)
    return at_blade_angle.torque_at(table, theta, opening=opening, above=above).torque


def torque_at(solved, phi, *, opening, static=False):
    """Torque, force on the ball and contact by the package at ball angles `phi`, its own pieces found for it."""
    phi = np.atleast_1d(phi)
    offset, _ = balance.offset_at_phi(last_axis(solved.record), phi)
    piece = dimple.piece_at(solved.shape, offset)
    touch = at_ball_angle.contact(solved, phi, piece)
    bears = touch.depth <= solved.spring.protrusion[..., None]
    found = at_ball_angle.torques(solved, phi, piece, bears, static)
    return (found.opening if opening else found.closing), found.force, touch


def values(record):
    """Results of one design as floats."""
    return {name: float(value) for name, value in respond(record).results.items()}
