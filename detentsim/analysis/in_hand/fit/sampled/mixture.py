"""Mixture of multivariate Student-t distributions: fitted to weighted points, its density, points drawn from it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.fit.sampled.weighted import effective

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

TAILS = 6.0
"""Degrees of freedom: tails heavier than any normal's, so that no part of what is sought is drawn too seldom."""

ROUNDS = 8
"""Rounds of expectation and maximisation."""

LEAST = 1e-6
"""Least variance, of a standard normal's."""


class Mixture(NamedTuple):
    """A mixture of k distributions of d dimensions."""

    shares: Array  # shape (k,)
    means: Array  # shape (k, d)
    roots: Array  # lower triangular roots of the scale matrices, shape (k, d, d)

    def log_density(self, points: Array) -> Array:
        """Natural logarithm of the density; `points` of shape (n, d)."""
        d, parts = points.shape[1], []
        constant = math.lgamma((TAILS + d) / 2) - math.lgamma(TAILS / 2) - d / 2 * math.log(TAILS * math.pi)
        for share, mean, root in zip(self.shares, self.means, self.roots, strict=True):
            spread = _squared(points, mean, root)
            volume = float(np.sum(np.log(np.diag(root))))
            parts.append(math.log(share) + constant - volume - (TAILS + d) / 2 * np.log1p(spread / TAILS))
        return np.asarray(np.logaddexp.reduce(parts, axis=0))

    def draw(self, count: int, rng: np.random.Generator) -> Array:
        """Draw points, shape (count, d)."""
        which = np.searchsorted(np.cumsum(self.shares), (np.arange(count) + 0.5) / count).clip(max=len(self.shares) - 1)
        normal = rng.standard_normal((count, self.means.shape[1]))
        scale = np.sqrt(TAILS / rng.chisquare(TAILS, count))
        return np.asarray(self.means[which] + scale[:, None] * np.einsum("nij,nj->ni", self.roots[which], normal))


def fitted_mixture(points: Array, weights: Array, count: int) -> Mixture:
    """Mixture like weighted points, by expectation and maximisation of normals.

    Parameters
    ----------
    points : array, shape (n, d)
    weights : array, shape (n,)
        Their sum is 1.
    count : int
        Parts at most.

    Returns
    -------
    Mixture
        Scale matrices are the weighted covariances, drawn toward that of all points where a part has few.
    """
    whole = _covariance(points, weights, np.average(points, axis=0, weights=weights))
    means, covariances = _starts(points, weights, whole, count), np.repeat(whole[None], count, axis=0)
    shares, known = np.full(count, 1 / count), effective(weights)
    d = points.shape[1]
    for _ in range(ROUNDS):
        parts = _belonging(points, shares, means, covariances) * weights
        shares = np.maximum(np.sum(parts, axis=1), 1e-12)
        shares /= np.sum(shares)
        for k in range(count):
            own = parts[k] / max(float(np.sum(parts[k])), 1e-300)
            means[k] = own @ points
            few = shares[k] * known
            covariances[k] = (few * _covariance(points, own, means[k]) + d * whole) / (few + d)
    keep = shares * known > 1.0
    keep[np.argmax(shares)] = True
    return Mixture(shares[keep] / np.sum(shares[keep]), means[keep], _root(covariances[keep]))


def _starts(points: Array, weights: Array, whole: Array, count: int) -> Array:
    """Points far from each other, of the greater weights; shape (count, d)."""
    chosen = [points[int(np.argmax(weights))]]
    root = _root(whole)
    while len(chosen) < count:
        nearest = np.min([_squared(points, one, root) for one in chosen], axis=0)
        chosen.append(points[int(np.argmax(weights * nearest))])
    return np.array(chosen)


def _covariance(points: Array, weights: Array, mean: Array) -> Array:
    away = points - mean
    return np.asarray(np.einsum("ni,nj->ij", away * weights[:, None], away)) + LEAST * np.eye(points.shape[1])


def _root(covariance: Array) -> Array:
    return np.asarray(np.linalg.cholesky(covariance), float)


def _squared(points: Array, mean: Array, root: Array) -> Array:
    """Squared distance from a mean, in standard deviations."""
    # sums of products rather than a matrix product: so few dimensions are not worth a pool of threads
    scaled = np.einsum("nj,ij->ni", points - mean, np.linalg.inv(root))
    return np.asarray(np.einsum("ni,ni->n", scaled, scaled))


def _belonging(points: Array, shares: Array, means: Array, covariances: Array) -> Array:
    """Probability that each point belongs to each part, shape (k, n)."""
    logs = []
    for share, mean, covariance in zip(shares, means, covariances, strict=True):
        root = _root(covariance)
        logs.append(math.log(share) - np.sum(np.log(np.diag(root))) - _squared(points, mean, root) / 2)
    return np.asarray(np.exp(np.array(logs) - np.logaddexp.reduce(logs, axis=0)))
