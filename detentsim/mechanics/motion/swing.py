"""Energy of a blade thrown open by a finger, over its angle, and the angle at which a moving blade stops.

`dE/dtheta = F lever - T` with `E = I omega^2/2`. SciPy's integrator takes many designs as one vector, panel by panel,
so that no step crosses a kink. Below zero the integration goes on with the force of a finger at rest; the depth of
the energy is the work that a wrist would have to add. Uses ``panels``; ``in_motion`` makes results of it.
"""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np

from detentsim.mechanics.motion import chebyshev, resistance
from detentsim.mechanics.motion.resistance import AT, LOOKS, Panels
from detentsim.mechanics.record import Array, Index, Record, Truth
from detentsim.mechanics.roots import bisected

# Relative accuracy of the integrator; with many designs, of the root mean square of their errors.
CLOSE = 1e-10

# First step of a panel, as the square root of its share; it is taken by a series.
FIRST = 1e-4

# An energy below zero by less than this share of the path's largest one is rounding.
ROUNDING = 1e-12

# Halvings of the bracket about a stop between two points.
HALVINGS = 40

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
    time: Array  # from the start [s]; infinite beyond a stall
    work: Array  # against ball, pivot and weight, from the start [J]


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
    """Energy, time and work of a blade thrown open along its panels, from rest.

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
    work = np.cumsum(resistance.work(way)[..., -1], axis=1)
    before = np.concatenate([np.zeros_like(work[:, :1]), work[:, :-1]], axis=1)
    against = chebyshev.shares(resistance.work(way), AT**2) + before[..., None]
    energy, time = np.zeros_like(against), np.zeros_like(against)
    state = np.zeros((2, force.size))
    for panel in range(way.theta.shape[1]):
        one = Panels(*(field[:, panel] for field in way))
        state, energy[:, panel], time[:, panel] = _panel(record, one, force, state)
    return Throw(chebyshev.shares(way.theta, AT**2), energy, time, against)


def _panel(record: Record, one: Panels, force: Array, state: Array) -> tuple[Array, Array, Array]:
    """Energy and time along one panel of every design, and at its end."""
    moving = np.flatnonzero(one.theta[:, -1] > one.theta[:, 0])
    energy = np.repeat(state[0][:, None], LOOKS, axis=1)
    time = np.repeat(state[1][:, None], LOOKS, axis=1)
    if moving.size:
        part, some = _rows(record, moving), _rows(one, moving)
        pushed = np.flatnonzero(np.any(some.arm > 0, axis=1))
        energy[moving], time[moving] = _coasted(part, some, state[:, moving])
        if pushed.size:
            rows = moving[pushed]
            energy[rows], time[rows] = _pushed(_rows(part, pushed), _rows(some, pushed), force[rows], state[:, rows])
    return np.stack([energy[:, -1], time[:, -1]]), energy, time


def _coasted(record: Record, one: Panels, state: Array) -> tuple[Array, Array]:
    """Energy and time along a panel without a finger: integrals alone."""
    spent = chebyshev.shares(chebyshev.applied(one.resist * chebyshev.slope(one.theta), chebyshev.AREA), AT**2)
    energy = state[0][:, None] - spent
    return energy, _timed(record, one, energy, state[1])


def _timed(record: Record, one: Panels, energy: Array, start: Array) -> Array:
    """Time at the points of a panel, by the trapezoidal rule over even steps of speed [s]."""
    theta = chebyshev.shares(one.theta, AT**2)
    inertia = np.broadcast_to(record.blade_inertia, start.shape)[:, None]
    omega = np.sqrt(2 * np.maximum(energy, 0) / inertia)
    with np.errstate(divide="ignore", invalid="ignore"):
        step = 2 * np.diff(theta, axis=1) / (omega[:, 1:] + omega[:, :-1])
    least = -ROUNDING * np.max(np.abs(energy), axis=1, keepdims=True)
    step = np.where((energy[:, 1:] > 0) & (energy[:, :-1] >= least), step, np.inf)
    return np.asarray(start[:, None] + np.concatenate([np.zeros((start.size, 1)), np.cumsum(step, axis=1)], axis=1))


def _pushed(record: Record, one: Panels, force: Array, state: Array) -> tuple[Array, Array]:
    """Energy and time along a panel with the finger on the blade; designs that fail together are integrated apart."""
    energy, why = _integrated(record, one, force, state[0])
    if not why:
        return energy, _timed(record, one, energy, state[1])
    if force.size == 1:
        raise MotionError(float(one.theta[0, 0]), why)
    halves = np.array_split(np.arange(force.size), 2)
    parts = [_pushed(_rows(record, half), _rows(one, half), force[half], state[:, half]) for half in halves]
    return np.concatenate([part[0] for part in parts]), np.concatenate([part[1] for part in parts])


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


def first_stop(theta: Array, energy: Array) -> Array:
    """Blade angle at which the energy first falls below zero, shape (n,) [rad]; NaN where it never does.

    Parameters
    ----------
    theta, energy : array, shape (n, j, 65)
        Blade angle [rad] and energy [J] along the motion.

    Returns
    -------
    array, shape (n,)

    Examples
    --------
    >>> theta = np.linspace(0, 1, LOOKS).reshape(1, 1, LOOKS)
    >>> round(float(first_stop(theta, 0.3 - theta)[0]), 9), bool(np.isnan(first_stop(theta, 0 * theta + 1)[0]))
    (0.3, True)
    """
    looks = energy.shape[2]
    stop, rows = np.full(energy.shape[0], np.nan), np.flatnonzero(stops(energy))
    held = energy[rows].reshape(rows.size, energy.shape[1] * looks)
    none = ROUNDING * np.max(np.abs(held), axis=1, initial=0)
    at = np.argmax(held < -none[:, None], axis=1)
    panel, look = at // looks, at % looks
    # A cubic through four points about the crossing, bisected between the last positive and the first negative one.
    near = np.clip(look - 2, 0, looks - 4)[:, None] + np.arange(4)
    four = [field[rows[:, None], panel[:, None], near] for field in (theta, energy)]
    ends = np.maximum(look - 1.0, 0) - near[:, 0], look - near[:, 0].astype(float)
    before, after = bisected(lambda place: np.sum(_cubic(place) * four[1], axis=1) > 0, *ends, HALVINGS)
    crossed = np.sum(_cubic((before + after) / 2) * four[0], axis=1)
    last = np.maximum(look - 1, 0)
    still = energy[rows, panel, last] <= none  # it never left that angle
    stop[rows] = np.where(still, theta[rows, panel, last], crossed)
    return stop


def stops(energy: Array) -> Truth:
    """Whether the energy of each blade falls below zero before the end of its way; shape (n,).

    Parameters
    ----------
    energy : array, shape (n, j, 65)
        Along the motion [J].

    Examples
    --------
    >>> energy = 0.3 - np.linspace(0, 1, LOOKS).reshape(1, 1, LOOKS)
    >>> stops(energy).tolist(), stops(energy + 1).tolist()
    ([True], [False])
    """
    ends = (1, 2)
    least, most = np.min(energy, axis=ends, initial=0), np.max(energy, axis=ends, initial=0)
    return np.asarray(least < -ROUNDING * np.maximum(most, -least))


def _cubic(at: Array) -> Array:
    """Lagrange weights of four even points at a place among them, shape (n, 4)."""
    a, b, c, d = at, at - 1, at - 2, at - 3
    return np.stack([-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6], axis=1)
