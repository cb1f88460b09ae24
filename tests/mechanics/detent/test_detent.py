"""Force and torque of the ball in its dimple, against force balances in space that are solved here by themselves."""

import numpy as np
import pytest
from helpers.records import BALL, THOU, demo, one_drill, torque_at
from helpers.walked import ball_rest, bar_push, bench, mouth, offset, slide

from detentsim.mechanics.bar import beam
from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance, bar_spring


def _touch(psi, along):
    return balance.BallContact(np.asarray(0.0), np.sin(np.asarray(psi)), np.asarray(along, float))


def _balance(psi, turn, mu, push, arm, sense, swing=0.0, hinge=1.0):
    """Torque [N m] from six equations of the ball and its bar, solved numerically.

    Axes: x along the bar to the tip, y across it, z off the blade. The bar is a lever hinged `hinge` before the ball,
    `swing * hinge` above the contact, held by a spring moment `push * hinge`. Unknown: the flank's force and the
    three forces of the hinge plus its two moments. `turn` is the angle from the ball's path to the way out of the
    hole, and the path here lies across the bar.
    """
    path, side, up = np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    return _balance_along(path, side, up, psi, turn, mu, push, arm, sense, swing, hinge)


def _balance_along(path, side, up, psi, turn, mu, push, arm, sense, swing, hinge):
    out = np.cos(turn) * path + np.sin(turn) * side
    normal = np.cos(psi) * up - np.sin(psi) * out
    # The ball slides over the flank: its motion is level along the path and rises so that it stays in contact.
    climb = np.sin(psi) * (out @ path) / np.cos(psi)
    motion = sense * (path + climb * up)
    unit = normal - mu * motion / np.linalg.norm(motion)
    contact = np.array([hinge, 0.0, -swing * hinge])
    # Rows: force balance x y z, moment balance x y z about the hinge. Columns: F_n, hinge force, moments about x and z.
    system = np.zeros((6, 6))
    system[:3, 0], system[3:, 0] = unit, np.cross(contact, unit)
    system[:3, 1:4] = np.eye(3)
    system[3, 4] = system[5, 5] = 1.0
    spring = np.array([0, 0, 0, 0, push * hinge, 0.0])
    force = np.linalg.solve(system, -spring)[0] * unit
    return force, -arm * (force @ path)


@pytest.mark.parametrize("sense", [+1, -1], ids=["opening", "closing"])
def test_torque_is_that_of_a_balance_in_space(sense):
    rng = np.random.default_rng(11)
    for _ in range(200):
        psi, mu = rng.uniform(0, 1.3), rng.uniform(0, 0.25)
        turn = rng.uniform(-np.pi / 2, np.pi / 2)
        push, arm = rng.uniform(1, 40), rng.uniform(4e-3, 15e-3)
        force, wanted = _balance(psi, turn, mu, push, arm, sense)
        assert force[2] == pytest.approx(push)
        got = balance.torque(push, _touch(psi, np.cos(turn)), mu, arm, opening=sense > 0)
        assert float(got) == pytest.approx(wanted, rel=1e-10, abs=1e-15)


@pytest.mark.parametrize("sense", [+1, -1], ids=["opening", "closing"])
def test_a_swinging_bar_shifts_the_force_by_its_hinge(sense):
    rng = np.random.default_rng(12)
    up = np.array([0.0, 0.0, 1.0])
    for _ in range(200):
        psi, mu, beta = rng.uniform(0, 1.2), rng.uniform(0, 0.2), rng.uniform(-0.6, 0.6)
        push, arm = rng.uniform(1, 40), rng.uniform(4e-3, 15e-3)
        chi, hinge = rng.uniform(0.0, 0.12), rng.uniform(20e-3, 50e-3)
        path = np.array([np.sin(beta), np.cos(beta), 0.0])  # positive beta: toward the tip on opening
        side = np.array([np.cos(beta), -np.sin(beta), 0.0])
        _, wanted = _balance_along(path, side, up, psi, 0.0, mu, push, arm, sense, chi, hinge)
        got = balance.torque(push, _touch(psi, 1.0), mu, arm, chi * np.sin(beta), opening=sense > 0)
        assert float(got) == pytest.approx(wanted, rel=1e-10)


def turn_by_integration(record):
    """Turn of the elastic bar at the ball over its travel there [rad/m], by beam theory with the package's gives."""
    a, step, thin = 44e-3, 10e-3, 113.8e9 * 8e-3 * 1.3e-3**3 / 12
    plate = thin * float(beam.plate_modulus(record)) / 113.8e9
    x = np.linspace(0, a, 400_001)
    rigidity = np.where(x < step, plate, 113.8e9 * 8e-3 * 3e-3**3 / 12)
    give, wide = float(beam.step_give(record)), 0.61 * 8e-3 * (1.3 / 3) ** 3
    root = (give + wide) * a / thin
    turn = np.trapezoid((a - x) / rigidity, x) + root + give * (a - step) / thin
    return turn / float(beam.flexibility(record, a, a))


def test_swing_of_a_design_is_contact_height_times_the_turn_of_the_bar():
    beta = np.radians([-20.0, 0.0, 20.0])
    for side, height in ((-1, 1.3e-3 / 2), (0, 3e-3 / 2), (1, 3e-3 - 1.3e-3 / 2)):
        # Ball tip over the mid-plane of what the relief leaves.
        wanted = (height + 25 * THOU) * turn_by_integration(demo(relief_side=side)) * np.sin(beta)
        record = demo(travel_angle=beta, relief_side=side)
        np.testing.assert_allclose(bar_spring.spring(record).swing, wanted, rtol=1e-5)
    # A ball that climbs toward the tip on opening needs more torque, one that climbs toward the root less.
    opening, _, _ = torque_at(bar_spring.solve(record), 0.03, opening=True)
    assert opening[0, 0] < opening[1, 0] < opening[2, 0]


def test_swing_of_a_plain_strip_and_of_a_hinge():
    # A clamped strip: P a^2/(2 E I) over P a^3/(3 E I). A relief far thinner than the bar is a hinge in its middle.
    clamped = {"slab_root": 0, "poissons_ratio": 0.0, "travel_angle": np.pi / 2}
    strip = demo(**clamped, thickness=1e-3, relief_thickness=1e-3, relief_length=50e-3, ball_from_root=40e-3)
    shear = 1 + 0.25 * 2 / (10 / 12) * (1e-3 / 40e-3) ** 2  # Timoshenko's strip: 1 + E h^2/(4 kappa G L^2)
    wanted = (25 * THOU + 0.5e-3) * 1.5 / 40e-3 / shear
    assert float(bar_spring.swing(strip)) == pytest.approx(wanted, rel=1e-9)
    hinge = demo(**clamped, thickness=50e-3, relief_thickness=1e-3, relief_length=1e-3, ball_from_root=40e-3)
    assert float(bar_spring.swing(hinge)) == pytest.approx((25 * THOU + 0.5e-3) / 39.5e-3, rel=3e-2)


@pytest.mark.parametrize("place", [4e-3, 30e-3, 43.9e-3])
def test_where_the_bar_was_bent_does_not_change_how_it_swings(place):
    """The bend is plastic and stays; the ball's lift turns the elastic bar."""
    bent, plain = (bar_spring.swing(demo(travel_angle=0.4, bend_at=at)) for at in (place, np.nan))
    assert float(bent) == float(plain)


def test_drag_of_a_ball_that_travels_askew():
    beta = np.radians(25.0)
    hinge = 1 / turn_by_integration(demo())
    swing = (1.3e-3 / 2 + 25 * THOU) / hinge  # contact height over the hinge distance
    path = np.array([np.sin(beta), np.cos(beta), 0.0])
    side, up = np.array([np.cos(beta), -np.sin(beta), 0.0]), np.array([0.0, 0.0, 1.0])
    for sense in (+1, -1):
        record = demo(travel_angle=beta)
        push = bench(record).stiffness * bench(record).reach
        _, wanted = _balance_along(path, side, up, 0.0, 0.0, 0.12, push, 8e-3, sense, swing, hinge)
        got = float(balance.drag(bar_spring.solve(record), opening=sense > 0))
        assert got == pytest.approx(wanted, rel=1e-7)
        assert abs(got) != pytest.approx(0.12 * push * 8e-3, rel=1e-4)  # askew, dragging itself loads or frees the ball


DESIGNS = {
    "sharp pilot": one_drill(edge_radius=0),
    "rounded pilot": one_drill(),
    "sharp, two drills": demo(edge_radius=0),
    "rounded, two drills": demo(),
    "too far out": demo(radial_error=0.06e-3, edge_radius=0),
    "too far in": demo(radial_error=-0.06e-3),
    "far too far in": demo(radial_error=-0.4e-3),
    "shallow": one_drill(depth=0.25e-3, edge_radius=0),
    "weak, wide ball": one_drill(bend=1.05e-3, ball_radius=1e-3, protrusion=0.9e-3, face_gap=0.8e-3),
    "frictionless": demo(friction=0),
}


@pytest.mark.parametrize("name", DESIGNS)
@pytest.mark.parametrize("sense", [+1, -1], ids=["opening", "closing"])
def test_torque_at_every_ball_angle(name, sense):
    record = DESIGNS[name]
    b, solved = bench(record), bar_spring.solve(record)
    phi = np.linspace(1e-5, 1.2 * mouth(b), 4001)
    wanted, size = slide(b, phi, sense)
    got, force, touch = torque_at(solved, phi, opening=sense > 0)
    depth = b.record.ball_radius - dimple.ball_height(solved.shape, offset(b, phi)[0])[0]
    np.testing.assert_allclose(force, bar_push(b, depth), rtol=1e-9)
    np.testing.assert_allclose(touch.depth, depth, rtol=0, atol=1e-15)
    # At a hand-over the two may take different sides of the corner: there is at most one point at each.
    near = np.isclose(got, wanted, rtol=1e-8, atol=1e-12 * np.max(wanted))
    assert np.count_nonzero(~near) <= 2
    assert np.max(size) > 1


def test_torque_at_the_stick_limit_takes_the_static_coefficient():
    record = demo(static_friction=0.19)
    solved, phi = bar_spring.solve(record), np.array([0.004, 0.03, 0.07])
    for name, mu in ((True, 0.19), (False, 0.12)):
        wanted, _ = slide(bench(record), phi, +1, mu)
        got, _, _ = torque_at(solved, phi, opening=True, static=name)
        np.testing.assert_allclose(got, wanted, rtol=1e-9)


def test_closest_approach_carries_only_friction_across_the_path():
    # phi = 0 with a radial error: the wall faces along the handle's radius, c_ut = 0, T = mu N rho / cos(psi).
    for error in (0.05e-3, -0.05e-3, 0.3e-3):
        record = demo(radial_error=error, edge_radius=0)
        solved, b = bar_spring.solve(record), bench(record)
        height, psi = ball_rest(b, abs(error))
        push = b.stiffness * (b.reach - (BALL - height[0]))
        wanted = 0.12 * push * 8e-3 / np.cos(psi[0])
        got, force, touch = torque_at(solved, 0.0, opening=True)
        assert float(touch.along[0]) == 0.0
        assert float(force[0]) == pytest.approx(push, rel=1e-9)
        assert float(got[0]) == pytest.approx(wanted, rel=1e-9)
        back, _, _ = torque_at(solved, 0.0, opening=False)
        assert float(back[0]) == pytest.approx(-wanted, rel=1e-9)


def test_offset_of_the_ball_is_the_distance_of_two_points():
    rng = np.random.default_rng(13)
    for _ in range(50):
        record = demo(radial_error=rng.uniform(-0.5e-3, 0.5e-3), pivot_to_ball=rng.uniform(4e-3, 12e-3))
        b, phi = bench(record), rng.uniform(0, 0.3)
        s, along = offset(b, np.array([phi]))
        got, share = balance.offset_at_phi(record, phi)
        assert float(got) == pytest.approx(s[0], rel=1e-10)
        assert float(share) == pytest.approx(along[0], rel=1e-9)
        assert float(balance.phi_at_offset(record, got)) == pytest.approx(phi, rel=1e-9)
    centred = demo()
    assert [float(x) for x in balance.offset_at_phi(centred, 0.0)] == [0.0, 1.0]
    assert float(balance.phi_at_offset(demo(radial_error=1e-4), 0.5e-4)) == 0.0


def test_flank_steeper_than_the_friction_angle_allows_locks():
    mu = 0.15
    limit = np.arctan(1 / mu)
    below = balance.torque(10.0, _touch(limit - 1e-6, 1.0), mu, 8e-3, opening=True)
    above = balance.torque(10.0, _touch(limit + 1e-6, 1.0), mu, 8e-3, opening=True)
    assert 1e4 < float(below) < np.inf
    assert np.isposinf(above)
    assert float(balance.torque(0.0, _touch(limit + 1e-6, 1.0), mu, 8e-3, opening=True)) == 0.0
    # Closing never locks: N rho (tan psi - mu)/(1 + mu tan psi) at a wall of 90 deg is N rho / mu.
    upright = balance.torque(10.0, _touch(np.pi / 2, 1.0), mu, 8e-3, opening=False)
    assert float(upright) == pytest.approx(10 * 8e-3 / mu, rel=1e-9)


def test_spring_reach_and_force_with_and_without_a_grip():
    for grip in (0.0, 5.0):
        record = demo(grip_force=grip)
        b, bar = bench(record), bar_spring.spring(record)
        assert float(bar.reach) == pytest.approx(b.reach, rel=1e-12)
        depth = np.linspace(0, 1e-3, 11)
        np.testing.assert_allclose(balance.ball_force(bar, depth), bar_push(b, depth), rtol=1e-10)
    pressed, bare = bar_spring.spring(demo(grip_force=5.0)), bar_spring.spring(demo())
    added = float(balance.ball_force(pressed, 0.0) - balance.ball_force(bare, 0.0))
    record = demo()
    tip, a = record.tip_from_root, record.ball_from_root
    # A push at the tip that the held ball feels: both deflect the ball's place alike.
    held = 5.0 * float(beam.flexibility(record, tip, a) / beam.flexibility(record, a, a))
    assert added == pytest.approx(held, rel=1e-9)


def test_bar_face_takes_the_push_where_the_ball_sinks_past_its_protrusion():
    record = demo(protrusion=0.3e-3, face_gap=0.2e-3)
    bar = bar_spring.spring(record)
    k, reach = float(bar.stiffness), float(bar.reach)
    assert float(balance.ball_force(bar, 0.3e-3)) == pytest.approx(k * (reach - 0.3e-3))
    assert float(balance.ball_force(bar, 0.31e-3)) == 0.0
    assert float(balance.tang_force(bar, 0.31e-3)) == pytest.approx(k * (reach - 0.3e-3))
    assert float(balance.tang_force(bar, 0.1e-3)) == pytest.approx(k * (reach - 0.1e-3))
