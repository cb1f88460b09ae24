"""The blade in motion against closed forms: tapered plates, pendulums and the finger's force."""

import numpy as np
import pytest
from helpers.records import demo
from numpy.testing import assert_allclose
from scipy.optimize import brentq, minimize_scalar
from scipy.special import ellipk

from detentsim.mechanics.motion import blade, chebyshev, pivot, resistance, swing
from detentsim.mechanics.motion.resistance import Panels
from detentsim.mechanics.response import respond

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
    return float(swing.times(rod, found)[0, -1, -1])


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
    assert swing.times(record, found)[0, -1, -1] == pytest.approx(np.sqrt(2 * 40e-6 * 1.0 / 0.06), rel=1e-9)
    assert_allclose(resistance.spent(way), 0, atol=1e-18)


def test_a_step_of_torque_bends_the_energy_and_not_the_speed():
    """0.06 N m of push against 0.01, then 0.05 N m after half a radian; then 0.08 stops it at 0.875 + ..."""
    record = demo(finger_speed=ENDLESS)
    way = legs([0, 0.5, 1.0], lambda _, mid: np.where(mid < 0.5, 0.01, 0.05), lambda t, _: 0.015 + 0 * t)
    found = thrown(record, way, 4.0)
    assert found.energy[0, 0, -1] == pytest.approx(0.025, rel=1e-9)
    assert found.energy[0, 1, -1] == pytest.approx(0.03, rel=1e-9)
    first, last = np.sqrt(2 * 0.025 / 40e-6), np.sqrt(2 * 0.03 / 40e-6)
    assert swing.times(record, found)[0, -1, -1] == pytest.approx(0.5 * 2 / first + 0.5 * 2 / (first + last), rel=1e-7)
    assert np.isnan(resistance.first_stop(found.theta, found.energy))[0]
    # 0.025 J against 0.04 N m more than the finger gives lasts 0.625 rad; against 0.14 N m, 0.17857 rad.
    for torque, at in ((0.16, 0.75), (0.2, 0.5 + 0.025 / 0.14)):
        way = legs([0, 0.5, 1.0], lambda _, mid, t=torque: np.where(mid < 0.5, 0.01, t), lambda t, _: 0.015 + 0 * t)
        found = thrown(record, way, 4.0)
        assert float(resistance.first_stop(found.theta, found.energy)[0]) == pytest.approx(at, abs=1e-8)
        assert np.isposinf(swing.times(record, found)[0, -1, -1])
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
    assert float(resistance.first_stop(found.theta, found.energy)[0]) == pytest.approx(0.1, abs=1e-12)
    assert found.energy[0, -1, -1] == pytest.approx(-0.9 * 0.005, rel=1e-9)


def test_a_motion_that_is_not_solved_is_an_error_in_one_sentence(monkeypatch):
    """Too little work allowed, and a torque that is no number; of two knives only the one that fails is at fault."""
    way = legs([0, 1.0], lambda t, _: 0.01 + 0 * t, lambda t, _: 0.015 + 0 * t)
    with monkeypatch.context() as less:
        less.setattr(swing, "MOST_WORK", 10)
        with pytest.raises(swing.MotionError, match=r"past 0 deg was not solved \(not done after 10 evaluations\)"):
            thrown(demo(), way, 3.0)
    broken = way._replace(resist=np.full_like(way.resist, np.nan))
    with pytest.raises(swing.MotionError, match="not solved"):
        thrown(demo(), broken, 3.0)


def test_designs_that_fail_together_are_solved_apart(monkeypatch):
    way = legs([0, 1.0], lambda t, _: 0.01 + 0 * t, lambda t, _: 0.015 + 0 * t)
    alone, solve = thrown(demo(), way, 3.0), swing._integrated
    monkeypatch.setattr(
        swing, "_integrated", lambda *given: (given[0], "too many") if given[2].size > 1 else solve(*given)
    )
    twice = Panels(*(np.concatenate([field, field]) for field in way))
    record = type(demo())(*(np.reshape(field, 1) for field in demo()))
    both = swing.thrown(type(record)(*(np.repeat(field, 2) for field in record)), twice, np.full(2, 3.0))
    np.testing.assert_array_equal(both.energy, np.concatenate([alone.energy, alone.energy]))
