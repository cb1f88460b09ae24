"""How many knives of one small batch are right, where some doubts are the same for the whole batch."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt


class Count(NamedTuple):
    """How many of `of` knives are right.

    ``middle`` is the median; nine such batches in ten hold ``low`` to ``high``; ``chances[k]`` is the probability of
    just k, shape (of + 1,).
    """

    of: int
    low: int
    middle: int
    high: int
    chances: npt.NDArray[np.float64]

    @property
    def mean(self) -> float:
        """Mean of the number of right knives: `of` times the share of all knives that are right."""
        return float(self.chances @ np.arange(self.of + 1))

    @property
    def none_oftener(self) -> bool:
        """Whether more batches hold no right knife than chance explains, because the knives of a batch share an error.

        A fifth of the batches at least, and twice as many as by the binomial law with the same mean.
        """
        alone = (1 - self.mean / self.of) ** self.of
        return bool(self.chances[0] >= max(0.2, 2 * alone))


def count_of(inside: npt.NDArray[np.bool_], of: int) -> Count:
    """Law of the number of right knives in a batch, from knives solved for several shops.

    Parameters
    ----------
    inside : array of bool, shape (shops, knives)
        Each row has doubts of the shop of its own, the same for all its knives; at least `of` knives.
    of : int
        Knives of the batch.

    Returns
    -------
    Count

    Notes
    -----
    In one shop the knives are independent. The probability of just k right ones is estimated without bias by the share
    of all ways to pick `of` of the solved knives that pick k right ones: a hypergeometric distribution (Hoeffding, Ann.
    Math. Statist. 19 (1948) 293-325, from memory). Shops are then averaged.

    Examples
    --------
    >>> law = count_of(np.array([[True] * 64, [False] * 64]), 2)
    >>> law.chances.tolist(), (law.low, law.middle, law.high)
    ([0.5, 0.0, 0.5], (0, 0, 2))
    >>> law.mean, law.none_oftener
    (1.0, True)
    """
    from scipy.stats import hypergeom

    solved, right = inside.shape[1], np.count_nonzero(inside, axis=1)
    chances = np.mean(hypergeom.pmf(np.arange(of + 1), solved, right[:, None], of), axis=0)
    low, middle, high = np.searchsorted(np.cumsum(chances), [0.05 + 1e-9, 0.5 - 1e-9, 0.95 - 1e-9])
    return Count(of, int(low), int(middle), int(min(high, of)), chances)
