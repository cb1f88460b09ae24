"""Blades that fall shut, or hang, whatever the ball does in its dimple: no path through the dimple decides them.

On the flat the energy of a falling blade is known in closed form, and in the dimple no ball resists more than one that
rubs on the steepest place it touches. Uses ``pivot``; ``in_motion`` follows only the falls that are left.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.resistance import AT
from detentsim.mechanics.path import segments

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Record, Truth

# Energy over the most that the weight can give, nearer to zero than which a fall is followed: far above rounding.
CLEAR = 1e-9

# Share of the flat that lies before the first angle at which the energy of a followed fall is looked at.
FIRST_LOOK = AT[1] ** 2


class Settled(NamedTuple):
    """Falls that are settled; false in both where the fall must be followed. Fields broadcast to shape (n,)."""

    shuts: Truth  # reaches its stop
    hangs: Truth  # stops on the flat


def settled(load: SolvedDetent, phi: Array, rest: Array) -> Settled:
    """Falls of which bounds tell that the blade reaches its stop, or that it stops on the flat.

    Parameters
    ----------
    load : SolvedDetent
        Flattened, n designs.
    phi, rest : array, shape (n,)
        Ball angle and blade angle at rest [rad].

    Returns
    -------
    Settled

    Notes
    -----
    Derived: with the weight's torque `w sin(theta - alpha)` toward shut and a constant resistance, the energy over at
    most half a turn first rises and then falls, or only falls. More resistance further on keeps that. So a blade that
    starts to move reaches its stop if energy is left there against at least the true resistance: that of the flat up to
    the dimple's mouth, then `most_resistance`. A burr or an elastic rim may resist more, and settles nothing.

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.path.segments import flatten
    >>> response = ds.curve(ds.demo()).response
    >>> at_rest = np.ravel(response.rest.phi), np.ravel(response.rest.angle)
    >>> bool(settled(flatten(response.load, ()), *at_rest).shuts[0])
    True
    """
    record, drag = load.record, -balance.drag(load, opening=False)
    flat = drag + pivot.pivot_torque(record, balance.ball_force(load.spring, 0.0), drag)
    start, yields = np.minimum(record.close_from, record.open_angle), balance.twist(load.spring.twist_give, drag)
    mouth = np.maximum(rest, segments.mouth_angle(load) - record.overclose - yields)
    look = start - FIRST_LOOK * (start - mouth)
    begun = _weight_gives(record, start, look) - flat * (start - look)
    arrives = _weight_gives(record, start, mouth) - flat * (start - mouth)
    with np.errstate(invalid="ignore"):  # where nothing bounds the resistance on a way of no length
        inside = most_resistance(load, phi, rest) * (mouth - rest)
    left = _weight_gives(record, start, rest) - flat * (start - mouth) - inside
    known = (record.burr_height == 0) & (record.elastic_rim == 0) & (start > mouth) & (start - rest <= np.pi)
    clear = CLEAR * record.blade_mass * pivot.GRAVITY * record.balance_radius
    starts = -pivot.gravity_torque(record, start) - flat > clear
    return Settled(known & starts & (left > clear), known & (np.minimum(begun, arrives) < -clear))


def _weight_gives(record: Record, start: Array, end: Array) -> Array:
    """Work of the blade's weight from one blade angle to another [rad], in [J].

    `m g r_c cos(tilt) (cos(alpha_g - end) - cos(alpha_g - start))`, the integral of `pivot.gravity_torque` (derived).
    """
    weight = record.blade_mass * pivot.GRAVITY * record.balance_radius * np.cos(record.tilt)
    return np.asarray(weight * (np.cos(record.down_angle - end) - np.cos(record.down_angle - start)))


def most_resistance(load: SolvedDetent, phi: Array, rest: Array) -> Array:
    """Torque of ball and pivot that no closing blade feels more of in a rigid dimple, shape (n,) [N m]; may be inf.

    Parameters
    ----------
    load : SolvedDetent
        Flattened, n designs.
    phi, rest : array, shape (n,)
        Ball angle and blade angle at rest [rad].

    Returns
    -------
    array

    Notes
    -----
    Derived from `balance.torque` with friction against closing: `pushed >= -mu` and `carried >= c`, where `c` is the
    cosine of the steepest contact less what a ball that travels aslant takes from it; the bar presses no harder than on
    the flat. So the ball resists by at most `mu rho N(0)/c`; its torque while it sticks is no less than where it
    begins to slip. At rest the bar's side give may press it outward by `(phi - eps - theta)/C`. The pivot's friction
    grows with both, and takes no more from a torque toward shut than that torque, unless the pin's friction circle is
    wider than the ball's.

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.path.segments import flatten
    >>> response = ds.curve(ds.demo()).response
    >>> at_rest = np.ravel(response.rest.phi), np.ravel(response.rest.angle)
    >>> bool(most_resistance(flatten(response.load, ()), *at_rest)[0] > response.results["drag_torque"])
    True
    """
    record, spring = load.record, load.spring
    riding = balance.ball_force(spring, 0.0)
    carried = _least_cosine(load.shape) - np.abs(spring.swing) * np.maximum(record.friction, 1)
    with np.errstate(divide="ignore", invalid="ignore"):
        rubbed = np.where(carried > 0, record.friction * riding * record.pivot_to_ball / carried, np.inf)
        outward = (phi - record.overclose - rest) / spring.twist_give
    held = rubbed + np.where(spring.twist_give > 0, np.maximum(outward, 0), 0.0)
    grown = held + pivot.pivot_torque(record, riding, held)
    return np.where(record.friction_circle <= record.pivot_to_ball, grown, np.inf)


def _least_cosine(shape: dimple.Pieces) -> Array:
    """Cosine of the steepest contact angle in the dimple; each piece is steepest where it begins."""
    begin, end = shape.start[..., :-1], shape.start[..., 1:]
    _, sine = dimple.height_and_slope(shape, begin, np.broadcast_to(dimple.PIECE, begin.shape))
    steepest = np.max(np.where(end > begin, sine, 0.0), axis=-1)
    return np.asarray(np.sqrt(np.maximum(1 - steepest**2, 0)))
