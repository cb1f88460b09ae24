"""Under and round the ball's contact: Hertz's pressure summed by Boussinesq and Hooke, dents and ring cracks."""

import numpy as np
import pytest
from helpers.records import demo, dig
from scipy.integrate import quad

from detentsim.mechanics.contact import hertz

MODULUS = float(hertz.contact_modulus(310e9, 0.26, 205e9, 0.29))


def axis_stress(depth, nu):
    """Stresses on the axis, down and across, under p = sqrt(1 - r^2): rings of point loads on a half space.

    Boussinesq's point load: sigma_z = -3 P z^3/(2 pi s^5); across, summed over a ring, half of radial and hoop.
    """

    def down(r):
        return -3 * depth**3 / (2 * np.pi * np.hypot(r, depth) ** 5)

    def across(r):
        s = np.hypot(r, depth)
        radial = ((1 - 2 * nu) / (s * (s + depth)) - 3 * r**2 * depth / s**5) / (2 * np.pi)
        hoop = (1 - 2 * nu) * (depth / s**3 - 1 / (s * (s + depth))) / (2 * np.pi)
        return (radial + hoop) / 2

    ring = [quad(lambda r, f=f: f(r) * np.sqrt(1 - r**2) * 2 * np.pi * r, 0, 1)[0] for f in (down, across)]
    return np.array(ring)


@pytest.mark.parametrize("nu", [0.0, 0.22, 0.29, 0.342, 0.5])
@pytest.mark.parametrize("depth", [0.1, 0.48, 1.0, 3.0])
def test_shear_on_the_axis_by_point_loads(nu, depth):
    down, across = axis_stress(depth, nu)
    assert float(hertz.shear_below(depth, nu)) == pytest.approx(abs(down - across) / 2, abs=2e-8)


def test_shear_at_the_surface():
    # On the surface the middle is pressed by p0 down and (1 + 2 nu) p0/2 across.
    for nu in (0.1, 0.29):
        assert float(hertz.shear_below(0.0, nu)) == pytest.approx(abs(1 - (1 + 2 * nu) / 2) / 2, rel=1e-12)


@pytest.mark.parametrize("nu", [0.2, 0.29, 0.35, 0.45])
def test_largest_shear_is_the_largest(nu):
    depth = np.linspace(0.01, 3, 30001)
    below = hertz.shear_below(depth, nu)
    ratio, place = hertz.largest_shear(nu)
    assert float(ratio) == pytest.approx(below.max(), rel=1e-8)
    assert float(place) == pytest.approx(depth[below.argmax()], abs=1e-3)
    assert float(hertz.first_yield_pressure(2300e6, nu)) == pytest.approx(2300e6 / (2 * below.max()), rel=1e-8)


@pytest.mark.slow
def test_largest_shear_of_many_equals_single_calls():
    nu = np.linspace(0.2, 0.4, 12).reshape(3, 4)
    ratio, place = hertz.largest_shear(nu)
    assert ratio.shape == place.shape == (3, 4)
    for i in np.ndindex(3, 4):
        np.testing.assert_allclose((ratio[i], place[i]), hertz.largest_shear(nu[i]), rtol=1e-7)


def test_pressure_sums_to_the_force():
    # 2/3 p0 pi a^2 of a half ellipsoid, and a^2 = R times the approach.
    force, radius = 13.0, 0.79e-3
    pressure, patch = hertz.peak_pressure(force, radius, MODULUS), hertz.contact_radius(force, radius, MODULUS)
    total = quad(lambda r: 2 * np.pi * r * float(pressure) * np.sqrt(1 - (r / float(patch)) ** 2), 0, float(patch))[0]
    assert total == pytest.approx(force, rel=1e-7)
    # Work done coming together, integral of force over approach: F ~ delta^(3/2), so 2/5 F delta.
    loads = np.linspace(0, force, 4001)
    work = np.trapezoid(loads, hertz.approach(loads, radius, MODULUS))
    assert work == pytest.approx(0.4 * force * float(hertz.approach(force, radius, MODULUS)), rel=1e-6)


def test_force_at_a_pressure_is_the_inverse():
    force = np.array([0.3, 5.0, 60.0])
    np.testing.assert_allclose(
        hertz.force_at_pressure(hertz.peak_pressure(force, 0.8e-3, MODULUS), 0.8e-3, MODULUS), force, rtol=1e-13
    )


# --- dents ----------------------------------------------------------------------------------------------------


def test_dent_at_the_limit_is_a_ten_thousandth_of_the_ball():
    # ISO 76: at 4200 MPa on hard steel; twice the load dents four times as deep.
    one = demo(tang_hardness=697.0)
    radius = float(one.ball_radius)
    limit = float(hertz.force_at_pressure(4200e6, radius, MODULUS))
    dent = hertz.dent_depth(one, limit * np.array([1.0, 2.0]))
    assert dent[0] == pytest.approx(1e-4 * 2 * radius, rel=1e-9)
    assert dent[1] == pytest.approx(4 * dent[0], rel=1e-9)


def test_no_dent_below_first_yield():
    # Yield strength a third of hardness; it starts below the surface.
    one = demo(tang_hardness=697.0)
    radius = float(one.ball_radius)
    start = 697 * 9.80665e6 / 3 / (2 * float(hertz.largest_shear(0.29)[0]))
    first = float(hertz.force_at_pressure(start, radius, MODULUS))
    dent = hertz.dent_depth(one, first * np.array([0.0, 0.5, 0.999, 1.001]))
    np.testing.assert_array_equal(dent[:3], 0.0)
    assert dent[3] > 0


def test_a_soft_flat_takes_no_deeper_dent_than_its_hardness_lets():
    # Wholly plastic: the load over the area of the dent's face, 2 pi R times its depth, is the hardness.
    one = demo(tang_hardness=150.0)
    dent = float(hertz.dent_depth(one, 40.0))
    area = 2 * np.pi * float(one.ball_radius) * dent
    assert 40.0 / area == pytest.approx(150 * 9.80665e6, rel=1e-12)
    hard = hertz.dent_depth(demo(tang_hardness=np.array([150.0, 300.0, 500.0, 653.0])), 20.0)
    assert np.all(np.diff(hard) < 0)


def test_ring_crack_goes_with_the_radius_and_the_square_of_toughness():
    base = float(hertz.ring_crack_force(6e6, 310e9, 0.8e-3))
    assert base == pytest.approx(8.6e3 * 0.8e-3 * 6e6**2 / 310e9, rel=1e-12)
    assert float(hertz.ring_crack_force(3e6, 310e9, 1.6e-3)) == pytest.approx(base / 2, rel=1e-12)
    assert float(hertz.ring_crack_force(6e6, 155e9, 0.8e-3)) == pytest.approx(base * 2, rel=1e-12)


@pytest.mark.slow
def test_dents_of_many_equal_single_calls():
    many = demo(tang_hardness=np.linspace(120, 800, 9), ball_radius=np.linspace(0.6e-3, 1.2e-3, 9))
    force = np.linspace(0, 60, 9)
    found = hertz.dent_depth(many, force)
    assert 0 < np.count_nonzero(found) < 9
    np.testing.assert_allclose(found, [float(hertz.dent_depth(dig(many, i), force[i])) for i in range(9)], rtol=1e-9)
