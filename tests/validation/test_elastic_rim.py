"""Elastic ball and rim against Hertz's line contact, Michell's wedge and elastic solutions made here.

- K. L. Johnson, Contact Mechanics (1985), eqs. 4.43 to 4.45: line contact.
- S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd ed., art. 38: wedge under a load on its edge.
- tests/helpers/elastic_rim.py: finite elements round the axis and a contact solution over the ring; elastic_edges.py:
  two such edges at once.
"""

import numpy as np
import pytest
from numpy.polynomial import legendre

from detentsim.mechanics.contact import rim

pytest.importorskip("skfem")

from helpers.elastic_edges import handed_over
from helpers.elastic_rim import POINT, POISSON, WAVES, WIDTH, Pair, both
from helpers.pressed_balls import across, solved

STEEL = 210e9 / (1 - POISSON**2)
MODULI = (STEEL, STEEL)

# Ball's radius in mm; hole and edge radius over it.
BALL, HOLE, ROUNDING = 0.8, 0.9, 0.0375


def edge(ball, hole, rounding):
    """Broken edge on the wall of a drilled hole; sizes in mm."""
    sine = (hole + rounding) / (ball + rounding)
    return rim.Edge(ball * 1e-3, sine, rounding * 1e-3, np.pi / 2, np.pi / 4)


def give_over_elastic(one, flexible):
    """Give of the line foundation over that of wave 1 in the elastic solution, at its half width of contact."""
    load = np.pi * (WIDTH * 1e-3) ** 2 * STEEL / 8 / float(rim.reduced(one)) / rim.LOADED
    force = load * 1e-3 * one.sine * np.sqrt(1 - one.sine**2)
    return 210e9 / float(rim.line_stiffness(one, MODULI, force)) / sum(part[1] for part in flexible)


def test_line_contact_of_two_cylinders():
    """Steel rollers of 20 mm and 30 mm radius, E* = 115 GPa, 100 N/mm."""
    across = float(rim.reduced(rim.Edge(20e-3, 0.0, 30e-3, np.pi, 0.0)))
    assert across == pytest.approx(12e-3)
    width, pressure = (float(rule(1e5, across, 115e9)) for rule in (rim.half_width, rim.line_pressure))
    assert width == pytest.approx(np.sqrt(4 * 1e5 * 12e-3 / (np.pi * 115e9)), rel=1e-4)
    assert pressure == pytest.approx(np.sqrt(1e5 * 115e9 / (np.pi * 12e-3)), rel=1e-4)


def test_wedge_gives_as_michells_stresses_say():
    # Radial strain along the bisector of a right-angled wedge: 2/(pi/2 + 1) of w/(E r), of a half space 2/pi.
    assert float(rim.wedge_give(np.pi / 2, 0.0)) == pytest.approx(2 / (np.pi / 2 + 1) - 2 / np.pi)
    assert float(rim.wedge_give(np.pi / 2, np.pi / 2)) == pytest.approx(2 / (np.pi / 2 - 1) - 2 / np.pi)
    np.testing.assert_allclose(rim.wedge_give(np.pi, [0.0, 0.3, 1.0]), 0, atol=1e-15)


def test_arc_is_the_loaded_part_of_a_ring():
    """Quadrature round the ring of `max(A + B cos, 0)`, with the stiffness that grows on short arcs."""
    angle = (np.arange(4000) + 0.5) * np.pi / 4000
    for half in (0.2, 0.5, 1.0, 2.0, 3.0):
        overlap = np.maximum(np.cos(angle) - np.cos(half), 0)
        carried = 2 * np.pi * overlap.mean()
        z = carried
        for _ in range(60):  # z K' = carried, with K' = K (1 + 0.25 (1 - t/t1))
            z = carried * (1 + rim.ARC * (1 - z ** (2 / 3) / rim.ARC_END))
        np.testing.assert_allclose(
            rim.arc(z), [np.average(np.cos(angle), weights=overlap), 1 - np.cos(half)], atol=6e-3
        )


@pytest.mark.slow
def test_short_waves_on_the_ball_are_those_of_a_half_space():
    """A line load `cos(k x)` moves a half space by `2 w/(pi E') K0(k x)`: a logarithm of length `4 e^(1/2-g)/k`."""
    sine = (HOLE + ROUNDING) / (1 + ROUNDING)
    length = 4 * np.exp(0.5 - np.euler_gamma) * sine / WAVES[-1]
    moved = both(HOLE, ROUNDING)[0][-1]
    assert moved == pytest.approx(2 * (1 - POISSON**2) / np.pi * np.log(length / WIDTH), rel=0.05)


@pytest.mark.slow
def test_stiffness_of_the_line_foundation():
    """Wave 1, by which the ring resists the ball's first movement, at the half width of the elastic solution."""
    assert give_over_elastic(edge(1, HOLE, ROUNDING), both(HOLE, ROUNDING)) == pytest.approx(1, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("rounding", "width", "wall"), [(0.005, 0.07, 0.045), (0.0375, 0.15, 0.05), (0.005, 0.3, 0.02)]
)
def test_stiffness_of_an_edge_between_two_drills(rounding, width, wall):
    """Metal fills 121 degrees between the pilot's wall and a 118 degree cone, ending in a wall up to the face."""
    hole = 0.88
    ends = ((np.pi / 2, 0.75), (POINT, hole / np.cos(POINT))), ((POINT, width / np.cos(POINT)), (np.pi / 2, wall))
    sine = (hole + rounding) / (1 + rounding)
    one = rim.Edge(1e-3, sine, rounding * 1e-3, np.pi / 2 + POINT, np.pi / 4 + POINT / 2)
    assert give_over_elastic(one, both(hole, rounding, None, ends)) == pytest.approx(1, abs=0.035)


@pytest.mark.slow
@pytest.mark.parametrize(("angle", "rounding", "pilot"), [(25, 0.0375, 0.25), (20, 0.125, 0.15), (25, 0.0125, 0.38)])
def test_stiffness_of_a_cones_edge_in_the_face(angle, rounding, pilot):
    """Metal fills 149 degrees between a cone of 118 degrees and the face; a pilot stands in the cone."""
    sine = np.sin(np.deg2rad(angle))
    out = (1 + rounding) * sine
    cone = out - rounding * np.sin(POINT) - pilot
    ends = ((POINT, cone / np.cos(POINT)), (np.pi / 2, 0.5), (POINT, pilot / np.cos(POINT))), ()
    one = rim.Edge(1e-3, sine, rounding * 1e-3, np.pi - POINT, POINT / 2)
    assert give_over_elastic(one, both(out - rounding, rounding, sine, ends)) == pytest.approx(1, abs=0.025)


@pytest.mark.slow
def test_line_load_and_approach_of_ball_and_rim():
    """Greatest line load, centred and on one flank, and approach of ball and rim there."""
    pair, one = (rule(BALL, BALL * HOLE, BALL * ROUNDING) for rule in (Pair, edge))
    offsets = np.array([0.0, 0.002, 0.01, 0.05])
    height, _, load = pair.curve(offsets, 15.0, 0.0)
    found = rim.bedded(one, MODULI, 15.0, offsets * 1e-3)
    overlap = pair.ball + pair.edge - np.hypot(height, pair.out - offsets)
    # A short arc is stiffer than the foundation: there the load comes out up to 12 % low.
    np.testing.assert_allclose(found.line_load[:3] / 1e3, load[:3], rtol=0.05)
    np.testing.assert_allclose(found.line_load[3] / 1e3, load[3], rtol=0.12)
    np.testing.assert_allclose(found.approach * 1e3, overlap, rtol=0.025)


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.0, 0.12, -0.12])
def test_the_whole_curve_of_a_ceramic_ball(friction):
    """Force across the dimple against the elastic solution: silicon nitride on steel, 12 N, outward and inward."""
    moduli = (310e3, 205e3)
    sizes = BALL, BALL * HOLE, BALL * ROUNDING
    load = solved(*sizes, 12.0, friction, moduli=tuple(1e6 * modulus for modulus in moduli))
    offsets = np.array([0.0, 0.3, 0.7, 1.2, 2, 3, 4, 5, 6, 8, 12, 25, 50]) * 1e-3 * 1.2
    _, want, _ = Pair(*sizes, moduli).curve(offsets, 12.0, friction)
    found = across(load, offsets, opening=friction >= 0)
    assert found.max() == pytest.approx(want.max(), rel=0.004)
    np.testing.assert_allclose(found[1:], want[1:], atol=0.028 * want.max())


@pytest.mark.slow
@pytest.mark.parametrize(
    ("sizes", "force", "stiffness"),
    [((0.8, 0.72, 0.03), 15.0, 10.0), ((0.8, 0.64, 0.1), 8.0, 10.0), ((0.6, 0.54, 0.01), 40.0, 20.0)],
)
def test_a_pass_without_friction_costs_what_bar_and_elastic_bodies_store(sizes, force, stiffness):
    """Work from the seat to the flat against the bar's energy and that of ball and rim; bars in N/mm."""
    pair, load = Pair(*sizes), solved(*sizes, force, 0.0, stiffness=stiffness * 1e3)
    reach, flat = float(load.spring.reach) * 1e3, float(load.spring.flat)

    def push(height):
        return stiffness * (reach - sizes[0] + height - sizes[2]) + flat

    mouth = float(load.shape.start[..., -1]) * 1e3 * (1 - 1e-7)
    nodes, weights = legendre.leggauss(32)
    shares = (1 + nodes) / 2
    offsets, steps = mouth * shares**4, mouth * 2 * weights * shares**3
    elastic = sum(step * pair.on_a_bar(offset, push)[1] for offset, step in zip(offsets, steps, strict=True))
    (seated, _, before), (riding, _, after) = (pair.on_a_bar(offset, push) for offset in (0.0, mouth))
    stored = (riding**2 - seated**2) / (2 * stiffness) + after - before
    assert elastic == pytest.approx(stored, rel=5e-5)
    assert np.sum(steps * across(load, offsets)) == pytest.approx(stored, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.12, -0.12])
@pytest.mark.parametrize("force", [9.5, 30.0])
def test_two_edges_share_the_load_where_one_takes_it_over(force, friction):
    """Pilot #54 and rim #53: a rigid rim's crest there is 5 to 12 % high."""
    sizes = 0.79375, 0.6985, 0.004, 0.7557, 0.07, 0.02
    offsets, want, rigid, load = handed_over(sizes, force, friction)
    found = across(load, offsets, opening=friction >= 0)
    assert 1.04 < rigid / want.max() < 1.13
    assert found.max() == pytest.approx(want.max(), rel=0.007)
    np.testing.assert_allclose(found, want, atol=0.01 * want.max())


@pytest.mark.slow
@pytest.mark.parametrize("feed", [0.1438, 0.1468, 0.1483, 0.1493, 0.1503, 0.1513, 0.1558])
def test_a_ball_that_sits_on_both_edges(feed):
    """From the inner edge, the outer one 6 um clear of the ball, to the outer, the inner one as clear."""
    sizes = 0.79375, 0.6985, 0.004, 0.7557, feed, 0.02
    offsets, want, _, load = handed_over(sizes, 9.5, 0.12, [0.001, 0.002, 0.004, 0.006, 0.009, 0.013, 0.02, 0.03])
    found = across(load, offsets)
    assert found.max() == pytest.approx(want.max(), rel=0.025)
    np.testing.assert_allclose(found[-2:], want[-2:], rtol=2e-3)
