"""Statistics of weighted values: quantiles, effective number, an equally weighted sample."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array


def effective(weights: Array) -> float:
    """Effective number of weighted values: how many of equal weight are as good.

    Kish's: the square of the sum over the sum of the squares.

    Parameters
    ----------
    weights : array, shape (n,)

    Examples
    --------
    >>> effective(np.full(8, 0.125)), effective(np.array([1.0, 0.0]))
    (8.0, 1.0)
    """
    total = float(np.sum(weights))
    return total**2 / float(np.sum(weights**2)) if total > 0 else 0.0


def quantiles(values: Array, weights: Array, shares: npt.ArrayLike) -> Array:
    """Quantiles of weighted values; of equal weights as `numpy.quantile` gives them.

    Parameters
    ----------
    values, weights : array, shape (n,)
    shares : array_like
        0 to 1.

    Returns
    -------
    array
        Of the shape of `shares`; NaN where no value has a weight.

    Examples
    --------
    >>> quantiles(np.array([1.0, 2.0, 4.0]), np.ones(3), [0.0, 0.5, 0.75]).tolist()
    [1.0, 2.0, 3.0]
    """
    shares = np.asarray(shares, float)
    some = weights > 0
    values, weights = values[some], weights[some]
    if not values.size:
        return np.full(shares.shape, math.nan)
    order = np.argsort(values, kind="stable")
    values, weights = values[order], weights[order] / np.sum(weights)
    places = np.cumsum(weights) - (weights + weights[0]) / 2
    return np.asarray(np.interp(shares, places / places[-1] if places[-1] > 0 else places, values))


def resampled(weights: Array, count: int) -> npt.NDArray[np.intp]:
    """Indices of an equally weighted sample: systematic resampling, in the order of the values.

    Parameters
    ----------
    weights : array, shape (n,)
    count : int

    Examples
    --------
    >>> resampled(np.array([0.5, 0.0, 0.5]), 4).tolist()
    [0, 0, 2, 2]
    """
    ends = np.cumsum(weights)
    at = (np.arange(count) + 0.5) / count * ends[-1]
    return np.asarray(np.minimum(np.searchsorted(ends, at), np.flatnonzero(weights > 0)[-1]), np.intp)
