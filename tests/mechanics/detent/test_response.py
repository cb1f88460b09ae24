"""Results by their definitions: feed of the second drill, over-close, weak and ordinary preload."""

import numpy as np
import pytest
from helpers.records import BALL, CONE_118, NO_53, NO_54, demo, dig, one_drill, values
from helpers.walked import bench, highest, mouth, slide
from scipy.optimize import minimize_scalar

from detentsim.mechanics.record import full
from detentsim.mechanics.response import respond

MU = 0.12
RHO = 8e-3
LAMBDA = np.arctan(MU)


# --- the second drill -------------------------------------------------------------------------------------------


def test_feeding_the_second_drill_lowers_breakout_then_raises_it_steeply_then_changes_nothing():
    feed = np.linspace(0, 0.2e-3, 401)
    torque = respond(demo(rim_feed=feed, edge_radius=0)).results["breakout_torque"]
    low = int(np.argmin(torque))
    seated = (BALL - np.sqrt(BALL**2 - NO_53**2)) - (BALL - np.sqrt(BALL**2 - NO_54**2))  # by hand: 0.1340 mm
    assert seated == pytest.approx(0.1340e-3, abs=5e-8)
    assert np.all(np.diff(torque[: low + 1]) < 0)
    assert 0.90 < torque[low] / torque[0] < 0.98
    rise = slice(low, np.searchsorted(feed, seated))
    assert np.all(np.diff(torque[rise]) > 0)
    after = torque[feed > seated]
    np.testing.assert_allclose(after, after[0], rtol=1e-9)
    assert after[0] > 1.6 * torque[0]
    steepest = np.max(np.diff(torque)) / (feed[1] - feed[0])
    assert steepest > 20 * (torque[0] - torque[low]) / feed[low]


def test_lowering_follows_the_deeper_seat_alone():
    # Same inner edge, same angle: T = rho N tan(psi + lambda) with N smaller by k times the feed.
    feed = np.array([0.0, 0.02e-3, 0.05e-3])
    found = respond(demo(rim_feed=feed, edge_radius=0))
    psi = np.arcsin(NO_54 / BALL)
    b = bench(dig(demo(rim_feed=feed, edge_radius=0), 0))
    push = b.stiffness * (b.reach - (BALL - np.sqrt(BALL**2 - NO_54**2)) - feed)
    np.testing.assert_allclose(found.results["breakout_torque"], RHO * push * np.tan(psi + LAMBDA), rtol=1e-9)


@pytest.mark.parametrize("edge", [0.0, 0.005e-3, 0.02e-3, 0.05e-3])
def test_loose_ball_height_falls_with_feed_until_the_ball_sits_in_the_second_cut(edge):
    feed = np.linspace(0, 0.25e-3, 501)
    results = respond(demo(rim_feed=feed, edge_radius=edge)).results
    height = results["loose_ball_height"]
    # Rounded edge on a wall: ball and edge touch as two circles do.
    deepest = BALL - (np.sqrt((BALL + edge) ** 2 - (NO_53 + edge) ** 2) - edge)
    last = deepest - (BALL - np.sqrt(BALL**2 - NO_54**2))
    falling, still = height[feed <= last], height[feed > last]
    assert np.all(np.diff(falling) < 0)
    np.testing.assert_allclose(still, 2 * BALL - deepest, rtol=1e-9)
    np.testing.assert_allclose(height, 2 * BALL - results["seat_depth"], rtol=1e-12)
    done = (NO_53 - NO_54) / CONE_118  # by hand: 0.034 mm
    assert done == pytest.approx(0.0343e-3, abs=1e-7)
    grows = np.diff(results["rim_diameter"]) > 1e-12
    np.testing.assert_array_equal(grows, feed[:-1] < done)
    assert results["rim_diameter"][-1] == pytest.approx(2 * NO_53)


# --- over-close -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("radius", [NO_54, NO_53])
def test_over_close_at_ordinary_preload(radius):
    eps = np.linspace(0, 0.06, 241)
    results = respond(one_drill(radius, edge_radius=0, overclose=eps)).results
    b = bench(one_drill(radius, edge_radius=0, overclose=0))
    psi = np.arcsin(radius / BALL)
    push = b.stiffness * (b.reach - BALL + BALL * np.cos(psi))
    limit = b.give * RHO * push * np.tan(psi - LAMBDA)  # eps_c
    assert push > b.stiffness * BALL * np.sin(psi) * np.sin(2 * psi - 2 * LAMBDA) / 2
    centred = eps <= limit
    assert 40 < np.count_nonzero(centred) < 200
    draw, torque = results["draw_torque"], results["breakout_torque"]
    lateral = results["lateral_stiffness"]
    np.testing.assert_allclose(draw[centred], (lateral * RHO**2 * eps)[centred], rtol=1e-9)
    np.testing.assert_allclose(torque[centred], RHO * push * np.tan(psi + LAMBDA), rtol=1e-9)
    beyond_draw = np.concatenate([[RHO * push * np.tan(psi - LAMBDA)], draw[~centred]])
    beyond_torque = np.concatenate([[torque[0]], torque[~centred]])
    assert np.all(np.diff(beyond_draw) < 0)
    assert np.all(np.diff(beyond_torque) < 0)


def test_over_close_at_weak_preload_draws_harder_at_first():
    for bend, rises in ((0.68e-3, True), (0.80e-3, False)):
        eps = np.linspace(0, 0.04, 801)
        record = one_drill(edge_radius=0, overclose=eps, bend=bend)
        draw = respond(record).results["draw_torque"]
        b = bench(dig(full(record), 0))
        psi = np.arcsin(NO_54 / BALL)
        push = b.stiffness * (b.reach - BALL + BALL * np.cos(psi))
        weak = push < b.stiffness * BALL * np.sin(psi) * np.sin(2 * psi - 2 * LAMBDA) / 2
        assert weak == rises
        limit = b.give * RHO * push * np.tan(psi - LAMBDA)
        first = draw[eps > limit][:5]
        at_limit = RHO * push * np.tan(psi - LAMBDA)
        assert (first[0] > at_limit) == rises
        assert np.all(np.diff(first) > 0) == rises
        # Along a sharp rim the draw is k rho (Y - R + R cos psi) tan(psi - lambda): its top bounds the sweep's.
        top, best = highest(
            lambda p, b=b: RHO * b.stiffness * (b.reach - BALL + BALL * np.cos(p)) * np.tan(p - LAMBDA), LAMBDA, psi
        )
        assert np.max(draw) <= top * (1 + 1e-9)
        if rises:
            angle = 2 * np.arcsin((NO_54 - BALL * np.sin(best)) / (2 * RHO))
            there = values(one_drill(edge_radius=0, overclose=angle + b.give * top, bend=bend))["draw_torque"]
            # The path is an arc: c_ut = cos(phi/2), a little less than the straight wedge.
            assert there == pytest.approx(top, rel=2e-5)
            assert top > 1.002 * at_limit


# --- weak preload -----------------------------------------------------------------------------------------------


def _curve(b, psi):
    """Universal curve of a sharp rim [N m]."""
    return RHO * b.stiffness * (b.reach - BALL + BALL * np.cos(psi)) * np.tan(psi + LAMBDA)


def test_weak_preload_no_larger_hole_is_stiffer():
    radius = np.linspace(0.56, 0.985, 24) * BALL
    results = respond(
        one_drill(radius, edge_radius=0, overclose=0, bend=0.62e-3, rim_feed=1.2e-3, pilot_depth=1.2e-3)
    ).results
    b = bench(one_drill(edge_radius=0, overclose=0, bend=0.62e-3))
    found = minimize_scalar(lambda psi: -_curve(b, psi), bounds=(0.01, 1.4), method="bounded", options={"xatol": 1e-12})
    psi = np.arcsin(radius / BALL)
    capped = psi < found.x
    assert 4 < np.count_nonzero(capped) < 21
    torque = results["breakout_torque"]
    np.testing.assert_allclose(torque[capped], _curve(b, psi[capped]), rtol=1e-9)
    np.testing.assert_allclose(torque[~capped], -found.fun, rtol=2e-5)  # c_ut = cos(phi/2)


@pytest.mark.parametrize("bend", [0.50e-3, 0.54e-3, 0.58e-3, 0.65e-3, 0.85e-3, 1.0e-3, 1.2e-3, 2.2e-3])
def test_interior_maximum_is_found_just_where_the_condition_says(bend):
    record = one_drill(edge_radius=0, overclose=0, bend=bend, lateral_compliance=0)
    b, results = bench(record), values(record)
    psi = np.arcsin(NO_54 / BALL)
    interior = results["preload"] < b.stiffness * BALL * np.sin(psi) * np.sin(2 * psi + 2 * LAMBDA) / 2
    assert interior == (bend < 0.6e-3)
    found = minimize_scalar(lambda p: -_curve(b, p), bounds=(0.0, psi), method="bounded", options={"xatol": 1e-12})
    if interior:
        assert found.x < 0.99 * psi
        # The path is an arc, not a line: c_ut = cos(phi/2).
        assert results["breakout_torque"] == pytest.approx(-found.fun, rel=2e-5)
        exact, _ = highest(lambda x: slide(b, x, +1)[0], 1e-12, mouth(b))
        assert results["breakout_torque"] == pytest.approx(exact, rel=1e-9)
        phi = 2 * np.arcsin((NO_54 - BALL * np.sin(found.x)) / (2 * RHO))
        assert results["breakout_angle"] == pytest.approx(phi, rel=5e-3)
    else:
        assert results["breakout_torque"] == pytest.approx(_curve(b, psi), rel=1e-12)
        assert results["breakout_angle"] == 0.0
