"""The press fit of the ball's hole, against a ring integrated from its outside inward: elastic, yielding, burst."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from detentsim.mechanics.contact import press

TITANIUM, STRENGTH = (113.8e9, 0.342), 828e6
BALLS = {"ceramic": (310e9, 0.26), "steel": (208e9, 0.30)}
HOLE, OUTER = 1.5e-3, 8e-3


def ring(outside, ratio, metal, strength):
    """Pressure in the hole, its growth over its radius, and the plastic front over it.

    Plane strain from the equations alone, inward from an outside (radius `ratio`) that has grown by `outside`, itself a
    strain: equilibrium, Hooke's law, and Tresca's limit on hoop less radial stress where Hooke's law would pass it. The
    metal keeps its volume when it flows and does not flow along the axis, so the sum of strains stays elastic.
    """
    modulus, nu = metal

    def hoop(radial, strain):
        elastic = (modulus * strain / (1 + nu) + nu * radial) / (1 - nu)
        return np.minimum(elastic, radial + strength), elastic > radial + strength

    def slope(r, state):
        radial, grown = state
        around = hoop(radial, grown / r)[0]
        swells = (1 + nu) * (1 - 2 * nu) / modulus * (radial + around)
        return [(around - radial) / r, swells - grown / r]

    solved = solve_ivp(slope, (ratio, 1.0), [0.0, outside * ratio], rtol=1e-10, atol=[1e-3, 1e-14], max_step=0.01)
    radial, grown = solved.y
    plastic = solved.t[hoop(radial, grown / solved.t)[1]]
    return -radial[-1], grown[-1], plastic.max() if plastic.size else 1.0


def pressed(interference, hole, outer, metal, core, strength):
    """The same with a ball in it that shrinks, Hooke's law in its plane."""

    def miss(outside):
        pressure, grown, _ = ring(outside, outer / hole, metal, strength)
        return grown + pressure * (1 - core[1]) / core[0] - interference / hole

    outside = brentq(miss, 0.0, 0.99 * (1 - metal[1] ** 2) * strength / metal[0], xtol=1e-16)
    pressure, _, front = ring(outside, outer / hole, metal, strength)
    return pressure, front


@pytest.mark.slow
@pytest.mark.parametrize("ball", BALLS)
@pytest.mark.parametrize(
    ("interference", "outer"),
    [(2e-6, OUTER), (9e-6, OUTER), (15e-6, OUTER), (30e-6, OUTER), (25e-6, 3e-3), (6e-6, 2e-3)],
)
def test_grip_of_a_ring_integrated_from_its_equations(ball, interference, outer):
    core = BALLS[ball]
    pressure, reach = press.grip_pressure(interference, HOLE, outer, TITANIUM, core, STRENGTH)
    expected, front = pressed(interference, HOLE, outer, TITANIUM, core, STRENGTH)
    assert float(pressure) == pytest.approx(expected, rel=1e-4)
    # The front lies between two steps of the integration, a hundredth of the hole's radius at most.
    assert float(reach) == pytest.approx(front, abs=0.0101)


def test_cases_reach_both_sides_of_first_yield():
    sizes = [2e-6, 9e-6, 15e-6, 30e-6]
    _, reach = press.grip_pressure(sizes, HOLE, OUTER, TITANIUM, BALLS["ceramic"], STRENGTH)
    assert reach[0] == 1.0
    assert np.all(np.diff(reach) >= 0)
    assert reach[-1] > 1.3


def test_grip_is_continuous_at_first_yield():
    first = float(press.plastic_pressure(1.0, OUTER / HOLE, STRENGTH))
    core = BALLS["ceramic"]
    grown = float(press.plastic_growth(1.0, OUTER / HOLE, TITANIUM, STRENGTH)) + first * (1 - core[1]) / core[0]
    sizes = grown * HOLE * (1 + np.array([-1e-6, 1e-6]))
    pressure, reach = press.grip_pressure(sizes, HOLE, OUTER, TITANIUM, core, STRENGTH)
    np.testing.assert_allclose(pressure, first, rtol=3e-6)
    assert reach[0] == 1.0
    assert 1.0 < reach[1] < 1.0 + 1e-5
    # The slopes meet too: the ring has only begun to yield.
    sizes = grown * HOLE * (1 + 1e-3 * np.array([-2, -1, 1, 2]))
    steps = np.diff(press.grip_pressure(sizes, HOLE, OUTER, TITANIUM, core, STRENGTH)[0])
    assert steps[2] == pytest.approx(steps[0], rel=0.01)


def test_elastic_grip_is_lame_in_plane_strain():
    modulus, nu = TITANIUM
    core = BALLS["ceramic"]
    flat = modulus / (1 - nu**2), nu / (1 - nu)
    found = press.grip_pressure(3e-6, HOLE, OUTER, TITANIUM, core, STRENGTH)[0]
    assert float(found) == pytest.approx(float(press.lame_pressure(3e-6, HOLE, OUTER, flat, core)), rel=1e-13)
    assert float(found) > float(press.lame_pressure(3e-6, HOLE, OUTER, TITANIUM, core))


def test_a_loose_ball_is_not_gripped():
    pressure, reach = press.grip_pressure([0.0, -5e-6], HOLE, OUTER, TITANIUM, BALLS["steel"], STRENGTH)
    np.testing.assert_array_equal(pressure, 0.0)
    np.testing.assert_array_equal(reach, 1.0)


def test_a_ring_that_is_plastic_right_through_bursts():
    core, ratio = BALLS["steel"], 2.0
    full = STRENGTH * np.log(ratio)
    # The outside is just at yield there: its hoop strain is (1 - nu^2) Y/E.
    outside = (1 - TITANIUM[1] ** 2) * STRENGTH / TITANIUM[0] * (1 - 1e-9)
    pressure, grown, front = ring(outside, ratio, TITANIUM, STRENGTH)
    assert pressure == pytest.approx(full, rel=1e-5)
    assert front == pytest.approx(ratio, abs=0.0101)
    limit = (grown + full * (1 - core[1]) / core[0]) * HOLE
    sizes = limit * np.array([0.999, 1.001, 3.0])
    pressure, reach = press.grip_pressure(sizes, HOLE, ratio * HOLE, TITANIUM, core, STRENGTH)
    assert pressure[0] == pytest.approx(full, rel=2e-3)
    assert 1.9 < reach[0] < 2.0
    assert np.all(np.isnan(pressure[1:]))
    assert np.all(np.isnan(reach[1:]))


@pytest.mark.slow
def test_grip_of_many_equals_single_calls():
    sizes = np.linspace(-2e-6, 40e-6, 9)[:, None]
    outer = np.array([2.2e-3, 4e-3, 8e-3])
    pressure, reach = press.grip_pressure(sizes, HOLE, outer, TITANIUM, BALLS["ceramic"], STRENGTH)
    assert pressure.shape == reach.shape == (9, 3)
    assert 0 < np.count_nonzero(np.isnan(pressure)) < 27
    for i in range(9):
        for j in range(3):
            one = press.grip_pressure(sizes[i, 0], HOLE, outer[j], TITANIUM, BALLS["ceramic"], STRENGTH)
            np.testing.assert_allclose((pressure[i, j], reach[i, j]), one, rtol=1e-11)
    assert press.grip_pressure(5e-6, HOLE, OUTER, TITANIUM, BALLS["ceramic"], STRENGTH)[0].shape == ()


def test_belt_of_a_ball_in_its_hole():
    # The chord of the ball's section through the hole's edge.
    ball, hole = 1.5875e-3, 1.55e-3
    angle = np.arccos(hole / ball)
    assert float(press.belt(ball, hole)) == pytest.approx(ball * np.sin(angle), rel=1e-12)
    np.testing.assert_array_equal(press.belt([1.5e-3, 1.4e-3], 1.5e-3), 0.0)


def test_friction_holds_over_the_whole_face():
    # Sum of small patches of the joint: mu p d_angle r l.
    patches = np.full(3600, 2 * np.pi / 3600) * 0.75e-3 * 0.6e-3
    expected = 0.15 * 90e6 * patches.sum()
    assert float(press.holding_force(90e6, 1.5e-3, 0.6e-3, 0.15)) == pytest.approx(expected, rel=1e-12)
