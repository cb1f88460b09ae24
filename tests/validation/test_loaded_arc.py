"""Greatest line load of a ball on an edge against Hertz's ellipse and against elastic solutions made here.

- K. L. Johnson, Contact Mechanics (1985), eqs. 4.26 to 4.28: elliptical contact.
- tests/helpers/elastic_rim.py: finite elements round the axis and a contact solution over the ring.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from detentsim.mechanics.contact.coining.loaded_arc import line_load
from detentsim.mechanics.contact.rim import Edge

MODULI = (330e9, 230e9)
JOINED = 1 / (1 / MODULI[0] + 1 / MODULI[1])


def ellipse(force, small, large):
    """Line load in the middle of Hertz's elliptical contact, `3 P/(4 a)`, and its length over its width."""

    def ratio(square):
        k, e = ellipk(square), ellipe(square)
        return (e / (1 - square) - k) / (k - e) - large / small

    square = brentq(ratio, 1e-9, 1 - 1e-13)
    long = np.cbrt(3 * force * (ellipk(square) - ellipe(square)) * large / (np.pi * JOINED * square))
    return 0.75 * force / long, 1 / np.sqrt(1 - square)


@pytest.mark.parametrize("sine", [0.3, 0.6, 0.85])
@pytest.mark.parametrize("rounding", [0.01e-3, 0.1e-3, 0.4e-3])
@pytest.mark.parametrize("aside", [0.1e-3, 0.2e-3, 0.3e-3])
@pytest.mark.parametrize(("ball", "force"), [(0.6e-3, 3.0), (1.2e-3, 8.0)])
def test_a_short_arc_is_hertz_s_ellipse(ball, force, aside, rounding, sine):
    """On metal that fills a half space; ellipses from 2.5 to 80 times as long as wide."""
    edge = Edge(ball, sine, rounding, np.pi, np.arcsin(sine))
    radius = aside + ball * sine
    want, slender = ellipse(force / np.sqrt(1 - sine**2), ball * rounding / (ball + rounding), radius * ball / aside)
    assert 2.5 < slender < 81
    assert float(line_load(edge, MODULI, force, aside)) == pytest.approx(want, rel=0.015)


def test_a_centred_ball_loads_the_whole_ring():
    """Evenly, `N/(2 pi a)`, and more as it sinks in; aside, the harder the pair the shorter the arc."""
    edge = Edge(0.8e-3, 0.8, 0.02e-3, np.pi / 2, np.pi / 4)
    even = 10 / 0.6 / (2 * np.pi * 0.64e-3)
    hard = tuple(1e3 * modulus for modulus in MODULI)
    assert float(line_load(edge, MODULI, 0.1, 0.0)) == pytest.approx(even / 100, rel=1e-3)
    assert even < float(line_load(edge, MODULI, 10.0, 0.0)) < 1.02 * even
    assert float(line_load(edge, MODULI, 0.0, 0.1e-3)) == 0
    aside = line_load(edge, MODULI, 10.0, np.geomspace(1e-7, 3e-4, 40))
    assert np.all(np.diff(aside) > 0)
    assert float(line_load(edge, hard, 10.0, 0.1e-3)) > 5 * float(line_load(edge, MODULI, 10.0, 0.1e-3))


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.0, 0.05, 0.2])
@pytest.mark.parametrize(("sizes", "force", "offset"), [((0.8, 0.72, 0.03), 15.0, 0.05), ((0.6, 0.48, 0.1), 8.0, 0.1)])
def test_friction_loads_the_edge_through_the_force_alone(sizes, force, offset, friction):
    """A ball that moves outward: its line load is that of the force which the pressures alone bear along the axis."""
    pytest.importorskip("skfem")
    from helpers.elastic_rim import Pair
    from helpers.line_loads import NAMES, package_load

    pair = Pair(*sizes, places=96)
    height = pair.rigid_height(offset)
    climb = (pair.out - offset) / height
    height, _, load = pair.settled(offset, force, lambda _: climb, friction)
    borne = pair.forces(offset, height, climb, 0.0)[0]
    ball, hole, edge = sizes
    row = dict(zip(NAMES, (ball, hole / ball, edge, borne, offset), strict=False))
    assert borne > (1 + 0.8 * friction) * force or friction == 0
    assert package_load(row) == pytest.approx(load, rel=0.02)
