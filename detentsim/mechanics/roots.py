"""A root for every design of a record at once: SciPy's bracketed search over designs in one row."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize.elementwise import find_root

from detentsim.mechanics.record import Array, Index, Record

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike


def bracketed_root(
    miss: Callable[..., Array], record: Record, low: ArrayLike, high: ArrayLike, *known: ArrayLike, close: float = 1e-13
) -> Array:
    """Find where a function of one number is nought, for each design.

    Parameters
    ----------
    miss : callable
        Takes a record, the number sought and what is known, all in one row; gives an array as long.
    record : Record
        Designs, any shape.
    low, high : array_like
        Ends between which the function changes sign; broadcast with the record.
    *known : array_like
        Handed on to `miss`, as long as the designs asked; broadcast with the record.
    close : float
        How near the root must be found, absolute.

    Returns
    -------
    array
        In the common shape; not a number where the function keeps its sign.
    """
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in (*record, low, high, *known)))
    rows = [part.ravel() for part in parts]
    count = len(record)

    def at(value: Array, index: Index) -> Array:
        one = Record(*(row[index] for row in rows[:count]))
        return miss(one, value, *(row[index] for row in rows[count + 2 :]))

    ends = rows[count], rows[count + 1]
    found = find_root(at, ends, args=(np.arange(rows[0].size),), tolerances={"xatol": close, "xrtol": 0.0})
    return np.asarray(np.where(found.success, found.x, np.nan)).reshape(parts[0].shape)
