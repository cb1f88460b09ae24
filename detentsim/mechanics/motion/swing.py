"""Energy of a blade thrown open by a finger, over its angle, and its time.

`dE/dtheta = F lever - T` with `E = I omega^2/2`. SciPy's integrator takes many designs as one vector, panel by panel,
so that no step crosses a kink. Below zero the integration goes on with the force of a finger at rest; the depth of
the energy is the work that a wrist would have to add. Uses ``panels``; ``in_motion`` makes results of it.
"""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np

from detentsim.mechanics.motion import chebyshev, resistance
from detentsim.mechanics.motion.resistance import AT, LOOKS, ROUNDING, Panels
from detentsim.mechanics.record import Array, Index, Record

# Relative accuracy of the integrator; with many designs, of the root mean square of their errors.
CLOSE = 1e-10

# First step of a panel, as the square root of its share; it is taken by a series.
FIRST = 1e-4

# Evaluations of the torque that one panel may take; ten times the most that 400 random knives took.
MOST_WORK = 50_000

Fields = TypeVar("Fields", Record, Panels)


class MotionError(ArithmeticError):
    """A motion that could not be integrated.

    Parameters
    ----------
    angle : float
        Blade angle from which on it failed [rad].
    why : str
        The integrator's own words.
    """

    def __init__(self, angle: float, why: str) -> None:
        sizes = "finger.effort, finger.speed_limit and blade.inertia"
        super().__init__(f"the blade's motion past {np.degrees(angle):.3g} deg was not solved ({why}); check {sizes}")


class Throw(NamedTuple):
    """Motion of a blade thrown open; fields of shape (n, j, 65), at even square roots of each panel's share."""

    theta: Array  # blade angle [rad]
    energy: Array  # kinetic energy [J]; below zero beyond a stall, by what a wrist would have to add


def push(record: Record, force: Array, energy: Array, arm: Array) -> Array:
    """Force of the finger on a moving blade, `F0 (1-u)/(1+u/shape)`, at least 0 [N].

    Parameters
    ----------
    record : Record
        Fields that broadcast.
    force : array
        F0, of the finger at rest [N].
    energy : array
        Kinetic energy of the blade [J]; below zero counts as rest.
    arm : array
        Lever of the finger [m].

    Returns
    -------
    array

    Notes
    -----
    `u = arm omega/speed_limit`. Source: A. V. Hill, The heat of shortening and the dynamic constants of muscle, Proc.
    R. Soc. B 126 (1938), normalised; its shape a/F0 = 0.25.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(push(knife, np.array(20.0), np.array(0.0), np.array(0.01)))
    20.0
    """
    omega = np.sqrt(2 * np.maximum(energy, 0) / record.blade_inertia)
    return np.asarray(force * _slowed(arm * omega / record.finger_speed, record.finger_shape))


def _slowed(u: Array, shape: Array) -> Array:
    """Force of the finger over that at rest, at a share of its speed limit."""
    return np.asarray(np.maximum(1 - u, 0) / (1 + u / shape))


def thrown(record: Record, way: Panels, force: Array) -> Throw:
    """Energy of a blade thrown open along its panels, from rest.

    Parameters
    ----------
    record : Record
        Flattened, n designs with a known inertia.
    way : Panels
        From where the finger has overcome the detent.
    force : array, shape (n,)
        Of the finger at rest [N].

    Returns
    -------
    Throw

    Raises
    ------
    MotionError
        Where the integrator fails on a design, or asks for more than `MOST_WORK` evaluations on a panel.

    Notes
    -----
    `dE/dtheta = F lever - T`, by LSODA (Adams and BDF with a diagonal Jacobian): a slow finger makes it stiff.
    Derived in studies/00-the-model.ipynb.
    """
    energy = np.zeros((*way.theta.shape[:2], LOOKS))
    state = np.zeros(force.size)
    for panel in range(way.theta.shape[1]):
        energy[:, panel] = _panel(record, Panels(*(field[:, panel] for field in way)), force, state)
        state = energy[:, panel, -1]
    return Throw(chebyshev.shares(way.theta, AT**2), energy)


def _panel(record: Record, one: Panels, force: Array, state: Array) -> Array:
    """Energy along one panel of every design, shape (n, 65), from the energy at its start."""
    energy = np.repeat(state[:, None], LOOKS, axis=1)
    moving = np.flatnonzero(one.theta[:, -1] > one.theta[:, 0])
    pushed = np.any(one.arm[moving] > 0, axis=1)
    for rows, solve in ((moving[~pushed], _coasted), (moving[pushed], _pushed)):
        if rows.size:
            energy[rows] = solve(_rows(record, rows), _rows(one, rows), force[rows], state[rows])
    return energy


def _coasted(_record: Record, one: Panels, _force: Array, start: Array) -> Array:
    """Energy along a panel without a finger: an integral alone."""
    return np.asarray(start[:, None] - chebyshev.shares(resistance.work(one), AT**2))


def _pushed(record: Record, one: Panels, force: Array, start: Array) -> Array:
    """Energy along a panel with the finger on the blade; designs that fail together are integrated apart."""
    energy, why = _integrated(record, one, force, start)
    if not why:
        return energy
    if force.size == 1:
        raise MotionError(float(one.theta[0, 0]), why)
    halves = np.array_split(np.arange(force.size), 2)
    return np.concatenate([_pushed(_rows(record, half), _rows(one, half), force[half], start[half]) for half in halves])


def _rows(fields: Fields, rows: Index) -> Fields:
    """Some designs of a record or of panels, by row numbers; shared fields stay without an axis."""
    return type(fields)(*(field[rows] if np.ndim(field) else field for field in fields))


def _integrated(record: Record, one: Panels, force: Array, start: Array) -> tuple[Array, str]:
    """Energy along a panel, integrated over the square root of its share, and why it failed; empty where it did not."""
    from scipy.integrate import odeint  # only a thrown blade needs it, and it takes long to load

    scale = np.maximum(np.max(np.abs(one.resist), axis=1) * (one.theta[:, -1] - one.theta[:, 0]), 1e-9)
    fields, left = np.stack([one.arm, one.resist, chebyshev.slope(one.theta)]), iter(range(MOST_WORK))
    rate = np.sqrt(2 * scale / record.blade_inertia) / record.finger_speed

    def rise(root: float, energy: Array) -> Array:
        next(left)
        arm, resist, speed = fields @ chebyshev.weights_at(root * root)
        slowed = _slowed(arm * rate * np.sqrt(np.maximum(energy, 0)), record.finger_shape)
        torque = force * slowed * arm - resist
        return np.asarray(2 * root * torque * speed / scale)

    first = _series(record, one, force, start) / scale
    if not np.all(np.isfinite(first)):
        return np.zeros((0, 0)), "a torque or a force is not a number"
    looks = AT.copy()
    looks[0] = FIRST
    try:
        rows, told = odeint(
            rise, first, looks, tfirst=True, rtol=CLOSE, atol=CLOSE, ml=0, mu=0, tcrit=[1.0], mxstep=MOST_WORK,
            full_output=True,
        )  # fmt: skip
    except StopIteration:
        return np.zeros((0, 0)), f"not done after {MOST_WORK} evaluations"
    if told["message"] != "Integration successful." or not np.all(np.isfinite(rows)):
        return np.zeros((0, 0)), str(told["message"])
    energy = rows.T * scale[:, None]
    energy[:, 0] = start
    return energy, ""


def _series(record: Record, one: Panels, force: Array, energy: Array) -> Array:
    """Energy after the first step of a panel: two terms of its series where the blade starts from rest [J]."""
    share, arm = FIRST**2, one.arm[:, 0]
    angle = chebyshev.slope(one.theta)[:, 0] * share
    moving = (push(record, force, energy, arm) * arm - one.resist[:, 0]) * angle
    gain = (force * arm - one.resist[:, 0]) * angle
    slowing = force * arm**2 * (1 + 1 / record.finger_shape) * np.sqrt(2 / record.blade_inertia) / record.finger_speed
    still = gain - 2 / 3 * slowing * np.sqrt(np.maximum(gain, 0)) * angle
    return np.where(energy > 0, energy + moving, energy + still)


def times(record: Record, flight: Throw) -> Array:
    """Time of a blade thrown open, by the trapezoidal rule over even steps of speed [s].

    Parameters
    ----------
    record : Record
        Of its n designs, with a known inertia.
    flight : Throw

    Returns
    -------
    array, shape (n, j, 65)
        From the start; infinite beyond a stall.

    Notes
    -----
    `t = int d theta/omega`; any text on mechanics.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> even = np.full((1, 1, LOOKS), float(knife.blade_inertia) / 2)
    >>> float(times(knife, Throw(np.linspace(0, 3, LOOKS).reshape(1, 1, LOOKS), even))[0, 0, -1])
    3.0
    """
    theta, energy = flight
    inertia = np.broadcast_to(record.blade_inertia, theta.shape[0])[:, None, None]
    omega = np.sqrt(2 * np.maximum(energy, 0) / inertia)
    with np.errstate(divide="ignore", invalid="ignore"):
        step = 2 * np.diff(theta, axis=2) / (omega[..., 1:] + omega[..., :-1])
    least = -ROUNDING * np.max(np.abs(energy), axis=2, keepdims=True)
    step = np.where((energy[..., 1:] > 0) & (energy[..., :-1] >= least), step, np.inf)
    step = np.where(theta[..., -1:] > theta[..., :1], step, 0.0)
    return resistance.from_the_start(np.concatenate([np.zeros_like(step[..., :1]), np.cumsum(step, axis=2)], axis=2))
