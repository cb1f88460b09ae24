"""Plain-number records to start a test from, and a small model of the detent that shares no formula with the kernel.

The model (`Bench`) knows only what a bench would: line and arc profiles of a drilled hole, vectors of force, a ball
that sticks or slips, two springs. Bar stiffness, free offset and side give are read from the package (they have
tests of their own); all that follows from them is worked out here again.
"""

from typing import NamedTuple

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import at_ball_angle, at_blade_angle
from detentsim.mechanics.record import Record, last_axis

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


class Bench(NamedTuple):
    """One design, as plain numbers [SI]."""

    record: Record
    stiffness: float
    reach: float  # how far the free ball's tip would stand inside the flat
    give: float  # blade angle per torque of the side give
    segments: tuple  # straight parts of the hole's half section, (r0, z0, r1, z1)
    fillet: tuple | None  # centre radius, centre depth and radius of a rounded edge


def bench(record):
    """Solve nothing: collect the numbers of one design."""
    f = Record(*(float(field) for field in record))
    k = float(beam.bar_stiffness(record))
    ratio = beam.flexibility(record, f.grip_from_root, f.ball_from_root)
    ratio /= beam.flexibility(record, f.ball_from_root, f.ball_from_root)
    reach = float(bend.free_offset(record)) - f.face_gap + f.protrusion + f.grip_force * float(ratio) / k
    give = float(beam.lateral_compliance(record)) / f.pivot_to_ball**2
    return Bench(f, k, reach, give, *_profile(f))


def _profile(f):
    """Half section of the hole. A rounded edge is understood only on a wall taller than its radius."""
    top = min(f.rim_radius, f.pilot_radius + f.rim_feed * f.rim_tangent)
    wall = max(0.0, f.rim_feed - (f.rim_radius - f.pilot_radius) / f.rim_tangent)
    if f.edge_radius > 0 and wall < f.edge_radius:
        raise ValueError("the bench model rounds only an edge on a tall wall")
    outer = top + f.edge_radius
    segments = [(outer, 0.0, 10 * f.ball_radius, 0.0)]
    if top > f.pilot_radius:
        segments.append((f.pilot_radius, -f.rim_feed, top, -wall))
    segments += _floor(f)
    fillet = (outer, f.edge_radius, f.edge_radius) if f.edge_radius > 0 else None
    return tuple(segments), fillet


def _floor(f):
    """Floor of the hole: at each radius the deeper of the two drill points."""
    cones = [(f.pilot_depth, f.pilot_tangent), (f.rim_feed, f.rim_tangent)]
    radii = np.array([0.0, f.pilot_radius])
    deep = np.array([[d + (f.pilot_radius - r) / t for r in radii] for d, t in cones])
    difference = deep[0] - deep[1]
    if difference[0] * difference[1] < 0:
        cross = f.pilot_radius * difference[0] / (difference[0] - difference[1])
        radii = np.array([0.0, cross, f.pilot_radius])
        deep = np.array([[d + (f.pilot_radius - r) / t for r in radii] for d, t in cones])
    z = -deep.max(axis=0)
    return [(radii[i], z[i], radii[i + 1], z[i + 1]) for i in range(len(radii) - 1)]


def ball_rest(b, s):
    """Height of the ball's centre [m] and contact angle psi [rad] at offsets s >= 0 from the hole's axis."""
    s = np.atleast_1d(np.asarray(s, float))
    size = b.record.ball_radius
    best, psi = np.full(s.shape, -np.inf), np.zeros(s.shape)
    touches = []
    for r0, z0, r1, z1 in b.segments:
        slope = np.arctan2(z1 - z0, r1 - r0)
        r = np.clip(s + size * np.sin(slope), r0, r1)
        touches.append((r, z0 + (r - r0) * np.tan(slope), np.full(s.shape, size)))
    if b.fillet:
        r, depth, small = b.fillet
        inside = s < r  # the arc lies inward of its centre
        touches.append((np.where(inside, r, np.inf), np.full(s.shape, -depth), np.full(s.shape, size + small)))
    for r, z, length in touches:
        sine = (r - s) / length
        reached = np.abs(sine) < 1
        height = np.where(reached, z + length * np.sqrt(1 - np.where(reached, sine, 0) ** 2), -np.inf)
        better = height > best
        best = np.where(better, height, best)
        psi = np.where(better, np.arcsin(np.where(reached, sine, 0)), psi)
    return best, psi


def offset(b, phi):
    """Offset s of the ball [m] and cosine between the way out of the hole and the ball's path."""
    f = b.record
    ball = f.pivot_to_ball * np.stack([np.cos(phi), -np.sin(phi)], axis=-1)
    out = ball - np.array([f.pivot_to_ball + f.radial_error, 0.0])
    along = np.stack([-np.sin(phi), -np.cos(phi)], axis=-1)
    s = np.linalg.norm(out, axis=-1)
    with np.errstate(invalid="ignore"):
        u = out / s[..., None]
    return s, np.where(s > 0, np.sum(u * along, axis=-1), 1.0)


def depth_at(b, phi):
    """How far the ball's tip is below the flat at ball angle phi [m]."""
    return b.record.ball_radius - ball_rest(b, offset(b, np.atleast_1d(phi))[0])[0]


def bar_push(b, depth):
    """Force of the bar on the ball [N]."""
    return np.where(depth > b.record.protrusion, 0.0, b.stiffness * np.maximum(0.0, b.reach - depth))


def slide(b, phi, sense, friction=None):
    """Torque resisting (opening) or pulling in (closing) [N m], and normal force [N], of the sliding ball.

    Vectors on the ball along its path, across it, and off the blade: the flank pushes along its normal, friction
    against the ball's motion over the blade; the bar takes up what is sideways, its spring what is lengthways.
    """
    phi = np.atleast_1d(np.asarray(phi, float))
    mu = b.record.friction if friction is None else friction
    s, cosine = offset(b, phi)
    height, psi = ball_rest(b, s)
    zero = np.zeros(phi.shape)
    across = np.sqrt(np.maximum(0, 1 - cosine**2))
    normal = np.stack([-np.sin(psi) * cosine, -np.sin(psi) * across, np.cos(psi)], axis=-1)
    motion = np.stack([np.ones(phi.shape), zero, np.tan(psi) * cosine], axis=-1)
    motion *= sense / np.linalg.norm(motion, axis=-1, keepdims=True)
    on_ball = normal - mu * motion
    push = bar_push(b, b.record.ball_radius - height)
    with np.errstate(divide="ignore", invalid="ignore"):
        size = np.where(on_ball[..., 2] > 0, push / on_ball[..., 2], np.where(push > 0, np.inf, 0))
        return np.where(size > 0, -size * on_ball[..., 0] * b.record.pivot_to_ball, 0.0), size


def mouth(b):
    """Ball angle at which the ball is on the flat [rad]."""
    f = b.record
    rim = b.segments[0][0]
    rho, far = f.pivot_to_ball, f.pivot_to_ball + f.radial_error
    return float(np.arccos((rho**2 + far**2 - rim**2) / (2 * rho * far)))


def highest(value, low, high, rounds=5, points=4001):
    """Largest value of a function between two ends, and where: a dense scan, narrowed round its best point."""
    for _ in range(rounds):
        grid = np.linspace(low, high, points)
        found = value(grid)
        top = int(np.argmax(found))
        low, high = grid[max(top - 1, 0)], grid[min(top + 1, points - 1)]
    return float(found[top]), float(grid[top])


class Walk(NamedTuple):
    """What the two-spring model saw while the blade was turned step by step."""

    theta: np.ndarray
    torque: np.ndarray
    phi: np.ndarray


def walk_open(b, phi, start, steps=6001, points=40001, end=None):
    """Turn the blade open from angle `start`, the ball at rest at `phi`: it sticks, then slips, and may jump.

    Quasi-static: at each step the ball stays while side give pulls it less than static friction holds it, else runs
    on to the first place that holds it.
    """
    f, c = b.record, b.give
    grid = np.linspace(phi, max(1.2 * mouth(b), 1.1 * ((end or 0) + f.overclose)), points)
    grid[0] += 1e-12  # just off the centre, where the torque has a sense
    holds = grid - f.overclose + c * slide(b, grid, +1)[0]
    first = grid[0] - f.overclose + c * slide(b, grid[:1], +1, f.static_friction)[0][0]
    theta = np.linspace(start, holds[-1] if end is None else end, steps)
    where = np.empty(steps)
    at, moves = 0, False
    for i, angle in enumerate(theta):
        moves = moves or angle > first
        while moves and at < points - 1 and holds[at] < angle:
            at += 1
        where[i] = grid[at]
        if at > 0 and moves:
            low, high = holds[at - 1], holds[at]
            share = (angle - low) / (high - low) if high > low else 1.0
            where[i] = grid[at - 1] + min(max(share, 0), 1) * (grid[at] - grid[at - 1])
    return Walk(theta, (theta + f.overclose - where) / c, where)


def walk_shut(b, start, steps=6001, points=40001):
    """Turn the blade shut from angle `start`, well out on the flat, to its stop at 0."""
    f, c = b.record, b.give
    grid = np.linspace(1.3 * (start + f.overclose), 0.0, points)
    grid[-1] = 1e-12
    holds = grid - f.overclose + c * slide(b, grid, -1)[0]
    theta = np.linspace(start, 0, steps)
    where = np.empty(steps)
    at = 0
    for i, angle in enumerate(theta):
        while at < points - 1 and holds[at] > angle:
            at += 1
        where[i] = grid[at]
        low, high = holds[max(at - 1, 0)], holds[at]
        if at > 0 and low > angle >= high:
            where[i] = grid[at - 1] + (low - angle) / (low - high) * (grid[at] - grid[at - 1])
    where = np.where(where <= 1e-11, 0.0, where)
    return Walk(theta, (theta + f.overclose - where) / c, where)


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
