"""Hertz's point contact against worked examples, and the loads that mark a hard flat.

K. L. Johnson, Contact Mechanics (1985), ch. 4; S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, art. 140;
Shigley's Mechanical Engineering Design, 9th ed., eqs. 3-68, 3-69 and problems of ch. 3; W. D. Pilkey, Formulas
for Stress, Strain and Structural Matrices, table 9-2; ISO 76:2006 (4200 MPa, dent 1e-4 of the ball's diameter).
D. Tabor, The Hardness of Metals (1951): yield strength a third of hardness.
Patch radius a and approach are also read off the pressure: a^2 = 3F/(2 pi p0), delta = a^2/R.
"""

import numpy as np
import pytest

from detentsim.mechanics.contact import hertz
from detentsim.mechanics.record import Record


def contact(force, radius, modulus):
    """p0, a, delta in the units of the arguments."""
    pressure = float(hertz.peak_pressure(force, radius, modulus))
    patch = np.sqrt(3 * force / (2 * np.pi * pressure))
    assert float(hertz.contact_radius(force, radius, modulus)) == pytest.approx(patch, rel=1e-12)
    assert float(hertz.approach(force, radius, modulus)) == pytest.approx(patch**2 / radius, rel=1e-12)
    assert float(hertz.force_at_pressure(pressure, radius, modulus)) == pytest.approx(force, rel=1e-12)
    return pressure, patch, patch**2 / radius


def between(one, other):
    """Effective radius of two spheres; a cup is negative, a flat infinite."""
    return 1 / (1 / one + 1 / other)


@pytest.mark.parametrize(
    ("other", "patch", "pressure", "approach"),
    [(-26e-3, 2.403, 8.27, 8.89e-3), (np.inf, 0.811, 72.54, 0.0263), (10e-3, 0.534, 167, 0.0400)],
)
def test_sphere_in_cup_on_flat_on_sphere(other, patch, pressure, approach):
    # Solved exercise: F 100 N, sum of (1 - nu^2)/E 2.84791e-10 m^2/N, ball 50 mm. Printed to three or four digits.
    found = contact(100, between(25e-3, other), 1 / 2.84791e-10)
    assert found[0] / 1e6 == pytest.approx(pressure, rel=2e-3)
    assert found[1] * 1e3 == pytest.approx(patch, rel=1e-3)
    assert found[2] * 1e3 == pytest.approx(approach, rel=2e-3)


@pytest.mark.parametrize(
    ("other", "patch", "pressure", "approach"),
    [(np.inf, 0.440221, 1231.883, 7.75179), (25e-3, 0.349404, 1955.493, 9.76664)],
)
def test_steel_ball_of_50_mm_at_500_newton(other, patch, pressure, approach):
    # E 200 GPa, nu 0.3 both; six or seven digits, from two independent programs.
    modulus = hertz.contact_modulus(200e9, 0.3, 200e9, 0.3)
    found = contact(500, between(25e-3, other), modulus)
    assert found[0] / 1e6 == pytest.approx(pressure, abs=6e-4)
    assert found[1] * 1e3 == pytest.approx(patch, abs=6e-7)
    assert found[2] * 1e6 == pytest.approx(approach, abs=6e-6)


@pytest.mark.parametrize("force", [1.0, 27.0, 500.0])
def test_two_steel_balls_of_30_mm(force):
    # Shigley problem: E 207 GPa, nu 0.292: a = 0.036770 F^(1/3) mm, p0 = 353.15 F^(1/3) MPa.
    modulus = hertz.contact_modulus(207e9, 0.292, 207e9, 0.292)
    found = contact(force, between(15e-3, 15e-3), modulus)
    assert found[0] / 1e6 == pytest.approx(353.15 * np.cbrt(force), rel=2e-5)
    assert found[1] * 1e3 == pytest.approx(0.036770 * np.cbrt(force), rel=2e-5)


def test_steel_on_aluminium_balls():
    # Shigley's Mechanical Engineering Design, a problem of chapter 3, its number and printed values from memory:
    # 25 mm steel on 40 mm aluminium, 10 N.
    modulus = hertz.contact_modulus(207e9, 0.292, 71.7e9, 0.333)
    found = contact(10, between(12.5e-3, 20e-3), modulus)
    assert found[0] / 1e6 == pytest.approx(487.1, rel=3e-4)
    assert found[1] * 1e3 == pytest.approx(0.0990, abs=5e-5)


def test_shear_below_steel_on_aluminium_balls():
    # The same problem: tau_max 146.1 MPa at 0.0475 mm, read at 0.30 p0 and 0.48 a of the book's chart for nu 0.3.
    modulus = hertz.contact_modulus(207e9, 0.292, 71.7e9, 0.333)
    pressure, patch, _ = contact(10, between(12.5e-3, 20e-3), modulus)
    assert 0.30 * pressure / 1e6 == pytest.approx(146.1, abs=0.1)
    # By the equations themselves the aluminium's own ratio counts, 0.3025 p0 at 0.492 a.
    ratio, depth = hertz.largest_shear(0.333)
    assert float(ratio) * pressure / 1e6 == pytest.approx(146.1, rel=0.01)
    assert 0.48 * patch * 1e3 == pytest.approx(0.0475, abs=5e-5)
    assert float(depth) * patch * 1e3 == pytest.approx(0.0475, rel=0.03)


@pytest.mark.parametrize(
    ("nu", "shear", "depth"),
    [(0.25, 0.3217, 0.464), (0.30, 0.3100, 0.481), (0.333, 0.3025, 0.492), (0.35, 0.2987, 0.497)],
)
def test_largest_shear_under_the_patch(nu, shear, depth):
    # Shigley eqs. 3-70 and 3-71; four digits and three.
    ratio, place = hertz.largest_shear(nu)
    assert float(ratio) == pytest.approx(shear, abs=5.1e-5)
    assert float(place) == pytest.approx(depth, abs=5.1e-4)
    assert float(hertz.shear_below(place, nu)) == pytest.approx(float(ratio), rel=1e-12)


def test_first_yield_is_under_the_surface_at_1_6_times_yield():
    # Johnson: p0 = 1.60 Y; 1.613 by 0.5/0.3100, nu 0.3. Mean pressure, 2/3 of that: 1.1 Y.
    pressure = float(hertz.first_yield_pressure(1.0, 0.3))
    assert pressure == pytest.approx(0.5 / 0.3100, abs=5e-4)
    assert 1.60 < pressure <= 1.6135
    assert 2 / 3 * pressure == pytest.approx(1.1, abs=0.05)


@pytest.mark.parametrize(("vickers", "load"), [(653, 6.471), (697, 7.870), (746, 9.649)])
def test_load_that_first_yields_a_tang(vickers, load):
    # 1.5 mm silicon nitride ball, p0 = 1.60 H/3 (58, 60 and 62 HRC by ASTM E140). Four digits.
    modulus = hertz.contact_modulus(310e9, 0.26, 205e9, 0.29)
    pressure = 1.60 * vickers * hertz.VICKERS / 3
    assert float(hertz.force_at_pressure(pressure, 0.75e-3, modulus)) == pytest.approx(load, abs=6e-4)


def test_tension_at_the_rim():
    # Johnson eq. 3.48, (1 - 2 nu) p0/3: 0.1333 p0 for nu 0.3.
    assert float(hertz.edge_tension(1.0, 0.3)) == pytest.approx(0.1333, abs=5e-5)
    assert float(hertz.edge_tension(3000e6, 0.26)) == pytest.approx(480e6, rel=1e-12)
    assert float(hertz.edge_tension(1.0, 0.5)) == 0.0


def test_coefficients_for_equal_spheres():
    # Timoshenko and Goodier, nu 0.3: 1.1093 (F R/E)^(1/3), 0.3880 (F E^2/R^2)^(1/3), 1.2305 (F^2/(E^2 R))^(1/3).
    found = contact(1.0, 0.5, hertz.contact_modulus(1.0, 0.3, 1.0, 0.3))
    assert found[1] == pytest.approx(1.1093 * np.cbrt(0.5), abs=1e-4)
    assert found[0] == pytest.approx(0.3880 * np.cbrt(4.0), abs=1e-4)
    assert found[2] == pytest.approx(1.2305 * np.cbrt(2.0), abs=1e-4)


def test_coefficients_on_a_flat_by_diameter():
    # Pilkey, Roark: a = 0.721125 (F K g)^(1/3), p0 = 0.918165 (F/(K g)^2)^(1/3), 1.040042 (F^2 g^2/K)^(1/3), K = D.
    force, diameter, give = 7.0, 3.0, 0.11
    found = contact(force, diameter / 2, 1 / give)
    assert found[1] == pytest.approx(0.721125 * np.cbrt(force * diameter * give), rel=1e-6)
    assert found[0] == pytest.approx(0.918165 * np.cbrt(force / (diameter * give) ** 2), rel=1e-6)
    assert found[2] == pytest.approx(1.040042 * np.cbrt(force**2 * give**2 / diameter), rel=1e-6)


def test_contact_modulus_with_a_rigid_body():
    assert float(hertz.contact_modulus(200e9, 0.3, np.inf, 0.3)) == pytest.approx(200e9 / 0.91, rel=1e-14)


BALLS = {  # E [GPa], nu, E* [GPa], loads [N] at 4200 MPa for 1.5, 1.5875, 2.0, 2.38125 mm, p0 [MPa] at 5 N, 1.5 mm
    "52100": (208, 0.30, 113.09, (16.840, 18.862, 29.938, 42.440), 2801.9),
    "silicon nitride": (310, 0.26, 133.77, (12.035, 13.480, 21.396, 30.331), 3133.9),
    "zirconia": (205, 0.31, 112.65, (16.971, 19.009, 30.171, 42.770), 2794.7),
    "alumina": (370, 0.22, 142.05, (10.673, 11.954, 18.974, 26.897), 3262.0),
    "tungsten carbide": (630, 0.22, 167.27, (7.697, 8.621, 13.684, 19.398), 3637.5),
    "ruby": (373, 0.27, 143.82, (10.412, 11.663, 18.511, 26.241), 3288.9),
}


@pytest.mark.parametrize("ball", BALLS)
def test_load_that_marks_a_hard_flat(ball):
    # Flat E 205 GPa, nu 0.29; p0 reaches the 4200 MPa of ISO 76 at F = pi^3 p0^3 R^2/(6 E*^2). Five digits printed.
    modulus, nu, effective, loads, at_five = BALLS[ball]
    stiff = hertz.contact_modulus(modulus * 1e9, nu, 205e9, 0.29)
    assert float(stiff) / 1e9 == pytest.approx(effective, abs=5.1e-3)
    for diameter, load in zip((1.5e-3, 1.5875e-3, 2.0e-3, 2.38125e-3), loads, strict=True):
        assert float(hertz.force_at_pressure(4200e6, diameter / 2, stiff)) == pytest.approx(load, abs=5.1e-4)
    assert float(hertz.peak_pressure(5, 0.75e-3, stiff)) / 1e6 == pytest.approx(at_five, abs=0.1)


def test_pressure_on_tang_takes_ball_and_tang_from_the_record():
    values = dict.fromkeys(Record._fields, 0.0)
    values |= {"ball_modulus": 310e9, "ball_poisson": 0.26, "tang_modulus": 205e9, "tang_poisson": 0.29}
    values |= {"ball_radius": 0.75e-3}
    record = Record(*(np.asarray(values[name], float) for name in Record._fields))
    found = hertz.pressure_on_tang(record, np.array([5.0, 40.0]))
    assert found[0] / 1e6 == pytest.approx(3133.9, abs=0.1)
    assert found[1] == pytest.approx(2 * found[0], rel=1e-13)  # cube root of eight times the load


def test_pressure_limit_by_hardness():
    # ISO 76: 4200 MPa on bearing steel; 58 HRC is 653 HV (ASTM E140). Below, in proportion (derived).
    assert float(hertz.pressure_limit(653.0)) == 4200e6
    np.testing.assert_array_equal(hertz.pressure_limit([700.0, 940.0]), 4200e6)
    np.testing.assert_allclose(hertz.pressure_limit([326.5, 65.3]), [2100e6, 420e6], rtol=1e-14)
    just_under = float(hertz.pressure_limit(652.0))
    assert just_under == pytest.approx(4200e6 * 652 / 653, rel=1e-14)
