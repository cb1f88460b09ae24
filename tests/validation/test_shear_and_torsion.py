"""Shear coefficient and torsion constant of a rectangle against published values.

G. R. Cowper, The shear coefficient in Timoshenko's beam theory, J. Applied Mechanics 33 (1966), 335-340.
S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, art. 109, table of coefficients for rectangular bars
(five digits by summing the series; printed tables agree to their three).
"""

import numpy as np
import pytest

from detentsim.mechanics.bar.beam import shear_coefficient, torsion_coefficient

COWPER = [(0.25, 0.847458), (0.29, 0.849243), (0.30, 0.849673), (0.31, 0.850097), (0.342, 0.851415)]
TORSION = [
    (1.0, 0.14058),
    (1.2, 0.16612),
    (1.5, 0.19576),
    (1.75, 0.21426),
    (2.0, 0.22868),
    (2.5, 0.24937),
    (3.0, 0.26332),
    (4.0, 0.28081),
    (5.0, 0.29132),
    (6.0, 0.29832),
    (8.0, 0.30707),
    (10.0, 0.31233),
]


@pytest.mark.parametrize(("nu", "expected"), COWPER)
def test_cowper_shear_coefficient(nu, expected):
    assert float(shear_coefficient(nu)) == pytest.approx(expected, abs=5e-7)  # six decimals printed


def test_shear_coefficient_without_cross_contraction_is_the_energy_value():
    # Form factor 6/5 of a rectangle.
    assert float(shear_coefficient(0.0)) == pytest.approx(5 / 6, rel=1e-15)


@pytest.mark.parametrize(("ratio", "expected"), TORSION)
def test_torsion_table(ratio, expected):
    # One in the fifth decimal: the table's square, 0.14058, is cut, not rounded (0.140577).
    assert float(torsion_coefficient(ratio, 1.0)) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(("ratio", "expected"), TORSION)
def test_torsion_table_in_millimetres_and_metres(ratio, expected):
    assert float(torsion_coefficient(ratio * 1.3e-3, 1.3e-3)) == pytest.approx(expected, abs=1e-5)


def test_torsion_of_a_very_thin_strip():
    # J = a t^3/3 (1 - 0.630 t/a): the first term of the series, any text.
    assert float(torsion_coefficient(1e6, 1.0)) == pytest.approx(1 / 3, rel=1e-6)
    assert float(torsion_coefficient(100.0, 1.0)) == pytest.approx((1 - 0.0063025) / 3, rel=1e-6)


def poisson_torsion(width, height, cells=160):
    """Torsion constant of a rectangle from Prandtl's stress function on a grid, J = 2 integral of phi."""
    # laplacian(phi) = -2, phi = 0 on the edge; sine series of the discrete problem is exact on the grid.
    x = np.arange(1, cells)
    modes = np.sin(np.pi * np.outer(x, x) / cells)
    dx, dy = width / cells, height / cells
    eigen = (2 - 2 * np.cos(np.pi * x / cells))[:, None] / dx**2 + (2 - 2 * np.cos(np.pi * x / cells)) / dy**2
    source = modes @ np.full((cells - 1, cells - 1), 2.0) @ modes
    phi = modes @ (source / eigen) @ modes * (2 / cells) ** 2
    return 2 * phi.sum() * dx * dy


@pytest.mark.parametrize("ratio", [1.0, 2.0, 5.0])
def test_torsion_constant_from_the_stress_function(ratio):
    # Both ways of laying the rectangle; the grid's error falls as 1/cells^2 (4e-4 at 160 cells).
    coefficient = float(torsion_coefficient(ratio, 1.0))
    for width, height in ((ratio, 1.0), (1.0, ratio)):
        assert poisson_torsion(width, height) == pytest.approx(coefficient * ratio, rel=5e-4)
