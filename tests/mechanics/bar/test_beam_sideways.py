"""The bar's stiffness sideways: bending, twist and the equation of restrained torsion."""

import numpy as np
import pytest
from helpers.bars import bar, random_bars, shear_by_integration
from scipy.integrate import solve_bvp

from detentsim.mechanics.bar import beam

# --- sideways -----------------------------------------------------------------------------------------------


def test_given_lateral_compliance_stands():
    assert float(beam.lateral_compliance(bar(lateral_compliance=0.0))) == 0.0
    assert float(beam.lateral_compliance(bar(lateral_compliance=3e-6))) == 3e-6


def test_force_at_the_mid_plane_only_bends_the_bar_sideways():
    # I_z = t w^3/12 and shear; contact on the mid-plane (p = -t2/2, relief milled from both faces) twists nothing.
    for record in random_bars(8, 20, relief_side=0.0, slab_root=0.0):
        middle = record._replace(protrusion=-record.thickness / 2)
        a, step, e = float(middle.ball_from_root), float(middle.relief_length), float(middle.youngs_modulus)
        w, t1, t2 = float(middle.width), float(middle.relief_thickness), float(middle.thickness)
        bending = ((a**3 - (a - step) ** 3) / t1 + (a - step) ** 3 / t2) * 4 / (e * w**3)
        # The step gives 0.065 w (1 - t1/t2) of the relief's own in-plane flexibility where both faces are milled.
        give = 0.065 * w * (1 - t1 / t2) * (a - step) ** 2 * 12 / (e * t1 * w**3)
        expected = bending + give + shear_by_integration(middle, a)
        assert float(beam.lateral_compliance(middle)) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("side", "height"), [(-1.0, 0.6 + 0.75), (0.0, 0.6 + 1.5), (1.0, 0.6 + 3.0 - 0.75)])
def test_contact_height_over_the_relief(side, height):
    # By hand: relief 1.5 of 3.0 mm; its mid-plane lies 0.75, 1.5 or 2.25 mm under the inner face.
    assert float(beam.contact_height(bar(relief_side=side))) == pytest.approx(height * 1e-3, rel=1e-14)


def test_twist_of_the_relief_adds_height_squared():
    # Difference to the mid-plane case: H^2 L'/(G J1) + (p + t2/2)^2 (a - L1)/(G J2).
    record = bar(poissons_ratio=0.3, relief_side=1.0)
    middle = record._replace(protrusion=np.asarray(-1.5e-3), relief_side=np.asarray(0.0))
    shear_modulus = 113.8e9 / 2.6
    # Table of torsion constants (Timoshenko and Goodier): a/t 16/3 and 8/3 by the usual approximation
    # J = a t^3 (1/3 - 0.21 t/a (1 - t^4/(12 a^4))), good to 0.5 %.
    relief, full = (8e-3 * t**3 * (1 / 3 - 0.21 * t / 8e-3 * (1 - t**4 / (12 * 8e-3**4))) for t in (1.5e-3, 3e-3))
    length = float(beam.twist_length(record, 12e-3))
    expected = (2.85e-3**2 * length / relief + 2.1e-3**2 * 33e-3 / full) / shear_modulus
    # Milled from the inner face the step gives 0.12 w (1 - t1/t2) instead of 0.065.
    expected += (0.12 - 0.065) * 8e-3 * 0.5 * 33e-3**2 * 12 / (113.8e9 * 1.5e-3 * 8e-3**3)
    added = float(beam.lateral_compliance(record) - beam.lateral_compliance(middle))
    assert added == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("width", "thickness"), [(2e-3, 4e-3), (4e-3, 2e-3)])
def test_twist_of_a_bar_whichever_side_is_longer(width, thickness):
    # Timoshenko and Goodier, art. 109: J = 0.22868 a t^3 for sides 2 : 1. Mid-plane contact twists nothing.
    record = bar(width=width, thickness=thickness, relief_thickness=thickness, relief_length=1e-9, poissons_ratio=0.3)
    middle = record._replace(protrusion=np.asarray(-thickness / 2))
    added = float(beam.lateral_compliance(record) - beam.lateral_compliance(middle))
    constant = 0.22868 * 4e-3 * 2e-3**3
    expected = (0.6e-3 + thickness / 2) ** 2 * 45e-3 / (113.8e9 / 2.6 * constant)
    assert added == pytest.approx(expected, rel=5e-5)  # five digits printed


def test_root_gives_sideways_by_the_published_range():
    # 13-27 % softer sideways than the clamp, seen in three-dimensional elasticity of usual bars (w/L1 near 1).
    usual = bar(slab_root=1.0, relief_thickness=1.3e-3, relief_length=10e-3, poissons_ratio=0.342, relief_side=-1.0)
    clamped = usual._replace(slab_root=np.asarray(0.0))
    softer = 1 - float(beam.lateral_compliance(clamped) / beam.lateral_compliance(usual))
    assert 0.13 < softer < 0.27


# --- restrained torsion -------------------------------------------------------------------------------------


@pytest.mark.parametrize("ratio", [0.3, 1.0, 1.25, 4.0])
def test_twist_length_solves_the_equation_of_restrained_warping(ratio):
    # G J theta' - E Cw theta''' = T, theta' = 0 at both ends; J = w t^3/3, Cw = w^3 t^3/144, G = E/(2(1+nu)).
    width, nu = 8e-3, 0.3
    length = ratio * width
    square = (1 / (2 * (1 + nu))) * (1 / 3) / (width**2 / 144)  # G J/(E Cw); the thickness cancels

    def slopes(_, state):
        return np.array([state[1], state[2], square * length**2 * (state[1] - 1)])

    def ends(left, right):
        return np.array([left[0], left[1], right[1]])

    found = solve_bvp(slopes, ends, np.linspace(0, 1, 41), np.zeros((3, 41)), tol=1e-9, max_nodes=100_000)
    assert found.success
    expected = found.sol(1.0)[0] * length
    record = bar(width=width, poissons_ratio=nu)
    assert float(beam.twist_length(record, length)) == pytest.approx(expected, rel=1e-7)


def test_twist_length_limits():
    record = bar(width=8e-3, poissons_ratio=0.3)
    for length in (1.0, 10.0):  # long: all of it but the two warped ends, 2/q = w sqrt((1+nu)/6) in all
        lost = length - float(beam.twist_length(record, length))
        assert lost == pytest.approx(8e-3 * np.sqrt(1.3 / 6), rel=1e-9)
    square = 24 / 1.3 / 8e-3**2
    for length in (5e-5, 1e-4):  # short: both ends hold it, q^2 L^3/12
        assert float(beam.twist_length(record, length)) == pytest.approx(square * length**3 / 12, rel=1e-3)
    assert float(beam.twist_length(record, 0.0)) == 0.0
