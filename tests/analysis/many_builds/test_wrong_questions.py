"""Wrong questions in Python: each is one sentence with what was given, what is allowed, and an example."""

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.units.errors import InputError

GARDEN = garden()


@pytest.fixture(scope="module")
def knives():
    return ds.batch(GARDEN, 16)


@pytest.mark.parametrize("wrong", ["bar.bend", 5, None, np.ones(1)])
def test_changes_are_a_mapping(wrong):
    with pytest.raises(InputError, match=r'is no mapping of inputs; give one such as \{"bar.bend": "2.4 mm"\}'):
        GARDEN.change(wrong)


def test_a_result_in_words_has_a_name():
    c = ds.curve(GARDEN)
    with pytest.raises(InputError, match='"breakout_froce" is no result; did you mean breakout_force'):
        c.in_words("breakout_froce")
    with pytest.raises(InputError, match='"x" is no result; give one such as "breakout_force"'):
        c.in_words("x")


def test_capability_needs_a_band(knives):
    with pytest.raises(InputError, match=r'"drag_force" has no target band .* such as breakout_force = \{ at_least'):
        knives.capability("drag_force")


def test_a_share_of_a_number_is_told_what_has_one(knives):
    with pytest.raises(InputError, match=r'"xx" is no flag or yes-no result .*, asked for like share\("snaps"\)'):
        knives.share("xx")
    with pytest.raises(InputError, match=r"ask for its share, like share\('falls_shut'\)"):
        ds.batch(GARDEN, 16, of=["falls_shut"]).interval("falls_shut", 0.9)


@pytest.mark.parametrize("price", ["2 N", None, [1], True, 0, np.nan, np.inf])
def test_a_cost_is_a_number_above_zero(knives, price):
    with pytest.raises(InputError, match=r"is no cost above 0, such as \{'bar.bend': 2.0\}"):
        knives.hold(0.9, cost={"bar.bend": price})


@pytest.mark.parametrize("at", ["-1 deg", ["0 deg", "400 deg"]])
def test_blade_angles_out_of_range_are_shown(at):
    s = ds.sweep(GARDEN, {"bar.bend": ["1 mm"]})
    with pytest.raises(InputError, match=r'is out of range; allowed is 0 deg to 360 deg, such as \["0 deg", "5 deg"'):
        s.curves(at=at)
