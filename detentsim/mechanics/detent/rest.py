"""The blade at rest: where the ball sits in the dimple, what draws the blade onto its stop, where it starts to slip."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import at_ball_angle, extrema, segments
from detentsim.mechanics.path.stable import opening_turn

if TYPE_CHECKING:
    from detentsim.mechanics.detent.balance import SolvedDetent
    from detentsim.mechanics.path.at_ball_angle import Torques
    from detentsim.mechanics.path.segments import Segments
    from detentsim.mechanics.record import Array


class Rest(NamedTuple):
    """The blade at rest; arrays of the designs' shape."""

    phi: Array  # ball angle in the dimple [rad]
    angle: Array  # blade angle [rad]
    draw: Array  # torque pulling the blade onto its stop, at its stop [N m]
    start: Array  # torque at the blade's rest angle, from which the opening curve starts [N m]
    stick: Array  # torque at which the ball starts to slip [N m]
    slip: Array  # blade angle at which it does [rad]
    at: Torques  # as the limit from outward


def rest_phi(solved: SolvedDetent, count: int) -> Array:
    """Ball angle in the dimple with the blade at rest, shape (n,) [rad].

    0 while side give keeps the ball centred (`0 <= eps <= C T_close(0+)`) and for a blade that stands proud;
    else the largest root of `phi + C T_close(phi) = eps`.

    Parameters
    ----------
    solved : Load
        Lean.
    count : int
        Number of designs, n.
    """
    eps, give = (np.broadcast_to(field, count) for field in (solved.record.overclose, solved.spring.twist_give))
    first = at_ball_angle.here(solved, np.zeros(count)).closing
    off_centre = (eps >= 0) & (eps > give * first)
    phi = np.where(off_centre, eps, 0.0)
    todo = np.flatnonzero(off_centre & (give > 0))
    if todo.size:
        phi[todo] = _largest_rest(segments.select_designs(solved, todo), todo.size)
    return phi


def _largest_rest(solved: SolvedDetent, count: int) -> Array:
    """Largest ball angle at which a closing blade stops at its stop."""
    end = np.maximum(solved.record.overclose, at_ball_angle.mouth_angle(solved))
    end = end - solved.spring.twist_give * balance.drag(solved, opening=False) * (1 + 1e-9) + 1e-12
    ways = segments.cut(solved, np.zeros(count), np.broadcast_to(end, count))
    phi = segments.points(ways, segments.ENDS)

    theta = segments.closing_angle(ways, phi)
    least, where = extrema.crests(ways, -theta, lambda ways, phi: -segments.closing_angle(ways, phi))
    last = np.maximum(segments.last(ways, least >= 0), ways.first)
    at_end = theta[last, 3] <= 0
    rest = np.where(at_end, ways.right[last], where[last])
    part = last[~at_end]
    rest[~at_end] = segments.root(segments.select(ways, part), where[part], ways.right[part], segments.closing_angle)
    return rest


def rest(solved: SolvedDetent, ways: Segments, phi: Array) -> Rest:
    """Solve the blade at rest.

    Parameters
    ----------
    solved : Load
        Lean.
    ways : Stretches
        From `phi` outward.
    phi : array, shape (n,)
        Ball angle at rest [rad].

    Returns
    -------
    Rest
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    begin = segments.select(ways, ways.first)
    at = segments.torques(begin, phi)
    stick = segments.torques(begin, phi, static=True).opening
    proud = np.broadcast_to(eps < 0, phi.shape)
    draw = _draw(solved, phi, at.closing)
    if np.any(proud):
        part = np.flatnonzero(proud)
        draw[part] = _press_shut(segments.select_designs(solved, part), part.size)
    start = np.where(proud, 0.0, draw)
    slip = phi - eps + at_ball_angle.twist(give, stick)
    return Rest(phi, np.where(proud, -eps, 0.0), draw, start, stick, slip, at)


def _draw(solved: SolvedDetent, phi: Array, outward: Array) -> Array:
    """Torque onto the stop: what the bar's side give presses with, within what the contact can carry."""
    eps, give = solved.record.overclose, solved.spring.twist_give
    centred = (phi == 0) & (solved.record.radial_error == 0)
    inward = np.full_like(phi, -np.inf)
    off = np.flatnonzero(~centred)
    if off.size:
        # A hair inward of a hand-over, whichever way its angle was rounded.
        within = np.maximum(phi[off] - 10 * segments.HAIR, 0)
        inward[off] = at_ball_angle.here(segments.select_designs(solved, off), within, outward=False).closing
    with np.errstate(divide="ignore", invalid="ignore"):
        pressed = np.where(eps == phi, 0.0, (eps - phi) / give)
    rigid = np.where(centred, np.minimum(pressed, outward), outward)
    return np.where(give > 0, np.clip(pressed, np.minimum(inward, outward), outward), rigid)


def _press_shut(solved: SolvedDetent, count: int) -> Array:
    """Torque (negative) that holds a proud blade down on its stop: the opening path on the dimple's other side."""
    turned = -np.broadcast_to(solved.record.overclose, count)
    record = solved.record._replace(overclose=np.zeros(()))
    return -_opening_from_centre(solved._replace(record=record), turned)


def _opening_from_centre(solved: SolvedDetent, theta: Array) -> Array:
    """Opening torque at blade angle `theta` (n,) [rad] of a ball that starts centred, without over-close."""
    start = np.zeros_like(theta)
    ways = segments.cut(solved, start, np.broadcast_to(at_ball_angle.mouth_angle(solved), theta.shape))
    phi = segments.points(ways, segments.ENDS)

    at_ends = opening_turn(ways, phi)
    top, where = extrema.crests(ways, at_ends, opening_turn)
    found = segments.first(ways, top >= theta[ways.design])
    inside = found < ways.design.size
    torque = np.broadcast_to(balance.drag(solved, opening=True), theta.shape).copy()
    cell = found[inside]
    torque[inside] = _torque_in(segments.select(ways, cell), theta[inside], at_ends[cell, 0], where[cell])
    stick = segments.torques(segments.select(ways, ways.first), start, static=True).opening
    give = np.broadcast_to(solved.spring.twist_give, theta.shape)
    stuck = theta <= at_ball_angle.twist(give, stick)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(stuck, theta / give, torque)


def _torque_in(part: Segments, theta: Array, at_left: Array, crest: Array) -> Array:
    """Opening torque at blade angles that are reached inside these stretches, or where one takes over [N m]."""
    part = part._replace(design=np.arange(theta.size))
    low = np.flatnonzero(at_left < theta)
    phi = np.array(part.left)
    phi[low] = segments.root(
        segments.select(part, low),
        part.left[low],
        crest[low],
        lambda ways, phi: opening_turn(ways, phi) - theta[ways.design],
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        elastic = (theta - phi) / part.spring.twist_give
    held = (at_left >= theta) & (part.spring.twist_give > 0)
    return np.where(held, elastic, segments.torque(part, phi, opening=True))
