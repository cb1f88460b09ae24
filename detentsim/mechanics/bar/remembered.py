"""Moments that the bent bar remembers, and the stress and yield of a push outward from free."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.bar import beam, bending
from detentsim.mechanics.bar.plastic import HINGE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record, Truth


class Push(NamedTuple):
    """A push on the bar as the moments it makes: straight lines that are nought at `place`, positive inward."""

    near: Array  # at the root, over the relief's first yield
    far: Array  # the full bar's, drawn back to the root, over its own first yield
    place: Array  # where it is put [m]; infinite for a moment even along the bar


class Sections(NamedTuple):
    """Where the bar may yield first: root, full bar at the step, and where it was bent over an edge; last axis 3."""

    bent: Array  # the moment that bent the section in, over its own first yield; signed
    share: Array  # its moment for a push on the ball, over the root's share


def share_of_travel(record: Record, travel: ArrayLike) -> Array:
    """Share of pushing the ball outward by `travel` [m] from free, the bar elastic [-]."""
    force = beam.bar_stiffness(record) * np.maximum(np.asarray(travel, float), 0)
    return np.asarray(force * record.ball_from_root / bending.yield_moment(record))


def travel_of_share(record: Record, share: ArrayLike) -> Array:
    """Outward travel of the ball [m] that comes to a share, the bar elastic."""
    moment = np.asarray(share, float) * bending.yield_moment(record)
    return np.asarray(moment / (record.ball_from_root * beam.bar_stiffness(record)))


def sections(record: Record) -> Sections:
    """Bending moments that the bar remembers, and how a push on the ball works on each place.

    A bend over an edge (`bend_at` a distance) took a hinge there and nothing elsewhere; a bend along the bar an even
    curvature in each part. A bar bent outward remembers nothing that works against service.
    """
    pushed = (bending.by_push(record) > 0) & (record.bend > 0)
    root = np.where(pushed, bending.root_moment(record), 0)
    bent = _unpushed(record) + _stack([root, root * _arm(record), np.zeros_like(root)])
    return Sections(bent, _shares(record))


def _unpushed(record: Record) -> Array:
    """Moments that made a bend along the bar or over an edge, by section; 0 where a push made it."""
    inward, edge = record.bend > 0, ~np.isnan(record.bend_at)
    along = inward & (np.asarray(record.bend_along) > 0) & ~edge
    near, far = bending.even_moments(record)
    return _stack([np.where(along, near, 0), np.where(along, far, 0), np.where(edge & inward, HINGE, 0)])


def _arm(record: Record) -> Array:
    """Moment of the bending push in the full bar at the step, over its own first yield, for 1 at the root."""
    reach = np.maximum(1 - record.relief_length / record.bend_push_at, 0)
    return np.asarray(reach * bending.thinning(record) ** 2)


def _shares(record: Record) -> Array:
    a, ratio = record.ball_from_root, bending.thinning(record)
    edge = np.where(np.isnan(record.bend_at), a, record.bend_at)
    thick = np.where(edge > record.relief_length, ratio**2, 1)
    step = np.maximum(1 - record.relief_length / a, 0) * ratio**2
    return _stack([np.ones_like(a), step, thick * np.maximum(1 - edge / a, 0)])


def _stack(parts: Sequence[Array]) -> Array:
    return np.stack(np.broadcast_arrays(*parts), axis=-1)


def allowed(bent: Array, beta: Array) -> Array:
    """Outward moment that a section bears before it yields back, over its first yield [-]."""
    return np.where(bent > 1, 1 + beta - bent, 1.0)


def _pushed_back(record: Record) -> Array:
    """Share of the farthest push back since the last bend in; no more than a hinge bears."""
    return np.minimum(share_of_travel(record, record.pushed_back), HINGE)


def borne(record: Record) -> Array:
    """Outward moments at root, step and edge that take no bend back, each over its section's first yield [-].

    `1 + beta - M_bend/M_y` at a section that the bend made yield, 1 at any other, and at least what the bar was pushed
    back to since it was bent (`pushed_back`). Last axis 3.
    """
    found, back = sections(record), _pushed_back(record)[..., None]
    return np.maximum(allowed(found.bent, np.asarray(record.reverse_yield)[..., None]), back * found.share)


def first_yield(record: Record) -> Array:
    """Largest share that takes no bend back; the least of the sections counts [-]."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.min(borne(record) / _shares(record), axis=-1))


def residual(record: Record) -> Array:
    """Stress at root, step and edge that outward service adds to, over yield strength [-]; last axis 3.

    On the bar's inner face, tension positive: `M_bend/M_y - 1` after bending in, `beta - M/M_y` once an outward
    moment M made the face yield back. Source: F. P. Beer and E. R. Johnston, Mechanics of Materials, residual stresses.
    """
    found, back = sections(record), _pushed_back(record)[..., None] * _shares(record)
    limit = np.where(found.bent > 1, np.asarray(record.reverse_yield)[..., None], 1.0)
    return np.minimum(np.maximum(found.bent - 1, 0), limit - back)


def residual_along(record: Record, x: Array) -> tuple[Array, Array]:
    """Residual stress along one bar, and the stress that takes no bend back, both over yield strength [-].

    Parameters
    ----------
    record : Record
        One design.
    x : array, shape (n,)
        From the root [m]; the step belongs to the relief where it comes first. A bend over an edge is left out.
    """
    was = bent_in(record)
    relief = np.arange(x.size) < np.searchsorted(x, record.relief_length, side="left") + 1
    reach = np.maximum(1 - x / was.place, 0)
    bent = np.nan_to_num(np.where(relief, was.near, was.far) * reach)
    thin = np.where(relief, 1, bending.thinning(record) ** 2)
    back = _pushed_back(record) * np.maximum(1 - x / record.ball_from_root, 0) * thin
    limit = np.where(bent > 1, record.reverse_yield, 1.0)
    return np.minimum(np.maximum(bent - 1, 0), limit - back), limit


def stresses(record: Record, share: ArrayLike) -> Array:
    """Stress at root, step and edge with the ball pushed out by a share, residual included [Pa]; last axis 3."""
    work = np.asarray(share, float)[..., None] * _shares(record)
    return np.asarray((residual(record) + work) * record.yield_strength[..., None])


def stress(record: Record, share: ArrayLike) -> Array:
    """Greatest stress in the bar with the ball pushed out by a share, residual included [Pa].

    Elastic: above the yield strength the metal gives instead, and some bend is lost.
    """
    return np.asarray(np.max(stresses(record, share), axis=-1))


def travel_before_loss(record: Record) -> Array:
    """Outward travel of the ball from free that takes no bend back [m]."""
    return travel_of_share(record, first_yield(record))


def loses_bend(record: Record, travel: ArrayLike) -> Truth:
    """Tell whether pushing the ball out by `travel` [m] from free takes bend back out of the bar.

    The same as `travel > travel_before_loss(record)`, but for a bend made by a push the moment is not solved for: the
    bend is compared with the one that the largest moment still allowed leaves.
    """
    travel = np.asarray(travel, float)
    work = share_of_travel(record, travel)[..., None] * _shares(record)
    beta = np.asarray(record.reverse_yield)[..., None]
    over = np.any(work > allowed(_unpushed(record), beta), axis=-1)
    arms = _stack([np.ones_like(record.bend), _arm(record)])
    with np.errstate(divide="ignore"):
        limit = np.min(np.maximum(1 + beta - work[..., :2], 1) / arms, axis=-1)
    room = bending.bend_left(record, np.minimum(limit, HINGE))
    pushed = (bending.by_push(record) > 0) & (limit < HINGE) & (record.bend > room)
    return np.asarray((over | pushed) & (travel > record.pushed_back))


def bent_in(record: Record) -> Push:
    """The push, or the even bend, that made the bar's bend; not a number for a bar bent over an edge."""
    found = np.where(np.isnan(record.bend_at)[..., None], sections(record).bent, np.nan)
    along = np.asarray(record.bend_along) > 0
    near = found[..., 0]
    far = np.where(along, found[..., 1], near * bending.thinning(record) ** 2)
    return Push(near, far, np.where(along, np.inf, record.bend_push_at))


def push(record: Record, share: ArrayLike, place: ArrayLike) -> Push:
    """A push at `place` [m] with the root moment `share` over first yield, positive inward."""
    near = np.asarray(share, float)
    return Push(near, near * bending.thinning(record) ** 2, np.asarray(place, float))
