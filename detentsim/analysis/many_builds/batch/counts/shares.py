"""Share of the knives that do something, with its confidence interval from independent replicates."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.record.drawing import REPLICATES

STUDENT = 2.1314495455597757
"""0.975 quantile of Student's t with `REPLICATES` - 1 degrees of freedom."""


class Share(NamedTuple):
    """A share of the knives with the ends of its 95 % confidence interval, 0 to 1."""

    share: float
    low: float
    high: float


def share_of(inside: npt.NDArray[np.bool_]) -> Share:
    """Share of the knives for which something is true.

    The variance is that of the replicates' means; the interval is Wilson's score interval for as many independent
    knives as would scatter so, with Student's t for the normal quantile. Where the replicates do not scatter at all,
    the knives count as independent.

    Parameters
    ----------
    inside : array of bool, shape (n,)
        Knife i belongs to replicate i modulo `REPLICATES`; n is a multiple of it.

    Returns
    -------
    Share

    Notes
    -----
    Owen, *Monte Carlo theory, methods and examples*, ch. 17 (replicated randomised quasi-Monte Carlo); Wilson, J. Am.
    Stat. Assoc. 22 (1927) 209-212. Both from memory.

    Examples
    --------
    >>> share = share_of(np.ones(4096, bool))
    >>> share.share, round(share.low, 4), share.high
    (1.0, 0.9989, 1.0)
    """
    means = np.mean(inside.reshape(-1, REPLICATES), axis=0)
    share = float(np.mean(means))
    variance = float(np.var(means, ddof=1)) / REPLICATES
    alike = share * (1 - share) / variance if variance > 0 else float(inside.size)
    return with_interval(share, alike, STUDENT)


def with_interval(share: float, knives: float, quantile: float) -> Share:
    """A share with Wilson's score interval.

    Parameters
    ----------
    share : float
        0 to 1.
    knives : float
        Independent knives that would tell the share as well.
    quantile : float
        Of the normal, or of Student's t, at the interval's upper end.

    Returns
    -------
    Share
    """
    width = quantile**2 / knives
    middle = (share + width / 2) / (1 + width)
    half = math.sqrt(share * (1 - share) * width + width**2 / 4) / (1 + width)
    return Share(share, max(0.0, middle - half), min(1.0, middle + half))
