"""Hand-steps: how far apart a hand feels two forces, or two openings.

The one measure of feel; the explorer, comparisons and advice use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.target.target import FELT

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

FLOOR = 0.25
"""Force below which a finger feels nothing worth telling apart [N]: the least that ISO 9241 lets a key ask for (from
memory; Weber's law is measured from 2 N up)."""

JUST, SURE = 1.0, 2.0
"""Hand-steps from which a difference is just felt, and felt."""


def steps_between(one: npt.ArrayLike, other: npt.ArrayLike) -> Array:
    """Hand-steps from one force to another; positive where the other is heavier.

    A hand tells forces apart by their ratio: about 7 % (Pang, Tan and Durlach 1991, 2.5 to 10 N) to 10 % (matching by
    the index finger, 2 to 5 N). One step is a ratio of `1 + FELT`, FELT = 0.10, so that the steps between two forces
    are `ln(F2/F1) / ln(1 + FELT)`. What lies below `FLOOR` counts as `FLOOR`, for there nothing is felt.

    Parameters
    ----------
    one, other : array
        [N].

    Returns
    -------
    array

    Examples
    --------
    >>> round(float(steps_between(5.0, 6.05)), 6)
    2.0
    """
    ratio = np.maximum(np.asarray(other, float), FLOOR) / np.maximum(np.asarray(one, float), FLOOR)
    return np.asarray(np.log(ratio) / np.log1p(FELT))


def force_off(force: float, steps: float) -> float:
    """Force that lies so many hand-steps from another, both above `FLOOR` [N].

    Parameters
    ----------
    force : float
        [N].
    steps : float
        Below zero for a lighter one.

    Examples
    --------
    >>> round(force_off(5.0, 2), 9)
    6.05
    """
    return float(force * (1 + FELT) ** steps)


def hand_steps(angle: npt.ArrayLike, one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """Distance between two forces over angle: the root of the mean square of the steps between them.

    It is 0 for the same curve, the same either way round, and 1 where one is 10 % heavier throughout.

    Parameters
    ----------
    angle : array
        Never falling [deg].
    one, other : array
        Forces there [N].

    Returns
    -------
    float

    Examples
    --------
    >>> round(hand_steps([0, 1, 4], [5.0, 9.0, 1.0], [5.5, 9.9, 1.1]), 6)
    1.0
    """
    x = np.asarray(angle, float)
    square = steps_between(one, other) ** 2
    return float(np.sqrt(np.trapezoid(square, x) / (x[-1] - x[0])))


class Opening(NamedTuple):
    """Force that opens a blade, and what bounds a comparison of it.

    Attributes
    ----------
    angle, force : array, shape (n,)
        Blade angle, never falling [deg], and force at the opener [N]; two points of one angle stand for a jump.
    breakout, let_go : float or None
        Angles of the breakout force and of let-go [deg].
    held : bool
        Whether the blade cannot be opened at all.
    """

    angle: Array
    force: Array
    breakout: float | None
    let_go: float | None
    held: bool = False


class Distance(NamedTuple):
    """Distance between two openings.

    Attributes
    ----------
    steps : float or None
        In hand-steps, by `hand_steps`.
    start, end : float
        Angles compared over: from the earlier breakout, where the hand has taken the load up, to the later let-go, as
        far as both are known [deg].
    within : float
        Part of those angles at which they are no more than one step apart.
    why : str
        Why there is none.
    """

    steps: float | None
    start: float = np.nan
    end: float = np.nan
    within: float = np.nan
    why: str = ""

    @property
    def felt(self) -> str:
        """Whether a hand feels it, by the steps to one decimal as they are told; empty where there is no distance.

        Examples
        --------
        >>> [Distance(steps).felt for steps in (0.94, 0.96, 2.1, None)]
        ['not felt', 'just felt', 'felt', '']
        """
        if self.steps is None:
            return ""
        told = round(self.steps, 1)
        return "not felt" if told < JUST else "just felt" if told < SURE else "felt"


def distance(one: Opening, other: Opening) -> Distance:
    """Distance between two openings, from the earlier breakout to the later let-go.

    Before its breakout a hand still takes up the load, at hardly any angle, and readings there tell more of the gauge
    than of the knife; past let-go all that is left is drag.

    Parameters
    ----------
    one, other : Opening

    Returns
    -------
    Distance

    Examples
    --------
    >>> own = Opening(np.array([0.0, 4.0]), np.array([9.0, 3.0]), 0.0, 4.0)
    >>> distance(own, own).steps, distance(own, own).within, distance(own, own._replace(held=True)).why
    (0.0, 1.0, 'one of them cannot be opened')
    """
    if one.held or other.held:
        who = "neither can" if one.held and other.held else "one of them cannot"
        return Distance(None, why=f"{who} be opened")
    if not (one.angle.size and other.angle.size):
        return Distance(None, why="one of them has no force to compare")
    start, end = _span(one, other)
    if not end > start:
        return Distance(None, start, end, why="they share no angles between breakout and let-go")
    every = np.concatenate([np.linspace(start, end, 401), one.angle, other.angle])
    every = np.unique(every[(every >= start) & (every <= end)])
    angle = np.repeat(every, 2)[1:-1]  # just past each, and just short of the next
    first, second = (_between(way, every) for way in (one, other))
    far = np.abs(steps_between(first, second)) > 1 + 1e-9
    within = 1 - float(np.trapezoid(far.astype(float), angle) / (end - start))  # 1 to the last digit where nothing is
    return Distance(hand_steps(angle, first, second), start, end, within)


def _between(way: Opening, angle: Array) -> Array:
    """Force just past each angle and just short of the next, shape (2 n - 2,); at a jump they differ."""
    short = np.interp(-angle, -way.angle[::-1], way.force[::-1])
    past = np.interp(angle, way.angle, way.force)
    return np.stack([short, past], axis=-1).ravel()[1:-1]


def _span(one: Opening, other: Opening) -> tuple[float, float]:
    starts = [way.breakout for way in (one, other) if way.breakout is not None]
    ends = [way.let_go for way in (one, other) if way.let_go is not None]
    low = max(float(one.angle[0]), float(other.angle[0]), min(starts, default=-np.inf))
    high = min(float(one.angle[-1]), float(other.angle[-1]), max(ends, default=np.inf))
    return low, high
