"""A blade that falls on its pivot against a general-purpose rigid-body engine, pymunk, with ever finer steps.

The engine knows bodies, joints and gravity; friction is a motor at rest of a limited torque, as the engine's manual
has it. It steps forward in time at first order, so halving the step halves what it misses.
"""

import numpy as np
import pymunk
import pytest

from detentsim.mechanics.motion import chebyshev, pivot, resistance, swing
from detentsim.mechanics.motion.resistance import Panels
from detentsim.mechanics.record import Record

MASS, BALANCE, INERTIA, RUB = 0.030, 0.034, 50e-6, 2e-3  # kg, m, kg m^2, N m
STEPS = (4e-4, 2e-4, 1e-4, 5e-5, 2.5e-5)


def engine(dt, start, end, extra, longest=5.0):
    """Speed at blade angle `end` and time from rest at `start`, angles from straight down; `extra` resists past 0.

    None where the blade has not come there after the longest time [s].
    """
    space = pymunk.Space()
    space.gravity = (0.0, -9.80665)
    space.iterations = 50
    body = pymunk.Body(MASS, INERTIA - MASS * BALANCE**2)
    body.position = (BALANCE * np.sin(start), -BALANCE * np.cos(start))
    body.angle = start
    joint = pymunk.PivotJoint(space.static_body, body, (0, 0), body.world_to_local((0, 0)))
    rub = pymunk.SimpleMotor(space.static_body, body, 0.0)
    rub.max_force = RUB
    space.add(body, joint, rub)
    time, angle, speed = 0.0, start, 0.0
    while time < longest:
        body.torque = -np.sign(end - start) * (extra if angle * np.sign(end - start) > 0 else 0.0)
        space.step(dt)
        time += dt
        if (body.angle - end) * (end - start) >= 0:
            share = (end - angle) / (body.angle - angle)
            return abs(speed + share * (body.angular_velocity - speed)), time - dt + share * dt
        angle, speed = body.angle, body.angular_velocity
    return None


def package(start, end, extra):
    """The same by the package: legs of the track to the lowest point and beyond; None where it stops on the way."""
    fields = dict.fromkeys(Record._fields, np.array([np.nan]))
    fields |= {
        "blade_mass": np.array([MASS]),
        "balance_radius": np.array([BALANCE]),
        "blade_inertia": np.array([INERTIA]),
    }
    fields |= {"tilt": np.zeros(1), "down_angle": np.array([-start])}
    record = Record(**fields)
    edges = np.concatenate([np.linspace(0, -start, 9), np.linspace(-start, end - start, 5)[1:]])
    theta = (edges[:-1, None] + np.diff(edges)[:, None] * chebyshev.POINTS)[None]
    against = RUB - pivot.gravity_torque(record, theta) + np.where(np.arange(12) >= 8, extra, 0.0)[:, None]
    found = swing.thrown(record, Panels(theta, against, np.zeros_like(theta)), np.zeros(1))
    if not np.isnan(resistance.first_stop(found.theta, found.energy))[0]:
        return None
    return float(np.sqrt(2 * found.energy[0, -1, -1] / INERTIA)), float(swing.times(record, found)[0, -1, -1])


@pytest.mark.parametrize("extra", [0.0, 4e-3])
def test_a_fall_from_level_with_dry_friction_and_a_step_of_torque(extra):
    """From 90 degrees to 20 degrees past straight down, where the step resists."""
    start, end = -np.pi / 2, np.radians(20)
    speed, time = package(start, end, extra)
    found = np.array([engine(dt, start, end, extra) for dt in STEPS])
    missed = np.abs(found / [speed, time] - 1)
    assert np.all(missed[-1] < 5e-4)
    assert np.all(missed[0] > 4 * missed[-1])
    # Carried on to steps of no length, by the first order of the engine.
    limit = 2 * found[-1] - found[-2]
    # The step of torque comes into force between two steps of the engine.
    np.testing.assert_allclose(limit, [speed, time], rtol=5e-5 if extra == 0 else 4e-4)


def test_where_dry_friction_and_the_step_stop_it():
    """It comes to rest where the engine's blade turns back or stands."""
    start, extra = -np.pi / 2, 8e-3
    weight = MASS * 9.80665 * BALANCE
    stops = np.linspace(0, np.pi / 2, 200_001)
    left = weight * np.cos(stops) - RUB * (np.pi / 2 + stops) - extra * stops
    stop = stops[np.argmax(left <= 0)]
    assert engine(5e-5, start, stop - 0.002, extra) is not None
    assert package(start, stop - 0.002, extra) is not None
    assert engine(1e-4, start, stop + 0.002, extra, longest=1.0) is None
    assert package(start, stop + 0.002, extra) is None
