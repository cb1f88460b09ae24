"""Material data against published tables.

Sources
-------
ASTM B265, Titanium and Titanium Alloy Strip, Sheet and Plate: minimum strengths, bend test.
ASTM A666 / AMS 5519: 301 full hard, minimum strengths.
ASTM E140 Table 1 (same in SAE J417): Rockwell C to Vickers, non-austenitic steel.
ASM data sheets: titanium grade 2; the extra-low-interstitial grade 23 of Ti-6Al-4V (nu 0.342).
Data sheets: UNS S17400 H900 (shear modulus 77 GPa, from memory), AISI 52100 ball material, 440C (UNS S44004).
D. Tabor, The Hardness of Metals (1951): a hardness is about three times the yield strength.
K. L. Johnson, Contact Mechanics (1985), eq. 4.24, ball on flat; with the limit of 4200 MPa of ISO 76:2006.
"""

import math

import pytest

from detentsim.shop.hardness import hrc_to_hv, yield_from_hardness
from detentsim.shop.materials import find_material

KSI = 1000 * 0.45359237 * 9.80665 / 0.0254**2


def _bar(name):
    return find_material(name, "bar", "f")


@pytest.mark.parametrize(
    ("name", "yield_mpa", "ultimate_mpa"), [("Ti-6Al-4V", 828, 895), ("CP titanium grade 2", 275, 345)]
)
def test_titanium_minimum_strengths_of_astm_b265(name, yield_mpa, ultimate_mpa):
    assert _bar(name).yield_strength == pytest.approx(yield_mpa * 1e6)
    assert _bar(name).ultimate_strength == pytest.approx(ultimate_mpa * 1e6)


@pytest.mark.parametrize(
    ("name", "thickness_mm", "times"),
    [
        ("Ti-6Al-4V", 1.5, 4.5),
        ("Ti-6Al-4V", 3.0, 5.0),
        ("CP titanium grade 2", 1.5, 2.0),
        ("CP titanium grade 2", 3.0, 2.5),
    ],
)
def test_bend_radius_of_astm_b265(name, thickness_mm, times):
    assert _bar(name).bend_radius(thickness_mm * 1e-3) == pytest.approx(times * thickness_mm * 1e-3)


def test_full_hard_301_of_astm_a666():
    """Printed as 140 and 185 ksi; the table holds whole MPa."""
    full_hard = _bar("301 full hard")
    assert full_hard.yield_strength == pytest.approx(140 * KSI, abs=0.5e6)
    assert full_hard.ultimate_strength == pytest.approx(185 * KSI, abs=0.5e6)


def test_440c_in_ksi():
    """At 59 HRC a data sheet of UNS S44004 prints 1900 and 2030 MPa, 275 and 294 ksi."""
    steel = find_material("440C", "tang", "f")
    assert steel.yield_strength == pytest.approx(275 * KSI, abs=5e6)
    assert steel.ultimate_strength == pytest.approx(294 * KSI, abs=5e6)


def test_52100_in_ksi():
    """A data sheet of AISI 52100 ball material prints 325 ksi ultimate."""
    assert find_material("52100", "ball", "f").ultimate_strength == pytest.approx(325 * KSI, abs=5e6)


def test_17_4ph_modulus_agrees_with_its_shear_modulus():
    """E = 2 G (1 + nu) with G 77 GPa as printed, over the two published nu."""
    steel = _bar("UNS S17400 H900")
    low, high = steel.bands["poissons_ratio"]
    assert 2 * 77e9 * (1 + low) < steel.youngs_modulus < 2 * 77e9 * (1 + high)


@pytest.mark.parametrize(
    ("hrc", "hv"),
    [(68, 940), (65, 832), (62, 746), (60, 697), (58, 653), (55, 595), (52, 544), (45, 446), (40, 392)],
)
def test_rockwell_to_vickers_of_astm_e140(hrc, hv):
    assert hrc_to_hv(hrc) == hv


@pytest.mark.parametrize(("hrc", "hv"), [(41, 402), (43, 423), (44, 434), (46, 458), (47, 471), (49, 498), (51, 528)])
def test_straight_lines_between_rows_of_astm_e140(hrc, hv):
    """Rows of E140 left out of the table, their values from memory; whole numbers, so one unit."""
    assert hrc_to_hv(hrc) == pytest.approx(hv, abs=1.0)


@pytest.mark.parametrize(("hv", "mpa"), [(653, 2135), (697, 2278), (746, 2439)])
def test_yield_is_a_third_of_hardness(hv, mpa):
    """58, 60 and 62 HRC: H = HV x 9.80665 MPa (definition), Y = H/3 (Tabor), printed to 1 MPa."""
    assert yield_from_hardness(hv) == pytest.approx(mpa * 1e6, abs=0.5e6)


@pytest.mark.parametrize(
    ("ball", "newtons"),
    [
        ("52100", 16.921),
        ("silicon nitride", 11.980),
        ("zirconia", 16.971),
        ("alumina", 10.569),
        ("tungsten carbide", 7.6594),
        ("ruby", 10.063),
    ],
)
def test_elastic_constants_give_the_load_at_the_limit_of_iso_76(ball, newtons):
    """A 1.5 mm ball on a hard steel flat at 4200 MPa: F = pi^3 p0^3 R^2/(6 E*^2), Johnson 4.24.

    The loads were worked out apart from this table, to five digits, from E and nu of the sources.
    """
    upper, flat = find_material(ball, "ball", "f"), find_material("hardened steel", "tang", "f")
    compliance = sum((1 - m.poissons_ratio**2) / m.youngs_modulus for m in (upper, flat))
    load = math.pi**3 * 4200e6**3 * 0.75e-3**2 * compliance**2 / 6
    assert load == pytest.approx(newtons, rel=5e-5)


def test_published_spread_of_ti_6al_4v():
    """Makers' sheets print 105 to 120 GPa and 0.31; 0.342 belongs to grade 23 (ASM data sheet)."""
    titanium = _bar("Ti-6Al-4V")
    assert (titanium.youngs_modulus, titanium.poissons_ratio) == (pytest.approx(114e9), 0.31)
    assert titanium.bands["youngs_modulus"] == pytest.approx((105e9, 120e9))
    assert titanium.bands["poissons_ratio"] == (0.31, 0.342)
