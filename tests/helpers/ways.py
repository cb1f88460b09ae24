"""A blade's way put together from what is felt at each blade angle, and motion along it worked out once more.

Only `at_blade_angle.torque_at`, the pivot's friction and the blade's weight are read from the package;
they have tests of their own.
"""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.polynomial.legendre import leggauss
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

from detentsim.mechanics.motion import pivot
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import Record, last_axis

GAUSS, WEIGHTS = leggauss(30)
POINTS = 240

# Shorter than any part of a way, longer than rounding [rad].
HAIR = 1e-13


class Path(NamedTuple):
    """One design's resistance between edges: [N m] against opening, or pulling shut when closing."""

    record: Record
    edges: np.ndarray  # blade angles between which all is smooth [rad]
    parts: list  # a spline between each two
    value: object  # the torque itself at blade angles, and whether from above


def torque(response, table, theta, *, opening, above):
    """Torque against opening, or left over for shutting, with pivot and weight [N m]."""
    record = response.load.record
    felt = at_blade_angle.torque_at(table, theta, opening=opening, above=above)
    wide = last_axis(record)
    weight = np.nan_to_num(pivot.gravity_torque(wide, theta))
    ball = felt.torque + (felt.face_drag if opening else -felt.face_drag)
    rubbed = pivot.pivot_torque(wide, felt.push, ball)
    return ball + (rubbed if opening else -rubbed) - weight


def path(response, *, opening, low, high, splines=True):
    """The way of one design (0-d) between two blade angles; without splines nothing moves along it in time."""
    rest = response.rest
    if opening:
        table = at_blade_angle.opening_table(response.load, rest.phi, rest.slip)
    else:
        table = at_blade_angle.closing_table(response.load, rest.phi)
    cuts = np.concatenate([table.met.low, table.met.high, table.met.before, np.ravel(rest.slip)])
    cuts = np.unique(np.clip(cuts[np.isfinite(cuts)], low, high))
    edges = np.unique(np.concatenate([[low, high], cuts]))
    edges = edges[np.concatenate([[True], np.diff(edges) > 1e-12])]

    def value(theta, above):
        return torque(response, table, np.asarray(theta, float), opening=opening, above=above)

    parts = []
    for left, right in pairwise(edges) if splines else ():
        # Dense at both ends: next to a hand-over the torque may start like a root.
        grid = left + (right - left) * (1 - np.cos(np.pi * np.arange(POINTS + 1) / POINTS)) / 2
        inner = value(grid[1:-1], True)
        # A hair inside: by rounding an edge may lie on the other side of a jump of the torque.
        ends = value(grid[:1] + HAIR, True), value(grid[-1:] - HAIR, False)
        parts.append(CubicSpline(grid, np.concatenate([ends[0], inner, ends[1]])))
    record = Record(*(float(field) for field in response.load.record))
    return Path(record, edges, parts, value)


def work(way):
    """Area under the torque between its edges [J]."""
    total = 0.0
    for left, right in pairwise(way.edges):
        theta = (left + right) / 2 + (right - left) / 2 * GAUSS
        total += (right - left) / 2 * float(np.sum(WEIGHTS * way.value(theta, True)))
    return total


def push(record, force, arm, omega):
    """Force of the finger at a speed [N], written out from Hill's law."""
    u = arm * max(omega, 0.0) / record.finger_speed
    return force * max(0.0, (1 - u) / (1 + u / record.finger_shape))


def arm_at(record, theta):
    """Arm of the finger [m] while it is on the blade."""
    turned = record.push_angle if record.push_follows > 0 else record.push_angle - theta
    return max(record.opener_radius * np.cos(turned) - record.friction_circle, 0.0)


def lost_at(record):
    """Blade angle beyond which there is no finger."""
    least = record.friction_circle / record.opener_radius
    ends = [np.inf if np.isnan(record.leaves_at) else record.leaves_at]
    if record.push_follows > 0:
        ends.append(np.inf if np.cos(record.push_angle) > least else -np.inf)
    else:
        ends.append(record.push_angle + np.arccos(least))
    return min(ends)


class Flight(NamedTuple):
    """What came of a throw."""

    opens: bool
    angle: float  # where it stopped, or lock-up [rad]
    speed: float  # [rad/s]
    time: float  # [s]
    finger: float  # work of the finger [J]
    marks: list  # blade angle, speed and the finger's work so far at every edge passed


def fly(way, force):
    """Integrate angle and speed in time from rest at the way's first edge; the finger's work rides along."""
    record = way.record
    leaves = lost_at(record)
    edges = np.unique(np.append(way.edges, np.clip(leaves, way.edges[0], way.edges[-1])))
    state, clock, marks = np.array([edges[0], 0.0, 0.0]), 0.0, []
    for left, right in pairwise(edges):
        part = way.parts[min(int(np.searchsorted(way.edges, (left + right) / 2)) - 1, len(way.parts) - 1)]
        held = right <= leaves + 1e-12

        def rates(_, y, part=part, held=held, left=left, right=right):
            theta = min(max(y[0], left), right)
            arm = arm_at(record, theta) if held else 0.0
            pushed = push(record, force, arm, y[1]) * arm
            return [y[1], (pushed - float(part(theta))) / record.blade_inertia, pushed * y[1]]

        if state[1] <= 0 and rates(0, state)[1] <= 0:
            return Flight(False, state[0], 0.0, np.inf, state[2], marks)

        def arrives(_, y, right=right):
            return y[0] - right

        def stops(_, y):
            return y[1]

        arrives.terminal = stops.terminal = True
        arrives.direction, stops.direction = 1, -1
        found = solve_ivp(
            rates, (0, 20), state, method="DOP853", events=(arrives, stops), rtol=1e-10, atol=1e-13, first_step=1e-7
        )
        hit = 0 if found.t_events[0].size else 1
        clock, state = clock + found.t_events[hit][0], found.y_events[hit][0]
        if hit == 1:
            return Flight(False, state[0], 0.0, np.inf, state[2], marks)
        state[0] = right
        marks.append(tuple(state))
    return Flight(True, state[0], state[1], clock, state[2], marks)


def lacks(way, force, stopped):
    """What a wrist would have to add from where the blade stopped until lock-up, the finger resting on it [J]."""
    record = way.record
    leaves = lost_at(record)
    edges = np.unique(np.concatenate([[stopped], way.edges, [np.clip(leaves, way.edges[0], way.edges[-1])]]))
    edges = edges[edges >= stopped]
    energy, least = 0.0, 0.0
    for left, right in pairwise(edges):
        part = way.parts[min(int(np.searchsorted(way.edges, (left + right) / 2)) - 1, len(way.parts) - 1)]
        held = right <= leaves + 1e-12

        def rise(theta, y, part=part, held=held):
            arm = arm_at(record, theta) if held else 0.0
            omega = np.sqrt(2 * max(y[0], 0.0) / record.blade_inertia)
            return [push(record, force, arm, omega) * arm - float(part(theta))]

        found = solve_ivp(rise, (left, right), [energy], method="LSODA", rtol=1e-8, atol=1e-12)
        energy = found.y[0, -1]
        least = min(least, float(np.min(found.y[0])))
    return -least


def drop(way):
    """Let the blade fall from the way's far end: where it stops (None: nowhere), and its energy there [J]."""
    gained, theta, energy, pull = 0.0, [], [], []
    for left, right in reversed(list(pairwise(way.edges))):
        grid = right - (right - left) * (1 - np.cos(np.pi * np.arange(401) / 400)) / 2
        inner = way.value(grid[1:-1][::-1], True)[::-1]
        torque = np.concatenate([way.value(grid[:1], False), inner, way.value(grid[-1:], True)])
        steps = (torque[1:] + torque[:-1]) / 2 * -np.diff(grid)
        theta.append(grid)
        pull.append(torque)
        energy.append(gained + np.concatenate([[0.0], np.cumsum(steps)]))
        gained = energy[-1][-1]
    angles, gains, pulls = (np.concatenate(part) for part in (theta, energy, pull))
    lost = np.flatnonzero(gains < -1e-10 * np.max(np.abs(gains)))
    if not lost.size:
        return None, gained
    at = int(lost[0])
    if gains[at - 1] <= 0:
        return float(angles[0]), 0.0
    # The energy between two points as the area under a straight torque: a quadratic's root.
    before, share = gains[at - 1], np.linspace(0, 1, 2001)
    step = angles[at - 1] - angles[at]
    along = before + step * (pulls[at - 1] * share + (pulls[at] - pulls[at - 1]) * share**2 / 2)
    return float(angles[at - 1] - step * share[np.argmax(along <= 0)]), 0.0
