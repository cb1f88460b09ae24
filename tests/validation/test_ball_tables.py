"""Ball sizes and masses against published tables.

Sources
-------
ISO 3290-1:2014 (steel) and ISO 3290-2:2014 (silicon nitride): preferred sizes.
Technoball, table of balls per kilogram. Its rows for 1/16 in and 7/64 in (68 840 and 11 730) imply
6935 and 7594 kg/m3 where all others imply 7823-7838, so those two rows are wrong and not used.
"""

import math

import pytest

from detentsim.shop.balls import balls
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
