"""Point of greatest posterior density of standard normals, by least squares from the best point known."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

STEP = 1e-3
"""Step of the differences that give slopes, in standard deviations."""

EVALUATIONS = 12
"""Most evaluations; the point known is near."""


def peak(residuals: Callable[[Array], Array], start: Array) -> Array:
    """Point at which the sum of squares of the residuals and of its own coordinates is least.

    Parameters
    ----------
    residuals : callable
        Takes points, shape (n, d), and gives what they miss the readings by, in their errors, shape (n, m).
    start : array, shape (d,)

    Returns
    -------
    array, shape (d,)
        Never worse than `start`.

    Examples
    --------
    >>> peak(lambda z: (z - 3) / 0.1, np.zeros(1)).round(3).tolist()
    [2.97]
    """
    from scipy.optimize import least_squares

    def whole(points: Array) -> Array:
        return np.concatenate([points, np.nan_to_num(residuals(points), nan=1e3, posinf=1e3)], axis=1)

    def slopes(point: Array) -> Array:
        moved = point + STEP * np.concatenate([np.zeros((1, point.size)), np.eye(point.size)])
        values = whole(moved)
        return np.asarray((values[1:] - values[0]).T / STEP)

    def at(point: Array) -> Array:
        return np.asarray(whole(point[None])[0])

    found = least_squares(at, start, jac=slopes, max_nfev=EVALUATIONS, xtol=1e-4)
    return np.asarray(found.x if 2 * found.cost <= float(np.sum(whole(start[None]) ** 2)) else start)
