"""Corners of the mechanics that an ordinary knife stays away from, each against a second way to the same number."""

import numpy as np
import pytest
from records import bench, demo, depth_at, highest, mouth, one_drill, raised, slide, torque_at, walk_open, walk_shut
from test_dimple import dilated, drilled

from detentsim.mechanics import bend, detent, dimple
from detentsim.mechanics.response import respond

# Closing


@pytest.mark.parametrize("beta", [-0.5, 0.5])
def test_without_friction_the_way_in_is_the_way_out(beta):
    """A ball that travels off square is pushed by the same bar both ways: only friction tells the sense of motion."""
    solved = detent.load(demo(friction=0.0, travel_angle=beta))
    phi = np.linspace(1e-4, 0.1, 50)
    out, back = (torque_at(solved, phi, opening=opening)[0] for opening in (True, False))
    np.testing.assert_allclose(back, out, rtol=1e-12)
    square = torque_at(detent.load(demo(friction=0.0)), phi, opening=True)[0]
    assert np.all((out - square)[square > 0.01] * beta > 0)


@pytest.mark.parametrize("beta", [-0.5, 0.0, 0.5])
def test_friction_the_other_way_round_is_the_other_sense(beta):
    """Closing is opening with friction reversed, wherever the ball stands."""
    solved, turned = (detent.load(demo(friction=mu, travel_angle=beta)) for mu in (0.12, -0.12))
    phi = np.linspace(1e-4, 0.1, 50)
    back = torque_at(solved, phi, opening=False)[0]
    np.testing.assert_allclose(back, torque_at(turned, phi, opening=True)[0], rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("give", [1e-4, 2e-4, 3e-4])
def test_a_blade_that_snaps_in_feels_the_pull_from_where_it_snaps(give):
    """A bar so soft sideways that the ball leaps in while it still drags: the pull starts where the blade then is."""
    design = demo(lateral_compliance=give)
    b = bench(design)
    walk = walk_shut(b, 1.4 * mouth(b))
    leap = np.argmax(-np.diff(walk.phi))
    assert -np.diff(walk.phi)[leap] > 100 * (walk.theta[0] - walk.theta[1])
    assert walk.torque[leap] < 0 < walk.torque[leap + 1]
    found = float(respond(design).results["pull_in_angle"])
    assert found == pytest.approx(walk.theta[leap], abs=1.01 * (walk.theta[0] - walk.theta[1]))


# Ball or face


def test_a_ball_as_proud_as_its_seat_is_deep_still_carries():
    """The bar's face only just lies on the tang: the ball carries what the spring pushes with there."""
    deep = float(dimple.seat_depth(dimple.pieces(one_drill(edge_radius=0.0))))
    found = respond(one_drill(edge_radius=0.0, protrusion=deep, face_gap=deep, overclose=0.0))
    assert "bar_on_tang" not in raised(found)
    spring = found.load.spring
    assert float(found.results["preload"]) == pytest.approx(float(spring.stiffness * (spring.reach - deep)), rel=1e-12)
    assert float(found.results["preload"]) > 1


# Bend


def test_a_bar_bent_outward_has_no_inward_bend_to_lose():
    """Between half and whole first yield only an inward bend goes back."""
    inward = demo(bend=0.3e-3)
    stiffness = 1e4
    full = stiffness * inward.ball_from_root / (inward.yield_strength * inward.width * inward.relief_thickness**2 / 6)
    travel = 0.9 / full
    assert bend.loses_bend(demo(bend=6e-3), stiffness, travel)
    assert not bend.loses_bend(demo(bend=-6e-3), stiffness, travel)
    assert bend.loses_bend(demo(bend=-6e-3), stiffness, 1.2 * travel)


# Dimple

SHALLOW = [  # a first drill that hardly marks the tang under a rounding many times as deep [mm, tangents]
    (1.2583, 0.0059, 1.0030, 1.7007, 0.0, 1.6621, 0.2461),
    (0.7880, 0.0083, 1.1109, 1.0120, 0.0063, 1.8357, 0.2617),
    (1.1472, 0.0072, 1.1559, 1.2997, 0.0038, 1.1559, 0.2067),
]


@pytest.mark.parametrize("sizes", SHALLOW)
def test_rounding_over_a_mark_shallower_than_itself(sizes):
    pilot, depth, tangent, rim, feed, rim_tangent, edge = sizes
    design = drilled(
        pilot * 1e-3, rim * 1e-3, feed * 1e-3, pilot_depth=depth * 1e-3, pilot_tangent=tangent,
        rim_tangent=rim_tangent, edge_radius=edge * 1e-3, ball_radius=1.2e-3,
    )  # fmt: skip
    shape = dimple.pieces(design)
    s = np.linspace(0, 1.05, 60) * float(shape.start[-1])
    np.testing.assert_allclose(dimple.ball_height(shape, s)[0], dilated(design, s), rtol=0, atol=1e-9)


@pytest.mark.parametrize("proud", [0.3, 0.7, 1.0, 1.6, 3.0])
def test_a_proud_blade_sticks_before_it_can_be_pressed_shut(proud):
    """Pressed onto its stop the ball first sticks by the static coefficient, then slips up the far flank."""
    square = demo(overclose=0.0, friction=0.12, static_friction=0.30)
    b = bench(square)
    turn = proud * b.give * slide(b, 1e-9, +1, 0.30)[0][0]
    walk = walk_open(b, 0.0, 0.0, end=1.2 * turn)
    wanted = np.interp(turn, walk.theta, walk.torque)
    found = respond(square._replace(overclose=np.asarray(-turn))).results["draw_torque"]
    assert float(found) == pytest.approx(-wanted, rel=2e-3)


# Rest and stick


@pytest.mark.parametrize("compliance", [1e-9, 1e-12, 1e-15])
@pytest.mark.parametrize("changes", [{}, {"overclose": 0.004}, {"overclose": 0.03}, {"radial_error": 0.05e-3}])
def test_a_bar_almost_rigid_sideways_draws_like_a_rigid_one(changes, compliance):
    stiff, rigid = (respond(demo(lateral_compliance=give, **changes)).results for give in (compliance, 0.0))
    assert float(stiff["draw_torque"]) == pytest.approx(float(rigid["draw_torque"]), rel=1e6 * compliance + 1e-9)
    assert float(rigid["draw_torque"]) > 0.01


@pytest.mark.parametrize("follows", [0, 1])
def test_breakout_of_a_ball_that_sticks_counts_the_washers_under_the_resting_push(follows):
    """Static friction far above the sliding one: breakout is where the ball lets itself be moved at all."""
    design = demo(static_friction=0.5, overclose=0.0, washer_friction=0.2, washer_radius=3e-3, push_follows=follows)
    found = respond(design)
    record, b = found.load.record, bench(design)
    stick = slide(b, 1e-9, +1, 0.5)[0][0]
    seat = float(dimple.seat_depth(found.load.shape))
    washers = 1.5e-3 + 0.2 * 8e-3 * b.stiffness * (b.reach - seat)
    slip = b.give * stick
    lever = 15e-3 * np.cos(np.radians(20) - (0 if follows else slip))
    drag = 0.12 * b.stiffness * b.reach * 8e-3
    dragging = 1.5e-3 + 0.2 * 8e-3 * b.stiffness * b.reach
    assert float(found.results["breakout_torque"]) == pytest.approx(stick, rel=1e-6)
    assert float(found.results["breakout_angle"]) == pytest.approx(slip, rel=1e-6)
    assert float(found.results["breakout_force"]) == pytest.approx((stick + washers) / lever, rel=1e-6)
    assert float(found.results["breakout_force_angle"]) == pytest.approx(slip, rel=1e-6)
    assert float(found.results["breakout_to_drag"]) == pytest.approx((stick + washers) / (drag + dragging), rel=1e-6)
    assert float(record.washer_radius) < 8e-3


@pytest.mark.parametrize("follows", [0, 1])
@pytest.mark.parametrize("washer_friction", [0.0, 0.1, 0.4])
def test_breakout_force_counts_the_washers_under_the_push_of_that_place(follows, washer_friction):
    """Greatest of ball, bearings and washers over the lever, scanned along the way out."""
    design = demo(washer_friction=washer_friction, washer_radius=9e-3, push_follows=follows, overclose=0.0)
    b = bench(design)

    def force(phi):
        torque = slide(b, phi, +1)[0]
        theta = phi + b.give * torque
        push = b.stiffness * (b.reach - depth_at(b, phi))
        lever = 15e-3 * np.cos(np.radians(20) - (0 if follows else theta))
        return (torque + 1.5e-3 + washer_friction * 9e-3 * push) / lever

    wanted, phi = highest(force, 1e-9, mouth(b))
    found = respond(design).results
    assert float(found["breakout_force"]) == pytest.approx(wanted, rel=1e-6)
    angle = phi + b.give * slide(b, phi, +1)[0][0]
    assert float(found["breakout_force_angle"]) == pytest.approx(angle, abs=1e-4)
