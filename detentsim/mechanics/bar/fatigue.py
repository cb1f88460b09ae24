"""Fatigue of a bar under cyclic stress, by mean stress and amplitude.

Self-contained; ``analysis.limits`` compares the service cycle with it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array


def fully_reversed(strength: ArrayLike, ratio: ArrayLike, ultimate: ArrayLike) -> Array:
    """Endurance strength under fully reversed stress, from a largest stress published at another stress ratio [Pa].

    Parameters
    ----------
    strength : array_like
        Largest stress of the cycle that was endured [Pa].
    ratio : array_like
        Smallest over largest stress of that cycle; -1 gives the strength itself.
    ultimate : array_like
        Ultimate strength [Pa].

    Returns
    -------
    array

    Notes
    -----
    Goodman's line through the published point: `S_a/(1 - S_m/S_u)`. Source: Shigley's Mechanical Engineering Design,
    9th ed., eq. 6-46.

    Examples
    --------
    >>> float(fully_reversed(500.0, -1.0, 900.0)), round(float(fully_reversed(500.0, 0.1, 895.0)), 1)
    (500.0, 324.8)
    """
    top, low = np.asarray(strength, float), np.asarray(strength, float) * np.asarray(ratio, float)
    return np.asarray((top - low) / 2 / (1 - (top + low) / 2 / np.asarray(ultimate, float)))


def strength_at(cycles: ArrayLike, endurance: ArrayLike, ultimate: ArrayLike) -> Array:
    """Fully reversed strength at a number of cycles from 10^3 to 10^7 [Pa].

    Parameters
    ----------
    cycles : array_like
        Values outside the range count as its nearer end.
    endurance, ultimate : array_like
        Endurance strength at 10^7 cycles and ultimate strength [Pa].

    Returns
    -------
    array

    Notes
    -----
    Basquin's straight line in logarithms from 0.9 of the ultimate strength at 10^3 cycles to the endurance strength.
    Source: Shigley's Mechanical Engineering Design, 9th ed., section 6-8, its knee moved to 10^7.

    Examples
    --------
    >>> float(strength_at(1e7, 300.0, 900.0)), round(float(strength_at(1e3, 300.0, 900.0)), 6)
    (300.0, 810.0)
    """
    low = np.asarray(endurance, float)
    high = np.maximum(0.9 * np.asarray(ultimate, float), low)
    share = (np.log10(np.clip(np.asarray(cycles, float), 1e3, 1e7)) - 3) / 4
    return np.asarray(high ** (1 - share) * low**share)


def goodman_use(low: ArrayLike, high: ArrayLike, endurance: ArrayLike, ultimate: ArrayLike) -> Array:
    """Share of the endurance that a stress cycle uses, `S_a/S_e + S_m/S_u` [-]; above 1 the bar breaks in time.

    Parameters
    ----------
    low, high : array_like
        Smallest and largest stress of the cycle, residual stress included [Pa]; a negative mean counts as 0.
    endurance, ultimate : array_like
        Fully reversed endurance strength and ultimate strength [Pa].

    Returns
    -------
    array

    Notes
    -----
    Source: J. Goodman's line, as in Shigley's Mechanical Engineering Design, 9th ed., eq. 6-46: `1/n`.

    Examples
    --------
    >>> float(goodman_use(-200.0, 200.0, 400.0, 900.0)), float(goodman_use(450.0, 450.0, 400.0, 900.0))
    (0.5, 0.5)
    """
    small, large = np.asarray(low, float), np.asarray(high, float)
    mean = np.maximum((small + large) / 2, 0)
    return np.asarray((large - small) / 2 / np.asarray(endurance, float) + mean / np.asarray(ultimate, float))
