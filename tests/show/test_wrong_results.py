"""What is no result of the right kind, or no axes, is one sentence for every figure, and leaves no figure behind."""

import matplotlib.pyplot as plt
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.units.errors import InputError

TAKEN_BY_SWEEPS = {"lines": "breakout_force", "design_map": "breakout_force", "panels": "breakout_force"}


@pytest.mark.parametrize("name", sorted({*ds.show.__all__} - {"explore", "save_figure"}))
def test_a_build_in_place_of_a_result_is_told_what_makes_one(name):
    more = [TAKEN_BY_SWEEPS[name]] if name in TAKEN_BY_SWEEPS else []
    before = plt.get_fignums()
    for wrong in (garden(), None):
        with pytest.raises(InputError, match=r": (a Build|nothing) is no .*; give .*(ds\.\w+\(|s\.curves\(\))"):
            getattr(ds.show, name)(wrong, *more)
    assert plt.get_fignums() == before


@pytest.fixture(scope="module")
def sweep(demo):
    return ds.sweep(demo, {"bar.bend": ("2 mm", "3 mm", 2), "dimple.rim_feed": ("0 mm", "0.1 mm", 2)})


def test_a_figure_in_place_of_axes_is_refused(demo, sweep):
    figure = plt.Figure()
    wrong = r"ax: a Figure is not the axes of one picture; give some such as figure\.subplots\(\)"
    with pytest.raises(InputError, match=wrong):
        ds.show.curve(ds.curve(demo), figure)
    for draw in (ds.show.gauges, ds.show.bar_side):
        with pytest.raises(InputError, match=wrong):
            draw(ds.limits(demo), figure)
    with pytest.raises(InputError, match=wrong):
        ds.show.design_map(sweep, "breakout_force", figure)
    with pytest.raises(InputError, match=wrong):
        ds.show.lines(sweep, "breakout_force", figure)
