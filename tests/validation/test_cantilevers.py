"""Cantilevers of one and two sections against closed forms of the textbooks.

J. M. Gere, Mechanics of Materials, problems on nonprismatic beams (from memory; recomputed by integration);
the tip stiffness 3EI/L^3 of any handbook. E 113.8 GPa throughout unless said; lengths in mm, stiffness N/mm.
"""

import numpy as np
import pytest

from detentsim.mechanics.bar.beam import second_moment, stepped_integral
from detentsim.mechanics.bar.overtravel import cantilever_stiffness, cantilever_stress

MODULUS = 113.8e3  # N/mm^2: the integral is used in N and mm here


def stiffness(length, step, width, inner, outer, modulus=MODULUS):
    rigidity = [modulus * second_moment(width, thickness) for thickness in (inner, outer)]
    return 1 / float(stepped_integral(length, length, step, *rigidity))


@pytest.mark.parametrize(("modulus", "expected"), [(113.8e3, 3.55625), (200e3, 6.2500)])
def test_uniform_tip_stiffness(modulus, expected):
    # k = E b t^3/(4 L^3); L 40, b 8, t 1.0. Five decimals are printed.
    found = stiffness(40, 20, 8, 1.0, 1.0, modulus)
    assert found == pytest.approx(expected, abs=5e-6)
    assert found == pytest.approx(modulus * 8 / (4 * 40**3), rel=1e-13)


@pytest.mark.parametrize(("modulus", "expected"), [(113.8e3, 3.55625), (200e3, 6.2500)])
def test_strip_as_a_clip(modulus, expected):
    # The same strip as a pocket clip, and M c/I at its root for a lift y: k y L (t/2)/I.
    stiff = float(cantilever_stiffness(modulus, 8, 1.0, 40))
    assert stiff == pytest.approx(expected, abs=5e-6)
    lifted = 0.8
    root = stiff * lifted * 40 * 0.5 / float(second_moment(8, 1.0))
    assert float(cantilever_stress(modulus, 1.0, 40, lifted)) == pytest.approx(root, rel=1e-12)


@pytest.mark.parametrize(("ratio", "coefficient"), [(2.0, 0.1875), (1.5, 0.236111)])
def test_equal_halves_stiffer_at_the_root(ratio, coefficient):
    # delta = P L^3/(24 E I1) (1 + 7 I1/I2), I2 at the root. Ratio 2: 3 P L^3/(16 E I1), exactly.
    found = float(stepped_integral(1.0, 1.0, 0.5, ratio, 1.0))
    assert found == pytest.approx((1 + 7 / ratio) / 24, rel=1e-14)
    assert found == pytest.approx(coefficient, abs=5e-7)


def test_equal_halves_twice_as_stiff_at_the_root_is_three_sixteenths():
    assert float(stepped_integral(1.0, 1.0, 0.5, 2.0, 1.0)) == pytest.approx(3 / 16, rel=1e-15)


def test_thinned_root():
    # P/(3E) [(a^3 - (a-L1)^3)/I_root + (a-L1)^3/I_tip]; a 45, L1 12, width 8, 1.5 then 3.0.
    found = stiffness(45, 12, 8, 1.5, 3.0)
    by_form = 3 * MODULUS / ((45**3 - 33**3) / 2.25 + 33**3 / 18)
    assert found == pytest.approx(by_form, rel=1e-13)
    assert found == pytest.approx(12.87112, abs=5e-6)
    assert 1 / found == pytest.approx(0.0776933, abs=5e-8)


def test_thinned_root_with_a_rigid_outer_part():
    # delta = P (L^3 - (L-a)^3)/(3 E I_root): k 13.91879 N/mm.
    rigid = float(stepped_integral(45, 45, 12, MODULUS * 2.25, np.inf))
    assert 1 / rigid == pytest.approx(13.91879, abs=5e-6)
    assert stiffness(45, 12, 8, 1.5, 3000.0) == pytest.approx(13.91879, abs=5e-6)
