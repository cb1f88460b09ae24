"""Process capability of a result of many knives against its target band."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array


class Capability(NamedTuple):
    """Process capability of a result against its target band [-]; None where an end is missing.

    ``cp`` is the band over six standard deviations; ``cpk`` the nearer end's distance from the mean over three.
    """

    cp: float | None
    cpk: float | None


def capability_of(values: Array, band: tuple[float | None, float | None]) -> Capability:
    """Process capability of values against a band.

    Parameters
    ----------
    values : array, shape (n,)
        Finite.
    band : tuple of float or None
        Its ends, in the unit of `values`.

    Returns
    -------
    Capability
        Both None where the values do not scatter.
    """
    low, high = band
    mean, scatter = (float(np.mean(values)), float(np.std(values, ddof=1))) if values.size > 1 else (np.nan, 0.0)
    if not scatter > 0:
        return Capability(None, None)
    room = [] if low is None else [mean - low]
    room += [] if high is None else [high - mean]
    cp = None if low is None or high is None else (high - low) / (6 * scatter)
    return Capability(cp, min(room) / (3 * scatter) if room else None)
