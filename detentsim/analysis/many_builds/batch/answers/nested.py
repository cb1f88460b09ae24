"""How many of one small batch are inside: knives drawn anew for each of many shops."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.many_builds.batch.counts.counted import Count, count_of
from detentsim.analysis.many_builds.batch.knives.cloud import cloud_at, inside_of
from detentsim.knife.record.drawing import draw, off_ends

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
    from detentsim.mechanics.record import Array

SHOPS = 64
"""Values of what is the same for a whole batch."""

KNIVES = 64
"""Least number of knives for each of them; twice the batch's own where that is more."""

MOST_OF = 200
"""Knives of the largest batch."""


def count_inside(like: Cloud, of: int, seed: int, name: str | None = None) -> Count:
    """Law of the number of knives inside in a batch of `of`.

    Parameters
    ----------
    like : Cloud
    of : int
        Knives of the batch.
    seed : int
    name : str, optional
        A flag or yes-no result, instead of whether a knife is inside.

    Returns
    -------
    Count
    """
    knives = max(KNIVES, 1 << (2 * of - 1).bit_length())
    points = _points(tuple(doubt.of_shop for doubt in like.spread), knives, seed)
    shops, knives, inputs = points.shape
    found = draw(like.build, like.spread, points.reshape(shops * knives, inputs))
    if name is None:
        inside = inside_of(like, found)
    else:
        inside = cloud_at(like, found, (name,) if name in like.results else ()).outcome(name).astype(bool)
    return count_of(inside.reshape(shops, knives), of)


@lru_cache(maxsize=1)  # a batch, its best setting and its flags are counted at the same points
def _points(of_shop: tuple[bool, ...], knives: int, seed: int) -> Array:
    """Points of every shop's knives, shape (shops, knives, inputs); one shop where none of the doubts is its own."""
    from scipy.stats import qmc

    shop = np.array(of_shop, bool)
    shops = SHOPS if np.any(shop) else 1
    knives = knives if shops > 1 else knives * SHOPS
    points = np.empty((shops, knives, shop.size))
    if np.any(shop):
        own = qmc.Sobol(int(shop.sum()), rng=np.random.default_rng([seed, 3])).random(shops)
        points[..., shop] = own[:, None, :]
    if not np.all(shop):
        for i in range(shops):
            rng = np.random.default_rng([seed, 4, i])
            points[i][:, ~shop] = qmc.Sobol(int((~shop).sum()), rng=rng).random(knives)
    points = off_ends(points)
    points.setflags(write=False)
    return points
