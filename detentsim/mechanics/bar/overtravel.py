"""Outward push of the bar against a stop or a pocket clip behind it, a second spring that the bar meets.

Uses ``beam`` (flexibility) and ``remembered`` (moments that the bent bar bears); ``analysis.limits`` uses it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.bar import beam, bend, bending, plastic, remembered
from detentsim.mechanics.roots import root_per_design

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.bar.remembered import Push
    from detentsim.mechanics.record import Array, Record

# Largest push considered, far beyond any hand [N].
STRONGEST = 1e4


class _Spot(NamedTuple):
    """Index on the last axis of each spot at which the bar may yield first."""

    root: int = 0
    step: int = 1  # the full bar at the relief's end
    edge: int = 2  # what the bar was bent over
    stop: int = 3
    relief_end: int = 4  # the relief at its end
    bent_end: int = 5  # outer end of the part of the relief that the bend made yield


SPOT = _Spot()


class Pushed(NamedTuple):
    """The bar under an outward push against a stop; fields of the common shape."""

    reaction: Array  # of the stop [N]
    travel: Array  # of the ball, outward from free [m]
    moments: Array  # outward at root, step, edge and stop, each over its section's first yield; last axis 4
    use: Array  # largest moment over the one its section bears without losing bend [-]


def stop_distance(record: Record, place: ArrayLike, gap: ArrayLike) -> Array:
    """Outward travel of the bar at `place` from free until it meets a stop `gap` behind the flat bar [m].

    Plain geometry (derived); both in [m].
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(stop_distance(knife, knife.tip_from_root, 0.0) / knife.bend)
    1.0
    """
    return np.asarray(bend.free_at(record, place) + np.asarray(gap, float))


def pushed_out(
    record: Record,
    push: ArrayLike,
    place: ArrayLike,
    gap: ArrayLike,
    give: ArrayLike,
    preload: ArrayLike = 0.0,
    bent: Push | None = None,
) -> Pushed:
    """Reaction, travel and moments of the elastic bar whose tip is pushed outward against a stop.

    Parameters
    ----------
    record : Record
        The bar, any shape.
    push : array_like
        At the tip, outward [N].
    place : array_like
        Distance of the stop from the root [m].
    gap : array_like
        From the flat bar to the stop [m]; infinite for none.
    give : array_like
        Compliance of the stop [m/N]; 0 for a rigid one.
    preload : array_like
        Force that the stop bears before it yields at all, as a clip that rests on the handle [N].
    bent : Push, optional
        As `remembered.bent_in` gives it, where that is solved already.

    Returns
    -------
    Pushed

    Notes
    -----
    Force method with the bar's flexibilities: `R = (P f_ts - d)/f_ss` while that is within the preload, then
    `(P f_ts - d + preload give)/(f_ss + give)`, at least 0. Source: any text on statically indeterminate beams.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> free = pushed_out(knife, 5.0, knife.ball_from_root, np.inf, 0.0)
    >>> float(free.reaction), round(float(free.moments[0] * bending.yield_moment(knife) / knife.tip_from_root), 9)
    (0.0, 5.0)
    """
    force, at, tip = np.asarray(push, float), np.asarray(place, float), record.tip_from_root
    over = force * _give(record, tip, at) - stop_distance(record, at, gap)
    held, own = np.asarray(preload, float), _give(record, at, at)
    rigid, soft = over / own, (over + held * give) / (own + np.asarray(give, float))
    reaction = np.maximum(np.where(rigid <= held, rigid, soft), 0)
    ball = record.ball_from_root
    travel = force * _give(record, tip, ball) - reaction * _give(record, at, ball)
    was = remembered.bent_in(record) if bent is None else bent
    places, thick = _places(record, at, was)
    bending_moment = force[..., None] * np.maximum(tip[..., None] - places, 0)
    bending_moment = bending_moment - reaction[..., None] * np.maximum(at[..., None] - places, 0)
    moments = bending_moment / (bending.yield_moment(record)[..., None] * thick)
    use = np.max(np.abs(moments) / _bears(record, places, moments, was), axis=-1)
    return Pushed(reaction, travel, moments[..., : SPOT.relief_end], use)


def _give(record: Record, load: Array, at: Array) -> Array:
    return beam.flexibility(record, load, at) / record.calibration


def _places(record: Record, stop: Array, was: Push) -> tuple[Array, Array]:
    """Places where the bar may yield first [m], and their first-yield moments over the relief's; last axis 6 (`SPOT`).

    Between these places the moment and the moment that can be borne are straight lines, so nothing yields sooner.
    """
    thick = 1 / bending.thinning(record) ** 2
    edge = np.where(np.isnan(record.bend_at), record.tip_from_root, record.bend_at)
    step = np.minimum(record.relief_length, record.tip_from_root)
    with np.errstate(divide="ignore", invalid="ignore"):
        ceased = np.nan_to_num(was.place * (1 - 1 / was.near), nan=0.0, posinf=0.0, neginf=0.0)
    spots = [np.zeros_like(stop), step, edge, stop, step, np.clip(ceased, 0, step)]
    thin, full = np.ones_like(thick), thick
    where = [np.where(spot > record.relief_length, thick, 1) for spot in (edge, stop)]
    sizes = [thin, full, *where, thin, thin]
    places, ratios = (np.stack(np.broadcast_arrays(*part), axis=-1) for part in (spots, sizes))
    return places, ratios


def _bears(record: Record, places: Array, moments: Array, was: Push) -> Array:
    """Moments borne at the places without losing bend, over first yield; inward what bent the bar is borne too."""
    wide = record.relief_length[..., None]
    beyond = (places > wide) | (np.arange(len(SPOT)) == SPOT.step)
    near, far, place = (np.nan_to_num(np.asarray(part), nan=0.0)[..., None] for part in was)
    bent = np.where(beyond, far, near) * np.maximum(1 - places / np.where(place > 0, place, 1), 0)
    hinge = (~np.isnan(record.bend_at) & (record.bend > 0))[..., None] & (np.arange(len(SPOT)) == SPOT.edge)
    bent = np.where(hinge, plastic.HINGE, bent)
    back = np.minimum(remembered.share_of_travel(record, record.pushed_back), plastic.HINGE)[..., None]
    reach = np.maximum(1 - places / record.ball_from_root[..., None], 0)
    back = back * reach * np.where(beyond, bending.thinning(record)[..., None] ** 2, 1)
    fresh = remembered.allowed(bent, np.asarray(record.reverse_yield)[..., None])
    # Inward it bears what bent it in, or what is left of the elastic range after a push back that yielded.
    inward = np.where(back > fresh, np.minimum(np.maximum(bent, 1), 2 - back), np.maximum(bent, 1))
    return np.where(moments < 0, inward, np.maximum(fresh, back))


def push_before_loss(record: Record) -> Array:
    """Outward push at the tip, without a stop, up to which the bar loses no bend [N].

    Smallest of `m_borne M_y/arm` over the places that may yield first (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> at_limit = pushed_out(knife, push_before_loss(knife), knife.tip_from_root, np.inf, 0.0)
    >>> float(at_limit.use)
    1.0
    """
    tip = record.tip_from_root
    was = remembered.bent_in(record)
    places, thick = _places(record, tip, was)
    arms = np.maximum(tip[..., None] - places, 0) / (bending.yield_moment(record)[..., None] * thick)
    with np.errstate(divide="ignore"):
        return np.asarray(np.min(_bears(record, places, arms, was) / arms, axis=-1))


def push_against(record: Record, place: ArrayLike, gap: ArrayLike, give: ArrayLike, preload: ArrayLike = 0.0) -> Array:
    """Outward push at the tip, against a stop behind the bar, up to which the bar loses no bend [N].

    Parameters
    ----------
    record : Record
        The bar, any shape.
    place, gap, give, preload : array_like
        Of the stop, as in `pushed_out`.

    Returns
    -------
    array
        NaN where no push up to `STRONGEST` takes any bend.

    Notes
    -----
    Solves `pushed_out(...).use = 1` for the push by SciPy's bracketed root.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(push_against(knife, knife.tip_from_root, np.inf, 0.0) / push_before_loss(knife))
    1.0
    """

    def miss(one: Record, push: Array, *known: Array) -> Array:
        at, behind, gives, held, *bent = known
        return np.asarray(pushed_out(one, push, at, behind, gives, held, remembered.Push(*bent)).use - 1)

    was = remembered.bent_in(record)  # the same whatever the push, and solved for itself
    return root_per_design(miss, record, 0.0, STRONGEST, place, gap, give, preload, *was, close=1e-9)


def cantilever_stiffness(modulus: ArrayLike, width: ArrayLike, thickness: ArrayLike, length: ArrayLike) -> Array:
    """Tip stiffness of a plain cantilever, `E w t^3/(4 L^3)` [N/m]; modulus in [Pa], sizes in [m].

    Source: any handbook of mechanics; 3 E I/L^3.

    >>> round(float(cantilever_stiffness(113.8e9, 8e-3, 1e-3, 40e-3)) / 1e3, 5)
    3.55625
    """
    strip = np.asarray(modulus, float) * np.asarray(width, float) * np.asarray(thickness, float) ** 3
    return np.asarray(strip / (4 * np.asarray(length, float) ** 3))


def cantilever_stress(modulus: ArrayLike, thickness: ArrayLike, length: ArrayLike, travel: ArrayLike) -> Array:
    """Bending stress at the root of a plain cantilever whose tip is lifted by `travel` [m], `3 E t y/(2 L^2)` [Pa].

    Source: any handbook of mechanics; M c/I with M = 3 E I y/L^2.

    >>> float(cantilever_stress(200e9, 1e-3, 30e-3, 1e-3)) / 1e6
    333.333333
    """
    lifted = np.asarray(modulus, float) * np.asarray(thickness, float) * np.asarray(travel, float)
    return np.asarray(1.5 * lifted / np.asarray(length, float) ** 2)


def reach(record: Record, place: ArrayLike) -> Array:
    """Outward travel of the ball over that of the bar at `place` [m], the bar pushed at its tip [-].

    `delta(x_tip, a)/delta(x_tip, x)` of the bar's flexibilities (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(reach(knife, knife.ball_from_root))
    1.0
    """
    tip = record.tip_from_root
    return np.asarray(beam.flexibility(record, tip, record.ball_from_root) / beam.flexibility(record, tip, place))


def room(record: Record) -> Array:
    """Outward travel of the ball, the bar pushed at its tip, from free until the bar meets its over-travel stop [m].

    `stop_distance` times `reach`; inf where there is no stop.

    >>> import detentsim as ds
    >>> float(room(ds.curve(ds.demo()).response.load.record._replace(stop_gap=np.array(np.inf))))
    inf
    """
    place = record.stop_from_root
    return np.asarray(stop_distance(record, place, record.stop_gap) * reach(record, place))
