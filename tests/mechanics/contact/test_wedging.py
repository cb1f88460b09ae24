"""Elastic rim near wedging: slopes, limits, one crest, single equals many; forces are compared in regression/."""

import numpy as np
import pytest
from helpers.pressed_balls import across, path, solved
from helpers.records import demo, dig
from helpers.scattered import scatter

from detentsim.mechanics.contact.bedding import leaning, pressing, wedging
from detentsim.mechanics.detent import bar_spring
from detentsim.mechanics.path import contact_at, segment_rows, segments
from detentsim.mechanics.response import respond

MM = 1e-3
BALL, HOLE, EDGE = 0.6, 0.97 * 0.6, 0.03
OFFSETS = np.concatenate([[0.0, 1e-9, 1e-6], np.geomspace(1e-4, 0.25, 400)])


def friction_for(x, ball=BALL, hole=HOLE, edge=EDGE):
    """Friction whose product with the tangent of the centred ball's contact angle is x."""
    sine = (hole + edge) / (ball + edge)
    return x * np.sqrt(1 - sine**2) / sine


def near_wedging(count, seed):
    """Scattered designs whose friction times tangent is 0.25 to 0.98."""
    rng = np.random.default_rng(seed)
    record = scatter(count, seed)._replace(elastic_rim=np.ones(count), overclose=np.zeros(count))
    angle = np.radians(respond(record._replace(elastic_rim=np.zeros(()))).results["contact_angle"])
    friction = np.fmin(rng.uniform(0.25, 0.98, count) / np.tan(angle), 0.7)  # where no angle is known 0.7
    give = rng.uniform(1e-7, 1e-5, count)
    return record._replace(friction=friction, static_friction=friction, lateral_compliance=give)


@pytest.mark.parametrize(
    ("friction", "error", "travel"),
    [
        (0.2, 0.0, 0.0),
        (0.3, 0.0, 0.3),
        (0.4, 0.0, 0.0),
        (0.45, 0.0, 0.1),
        (0.35, 0.05 * MM, 0.0),
    ],
)
def test_slopes_are_those_of_torque(friction, error, travel):
    record = demo(friction=friction, radial_error=error, travel_angle=travel, elastic_rim=1)
    load = segments.flatten(bar_spring.solve(record), ())
    ways = segments.cut(load, np.zeros(1), np.full(1, 0.99 * segments.mouth_angle(load)))
    angles = segments.points(ways, np.concatenate([np.geomspace(1e-5, 0.3, 40), np.linspace(0.3, 0.999, 20)[1:]]))
    touch = contact_at.contact(ways, angles)
    assert np.max(friction * touch.uphill / touch.cosine) > wedging.FADE[0]
    step = 1e-4 * angles.clip(1e-9, 1e-2)
    _, slope = contact_at.climb(ways, angles, opening=True)
    ahead, behind = (segments.torque(ways, angles + way, opening=True) for way in (step, -step))
    within = (angles - step > ways.left) & (angles + step < ways.right)
    off = np.abs(slope - (ahead - behind) / (2 * step)) / np.abs(slope).max(axis=0)
    assert np.all(off[within] < 2e-6)
    assert within.mean() > 0.6


def test_far_from_wedging_nothing_changes():
    """To the last digit, beside places that do change, and to closing blades."""
    load = solved(BALL, HOLE, EDGE, 15.0, friction_for(0.8))
    ways = path(load, 0.3)
    angles = segments.points(ways, np.linspace(1e-4, 1, 200))
    touch = contact_at.contact(ways, angles)
    mu = ways.at.friction
    far = mu * touch.uphill <= wedging.FADE[0] * touch.cosine
    assert 0.2 < far.mean() < 0.8
    plain, near = pressing.spread(ways.at, touch, mu, None), segments.BED.spread(ways.at, touch, mu, None, None)
    for name in ("lean", "aside", "sunk", "turned", "share", "slow"):
        np.testing.assert_array_equal(getattr(near, name)[far], getattr(plain, name)[far])
    assert np.all(near.wedged.down[far] == 1)
    assert segments.BED.spread(ways.at, touch, -mu, None, None).wedged is None
    assert np.max(np.abs(near.slow - plain.slow)) > 0.1


def test_one_design_equals_many():
    record = near_wedging(60, 3)
    many = respond(record)
    for i in range(0, 60, 4):
        one = respond(dig(record, i))
        for name in ("breakout_torque", "breakout_angle", "let_go_angle", "draw_torque"):
            np.testing.assert_allclose(one.results[name], many.results[name][i], rtol=1e-12, err_msg=name)
        assert all(bool(one.flags[name]) == bool(many.flags[name][i]) for name in one.flags)


@pytest.mark.parametrize(("force", "edge"), [(1.0, 0.03), (3.0, 0.0), (15.0, 0.03), (40.0, 0.1), (200.0, 0.01)])
def test_up_to_wedging_forces_are_finite_and_change_with_friction_step_by_step(force, edge):
    """There is one crest up to 0.98; beyond wedging the ball locks as on a rigid rim."""
    before = None
    for x in np.append(np.arange(0.26, 0.996, 0.005), 0.99999):
        found = across(solved(BALL, HOLE, edge, force, friction_for(x, edge=edge)), OFFSETS)
        assert np.all(np.isfinite(found))
        assert np.all(found > 0)
        assert np.count_nonzero(np.diff(np.sign(np.diff(found[2:])))) <= 1 or x > 0.98
        assert before is None or np.max(np.abs(found - before)) < 0.15 * found.max()
        before = found
    locked = across(solved(BALL, HOLE, edge, force, friction_for(1.001, edge=edge)), OFFSETS)
    assert np.isposinf(locked[0])
    assert np.all(np.isfinite(locked[-50:]))


@pytest.mark.parametrize("force", [3.0, 15.0, 40.0])
def test_along_the_path_the_force_has_neither_jump_nor_kink(force):
    """At half the step second differences are a quarter; from where no whole ring carries any more."""
    load = solved(BALL, HOLE, EDGE, force, friction_for(0.82))
    coarse, fine = (np.diff(across(load, np.linspace(3e-3, 0.03, count)), 2) for count in (8001, 16001))
    assert 3.8 < np.max(np.abs(coarse)) / np.max(np.abs(fine)) < 4.2


def test_a_ball_that_climbs_freely_is_one_far_from_wedging():
    """From five times the crest's offset on, both forms solve one balance."""
    load = solved(BALL, HOLE, EDGE, 3.0, friction_for(0.8))
    angles = 2 * np.arcsin(np.array([0.014, 0.018, 0.022]) * MM / 2)
    ways = path(load, 0.3)
    part = segment_rows.select(ways, np.searchsorted(ways.right, angles))
    touch = contact_at.contact(part, angles)
    mu = part.at.friction
    assert np.all(mu * touch.uphill > wedging.FADE[1] * touch.cosine)
    forces = []
    at = part.at, touch, mu, None
    for wide in (pressing.spread(*at), segments.BED.spread(*at, None)):
        found = leaning.pressed(part.at, touch, wide)
        _, pushed, carried = contact_at.pushed_and_carried(part, found, opening=True)
        forces.append(found.push * pushed / carried)
    np.testing.assert_allclose(forces[1], forces[0], rtol=4e-3)


@pytest.mark.slow
def test_an_elastic_rim_locks_no_ball_that_a_rigid_one_lets_go():
    """Also where an edge that all but wedges the ball takes it over far out."""
    record = scatter(20_000, 77)
    rigid, elastic = (
        respond(record._replace(elastic_rim=np.full(20_000, gives)), ()).flags["locks_solid"] for gives in (0.0, 1.0)
    )
    assert rigid.sum() > 10
    assert not np.any(elastic & ~rigid)


@pytest.mark.slow
def test_crests_and_snaps_are_those_of_dense_paths():
    count = 200
    record = near_wedging(count, 11)
    response = respond(record)
    checked = snaps = 0
    for i in np.flatnonzero(~response.flags["locks_solid"]):
        load = segments.flatten(bar_spring.solve(dig(record, i)), ())
        start = np.full(1, response.rest.phi[i])
        ways = segments.cut(load, start, np.maximum(segments.mouth_angle(load), start))
        points = segments.points(ways, np.linspace(0, 1, 4001) ** 2)
        angle = segments.opening_angle(ways, points)
        falls = np.any(np.diff(angle, axis=0) < -1e-14) or np.any(angle[0, 1:] < angle[-1, :-1] - 1e-6)
        assert falls == response.flags["snaps"][i]
        snaps += falls
        top = float(response.results["breakout_torque"][i])
        if not np.isnan(top):
            dense = segments.torque(ways, segments.points(ways, np.linspace(0, 1, 4001) ** 3), opening=True).max()
            # The crest is sharp: the points may miss some of it, never the search.
            assert -1e-4 < max(dense, float(response.rest.stick[i])) / top - 1 < 3e-6
            checked += 1
    assert checked > 100
    assert 20 < snaps < checked
