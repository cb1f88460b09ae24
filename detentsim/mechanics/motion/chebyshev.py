"""Interpolation, derivatives and integrals of polynomials on 17 Chebyshev points of a panel.

Self-contained but for the points, which are those of ``path.nodes``; ``panels``, ``resistance`` and ``swing`` use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.path.nodes import NODES

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

POINTS = NODES

COUNT = POINTS.size

# Rows of one product: a larger one is split over threads, whose waiting for each other costs more than the product.
RUN = 256

_SIGNS = np.where(np.arange(COUNT) % 2, -1.0, 1.0) * np.where((np.arange(COUNT) % (COUNT - 1)) == 0, 0.5, 1.0)


def shares(values: Array, at: Array) -> Array:
    """Values of each panel's polynomial at shares of its length, by the barycentric formula.

    Parameters
    ----------
    values : array, shape (..., 17)
        At `POINTS`.
    at : array, shape (k,)
        Shares from 0 to 1.

    Returns
    -------
    array, shape (..., k)

    Notes
    -----
    Source: J.-P. Berrut and L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46 (2004), eqs. 4.2, 5.4.

    Examples
    --------
    >>> round(float(shares(POINTS**3, np.array([0.3]))[0]), 12)
    0.027
    """
    return applied(values, weights(at).T)


def applied(values: Array, matrix: Array) -> Array:
    """Product of the values of each panel, shape (..., 17), with a matrix (17, k); shape (..., k).

    >>> applied(np.ones((2, 3, COUNT)), np.eye(COUNT)[:, :4]).shape
    (2, 3, 4)
    """
    if values.ndim != 2 or values.shape[0] <= RUN:
        return np.asarray(values @ matrix)
    return np.concatenate([values[start : start + RUN] @ matrix for start in range(0, values.shape[0], RUN)])


def weights(at: Array) -> Array:
    """Barycentric weights of the 17 values at shares of a panel, shape (k, 17); each row adds up to 1.

    Source: J.-P. Berrut and L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46 (2004), eqs. 4.2, 5.4.

    >>> round(float(weights(np.array([0.3]))[0] @ POINTS**2), 12)
    0.09
    """
    gap = np.asarray(at, float)[..., None] - POINTS
    hit = np.abs(gap) < 1e-15
    part = _SIGNS / np.where(hit, 1.0, gap)
    weight = part / np.sum(part, axis=-1, keepdims=True)
    return np.where(np.any(hit, axis=-1, keepdims=True), hit.astype(float), weight)


def weights_at(share: float) -> Array:
    """Barycentric weights at one share of a panel, shape (17,); as `weights`, in a fraction of the time.

    >>> [bool(np.allclose(weights_at(x), weights(np.array(x)), atol=0, rtol=0)) for x in (0.3, 0.9)]
    [True, True]
    """
    gap = share - POINTS
    gap[gap == 0] = 1e-300  # so near that only this value counts
    part = _SIGNS / gap
    return np.asarray(part / part.sum())


def _slope_matrix() -> Array:
    """Differentiation matrix at the points; Berrut and Trefethen, eq. 9.4."""
    gap = POINTS[:, None] - POINTS
    np.fill_diagonal(gap, 1.0)
    matrix = _SIGNS / _SIGNS[:, None] / gap
    np.fill_diagonal(matrix, 0.0)
    np.fill_diagonal(matrix, -matrix.sum(axis=1))
    return np.asarray(matrix)


def _area_matrix() -> Array:
    """Integration matrix, from share 0 to each point: the antiderivative of the interpolating polynomial."""
    chebyshev = np.polynomial.Chebyshev
    rows = []
    for row in np.eye(COUNT):
        area = chebyshev.fit(POINTS, row, COUNT - 1, domain=[0, 1]).integ(lbnd=0)
        rows.append(area(POINTS))
    matrix = np.array(rows)
    matrix[:, 0] = 0.0  # no area at the start, whatever the rounding
    return matrix


SLOPE = _slope_matrix()

AREA = _area_matrix()


def slope(values: Array) -> Array:
    """Derivative of each panel's values with respect to its share, at its 17 points; shape of `values`.

    Source: J.-P. Berrut and L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46 (2004), eq. 9.4.

    >>> bool(np.allclose(slope(POINTS**3), 3 * POINTS**2))
    True
    """
    return applied(values, SLOPE.T)
