"""Corners of the mechanics that an ordinary knife stays away from, each against a second way to the same number."""

import numpy as np
import pytest
from helpers.dilation import dilated, drilled
from helpers.records import BALL, NO_54, demo, one_drill, raised, torque_at
from helpers.walked import bench, depth_at, highest, mouth, slide, walk_open, walk_shut

from detentsim.mechanics.bar import remembered
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.detent import bar_spring
from detentsim.mechanics.response import respond

# Closing


@pytest.mark.parametrize("beta", [-0.5, 0.5])
def test_without_friction_the_way_in_is_the_way_out(beta):
    """A ball that travels off square is pushed by the same bar both ways: only friction tells the sense of motion."""
    solved = bar_spring.solve(demo(friction=0.0, travel_angle=beta))
    phi = np.linspace(1e-4, 0.1, 50)
    out, back = (torque_at(solved, phi, opening=opening)[0] for opening in (True, False))
    np.testing.assert_allclose(back, out, rtol=1e-12)
    square = torque_at(bar_spring.solve(demo(friction=0.0)), phi, opening=True)[0]
    assert np.all((out - square)[square > 0.01] * beta > 0)


@pytest.mark.parametrize("beta", [-0.5, 0.0, 0.5])
def test_friction_the_other_way_round_is_the_other_sense(beta):
    """Closing is opening with friction reversed, wherever the ball stands."""
    solved, turned = (bar_spring.solve(demo(friction=mu, travel_angle=beta)) for mu in (0.12, -0.12))
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
    deep = float(dimple.seat_depth(envelope.pieces(one_drill(edge_radius=0.0))))
    found = respond(one_drill(edge_radius=0.0, protrusion=deep, face_gap=deep, overclose=0.0))
    assert "bar_on_tang" not in raised(found)
    spring = found.load.spring
    assert float(found.results["preload"]) == pytest.approx(float(spring.stiffness * (spring.reach - deep)), rel=1e-12)
    assert float(found.results["preload"]) > 1


# Bend


def test_a_bar_bent_outward_has_no_inward_bend_to_lose():
    """Between half and whole first yield only an inward bend goes back."""
    travel = remembered.travel_of_share(demo(), 0.9)
    assert remembered.loses_bend(demo(bend=6e-3), travel)
    assert not remembered.loses_bend(demo(bend=-6e-3), travel)
    assert remembered.loses_bend(demo(bend=-6e-3), 1.2 * travel)


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
    shape = envelope.pieces(design)
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


@pytest.mark.parametrize("bend", [0.5e-3, 2.2e-3])
@pytest.mark.parametrize("follows", [0, 1])
def test_breakout_of_a_ball_that_sticks_counts_the_washers_under_the_resting_push(follows, bend):
    """Static friction far above the sliding one: breakout is where the ball lets itself be moved at all."""
    pivot = {"washer_friction": 0.2, "washer_radius": 3e-3, "push_follows": follows}
    design = demo(static_friction=0.5, overclose=0.0, bend=bend, **pivot)
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
@pytest.mark.parametrize("bend", [0.5e-3, 2.2e-3])  # weak preload: the greatest push comes after the first
def test_breakout_force_counts_the_washers_under_the_push_of_that_place(follows, washer_friction, bend):
    """Greatest of ball, bearings and washers over the lever, scanned along the way out."""
    design = demo(washer_friction=washer_friction, washer_radius=9e-3, push_follows=follows, overclose=0.0, bend=bend)
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
    assert (phi > 0.01) == (bend < 1e-3)
    angle = phi + b.give * slide(b, phi, +1)[0][0]
    assert float(found["breakout_force_angle"]) == pytest.approx(angle, abs=1e-4)


# Flags


def test_a_ball_held_off_centre_keeps_the_bar_off_the_tang():
    """Seated, the ball would be too short; drilled past the stop it rests higher, and the bar's face stays clear."""
    deep = BALL - np.sqrt(BALL**2 - NO_54**2)
    off = 0.2e-3
    there = BALL - np.sqrt(BALL**2 - (NO_54 - off) ** 2)
    changes = {"edge_radius": 0.0, "protrusion": (deep + there) / 2, "lateral_compliance": 0.0}
    found = [raised(respond(one_drill(**changes, overclose=eps))) for eps in (0.0, off / 8e-3)]
    assert "bar_on_tang" in found[0]
    assert "bar_on_tang" not in found[1]


@pytest.mark.parametrize("changes", [{"friction": 0.45, "rim_feed": 0.16e-3}, {"friction": 0.9}])
def test_a_ball_that_locks_does_not_snap(changes):
    flags = raised(respond(demo(**changes)))
    assert "locks_solid" in flags
    assert "snaps" not in flags


@pytest.mark.parametrize("grip", [-5.0, 5.0, 30.0])
def test_a_grip_moves_no_bend_limit(grip):
    """How far service pushes the bar from free hangs on gap, ball and bend, not on what presses it inward."""
    bends = np.linspace(0.5e-3, 6e-3, 400)
    plain, gripped = (respond(demo(bend=bends, grip_force=force)).flags["loses_bend"] for force in (0.0, grip))
    assert 0 < np.count_nonzero(plain) < bends.size
    np.testing.assert_array_equal(plain, gripped)


@pytest.mark.parametrize(("share", "dents"), [(0.98, True), (1.02, False)])
def test_the_flat_must_bear_the_riding_ball(share, dents):
    """Hertz: p0^3 = 6 N E*^2/(pi^3 R^2) (Johnson, eq. 4.24). The ball rides harder than it rests."""
    light = {"bend": 1.4e-3}
    found = respond(demo(**light))
    riding, resting = (float(found.results[name]) for name in ("riding_force", "preload"))
    modulus = 1 / ((1 - 0.26**2) / 310e9 + (1 - 0.29**2) / 205e9)
    pressure = (6 * riding * modulus**2 / (np.pi**3 * BALL**2)) ** (1 / 3)
    assert resting < 0.9 * riding
    hardness = share * 653 * pressure / 4200e6
    assert 300 < hardness < 653
    assert ("dents_tang" in raised(respond(demo(tang_hardness=hardness, **light)))) == dents
