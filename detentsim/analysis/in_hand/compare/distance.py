"""Perceptual distance between two feel curves, in hand-steps (just noticeable force ratios)."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.target.target import FELT

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve
    from detentsim.mechanics.record import Array

FLOOR = 0.25
"""Force below which a finger feels nothing worth telling apart [N]: the least that ISO 9241 lets a key ask for (from
memory; Weber's law is measured from 2 N up)."""

MOST = 8
"""Items that a comparison takes."""

CLEAR = 2.0
"""Standard errors that a difference must have to stand out."""

NEAR_STEP, FAR_STEP = 0.05, 1.0
"""Spacing of the common angles out of the dimple and past it [deg]."""


def hand_steps(angle: npt.ArrayLike, one: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """Root-mean-square distance between two forces over angle, in just noticeable steps of a hand.

    A hand tells forces apart by their ratio: about 7 % (Pang, Tan and Durlach 1991, 2.5 to 10 N) to 10 % (matching by
    the index finger, 2 to 5 N). One step is a ratio of `1 + FELT`, FELT = 0.10. At each angle the steps between the
    two are `ln(F1/F2) / ln(1 + FELT)`; what lies below `FLOOR` counts as `FLOOR`, for there nothing is felt. The
    distance is the root of their mean square over the angle: 0 for the same curve, the same either way round, and 1
    where one is 10 % heavier throughout.

    Parameters
    ----------
    angle : array
        Rising [deg].
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


def steps_between(one: npt.ArrayLike, other: npt.ArrayLike) -> Array:
    """Just noticeable steps from one force to another at each angle; positive where the other is heavier.

    Parameters
    ----------
    one, other : array
        [N].

    Returns
    -------
    array
    """
    ratio = np.maximum(np.asarray(other, float), FLOOR) / np.maximum(np.asarray(one, float), FLOOR)
    return np.asarray(np.log(ratio) / np.log1p(FELT))


class Distance(NamedTuple):
    """Distance between two feel curves.

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
    start: float
    end: float
    within: float
    why: str = ""


def distance(one: FeelCurve, other: FeelCurve) -> Distance:
    """Distance between two feel curves, from the earlier breakout to the later let-go.

    Before its breakout a hand still takes up the load, at hardly any angle, and readings there tell more of the gauge
    than of the knife; past let-go all that is left is drag.

    Parameters
    ----------
    one, other : FeelCurve

    Returns
    -------
    Distance

    Examples
    --------
    >>> from detentsim.analysis.in_hand.compare.feel_curves import feel_of_build
    >>> from detentsim.knife.packaged import demo
    >>> own = feel_of_build(demo(), "own")
    >>> distance(own, own).steps
    0.0
    """
    if not (one.angle.size and other.angle.size):
        return Distance(None, np.nan, np.nan, np.nan, "one of them has no force to compare")
    start, end = _span(one, other)
    if not end > start:
        return Distance(None, start, end, np.nan, "they share no angles between breakout and let-go")
    both = np.concatenate([np.linspace(start, end, 401), one.angle, other.angle])
    angle = np.unique(both[(both >= start) & (both <= end)])
    first, second = one.at(angle), other.at(angle)
    near = np.abs(steps_between(first, second)) <= 1 + 1e-9
    within = float(np.trapezoid(near.astype(float), angle) / (end - start))
    return Distance(hand_steps(angle, first, second), start, end, within)


def _span(one: FeelCurve, other: FeelCurve) -> tuple[float, float]:
    starts, ends = [], []
    for feel in (one, other):
        breakout, let_go = (feel.values[name] for name in ("breakout_force_angle", "let_go_angle"))
        starts += [] if breakout is None else [breakout]
        ends += [] if let_go is None else [let_go]
    low = max(float(one.angle[0]), float(other.angle[0]), min(starts, default=-np.inf))
    high = min(float(one.angle[-1]), float(other.angle[-1]), max(ends, default=np.inf))
    return low, high
