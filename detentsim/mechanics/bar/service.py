"""Bend lost in service: pushing the bar outward works against the push that bent it in.

Reversed loading by Masing's rule; `reverse_yield` (beta) is the Bauschinger effect. Moments are over the first-yield
moment of their section; a *share* is the root moment of a push on the ball over the relief's first-yield moment. Uses
``plastic`` and ``remembered``; ``analysis.limits`` and the advice use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import bending, plastic
from detentsim.mechanics.bar.bend import free_offset
from detentsim.mechanics.bar.plastic import NEARLY
from detentsim.mechanics.bar.remembered import Push, bent_in, push, share_of_travel, travel_before_loss, travel_of_share
from detentsim.mechanics.roots import root_per_design

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record

# Gauss-Legendre rule for a part of the bar between two kinks of its plastic curvature.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)

_AT, _SIZE = (_NODES + 1) / 2, _WEIGHTS / 2


def offset_left(record: Record, pushes: Sequence[Push], at: ArrayLike) -> Array:
    """Offset from flat after a sequence of pushes, each let go [m].

    Parameters
    ----------
    record : Record
        The bar; its own bend does not count.
    pushes : sequence of Push
        In their order, from a flat bar that was never bent.
    at : array_like
        Distance from the root [m].

    Returns
    -------
    array

    Notes
    -----
    `int kappa_left (at - x) dx`, with `plastic.permanent_after`; the metal yields at the same stress both ways
    (`reverse_yield` 1). Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(offset_left(knife, [bent_in(knife)], knife.tip_from_root) / knife.bend)
    1.0
    """
    return _offset(record, pushes, at, np.asarray(1.0), plastic.permanent_after)


def lost_offset(record: Record, bent: Push, work: Push, at: ArrayLike) -> Array:
    """Offset that an outward push, let go again, takes out of the bar's bend [m].

    Parameters
    ----------
    record : Record
        The bar.
    bent : Push
        Push that made its bend (`bent_in`).
    work : Push
        Outward push, its moments negative.
    at : array_like
        Distance from the root [m].

    Returns
    -------
    array
        NaN for a bar bent over an edge, where the length that yields is not known.

    Notes
    -----
    `int kappa_lost (at - x) dx`, with `plastic.lost_curvature` (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(lost_offset(knife, bent_in(knife), push(knife, -0.1, knife.ball_from_root), knife.tip_from_root))
    0.0
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
    """Integral from start to end of a curvature times `at - x`, by Gauss-Legendre between its kinks [m^2].

    The moments are `m (1 - x/place)`, zero beyond the place. Substituting a square for x tames the pole near a plastic
    hinge.
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
    """Places where a section starts to yield, yields in reverse, or loses its memory [m].

    There `|m| = 1`, `|m - m'| = 1 + beta`, `m = -m'`.
    """
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
    """Share that first brings the ball out by `travel` [m] from free, yielding on the way included [-].

    NaN where the bar folds back at a plastic hinge first, or was bent over an edge.

    Notes
    -----
    Solves `travel = travel_of_share(share) + lost_offset(share)` by SciPy (derived). Later pushes to the same travel
    are elastic (shakedown).

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(unlock_share(knife, 0.2e-3) / share_of_travel(knife, 0.2e-3))
    1.0
    """

    def miss(one: Record, share: Array, travel: Array, *bent: Array) -> Array:
        lost = lost_offset(one, Push(*bent), push(one, -share, one.ball_from_root), one.ball_from_root)
        return np.asarray(travel_of_share(one, share) + lost - travel)

    # Just above the elastic share, which is the root itself where nothing yields.
    most = np.minimum(share_of_travel(record, travel) * (1 + 1e-9), NEARLY)
    return root_per_design(miss, record, 0.0, most, travel, *bent_in(record))


def bend_after(record: Record, travel: ArrayLike) -> Array:
    """Bend left at the tip after the ball was first pushed out by `travel` from free [m].

    Parameters
    ----------
    record : Record
        The bar with its bend, any shape.
    travel : array_like
        [m], broadcasts with the record.

    Returns
    -------
    array

    Notes
    -----
    The bend less `lost_offset` at the share of `unlock_share` (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(bend_after(knife, 0.0) / knife.bend)
    1.0
    """
    kept = np.asarray(travel) <= np.maximum(travel_before_loss(record), 0)
    if np.all(kept):
        return np.array(np.broadcast_to(record.bend, np.broadcast_shapes(kept.shape, *map(np.shape, record))))
    share = unlock_share(record, travel)
    lost = lost_offset(record, bent_in(record), push(record, -share, record.ball_from_root), record.tip_from_root)
    return np.asarray(np.where(kept, record.bend, record.bend - lost))


def take_out(record: Record, lost: ArrayLike) -> Array:
    """Root moment over first yield of the outward push at `bend_push_at` that takes `lost` out of the tip's bend [-].

    Parameters
    ----------
    record : Record
        The bar with its bend, any shape.
    lost : array_like
        Offset of the tip to take out [m]; broadcasts with the record.

    Returns
    -------
    array
        NaN where the root becomes a plastic hinge first, or for a bend over an edge.

    Notes
    -----
    Solves `lost_offset = lost` by SciPy's bracketed root.
    """

    def miss(one: Record, share: Array, lost: Array, *bent: Array) -> Array:
        work = push(one, -share, one.bend_push_at)
        return np.asarray(lost_offset(one, Push(*bent), work, one.tip_from_root) - lost)

    return root_per_design(miss, record, 0.0, NEARLY, lost, *bent_in(record))


def settled_bend(record: Record, travel: ArrayLike) -> Array:
    """Bend to give the bar so that its present bend is left after one outward push to full travel [m].

    Parameters
    ----------
    record : Record
        The bar with the bend that is wanted in the end, any shape.
    travel : array_like
        Largest outward travel of the ball, from where it will be free in the end [m].

    Returns
    -------
    array
        NaN where no bend is enough.

    Notes
    -----
    The ball is pushed to one place, so a bar bent farther travels farther: solves
    `bend_after(b, travel + what b adds at the ball) = bend` by SciPy (derived). A bar bent along its length is no
    longer of even curvature afterwards; its ball then stands some hundredths of a millimetre lower than an even bend of
    that size has it.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(settled_bend(knife, 0.0) / knife.bend)
    1.0
    """

    def miss(one: Record, bend: Array, travel: Array) -> Array:
        more = one._replace(bend=bend, pushed_back=np.zeros_like(bend))
        left = bend_after(more, travel + free_offset(more) - free_offset(one))
        return np.asarray(np.nan_to_num(left, nan=-1.0) - one.bend)

    return root_per_design(miss, record, record.bend, bending.most_bend(record), travel, close=1e-10)
