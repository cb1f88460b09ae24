"""Two clicks: what is said to do about them leaves one crest, and a step less does not."""

import pytest
from helpers.garden import GARDEN_FILE, INCH_FILE

import detentsim as ds
from detentsim.analysis.in_hand.advise.symptoms.case import Case
from detentsim.analysis.in_hand.advise.symptoms.clicks import click_words, one_click

BUILDS = {"demo": ds.demo, "garden": lambda: ds.Build.read(GARDEN_FILE), "inch": lambda: ds.Build.read(INCH_FILE)}
STEP = {"mm": 0.01e-3, "in": 0.0127e-3}
"""A hundredth of a millimetre, half a thou [m]."""


@pytest.mark.parametrize("name", BUILDS)
@pytest.mark.parametrize("deeper", [True, False])
def test_the_feed_named_leaves_one_crest_and_a_step_less_leaves_two(name, deeper):
    build = BUILDS[name]()
    found = one_click(Case(build), deeper)
    assert found is not None
    there = Case(build.change({"dimple.rim_feed": f"{1e3 * found.feed:.6f} mm"}))
    assert len(there.crests) == 1
    assert there.value("breakout_force") == pytest.approx(found.breakout, rel=1e-6)
    by = STEP[build.units.length]
    nearer = found.feed - by if deeper else found.feed + by
    assert len(Case(build.change({"dimple.rim_feed": f"{1e3 * nearer:.6f} mm"})).crests) == 2


def test_the_words_say_what_to_do_on_this_knife_and_on_the_next():
    case = Case(ds.demo())
    words = click_words(case)
    deeper = one_click(case, deeper=True)
    assert f"to {1e3 * deeper.feed:.2f} mm in all: breakout is then {case.force(deeper.breakout)} instead of" in words
    assert deeper.breakout > 13  # the demo's target ends there
    assert "off its target unless the bar is bent out as well" in words
    assert "On the next knife, feed it" in words
