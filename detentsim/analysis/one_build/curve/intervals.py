"""Runs of points over which a condition holds; quantiles of many knives and the share that a likely range holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.mechanics.record import Array

SHARE = 0.9
"""Share of the knives that a likely range holds; as many lie below as above."""


def runs(truth: npt.NDArray[np.bool_]) -> npt.NDArray[np.intp]:
    """Runs of neighbouring points at which a condition holds.

    Parameters
    ----------
    truth : array of bool, shape (n,)

    Returns
    -------
    array of int, shape (m, 2)
        First point of each run, and the point after its last.

    Examples
    --------
    >>> runs(np.array([True, True, False, True])).tolist()
    [[0, 2], [3, 4]]
    """
    return np.flatnonzero(np.diff(np.concatenate([[False], truth, [False]]).astype(int))).reshape(-1, 2)


def spans(at: Array, truth: npt.NDArray[np.bool_]) -> tuple[tuple[float, float], ...]:
    """Intervals over which a condition holds, from first to last point.

    Parameters
    ----------
    at : array, shape (n,)
        Places of the points, in rising order.
    truth : array of bool, shape (n,)

    Returns
    -------
    tuple of (low, high)

    Examples
    --------
    >>> spans(np.array([0.0, 1.0, 2.0, 3.0]), np.array([True, True, False, True]))
    ((0.0, 1.0), (3.0, 3.0))
    """
    return tuple((float(at[first]), float(at[after - 1])) for first, after in runs(truth))


def quantiles(values: Array, shares: Sequence[float]) -> Array:
    """Quantiles of each column, of the rows that have a number there.

    Parameters
    ----------
    values : array, shape (n, m)
    shares : sequence of float
        0 to 1.

    Returns
    -------
    array, shape (k, m)
        A row for each share; NaN where no row has a number.

    Examples
    --------
    >>> quantiles(np.array([[1.0, 2.0, np.nan], [3.0, np.nan, np.nan]]), [0.5]).tolist()
    [[2.0, 2.0, nan]]
    """
    known, ends = ~np.isnan(values), np.full((len(shares), values.shape[1]), np.nan)
    every = np.all(known, axis=0)
    some = np.any(known, axis=0) & ~every
    if len(values) and np.any(every):
        ends[:, every] = np.quantile(values[:, every], shares, axis=0)
    if np.any(some):
        ends[:, some] = np.nanquantile(values[:, some], shares, axis=0)  # column by column: slow
    return ends
