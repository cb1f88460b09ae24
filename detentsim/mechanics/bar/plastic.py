"""Plastic bending of a rectangular section: curvature left by a moment, and by a sequence of moments.

Moments are divided by the first-yield moment `M_y = sigma_y w t^2/6`, curvatures by the yield curvature
`kappa_y = 2 sigma_y/(E t)`. The metal is elastic-perfectly-plastic, so a moment of 1.5 is a plastic hinge.
Self-contained, and knows no bar; ``bending``, ``remembered`` and ``service`` use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array

# Moment over first yield of a plastic hinge of a rectangle; moments are limited just below it, where the curvature
# of this model becomes infinite.
HINGE = 1.5

NEARLY = HINGE * (1 - 1e-12)


def permanent_curvature(moment_ratio: ArrayLike) -> Array:
    """Curvature left after a moment `m = M/M_y` is taken off, over the yield curvature [-].

    `1/sqrt(3 - 2m) - m` for 1 <= m < 1.5, 0 below, inf from 1.5. Source: F. P. Beer and E. R. Johnston, Mechanics of
    Materials, plastic bending of a rectangle: `M = 1.5 M_y (1 - (kappa_y/kappa)^2/3)`, elastic unloading.

    >>> float(permanent_curvature(36.8 / 28.8)) * 240e6 / (200e9 * 0.060) * 225.0
    1.0
    """
    m = np.clip(np.asarray(moment_ratio, float), 1, None)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = np.where(m < HINGE, 1 / np.sqrt(np.maximum(3 - 2 * m, 0)), np.inf) - m
    return np.asarray(left)


def moment_for_curvature(left: ArrayLike) -> Array:
    """Moment over first yield that leaves a curvature, the inverse of `permanent_curvature` [-].

    Parameters
    ----------
    left : array_like
        Curvature left over the yield curvature, not negative; for 0 the result is 1, the largest moment that leaves
        none.

    Returns
    -------
    array

    Notes
    -----
    With u the curvature under load over kappa_y, `u - (3/2 - 1/(2 u^2)) = left` is the cubic
    `u^3 - A u^2 + 1/2 = 0`, A = 3/2 + left, by its largest root (derived).

    Examples
    --------
    >>> round(float(moment_for_curvature(permanent_curvature(1.3))), 12)
    1.3
    """
    lead = HINGE + np.asarray(left, float)
    loaded = lead / 3 * (1 + 2 * np.cos(np.arccos(np.clip(1 - 6.75 / (lead * lead * lead), -1, 1)) / 3))
    return np.asarray(HINGE - 0.5 / loaded**2)


def permanent_after(moments: ArrayLike) -> Array:
    """Curvature left after a sequence of moments is put on and taken off, over the yield curvature [-].

    Parameters
    ----------
    moments : array_like, shape (..., n)
        In their order, each over M_y and signed; between two of them the moment is monotone.

    Returns
    -------
    array, shape (...)
        Signed; infinite where a moment reaches 1.5.

    Notes
    -----
    The fibres of the section yield one by one, so curvature over moment is a sum of play operators: one of half-width r
    follows the moment once it has moved by r, with weight f''(r), f(m) = 1/sqrt(3 - 2m) the first loading. Each play is
    a straight line of r between |M_i| and half the differences |M_i - M_j|, and is summed exactly. Closed loops and
    Masing's rule follow. Source: L. Prandtl's model as in M. Brokate and J. Sprekels, Hysteresis and Phase Transitions
    (1996), ch. 2 (from memory).

    Examples
    --------
    >>> round(float(permanent_after([1.3, -1.2]) - permanent_curvature(1.3) + 2 * permanent_curvature(1.25)), 12)
    0.0
    """
    m = np.asarray(moments, float)
    bent = np.clip(m, -NEARLY, NEARLY)
    first, second = np.triu_indices(bent.shape[-1], 1)
    halves = np.abs(bent[..., first] - bent[..., second]) / 2
    ends = np.broadcast_to([1.0, NEARLY], (*bent.shape[:-1], 2))
    width = np.sort(np.clip(np.concatenate([ends, np.abs(bent), halves], axis=-1), 1, NEARLY), axis=-1)
    play = np.zeros_like(width)
    for i in range(bent.shape[-1]):
        play = np.clip(play, bent[..., i, None] - width, bent[..., i, None] + width)
    total = np.sum(_weighed(width, play), axis=-1)
    last = np.take_along_axis(m, np.argmax(np.abs(m), axis=-1)[..., None], axis=-1)[..., 0]
    return np.asarray(np.where(np.abs(last) < HINGE, total, np.copysign(np.inf, last)))


def _weighed(width: Array, play: Array) -> Array:
    """Integral of f'' times a play between neighbouring half-widths, the play a straight line of the half-width."""
    root = 1 / np.sqrt(3 - 2 * width)
    step, rise = np.diff(width, axis=-1), np.diff(play, axis=-1)
    slope = np.where(step > 0, rise / np.where(step > 0, step, 1), 0)
    return np.asarray(np.diff(root * root * root * play, axis=-1) - slope * np.diff(root, axis=-1))


def lost_curvature(bent: ArrayLike, back: ArrayLike, beta: ArrayLike = 1.0) -> Array:
    """Curvature that a moment `back` in reverse takes out of a section bent by `bent`, over the yield curvature [-].

    Parameters
    ----------
    bent, back : array_like
        Moment that bent it in and moment in reverse, both over M_y and not negative.
    beta : array_like
        Yield strength in reverse over that of the first loading (Bauschinger); 1 for an ideal metal.

    Returns
    -------
    array

    Notes
    -----
    Masing's rule: `(1 + beta) g((bent + back)/(1 + beta))` with g of `permanent_curvature` (derived in
    studies/00-the-model.ipynb); a section that was not bent past yield, or is pushed farther back than it was bent in,
    no longer depends on its bend: `g(bent) + g(back)`. Exact for beta = 1; for less, exact up to `back = beta bent`, an
    upper estimate up to 1, and rough near a plastic hinge.

    Examples
    --------
    >>> float(lost_curvature(1.3, 0.7))
    0.0
    >>> round(float(lost_curvature(1.3, 1.2) / permanent_curvature(1.25)), 12)
    2.0
    """
    m, s = np.minimum(bent, NEARLY), np.minimum(back, NEARLY)
    width = 1 + np.asarray(beta, float)
    forgotten = permanent_curvature(m) + permanent_curvature(s)
    reversed_ = width * permanent_curvature(np.minimum((m + s) / width, NEARLY))
    remembers = (m > 1) & (s <= m)
    return np.where(remembers, reversed_, np.where(m > 1, np.maximum(forgotten, reversed_), forgotten))


def bend_areas(moment_ratio: ArrayLike) -> tuple[Array, Array]:
    """Antiderivatives over m of `permanent_curvature(m)` and of `permanent_curvature(m) m`, from m = 1 [-].

    Parameters
    ----------
    moment_ratio : array_like
        From 1 to 1.5; values outside count as the nearer end.

    Returns
    -------
    plain, armed : array

    Notes
    -----
    `int g dm` and `int g m dm`, g = 1/sqrt(3 - 2m) - m, in closed form (derived).

    Examples
    --------
    >>> [round(float(area), 6) for area in bend_areas(1.5)]
    [0.375, 0.541667]
    """
    m = np.clip(np.asarray(moment_ratio, float), 1, HINGE)
    left = 3 - 2 * m
    root, square = np.sqrt(left), m * m
    plain, armed = -root - square / 2, root * (left / 6 - 1.5) - square * m / 3
    return np.asarray(plain + 1.5), np.asarray(armed + 5 / 3)
