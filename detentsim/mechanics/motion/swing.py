"""The blade in motion: a finger throws it open, its weight lets it fall shut.

Energy over angle, `dE/dtheta = F arm - T`, `E = I omega^2/2`: SciPy's integrator takes many designs as one vector,
leg by leg, so that it never steps over a kink. Below nought the energy runs on with the finger standing still; how
far below is what a wrist would have to add.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.integrate import solve_ivp

from detentsim.mechanics.motion import chebyshev, panels
from detentsim.mechanics.motion.panels import Panels
from detentsim.mechanics.record import Array, Record
from detentsim.mechanics.roots import bisected

# Relative accuracy asked of the integrator; over many designs it is that of their root mean square.
CLOSE = 1e-10

# First step of a leg, as the square root of its share: there the energy is its own series.
FIRST = 1e-4

# Shares of a leg at which the energy is looked at.
LOOKS = 65

AT = np.linspace(0, 1, LOOKS)

# Of the largest energy of a way: less below nought is rounding.
ROUNDING = 1e-12

# Halvings by which a stop is found between two looks.
HALVINGS = 40


class Throw(NamedTuple):
    """A blade thrown open; shape (n, j, 65) at even square roots of the share of each leg."""

    theta: Array  # blade angle [rad]
    energy: Array  # [J]; below nought from where it stalls, as a wrist would have to add
    time: Array  # from the start [s]; infinite once stalled
    work: Array  # against ball, pivot and weight from the start [J]


def push(record: Record, force: Array, energy: Array, arm: Array) -> Array:
    """Force of the finger on a blade of some energy, `F0 (1-u)/(1+u/shape)`, not below nought [N].

    Parameters
    ----------
    record : Record
        Fields that broadcast.
    force : array
        F0, of the finger at rest [N].
    energy : array
        Of the blade [J]; below nought counts as rest.
    arm : array
        [m].

    Notes
    -----
    `u = arm omega/speed_limit`. Source: A. V. Hill, The heat of shortening and the dynamic constants of muscle, Proc.
    R. Soc. B 126 (1938), normalised; its shape a/F0 = 0.25.
    """
    omega = np.sqrt(2 * np.maximum(energy, 0) / record.blade_inertia)
    u = arm * omega / record.finger_speed
    return np.asarray(force * np.maximum(1 - u, 0) / (1 + u / record.finger_shape))


def thrown(record: Record, way: Panels, force: Array) -> Throw:
    """Throw the blade open along its track, from rest.

    Parameters
    ----------
    record : Record
        Lean, of n designs with a known inertia.
    way : Track
        From where the finger has overcome the detent.
    force : array, shape (n,)
        Of the finger at rest [N].

    Returns
    -------
    Throw
    """
    work = np.cumsum(panels.work(way)[..., -1], axis=1)
    before = np.concatenate([np.zeros_like(work[:, :1]), work[:, :-1]], axis=1)
    against = chebyshev.shares(panels.work(way), AT**2) + before[..., None]
    energy, time = np.zeros_like(against), np.zeros_like(against)
    state = np.zeros((2, force.size))
    for leg in range(way.theta.shape[1]):
        one = Panels(*(field[:, leg] for field in way))
        state, energy[:, leg], time[:, leg] = _leg(record, one, force, state)
    return Throw(chebyshev.shares(way.theta, AT**2), energy, time, against)


def _leg(record: Record, one: Panels, force: Array, state: Array) -> tuple[Array, Array, Array]:
    """Energy and time along one leg of every design, and at its end."""
    moving = np.flatnonzero(one.theta[:, -1] > one.theta[:, 0])
    energy = np.repeat(state[0][:, None], LOOKS, axis=1)
    time = np.repeat(state[1][:, None], LOOKS, axis=1)
    if moving.size:
        part = Record(*(field[moving] if np.ndim(field) else field for field in record))
        some = Panels(*(field[moving] for field in one))
        pushed = np.flatnonzero(np.any(some.arm > 0, axis=1))
        energy[moving], time[moving] = _coasted(part, some, state[:, moving])
        if pushed.size:
            rows = moving[pushed]
            part = Record(*(field[pushed] if np.ndim(field) else field for field in part))
            energy[rows], time[rows] = _pushed(part, Panels(*(f[pushed] for f in some)), force[rows], state[:, rows])
    return np.stack([energy[:, -1], time[:, -1]]), energy, time


def _coasted(record: Record, one: Panels, state: Array) -> tuple[Array, Array]:
    """Energy and time along a leg without a finger: areas alone."""
    spent = chebyshev.shares((one.resist * chebyshev.slope(one.theta)) @ chebyshev.AREA, AT**2)
    energy = state[0][:, None] - spent
    return energy, _timed(record, one, energy, state[1])


def _timed(record: Record, one: Panels, energy: Array, start: Array) -> Array:
    """Time at the looks, by the trapezoidal rule over even steps of speed [s]."""
    theta = chebyshev.shares(one.theta, AT**2)
    inertia = np.broadcast_to(record.blade_inertia, start.shape)[:, None]
    omega = np.sqrt(2 * np.maximum(energy, 0) / inertia)
    with np.errstate(divide="ignore", invalid="ignore"):
        step = 2 * np.diff(theta, axis=1) / (omega[:, 1:] + omega[:, :-1])
    least = -ROUNDING * np.max(np.abs(energy), axis=1, keepdims=True)
    step = np.where((energy[:, 1:] > 0) & (energy[:, :-1] >= least), step, np.inf)
    return np.asarray(start[:, None] + np.concatenate([np.zeros((start.size, 1)), np.cumsum(step, axis=1)], axis=1))


def _pushed(record: Record, one: Panels, force: Array, state: Array) -> tuple[Array, Array]:
    """Energy and time along a leg with the finger on the blade, in the square root of the share."""
    scale = np.maximum(np.max(np.abs(one.resist), axis=1) * (one.theta[:, -1] - one.theta[:, 0]), 1e-9)
    turn = chebyshev.slope(one.theta)

    def rise(root: float, energy: Array) -> Array:
        at = chebyshev.weights(np.array([root * root]))[0]
        arm, resist, speed = one.arm @ at, one.resist @ at, turn @ at
        torque = push(record, force, energy * scale, arm) * arm - resist
        return np.asarray(2 * root * torque * speed / scale)

    first = _series(record, one, force, state[0]) / scale
    looks = AT.copy()
    looks[0] = FIRST
    found = solve_ivp(rise, (FIRST, 1.0), first, method="DOP853", t_eval=looks, rtol=CLOSE, atol=CLOSE)
    energy = found.y * scale[:, None]
    energy[:, 0] = state[0]
    return energy, _timed(record, one, energy, state[1])


def _series(record: Record, one: Panels, force: Array, energy: Array) -> Array:
    """Energy after the first step of a leg: two terms of its series where the blade starts from rest [J]."""
    share, arm = FIRST**2, one.arm[:, 0]
    angle = chebyshev.slope(one.theta)[:, 0] * share
    moving = (push(record, force, energy, arm) * arm - one.resist[:, 0]) * angle
    gain = (force * arm - one.resist[:, 0]) * angle
    slowing = force * arm**2 * (1 + 1 / record.finger_shape) * np.sqrt(2 / record.blade_inertia) / record.finger_speed
    still = gain - 2 / 3 * slowing * np.sqrt(np.maximum(gain, 0)) * angle
    return np.where(energy > 0, energy + moving, energy + still)


class Fall(NamedTuple):
    """A blade let fall; shape (n, j, 65) at even square roots of the share of each leg."""

    theta: Array  # blade angle [rad]
    energy: Array  # [J]; below nought from where it hangs


def fallen(way: Panels) -> Fall:
    """Let the blade fall along its closing track, from rest at the track's start.

    Parameters
    ----------
    way : Track
        Of n designs, inward.

    Returns
    -------
    Fall
    """
    legs = panels.work(way)
    ends = np.cumsum(legs[..., -1], axis=1)
    before = np.concatenate([np.zeros_like(ends[:, :1]), ends[:, :-1]], axis=1)
    # The angle falls, so the area under what resists comes out as the energy gained.
    return Fall(chebyshev.shares(way.theta, AT**2), chebyshev.shares(legs, AT**2) + before[..., None])


def first_stop(theta: Array, energy: Array) -> Array:
    """Blade angle at which the energy first falls below nought, shape (n,) [rad]; NaN where it never does.

    Parameters
    ----------
    theta, energy : array, shape (n, j, 65)
        Along the motion, at the looks of each leg.
    """
    count, legs, looks = energy.shape
    held = energy.reshape(count, legs * looks)
    lost = held < -ROUNDING * np.max(np.abs(held), axis=1, keepdims=True)
    at = np.argmax(lost, axis=1)
    rows, leg, look = np.arange(count), at // looks, at % looks
    # A cubic through the looks about the crossing, sought between the last that moves and the first that does not.
    near = np.clip(look - 2, 0, looks - 4)[:, None] + np.arange(4)
    four = [field[rows[:, None], leg[:, None], near] for field in (theta, energy)]
    ends = np.maximum(look - 1.0, 0) - near[:, 0], look - near[:, 0].astype(float)
    before, after = bisected(lambda place: np.sum(_cubic(place) * four[1], axis=1) > 0, *ends, HALVINGS)
    stop = np.sum(_cubic((before + after) / 2) * four[0], axis=1)
    last = np.maximum(look - 1, 0)
    still = energy[rows, leg, last] <= ROUNDING * np.max(np.abs(held), axis=1)  # it never got away from there
    return np.where(np.any(lost, axis=1), np.where(still, theta[rows, leg, last], stop), np.nan)


def _cubic(at: Array) -> Array:
    """What four even points count at a place among them, shape (n, 4); Lagrange's formula."""
    a, b, c, d = at, at - 1, at - 2, at - 3
    return np.stack([-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6], axis=1)
