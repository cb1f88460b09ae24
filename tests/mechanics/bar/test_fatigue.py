"""Goodman's line: points that it must pass through, and lives that must not differ."""

import numpy as np
import pytest

from detentsim.mechanics.bar import fatigue


def test_fully_reversed_strength_stands_as_it_is():
    assert float(fatigue.fully_reversed(510.0, -1.0, 900.0)) == pytest.approx(510.0, rel=1e-14)


@pytest.mark.parametrize("ratio", [-1.0, -0.4, 0.0, 0.1, 0.5])
def test_the_published_cycle_takes_all_of_its_endurance(ratio):
    # A largest stress endured at a ratio, carried to full reversal, is just endured at that ratio again.
    top, ultimate = 540e6, 895e6
    endurance = fatigue.fully_reversed(top, ratio, ultimate)
    assert float(fatigue.goodman_use(ratio * top, top, endurance, ultimate)) == pytest.approx(1.0, rel=1e-12)
    swing, mean = top * (1 - ratio) / 2, top * (1 + ratio) / 2
    # Its point lies on the straight line from the endurance strength to the ultimate strength.
    assert swing == pytest.approx(float(endurance) * (1 - mean / ultimate), rel=1e-12)


def test_ends_of_the_line():
    use = fatigue.goodman_use
    assert float(use(-400.0, 400.0, 400.0, 900.0)) == pytest.approx(1.0)
    assert float(use(900.0, 900.0, 400.0, 900.0)) == pytest.approx(1.0)
    assert float(use(250.0, 650.0, 400.0, 900.0)) == pytest.approx(200 / 400 + 450 / 900)
    # A pressed mean counts as none, and helps no more than that.
    assert float(use(-500.0, -100.0, 400.0, 900.0)) == pytest.approx(0.5)


def test_use_grows_with_either_stress_beyond_the_mean():
    high = np.linspace(300e6, 900e6, 30)
    assert np.all(np.diff(fatigue.goodman_use(250e6, high, 400e6, 900e6)) > 0)
    many = fatigue.goodman_use(250e6, high[:, None], np.array([300e6, 400e6]), 900e6)
    assert many.shape == (30, 2)
    assert float(many[7, 1]) == float(fatigue.goodman_use(250e6, high[7], 400e6, 900e6))


def test_strength_falls_along_a_straight_line_in_logarithms():
    # Shigley, 9th ed., section 6-8: S_f = a N^b through 0.9 S_u at a thousand cycles and S_e, here at ten million.
    cycles = np.array([1e3, 1e4, 1e5, 1e6, 1e7])
    found = fatigue.strength_at(cycles, 300e6, 900e6)
    slope = np.log10(300 / 810) / 4
    np.testing.assert_allclose(found, 810e6 * (cycles / 1e3) ** slope, rtol=1e-12)
    np.testing.assert_allclose(fatigue.strength_at([1.0, 1e9], 300e6, 900e6), found[[0, -1]], rtol=1e-14)
    assert float(fatigue.strength_at(1e3, 850e6, 900e6)) == pytest.approx(850e6)  # never below the endurance
