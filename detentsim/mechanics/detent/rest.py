"""Ball angle, draw torque and slip limit of the blade at rest.

Stands on the segments of the path; the opening path (``opening``) starts from here, and ``response`` gives the draw.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import Torques
from detentsim.mechanics.path import at_ball_angle, contact_at, extrema, segment_rows, segments
from detentsim.mechanics.path.stable import opening_turn

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array


class Rest(NamedTuple):
    """The blade at rest; fields of the designs' shape."""

    phi: Array  # ball angle in the dimple [rad]
    angle: Array  # blade angle [rad]
    draw: Array  # torque that pulls the blade onto its stop, at its stop [N m]
    start: Array  # torque at the blade's rest angle, where the opening curve starts [N m]
    stick: Array  # torque at which the ball starts to slip [N m]
    slip: Array  # blade angle at which it starts to slip [rad]
    at: Torques  # at `phi`, as the limit from larger angles


def rest_phi(solved: SolvedDetent, count: int) -> Array:
    """Ball angle in the dimple with the blade at rest, shape (n,) [rad].

    Parameters
    ----------
    solved : SolvedDetent
        Flattened.
    count : int
        Number of designs, n.

    Returns
    -------
    array, shape (n,)

    Notes
    -----
    0 while the bar's side give keeps the ball centred (`0 <= eps <= C T_close(0+)`) and for a blade that stands proud
    (`eps < 0`); else the largest root of `phi + C T_close(phi) = eps`. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> flat = segments.flatten(response.load, ())
    >>> float(rest_phi(flat, 1)[0]) == float(response.rest.phi)
    True
    """
    eps, give = (np.broadcast_to(field, count) for field in (solved.record.overclose, solved.spring.twist_give))
    first = at_ball_angle.here(solved, np.zeros(count)).closing
    off_centre = (eps >= 0) & (eps > give * first)
    phi = np.where(off_centre, eps, 0.0)
    todo = np.flatnonzero(off_centre & (give > 0))
    if todo.size:
        phi[todo] = _largest_rest(segment_rows.select_designs(solved, todo), todo.size)
    return phi


def _largest_rest(solved: SolvedDetent, count: int) -> Array:
    """Largest ball angle at which a closing blade comes to rest on its stop [rad]."""
    end = np.maximum(solved.record.overclose, segments.mouth_angle(solved))
    end = end - solved.spring.twist_give * balance.drag(solved, opening=False) * (1 + 1e-9) + 1e-12
    ways = segments.cut(solved, np.zeros(count), np.broadcast_to(end, count))
    phi = segments.points(ways, segments.ENDS)

    theta = segments.closing_angle(ways, phi)
    least, where = extrema.crests(ways, -theta, lambda ways, phi: -segments.closing_angle(ways, phi))
    last = np.maximum(segment_rows.last(ways, least >= 0), ways.first)
    at_end = theta[3, last] <= 0
    rest = np.where(at_end, ways.right[last], where[last])
    part = last[~at_end]
    rest[~at_end] = segments.root(
        segment_rows.select(ways, part), where[part], ways.right[part], segments.closing_angle
    )
    return rest


def rest(solved: SolvedDetent, ways: Segments, phi: Array) -> Rest:
    """Angles and torques of the blade at rest: draw, start of the opening curve, slip limit.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    ways : Segments
        From `phi` outward.
    phi : array, shape (n,)
        Ball angle at rest [rad].

    Returns
    -------
    Rest
        Fields of shape (n,).

    Notes
    -----
    Draw `eps/C` while the ball is centred, else `T_close(phi)`; slip at `theta = phi - eps + C T_stick`. Derived in
    studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> flat, phi = segments.flatten(response.load, ()), np.ravel(response.rest.phi)
    >>> ways = segments.cut(flat, phi, np.reshape(segments.mouth_angle(flat), 1))
    >>> float(rest(flat, ways, phi).draw[0] / response.results["draw_torque"])
    1.0
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    begin = segment_rows.select(ways, ways.first)
    touch = contact_at.contact(begin, phi)
    at = _at_rest(solved, begin, phi, touch)
    stick = contact_at.torque_of(begin, touch, opening=True, static=True)
    proud = np.broadcast_to(eps < 0, phi.shape)
    draw = _draw(solved, phi, at.closing)
    if np.any(proud):
        part = np.flatnonzero(proud)
        draw[part] = _press_shut(segment_rows.select_designs(solved, part), part.size)
    start = np.where(proud, 0.0, draw)
    slip = phi - eps + balance.twist(give, stick)
    return Rest(phi, np.where(proud, -eps, 0.0), draw, start, stick, slip, at)


def _at_rest(solved: SolvedDetent, begin: Segments, phi: Array, touch: contact_at.Contact) -> Torques:
    """Torques, forces and depth at ball angles `phi` (n,) [rad] on the first segment of each design."""
    opening, closing = (contact_at.torque_of(begin, touch, opening=sense) for sense in (True, False))
    depth = at_ball_angle.contact(solved, phi[:, None], begin.piece[:, None]).depth[:, 0]
    force = np.where(begin.at.arm > 0, touch.push, 0.0)
    return Torques(opening, closing, force, touch.push, depth, touch.sine)


def _draw(solved: SolvedDetent, phi: Array, outward: Array) -> Array:
    """Torque onto the stop [N m]: that of the bar's side give, limited to what the contact can carry."""
    eps, give = solved.record.overclose, solved.spring.twist_give
    centred = (phi == 0) & (solved.record.radial_error == 0)
    inward = np.full_like(phi, -np.inf)
    off = np.flatnonzero(~centred)
    if off.size:
        # Just inward of the angle, so that rounding does not pick the piece outward of it.
        within = np.maximum(phi[off] - 10 * segments.HAIR, 0)
        inward[off] = at_ball_angle.here(segment_rows.select_designs(solved, off), within, outward=False).closing
    with np.errstate(divide="ignore", invalid="ignore"):
        pressed = np.where(eps == phi, 0.0, (eps - phi) / give)
    rigid = np.where(centred, np.minimum(pressed, outward), outward)
    return np.where(give > 0, np.clip(pressed, np.minimum(inward, outward), outward), rigid)


def _press_shut(solved: SolvedDetent, count: int) -> Array:
    """Torque (negative) that holds a proud blade on its stop [N m]: the opening path on the dimple's other side."""
    turned = -np.broadcast_to(solved.record.overclose, count)
    record = solved.record._replace(overclose=np.zeros(()))
    return -_opening_from_centre(solved._replace(record=record), turned)


def _opening_from_centre(solved: SolvedDetent, theta: Array) -> Array:
    """Opening torque at blade angle `theta` (n,) [rad] of a ball that starts centred, without over-close [N m]."""
    start = np.zeros_like(theta)
    ways = segments.cut(solved, start, np.broadcast_to(segments.mouth_angle(solved), theta.shape))
    phi = segments.points(ways, segments.ENDS)

    at_ends = opening_turn(ways, phi)
    top, where = extrema.crests(ways, at_ends, opening_turn)
    reached = segment_rows.first(ways, top >= theta[ways.design])
    inside = reached < ways.design.size
    torque = np.broadcast_to(balance.drag(solved, opening=True), theta.shape).copy()
    cell = reached[inside]
    torque[inside] = _torque_in(segment_rows.select(ways, cell), theta[inside], at_ends[0, cell], where[cell])
    begin = segment_rows.select(ways, ways.first)
    stick = contact_at.torque_of(begin, contact_at.contact(begin, start), opening=True, static=True)
    give = np.broadcast_to(solved.spring.twist_give, theta.shape)
    stuck = theta <= balance.twist(give, stick)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(stuck, theta / give, torque)


def _torque_in(part: Segments, theta: Array, at_left: Array, crest: Array) -> Array:
    """Opening torque at blade angles inside the given segments, or between one and the segment before [N m]."""
    part = part._replace(design=np.arange(theta.size))
    low = np.flatnonzero(at_left < theta)
    phi = np.array(part.left)
    phi[low] = segments.root(
        segment_rows.select(part, low),
        part.left[low],
        crest[low],
        lambda ways, phi: opening_turn(ways, phi) - theta[ways.design],
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        elastic = (theta - phi) / part.give
    held = (at_left >= theta) & (part.give > 0)
    return np.where(held, elastic, segments.torque(part, phi, opening=True))
