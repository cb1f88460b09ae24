"""Which tolerances to halve so that a wanted share of the knives is inside, at the least cost."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.batch.knives.cloud import inside_of_each
from detentsim.analysis.many_builds.sweep.blocks import no_progress
from detentsim.knife.record.drawing import draw, spread_points
from detentsim.knife.table.schema import INPUTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.knife.record.doubts import Doubt
    from detentsim.knife.record.drawing import Known
    from detentsim.mechanics.record import Array

KNIVES = 1_024
"""Knives, the same for every choice of tolerances, by which they are compared."""

MOST = 3
"""Times one tolerance may be halved: an eighth is as fine as a careful bench holds; judgement, no source."""

FINEST = 10e-6
"""Width of a length's band that no bench holds closer [m]; judgement, no source."""

LEAST = 0.005
"""Share that a halving must gain; less is within the error of so few knives."""

STEPS = 12
"""Halvings in all."""


class Held(NamedTuple):
    """Tolerances to hold.

    ``halvings`` gives how many times the band of an input is halved; ``bands`` its new ends [SI]; ``alone`` the share
    inside with one band alone halved once, of every input that can be held, by `KNIVES` knives. ``before`` and
    ``after`` are shares inside, 0 to 1, by as many knives as the batch has; ``reached`` is whether the wanted share is.
    """

    halvings: Mapping[str, int]
    bands: Mapping[str, tuple[float, float]]
    alone: Mapping[str, float]
    before: float
    after: float
    reached: bool


Choice = dict[str, int]


def most_halvings(doubt: Doubt) -> int:
    """How often the band of an input may be halved: `MOST` times, of a length as long as a bench can hold it.

    Parameters
    ----------
    doubt : Doubt
    """
    if INPUTS[doubt.name].kinds[0] != "length":
        return MOST
    return next((times for times in range(MOST, 0, -1) if doubt.width / 2**times >= FINEST * (1 - 1e-9)), 0)


def hold(
    like: Cloud, wanted: float, seed: int, cost: Mapping[str, float] | None = None, progress: Progress = no_progress
) -> Held:
    """Choose tolerances to halve, one at a time, each time the one that gains most for its cost.

    Only what differs from knife to knife can be held; what is unknown but the same for all can be measured instead.

    Parameters
    ----------
    like : Cloud
    wanted : float
        Share inside, 0 to 1.
    seed : int
    cost : mapping of str to float, optional
        Cost of halving the band of an input; 1 where it is left out.
    progress : callable, optional
        Told ``(choices tried, of how many at most)``.

    Returns
    -------
    Held
        What turns out needless in the end is undone. Where the share cannot be reached, the best that was.
    """
    points = spread_points(len(like.spread), KNIVES, seed)
    able = [doubt for doubt in like.spread if not doubt.of_shop]
    price = {doubt.name: (cost or {}).get(doubt.name, 1.0) for doubt in able}
    most_of = {doubt.name: most_halvings(doubt) for doubt in able}

    tried, most = count(2 + len(price)), 1 + STEPS * (len(price) + 1)
    known: Known = {}

    def share(choice: Choice) -> float:
        progress(min(next(tried), most - 1), most)
        return _shares(like, points, [choice], known)[0]

    start = dict.fromkeys(price, 0)
    before, *each = _shares(like, points, [start, *(start | {name: 1} for name in start)], known)
    alone = dict(zip(start, each, strict=True))
    choice, after = _halved(start, before, wanted, alone, price, most_of, share)
    if after >= wanted:
        choice, after = _relaxed(choice, after, wanted, price, share)
    progress(most, most)
    used = {name: times for name, times in choice.items() if times}
    own = float(np.mean(like.inside))
    all_points = spread_points(len(like.spread), len(like), seed)
    held = _shares(like, all_points, [choice], {})[0] if used else own
    return Held(used, _bands(like, used), alone, own, held, after >= wanted)


def _shares(like: Cloud, points: Array, choices: Iterable[Choice], known: Known) -> list[float]:
    """Share of the knives inside with the bands of each choice."""
    narrowed = [tuple(doubt.narrowed(0.5 ** choice.get(doubt.name, 0)) for doubt in like.spread) for choice in choices]
    inside = inside_of_each(like, [draw(like.build, spread, points, known) for spread in narrowed])
    return [float(np.mean(truths)) for truths in inside]


def _bands(like: Cloud, used: Choice) -> dict[str, tuple[float, float]]:
    narrow = {doubt.name: doubt.narrowed(0.5 ** used[doubt.name]) for doubt in like.spread if doubt.name in used}
    return {name: (doubt.low, doubt.high) for name, doubt in narrow.items()}


def _halved(
    choice: Choice,
    reached: float,
    wanted: float,
    alone: Mapping[str, float],
    price: Mapping[str, float],
    most: Mapping[str, int],
    share: Callable[[Choice], float],
) -> tuple[Choice, float]:
    """Halve bands until the wanted share is reached or no halving gains anything.

    Each halving is the one that gains most for its cost. One that gained less before another band was narrowed is tried
    again only when it comes first (lazy greedy search: Minoux, Lect. Notes Control Inf. Sci. 7 (1978) 234-243, from
    memory); where gains are used up, all are tried once more before the search ends.
    """
    gains = {name: kept - reached for name, kept in alone.items()}
    tried = dict(alone)  # with the bands as they now are
    for _ in range(STEPS):
        best = _best(choice, reached, gains, tried, price, most, share)
        if reached >= wanted or not best:
            break
        choice, reached, tried = choice | {best: choice[best] + 1}, tried[best], {}
    return choice, reached


def _best(
    choice: Choice,
    reached: float,
    gains: dict[str, float],
    tried: dict[str, float],
    price: Mapping[str, float],
    most: Mapping[str, int],
    share: Callable[[Choice], float],
) -> str:
    """Band whose halving gains most for its cost, empty where none gains `LEAST`; updates gains and tries."""
    open_ = [name for name, times in choice.items() if times < most[name]]
    while open_:
        best = max(open_, key=lambda name: gains[name] / price[name])
        fresh = [name for name in open_ if name not in tried]
        if best in tried and (gains[best] >= LEAST or not fresh):
            break
        name = best if best not in tried else fresh[0]
        tried[name] = share(choice | {name: choice[name] + 1})
        gains[name] = tried[name] - reached
    return best if open_ and gains[best] >= LEAST else ""


def _relaxed(
    choice: Choice, reached: float, wanted: float, price: Mapping[str, float], share: Callable[[Choice], float]
) -> tuple[Choice, float]:
    """Undo halvings, the dearest first, as long as the wanted share is kept."""
    for name in sorted(choice, key=lambda name: -price[name]):
        while choice[name]:
            fewer = choice | {name: choice[name] - 1}
            kept = share(fewer)
            if kept < wanted:
                break
            choice, reached = fewer, kept
    return choice, reached
