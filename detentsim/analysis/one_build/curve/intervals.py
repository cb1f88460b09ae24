"""Runs of points over which a condition holds, and the root sum of squares of independent shifts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Sequence

Values = npt.NDArray[np.float64]


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


def spans(at: Values, truth: npt.NDArray[np.bool_]) -> tuple[tuple[float, float], ...]:
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


def added_up(base: Values, down: Sequence[Values] | Values, up: Sequence[Values] | Values) -> tuple[Values, Values]:
    """Likely range of a result with independent input errors: root sum of squares of the shifts.

    Parameters
    ----------
    base : array
        The result itself.
    down, up : sequence of array
        By how much each input alone lowers and raises it; not below 0, each of the shape of `base`.

    Returns
    -------
    low, high : array
        A result that no input alone turns negative is not turned negative by adding the moves up.

    Notes
    -----
    Source: JCGM 100:2008 (GUM), 5.1.2, for inputs that are independent.

    Examples
    --------
    >>> low, high = added_up(np.array(10.0), np.array([3.0, 4.0]), np.array([0.0, 1.0]))
    >>> float(low), float(high)
    (5.0, 11.0)
    """
    lowest = base - np.sqrt(sum(move**2 for move in down))
    never_negative = np.min([base - move for move in down], axis=0) >= 0
    return np.where(never_negative, np.maximum(lowest, 0), lowest), base + np.sqrt(sum(move**2 for move in up))
