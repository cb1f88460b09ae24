"""Roots and crests of many functions at once, against SciPy and against a dense grid."""

import numpy as np
import pytest
from helpers.scattered import scatter
from scipy.optimize import brentq

from detentsim.mechanics.path import extrema, segment_rows, segments, stable
from detentsim.mechanics.response import respond
from detentsim.mechanics.roots import bracketed_root, stepped_root

SCALES = np.array([0.3, 1.0, 2.5, 40.0])


def cubic(x):
    return x**3 + 0.2 * x - SCALES


@pytest.fixture(scope="module")
def exact():
    return np.array([brentq(lambda x, s=s: x**3 + 0.2 * x - s, 0, 5, xtol=1e-15) for s in SCALES])


def test_bracketed_roots_are_those_of_scipy(exact):
    found = bracketed_root(lambda x, i: x**3 + 0.2 * x - SCALES[i], np.zeros(4), np.full(4, 5.0), 1e-13)
    np.testing.assert_allclose(found, exact, rtol=1e-12)


def test_ends_that_are_known_change_no_root(exact):
    ends = cubic(np.zeros(4)), cubic(np.full(4, 5.0))
    found = bracketed_root(lambda x, i: x**3 + 0.2 * x - SCALES[i], np.zeros(4), np.full(4, 5.0), 1e-13, ends=ends)
    np.testing.assert_allclose(found, exact, rtol=1e-12)


def test_a_few_steps_from_three_places_near_a_root_reach_it(exact):
    places = np.stack([exact - 0.05, exact + 0.04, exact - 0.12])
    found, low, high = stepped_root(cubic, places, cubic(places), 3)
    assert np.all((low <= exact) & (exact <= high))
    np.testing.assert_allclose(found, exact, rtol=1e-10)


def test_steps_that_lead_out_stay_between_the_places():
    """A step function has no slope to follow: the bracket only shrinks."""
    places = np.array([[0.0], [1.0], [2.0]])
    found, low, high = stepped_root(lambda x: np.where(x < 0.3, -1.0, 1.0), places, np.array([[-1.0], [1.0], [1.0]]), 5)
    assert 0 <= low[0] <= 0.3 <= high[0] <= 1
    assert low[0] <= found[0] <= high[0]


@pytest.fixture(scope="module")
def ways():
    """Paths with every input at random, from the centre to the flat."""
    record = scatter(400, 61)
    load = segments.flatten(respond(record).load, (400,))
    return segments.walk(load, np.array(segments.mouth_angle(load))).ways


def test_segments_of_a_path_follow_one_another(ways):
    same = ways.design[1:] == ways.design[:-1]
    # Segments of no more than rounding are left out.
    np.testing.assert_allclose(ways.left[1:][same], ways.right[:-1][same], rtol=0, atol=4 * segment_rows.HAIR)
    assert np.all(ways.right - ways.left > segment_rows.HAIR)
    np.testing.assert_array_equal(ways.design[ways.first], np.arange(400))
    np.testing.assert_array_equal(ways.left[ways.first], 0.0)


def test_crests_of_the_blade_angle_are_the_highest_of_a_dense_grid(ways):
    ends = segments.ends(ways)
    theta, slopes = stable.climb(opening=True)(ways, ends)
    every = np.ones(ways.design.size, bool)
    top, where = extrema.crests(ways, theta, slopes, stable.climb(opening=True), every, rule=stable.opening_turn)
    grid = stable.opening_turn(ways, segments.points(ways, np.linspace(0, 1, 801)))
    free = np.all(grid < stable.FAR, axis=0)
    assert np.count_nonzero(free) > 0.9 * free.size
    assert np.all(top[free] >= grid.max(axis=0)[free] - 1e-12)
    np.testing.assert_allclose(stable.opening_turn(ways, where)[free], top[free], rtol=1e-12, atol=1e-14)
