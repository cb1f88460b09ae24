"""A slow finger makes the motion stiff: it is solved in few steps all the same, and its torques balance."""

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.mechanics.motion import chebyshev, in_motion, resistance
from detentsim.mechanics.response import respond, starts

SLOWEST = {"finger.speed_limit": "0.05 m/s", "bar.youngs_modulus": "113.8 GPa", "bar.poissons_ratio": 0.342}
"""With the elastic constants that the reference was worked out with."""


@pytest.fixture(scope="module")
def slow():
    """The motion, and how often its rate was asked for."""
    asked, weights = [], chebyshev.weights_at

    def counted(share):
        asked.append(share)
        return weights(share)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(chebyshev, "weights_at", counted)
        return ds.motion(garden().change(SLOWEST)), len(asked)


def test_the_slowest_finger_asks_for_its_rate_ten_thousand_times_at_most(slow):
    """It was 6,900 times. An explicit method of the same accuracy takes forty times as long."""
    assert 1_000 < slow[1] < 10_000


def test_its_values_are_those_of_an_explicit_method(slow):
    """By DOP853 at a relative accuracy of 1e-10, worked out once: 60.3069560410 deg, 34.6224649650 mJ."""
    assert slow[0].results["stall_angle"] == pytest.approx(60.3069560410, abs=1e-7)
    assert slow[0].results["wrist_energy"] == pytest.approx(34.6224649650, abs=1e-6)


def test_its_speed_is_that_of_balanced_torques(slow):
    """Where inertia counts for little, Hill's law solved for the speed at which the push holds the resisting torque."""
    start = starts(
        respond(slow[0].response.load.record._replace(bend=np.atleast_1d(slow[0].response.load.record.bend)))
    )
    rows, way, flight = in_motion.throw(start)
    record = start.load.record
    with_finger = np.flatnonzero((way.arm[0, :, 8] > 0) & (np.ptp(way.theta[0], axis=1) > np.radians(20)))
    assert rows.size == 1
    assert with_finger.size
    for panel in with_finger:
        one = resistance.Panels(*(field[:, panel] for field in way))
        arm, resist = one.arm[0, 8], one.resist[0, 8]
        theta, energy = flight.theta[0, panel], flight.energy[0, panel]
        omega = np.sqrt(2 * energy / record.blade_inertia)
        angle = one.theta[0, 8]
        inertial = np.interp(angle, theta, np.gradient(energy, theta))
        assert abs(inertial) < 0.05 * abs(resist)
        share = (resist + inertial) / (arm * in_motion.finger_force(start)[0])
        u = (1 - share) / (1 + share / record.finger_shape)
        assert np.interp(angle, theta, omega) == pytest.approx(u * record.finger_speed / arm, rel=1e-3)
