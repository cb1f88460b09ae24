"""Adaptive importance sampling: weighted points of a posterior whose prior is a standard normal in each dimension."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.fit.sampled.mixture import Mixture, fitted_mixture
from detentsim.analysis.in_hand.fit.sampled.weighted import effective

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

STEP = 1_024
"""Points of each round."""

MOST = 16_384
"""Points in all."""

SURE = 1_500.0
"""Effective number at which sampling stops; a 90 % range is then known to about a twentieth of its width."""

PARTS = 3
"""Parts of the mixture from which points are drawn, each begun elsewhere."""


class Sampled(NamedTuple):
    """Points of a posterior."""

    points: Array  # in standard normals, shape (n, d)
    weights: Array  # their sum is 1, shape (n,)
    log_likelihood: Array  # shape (n,)
    effective: float  # effective number of points


def sample(log_likelihood: Callable[[Array], Array], first: Array, seed: int) -> Sampled:
    """Weighted points of the posterior of standard normals.

    Parameters
    ----------
    log_likelihood : callable
        Takes points, shape (n, d), and gives the natural logarithm of their likelihood, shape (n,); -inf where it is 0.
    first : array, shape (m, d)
        Points of the prior.
    seed : int

    Returns
    -------
    Sampled
        Where no point has a likelihood, the first points with equal weights.

    Notes
    -----
    Adaptive multiple importance sampling: every round draws from a mixture fitted to the weighted points so far, and
    all points are weighted by the density of all rounds together, the prior's among them (Cornuet et al., Scand. J.
    Stat. 39 (2012) 798-812; Owen and Zhou, J. Am. Stat. Assoc. 95 (2000) 135-143; both from memory). As long as few
    points count, the likelihood is flattened by a power below 1 for the fit of the mixture, never for the weights.
    """
    points, likely = first, log_likelihood(first)
    rounds: list[tuple[int, Mixture | None]] = [(len(first), None)]
    if not np.any(np.isfinite(likely)):
        return Sampled(points, np.full(len(points), 1 / len(points)), likely, float(len(points)))
    while True:
        logs = _normal(points) - _density(points, rounds)
        weights = _scaled(logs + likely)
        if effective(weights) >= SURE or len(points) + STEP > MOST or points.shape[1] == 0:
            return Sampled(points, weights, likely, effective(weights))
        mixture = fitted_mixture(points, _flattened(logs, likely, points.shape[1]), PARTS)
        drawn = mixture.draw(STEP, np.random.default_rng([seed, 5, len(rounds)]))
        points = np.concatenate([points, drawn])
        likely = np.concatenate([likely, log_likelihood(drawn)])
        rounds.append((STEP, mixture))


def _normal(points: Array) -> Array:
    return np.asarray(-0.5 * np.sum(points**2, axis=1) - points.shape[1] / 2 * math.log(2 * math.pi))


def _density(points: Array, rounds: list[tuple[int, Mixture | None]]) -> Array:
    """Logarithm of the density of all rounds together."""
    total = sum(count for count, _ in rounds)
    parts = [
        math.log(count / total) + (_normal(points) if mixture is None else mixture.log_density(points))
        for count, mixture in rounds
    ]
    return np.asarray(np.logaddexp.reduce(parts, axis=0))


def _scaled(logs: Array) -> Array:
    weights = np.exp(logs - np.max(logs))
    return np.asarray(weights / np.sum(weights))


def _flattened(logs: Array, likely: Array, dimensions: int) -> Array:
    """Weights with the likelihood's greatest power, at most 1, that leaves enough points to fit a mixture to."""
    enough = max(64.0, 12.0 * dimensions)
    likely = np.maximum(likely, np.max(likely) - 1e4)
    if effective(_scaled(logs + likely)) >= enough:
        return _scaled(logs + likely)
    low, high = 0.0, 1.0
    for _ in range(40):
        power = (low + high) / 2
        low, high = (power, high) if effective(_scaled(logs + power * likely)) >= enough else (low, power)
    return _scaled(logs + low * likely)
