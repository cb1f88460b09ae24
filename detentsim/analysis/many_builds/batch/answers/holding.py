"""Which tolerances to halve so that a wanted share of the knives is inside, at the least cost."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.batch.knives.cloud import aimed_at, cloud_at
from detentsim.analysis.many_builds.sweep.blocks import quiet
from detentsim.knife.record.drawing import draw, spread_points

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.mechanics.record import Array

KNIVES = 1_024
"""Knives, the same for every choice of tolerances, by which they are compared."""

MOST = 3
"""Times one tolerance may be halved: an eighth is as fine as a careful bench holds; judgement, no source."""

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


def hold(
    like: Cloud, wanted: float, seed: int, cost: Mapping[str, float] | None = None, progress: Progress = quiet
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
    price = {doubt.name: (cost or {}).get(doubt.name, 1.0) for doubt in like.spread if not doubt.of_shop}

    tried, most = count(1), 1 + STEPS * (len(price) + 1)

    def share(choice: Choice) -> float:
        progress(min(next(tried), most - 1), most)
        return _share(like, points, choice)

    start = dict.fromkeys(price, 0)
    before, alone = share(start), _tries(start, share)
    choice, after = _halved(start, before, wanted, alone, price, share)
    if after >= wanted:
        choice, after = _relaxed(choice, after, wanted, price, share)
    progress(most, most)
    used = {name: times for name, times in choice.items() if times}
    own = float(np.mean(like.inside))
    all_points = spread_points(len(like.spread), len(like), seed)
    held = _share(like, all_points, choice) if used else own
    return Held(used, _bands(like, used), alone, own, held, after >= wanted)


def _share(like: Cloud, points: Array, choice: Choice) -> float:
    spread = tuple(doubt.narrowed(0.5 ** choice.get(doubt.name, 0)) for doubt in like.spread)
    found = cloud_at(like, draw(like.build, spread, points), aimed_at(like.build))
    return float(np.mean(found.inside))


def _bands(like: Cloud, used: Choice) -> dict[str, tuple[float, float]]:
    narrow = {doubt.name: doubt.narrowed(0.5 ** used[doubt.name]) for doubt in like.spread if doubt.name in used}
    return {name: (doubt.low, doubt.high) for name, doubt in narrow.items()}


def _tries(choice: Choice, share: Callable[[Choice], float]) -> dict[str, float]:
    """Share inside with one band halved once more."""
    return {name: share(choice | {name: times + 1}) for name, times in choice.items() if times < MOST}


def _halved(
    choice: Choice,
    reached: float,
    wanted: float,
    tries: dict[str, float],
    price: Mapping[str, float],
    share: Callable[[Choice], float],
) -> tuple[Choice, float]:
    """Halve bands until the wanted share is reached or no halving gains anything."""
    for _ in range(STEPS):
        best = max(tries, key=lambda name: (tries[name] - reached) / price[name], default="")
        if reached >= wanted or not best or tries[best] < reached + LEAST:
            break
        choice, reached = choice | {best: choice[best] + 1}, tries[best]
        tries = _tries(choice, share) if reached < wanted else {}
    return choice, reached


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
