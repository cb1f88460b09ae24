"""Elastic rim along the ball's path: limits, slopes, energy, crests; compared with finite elements in validation/."""

import numpy as np
import pytest
from helpers.pressed_balls import MM, across, path, solved
from helpers.records import demo, dig, one_drill
from helpers.scattered import scatter
from numpy.polynomial import legendre

from detentsim.mechanics.contact import dimple, rim
from detentsim.mechanics.contact.bedding import pressing
from detentsim.mechanics.detent import balance, bar_spring
from detentsim.mechanics.path import contact_at, segment_rows, segments
from detentsim.mechanics.response import respond

BALL, HOLE, EDGE = 0.8, 0.72, 0.03


def test_an_endless_modulus_is_a_rigid_rim():
    offsets = np.array([0.0, 0.001, 0.01, 0.1, 0.5])
    rigid = across(solved(BALL, HOLE, EDGE, 15.0, 0.12, elastic=False), offsets)
    for modulus, close in ((210e15, 2e-3), (210e21, 2e-7)):
        hard = across(solved(BALL, HOLE, EDGE, 15.0, 0.12, moduli=(modulus, modulus)), offsets)
        np.testing.assert_allclose(hard[1:], rigid[1:], rtol=close)


def test_beside_elastic_rims_a_rigid_one_stays_rigid():
    record = scatter(600, 4, elastic=True)
    together, alone = respond(record), respond(record._replace(elastic_rim=np.asarray(0.0)))
    for name, value in together.results.items():
        rigid = alone.results[name][::2]
        np.testing.assert_allclose(value[::2], rigid, rtol=1e-9, atol=1e-11 * np.nanmedian(np.abs(rigid)), err_msg=name)
    changed = ~np.isclose(together.results["breakout_torque"], alone.results["breakout_torque"], rtol=1e-6)
    assert changed[1::2].mean() > 0.3


def test_slopes_are_those_of_torque_and_push():
    for friction, error, travel in ((0.12, 0.0, 0.0), (0.3, 0.0, 0.3), (0.05, 0.05 * MM, 0.0), (0.0, 0.0, 0.0)):
        record = demo(friction=friction, radial_error=error, travel_angle=travel, elastic_rim=1)
        load = segments.flatten(bar_spring.solve(record), ())
        ways = segments.cut(load, np.zeros(1), np.full(1, 0.99 * segments.mouth_angle(load)))
        angles = segments.points(ways, np.concatenate([np.geomspace(1e-5, 0.3, 40), np.linspace(0.3, 0.999, 20)[1:]]))
        step = 1e-4 * angles.clip(1e-9, 1e-2)
        for opening in (True, False):
            _, slope = contact_at.climb(ways, angles, opening=opening)
            ahead, behind = (segments.torque(ways, angles + way, opening=opening) for way in (step, -step))
            scale = np.abs(slope).max(axis=0)
            # Where two edges begin to share the load the slope has a kink.
            within = (angles - step > ways.left) & (angles + step < ways.right)
            off = np.abs(slope - (ahead - behind) / (2 * step)) / scale
            assert np.all(off[within] < 2e-6)
            assert within.mean() > 0.6


@pytest.mark.parametrize(
    "case", [(0.8, 0.72, 0.03, 15.0, 10e3), (0.6, 0.54, 0.01, 40.0, 20e3), (0.8, 0.64, 0.1, 8.0, 10e3)]
)
def test_a_pass_without_friction_costs_what_bar_and_contact_store(case):
    """Work from the seat to the flat against the spring's energy and the contact's.

    What the contact stores at an offset is the work of pressing the ball in there. Lean and dent are fitted one by one,
    so that the two sides need not agree by themselves.
    """
    *sizes, stiffness = case
    load = solved(*sizes, 0.0, stiffness=stiffness)
    mouth = float(load.shape.start[..., -1]) / MM * (1 - 1e-7)
    nodes, weights = legendre.leggauss(40)
    shares = ((1 + nodes) / 2) ** 2
    work = 0.0
    for way in (segment_rows.select(path(load, mouth), np.full(40, row)) for row in range(path(load, mouth).left.size)):
        wide = way.right - way.left
        work += np.sum(weights * np.sqrt(shares) * wide * segments.torque(way, way.left + wide * shares, opening=True))
    (seated, before), (riding, after) = (_pressed_in(load, sizes[0], place) for place in (1e-6, mouth))
    assert 3e-3 < (after - before) / work < 2e-2
    assert work == pytest.approx((riding**2 - seated**2) / (2 * stiffness) + after - before, rel=1e-3)


def _pressed_in(load, ball, offset):
    """Push of the bar [N] at an offset [mm], and work of pressing the ball in there by it [J]."""
    ways, angle = path(load, max(offset, 0.1)), np.full(1, 2 * np.arcsin(offset * MM / 2))
    way = segment_rows.select(ways, np.minimum(np.searchsorted(ways.right, angle), ways.right.size - 1))
    touch = contact_at.contact(way, angle)
    push = float(contact_at.on_rim(way, touch, opening=True).push[0])
    growing = push * np.linspace(0, 1, 1001) ** 3
    wide = pressing.spread(way.at, touch._replace(push=growing), np.zeros(()), None)
    return push, np.trapezoid(growing, ball * MM * wide.sunk)


def test_the_crest_is_the_highest_of_a_dense_path():
    record = scatter(120, 8, elastic=True)._replace(elastic_rim=np.ones(120), overclose=np.zeros(120))
    response = respond(record)
    checked = 0
    for i in range(120):
        one = dig(record, i)
        load = segments.flatten(bar_spring.solve(one), ())
        top = float(response.results["breakout_torque"][i])
        if np.isnan(top):
            continue
        start = np.full(1, response.rest.phi[i])
        ways = segments.cut(load, start, np.maximum(segments.mouth_angle(load), start))
        dense = segments.torque(ways, segments.points(ways, np.linspace(0, 1, 4001) ** 3), opening=True).max()
        assert max(dense, float(response.rest.stick[i])) == pytest.approx(top, rel=2e-6, abs=1e-9)
        checked += 1
    assert checked > 40


def test_a_centred_ball_rests_without_pushing_the_blade_open():
    """Without over-close it presses nothing; with more, what the rigid rim's does but for the rim's own give."""
    record = one_drill(0.72 * MM, ball_radius=0.8 * MM, protrusion=0.7 * MM, elastic_rim=1, overclose=0.0)
    rest = respond(record)
    assert (float(rest.results["draw_torque"]), float(rest.rest.phi)) == (0.0, 0.0)
    closed = np.linspace(0, 0.02, 41)
    draws = [
        respond(record._replace(overclose=closed, elastic_rim=np.asarray(e))).results["draw_torque"] for e in (0.0, 1.0)
    ]
    assert np.all(draws[1] >= 0)
    assert np.all(np.abs(np.diff(draws[1])) < 1.5 * np.abs(np.diff(draws[0])).max())
    np.testing.assert_allclose(draws[1][20:], draws[0][20:], rtol=0.2)


@pytest.mark.slow
def test_a_blade_snaps_where_its_angle_falls_on_a_dense_path():
    count = 400
    give = np.random.default_rng(1).uniform(1e-7, 1e-5, count)
    record = scatter(count, 5)._replace(elastic_rim=np.ones(count), lateral_compliance=give)
    response = respond(record)
    snaps = 0
    for i in np.flatnonzero(~response.flags["locks_solid"]):
        load = segments.flatten(bar_spring.solve(dig(record, i)), ())
        start = np.full(1, response.rest.phi[i])
        ways = segments.cut(load, start, np.maximum(segments.mouth_angle(load), start))
        angle = segments.opening_angle(ways, segments.points(ways, np.linspace(0, 1, 4001) ** 2))
        falls = np.any(np.diff(angle, axis=0) < -1e-14) or np.any(angle[0, 1:] < angle[-1, :-1] - 1e-6)
        assert falls == response.flags["snaps"][i]
        snaps += falls
    assert snaps > 10


@pytest.mark.parametrize("force", [4.0, 40.0])
def test_the_push_is_measured_where_the_ball_has_sunk_into_the_flat(force):
    """Hertz's approach of a ball on a plane there, against the overlap round the seat, times the bar's stiffness."""
    stiffness, sizes = 20e3, (BALL, HOLE, EDGE)
    load = solved(*sizes, force, 0.0, stiffness=stiffness)
    riding = float(balance.tang_force(load.spring, 0.0))
    modulus = 210e9 / 2 / (1 - 0.3**2)
    on_flat = (9 * riding**2 / (16 * BALL * MM * modulus**2)) ** (1 / 3)  # K. L. Johnson, Contact Mechanics, eq. 4.23
    assert float(load.spring.flat) / stiffness == pytest.approx(on_flat, rel=1e-9)
    seated = _pressed_in(load, BALL, 1e-6)[0]
    edge = bar_spring.edge_at(load.record, load.shape, dimple.piece_at(load.shape, np.zeros(1))[0])
    normal = force / np.sqrt(1 - float(edge.sine) ** 2)
    foundation = float(rim.line_stiffness(edge, (2 * modulus, 2 * modulus), force))
    in_seat = normal / (2 * np.pi * BALL * MM * float(edge.sine) * foundation) / np.sqrt(1 - float(edge.sine) ** 2)
    assert seated - force == pytest.approx(stiffness * (on_flat - in_seat), abs=2e-3 * force)
