"""A small model of the detent, walked step by step, that shares no formula with the kernel.

The model (`Bench`) knows only what a bench would: line and arc profiles of a drilled hole, vectors of force, a ball
that sticks or slips, two springs. Bar stiffness, free offset and side give are read from the package (they have
tests of their own); all that follows from them is worked out here again.
"""

from typing import NamedTuple

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.record import Record


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
