"""Pulls simulated on a known knife: how often the verdict on its breakout is wrong, by spacing and noise."""

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT
from helpers.gauges import table, true_curve

import detentsim as ds
from detentsim.analysis.in_hand.compare.compare import Comparison
from detentsim.analysis.in_hand.compare.feel_curves import feel_of_build, feel_of_measured
from detentsim.knife.measured.measured import Measured

TRIALS = 100
LAST = 14.0


@pytest.fixture(scope="module")
def garden():
    build = ds.Build.loads(GARDEN_TEXT)
    return feel_of_build(build, "build"), true_curve(build, LAST)


def clear_share(garden, count, noise, factor):
    """Share of simulated pulls, evenly spaced from a random start, whose breakout is called clearly different."""
    own, (angle, force) = garden
    made = np.random.default_rng(count)
    clear = []
    for _ in range(TRIALS):
        x = angle[0] + (np.arange(count) + made.uniform()) * LAST / count
        y = factor * np.interp(x, angle, force) + noise * made.normal(size=count)
        pull = feel_of_measured(Measured.from_text(table([(x, y)])), "pull")
        clear.append(Comparison((own, pull)).differences[1]["breakout_force"].clear is True)
    return np.mean(clear)


@pytest.mark.slow
@pytest.mark.parametrize(("count", "noise"), [(25, 0.1), (50, 0.02), (300, 0.1)])
def test_the_same_knife_is_seldom_called_different(garden, count, noise):
    assert clear_share(garden, count, noise, 1.0) <= 0.05


@pytest.mark.slow
def test_a_stiffer_knife_is_recognised_even_from_few_readings(garden):
    assert clear_share(garden, 100, 0.1, 1.2) > 0.95


@pytest.mark.slow
def test_a_lighter_knife_is_recognised_where_readings_are_close(garden):
    assert clear_share(garden, 600, 0.1, 0.8) > 0.9
