"""Drill sizes against their published series.

Sources
-------
ASME B94.11M, Twist Drills: number and letter series. The standard itself was not read; the inch values below
stand alike in independent shop tables, to four decimals.
BS 328: metric steps (0.2 to 0.98 mm by 0, 0.02, 0.05 and 0.08 in each tenth, to 2.95 mm by 0.05, then by 0.1;
en.wikipedia.org/wiki/Drill_bit_sizes).
International inch: 25.4 mm exactly.
"""

import math

import pytest

from detentsim.shop.drills import drills

INCH = 0.0254

# ASME B94.11M number series, #80 to #1, in ten-thousandths of an inch.
NUMBER_SERIES = """
135 145 160 180 200 210 225 240 250 260 280 292 310 320 330 350 360 370 380 390
400 410 420 430 465 520 550 595 635 670 700 730 760 785 810 820 860 890 935 960
980 995 1015 1040 1065 1100 1110 1130 1160 1200 1285 1360 1405 1440 1470 1495 1520 1540 1570 1590
1610 1660 1695 1730 1770 1800 1820 1850 1890 1910 1935 1960 1990 2010 2040 2055 2090 2130 2210 2280
"""
# ASME B94.11M letter series, A to Z, in thousandths of an inch.
LETTER_SERIES = """
234 238 242 246 250 257 261 266 272 277 281 290 295 302 316 323 332 339 348 358 368 377 386 397 404 413
"""


def _sizes(series):
    return {drill.name: drill.diameter for drill in drills() if drill.series == series}


def test_number_series():
    expected = {f"#{80 - i}": int(size) * 1e-4 * INCH for i, size in enumerate(NUMBER_SERIES.split())}
    assert len(expected) == 80
    assert _sizes("number") == pytest.approx(expected, rel=1e-14)


def test_letter_series():
    expected = {f"letter {chr(65 + i)}": int(s) * 1e-3 * INCH for i, s in enumerate(LETTER_SERIES.split())}
    assert len(expected) == 26
    assert _sizes("letter") == pytest.approx(expected, rel=1e-14)


def test_fractions_are_exact_sixty_fourths_to_half_an_inch():
    expected = {}
    for n in range(1, 33):
        divisor = math.gcd(n, 64)
        expected[f"{n // divisor}/{64 // divisor} in"] = n / 64 * INCH
    assert _sizes("fraction") == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("name", "millimetres"),
    [
        ("1/64 in", 0.396875),
        ("1/16 in", 1.5875),
        ("5/64 in", 1.984375),
        ("3/32 in", 2.38125),
        ("1/8 in", 3.175),
    ],
)
def test_fractions_in_millimetres(name, millimetres):
    assert _sizes("fraction")[name] == pytest.approx(millimetres * 1e-3, rel=1e-15)


def test_metric_steps_of_bs_328():
    steps = {round(tenth / 10 + more, 2) for tenth in range(2, 10) for more in (0, 0.02, 0.05, 0.08)}
    steps |= {round(1 + 0.05 * i, 2) for i in range(40)} | {round(3 + 0.1 * i, 2) for i in range(98)}
    metric = [drill for drill in drills() if drill.series == "metric"]
    trade = {drill.name for drill in metric if drill.source.startswith("trade size")}
    assert {round(drill.diameter * 1e3, 9) for drill in metric if drill.name not in trade} == steps
    assert trade == {"3.25 mm", "3.75 mm", "4.25 mm", "4.75 mm"}


def test_letter_e_is_a_quarter_inch():
    """One printed guide says letter Q; that is 0.332 in."""
    assert _sizes("letter")["letter E"] == _sizes("fraction")["1/4 in"]
