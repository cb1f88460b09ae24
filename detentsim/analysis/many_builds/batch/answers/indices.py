"""Which uncertain input matters: Sobol' indices of a result over the knives of a batch, with their intervals."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.batch.knives.cloud import aimed_at, cloud_at
from detentsim.knife.record.drawing import draw, off_ends

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.batch.knives.cloud import Cloud
    from detentsim.mechanics.record import Array

KNIVES = 1_024
"""Pairs of knives behind the indices."""

RESAMPLES = 200
"""Bootstrap resamples behind their intervals."""


class Index(NamedTuple):
    """Share of a result's variance that one input answers for, with 95 % intervals.

    ``alone`` is the first-order index: the share that goes if the input is held and all others vary. ``in_all`` is the
    total index: the share that stays if it alone varies, with all that it does together with others.
    """

    alone: float
    alone_low: float
    alone_high: float
    in_all: float
    in_all_low: float
    in_all_high: float


class Indices(NamedTuple):
    """Indices of each input, and the share of knives without a value, which take no part."""

    inputs: dict[str, Index]
    missing: float


def indices(solve: Callable[[Array], Array], names: tuple[str, ...], seed: int, knives: int = KNIVES) -> Indices:
    """Sobol' indices of an outcome over inputs that are uniform between 0 and 1.

    Each input in turn is exchanged between two knives, and the change of the outcome averaged (Saltelli et al.,
    Comput. Phys. Commun. 181 (2010) 259-270, from memory), by `scipy.stats.sobol_indices`.

    Parameters
    ----------
    solve : callable
        Takes points, shape (n, d), and gives the outcome, shape (n,); NaN where there is none.
    names : tuple of str
        Of the d inputs.
    seed : int
    knives : int
        Pairs of knives, a power of two; `solve` is asked for d + 2 times as many.

    Returns
    -------
    Indices
        All 0 where the outcome does not vary; a pair with a missing value in any exchange takes no part.
    """
    from scipy.stats import bootstrap, qmc

    rng = np.random.default_rng([seed, 2])
    d = len(names)
    if not d:
        return Indices({}, 0.0)
    points = off_ends(qmc.Sobol(2 * d, rng=rng).random(knives))
    one, other = points[:, :d], points[:, d:]
    exchanged = np.repeat(one[None], d, axis=0)
    exchanged[np.arange(d), :, np.arange(d)] = other.T
    found = solve(np.concatenate([one, other, exchanged.reshape(-1, d)])).reshape(d + 2, knives)
    whole = np.all(np.isfinite(found), axis=0)
    missing = float(np.mean(~np.isfinite(found[:2])))
    values = found[:, whole]
    values = values[:, : 1 << max(values.shape[1].bit_length() - 1, 0)]  # a power of two, as SciPy wants it
    if np.count_nonzero(whole) < 2 or np.ptp(values[:2]) <= 1e-9 * np.max(np.abs(values[:2])):
        return Indices(dict.fromkeys(names, Index(*([0.0] * 6))), missing)
    pairs = np.arange(values.shape[1])
    with warnings.catch_warnings():  # of a resample without scatter
        warnings.simplefilter("ignore", RuntimeWarning)
        sure = bootstrap(
            (pairs,), lambda chosen: _orders(values[:, chosen]), n_resamples=RESAMPLES, method="percentile", rng=rng
        ).confidence_interval
    rows = np.stack([_orders(values), np.asarray(sure.low), np.asarray(sure.high)])  # 3, orders, inputs
    columns = rows.transpose(2, 1, 0).reshape(d, 6)
    return Indices({name: Index(*map(float, row)) for name, row in zip(names, columns, strict=True)}, missing)


def _orders(values: Array) -> Array:
    """First-order and total indices of each input, shape (2, d), from knives, their partners and the exchanged ones."""
    from scipy.stats import sobol_indices

    d = len(values) - 2
    exchanged = np.repeat(values[2:], 2 if d == 1 else 1, axis=0)  # SciPy fails on a single input, so it stands twice
    func: dict[Literal["f_A", "f_B", "f_AB"], Array] = {
        "f_A": values[:1],
        "f_B": values[1:2],
        "f_AB": exchanged[:, None],
    }
    result = sobol_indices(func=func, n=values.shape[1])
    return np.stack([np.ravel(result.first_order)[:d], np.ravel(result.total_order)[:d]])


def matters(like: Cloud, names: Sequence[str | None], seed: int) -> list[Indices]:
    """Sobol' indices of outcomes of a batch, all on the same knives.

    Parameters
    ----------
    like : Cloud
    names : sequence of str or None
        Results or flags; None, whether a knife is inside.
    seed : int

    Returns
    -------
    list of Indices
        Of each name.
    """
    known = [name for name in names if name in like.results]
    wanted = tuple(dict.fromkeys([*known, *(aimed_at(like.build) if None in names else ())]))
    solved: list[Cloud] = []  # the seed gives the same knives for every outcome

    def outcome(shares: Array, name: str | None) -> Array:
        if not solved:
            solved.append(cloud_at(like, draw(like.build, like.spread, shares), wanted))
        return solved[0].outcome(name)

    inputs = tuple(doubt.name for doubt in like.spread)
    return [indices(partial(outcome, name=name), inputs, seed) for name in names]
