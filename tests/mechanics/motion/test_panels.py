"""Resistance over blade angle in panels: one polynomial each, no gaps, the torque of the curve, the work done."""

import numpy as np
import pytest
from helpers import ways
from helpers.records import demo, dig
from helpers.scattered import scatter

from detentsim.mechanics.detent import balance, bar_spring
from detentsim.mechanics.motion import chebyshev, in_motion, panels, pivot, resistance
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import last_axis
from detentsim.mechanics.response import respond, starts

MANY = 300


@pytest.fixture(scope="module")
def laid():
    """Designs with a way out, and their ways both ways, from the breakout."""
    record = scatter(MANY, 71)
    response = respond(record)
    start = starts(response)
    rows = np.flatnonzero(np.isfinite(start.force) & np.isfinite(start.angle))
    some = in_motion.chosen(start, rows)
    out = panels.opening(some.load, some.phi, some.angle)
    back = panels.closing(some.load, some.phi, np.full(rows.size, 1.5), some.rest)
    assert rows.size > 150
    assert {bool(flag) for flag in response.flags["snaps"][rows]} == {True, False}
    return record, rows, some, out, back


# One polynomial


@pytest.mark.parametrize("degree", range(17))
def test_values_slopes_and_areas_of_polynomials_are_exact(degree):
    rng = np.random.default_rng(degree)
    poly = np.polynomial.Chebyshev(rng.uniform(-1, 1, degree + 1), domain=[0, 1])
    values = poly(chebyshev.POINTS)
    at = np.concatenate([rng.uniform(0, 1, 40), chebyshev.POINTS, [0.0, 1.0, 1e-9, 1 - 1e-9]])
    np.testing.assert_allclose(chebyshev.shares(values, at), poly(at), atol=3e-14)
    np.testing.assert_allclose(chebyshev.slope(values), poly.deriv()(chebyshev.POINTS), atol=2e-12 * (1 + degree**2))
    np.testing.assert_allclose(values @ chebyshev.AREA, poly.integ(lbnd=0)(chebyshev.POINTS), atol=1e-14)


def test_values_at_the_points_are_the_values_given():
    values = np.random.default_rng(1).normal(size=(3, 2, 17))
    np.testing.assert_array_equal(chebyshev.shares(values, chebyshev.POINTS), values)
    np.testing.assert_allclose(chebyshev.weights(np.linspace(0, 1, 99)).sum(axis=1), 1, rtol=1e-13)


# Legs


def test_legs_join_without_gaps_and_never_turn_back(laid):
    record, rows, some, out, back = laid
    for way, sense in ((out, 1), (back, -1)):
        np.testing.assert_allclose(way.theta[:, 1:, 0], way.theta[:, :-1, -1], rtol=0, atol=1e-12)
        assert np.min(sense * np.diff(way.theta, axis=2)) > -1e-12
    np.testing.assert_allclose(out.theta[:, 0, 0], some.angle, atol=1e-12)
    np.testing.assert_allclose(out.theta[:, -1, -1], record.open_angle[rows], atol=1e-12)
    far = back.theta[:, 0, 0]
    np.testing.assert_allclose(far[far > 0.6], 1.5, atol=1e-12)
    assert np.count_nonzero(far > 0.6) > 100


def test_the_way_shut_ends_at_rest(laid):
    """With the ball in its seat the bar may still give sideways; a proud blade goes no farther than it stands."""
    _, _, some, _, back = laid
    np.testing.assert_allclose(back.theta[:, -1, -1], some.rest, atol=1e-9)


def test_a_rigid_ball_holds_nowhere():
    """Where edges hand over to each other within rounding there is nothing to divide by."""
    record = scatter(3000, 71)._replace(lateral_compliance=np.zeros(3000))
    start = starts(respond(record))
    rows = np.flatnonzero(np.isfinite(start.force))
    some = in_motion.chosen(start, rows)
    for way in (
        panels.opening(some.load, some.phi, some.angle),
        panels.closing(some.load, some.phi, np.full(rows.size, 1.5), some.rest),
    ):
        assert all(np.isfinite(field).all() for field in way)


@pytest.mark.slow
def test_a_leg_feels_what_the_curve_feels(laid):
    """At random shares of every leg, against the curve; only next to locking is a leg no polynomial."""
    record, rows, _, out, back = laid
    rng = np.random.default_rng(72)
    at = rng.uniform(0.02, 0.98, 12)
    missed = []
    for i in rng.permutation(rows.size)[:60]:
        one = respond(dig(record, rows[i]))
        for way, opening in ((out, True), (back, False)):
            if opening:
                table = at_blade_angle.opening_table(one.load, one.rest.phi, one.rest.slip)
            else:
                table = at_blade_angle.closing_table(one.load, one.rest.phi)
            for leg in np.flatnonzero(np.abs(way.theta[i, :, -1] - way.theta[i, :, 0]) > 1e-7):
                theta, found = _sorted(way.theta[i, leg], way.resist[i, leg], at)
                wanted = (1 if opening else -1) * ways.torque(one, table, theta, opening=opening, above=True)
                missed.append(np.max(np.abs(found - wanted)) / np.max(np.abs(way.resist[i])))
    assert len(missed) > 300
    assert np.quantile(missed, 0.9) < 1e-9
    assert np.quantile(missed, 0.98) < 1e-6
    assert max(missed) < 1e-3


def _sorted(theta, resist, at):
    """Angles and torques at shares of a leg, by rising angle."""
    angles, torques = chebyshev.shares(theta, at), chebyshev.shares(resist, at)
    order = np.argsort(angles)
    return angles[order], torques[order]


def test_the_arm_is_the_fingers_until_it_leaves(laid):
    record, rows, _, out, _ = laid
    for i in range(rows.size):
        one = dig(record, rows[i])
        one = type(one)(*(float(field) for field in one))
        leaves = ways.lost_at(one)
        for leg in range(out.theta.shape[1]):
            theta = out.theta[i, leg]
            arms = np.array([ways.arm_at(one, t) for t in theta])
            wanted = arms if theta[-1] <= leaves + 1e-9 else np.zeros(17)
            np.testing.assert_allclose(out.arm[i, leg], wanted, atol=1e-12)
        # On the flat no leg holds a place where the finger leaves; inside the dimple it may leave early.
        mouth = out.theta[i, -2, 0]
        if mouth < leaves < one.open_angle:
            assert np.min(np.abs(out.theta[i, :, -1] - leaves)) < 1e-12


def test_work_of_the_way_is_the_energy_of_the_curve():
    """From rest: what the sticking ball takes by hand, then the legs; above drag it is the breakout energy."""
    record = scatter(400, 73)._replace(
        pivot_torque=np.zeros(400),
        washer_friction=np.zeros(400),
        friction_circle=np.zeros(400),
        blade_mass=np.full(400, np.nan),
    )
    response = respond(record, RESULT_NAMES)
    start = starts(response)
    rows = np.flatnonzero(np.isfinite(start.force) & ~response.flags["bar_on_tang"])
    some = in_motion.chosen(start, rows)
    rest = response.rest
    way = panels.opening(some.load, some.phi, rest.slip[rows])
    done = np.sum(resistance.work(way)[..., -1], axis=1)
    done += response.load.spring.twist_give[rows] * (rest.stick[rows] ** 2 - rest.start[rows] ** 2) / 2
    results = {name: response.results[name][rows] for name in ("breakout_energy", "drag_torque", "rest_angle")}
    wanted = results["breakout_energy"] + results["drag_torque"] * (way.theta[:, -1, -1] - results["rest_angle"])
    rigid = response.load.spring.twist_give[rows] == 0
    assert 20 < np.count_nonzero(rigid) < rows.size - 20
    costs = results["breakout_energy"] > 0  # where leaving costs no more than drag, the work is 0 and the way less
    assert np.count_nonzero(~costs) < rows.size / 10
    np.testing.assert_allclose(done[costs], wanted[costs], rtol=1e-6, atol=1e-9)
    assert np.all(done[~costs] <= wanted[~costs] + 1e-9)


def test_the_floor_is_drag_pivot_and_weight_alone(laid):
    record, rows, some, out, _ = laid
    found = panels.floor(some.load, out.theta)
    np.testing.assert_allclose(found[:, -1], out.resist[:, -1], rtol=1e-12)
    i = int(np.argmax(out.theta[:, 0, 0] > 0))
    one = last_axis(dig(record, rows[i]))
    theta = out.theta[i, 0]
    load = bar_spring.solve(dig(record, rows[i]))
    riding = balance.ball_force(load.spring, 0.0)
    wanted = balance.drag(load, opening=True) + pivot.pivot_torque(one, riding) - pivot.gravity_torque(one, theta)
    np.testing.assert_allclose(found[i, 0], wanted, rtol=1e-9)


def test_a_finger_leaves_where_told_or_where_its_push_runs_through_the_pivot():
    told = demo(leaves_at=0.4, push_angle=0.2)
    assert float(panels.finger_leaves(told)) == pytest.approx(0.4)
    free = demo(leaves_at=np.nan, push_angle=0.2)
    assert float(panels.finger_leaves(free)) == pytest.approx(0.2 + np.pi / 2)
    assert float(panels.finger_leaves(demo(leaves_at=3.0, push_angle=0.2))) == pytest.approx(0.2 + np.pi / 2)
    assert np.isposinf(panels.finger_leaves(demo(leaves_at=np.nan, push_angle=0.2, push_follows=1)))
    assert np.isneginf(panels.finger_leaves(demo(leaves_at=np.nan, push_angle=2.0, push_follows=1)))
