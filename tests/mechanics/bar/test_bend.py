"""Where the free bent bar stands: its offset from flat, the place it swings about, and what unlocks it."""

import numpy as np
import pytest
from helpers.fibres import Bar
from helpers.records import demo, dig

from detentsim.mechanics.bar import bend


def bar(**changes):
    return demo(**{"bend": 1.6e-3, **changes})


# --- where the free bar stands --------------------------------------------------------------------------------


def test_free_offset_of_a_bar_bent_in_its_relief():
    # y_f = b (a - x_h)/(x_tip - x_h), x_h = L1/4: 1.6 (44 - 2.5)/(50 - 2.5) mm.
    assert float(bend.free_offset(bar())) == pytest.approx(1.6e-3 * 41.5 / 47.5, rel=1e-14)


def test_free_offset_of_a_bar_bent_at_a_place_and_short_of_it():
    assert float(bend.free_offset(bar(bend_at=20e-3))) == pytest.approx(1.6e-3 * 24 / 30, rel=1e-14)
    assert float(bend.free_offset(bar(bend_at=46e-3))) == 0.0


def test_free_offset_of_a_bar_of_even_curvature():
    # Even curvature: y = b (x/x_tip)^2.
    found = bend.free_offset(bar(bend_along=1.0, relief_thickness=3e-3, relief_length=50e-3))
    assert float(found) == pytest.approx(1.6e-3 * (44 / 50) ** 2, rel=1e-14)


def test_centre_of_a_relief_bend_is_near_that_of_its_plastic_curvature():
    # "About L1/4": where fibres keep curvature after a push at the tip, 10 of 50 mm yielding.
    for share, low, high in ((1.25, 0.2, 0.4), (1.45, 0.15, 0.3)):
        bent = Bar(bar()).push(share, 50e-3).let_go()
        slope = (bent.offset(50e-3) - bent.offset(40e-3)) / 10e-3
        centre = 50e-3 - bent.offset(50e-3) / slope
        assert low < centre / 10e-3 < high
    assert float(bend.bend_centre(bar())) == 2.5e-3


def test_offset_along_the_free_bar():
    # The ball's own at the ball, the bend itself at the tip; straight beyond the centre, nothing before it.
    x = np.array([0.0, 2.0e-3, 20e-3, 44e-3, 50e-3])
    for one in (bar(), bar(bend_at=20e-3), bar(bend_along=1.0)):
        found = bend.free_at(one, x)
        assert found[0] == 0.0
        assert found[3] == pytest.approx(float(bend.free_offset(one)), rel=1e-13)
        assert found[4] == pytest.approx(1.6e-3, rel=1e-13)
    np.testing.assert_allclose(bend.free_at(bar(), x[1:3]), [0, 1.6e-3 * 17.5 / 47.5], rtol=1e-13)
    np.testing.assert_allclose(bend.free_at(bar(bend_along=1.0), x[1:3]), [1.6e-3 * 0.04**2, 1.6e-3 * 0.4**2])
    # A bar bent over an edge is straight beyond it, rolled before or not.
    np.testing.assert_allclose(bend.free_at(bar(bend_at=20e-3, bend_along=1.0), 35e-3), 0.8e-3, rtol=1e-13)


def test_travel_that_unlocks():
    # The ball's tip stands y_f + p inside a flat that is g away.
    one = bar()
    expected = 1.6e-3 * 41.5 / 47.5 - float(one.face_gap) + float(one.protrusion)
    assert float(bend.unlock_travel(one)) == pytest.approx(expected, rel=1e-13)


@pytest.mark.slow
def test_many_bars_at_once_equal_single_calls():
    rng = np.random.default_rng(1)
    many = bar(
        bend=rng.uniform(0, 4e-3, 40),
        bend_along=rng.choice([0.0, 1.0], 40),
        bend_at=rng.choice([np.nan, 5e-3, 46e-3], 40),
    )
    for ask in (bend.bend_centre, bend.free_offset, bend.unlock_travel, lambda one: bend.free_at(one, 31e-3)):
        np.testing.assert_array_equal(ask(many), [float(ask(dig(many, i))) for i in range(40)])
