"""Lame's press fit against worked examples, and Hill's ring that the press makes yield.

G. Lame; DIN 7190; the first row is the worked example on the press-fit page of machinecalcs.com (48.75 MPa,
45 950 N, 1149 N m, 111.3 MPa), the others recomputed from the formula.
R. Hill, The Mathematical Theory of Plasticity (1950), ch. V: expansion of a thick tube.
"""

import numpy as np
import pytest

from detentsim.mechanics.contact import press

STEEL, CERAMIC, TITANIUM = (200e9, 0.3), (310e9, 0.26), (113.8e9, 0.342)


def test_same_material_and_a_solid_shaft():
    # d 50, D 80, delta 0.04 on the diameter, L 40 mm, mu 0.15.
    pressure = float(press.lame_pressure(0.04e-3, 50e-3, 80e-3, STEEL, STEEL))
    assert pressure / 1e6 == pytest.approx(48.75, abs=5e-5)
    assert pressure == pytest.approx(200e9 * 0.04e-3 * (80**2 - 50**2) / (2 * 50e-3 * 80**2), rel=1e-12)
    force = float(press.holding_force(pressure, 50e-3, 40e-3, 0.15))
    assert force == pytest.approx(45945.8, abs=0.05)
    assert force * 25e-3 == pytest.approx(1148.64, abs=0.005)  # torque it carries [N m]
    hoop = pressure * (80**2 + 50**2) / (80**2 - 50**2)
    assert hoop / 1e6 == pytest.approx(111.25, abs=5e-5)


@pytest.mark.parametrize("poissons_ratio", [0.0, 0.25, 0.3, 0.45])
def test_general_form_of_one_material_forgets_its_ratio(poissons_ratio):
    metal = (200e9, poissons_ratio)
    assert float(press.lame_pressure(0.04e-3, 50e-3, 80e-3, metal, metal)) / 1e6 == pytest.approx(48.75, abs=5e-5)


def test_general_form_of_two_materials():
    # delta/(d [((D^2+d^2)/(D^2-d^2) + nu_o)/E_o + (1 - nu_i)/E_i]): growth of the hole and shrinkage of the shaft,
    # from Lame's stresses and Hooke's law.
    d, big = 50e-3, 80e-3
    pressure = float(press.lame_pressure(0.04e-3, d, big, TITANIUM, CERAMIC))
    hoop = pressure * (big**2 + d**2) / (big**2 - d**2)
    hole = (hoop + TITANIUM[1] * pressure) / TITANIUM[0]
    shaft = (pressure - CERAMIC[1] * pressure) / CERAMIC[0]
    assert (hole + shaft) * d == pytest.approx(0.04e-3, rel=1e-12)


def test_small_mixed_pair():
    # 1.5 mm ceramic disc in a titanium ring of 8 mm, 0.005 mm.
    pressure = float(press.lame_pressure(0.005e-3, 1.5e-3, 8e-3, TITANIUM, CERAMIC))
    assert pressure / 1e6 == pytest.approx(224.920, abs=5e-4)


def test_ring_yields_first_at_the_hole_and_last_at_its_outside():
    # Hill: p = Y/2 (1 - a^2/b^2) at first yield, Y ln(b/a) when it is plastic right through.
    for ratio in (1.2, 2.0, 5.3):
        assert float(press.plastic_pressure(1.0, ratio, 800e6)) == pytest.approx(400e6 * (1 - ratio**-2), rel=1e-12)
        assert float(press.plastic_pressure(ratio, ratio, 800e6)) == pytest.approx(800e6 * np.log(ratio), rel=1e-12)
