"""A dimple's height by brute-force dilation of its sampled surface: no formula of the package is used.

The surface comes from the drills as cut: two convex outlines (a wall over a cone). The broken edge is the
morphological opening of the outermost cut's metal by a disc, from point-to-outline distances. The dilation takes the
highest sphere over dense samples of every stretch, refined around the best sample; each stretch has one best point,
so the refinement is safe.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.ndimage import grey_opening

from detentsim.mechanics.record import Record

INCH = 25.4e-3
TAN_59 = np.tan(np.radians(59.0))


def drilled(pilot, rim=None, feed=0.0, **changes):
    """Record of a dimple; only the fields that the dimple reads mean anything. No `rim`: one drill."""
    values = dict.fromkeys(Record._fields, 1.0)
    values |= {"ball_radius": INCH / 32, "pilot_radius": pilot, "pilot_depth": 2e-3}
    values |= {"pilot_tangent": TAN_59, "rim_tangent": TAN_59, "edge_radius": 0.0}
    values |= {"inner_edge_radius": 0.0, **changes}
    one = {"rim_radius": pilot, "rim_feed": values["pilot_depth"], "rim_tangent": values["pilot_tangent"]}
    values |= one if rim is None else {"rim_radius": rim, "rim_feed": feed}
    return Record(*(np.asarray(values[name], float) for name in Record._fields))


class Outline(NamedTuple):
    """Lower outline of one drill's cut: a wall `wall` deep at radius `mouth`, then a cone to `tip`."""

    mouth: float
    wall: float
    tip: float

    def floor(self, r):
        return -self.tip + (self.tip - self.wall) * r / self.mouth


def outline(full_radius, depth, at_radius, tangent):
    """Cut of a drill whose cone is `depth` deep at `at_radius`."""
    mouth = min(full_radius, at_radius + depth * tangent)
    return Outline(mouth, depth - (mouth - at_radius) / tangent, depth + at_radius / tangent)


def nearest(cut, x, y):
    """Point of the cut nearest to (x, y), x > 0, y < 0, and its distance; 0 inside."""
    if x < cut.mouth and y > cut.floor(x):
        return x, 0.0
    run = np.array([cut.mouth, cut.tip - cut.wall])
    along = np.clip(np.dot([x, y + cut.tip], run) / np.dot(run, run), 0, 1)
    candidates = [along * run + [0, -cut.tip], np.array([cut.mouth, np.clip(y, -cut.wall, 0)])]
    best = min(candidates, key=lambda point: np.hypot(point[0] - x, point[1] - y))
    return best[0], np.hypot(best[0] - x, best[1] - y)


def rolled_disc(cut, radius):
    """Centre radius of the disc in the metal that touches face and cut, and the radius where it touches."""
    if radius == 0:
        return cut.mouth, cut.mouth
    low, high = 0.0, cut.mouth + 2 * radius
    for _ in range(64):  # a millimetre halved so often is below rounding
        middle = (low + high) / 2
        low, high = (low, middle) if nearest(cut, middle, -radius)[1] >= radius else (middle, high)
    return high, min(nearest(cut, high, -radius)[0], high)


class Stretch(NamedTuple):
    """A smooth part of the surface: radius and height by a parameter, and the parameter by radius."""

    low: float
    high: float
    at: Callable
    parameter: Callable


def plain(low, high, height):
    return Stretch(low, high, lambda r: (r, height(r)), lambda r: r)


def surface(design):
    """Right half of the dimple's surface as a list of stretches."""
    one = {name: float(value) for name, value in design._asdict().items()}
    a1, edge = one["pilot_radius"], one["edge_radius"]
    pilot = outline(a1, one["pilot_depth"], a1, one["pilot_tangent"])
    rim = outline(one["rim_radius"], one["rim_feed"], a1, one["rim_tangent"])
    centre, touch = rolled_disc(rim, edge)

    def opened(r):
        arc = -edge + np.sqrt(np.maximum(edge**2 - (r - centre) ** 2, 0))
        return np.where(r >= centre, 0.0, np.where(r >= touch, arc, rim.floor(r)))

    def inside(r):
        return np.minimum(pilot.floor(r), opened(r))

    def on_arc(turn):
        return centre - edge * np.sin(turn), -edge + edge * np.cos(turn)

    def turn_at(r):
        return -np.arcsin(np.clip((centre - r) / edge, -1, 1))

    parts = [plain(0.0, a1, inside), plain(centre, centre + 10e-3, np.zeros_like)]
    parts += [plain(a1, touch, rim.floor)] if touch > a1 else []
    start = max(a1, touch)
    if centre > start:
        parts.append(Stretch(start, centre, lambda turn: on_arc(-turn), turn_at))
    return parts


def highest(part, ball, s):
    """Greatest height of the sphere's centre over one stretch, sampled and refined; -inf out of reach."""
    low, high = np.maximum(part.low, s - ball), np.minimum(part.high, s + ball)
    reach = high >= low
    low, high = part.parameter(low), part.parameter(np.maximum(high, low))
    for count in (400, *[20] * 9):
        t = low + (high - low) * np.linspace(0, 1, count)[:, None]
        r, z = part.at(t)
        under = ball**2 - (r - s) ** 2
        height = z + np.sqrt(np.maximum(under, 0))
        best = np.argmax(height, axis=0)
        pick = np.arange(s.size)
        low, high = t[np.maximum(best - 1, 0), pick], t[np.minimum(best + 1, count - 1), pick]
    return np.where(reach, height.max(axis=0), -np.inf)


def dilated(design, s):
    """Height of the ball's centre over the dimple at offsets `s`, both halves of the surface tried."""
    ball, parts = float(design.ball_radius), surface(design)
    return np.max([np.maximum(highest(p, ball, s), highest(p, ball, -s)) for p in parts], axis=0)


def random_drills(rng, number):
    """One dimple of any kind: deep and shallow feeds, feeds past the pilot, rims wider than the ball."""
    ball = rng.uniform(0.5e-3, 1.6e-3)
    pilot = ball * rng.uniform(0.4, 1.1)
    tangents = np.tan(np.radians(rng.uniform(41, 75, 2)))
    edge = (0.0, rng.uniform(0, 0.06e-3), rng.uniform(0.06e-3, 0.3e-3))[number % 3]
    depth = edge + (rng.uniform(0.01e-3, 0.3e-3), rng.uniform(0.3e-3, 1.5e-3))[number % 2]
    feed = (rng.uniform(0, 0.1e-3), rng.uniform(0, 0.9e-3), rng.uniform(0, 0.5e-3), 0.0)[number % 4]
    rim = None if number % 7 == 0 else pilot * rng.uniform(1.0, 1.5)
    same = {"pilot_depth": depth, "pilot_tangent": tangents[0], "edge_radius": edge, "ball_radius": ball}
    return drilled(pilot, rim, feed, rim_tangent=tangents[number % 5 and 1], **same)


def random_designs(seed, count):
    rng = np.random.default_rng(seed)
    return [random_drills(rng, number) for number in range(count)]


def together(designs):
    """One record of many designs."""
    return Record(*(np.array(field) for field in zip(*designs, strict=True)))


def opened_on_a_grid(r, height, edge, ball, s):
    """Height of a ball's centre at offsets `s` over a profile whose edges a disc of radius `edge` rounds, on a grid."""
    step = r[1] - r[0]
    reach = np.arange(-edge, edge + step / 2, step)
    disc = np.sqrt(np.maximum(edge**2 - reach**2, 0))
    opened = grey_opening(height, footprint=np.ones(disc.shape, bool), structure=disc)
    under = ball**2 - (r[:, None] - s) ** 2
    return np.max(np.where(under >= 0, opened[:, None] + np.sqrt(np.maximum(under, 0)), -np.inf), axis=0)
