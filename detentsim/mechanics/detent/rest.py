"""Ball angle, draw torque and slip limit of the blade at rest.

Stands on the segments of the path; the opening path (``opening``) starts from here, and ``response`` gives the draw.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.detent.solution import Torques
from detentsim.mechanics.path import at_ball_angle, contact_at, extrema, segment_rows, segments
from detentsim.mechanics.path.stable import FAR, climb, downhill, opening_turn

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.path.segment_rows import Path, Segments
    from detentsim.mechanics.record import Array, Index, Truth


class Rest(NamedTuple):
    """The blade at rest; fields of the designs' shape."""

    phi: Array  # ball angle in the dimple [rad]
    angle: Array  # blade angle [rad]
    draw: Array  # torque that pulls the blade onto its stop, at its stop [N m]
    start: Array  # torque at the blade's rest angle, where the opening curve starts [N m]
    stick: Array  # torque at which the ball starts to slip [N m]
    slip: Array  # blade angle at which it starts to slip [rad]
    at: Torques  # at `phi`, as the limit from larger angles


def rest_phi(solved: SolvedDetent, whole: Path) -> Array:
    """Ball angle in the dimple with the blade at rest, shape (n,) [rad].

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    whole : Path
        From the dimple's centre, as far as `farthest`.

    Returns
    -------
    array, shape (n,)

    Notes
    -----
    0 while the bar's side give keeps the ball centred (`0 <= eps <= C T_close(0+)`) and for a blade that stands proud
    (`eps < 0`); else the largest root of `phi + C T_close(phi) = eps`. Derived in studies/00-the-model.ipynb. What
    friction holds on an elastic rim (`_may_relax`) is left to `rest`.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> flat = segments.flatten(response.load, ())
    >>> float(rest_phi(flat, segments.walk(flat, farthest(flat, 1)))[0]) == float(response.rest.phi)
    True
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    first = _first_closing(whole.ways) if np.any(give) else np.zeros(whole.ways.first.size)
    off_centre = (eps >= 0) & (eps > balance.twist(give, first))
    phi = np.where(off_centre, eps, 0.0)
    todo = off_centre & (give > 0)
    beside = _beside(solved, todo.size)
    if 2 * np.count_nonzero(todo) > todo.size:  # to choose their segments would cost more than to solve all
        phi[todo] = _largest_rest(whole.ways, beside)[todo]
    elif todo.any():
        phi[todo] = _largest_rest(segment_rows.of_designs(whole, todo).ways, beside[todo])
    return phi


def _first_closing(ways: Segments) -> Array:
    """Closing torque at the inner end of each design's path [N m]."""
    begin = segment_rows.select(ways, ways.first)
    return contact_at.torque_of(begin, contact_at.contact(begin, begin.left), opening=False)


def _may_relax(solved: SolvedDetent, whole: Path) -> Truth:
    """Truth of each design whose ball an elastic rim holds so near its centre that friction alone keeps it there.

    A rigid rim would keep that ball centred. On an elastic one the closing blade leaves it a little short of its place,
    and friction holds it wherever the bar presses less: it counts as pressing nothing, never as pushing the blade open.
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    if whole.ways.bed is None:
        return np.zeros(whole.ways.first.size, bool)
    first = _first_closing(whole.ways._replace(bed=None))
    return np.asarray((eps >= 0) & (eps <= balance.twist(give, first)) & (solved.spring.bed > 0))


def farthest(solved: SolvedDetent, count: int) -> Array:
    """Ball angle up to which a path must go to have the ball's rest on it, shape (n,) [rad]."""
    return np.broadcast_to(np.maximum(segments.mouth_angle(solved), _beside(solved, count)), count)


def _beside(solved: SolvedDetent, count: int) -> Array:
    """Ball angle beyond which no blade rests: there more than the drag would have to turn it, shape (n,) [rad]."""
    drag = balance.twist(solved.spring.twist_give, balance.drag(solved, opening=False))
    return np.broadcast_to(solved.record.overclose - drag * (1 + 1e-9) + 1e-12, count)


def _largest_rest(ways: Segments, beside: Array) -> Array:
    """Largest ball angle, at most `beside`, at which a closing blade comes to rest on its stop [rad]."""
    ways = segment_rows.begun_within(ways, beside)
    theta, slopes = climb(opening=False)(ways, segments.ends(ways))
    least, where = extrema.crests(ways, -theta, -slopes, downhill(climb(opening=False)))
    last = np.maximum(segment_rows.last(ways, least >= 0), ways.first)
    at_end = theta[1, last] <= 0
    rest = np.where(at_end, ways.right[last], where[last])
    part = last[~at_end]
    known = -least[part], theta[1, part]
    some = segment_rows.select(ways, part)
    rest[~at_end] = segments.root(some, where[part], some.right, segments.closing_angle, known)
    return rest


def rest(solved: SolvedDetent, whole: Path) -> tuple[Rest, Path]:
    """The blade at rest: ball angle, draw, start of the opening curve, slip limit; and the path from there outward.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    whole : Path
        From the dimple's centre, as far as `farthest`.

    Returns
    -------
    Rest, Path
        Fields of the rest of shape (n,).

    Notes
    -----
    Draw `eps/C` while the ball is centred, else `T_close(phi)`; slip at `theta = phi - eps + C T_stick`. Derived in
    studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> flat = segments.flatten(response.load, ())
    >>> at_rest, way = rest(flat, segments.walk(flat, farthest(flat, 1)))
    >>> float(at_rest.draw[0] / response.results["draw_torque"]), float(way.ways.left[0] - at_rest.phi[0])
    (1.0, 0.0)
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    phi, relaxes = rest_phi(solved, whole), _may_relax(solved, whole)
    phi = np.where(relaxes, np.minimum(phi, eps), phi)
    ways, rows = segment_rows.between(whole.ways, phi, np.maximum(segments.mouth_angle(solved), phi))
    begin = segment_rows.select(ways, ways.first)
    touch = contact_at.contact(begin, phi)
    there = contact_at.felt(begin, touch)
    stick = contact_at.torque_of(begin, touch, opening=True, static=True)
    proud = np.broadcast_to(eps < 0, phi.shape)
    closing = contact_at.torque_of(begin, touch, opening=False)
    draw = _draw(solved, whole, rows[ways.first], phi, closing)
    if np.any(proud):
        draw[proud] = _press_shut(solved, whole, proud)
    draw = np.where(relaxes, np.maximum(draw, 0), draw)
    start = np.where(proud, 0.0, draw)
    slip = phi - eps + balance.twist(give, stick)
    at_ends = contact_at.Felt(*(field.take(rows, axis=1) for field in whole.at_ends))
    for field, value in zip(at_ends, there, strict=True):
        field[0, ways.first] = value
    at = _at_rest(solved, begin, phi, touch, (there.torque, closing))
    return Rest(phi, np.where(proud, -eps, 0.0), draw, start, stick, slip, at), segment_rows.Path(ways, at_ends)


def _at_rest(
    solved: SolvedDetent, begin: Segments, phi: Array, touch: contact_at.Contact, torques: tuple[Array, Array]
) -> Torques:
    """`torques` in both senses, forces and depth at ball angles `phi` (n,) [rad] on each design's first segment."""
    depth = at_ball_angle.contact(solved, phi[:, None], begin.piece[:, None]).depth[:, 0]
    force = np.where(begin.at.arm > 0, touch.push, 0.0)
    return Torques(*torques, force, touch.push, depth, touch.sine)


def _draw(solved: SolvedDetent, whole: Path, row: Index, phi: Array, outward: Array) -> Array:
    """Torque onto the stop [N m]: that of the bar's side give, limited to what the contact can carry.

    `row` has each design's segment just outward of `phi`.
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    centred = (phi == 0) & (solved.record.radial_error == 0)
    inward = np.where(centred, -np.inf, outward)
    # Between two segments, or so near that rounding may have put the angle on either.
    between = np.flatnonzero((whole.ways.left[row] > phi - 10 * segment_rows.HAIR) & (row > whole.ways.first))
    if between.size:
        before = segment_rows.select(whole.ways, row[between] - 1)
        inward[between] = segments.torque(before, phi[between], opening=False)
    with np.errstate(divide="ignore", invalid="ignore"):
        pressed = np.where(eps == phi, 0.0, (eps - phi) / give)
    rigid = np.where(centred, np.minimum(pressed, outward), outward)
    return np.where(give > 0, np.clip(pressed, np.minimum(inward, outward), outward), rigid)


def _press_shut(solved: SolvedDetent, whole: Path, proud: Truth) -> Array:
    """Torque (negative) that holds a proud blade on its stop [N m]: the opening path on the dimple's other side."""
    way = segment_rows.of_designs(whole, proud)
    part = segment_rows.select_designs(solved, proud)
    centred = way.ways._replace(at=way.ways.at._replace(overclose=np.zeros(())))
    return -_opening_from_centre(part, way._replace(ways=centred), -part.record.overclose)


def _opening_from_centre(solved: SolvedDetent, way: Path, theta: Array) -> Array:
    """Opening torque at blade angle `theta` (n,) [rad] of a ball that starts centred, without over-close [N m]."""
    ways = way.ways
    theta = np.broadcast_to(theta, ways.first.shape)
    at_ends = np.minimum(segments.angle(ways, segments.ends(ways), way.at_ends.torque), FAR)
    slopes = segments.turning(ways, way.at_ends.torque_slope)
    top, where = extrema.crests(ways, at_ends, slopes, climb(opening=True))
    reached = segment_rows.first(ways, top >= theta[ways.design])
    inside = reached < ways.design.size
    torque = np.broadcast_to(balance.drag(solved, opening=True), theta.shape).copy()
    cell = reached[inside]
    torque[inside] = _torque_in(
        segment_rows.select(ways, cell), theta[inside], (at_ends[0, cell], top[cell]), where[cell], slopes[0, cell]
    )
    begin = segment_rows.select(ways, ways.first)
    stick = contact_at.torque_of(begin, contact_at.contact(begin, begin.left), opening=True, static=True)
    give = np.broadcast_to(solved.spring.twist_give, theta.shape)
    stuck = theta <= balance.twist(give, stick)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(stuck, theta / give, torque)


def _torque_in(part: Segments, theta: Array, ends: tuple[Array, Array], crest: Array, rise: Array) -> Array:
    """Opening torque at blade angles inside the given segments, or between one and the segment before [N m].

    `ends` has the blade angle at the inner ends and at the crests, `rise` its slope at the inner ends.
    """
    part = part._replace(design=np.arange(theta.size))
    at_left, top = ends
    low = np.flatnonzero(at_left < theta)
    phi = np.array(part.left)
    if low.size:
        some, first, last = segment_rows.select(part, low), (at_left - theta)[low], (top - theta)[low]
        # On an elastic rim the torque falls short of a straight rise, mostly by less than half.
        near = np.minimum(some.left - 2 * first / np.maximum(rise[low], 1), crest[low])
        there = opening_turn(some, near) - theta[low]
        short = there < 0
        start, stop = np.where(short, near, some.left), np.where(short, crest[low], near)
        known = np.where(short, there, first), np.where(short, last, there)
        phi[low] = segments.root(
            some, start, stop, lambda ways, phi: opening_turn(ways, phi) - theta[ways.design], known
        )
    with np.errstate(divide="ignore", invalid="ignore"):
        elastic = (theta - phi) / part.give
    held = (at_left >= theta) & (part.give > 0)
    return np.where(held, elastic, segments.torque(part, phi, opening=True))
