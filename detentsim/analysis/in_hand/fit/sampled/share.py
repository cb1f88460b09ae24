"""Share of weighted knives for which something is true, and how sure it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.fit.sampled.weighted import effective
from detentsim.analysis.many_builds.batch.counts.shares import Share, with_interval

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

NORMAL = 1.959963984540054
"""0.975 quantile of the normal."""


def weighted_share(inside: npt.NDArray[np.bool_], weights: Array) -> Share:
    """Share of the weight for which something is true, with its 95 % confidence interval.

    Wilson's score interval for as many independent knives as the effective number (Wilson, J. Am. Stat. Assoc. 22
    (1927) 209-212, from memory).

    Parameters
    ----------
    inside : array of bool, shape (n,)
    weights : array, shape (n,)
        Their sum is 1.

    Examples
    --------
    >>> share = weighted_share(np.array([True, False]), np.array([0.75, 0.25]))
    >>> share.share, share.low < 0.75 < share.high
    (0.75, True)
    """
    share = float(np.clip(np.sum(weights[inside]), 0, 1))
    return with_interval(share, effective(weights), NORMAL)
