"""Friction torque of a washer face (collar, disc) under an axial load.

Source: uniform-wear and uniform-pressure discs as in R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering
Design, section on frictional-contact axial clutches: T = mu F (D + d)/4 and (mu F/3)(D^3 - d^3)/(D^2 - d^2).
Example numbers: mu 0.1, F 10 N, D 10 mm, d 5 mm: 3.75000 N mm by wear, 3.88889 N mm by pressure (computed).
"""

import numpy as np
import pytest

from detentsim.mechanics.motion import pivot


def _wear(mu, force, outer, inner):
    """Uniform wear by summing rings: pressure p = c/r, so every ring of equal width carries equal force."""
    edges = np.linspace(inner / 2, outer / 2, 200001)
    r = (edges[1:] + edges[:-1]) / 2
    share = 1 / r * r  # pressure times ring area, up to one constant
    return mu * force * np.sum(share * r) / np.sum(share)


def test_example_of_uniform_wear():
    assert 0.1 * 10 * float(pivot.collar_radius(10.0, 5.0)) == pytest.approx(3.75000, abs=5e-6)
    assert 0.1 * 10 * float(pivot.collar_radius(10.0, 0.0)) == pytest.approx(2.50000, abs=5e-6)


@pytest.mark.parametrize(("outer", "inner"), [(10e-3, 5e-3), (9e-3, 4.8e-3), (12e-3, 0.1e-3)])
def test_uniform_wear_is_the_sum_over_its_rings(outer, inner):
    assert 0.13 * 7 * float(pivot.collar_radius(outer, inner)) == pytest.approx(_wear(0.13, 7, outer, inner), rel=1e-9)


def test_worn_in_washers_lie_between_half_and_all_of_a_thin_ring_and_below_new_ones():
    outer = 10.0
    inner = np.linspace(0, 9.999, 50)
    new = (outer**3 - inner**3) / (outer**2 - inner**2) / 3
    worn = pivot.collar_radius(outer, inner)
    assert np.all(worn <= new)
    assert worn[-1] == pytest.approx(5.0, rel=1e-3)
    assert new[-1] == pytest.approx(5.0, rel=1e-3)
    assert new[25] / worn[25] == pytest.approx(
        4 / 3 * (1 - outer * inner[25] / (outer + inner[25]) ** 2), rel=1e-12
    )  # the ratio of the two formulas, divided out by hand
