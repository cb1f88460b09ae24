"""Worst knives that a drawing allows: every uncertain input at an end or at the middle of its band."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.batch.knives.cloud import cloud_at
from detentsim.knife.record.drawing import with_values

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
    from detentsim.knife.record.doubts import Doubt
    from detentsim.mechanics.record import Array

MOST = 8
"""Inputs of which every combination is tried; of more, those that move the result most."""

ENDS = ("middle", "low", "high")
"""Places in a band; the middle first, so that it stands wherever an input makes no difference."""


Places = npt.NDArray[np.intp]


class Corner(NamedTuple):
    """One knife: its result, in the result's unit, and where each input lies in its band."""

    value: float
    ends: Mapping[str, str]  # "low", "middle" or "high" by input
    inputs: Mapping[str, float]  # [SI]


class Corners(NamedTuple):
    """The knives with the lowest and the highest result; None where no knife has a value."""

    lowest: Corner | None
    highest: Corner | None


def corners(like: Cloud, name: str) -> Corners:
    """Find the knives with the lowest and the highest result.

    Parameters
    ----------
    like : Cloud
    name : str
        A result that is a number.

    Returns
    -------
    Corners
        Of all combinations of low, middle and high; beyond `MOST` inputs those that alone move the result least stand
        at the end that alone is the worse.
    """
    ends = np.array([_ends(doubt) for doubt in like.spread]).reshape(-1, 3)
    alone = _alone(like, ends, name)
    moved = np.ptp(alone, axis=1) if alone.size else np.empty(0)
    chosen = np.sort(np.argsort(-moved, kind="stable")[:MOST])
    grid = np.array(list(product(range(3), repeat=chosen.size)), int)
    return Corners(*(_extreme(like, ends, name, chosen, grid, alone, sign) for sign in (1.0, -1.0)))


def _ends(doubt: Doubt) -> tuple[float, float, float]:
    """Middle, low and high of an input, no farther than it may go: a thin coat is never below none."""
    return doubt.middle, max(doubt.low, doubt.lowest), min(doubt.high, doubt.highest)


def _alone(like: Cloud, ends: Array, name: str) -> Array:
    """Result with one input at each of its places and all others at their middle; shape (inputs, 3)."""
    count = len(ends)
    if not count:
        return np.empty((0, 3))
    places = np.zeros((count, 3, count), int)
    places[np.arange(count), :, np.arange(count)] = np.arange(3)
    values = _values(like, ends, name, places.reshape(-1, count)).reshape(count, 3)
    return np.where(np.isfinite(values), values, values[:, :1])


def _values(like: Cloud, ends: Array, name: str, places: Places) -> Array:
    drawn = {doubt.name: ends[i][places[:, i]] for i, doubt in enumerate(like.spread)}
    return cloud_at(like, with_values(like.build, drawn, len(places)), (name,)).outcome(name)


def _extreme(
    like: Cloud, ends: Array, name: str, chosen: Places, grid: Places, alone: Array, sign: float
) -> Corner | None:
    """The corner with the least of sign times the result."""
    places = np.tile(np.argmin(sign * alone, axis=1), (len(grid), 1)) if alone.size else np.empty((1, 0), int)
    places[:, chosen] = grid
    values = sign * _values(like, ends, name, places)
    if not np.any(np.isfinite(values)):
        return None
    best = int(np.nanargmin(values))
    names = [doubt.name for doubt in like.spread]
    where = {key: ENDS[place] for key, place in zip(names, places[best], strict=True)}
    inputs = {key: float(ends[i][places[best, i]]) for i, key in enumerate(names)}
    return Corner(float(sign * values[best]), where, inputs)
