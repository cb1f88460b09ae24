"""The blade in motion: closed forms, energy kept to the last millionth, and an integration in time of its own."""

import numpy as np
import pytest
from helpers import standing, ways
from helpers.records import demo, dig
from helpers.scattered import scatter
from numpy.testing import assert_allclose
from scipy.optimize import brentq, minimize_scalar
from scipy.special import ellipk

from detentsim.mechanics.motion import blade, chebyshev, in_motion, pivot, swing
from detentsim.mechanics.motion.resistance import Panels
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import respond, starts

MOTION = ("opens_fully", "stall_angle", "arrival_speed", "arrival_energy", "wrist_energy")
ENDLESS = 1e12  # a speed limit no blade comes near


def legs(edges, resist, arm):
    """A track of one design over edges [rad], its torque and arm as functions of the angle."""
    edges = np.asarray(edges, float)
    theta = edges[:-1, None] + np.diff(edges)[:, None] * chebyshev.POINTS
    mid = np.broadcast_to(((edges[:-1] + edges[1:]) / 2)[:, None], theta.shape)
    return Panels(*(np.array(np.broadcast_to(f(theta, mid), theta.shape))[None] for f in (lambda t, _: t, resist, arm)))


def thrown(record, way, force):
    return swing.thrown(type(record)(*(np.reshape(field, 1) for field in record)), way, np.array([force]))


# The blade as a body


@pytest.mark.parametrize(
    ("root", "tip", "centre", "square"),
    [
        (30, 30, 50, 100**2 / 3 + 30**2 / 12),  # any text on mechanics: rectangle, L^2/3 + w^2/12
        (30, 10, 41.666667, 2541.666667),
        (30, 0, 100 / 3, 1704.166667),  # triangle: L/3, L^2/6 + w^2/24
    ],
)
def test_tapered_plates_of_the_texts(root, tip, centre, square):
    found = blade.tapered(root, tip, 100)
    assert float(found.area) == pytest.approx(50 * (root + tip), rel=1e-12)
    assert float(found.centre) == pytest.approx(centre, rel=1e-8)
    assert float(found.square) == pytest.approx(square, rel=1e-8)


def test_a_tapered_plate_is_the_sum_of_its_strips():
    rng = np.random.default_rng(5)
    for _ in range(20):
        root, tip, length = rng.uniform(5, 40), rng.uniform(0, 30), rng.uniform(40, 120)
        x = (np.arange(200_000) + 0.5) / 200_000 * length
        wide = root + (tip - root) * x / length
        found = blade.tapered(root, tip, length)
        assert float(found.centre) == pytest.approx(np.sum(wide * x) / np.sum(wide), rel=1e-9)
        assert float(found.square) == pytest.approx(np.sum(wide * (x**2 + wide**2 / 12)) / np.sum(wide), rel=1e-9)


def test_the_rod_of_a_metre_swings_in_1_638226_seconds():
    """Any text on mechanics: T = 2 pi sqrt(I/(m g d)); 1 m rod about its end, g = 9.80665 m/s^2."""
    assert float(blade.pendulum_inertia(1.638226, 2.0, 0.5)) == pytest.approx(2 / 3, rel=1e-6)
    assert float(blade.pendulum_inertia(0.5, 0.024, 0.034)) == pytest.approx(
        0.024 * 9.80665 * 0.034 * (0.5 / 2 / np.pi) ** 2, rel=1e-12
    )


# The pendulum, let go at an amplitude, as far as its lowest point: a quarter of its period


def quarter(amplitude, pieces=1):
    """Seconds of a quarter swing of the rod of a metre."""
    rod = demo(blade_mass=1.0, balance_radius=0.5, blade_inertia=1 / 3, down_angle=amplitude)
    way = legs(np.linspace(0, amplitude, pieces + 1), lambda t, _: -pivot.gravity_torque(rod, t), lambda t, _: 0 * t)
    found = thrown(rod, way, 0.0)
    drop = 9.80665 * 0.5 * (1 - np.cos(amplitude))
    assert found.energy[0, -1, -1] == pytest.approx(drop, rel=1e-12)
    return float(found.time[0, -1, -1])


def test_small_swing_of_a_compound_pendulum():
    assert 4 * quarter(np.radians(0.5)) == pytest.approx(1.638226, rel=3e-4)
    assert 4 * quarter(np.radians(0.5), 8) == pytest.approx(1.638226 * (1 + np.radians(0.5) ** 2 / 16), rel=2e-5)


@pytest.mark.parametrize(
    ("degrees", "one", "eight"),
    [(20, 1e-3, 5e-5), (60, 1e-3, 5e-5), (90, 1e-3, 5e-5), (150, 1e-3, 5e-5), (175, 4e-3, 5e-4)],
)
def test_large_swing_of_a_compound_pendulum(degrees, one, eight):
    """T = 4 sqrt(I/(m g d)) K(sin^2(amplitude/2)), complete elliptic integral of the first kind.

    The time between looks takes an even acceleration; next to the dead point the blade creeps between them.
    """
    amplitude = np.radians(degrees)
    wanted = np.sqrt(1 / 3 / (9.80665 * 0.5)) * ellipk(np.sin(amplitude / 2) ** 2)
    errors = [abs(quarter(amplitude, n) / wanted - 1) for n in (1, 8)]
    assert errors[0] < one
    assert errors[1] < eight
    assert errors[1] < errors[0] / 5


FLOATING = {"bend": -1e-3, "friction": 0.0, "washer_friction": 0.0}


def falling(**changes):
    """A blade on its pivot alone: a bar that never reaches it."""
    record = demo(**(FLOATING | changes))
    response = respond(record, ("falls_shut", "hang_angle"))
    assert response.flags["floats"]
    return {name: float(value) for name, value in response.results.items()}


def test_a_pendulum_with_dry_friction_loses_as_much_at_every_swing():
    """Any text on vibration: small swings lose 2 T/(m g d) each half, whatever the amplitude."""
    weight = 0.024 * 9.80665 * 0.034
    rub = 0.01 * weight
    for out in (0.05, 0.1, 0.2):
        found = falling(pivot_torque=rub, down_angle=1.5, close_from=1.5 + out)
        assert 1.5 - found["hang_angle"] == pytest.approx(out - 2 * rub / weight, abs=out**3 / 10)
        exact = brentq(lambda a, out=out: weight * (np.cos(a) - np.cos(out)) - rub * (a + out), 0, out - 1e-6)
        assert 1.5 - found["hang_angle"] == pytest.approx(exact, abs=2e-5)


@pytest.mark.parametrize("tilt", [0.0, 0.9])
def test_a_pendulum_with_dry_friction_from_high_up(tilt):
    weight = 0.024 * 9.80665 * 0.034 * np.cos(tilt)
    for rub in (0.05, 0.2, 0.4):
        exact = brentq(lambda a, s=rub: np.cos(a) - np.cos(1.4) - s * (a + 1.4), -1.4 + 1e-6, 1.4)
        found = falling(pivot_torque=rub * weight, down_angle=1.6, close_from=3.0, tilt=tilt)
        assert 1.6 - found["hang_angle"] == pytest.approx(exact, abs=5e-5)
        assert found["falls_shut"] == 0
    assert falling(pivot_torque=0.0, down_angle=1.6, close_from=3.1, tilt=tilt)["hang_angle"] == pytest.approx(
        0.1, abs=5e-5
    )
    assert falling(pivot_torque=0.0, down_angle=1.5, close_from=3.1, tilt=tilt)["falls_shut"] == 1


def test_friction_that_beats_the_weight_lets_it_hang_where_it_is():
    weight = 0.024 * 9.80665 * 0.034
    for share, hangs in ((0.999, False), (1.001, True)):
        found = falling(pivot_torque=share * weight, down_angle=0.0, close_from=np.pi / 2)
        assert found["falls_shut"] == 0
        assert (found["hang_angle"] > np.pi / 2 - 1e-9) is hangs


# The finger


def pushed(u, shape=0.25, limit=1.5):
    """Force of a finger of 10 N at a share of its speed limit."""
    record = demo(finger_speed=limit, finger_shape=shape)
    arm = 0.015
    energy = float(record.blade_inertia) / 2 * (u * limit / arm) ** 2
    return float(swing.push(record, np.array(10.0), np.array(energy), np.array(arm)))


@pytest.mark.parametrize("shape", [0.1, 0.25, 1.0, 4.0])
def test_ends_and_peak_power_of_the_force_velocity_law(shape):
    """A. V. Hill 1938, normalised: F0 at rest, none at the limit, most power at u = shape(sqrt(1 + 1/shape) - 1)."""
    assert pushed(0, shape) == 10
    assert pushed(1, shape) == pytest.approx(0, abs=1e-12)
    assert pushed(1.5, shape) == 0
    assert pushed(0.5, shape) == pytest.approx(10 * 0.5 / (1 + 0.5 / shape), rel=1e-12)
    top = minimize_scalar(lambda u: -u * pushed(u, shape), bounds=(0, 1), method="bounded", options={"xatol": 1e-10})
    assert top.x == pytest.approx(shape * (np.sqrt(1 + 1 / shape) - 1), abs=1e-6)


def test_a_blade_held_back_is_pushed_as_one_at_rest():
    assert float(swing.push(demo(), np.array(10.0), np.array(-1.0), np.array(0.015))) == 10


def test_constant_force_gives_force_times_way():
    """E = F s, and t = sqrt(2 I angle/torque) from rest."""
    record = demo(finger_speed=ENDLESS)
    way = legs([0, 0.3, 1.0], lambda t, _: 0 * t, lambda t, _: 0.015 + 0 * t)
    found = thrown(record, way, 4.0)
    assert_allclose(found.energy[0], 4.0 * 0.015 * found.theta[0], rtol=1e-9)
    assert found.time[0, -1, -1] == pytest.approx(np.sqrt(2 * 40e-6 * 1.0 / 0.06), rel=1e-9)
    assert_allclose(found.work, 0, atol=1e-18)


def test_a_step_of_torque_bends_the_energy_and_not_the_speed():
    """0.06 N m of push against 0.01, then 0.05 N m after half a radian; then 0.08 stops it at 0.875 + ..."""
    record = demo(finger_speed=ENDLESS)
    way = legs([0, 0.5, 1.0], lambda _, mid: np.where(mid < 0.5, 0.01, 0.05), lambda t, _: 0.015 + 0 * t)
    found = thrown(record, way, 4.0)
    assert found.energy[0, 0, -1] == pytest.approx(0.025, rel=1e-9)
    assert found.energy[0, 1, -1] == pytest.approx(0.03, rel=1e-9)
    first, last = np.sqrt(2 * 0.025 / 40e-6), np.sqrt(2 * 0.03 / 40e-6)
    assert found.time[0, -1, -1] == pytest.approx(0.5 * 2 / first + 0.5 * 2 / (first + last), rel=1e-7)
    assert np.isnan(swing.first_stop(found.theta, found.energy))[0]
    # 0.025 J against 0.04 N m more than the finger gives lasts 0.625 rad; against 0.14 N m, 0.17857 rad.
    for torque, at in ((0.16, 0.75), (0.2, 0.5 + 0.025 / 0.14)):
        way = legs([0, 0.5, 1.0], lambda _, mid, t=torque: np.where(mid < 0.5, 0.01, t), lambda t, _: 0.015 + 0 * t)
        found = thrown(record, way, 4.0)
        assert float(swing.first_stop(found.theta, found.energy)[0]) == pytest.approx(at, abs=1e-8)
        assert np.isposinf(found.time[0, -1, -1])
        assert found.energy[0, -1, -1] == pytest.approx(0.025 - 0.5 * (torque - 0.06), rel=1e-9)


def test_a_finger_by_hills_law_against_nothing():
    """Angle F0 r^3/(I V^2) = -u^2/(2k) - (1 + 1/k)(u + ln(1 - u)) by partial fractions of u(1 + u/k)/(1 - u)."""
    for shape, force in ((0.25, 2.0), (0.25, 40.0), (1.0, 10.0)):
        record = demo(finger_speed=1.5, finger_shape=shape)
        way = legs([0, 0.01, 0.2, 1.0], lambda t, _: 0 * t, lambda t, _: 0.015 + 0 * t)
        found = thrown(record, way, force)
        for leg, theta in enumerate((0.01, 0.2, 1.0)):
            u = 0.015 * np.sqrt(2 * found.energy[0, leg, -1] / 40e-6) / 1.5
            angle = -(u**2) / 2 / shape - (1 + 1 / shape) * (u + np.log1p(-u))
            # Near the limit the angle grows without end with the speed.
            tolerance = 1e-8 + 1e-9 * u * (1 + u / shape) / (1 - u) * u / angle
            assert angle * 40e-6 * 1.5**2 / (force * 0.015**3) == pytest.approx(theta, rel=tolerance)
            assert 0.01 < u < 1


def test_the_first_step_is_the_series_of_the_same_law():
    """A root of the speed's limit slows the finger within the first step; the closed form above, turned round."""
    shape, limit, force = 0.25, 0.05, 4.0
    record = demo(finger_speed=limit, finger_shape=shape)
    record = type(record)(*(np.reshape(field, 1) for field in record))
    one = Panels(*(field[:, 0] for field in legs([0, 1.0], lambda t, _: 0 * t, lambda t, _: 0.015 + 0 * t)))
    angle = swing.FIRST**2
    wanted = angle * force * 0.015**3 / (40e-6 * limit**2)
    u = brentq(lambda u: -(u**2) / 2 / shape - (1 + 1 / shape) * (u + np.log1p(-u)) - wanted, 1e-6, 0.5, xtol=1e-16)
    exact = 40e-6 / 2 * (u * limit / 0.015) ** 2
    found = float(swing._series(record, one, np.array([force]), np.zeros(1))[0])
    assert exact < 0.999 * force * 0.015 * angle
    assert found == pytest.approx(exact, rel=1e-4)


def test_a_lean_finger_never_starts():
    """A push of less torque than resists leaves the blade where it is, by the whole work that it lacks."""
    way = legs([0.1, 1.0], lambda t, _: 0.05 + 0 * t, lambda t, _: 0.015 + 0 * t)
    found = thrown(demo(), way, 3.0)
    assert float(swing.first_stop(found.theta, found.energy)[0]) == pytest.approx(0.1, abs=1e-12)
    assert found.energy[0, -1, -1] == pytest.approx(-0.9 * 0.005, rel=1e-9)


# Real ways


def chosen(count, seed, **fields):
    """Designs that break out, every field varied, with what the package says of their motion."""
    record = scatter(1200, seed)._replace(stop_gap=np.full(1200, np.inf))  # nothing stops these short
    rng = np.random.default_rng(seed)
    record = record._replace(blade_inertia=rng.uniform(1.5e-5, 6e-5, 1200), **fields)
    response = respond(record, (*RESULT_NAMES, *MOTION))
    rows = np.flatnonzero(np.isfinite(response.results["breakout_force"]))
    return record, response, rows[rng.permutation(rows.size)[:count]]


def own_way(record, i):
    """One design's way from its breakout, put together again, and the push of its finger by hand."""
    one = respond(dig(record, i))
    start = float(one.results["breakout_force_angle"])
    way = ways.path(one, opening=True, low=start, high=float(record.open_angle[i]))
    f = way.record
    weight = f.blade_mass * 9.80665 * f.balance_radius * np.cos(f.tilt) * np.sin(f.down_angle - start)
    force = f.finger_effort * max(float(one.results["breakout_force"]) - weight / ways.arm_at(f, start), 0.0)
    return way, force


@pytest.fixture(scope="module")
def thrown_thirty():
    record, response, rows = chosen(30, 81)
    flights = []
    for i in rows:
        way, force = own_way(record, i)
        flights.append((way, force, ways.fly(way, force)))
    return record, response, rows, flights


@pytest.mark.slow
def test_the_thirty_are_of_every_kind(thrown_thirty):
    record, response, rows, flights = thrown_thirty
    give = response.load.spring.twist_give[rows]
    for truth in (give > 0, response.flags["snaps"][rows], np.isnan(record.leaves_at[rows])):
        assert 0 < np.count_nonzero(truth) < 30
    assert np.all(record.washer_friction[rows] > 0)
    assert 8 < sum(flight.opens for _, _, flight in flights) < 22
    assert sum(not f.opens and f.angle > w.edges[0] + 1e-6 for w, _, f in flights) > 5


@pytest.mark.slow
def test_energy_is_kept_to_a_millionth_of_the_work_put_in(thrown_thirty):
    """At every edge it passes. The finger's work is integrated in time, the work against it by Gauss over the angle."""
    record, response, rows, flights = thrown_thirty
    stalled = 0
    for i, (way, _, flight) in zip(rows, flights, strict=True):
        assert bool(response.results["opens_fully"][i]) == flight.opens, i
        found = in_motion.throw(starts(respond(dig(record, i))))[2]
        ends, energy = found.theta[0, :, -1], found.energy[0, :, -1]
        for angle, _, finger in flight.marks:
            leg = int(np.argmin(np.abs(ends - angle)))
            assert abs(ends[leg] - angle) < 1e-9, i
            cut = way._replace(edges=np.append(way.edges[way.edges < angle - 1e-12], angle))
            spent = ways.work(cut)
            assert abs(energy[leg] - (finger - spent)) <= 1e-6 * (finger + max(-spent, 0.0)), i
            stalled += not flight.opens
    assert stalled > 20


@pytest.mark.slow
def test_results_of_a_throw_are_of_a_piece(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    for i, (way, _, flight) in zip(rows, flights, strict=True):
        results = {name: float(response.results[name][i]) for name in MOTION}
        gone = ("stall_angle", "wrist_energy") if flight.opens else ("arrival_speed", "arrival_energy")
        assert {name for name in MOTION if np.isnan(results[name])} == set(gone)
        if flight.opens:
            half = way.record.blade_inertia / 2
            assert results["arrival_energy"] == pytest.approx(half * results["arrival_speed"] ** 2, rel=1e-12)


@pytest.mark.slow
def test_an_integration_in_time_arrives_and_stalls_alike(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    for i, (_, _, flight) in zip(rows, flights, strict=True):
        if flight.opens:
            assert float(response.results["arrival_speed"][i]) == pytest.approx(flight.speed, rel=1e-6), i
        else:
            assert float(response.results["stall_angle"][i]) == pytest.approx(flight.angle, abs=1e-5), i


@pytest.mark.slow
def test_the_time_of_a_throw(thrown_thirty):
    record, _, rows, flights = thrown_thirty
    seen = 0
    for i, (_, _, flight) in zip(rows, flights, strict=True):
        one = respond(dig(record, i))
        found = in_motion.throw(starts(one))[2]
        if flight.opens:
            seen += 1
            assert found.time[0, -1, -1] == pytest.approx(flight.time, rel=1e-3), i
        else:
            assert np.isposinf(found.time[0, -1, -1])
    assert seen > 8


@pytest.mark.slow
def test_what_the_wrist_would_add(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    seen = 0
    for i, (way, force, flight) in zip(rows, flights, strict=True):
        if not flight.opens:
            wanted = ways.lacks(way, force, flight.angle)
            assert float(response.results["wrist_energy"][i]) == pytest.approx(wanted, rel=1e-4, abs=1e-7), i
            seen += wanted > 1e-4
    assert seen > 5


# Falling


@pytest.mark.slow
@pytest.mark.parametrize("inside", [False, True])
def test_a_fall_is_the_area_under_what_shuts(inside):
    """Let go outside the dimple or inside, proud or not, in every attitude; a dense trapezoidal rule."""
    rng = np.random.default_rng(91)
    count = 300
    record = scatter(count, 92)
    record = record._replace(
        down_angle=rng.uniform(-np.pi, np.pi, count),
        blade_mass=rng.uniform(0.03, 0.5, count),
        friction=record.friction * rng.choice([0.1, 1.0], count),
    )
    if inside:
        record = record._replace(close_from=np.maximum(-record.overclose, 0) + rng.uniform(0.002, 0.2, count))
    response = respond(record, (*RESULT_NAMES, "falls_shut", "hang_angle"))
    start = starts(response)
    rows, _, fallen = in_motion.fall(start)
    assert rows.size == count
    seen = {"shut": 0, "hangs": 0, "stays": 0, "proud": 0}
    for i in np.flatnonzero(~response.flags["floats"])[:40]:
        rest, let_go = float(start.rest[i]), float(min(record.close_from[i], record.open_angle[i]))
        way = ways.path(respond(dig(record, i)), opening=False, low=rest, high=let_go, splines=False)
        stop, gained = ways.drop(way)
        assert bool(response.results["falls_shut"][i]) == (stop is None), i
        if stop is None:
            assert np.isnan(response.results["hang_angle"][i])
            assert fallen.energy[i, -1, -1] == pytest.approx(gained, rel=1e-5), i
            seen["shut"] += 1
            seen["proud"] += rest > 0
        else:
            assert float(response.results["hang_angle"][i]) == pytest.approx(stop, abs=2e-5), i
            seen["hangs" if stop < let_go - 1e-6 else "stays"] += 1
    assert min(seen["shut"], seen["stays"]) > 5, seen
    assert min(seen["proud"], seen["hangs"] + inside) > 0, seen


def test_what_falls_from_standstill_everywhere_falls_shut():
    record = scatter(3000, 93)
    response = respond(record, (*RESULT_NAMES, "falls_shut"))
    still = standing.falls_shut(response.load, response.rest.phi, response.rest.angle)
    moving = response.results["falls_shut"] > 0
    assert np.all(moving[still])
    assert 30 < np.count_nonzero(still) < np.count_nonzero(moving) < 1500
