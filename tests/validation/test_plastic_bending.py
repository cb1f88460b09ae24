"""Plastic bending of a rectangle against textbook examples.

F. P. Beer and E. R. Johnston, Mechanics of Materials, chapter on plastic bending: two-part example with
residual stresses (statement and printed answers from memory, arithmetic repeated), and a second case of the same kind
(from a public problem page, arithmetic repeated). E 200 GPa, sigma_Y 240 MPa in both.
"""

import numpy as np
import pytest
from helpers.records import demo
from scipy.integrate import quad
from scipy.optimize import brentq

from detentsim.mechanics.bar import bending, remembered
from detentsim.mechanics.bar.plastic import moment_for_curvature, permanent_curvature

MODULUS, YIELD = 200e9, 240e6

CASES = [  # b, h [m], M [N m], M_Y, radius after unloading [m], digits' half unit
    (0.050, 0.120, 36.8e3, 28.8e3, 225.00, 0.005),
    (0.050, 0.100, 24.0e3, 20.0e3, 457.903, 0.0005),
]


@pytest.mark.parametrize(("b", "h", "moment", "first", "radius", "half_unit"), CASES)
def test_radius_after_unloading(b, h, moment, first, radius, half_unit):
    assert YIELD * b * h**2 / 6 == pytest.approx(first, rel=1e-12)
    yield_curvature = YIELD / (MODULUS * h / 2)
    left = float(permanent_curvature(moment / first)) * yield_curvature
    assert 1 / left == pytest.approx(radius, abs=half_unit)


@pytest.mark.parametrize(
    ("b", "h", "moment", "core", "radius"),
    [(0.050, 0.120, 36.8e3, 40.000e-3, 33.333), (0.050, 0.100, 24.0e3, 38.730e-3, 32.275)],
)
def test_radius_under_load(b, h, moment, core, radius):
    # Under load the curvature is what is left plus the elastic recovery M/(E I): rho 33.333 and 32.275 m,
    # elastic core half 40.000 and 77.460/2 mm.
    ratio = moment / (YIELD * b * h**2 / 6)
    yield_curvature = YIELD / (MODULUS * h / 2)
    loaded = (float(permanent_curvature(ratio)) + ratio) * yield_curvature
    assert 1 / loaded == pytest.approx(radius, abs=5e-4)
    assert YIELD / (MODULUS * loaded) == pytest.approx(core, abs=5e-7)


def test_shape_factor_is_one_and_a_half():
    # Every fibre at yield: (b h^2/4) sigma over (b h^2/6) sigma; curvature runs away just there.
    near = 1.5 - np.array([1e-2, 1e-4, 1e-6])
    assert np.all(np.diff(permanent_curvature(near)) > 0)
    # M/M_y = 3/2 - 1/2 (kappa_y/kappa)^2 read backwards.
    curvature = permanent_curvature(near) + near
    np.testing.assert_allclose(1.5 - 0.5 / curvature**2, near, rtol=1e-12)
    assert np.isinf(permanent_curvature(1.5))


def test_permanent_curvature_against_a_search_in_the_stress_blocks():
    # Moment of the stress blocks at a given curvature, sought for; E, sigma, half height and width 1.
    def moment(curvature):
        stress = quad(lambda z: min(curvature * z, 1.0) * z, 0, 1, points=[min(1.0, 1 / curvature)])[0]
        return stress / (1 / 3)

    for ratio in (1.05, 1.2, 1.3, 1.45):
        curvature = brentq(lambda k, r=ratio: moment(k) - r, 1.0, 10.0, xtol=1e-12)
        assert float(permanent_curvature(ratio)) == pytest.approx(curvature - ratio, abs=1e-8)


def test_push_for_a_bend_of_a_usual_bar():
    # Grade 5 relief 1.3 x 8 mm, 10 mm long, tip at 50 mm: first yield at sigma w t^2/6 = 1865.8 N mm at the root.
    record = demo(yield_strength=828e6, width=8e-3, relief_thickness=1.3e-3, relief_length=10e-3, tip_from_root=50e-3)
    first = 828 * 8 * 1.3**2 / 6 / 50  # N at the tip
    assert float(bending.push_force(record, 1.0)) == pytest.approx(first, rel=1e-12)
    left = quad(lambda x: (1 / np.sqrt(3 - 2.8 * (1 - x)) - 1.4 * (1 - x)) * (1 - x), 0, 0.2)[0]
    curvature = 2 * 828e6 / (113.8e9 * 1.3e-3)
    assert float(bending.bend_left(record, 1.4)) == pytest.approx(left * curvature * 50e-3**2, rel=1e-10)


# --- residual stress ------------------------------------------------------------------------------------------


def even_bar(b, h, moment):
    """A bar of the example's section, bent evenly by its moment."""
    record = demo(
        youngs_modulus=MODULUS,
        yield_strength=YIELD,
        width=b,
        thickness=h,
        relief_thickness=h,
        relief_length=10.0,
        ball_from_root=9.0,
        tip_from_root=10.0,
        bend_along=1,
    )
    left = permanent_curvature(moment / bending.yield_moment(record)) * bending.yield_curvature(record)
    return record._replace(bend=np.asarray(left * 10.0**2 / 2))


RESIDUAL = [  # b, h, M, elastic recovery, residual at the face and at the edge of the elastic core [MPa], half unit
    (0.050, 0.120, 36.8e3, 306.667, 66.667, 35.556, 5e-4),
    (0.050, 0.100, 24.0e3, 288.0, 48.0, 16.916, 5e-4),
]


@pytest.mark.parametrize(("b", "h", "moment", "recovery", "face", "core", "half_unit"), RESIDUAL)
def test_residual_stress_after_unloading(b, h, moment, recovery, face, core, half_unit):
    # Unloading by M c/I: 306.667 and 288.0. The face keeps -66.667 and -48.0 (compressed where it was stretched, so
    # stretched on the side that was pressed), the edge of the core 240 - 306.667 * 40/60 = +35.556, and +16.916.
    record = even_bar(b, h, moment)
    near = float(bending.even_moments(record)[0])
    assert near * YIELD / 1e6 == pytest.approx(recovery, abs=half_unit)
    found = remembered.residual(record)
    np.testing.assert_allclose(found[..., :2] * YIELD / 1e6, face, atol=half_unit)
    edge = 1 / (float(permanent_curvature(near)) + near)  # of the core, over half the height
    assert (1 - near * edge) * YIELD / 1e6 == pytest.approx(core, abs=half_unit)
    assert float(remembered.stress(record, 0.0)) / 1e6 == pytest.approx(face, abs=half_unit)


@pytest.mark.parametrize(("b", "h", "moment", "first", "radius", "half_unit"), CASES)
def test_moment_that_leaves_the_radius(b, h, moment, first, radius, half_unit):
    left = MODULUS * h / (2 * YIELD) / radius
    tolerance = half_unit / radius * moment / first  # the radius as printed; it is the steeper one
    assert float(moment_for_curvature(left)) == pytest.approx(moment / first, abs=tolerance)
    along = float(bending.even_moments(even_bar(b, h, moment))[0])
    assert along * first == pytest.approx(moment, rel=1e-9)


def test_fully_plastic_moment():
    # M_p 43.2 and 30 kN m: where the curvature of the model runs away.
    for b, h, full in ((0.050, 0.120, 43.2e3), (0.050, 0.100, 30e3)):
        first = float(bending.yield_moment(even_bar(b, h, YIELD * b * h**2 / 6 * 1.2)))
        assert np.isfinite(permanent_curvature(full * (1 - 1e-9) / first))
        assert np.isinf(permanent_curvature(full * (1 + 1e-9) / first))
