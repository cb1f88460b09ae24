"""Two edges that share the ball's load: share, place and continuity; the elastic solution is in validation/."""

import numpy as np
import pytest
from helpers.pressed_balls import MM, across, path, solved
from helpers.scattered import scatter
from scipy.optimize import brentq

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.contact.bedding.sharing import LEADS
from detentsim.mechanics.detent import bar_spring
from detentsim.mechanics.path import segment_rows, segments

# Ball, pilot and edge radius; second drill and its feed [mm].
SIZES, SECOND = (0.79375, 0.6985, 0.02), (0.7557, 0.07)


def load(force=15.0, friction=0.12, **changes):
    return solved(*SIZES, force, friction, second=SECOND, inner=0.004, **changes)


def test_share_of_two_edges_whose_load_grows_as_approach_to_three_halves():
    for lead in np.linspace(0, 1, 21):
        dent = brentq(lambda x, lead=lead: x**1.5 + max(x - lead, 0) ** 1.5 - 1, 0.5, 1.0)
        share = 0.5 + sum(part * lead**power for part, power in zip(LEADS, (1, 3, 5), strict=True))
        assert share == pytest.approx(dent**1.5, abs=0.013)


def test_hand_over_is_where_the_envelope_has_its_corner():
    """Slope of the ball's height to both sides, by differences."""
    shape = load().shape
    meet, turn, before, after, inner, outer = dimple.hand_over(shape)
    heights = dimple.ball_height(shape, meet + np.array([-2e-8, -1e-8, 0, 1e-8, 2e-8]))[0]
    slopes = np.diff(heights) / 1e-8
    np.testing.assert_allclose(slopes[[1, 2]], [before, after], rtol=1e-3)
    assert turn == pytest.approx(np.arctan(after) - np.arctan(before))
    assert (before < after, inner, outer) == (True, dimple.PIECE.inner_edge, dimple.PIECE.rounding)


def test_one_drill_hands_the_ball_to_no_other_edge():
    assert not dimple.hand_over(solved(*SIZES, 15.0, 0.12).shape).any()


def test_the_force_runs_on_where_one_edge_takes_over():
    """On a rigid rim it jumps there."""
    for elastic in (False, True):
        one = load(elastic=elastic)
        meet = float(one.shape.meet[0]) / MM
        before, after = across(one, meet + np.array([-1e-7, 1e-7]))
        assert bool(abs(after / before - 1) < 1e-4) is elastic
        assert elastic or after / before > 1.2


def test_a_hard_rim_hands_over_at_once():
    """The way on which both carry goes with approach, as modulus to the power of -2/3 but for a logarithm."""
    ways = [float(one.spring.alone - one.shape.meet[0]) for one in (load(), load(moduli=(210e12, 210e12)))]
    assert 1 < ways[1] / ways[0] * 1000 ** (2 / 3) < 1.4
    assert 0.005 < ways[0] / MM < 0.04


def test_torque_runs_on_at_every_hand_over():
    count = 400
    record = scatter(count, 5)._replace(elastic_rim=np.ones(count))
    every = segments.flatten(bar_spring.solve(record), (count,))
    ways = segments.cut(every, np.zeros(count), segments.mouth_angle(every))
    hands = np.flatnonzero((ways.design[1:] == ways.design[:-1]) & (ways.at.kink[1:] * ways.at.kink[:-1] < 0))
    assert hands.size > 50
    for opening in (True, False):
        inner, outer = segment_rows.select(ways, hands), segment_rows.select(ways, hands + 1)
        ends = [segments.torque(part, inner.right, opening=opening) for part in (inner, outer)]
        kept = np.isfinite(ends[0]) & np.isfinite(ends[1])
        np.testing.assert_allclose(ends[0][kept], ends[1][kept], rtol=1e-9)


def test_nothing_jumps_where_the_ball_comes_to_sit_on_the_outer_edge():
    """The second drill goes in deeper, until the outer edge takes the centred ball over from the inner one."""

    def drilled(feed):
        return solved(*SIZES, 9.5, 0.12, second=(SECOND[0], feed), inner=0.004)

    passes = brentq(lambda feed: drilled(feed).shape.meet[0] / MM, 0.1488, 0.1508, xtol=1e-12)
    before, after = (drilled(passes + way) for way in (-1e-7, 1e-7))
    seats = [int(dimple.piece_at(one.shape, np.zeros(1))[0]) for one in (before, after)]
    assert seats == [dimple.PIECE.inner_edge, dimple.PIECE.rounding]
    offsets = [1e-4, 0.0005, 0.001, 0.002, 0.004, 0.02]
    np.testing.assert_allclose(across(after, offsets), across(before, offsets), rtol=1e-3)
    for name in ("bed", "shared", "alone"):
        np.testing.assert_allclose(getattr(after.spring, name), getattr(before.spring, name), rtol=1e-3)
    # Each edge alone would give otherwise.
    far = [float(drilled(passes + way).spring.bed) for way in (-0.01, 0.01)]
    assert min(far) < float(after.spring.bed) < max(far)
    assert max(far) / min(far) > 1.02


def test_path_is_cut_where_both_edges_carry():
    one = load()
    ways = path(one, 0.4)
    spare = 1 - float(one.spring.rubs) * 0.12
    places = [float(end - one.shape.meet[0]) / spare for end in (one.spring.shared, one.spring.alone)]
    cuts = 2 * np.sin(ways.left / 2) - float(one.shape.meet[0])
    for place in places:
        assert np.abs(cuts - place).min() < 1e-9
