"""Edges in plan and the ball's arc over them, against shapely (geometry by another code) and by hand."""

import itertools
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon

from detentsim.knife.record.layout.loops import edges_of, polyline
from detentsim.knife.record.layout.outlines import read_loop
from detentsim.mechanics.contact.plan import plane, riding

FINE = 2 * math.pi / 20000  # chord of shapely's arcs: off by 2e-7 of their radius


def mm(x, y):
    return [f"{float(x)!r} mm", f"{float(y)!r} mm"]


def random_loops(rng):
    """A tang of straight edges and arcs about the pivot, with two round holes and one of edges."""
    turns = np.sort(rng.uniform(0, 2 * math.pi, 9))
    spots = [rng.uniform(9, 14) * np.exp(1j * turn) for turn in turns]
    entries = [mm(spots[0].real, spots[0].imag)]
    for before, spot in itertools.pairwise(spots):
        bowed = (before + spot) / 2 * rng.uniform(0.95, 1.1)
        arc = rng.random() < 0.6 and abs(spot - before) < 10
        entries.append({"to": mm(spot.real, spot.imag)} | ({"through": mm(bowed.real, bowed.imag)} if arc else {}))
    holes = [
        {"centre": mm(rng.uniform(-1, 1), rng.uniform(-1, 1)), "diameter": f"{rng.uniform(2, 5)!r} mm"},
        {"centre": mm(*(5.5 * np.array([math.cos(a := rng.uniform(0, 6)), math.sin(a)]))), "diameter": "1.5 mm"},
        [mm(-6, 3), mm(-5, 3), {"to": mm(-5, 4.5), "through": mm(-4.4, 3.7)}, mm(-6, 4.5)],
    ]
    loops = [read_loop(entries, "outline", "outline")]
    return [*loops, *(read_loop(hole, "hole", f"hole {i}") for i, hole in enumerate(holes))]


def in_shapely(loops):
    """Metal of the tang, and the line of each piece."""
    outline, *holes = (Polygon(polyline(loop, FINE)[0]) for loop in loops)
    metal = outline
    for hole in holes:
        metal = metal.difference(hole)
    lines = []
    for loop in loops:
        spots, owner = polyline(loop, FINE)
        for number, piece in enumerate(loop.pieces):
            lines.append(LineString([*spots[owner == number], piece.end]))
    return metal, lines


@pytest.fixture(scope="module", params=range(2))
def tang(request):
    rng = np.random.default_rng(request.param)
    loops = random_loops(rng)
    edges, _, _ = edges_of(loops, 0.0)
    return rng, edges, *in_shapely(loops)


@pytest.mark.slow
def test_distances_and_sides_of_points(tang):
    rng, edges, metal, lines = tang
    points = rng.uniform(-0.015, 0.015, (300, 2))
    far = plane.distance(edges, points)
    spots = shapely.points(points)
    expected = shapely.distance(spots[:, None], np.array(lines))
    np.testing.assert_allclose(far, expected, atol=1e-8)
    inside = plane.on_metal(edges, points)
    np.testing.assert_array_equal(inside, metal.contains(spots))
    signed = np.where(inside, 1, -1) * expected.min(axis=1)
    np.testing.assert_allclose(plane.depth(edges, points), signed, atol=1e-8)


@pytest.mark.slow
def test_least_distances_of_the_arc_from_each_edge(tang):
    rng, edges, _, lines = tang
    for sense in (1, -1):
        ball = np.array([rng.uniform(-0.009, -0.004), rng.uniform(-0.004, 0.004)])
        ride = riding.Ride(np.zeros(2), ball, sense, math.radians(rng.uniform(90, 200)))
        near = riding.least_distances(ride, edges)
        arc = LineString(ride.at(np.linspace(0, ride.open_angle, 4001)))  # chords off by at most 1 nm
        np.testing.assert_allclose(near.gap, shapely.distance(arc, lines), atol=2e-8)
        own = plane.distance(edges, ride.at(near.angle))
        np.testing.assert_allclose(np.diagonal(own), near.gap, atol=1e-12)


@pytest.mark.slow
def test_stretches_off_the_flat_end_where_shapely_leaves_the_metal(tang):
    rng, edges, metal, _ = tang
    chamfer = np.full(edges.sweep.shape, 0.25e-3)
    flat = metal.buffer(-0.25e-3, quad_segs=400)
    shapely.prepare(flat)
    for _ in range(4):
        ball = 1e-3 * np.array([rng.uniform(-9, -3), rng.uniform(-6, 6)])
        ride = riding.Ride(np.zeros(2), ball, 1.0, math.pi)
        found = riding.gaps(ride, edges, chamfer)
        turns = np.linspace(0, math.pi, 4001)
        off = ~shapely.contains_xy(flat, ride.at(turns))
        mine = np.zeros(turns.shape, bool)
        for gap in found:
            mine |= (turns >= gap.start) & (turns <= gap.end)
        rough = np.abs(plane.distance(edges, ride.at(turns)) - 0.25e-3).min(axis=1) < 2e-8  # shapely's chords
        np.testing.assert_array_equal(mine | rough, off | rough)
        for gap in found:
            away = shapely.distance(flat, shapely.points(ride.at(np.linspace(gap.start, gap.end, 181)))).max()
            assert (
                riding.farthest_off(ride, edges, chamfer, gap) <= away + 1e-9
            )  # round a corner the flat is farther than its nearest edge


def test_a_straight_edge_across_the_arc_by_hand():
    """A circle of 5 mm about the pivot meets the line x = 3 mm where cos = 3/5."""
    loop = read_loop([mm(-9, -9), mm(3, -9), mm(3, 9), mm(-9, 9)], "outline", "outline")
    edges, chamfer, _ = edges_of([loop], 0.5e-3)
    ride = riding.Ride(np.zeros(2), np.array([-5e-3, 0]), 1.0, math.pi)
    (gap,) = riding.gaps(ride, edges, chamfer)
    assert gap.start == pytest.approx(math.pi - math.acos(2.5 / 5))
    assert gap.last
    assert gap.left_by == 1
    # At lock-up the ball lies at x = 5 mm, the flat ends at 2.5 mm.
    assert riding.farthest_off(ride, edges, chamfer, gap) == pytest.approx(2.5e-3)
    near = riding.least_distances(ride, edges)
    assert near.gap[1] == 0
    assert near.angle[1] == pytest.approx(math.pi - math.acos(3 / 5))
    assert near.gap[2] == pytest.approx(4e-3)  # y = 9 mm over a circle of 5 mm
    assert near.angle[2] == pytest.approx(math.pi / 2)


def test_a_round_hole_beside_the_arc_by_hand():
    hole = read_loop({"centre": mm(0, 8), "diameter": "2 mm"}, "hole", "hole")
    edges, _, _ = edges_of([hole], 0.0)
    ride = riding.Ride(np.zeros(2), np.array([-5e-3, 0]), 1.0, math.pi)
    near = riding.least_distances(ride, edges)
    assert near.gap[0] == pytest.approx(2e-3)
    assert near.angle[0] == pytest.approx(math.pi / 2)


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_the_tang_turns_under_the_ball(sense):
    """A point of the tang under the ball at some angle comes to the ball when the blade has turned that far."""
    ride = riding.Ride(np.array([1e-3, 2e-3]), np.array([-4e-3, -3e-3]), sense, 2.0)
    for angle in (0.0, 0.7, 2.0):
        point = complex(*(ride.at(angle) - ride.pivot)) * complex(math.cos(angle), sense * math.sin(angle))
        assert (point.real, point.imag) == pytest.approx(tuple(ride.ball - ride.pivot))


def test_the_climb_is_the_balls_slope_where_it_touches():
    """The lower lip of a chamfer, its slope and its upper lip, each by the height of the ball's middle."""
    radius, chamfer = 1.0, 0.2
    for step in np.linspace(0.02, 0.95, 40):
        angle = riding.climb(radius, step, chamfer)
        grid = np.linspace(0, 1.5, 400001)  # ball's middle at x from the upper lip, chamfer from 0 to its width
        heights = np.maximum.reduce(
            [
                np.sqrt(np.clip(radius**2 - grid**2, 0, None)),
                np.where(grid - radius / math.sqrt(2) < chamfer, radius * math.sqrt(2) - grid, 0)
                * (grid > radius / math.sqrt(2)),
                np.sqrt(np.clip(radius**2 - (grid - chamfer) ** 2, 0, None)) - chamfer,
            ]
        )
        at = np.argmax(heights < radius - step)
        slope = -(heights[at] - heights[at - 1]) / (grid[1] - grid[0])
        assert math.tan(angle) == pytest.approx(slope, rel=2e-2), step
