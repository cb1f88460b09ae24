"""Ball sizes, grades and masses against published tables.

Sources
-------
ISO 3290-1:2014 (steel) and ISO 3290-2:2014 (silicon nitride): preferred sizes, grades, gauges.
ANSI/AFBMA Std 10-1989: grades.
Technoball, table of balls per kilogram. Its rows for 1/16 in and 7/64 in (68 840 and 11 730) imply
6935 and 7594 kg/m3 where all others imply 7823-7838, so those two rows are wrong and not used.
"""

import math

import pytest

from detentsim.shop.balls import balls, grades
from detentsim.shop.materials import find_material


def test_nominal_sizes():
    """ISO 3290 prints sizes to 0.001 mm; half a unit of that, and float rounding, is the tolerance."""
    printed = [1.0, 1.191, 1.2, 1.5, 1.588, 1.984, 2.0, 2.381, 2.5, 2.778, 3.0, 3.175]
    assert [ball.diameter * 1e3 for ball in balls()] == pytest.approx(printed, abs=0.0005 + 1e-9)


@pytest.mark.parametrize(("name", "sixty_fourths"), [("3/64 in", 3), ("1/16 in", 4), ("5/64 in", 5), ("7/64 in", 7)])
def test_inch_sizes_are_exact(name, sixty_fourths):
    diameter = next(ball.diameter for ball in balls() if ball.name == name)
    assert diameter == pytest.approx(sixty_fourths / 64 * 0.0254, rel=1e-15)


@pytest.mark.parametrize(
    ("name", "per_kilogram"),
    [
        ("1.5 mm", 72_200),
        ("2 mm", 30_500),
        ("3/32 in", 18_055),
        ("2.5 mm", 15_600),
        ("3 mm", 9_030),
        ("1/8 in", 7_628),
    ],
)
def test_steel_balls_per_kilogram(name, per_kilogram):
    """The maker's counts are rounded to three or four digits: 0.2 %."""
    diameter = next(ball.diameter for ball in balls() if ball.name == name)
    density = find_material("52100", "ball", "f").density
    assert 1 / (math.pi / 6 * diameter**3 * density) == pytest.approx(per_kilogram, rel=2e-3)


# Grade: variation of diameter, form, Ra, lot variation, gauge interval, largest preferred gauge [um].
ISO_3290 = {
    "3": (0.08, 0.08, 0.010, 0.13, 0.5, 5),
    "5": (0.13, 0.13, 0.014, 0.25, 1, 5),
    "10": (0.25, 0.25, 0.020, 0.5, 1, 9),
    "16": (0.4, 0.4, 0.025, 0.8, 2, 10),
    "20": (0.5, 0.5, 0.032, 1, 2, 10),
    "24": (0.6, 0.6, 0.040, 1.2, 2, 12),
    "28": (0.7, 0.7, 0.050, 1.4, 2, 12),
    "40": (1, 1, 0.060, 2, 4, 16),
    "60": (1.5, 1.5, 0.080, 3, 6, 18),
    "100": (2.5, 2.5, 0.100, 5, 10, 40),
    "200": (5, 5, 0.150, 10, 15, 60),
}


def test_iso_3290_grades():
    assert [grade.name for grade in grades()] == list(ISO_3290)
    for grade in grades():
        variation, form, roughness, lot, interval, gauge = (value * 1e-6 for value in ISO_3290[grade.name])
        assert grade.diameter_variation == pytest.approx(variation)
        assert grade.form == pytest.approx(form)
        assert grade.roughness == pytest.approx(roughness)
        assert grade.lot_variation == pytest.approx(lot)
        assert grade.gauge_interval == pytest.approx(interval)
        assert (grade.nominal_low, grade.nominal_high) == pytest.approx((-gauge, gauge))
    assert [grade.note for grade in grades() if grade.note] == ["steel only"]


# Grade: variation, form, Ra, lot variation, nominal high, nominal low [um].
AFBMA_10 = {
    "3": (0.08, 0.08, 0.012, 0.13, 0.75, -0.75),
    "5": (0.13, 0.13, 0.02, 0.25, 1.25, -1),
    "10": (0.25, 0.25, 0.025, 0.5, 1.25, -1),
    "16": (0.4, 0.4, 0.025, 0.8, 1.25, -1),
    "24": (0.6, 0.6, 0.05, 1.2, 2.5, -2.5),
    "48": (1.2, 1.2, 0.08, 2.4, 5, -5),
    "100": (2.5, 2.5, 0.125, 5, 12.5, -12.5),
    "200": (5, 5, 0.2, 10, 25, -25),
    "500": (13, 13, None, 25, 50, -50),
    "1000": (25, 25, None, 50, 125, -125),
}


def test_afbma_10_grades():
    found = grades("ANSI/AFBMA 10")
    assert [grade.name for grade in found] == list(AFBMA_10)
    for grade in found:
        variation, form, roughness, lot, high, low = AFBMA_10[grade.name]
        assert grade.diameter_variation == pytest.approx(variation * 1e-6)
        assert grade.form == pytest.approx(form * 1e-6)
        assert grade.roughness == (roughness if roughness is None else pytest.approx(roughness * 1e-6))
        assert grade.lot_variation == pytest.approx(lot * 1e-6)
        assert (grade.nominal_low, grade.nominal_high) == pytest.approx((low * 1e-6, high * 1e-6))
        assert grade.gauge_interval is None
