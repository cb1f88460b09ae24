"""Finishes of the dimple's edge as words: the number and the band that each stands for."""

import pytest
from helpers.garden import garden

from detentsim.analysis.one_build.curve.curve import curve
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.model import Build
from detentsim.shop.friction import edge_states


@pytest.mark.parametrize("state", list(edge_states()))
def test_a_finish_stands_for_its_radius_and_band(state):
    build = garden().change({"dimple.edge_radius": state.title()})
    found = edge_states()[state]
    assert build.word("dimple.edge_radius") == state
    assert build.si("dimple.edge_radius") == found.radius
    assert build.bands()["dimple.edge_radius"] == found.band
    assert "dimple.edge_radius" not in build.assumed
    assert Build.loads(build.text).si("dimple.edge_radius") == found.radius


def test_a_word_and_its_radius_are_one_knife():
    typed = garden().change({"dimple.edge_radius": "0.05 mm"})
    assert curve(garden().change({"dimple.edge_radius": "tumbled"})).results == curve(typed).results


def test_a_word_that_is_no_finish_is_told_the_finishes():
    with pytest.raises(
        BuildError, match=r'or "as drilled" or "polished" or "tumbled" or "worn in"; did you mean tumbled'
    ):
        garden().change({"dimple.edge_radius": "tumbld"})


def test_fresh_and_worn_in_differ_where_the_ball_leaves_over_the_outer_edge():
    """Fed deep, the ball leaves over the broken edge; fed little, over the inner one, which no finish rounds."""

    def breakout(feed, word):
        build = garden().change({"dimple.rim_feed": feed, "dimple.edge_radius": word})
        return curve(build).results["breakout_force"]

    assert breakout("0.13 mm", "as drilled") != pytest.approx(breakout("0.13 mm", "worn in"), rel=0.02)
    assert breakout("0.03 mm", "as drilled") == pytest.approx(breakout("0.03 mm", "worn in"), rel=1e-9)
