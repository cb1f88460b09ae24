"""Runs of points over which a condition holds, and the share of the knives that a likely range holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
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
