"""Inputs that the readings cannot tell apart: pairs whose errors are correlated among the weighted knives."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.mechanics.record import Array

STRONG = 0.4
"""Least correlation, of either sign, at which two inputs count as ones that the readings cannot separate."""


class Tied(NamedTuple):
    """Two inputs that the readings cannot tell apart."""

    one: str
    other: str
    correlation: float  # below 0: more of one reads like more of the other [-]
    words: str


def tied(values: Mapping[str, Array], weights: Array) -> tuple[Tied, ...]:
    """Pairs of inputs that the readings cannot tell apart, the strongest first.

    Before any reading the inputs are independent; a reading that depends on two of them ties their errors to each
    other.

    Parameters
    ----------
    values : mapping of str to array, shape (n,)
        Inputs of each knife.
    weights : array, shape (n,)
        Their sum is 1.

    Returns
    -------
    tuple of Tied

    Examples
    --------
    >>> one = np.array([0.0, 1.0, 2.0, 3.0])
    >>> tied({"bar.bend": one, "bar.calibration": -one}, np.full(4, 0.25))[0].words
    'bar.bend and bar.calibration: more of one reads like more of the other'
    """
    names = [name for name, array in values.items() if _scatter(array, weights) > 0]
    found = []
    for one, other in combinations(names, 2):
        linked = _correlation(values[one], values[other], weights)
        if abs(linked) >= STRONG:
            how = (
                "more of one reads like more of the other" if linked < 0 else "more of one reads like less of the other"
            )
            found.append(Tied(one, other, linked, f"{one} and {other}: {how}"))
    return tuple(sorted(found, key=lambda pair: -abs(pair.correlation)))


def _scatter(values: Array, weights: Array) -> float:
    return float(np.sqrt(weights @ (values - weights @ values) ** 2))


def _correlation(one: Array, other: Array, weights: Array) -> float:
    product = float(weights @ ((one - weights @ one) * (other - weights @ other)))
    return product / (_scatter(one, weights) * _scatter(other, weights))
