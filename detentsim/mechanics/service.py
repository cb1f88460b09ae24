"""What service takes back out of the bend: pushing the bar outward works against the push that bent it in.

Reversed loading by Masing's rule; `reverse_yield` (beta) stands for the Bauschinger effect. Moments are over the first
yield of the section they work on; a *share* is the root moment of a push on the ball over the relief's first yield.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from . import beam, bending, plastic
from .bend import free_offset
from .plastic import HINGE, NEARLY
from .record import Array, Record, Truth
from .seek import seek

# Nodes of a stretch of the bar between two kinks of its plastic curvature.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_AT, _SIZE = (_NODES + 1) / 2, _WEIGHTS / 2


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


def offset_left(record: Record, pushes: Sequence[Push], at: ArrayLike) -> Array:
    """Offset from flat at `at` after pushes one after another, each let go [m].

    Parameters
    ----------
    record : Record
        The bar; its own bend is not asked.
    pushes : sequence of Push
        In the order they come, from a flat bar that no one has bent.
    at : array_like
        Distance from the root [m].

    Notes
    -----
    Permanent curvature (`plastic.permanent_after`) times its arm. The metal yields alike both ways here
    (`reverse_yield` 1).
    """
    return _offset(record, pushes, at, np.asarray(1.0), plastic.permanent_after)


def lost_offset(record: Record, bent: Push, work: Push, at: ArrayLike) -> Array:
    """Offset that an outward push takes out of the bar's bend at `at`, let go again [m].

    Parameters
    ----------
    record : Record
        The bar.
    bent : Push
        What made its bend (`bent_in`).
    work : Push
        Its moments negative, as outward is.
    at : array_like
        Distance from the root [m].

    Notes
    -----
    `plastic.lost_curvature` times its arm. Not a number for a bar bent over an edge, where the length that yields is
    not known.
    """
    beta = np.asarray(record.reverse_yield)

    def lost(moments: Array) -> Array:
        return plastic.lost_curvature(moments[..., 0], -moments[..., 1], beta[..., None, None])

    return _offset(record, (bent, work), at, beta, lost)


def _offset(
    record: Record, pushes: Sequence[Push], at: ArrayLike, beta: Array, curvature: Callable[[Array], Array]
) -> Array:
    """Integral of a curvature, over that of first yield, times `at - x` along relief and full bar [m]."""
    at = np.asarray(at, float)
    step = np.clip(record.relief_length, 0, at)
    places = [one.place for one in pushes]
    inner = _arm_area(([one.near for one in pushes], places), (np.zeros_like(step), step, at), beta, curvature)
    outer = _arm_area(([one.far for one in pushes], places), (step, at, at), beta, curvature)
    return np.asarray(bending.yield_curvature(record) * (inner + bending.thinning(record) * outer))


def _arm_area(
    lines: tuple[list[Array], list[Array]],
    ends: tuple[Array, Array, Array],
    beta: Array,
    curvature: Callable[[Array], Array],
) -> Array:
    """Integral from start to end of a curvature times `at - x`, by Gauss's rule between its kinks [m^2].

    The moments are `m (1 - x/place)`, nought beyond the place. A square root of x tames the pole near a hinge.
    """
    *parts, start, end, at, both = np.broadcast_arrays(*lines[0], *lines[1], *ends, 1 + beta)
    moment, place = np.stack(parts[: len(lines[0])], axis=-1), np.stack(parts[len(lines[0]) :], axis=-1)
    kinks = np.concatenate([_kinks(moment, place, both), place], axis=-1)
    kinks = np.clip(np.nan_to_num(kinks, nan=0.0, posinf=0.0, neginf=0.0), start[..., None], end[..., None])
    cuts = np.sort(np.concatenate([start[..., None], kinks, end[..., None]], axis=-1), axis=-1)
    wide = np.diff(cuts, axis=-1)[..., None]
    x = cuts[..., :-1, None] + wide * _AT**2
    local = moment[..., None, None, :] * np.maximum(1 - x[..., None] / place[..., None, None, :], 0)
    values = curvature(local) * (at[..., None, None] - x) * wide * 2 * _AT * _SIZE
    return np.asarray(np.sum(values, axis=(-2, -1)))


def _kinks(moment: Array, place: Array, both: Array) -> Array:
    """Places where a section starts to yield, to yield back, or forgets: |m| = 1, |m - m'| = 1 + beta, m = -m' [m]."""
    slope = moment / place
    first, second = np.triu_indices(moment.shape[-1], 1)
    apart, falling = moment[..., first] - moment[..., second], slope[..., first] - slope[..., second]
    total, sinking = moment[..., first] + moment[..., second], slope[..., first] + slope[..., second]
    with np.errstate(divide="ignore", invalid="ignore"):
        alone = (np.abs(moment) - 1) / np.abs(slope)
        back = (np.abs(apart) - both[..., None]) / (np.sign(apart) * falling)
        forgets = total / sinking
    return np.concatenate([alone, back, forgets], axis=-1)


# --- the first full unlock -----------------------------------------------------------------------------------


def unlock_share(record: Record, travel: ArrayLike) -> Array:
    """Share that first brings the ball out by `travel` [m] from free, what yields on the way counted [-].

    Not a number where the bar folds back at a hinge before it gets there, or was bent over an edge.

    Notes
    -----
    Solves `travel = travel_of_share(share) + lost_offset(share)` by SciPy. Later pushes to the same place find the bar
    elastic: it has shaken down.
    """

    def miss(one: Record, share: Array, travel: Array, *bent: Array) -> Array:
        lost = lost_offset(one, Push(*bent), push(one, -share, one.ball_from_root), one.ball_from_root)
        return np.asarray(travel_of_share(one, share) + lost - travel)

    # A hair beyond the elastic share, which is the root itself where nothing yields.
    most = np.minimum(share_of_travel(record, travel) * (1 + 1e-9), NEARLY)
    return seek(miss, record, 0.0, most, travel, *bent_in(record))


def bend_after(record: Record, travel: ArrayLike) -> Array:
    """Bend left at the tip after the ball was first pushed out by `travel` from free [m].

    Parameters
    ----------
    record : Record
        The bar with its bend, any shape.
    travel : array_like
        [m], broadcasts with the record.
    """
    share = unlock_share(record, travel)
    lost = lost_offset(record, bent_in(record), push(record, -share, record.ball_from_root), record.tip_from_root)
    kept = np.asarray(travel) <= np.maximum(travel_before_loss(record), 0)
    return np.asarray(np.where(kept, record.bend, record.bend - lost))


def take_out(record: Record, lost: ArrayLike) -> Array:
    """Root moment over first yield of the outward push at `bend_push_at` that takes `lost` out of the tip's bend [-].

    Parameters
    ----------
    record : Record
        The bar with its bend, any shape.
    lost : array_like
        Offset of the tip to take out [m]; broadcasts with the record.

    Notes
    -----
    Solves `lost_offset = lost` by SciPy; not a number where the root is a hinge first, or for a bend over an edge.
    """

    def miss(one: Record, share: Array, lost: Array, *bent: Array) -> Array:
        work = push(one, -share, one.bend_push_at)
        return np.asarray(lost_offset(one, Push(*bent), work, one.tip_from_root) - lost)

    return seek(miss, record, 0.0, NEARLY, lost, *bent_in(record))


def settled_bend(record: Record, travel: ArrayLike) -> Array:
    """Bend to give the bar so that its own bend is left after one outward push to its farthest [m].

    Parameters
    ----------
    record : Record
        The bar with the bend that is wanted in the end, any shape.
    travel : array_like
        Farthest outward travel of the ball from where it will stand free in the end [m].

    Notes
    -----
    A bar bent along its length is no longer of even curvature afterwards, so its ball then stands some hundredths of a
    millimetre lower than an even bend of that size has it.
    The ball is pushed to one place, so a bar bent farther travels farther: solves
    `bend_after(b, travel + what b adds at the ball) = bend` by SciPy. Not a number where no bend is enough.
    """

    def miss(one: Record, bend: Array, travel: Array) -> Array:
        more = one._replace(bend=bend, pushed_back=np.zeros_like(bend))
        left = bend_after(more, travel + free_offset(more) - free_offset(one))
        return np.asarray(np.nan_to_num(left, nan=-1.0) - one.bend)

    return seek(miss, record, record.bend, bending.most_bend(record), travel, close=1e-10)
