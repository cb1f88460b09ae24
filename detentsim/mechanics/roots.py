"""Vectorised bracketed roots for many designs at once: SciPy's search, and bisection of a condition.

Stands alone; every file that solves an equation stands on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize.elementwise import find_root

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index, Record, Truth


def bracketed_root(
    miss: Callable[..., Array], low: Array, high: Array, close: float | None = None, index: Index | None = None
) -> Array:
    """Root of a function of one number for each element of a row, between ends where its sign differs.

    Parameters
    ----------
    miss : callable
        `miss(x, index)` gives the function at x for the elements of those numbers.
    low, high : array, shape (n,)
        Ends of the brackets.
    close : float, optional
        Absolute accuracy of the roots; SciPy's own tolerances by default.
    index : array of int, shape (n,), optional
        Numbers of the elements; 0 to n - 1 by default.

    Returns
    -------
    array, shape (n,)
        NaN where the function keeps its sign.

    Notes
    -----
    Chandrupatla's method, as `scipy.optimize.elementwise.find_root` has it: T. R. Chandrupatla, A new hybrid
    quadratic/bisection algorithm for finding the zero of a nonlinear function, Adv. Eng. Softw. 28 (1997).

    Examples
    --------
    >>> square = np.array([2.0, 9.0, -1.0])
    >>> bracketed_root(lambda x, i: x**2 - square[i], np.zeros(3), np.full(3, 10.0)).round(6)
    array([1.414214, 3.      ,      nan])
    """
    places = np.arange(low.size) if index is None else index
    solution = find_root(
        miss, (low, high), args=(places,), tolerances={} if close is None else {"xatol": close, "xrtol": 0.0}
    )
    return np.asarray(np.where(solution.success, solution.x, np.nan))


def bisected(holds: Callable[[Array], Truth], near: Array, far: Array, rounds: int) -> tuple[Array, Array]:
    """Brackets about the point up to which a condition holds, halved `rounds` times.

    Parameters
    ----------
    holds : callable
        Takes points, shape (n,); gives the truth of the condition at each.
    near, far : array, shape (n,)
        Ends, in either order; the condition holds at `near` and not at `far`.
    rounds : int
        Number of halvings.

    Returns
    -------
    near, far : array, shape (n,)
        The last points at which it holds, and the first at which it does not.

    Notes
    -----
    Bisection; any text on numerical methods.

    Examples
    --------
    >>> near, far = bisected(lambda x: x < 0.3, np.zeros(1), np.ones(1), 20)
    >>> bool(near[0] < 0.3 <= far[0]), float(far[0] - near[0]) == 2.0**-20
    (True, True)
    """
    for _ in range(rounds):
        middle = (near + far) / 2
        inside = holds(middle)
        near, far = np.where(inside, middle, near), np.where(inside, far, middle)
    return near, far


def root_per_design(
    miss: Callable[..., Array], record: Record, low: ArrayLike, high: ArrayLike, *known: ArrayLike, close: float = 1e-13
) -> Array:
    """Root of a function of a record and one number, for each design.

    Parameters
    ----------
    miss : callable
        `miss(record, x, *known)`, all in one row; gives an array as long.
    record : Record
        Designs, any shape.
    low, high : array_like
        Ends between which the function changes sign; broadcast with the record.
    *known : array_like
        Passed on to `miss` for the designs in question; broadcast with the record.
    close : float
        Absolute accuracy of the root.

    Returns
    -------
    array
        In the common shape; NaN where the function keeps its sign.

    Notes
    -----
    By `bracketed_root`.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(root_per_design(lambda one, x: x - one.bend, knife, 0.0, 1.0) / knife.bend)
    1.0
    """
    parts = np.broadcast_arrays(*(np.asarray(part, float) for part in (*record, low, high, *known)))
    rows = [part.ravel() for part in parts]
    count = len(record)

    def at(value: Array, index: Index) -> Array:
        one = record._replace(**{name: row[index] for name, row in zip(record._fields, rows[:count], strict=True)})
        return miss(one, value, *(row[index] for row in rows[count + 2 :]))

    return bracketed_root(at, rows[count], rows[count + 1], close).reshape(parts[0].shape)
