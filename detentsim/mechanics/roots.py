"""Vectorised bracketed roots for many designs at once: secant steps inside a bracket, and bisection of a condition.

Self-contained; every file that solves an equation uses it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Index, Record, Truth

Bracket = tuple["Array", "Array", "Array", "Array"]

# Most evaluations of a root; a bracket is halved at least every sixth, so that doubles run out first.
MOST_STEPS = 400

# Smallest step that a double can tell, over the larger end of the bracket.
ROUNDING = 4 * np.finfo(float).eps


def bracketed_root(
    miss: Callable[[Array, Index], Array],
    low: Array,
    high: Array,
    close: float | None = None,
    index: Index | None = None,
    ends: tuple[Array, Array] | None = None,
) -> Array:
    """Root of a function of one number for each element of a row, between ends where its sign differs.

    Parameters
    ----------
    miss : callable
        `miss(x, index)` gives the function at x for the elements of those numbers.
    low, high : array, shape (n,)
        Ends of the brackets.
    close : float, optional
        Accuracy of the roots: a step shorter than that is the last one; the rounding of a double by default.
    index : array of int, shape (n,), optional
        Numbers of the elements; 0 to n - 1 by default.
    ends : pair of array, shape (n,), optional
        The function at `low` and at `high`, where they are known.

    Returns
    -------
    array, shape (n,)
        NaN where the function keeps its sign.

    Notes
    -----
    False position with the scaling of N. Anderson and A. Bjorck (A new high order method of regula falsi type, BIT 13,
    1973). Where three steps have not halved the bracket, a step of twice the secant's, as in G. E. Alefeld, F. A. Potra
    and Y. Shi (Algorithm 748, ACM Transactions on Mathematical Software 21, 1995), and every second time a halving.

    Examples
    --------
    >>> square = np.array([2.0, 9.0, -1.0])
    >>> bracketed_root(lambda x, i: x**2 - square[i], np.zeros(3), np.full(3, 10.0)).round(6)
    array([1.414214, 3.      ,      nan])
    """
    places = np.arange(low.size) if index is None else index
    first, last = ends or (miss(low, places), miss(high, places))
    root = np.where(first == 0, low, np.where(last == 0, high, np.nan))
    rows = np.flatnonzero(((first < 0) & (last > 0)) | ((first > 0) & (last < 0)))
    bracket = low[rows], high[rows], first[rows], last[rows]
    width = bracket[1] - bracket[0]
    for step in range(MOST_STEPS):
        if not rows.size:
            break
        halve = step % 3 == 2
        least = ROUNDING * np.maximum(np.abs(bracket[0]), np.abs(bracket[1]))
        near = np.maximum(least, close or 0.0)
        at = _between(bracket, width if halve else None, near, middle=step % 6 == 5)
        width = np.abs(bracket[1] - bracket[0]) if halve else width
        close_by = np.abs(at - bracket[1]) <= near
        if close_by.any():  # the last step, whose function nobody needs
            root[rows[close_by]] = at[close_by]
            rows, width, bracket, at, least = _kept(~close_by, rows, width, bracket, at, least)
            if not rows.size:
                break
        value = miss(at, places[rows])
        bracket = _narrowed(bracket, at, value)
        done = (value == 0) | (np.abs(bracket[1] - bracket[0]) <= least)
        if done.any():
            root[rows[done]] = at[done]
            rows, width, bracket, *_ = _kept(~done, rows, width, bracket, at, least)
    root[rows] = bracket[1]
    return root


def _kept(
    keep: Truth, rows: Index, width: Array, bracket: Bracket, at: Array, least: Array
) -> tuple[Index, Array, Bracket, Array, Array]:
    """The elements that are still looked for."""
    other, last, at_other, at_last = (end[keep] for end in bracket)
    return rows[keep], width[keep], (other, last, at_other, at_last), at[keep], least[keep]


def _between(bracket: Bracket, width: Array | None, near: Array, middle: bool) -> Array:
    """Next point inside a bracket: the secant's root, or another where the bracket keeps more than half of `width`.

    That is twice as far, so that it lies beyond the root where the steps come from one side, or the middle. Steps up to
    `near` stay as they are. `bracket` has the other end, the last point and the function at both.
    """
    other, last, at_other, at_last = bracket
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        at = last - at_last * (last - other) / (at_last - at_other)
        inside = (at - other) * (at - last) <= 0
        if width is not None:
            wide = (np.abs(last - other) > 0.5 * np.abs(width)) & (np.abs(at - last) > near)
            far = last + 2 * (at - last)
            at = np.where(wide, far, at)
            inside &= ~wide | (False if middle else np.abs(far - last) <= 0.5 * np.abs(last - other))
    return np.asarray(at if inside.all() else np.where(inside, at, other + (last - other) / 2))


def _narrowed(bracket: Bracket, at: Array, value: Array) -> Bracket:
    """Bracket with one end moved to `at`; the value at an end that stays is scaled down."""
    other, last, at_other, at_last = bracket
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = 1 - value / at_last
    crossed = (value > 0) != (at_last > 0)
    kept = at_other * np.where(scale > 0, scale, 0.5)
    return np.where(crossed, last, other), at, np.where(crossed, at_last, kept), value


def stepped_root(
    miss: Callable[[Array], Array], places: Array, misses: Array, steps: int
) -> tuple[Array, Array, Array]:
    """Root of a function between two of three known places, after a few steps that nothing checks.

    Parameters
    ----------
    miss : callable
        Gives the function at x, shape (n,).
    places, misses : array, shape (3, n)
        Three places and the function there; it is not positive at the first and not negative at the second.
    steps : int
        Evaluations of the function.

    Returns
    -------
    root, low, high : array, shape (n,)
        The root, and the two nearest places known that enclose it; where the function at the root is not as small as
        it must be, `bracketed_root` takes over between them.

    Notes
    -----
    Inverse quadratic interpolation between the three places, then secant steps; any text on numerical methods.

    Examples
    --------
    >>> x = np.array([[1.0], [2.0], [3.0]])
    >>> float(stepped_root(lambda x: x * x - 2, x, x * x - 2, 3)[0].round(6)[0])
    1.414214
    """
    (low, high, _), (under, over, _) = places, misses
    with np.errstate(divide="ignore", invalid="ignore"):
        straight = np.where(over > under, low - under * (high - low) / (over - under), low)
        at, per_miss = _parabola(places, misses)
        at = np.where((at >= low) & (at <= high), at, straight)
        before, missed = at, np.full_like(at, np.nan)
        for _ in range(steps):
            now = miss(at)
            low, high = np.where(now <= 0, at, low), np.where(now > 0, at, high)
            secant = (at - before) / (now - missed)
            per_miss = np.where(np.isfinite(secant), secant, per_miss)
            before, missed = at, now
            following = at - np.where(now == 0, 0.0, now * per_miss)
            at = np.where((following >= low) & (following <= high), following, (low + high) / 2)
    return at, low, high


def _parabola(places: Array, misses: Array) -> tuple[Array, Array]:
    """Place without a miss if the place went with a parabola of the miss, through three places; its slope there."""
    a, b, c = misses
    shares = places / np.stack([(a - b) * (a - c), (b - a) * (b - c), (c - a) * (c - b)])
    at = shares[0] * b * c + shares[1] * a * c + shares[2] * a * b
    return at, -(shares[0] * (b + c) + shares[1] * (a + c) + shares[2] * (a + b))


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
