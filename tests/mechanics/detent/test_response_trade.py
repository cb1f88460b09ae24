"""Results by their definitions: grip, lash, facts of the trade, and the blade's weight."""

import numpy as np
import pytest
from helpers.records import BALL, INCH, NO_53, NO_54, THOU, demo, one_drill, raised, values
from helpers.walked import bar_push, bench

from detentsim.mechanics.bar import beam
from detentsim.mechanics.motion import pivot, shutting
from detentsim.mechanics.response import respond

RHO = 8e-3


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
        assert float(shutting.closing_surplus(washers, theta, ball, push)) == pytest.approx(
            surplus, rel=1e-9, abs=1e-12
        )
    assert np.isnan(pivot.gravity_torque(demo(blade_mass=np.nan), 1.0))
