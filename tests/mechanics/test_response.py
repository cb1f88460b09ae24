"""Results by their definitions, the way a maker meets them: drills, over-close, weak and ordinary preload, finger."""

import numpy as np
import pytest
from helpers.records import (
    BALL,
    CONE_118,
    INCH,
    NO_53,
    NO_54,
    THOU,
    bar_push,
    bench,
    demo,
    depth_at,
    dig,
    highest,
    mouth,
    one_drill,
    raised,
    slide,
)
from scipy.optimize import minimize_scalar

from detentsim.mechanics.bar import beam
from detentsim.mechanics.motion import pivot, standing
from detentsim.mechanics.record import full
from detentsim.mechanics.response import respond

MU = 0.12
RHO = 8e-3
LAMBDA = np.arctan(MU)


def values(record):
    """Results of one design as floats."""
    return {name: float(value) for name, value in respond(record).results.items()}


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


# --- the finger -------------------------------------------------------------------------------------------------


def _force(b, phi):
    """Finger force [N] and blade angle [rad] with the ball sliding at ball angles `phi`."""
    f = b.record
    torque, _ = slide(b, phi, +1)
    theta = phi - f.overclose + b.give * torque
    push = b.stiffness * np.maximum(0, b.reach - np.minimum(depth_at(b, phi), f.protrusion))
    pivot = f.pivot_torque + f.washer_friction * max(f.washer_radius, f.pivot_to_ball) * push
    turned = f.push_angle - (0 if f.push_follows else theta)
    arm = f.opener_radius * np.cos(turned)
    return np.where(arm > 0.05 * f.opener_radius, (torque + pivot) / arm, -np.inf), theta


FINGERS = {
    "best leverage far on": {"push_angle": 1.5, "overclose": 0},
    "best leverage far behind": {"push_angle": -1.48, "overclose": 0},
    "follows": {"push_angle": 1.2, "push_follows": 1},
    "washers": {"washer_friction": 0.2, "washer_radius": 4e-3, "push_angle": 1.48},
    "wide washers": {"washer_friction": 0.2, "washer_radius": 12e-3, "push_angle": 1.48},
    "weak": {"bend": 0.62e-3, "push_angle": 1.5, "overclose": 0.0},
    "radial error": {"radial_error": 0.06e-3, "push_angle": -1.4, "overclose": 0.004},
}


@pytest.mark.parametrize("name", FINGERS)
def test_breakout_force_is_a_maximum_of_its_own(name):
    record = one_drill(**({"edge_radius": 0, "lateral_compliance": 1e-6} | FINGERS[name]))
    b, response = bench(record), respond(record)
    start = max(float(response.rest.phi), 1e-12)
    force, phi = highest(lambda x: _force(b, x)[0], start, mouth(b))
    results = {key: float(value) for key, value in response.results.items()}
    assert results["breakout_force"] == pytest.approx(force, rel=1e-8)
    _, angle = _force(b, np.array([phi]))
    assert results["breakout_force_angle"] == pytest.approx(angle[0], abs=2e-6)


def test_lever_moves_the_peak_force_away_from_the_peak_torque():
    record = one_drill(edge_radius=0, lateral_compliance=1e-6, push_angle=-1.48, bend=0.62e-3, overclose=0)
    results = values(record)
    assert results["breakout_force_angle"] > results["breakout_angle"] + 0.005
    at_torque = (results["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(1.48 + results["breakout_angle"]))
    assert results["breakout_force"] > 1.01 * at_torque


def test_a_push_that_follows_keeps_its_arm():
    fixed, follows = values(demo(push_angle=0.6)), values(demo(push_angle=0.6, push_follows=1))
    assert follows["breakout_force"] == pytest.approx((follows["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(0.6)))
    angle = fixed["breakout_force_angle"]
    assert fixed["breakout_force"] == pytest.approx((fixed["breakout_torque"] + 1.5e-3) / (15e-3 * np.cos(0.6 - angle)))
    assert follows["breakout_force"] > fixed["breakout_force"]
    half = np.pi / 2  # mid-swing of a blade that opens 180 deg
    drag = fixed["drag_torque"] + 1.5e-3
    assert fixed["drag_force"] == pytest.approx(drag / (15e-3 * np.cos(0.6 - half)))
    assert follows["drag_force"] == pytest.approx(drag / (15e-3 * np.cos(0.6)))


def test_no_force_is_quoted_where_the_lever_is_too_short():
    limit = np.arccos(0.05)
    for follows in (0, 1):
        push = np.array([limit - 1e-3, limit + 0.3])
        results = respond(demo(push_angle=push, push_follows=follows, overclose=0)).results
        assert np.isfinite(results["breakout_force"][0])
        if follows:
            assert np.isnan(results["breakout_force"][1])
            assert np.isnan(results["breakout_force_angle"][1])
            assert np.isnan(results["drag_force"][1])
        assert np.all(np.isfinite(results["breakout_torque"]))
    # A fixed push from far ahead of the whole detent has no lever anywhere on it, yet has one at mid-swing.
    results = values(demo(push_angle=limit + 0.3))
    assert np.isnan(results["breakout_force"])
    assert np.isfinite(results["drag_force"])
    # Where the lever comes to life on the way, the force counts from there on.
    record = one_drill(edge_radius=0, lateral_compliance=1e-6, push_angle=limit + 0.03, overclose=0)
    b, results = bench(record), values(record)
    phi = np.linspace(1e-9, mouth(b), 400001)
    force, theta = _force(b, phi)
    first = np.argmax(force > 0)
    assert theta[first] == pytest.approx(0.03, abs=1e-4)
    assert results["breakout_force"] == pytest.approx(np.max(force), rel=1e-4)


# --- drag, pivot, ratios ----------------------------------------------------------------------------------------


def test_drag_and_ratio_by_definition():
    record = demo(washer_friction=0.15, washer_radius=4e-3)
    b, results = bench(record), values(record)
    ride = b.stiffness * b.reach
    assert results["riding_force"] == pytest.approx(ride)
    assert results["drag_torque"] == pytest.approx(MU * ride * RHO)
    pivot = 1.5e-3 + 0.15 * 8e-3 * ride
    assert results["drag_force"] == pytest.approx(
        (MU * ride * RHO + pivot) / (15e-3 * np.cos(np.radians(20) - np.pi / 2))
    )
    seat = 0.07e-3 + BALL - np.sqrt(BALL**2 - NO_54**2)
    at_peak = 1.5e-3 + 0.15 * 8e-3 * b.stiffness * (b.reach - seat)  # the peak stands where the ball rests
    wanted = (results["breakout_torque"] + at_peak) / (MU * ride * RHO + pivot)
    assert results["breakout_to_drag"] == pytest.approx(wanted, rel=1e-9)
    assert results["breakout_force"] == pytest.approx(
        (results["breakout_torque"] + at_peak) / (15e-3 * np.cos(np.radians(20) - results["breakout_force_angle"])),
        rel=1e-9,
    )


def test_forces_at_the_ball():
    record = demo(overclose=0.03, edge_radius=0)
    b, response = bench(record), respond(record)
    results = {key: float(value) for key, value in response.results.items()}
    seat = 0.07e-3 + BALL - np.sqrt(BALL**2 - NO_54**2)
    assert results["seat_depth"] == pytest.approx(seat)
    assert results["seated_force"] == pytest.approx(b.stiffness * (b.reach - seat))
    off = float(depth_at(b, float(response.rest.phi))[0])
    assert results["preload"] == pytest.approx(b.stiffness * (b.reach - off), rel=1e-9)
    assert results["seated_force"] < results["preload"] < results["riding_force"]


def test_lift_forces_by_statics_of_a_free_bar():
    for record in (demo(), demo(grip_force=2.0, calibration=1.2), demo(bend=1.0e-3)):
        results, b = values(record), bench(record)
        f = b.record
        tip, a = f.tip_from_root, f.ball_from_root
        # Two unknowns: the pull at the tip, and a ball force that must vanish; the bar is held at the flat or seat.
        for name, depth in (("lift_force_open", 0.0), ("lift_force_closed", results["seat_depth"])):
            held = f.face_gap - f.protrusion + depth
            free = results["free_offset"]
            system = np.array(
                [
                    [float(beam.flexibility(record, tip, a)), float(beam.flexibility(record, a, a))],
                    [0.0, 1.0],
                ]
            )
            grip = f.grip_force * float(beam.flexibility(record, f.grip_from_root, a))
            pull, _ = np.linalg.solve(system, [f.calibration * (free - held) + grip, 0.0])
            assert results[name] == pytest.approx(pull, rel=1e-9)


def test_lift_force_of_a_plain_clamped_strip():
    # Uniform cantilever, no Poisson effect, no give: a^2 (3 L - a)/(6 E I) from the tip, a^3/(3 E I) at the ball, shear
    # 6/5 V/(G A) alike in both.
    record = demo(thickness=1.2e-3, relief_thickness=1.2e-3, relief_length=50e-3, poissons_ratio=0, slab_root=0)
    results = values(record)
    a, tip, rigidity = 44e-3, 50e-3, 113.8e9 * 8e-3 * 1.2e-3**3 / 12
    shear = 1.2 * a / (113.8e9 / 2 * 8e-3 * 1.2e-3)
    at_ball, from_tip = a**3 / 3 / rigidity + shear, a**2 * (3 * tip - a) / 6 / rigidity + shear
    assert results["bar_stiffness"] == pytest.approx(1 / at_ball, rel=1e-9)
    assert results["lift_force_open"] == pytest.approx(results["riding_force"] * at_ball / from_tip, rel=1e-9)


# --- grip, lash -------------------------------------------------------------------------------------------------


def test_five_newtons_of_grip_at_the_tip_add_about_a_third():
    bare, pressed = values(demo()), values(demo(grip_force=5.0))
    share = pressed["preload"] / bare["preload"] - 1
    assert 0.2 < share < 0.5
    record = demo()
    ratio = float(beam.flexibility(record, 50e-3, 44e-3) / beam.flexibility(record, 44e-3, 44e-3))
    for name in ("preload", "seated_force", "riding_force"):
        assert pressed[name] - bare[name] == pytest.approx(5.0 * ratio, rel=1e-9)
    assert pressed["breakout_torque"] / bare["breakout_torque"] == pytest.approx(1 + share, rel=1e-9)
    # Pressing nearer the root does less, at the ball itself just its own force.
    at_ball = values(demo(grip_force=5.0, grip_from_root=44e-3))
    assert at_ball["preload"] - bare["preload"] == pytest.approx(5.0, rel=1e-9)


@pytest.mark.parametrize("eps", [0.0, 0.01, 0.03, 0.09, -0.01, -0.03, -0.09])
def test_lash_of_a_ball_that_hangs_loose(eps):
    for changes in ({"bend": 0.3e-3}, {"protrusion": 0.4e-3, "face_gap": 0.3e-3}):
        record = one_drill(edge_radius=0, overclose=eps, **changes)
        b = bench(record)
        limit = min(b.reach, b.record.protrusion)
        assert 0 < limit < BALL - np.sqrt(BALL**2 - NO_54**2)
        s = NO_54 - np.sqrt(BALL**2 - (BALL - limit) ** 2)
        # Blade angles at which the ball is within s of the centre, and not past the stop.
        angles = np.linspace(-0.3, 0.3, 1200001)
        free = angles[(np.abs(angles + eps) < s / RHO) & (angles >= 0)]
        wanted = free[-1] - free[0] if free.size else 0.0
        assert values(record)["lash"] == pytest.approx(wanted, abs=2e-6)
    assert values(one_drill(edge_radius=0, overclose=eps))["lash"] == 0.0


def test_rest_angle():
    rest = respond(demo(overclose=np.array([-0.02, 0.0, 0.02]))).results["rest_angle"]
    np.testing.assert_allclose(rest, [0.02, 0.0, 0.0], atol=1e-15)


# --- facts of the trade (common practice, no source) ------------------------------------------------------------

TRADE = {
    "ball_radius": INCH / 32,
    "pilot_radius": NO_54,
    "rim_radius": NO_53,
    "protrusion": 25 * THOU,
    "face_gap": 20 * THOU,
}


def test_ball_seats_before_the_bar_meets_the_tang():
    # common practice, no source
    response = respond(demo(**TRADE))
    assert float(response.results["seat_depth"]) < 25 * THOU
    assert "bar_on_tang" not in raised(response)
    assert "hangs_loose" not in raised(response)
    # By hand: 1/16 in ball in a sharp #54 hole seats 0.016407 in at 61.64 deg; in a #53 hole 0.021684 in at 72.18.
    for radius, seat, angle in ((NO_54, 0.016407, 61.64), (NO_53, 0.021684, 72.18)):
        results = values(one_drill(radius, edge_radius=0, overclose=0))
        assert results["seat_depth"] / INCH == pytest.approx(seat, abs=5e-7)
        assert np.degrees(results["contact_angle"]) == pytest.approx(angle, abs=0.005)
    deep = respond(demo(**TRADE, rim_feed=0.2e-3))
    assert float(deep.results["seat_depth"]) < 25 * THOU
    assert "bar_on_tang" not in raised(deep)


def test_ball_on_an_unbent_bar_rides_but_hangs_loose_until_bent_or_pressed():
    # common practice, no source: 25 thou of ball over a 20 thou gap rides 5 thou up.
    flat = respond(demo(**TRADE, bend=0))
    results = {key: float(value) for key, value in flat.results.items()}
    assert results["riding_force"] == pytest.approx(results["bar_stiffness"] * 5 * THOU)
    assert raised(flat) == {"hangs_loose"}
    assert results["preload"] == results["seated_force"] == 0.0
    assert np.isnan(results["contact_angle"])
    assert results["lash"] > 0
    for change in ({"bend": 1.6e-3}, {"bend": 0, "grip_force": 5.0}):
        response = respond(demo(**(TRADE | change)))
        assert "hangs_loose" not in raised(response)
        assert float(response.results["preload"]) > 0
        assert float(response.results["lash"]) == 0.0
        assert np.isfinite(response.results["contact_angle"])


def test_larger_drill_fed_far_enough_gives_the_stiffer_detent():
    # common practice, no source
    first = values(one_drill(NO_54))["breakout_force"]
    deep, shallow = (values(demo(**TRADE, rim_feed=q))["breakout_force"] for q in (0.16e-3, 0.05e-3))
    assert deep > 1.4 * first
    assert shallow < first


def test_clamping_the_blade_past_its_stop_makes_it_draw_shut():
    # common practice, no source
    draw = respond(demo(**TRADE, overclose=np.array([-0.005, 0.0, 0.006, 0.03]))).results["draw_torque"]
    assert draw[0] < 0
    assert draw[1] == 0
    assert draw[2] > 0
    assert draw[3] > 0


def test_ball_force_is_what_the_bench_says():
    # The bar's face takes over from the ball where the dimple is deeper than the ball stands out.
    record = one_drill(NO_53, protrusion=0.4e-3, face_gap=0.3e-3, overclose=0.0, edge_radius=0)
    b, response = bench(record), respond(record)
    assert float(response.results["seated_force"]) == float(bar_push(b, np.array([0.55e-3]))[0]) == 0.0
    assert "bar_on_tang" in raised(response)


# --- the blade's weight -----------------------------------------------------------------------------------------


def test_weight_turns_the_blade_toward_its_lowest_place():
    rng = np.random.default_rng(61)
    for _ in range(50):
        tilt, down, theta = rng.uniform(0, 1.5), rng.uniform(-3, 3), rng.uniform(0, 3)
        record = demo(tilt=tilt, down_angle=down)
        # Swing plane tilted from upright; "down" in that plane lies `down` on from the closed blade, opening positive.
        pull = 0.024 * 9.80665 * np.cos(tilt) * np.array([np.cos(down), np.sin(down), 0.0])
        place = 0.034 * np.array([np.cos(theta), np.sin(theta), 0.0])
        wanted = np.cross(place, pull)[2]
        assert float(pivot.gravity_torque(record, theta)) == pytest.approx(wanted, rel=1e-9, abs=1e-12)
        # Left alone it shuts where weight and ball together beat the pivot.
        ball, push = rng.uniform(-0.02, 0.02), rng.uniform(0, 20)
        washers = record._replace(washer_friction=np.asarray(0.1), washer_radius=np.asarray(9e-3))
        surplus = -wanted + ball - (1.5e-3 + 0.1 * 9e-3 * push)
        assert float(standing.closing_surplus(washers, theta, ball, push)) == pytest.approx(
            surplus, rel=1e-9, abs=1e-12
        )
    assert np.isnan(pivot.gravity_torque(demo(blade_mass=np.nan), 1.0))
