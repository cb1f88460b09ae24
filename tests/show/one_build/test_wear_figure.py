"""Figures of a wear-in: no words collide, lines are told apart by more than colour, numbers are those of the result."""

import numpy as np
import pytest
from helpers.garden import garden
from helpers.words import check_words
from matplotlib.figure import Figure

import detentsim as ds


@pytest.fixture(scope="module")
def worn():
    return ds.worn_in(garden(), 1_000_000)


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, {"bar.bend": "-1 mm"}, {"dimple.rim_feed": "0.12 mm"}])
def test_no_words_collide(changes):
    w = ds.worn_in(garden().change(changes), 1_000_000)
    check_words(ds.show.worn_figure(w))


def test_the_lines_are_the_curves(worn):
    ax = ds.show.worn_curves(worn, Figure().subplots())
    drawn = {one.get_label(): one for one in ax.get_lines() if one.get_label() in worn.curves}
    assert set(drawn) == {"fresh", "worn in"}
    for name, columns in worn.curves.items():
        np.testing.assert_array_equal(drawn[name].get_xydata(), columns[[0, 3]].T)
    assert len({one.get_linestyle() for one in drawn.values()}) == 2


def test_bands_of_wear_are_told_apart_by_their_hatch(worn):
    ax = ds.show.wear_history(worn, Figure().subplots())
    assert ax.get_xlabel() == "openings [-]"
    assert len({band.get_hatch() for band in ax.collections}) == 2
    low, high = ax.get_ylim()
    assert low < np.nanmin(worn.history["dry"])
    assert high > np.nanmax(worn.history["dry"])
