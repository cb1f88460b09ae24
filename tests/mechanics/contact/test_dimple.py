"""The dimple against a brute-force dilation of its sampled surface, built here without the module's formulas.

The surface comes from the drills as cut: two convex outlines (a wall over a cone). The broken edge is the
morphological opening of the outermost cut's metal by a disc, found from point-to-outline distances; a cruder
opening on a grid checks that construction. The dilation takes the highest sphere over dense samples of
every stretch, refined around the best sample; each stretch has one best point, so the refinement is safe.
"""

import numpy as np
import pytest
from helpers.dilation import INCH, TAN_59, dilated, drilled, opened_on_a_grid, random_designs, random_drills, together

from detentsim.mechanics.contact import dimple, envelope

NANOMETRE = 1e-9  # the promise is 1e-6 mm


# --- the oracle ---------------------------------------------------------------------------------------------


def random_offsets(seed, shape, reach=1.05):
    """Offsets from the axis to a little past where the flat begins, shape (designs, 20)."""
    share = np.random.default_rng(seed).uniform(0, reach, (shape.start.shape[0], 20))
    share[:, 0] = 0
    return share * np.maximum(shape.start[:, -1:], 0.1e-3)


# --- the oracle itself --------------------------------------------------------------------------------------


@pytest.mark.parametrize("depth", [0.3e-3, 0.03e-3, 0.004e-3])  # wall deeper than the disc; less; tangent to the cone
def test_oracle_agrees_with_opening_on_a_grid(depth):
    edge, ball, step = 50e-6, INCH / 32, 0.25e-6
    design = drilled(0.6e-3, pilot_depth=depth, edge_radius=edge)
    r = np.arange(-1.2e-3, 1.2e-3, step)
    height = np.where(np.abs(r) < 0.6e-3, -depth - (0.6e-3 - np.abs(r)) / TAN_59, 0.0)
    s = np.linspace(0.1e-3, 0.5e-3, 9)
    grid = opened_on_a_grid(r, height, edge, ball, s)
    # A grid of this step puts the wall up to one step off; the slope here stays under 45 deg.
    np.testing.assert_allclose(grid, dilated(design, s), rtol=0, atol=step)


def test_oracle_gives_the_sharp_hole_exactly():
    s = np.linspace(0, 0.69e-3, 40)
    exact = np.sqrt((INCH / 32) ** 2 - (0.7e-3 - s) ** 2)
    np.testing.assert_allclose(dilated(drilled(0.7e-3), s), exact, rtol=0, atol=1e-15)


# --- by hand ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("hole", "depth", "angle"), [(0.0550, 0.016407, 61.64), (0.0595, 0.021684, 72.18)])
def test_sharp_hole_by_hand(hole, depth, angle):
    shape = envelope.pieces(drilled(hole * INCH / 2))
    assert float(dimple.seat_depth(shape)) / INCH == pytest.approx(depth, abs=5e-7)
    slope = dimple.ball_height(shape, [0.0])[1][0]
    assert np.degrees(np.arctan(slope)) == pytest.approx(angle, abs=5e-3)
    radius = INCH / 32
    exact = radius - np.sqrt(radius**2 - (hole * INCH / 2) ** 2)
    assert float(dimple.seat_depth(shape)) == pytest.approx(exact, abs=1e-15)


def test_rim_drill_fed_all_the_way_is_the_larger_hole():
    fed = envelope.pieces(drilled(0.0550 * INCH / 2, 0.0595 * INCH / 2, feed=0.2e-3))
    assert float(dimple.seat_depth(fed)) / INCH == pytest.approx(0.021684, abs=5e-7)
    assert np.degrees(np.arctan(dimple.ball_height(fed, [0.0])[1][0])) == pytest.approx(72.18, abs=5e-3)


def test_rounded_rim_by_hand():
    # Ball on a rounding of centre circle a + r_e: sin(psi) = (a + r_e)/(R + r_e).
    shape = envelope.pieces(drilled(0.6e-3, edge_radius=0.05e-3))
    sine = 0.65e-3 / (INCH / 32 + 0.05e-3)
    height, slope = dimple.ball_height(shape, [0.0])
    assert slope[0] == pytest.approx(sine / np.sqrt(1 - sine**2), rel=1e-12)
    assert height[0] == pytest.approx((INCH / 32 + 0.05e-3) * np.sqrt(1 - sine**2) - 0.05e-3, abs=1e-15)


def test_ball_on_the_floor_cone_by_hand():
    # Two-line contact with a cone of half angle 59 deg: centre stands R/sin(59 deg) over the cone's tip.
    shape = envelope.pieces(drilled(0.7e-3, pilot_depth=0.1e-3))
    tip = 0.1e-3 + 0.7e-3 / TAN_59
    assert bool(dimple.rests_on_floor(shape))
    seat = INCH / 32 - (INCH / 32 / np.sin(np.radians(59.0)) - tip)
    assert float(dimple.seat_depth(shape)) == pytest.approx(seat, abs=1e-15)


def test_a_sharp_rim_has_one_curve_whatever_the_hole():
    # c is a function of slope alone, c = R cos(psi): hole size only caps the slope.
    for hole in (0.4e-3, 0.6e-3, 0.75e-3):
        shape = envelope.pieces(drilled(hole))
        height, slope = dimple.ball_height(shape, np.linspace(0, hole, 50))
        np.testing.assert_allclose(height, INCH / 32 / np.sqrt(1 + slope**2), rtol=1e-12)
        assert slope[0] == pytest.approx(hole / np.sqrt((INCH / 32) ** 2 - hole**2), rel=1e-12)


# --- against the dilation -----------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_heights_and_slopes_of_random_dimples(seed):
    designs = random_designs(seed, 250)
    shape = envelope.pieces(together(designs))
    offsets = random_offsets(seed, shape)
    height, slope = dimple.ball_height(shape, offsets)
    little = 1e-8  # so short that no random offset has a corner within it
    moved = np.concatenate([offsets, offsets + little, offsets - little], axis=1)
    wanted = np.array([dilated(*pair) for pair in zip(designs, moved, strict=True)])
    expected, ahead, behind = np.split(wanted, 3, axis=1)
    np.testing.assert_allclose(height, expected, rtol=0, atol=NANOMETRE)
    expected = (ahead - behind)[:, 1:] / (2 * little)
    # The truncation error little^2 c'''/6 grows with the slope as (1 + slope^2)^(5/2).
    error = np.abs(slope[:, 1:] - expected) / (1 + expected**2) ** 2.5
    assert error.max() < 1e-7


def test_feed_past_the_ball_radius_keeps_the_ball_on_the_rim():
    # Sharp #53 rim drill fed far deeper than needed: still the plain #53 hole.
    for feed in (0.3e-3, 0.8e-3, 1.5e-3):
        shape = envelope.pieces(drilled(0.0550 * INCH / 2, 0.0595 * INCH / 2, feed))
        assert float(dimple.seat_depth(shape)) / INCH == pytest.approx(0.021684, abs=5e-7)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [4])
def test_rounding_that_reaches_the_floor(seed):
    """Pilots shallower than the edge radius: the rounding cuts into the drill point."""
    rng = np.random.default_rng(seed)
    for number in range(120):
        start = random_drills(rng, number)
        edge = rng.uniform(0.05e-3, 0.3e-3)
        depth = edge * rng.uniform(0.02, 0.9)
        design = start._replace(edge_radius=np.asarray(edge), pilot_depth=np.asarray(depth))
        if start.rim_radius == start.pilot_radius:
            design = design._replace(rim_feed=np.asarray(depth))
        shape = envelope.pieces(design)
        s = rng.uniform(0, 1.05, 20) * float(shape.start[-1])
        # A steeper second drill's rounded point through such a floor is the one corner the model leaves out.
        if design.rim_tangent < design.pilot_tangent and start.rim_radius > start.pilot_radius:
            continue
        np.testing.assert_allclose(dimple.ball_height(shape, s)[0], dilated(design, s), rtol=0, atol=NANOMETRE)


@pytest.mark.slow
def test_floor_verdict_of_random_dimples():
    checked = 0
    for design in random_designs(5, 300):
        deep = design._replace(pilot_depth=np.asarray(5e-3))  # the same dimple without a floor in reach
        if design.rim_radius == design.pilot_radius or design.rim_feed >= design.pilot_depth:
            continue
        raised = dilated(design, np.zeros(1))[0] - dilated(deep, np.zeros(1))[0]
        verdict = bool(dimple.rests_on_floor(envelope.pieces(design)))
        assert verdict == (raised > 0)
        checked += 1
    assert checked > 100


# --- what every dimple keeps to -----------------------------------------------------------------------------


def test_height_never_falls_outward_and_ends_at_the_ball_radius():
    shape = envelope.pieces(together(random_designs(6, 400)))
    offsets = np.linspace(0, 1.2, 400) * np.maximum(shape.start[:, -1:], 1e-4)
    height, slope = dimple.ball_height(shape, offsets)
    assert np.diff(height, axis=-1).min() > -1e-15
    flat = offsets >= shape.start[:, -1:]
    assert flat.any(axis=-1).all()
    assert np.all(height[flat] == np.broadcast_to(shape.ball, height.shape)[flat])
    assert np.all(slope[flat] == 0)
    assert np.all(height <= shape.ball * (1 + 1e-15))


def test_height_at_a_hand_over_lies_between_its_sides():
    shape = envelope.pieces(together(random_designs(6, 400)))
    before, at, after = (dimple.ball_height(shape, shape.start + move)[0] for move in (-1e-12, 0.0, 1e-12))
    inside = shape.start > 0
    assert np.all((at >= before - NANOMETRE)[inside])
    assert np.all((at <= after + NANOMETRE)[inside])


def test_both_sides_of_the_axis_are_alike():
    shape = envelope.pieces(together(random_designs(6, 50)))
    offsets = random_offsets(6, shape)
    for left, right in zip(dimple.ball_height(shape, -offsets), dimple.ball_height(shape, offsets), strict=True):
        np.testing.assert_array_equal(left, right)


def test_pieces_start_in_order_at_the_axis():
    start = envelope.pieces(together(random_designs(7, 400))).start
    assert np.all(start[:, 0] == 0)
    assert np.all(np.diff(start, axis=-1) >= 0)


@pytest.mark.slow
def test_many_designs_at_once_equal_single_calls():
    designs = random_designs(8, 100)
    shape = envelope.pieces(together(designs))
    offsets = random_offsets(8, shape)
    height, slope = dimple.ball_height(shape, offsets)
    depth = 0.3 * dimple.seat_depth(shape)
    back = dimple.offset_at_depth(shape, depth)
    for i, design in enumerate(designs):
        one = envelope.pieces(design)
        for many, single in zip((height[i], slope[i]), dimple.ball_height(one, offsets[i]), strict=True):
            np.testing.assert_array_equal(many, single)
        assert dimple.seat_depth(one) == dimple.seat_depth(shape)[i]
        assert dimple.rests_on_floor(one) == dimple.rests_on_floor(shape)[i]
        assert dimple.offset_at_depth(one, depth[i]) == back[i]


def test_offset_at_depth_inverts_the_height():
    designs = random_designs(9, 400)
    shape = envelope.pieces(together(designs))
    seat, ball = dimple.seat_depth(shape), shape.ball[:, 0]
    for share in (0.02, 0.3, 0.7, 0.999):
        depth = share * seat
        offset = dimple.offset_at_depth(shape, depth)
        around = offset[:, None] * [1 - 1e-9, 1 + 1e-9] + [-1e-13, 1e-13]
        inner, outer = (ball[:, None] - dimple.ball_height(shape, around)[0]).T
        # A ball that leaves the floor along a wall jumps past the depth asked: the offset of the jump then.
        jump = (inner > depth + NANOMETRE) & (outer < depth - NANOMETRE)
        near = np.minimum(np.abs(inner - depth), np.abs(outer - depth))
        assert near[~jump].max() < NANOMETRE
        assert jump.mean() < 0.1
    assert np.all(dimple.offset_at_depth(shape, 1.01 * seat) == 0)


# --- at the bench -------------------------------------------------------------------------------------------


def fed(feed, **changes):
    """#54 pilot, #53 rim drill, 1/16 in ball, 118 deg points."""
    one = drilled(0.0550 * INCH / 2, 0.0595 * INCH / 2, 0.0, **changes)
    return envelope.pieces(one._replace(rim_feed=np.asarray(feed, float)))


def test_loose_ball_keeps_falling_after_the_visible_rim_is_done():
    # Common practice, no source; the two feeds by hand: rim done at (0.0595 - 0.0550)/2 in / tan(59 deg),
    # height until the outer rim carries: 0.021684 - 0.016407 in, the difference of the two sharp seats.
    visible = (0.0595 - 0.0550) / 2 * INCH / TAN_59
    assert visible == pytest.approx(0.034e-3, abs=0.5e-6)
    mouth = fed(np.array([0.5, 0.999, 1.001, 2.0]) * visible).start[:, -1]
    np.testing.assert_allclose(mouth[1:], [mouth[2] - 0.001 * visible * TAN_59, mouth[2], mouth[2]], rtol=1e-12)
    assert mouth[0] < mouth[1]
    until = (0.021684 - 0.016407) * INCH
    assert until == pytest.approx(0.134e-3, abs=0.5e-6)
    feed = np.linspace(0, 0.2e-3, 401)
    height = INCH / 16 - dimple.seat_depth(fed(feed))
    falling = feed[1:] < until - 1e-8
    # Until then the pilot's edge, carried down by the feed, holds the ball: it falls by what is fed.
    np.testing.assert_allclose(np.diff(height)[falling], -np.diff(feed)[falling], rtol=1e-9)
    assert np.ptp(height[feed > until + 1e-8]) < 1e-15


@pytest.mark.slow
def test_feeding_never_makes_the_seat_shallower():
    feed = np.linspace(0, 0.9e-3, 121)
    for design in random_designs(10, 150):
        if design.rim_radius == design.pilot_radius:
            continue
        seat = dimple.seat_depth(envelope.pieces(design._replace(rim_feed=feed)))
        assert np.diff(seat).min() > -1e-15


def test_second_drill_of_the_same_size_fed_to_the_same_depth_changes_nothing():
    for edge in (0.0, 0.03e-3):
        one = drilled(0.7e-3, pilot_depth=0.25e-3, edge_radius=edge)
        assert float(one.rim_feed) == 0.25e-3
        deeper = one._replace(pilot_depth=np.asarray(0.25e-3 + 1e-12))
        s = np.linspace(0, 0.8e-3, 60)
        for mine, other in zip(*(dimple.ball_height(envelope.pieces(d), s) for d in (one, deeper)), strict=True):
            np.testing.assert_allclose(mine, other, rtol=0, atol=1e-8)
