"""Pressure that an edge bears, and how it falls as the edge goes back, against published contact mechanics.

K. L. Johnson, Contact Mechanics (1985): Hertz's elliptical contact (eqs. 4.26 to 4.28), stresses under a line contact
(eqs. 4.49 and 7.7), shakedown (section 9.2). D. Tabor, The Hardness of Metals (1951): a fully plastic indentation bears
3 times the yield strength. L. Prandtl (1921), R. Hill, The Mathematical Theory of Plasticity (1950): slip lines.
J. F. Archard, Journal of Applied Physics 24 (1953) 981: wear.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from detentsim.mechanics.contact.coining import recession, strength, wearing
from detentsim.mechanics.contact.rim import Edge

MODULI = (230e9, 230e9)
RIGHT = (np.pi / 2, np.pi / 4)  # angle of the metal, contact angle in its middle


def test_vickers_number_to_pressure_on_the_projected_area():
    """ISO 6507-1: HV = 1.8544 F/d^2 (kgf, mm) on the faces; the projected square has the area d^2/2."""
    force, diagonal = 9.80665, 0.05e-3
    number = 1.8544 / 0.05**2
    assert float(strength.meyer_pressure(number)) == pytest.approx(force / (diagonal**2 / 2), rel=5e-4)


def test_a_crushed_half_space_bears_what_tabor_measured():
    """Tabor measured 3 times the yield strength; slip lines give (2 + pi) k, 2.97 times with k of von Mises."""
    bears, yields = float(strength.crushing_pressure(700.0, np.pi)), np.sqrt(3) * float(strength.shear_strength(700.0))
    assert bears == pytest.approx(3 * yields, rel=1e-12)
    assert bears == pytest.approx((2 + np.pi) / np.sqrt(3) * yields, rel=0.011)


@pytest.mark.parametrize("angle", [60, 90, 121])
def test_a_crushed_wedge_bears_as_its_slip_lines(angle):
    """A truncated wedge: a fan of alpha/2 between its top and each flank, so 2 k (1 + alpha/2) (Hill, from memory).

    A half space bears (2 + pi) k by the same rule, and what Tabor measured there stands for that.
    """
    alpha = np.radians(angle)
    found, whole = (float(strength.crushing_pressure(700.0, wedge)) for wedge in (alpha, np.pi))
    assert found / whole == pytest.approx(2 * (1 + alpha / 2) / (2 + np.pi), rel=1e-12)


def test_shakedown_limit_from_the_stresses_under_a_line_contact():
    """Greatest shear along the surface from McEwen's stresses: 4 k without friction, k/mu above 0.367."""
    x, z = np.meshgrid(np.linspace(-1.3, 1.3, 521), np.linspace(0, 1, 201))
    level = 1 - x**2 + z**2
    root = np.hypot(level, 2 * x * z)
    m, n = np.sqrt((root + level) / 2), np.sign(x) * np.sqrt(np.maximum(root - level, 0) / 2)
    part = (z**2 + n**2) / np.maximum(root, 1e-300)
    along, shear = -(m * (1 + part) - 2 * z), n * (m**2 - z**2) / np.maximum(root, 1e-300)
    for mu in (0.0, 0.05, 0.12, 0.25, 0.33, 0.4, 0.6):
        limit = float(strength.shakedown_limit(700.0, mu) / strength.shear_strength(700.0))
        # Between its points the table is right to a thousandth.
        assert limit == pytest.approx(1 / np.abs(shear + mu * along).max(), rel=1e-3), mu
    assert float(strength.shakedown_limit(700.0, 0.0) / strength.shear_strength(700.0)) == 4.0


def ellipse_pressure(force, small, large, modulus):
    """Peak pressure of Hertz's elliptical contact with relative radii `small` and `large`."""

    def ratio(square):
        k, e = ellipk(square), ellipe(square)
        return (e / (1 - square) - k) / (k - e) - large / small

    square = brentq(ratio, 1e-9, 1 - 1e-13)
    long = np.cbrt(3 * force * (ellipk(square) - ellipe(square)) * large / (np.pi * modulus * square))
    return 3 * force / (2 * np.pi * long**2 * np.sqrt(1 - square))


@pytest.mark.parametrize("sine", [0.5, 0.7, 0.85])
@pytest.mark.parametrize("rounding", [0.01e-3, 0.1e-3])
@pytest.mark.parametrize("aside", [0.02e-3, 0.1e-3, 0.3e-3])
@pytest.mark.parametrize("ball", [0.6e-3, 1.2e-3])
def test_ball_aside_on_an_edge_as_cut_against_hertz_ellipse(ball, aside, rounding, sine):
    """Relative radii R r/(R + r) along the path and a R/s across it; the rim gives way more than Hertz's half space."""
    edge, force = Edge(ball, sine, rounding, *RIGHT), 10.0
    across = (aside + ball * sine) * ball / aside
    half_space = ellipse_pressure(
        force / np.sqrt(1 - sine**2), ball * rounding / (ball + rounding), across, 0.5 * MODULI[0]
    )
    found = float(recession.coined(edge, MODULI, force, aside, 0.0).pressure)
    assert 0.94 < found / half_space < 1.0


def test_limits_and_order():
    edge = Edge(0.8e-3, 0.8, 0.01e-3, *RIGHT)

    def back(force, limit, edge=edge):
        return float(recession.coined_recession(edge, MODULI, force, 0.1e-3, limit))

    assert back(10.0, np.inf) == 0  # infinitely hard
    assert back(10.0, 5e9, edge._replace(rounding=0.3e-3)) == 0  # broad as cut
    assert back(20.0, 5e9) > back(10.0, 5e9) > back(10.0, 6e9) > 0  # load and hardness
    assert back(1e6, 1e8) == np.inf  # no edge bears it
    found = recession.coined(edge, MODULI, 10.0, 0.1e-3, back(10.0, 5e9))
    assert float(found.pressure) == pytest.approx(5e9, rel=1e-4)
    centred = recession.coined(edge, MODULI, 10.0, 0.0, 1e-6)
    assert float(centred.line_load) == pytest.approx(10 / 0.6 / (2 * np.pi * 0.64e-3), rel=1e-6)  # the whole ring


def test_recession_of_a_rounded_edge_by_hand():
    """Support function: the corner's less that of an inscribed arc, along the contact's normal."""
    alpha, psi, radius = np.radians(121), np.radians(50), 0.03
    middle = (np.pi / 2 + np.radians(31)) / 2
    centre = -radius / np.sin(alpha / 2) * np.array([np.sin(middle), np.cos(middle)])
    back = -(centre @ [np.sin(psi), np.cos(psi)] + radius)
    edge = Edge(1e-3, np.sin(psi), 0.0, alpha, middle)
    assert float(recession.recession_by_radius(edge)) * radius == pytest.approx(back, rel=1e-12)


def test_archards_law_by_hand():
    """V = K W s/H: 20 N/mm slid over 0.5 mm ten thousand times on 7 GPa, K 1e-6: 1e-6 * 1e5 N / 7e3 N/mm^2."""
    hardness = 7e9 * 0.927 / 9.80665e6
    assert float(wearing.worn_area(20e3 * 0.5e-3 * 1e4, hardness, 1e-6)) * 1e6 == pytest.approx(1.4286e-5, rel=1e-4)


def test_worn_radius_is_the_integral_of_its_law():
    """2 q r dr = sqrt(r0/r) dA, stepped numerically; q of a right angle is 1 - pi/4."""
    q, start, area = 1 - np.pi / 4, 0.05, 0.004
    path = solve_ivp(lambda _, r: np.sqrt(start / r) / (2 * q * r), (0, area), [start], rtol=1e-9, atol=1e-12)
    assert float(wearing.worn_radius(start, np.pi / 2, area)) == pytest.approx(path.y[0, -1], rel=1e-6)
    assert float(wearing.worn_radius(0.05, np.pi / 2, 0.0)) == pytest.approx(0.05, rel=1e-12)


@pytest.mark.parametrize("force", [4.0, 20.0])
@pytest.mark.parametrize("aside", [0.02e-3, 0.1e-3, 0.3e-3])
@pytest.mark.parametrize(("wedge", "flank"), [(90, 0), (121, 31)])
def test_many_passes_press_an_edge_back_farther_than_one_press(wedge, flank, aside, force):
    """One press of a rigid ball on a sharp edge: its flat facet carries the load at the crushing pressure.

    `P = p_m A` (Johnson, section 6.3) on a facet `c d` wide, c = cot + cot of the angles between facet and faces, that
    ends at `l = sqrt(2 R'' d)`: A = 4/3 c d l. Passes at every contact angle round the edge that one facet only
    flattens, so the first openings take it 1.2 to 2.5 times as far, at all loads and places alike.
    """
    ball, psi = 0.8e-3, np.radians(50)
    edge = Edge(ball, np.sin(psi), 0.0, np.radians(wedge), np.radians(90 + flank) / 2)
    across = (aside + ball * np.sin(psi)) * ball / aside
    facet = 1 / np.tan(psi - np.radians(flank)) + np.tan(psi)
    crushed = float(strength.crushing_pressure(700.0, edge.wedge))
    once = (force / np.cos(psi) / crushed / (4 / 3 * facet * np.sqrt(2 * across))) ** (2 / 3)
    limits = strength.first_limit(700.0, edge.wedge), strength.shakedown_limit(700.0, 0.12)
    first, settled = (float(recession.coined_recession(edge, MODULI, force, aside, limit)) for limit in limits)
    assert 1.2 * once < first < 2.5 * once
    assert first < settled < 4 * once
