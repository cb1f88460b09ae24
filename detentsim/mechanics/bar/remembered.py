"""Bending moments that the bent bar remembers, and stress and first yield of a push outward from free.

A *share* is the root moment of a push on the ball over the relief's first-yield moment. Uses ``bending`` (the moment
that made the bend); ``service``, ``overtravel`` and the limits use it.
"""

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
    """Moments of a push on the bar: straight lines that reach zero at `place`, positive inward."""

    near: Array  # at the root, over the relief's first yield
    far: Array  # of the full bar, extrapolated to the root, over its own first yield
    place: Array  # distance of the push from the root [m]; infinite for a moment even along the bar


class Sections(NamedTuple):
    """Sections that may yield first: root, full bar at the step, edge it was bent over; fields with last axis 3."""

    bent: Array  # moment that bent the section in, over its own first yield; signed
    share: Array  # moment of a push on the ball over the section's first yield, for a share of 1


def share_of_travel(record: Record, travel: ArrayLike) -> Array:
    """Share of pushing the ball outward by `travel` [m] from free, the bar elastic, `k y a/M_y` [-].

    Any text on mechanics of materials.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(share_of_travel(knife, travel_of_share(knife, 0.8)))
    0.8
    """
    force = beam.bar_stiffness(record) * np.maximum(np.asarray(travel, float), 0)
    return np.asarray(force * record.ball_from_root / bending.yield_moment(record))


def travel_of_share(record: Record, share: ArrayLike) -> Array:
    """Outward travel of the ball for a share, the bar elastic, `m M_y/(a k)` [m]; the inverse of `share_of_travel`.

    Any text on mechanics of materials.

    >>> import detentsim as ds
    >>> float(travel_of_share(ds.curve(ds.demo()).response.load.record, 0.0))
    0.0
    """
    moment = np.asarray(share, float) * bending.yield_moment(record)
    return np.asarray(moment / (record.ball_from_root * beam.bar_stiffness(record)))


def sections(record: Record) -> Sections:
    """Moments that the bar remembers, and moments of a push on the ball, by section.

    A push at one point leaves its own moments; a bend over an edge (`bend_at`) took a plastic hinge there and nothing
    elsewhere; a bend along the bar an even curvature in each part. A bar bent outward remembers nothing that counts in
    service.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> bool(sections(knife).bent[0] == bending.root_moment(knife)), float(sections(knife).share[0])
    (True, 1.0)
    """
    pushed = (bending.by_push(record) > 0) & (record.bend > 0)
    root = np.where(pushed, bending.root_moment(record), 0)
    bent = _unpushed(record) + _stack([root, root * _arm(record), np.zeros_like(root)])
    return Sections(bent, _shares(record))


def _unpushed(record: Record) -> Array:
    """Moments of a bend along the bar or over an edge, by section; 0 where a push made the bend."""
    inward, edge = record.bend > 0, ~np.isnan(record.bend_at)
    along = inward & (np.asarray(record.bend_along) > 0) & ~edge
    near, far = bending.even_moments(record)
    return _stack([np.where(along, near, 0), np.where(along, far, 0), np.where(edge & inward, HINGE, 0)])


def _arm(record: Record) -> Array:
    """Moment of the bending push in the full bar at the step, over its own first yield, for a root moment of 1."""
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
    """Outward moment that a section bears before it yields in reverse, over its first-yield moment [-].

    `1 + beta - bent` for a section bent past yield, else 1. Masing's rule; derived in studies/00-the-model.ipynb.

    >>> float(allowed(np.array(1.3), np.array(1.0))), float(allowed(np.array(0.0), np.array(1.0)))
    (0.7, 1.0)
    """
    return np.where(bent > 1, 1 + beta - bent, 1.0)


def _pushed_back(record: Record) -> Array:
    """Share of the largest push outward since the last bend in; at most a plastic hinge."""
    return np.minimum(share_of_travel(record, record.pushed_back), HINGE)


def borne(record: Record) -> Array:
    """Outward moments at root, step and edge up to which no bend is lost, each over its section's first yield [-].

    `1 + beta - M_bend/M_y` at a section bent past yield, 1 at any other, and at least the largest outward moment since
    the bend (`pushed_back`). Last axis 3. Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(borne(knife)[0] + bending.root_moment(knife)), 12)
    2.0
    """
    memory, back = sections(record), _pushed_back(record)[..., None]
    return np.maximum(allowed(memory.bent, np.asarray(record.reverse_yield)[..., None]), back * memory.share)


def first_yield(record: Record) -> Array:
    """Largest share up to which no bend is lost, the smallest over the sections [-].

    `M_rev/M_y` of studies/00-the-model.ipynb, where it is derived.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(first_yield(knife._replace(bend=np.array(0.0))))
    1.0
    """
    with np.errstate(divide="ignore"):
        return np.asarray(np.min(borne(record) / _shares(record), axis=-1))


def residual(record: Record) -> Array:
    """Residual stress at root, step and edge to which outward service adds, over yield strength [-]; last axis 3.

    On the bar's inner face, tension positive: `M_bend/M_y - 1` after bending in, `beta - M/M_y` once an outward
    moment M made the face yield in reverse. Source: F. P. Beer and E. R. Johnston, Mechanics of Materials, residual
    stresses.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(residual(knife)[0] - bending.root_moment(knife)), 12)
    -1.0
    """
    bent, back = sections(record).bent, _pushed_back(record)[..., None] * _shares(record)
    limit = np.where(bent > 1, np.asarray(record.reverse_yield)[..., None], 1.0)
    return np.minimum(np.maximum(bent - 1, 0), limit - back)


def residual_along(record: Record, x: Array) -> tuple[Array, Array]:
    """Residual stress along one bar, and the stress up to which no bend is lost, both over yield strength [-].

    Parameters
    ----------
    record : Record
        One design.
    x : array, shape (n,)
        Distances from the root [m]; the step belongs to the relief where it comes first. A bend over an edge is left
        out.

    Returns
    -------
    residual, limit : array, shape (n,)

    Notes
    -----
    `M_bend/M_y - 1` as in `residual`; source: F. P. Beer and E. R. Johnston, Mechanics of Materials, residual stresses.
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
    """Stress at root, step and edge with the ball pushed out by a share, residual stress included [Pa]; last axis 3.

    Elastic superposition, any text on mechanics of materials.
    """
    work = np.asarray(share, float)[..., None] * _shares(record)
    return np.asarray((residual(record) + work) * record.yield_strength[..., None])


def stress(record: Record, share: ArrayLike) -> Array:
    """Largest stress in the bar with the ball pushed out by a share, residual stress included [Pa].

    Elastic superposition, any text on mechanics of materials; above the yield strength the metal yields instead, and
    some bend is lost.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(stress(knife, first_yield(knife)) / knife.yield_strength)
    1.0
    """
    return np.asarray(np.max(stresses(record, share), axis=-1))


def travel_before_loss(record: Record) -> Array:
    """Outward travel of the ball from free up to which no bend is lost, `M_rev/(a k)` [m].

    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> [bool(loses_bend(knife, share * travel_before_loss(knife))) for share in (1.01, 0.99)]
    [True, False]
    """
    return travel_of_share(record, first_yield(record))


def loses_bend(record: Record, travel: ArrayLike) -> Truth:
    """Truth of each design that pushing the ball out by `travel` [m] from free takes bend out of the bar.

    The same as `travel > travel_before_loss(record)`, but where a push made the bend no moment is solved for: the bend
    is compared with that of the largest moment still allowed. Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> bool(loses_bend(ds.curve(ds.demo()).response.load.record, 0.0))
    False
    """
    travel = np.asarray(travel, float)
    work = share_of_travel(record, travel)[..., None] * _shares(record)
    beta = np.asarray(record.reverse_yield)[..., None]
    over = np.any(work > allowed(_unpushed(record), beta), axis=-1)
    arms = _stack([np.ones_like(record.bend), _arm(record)])
    with np.errstate(divide="ignore"):
        limit = np.min(np.maximum(1 + beta - work[..., :2], 1) / arms, axis=-1)
    allowed_bend = bending.bend_left(record, np.minimum(limit, HINGE))
    pushed = (bending.by_push(record) > 0) & (limit < HINGE) & (record.bend > allowed_bend)
    return np.asarray((over | pushed) & (travel > record.pushed_back))


def bent_in(record: Record) -> Push:
    """Push, or even moment, that made the bar's bend; NaN for a bar bent over an edge.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> bool(bent_in(knife).near == bending.root_moment(knife))
    True
    """
    bent = np.where(np.isnan(record.bend_at)[..., None], sections(record).bent, np.nan)
    along = np.asarray(record.bend_along) > 0
    near = bent[..., 0]
    far = np.where(along, bent[..., 1], near * bending.thinning(record) ** 2)
    return Push(near, far, np.where(along, np.inf, record.bend_push_at))


def push(record: Record, share: ArrayLike, place: ArrayLike) -> Push:
    """Push at `place` [m] with the root moment `share` over first yield [-], positive inward.

    >>> import detentsim as ds
    >>> float(push(ds.curve(ds.demo()).response.load.record, -1.1, 0.044).near)
    -1.1
    """
    near = np.asarray(share, float)
    return Push(near, near * bending.thinning(record) ** 2, np.asarray(place, float))
