"""A result of many knives against its target band: how many miss it and on which side, and the capability."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.target.target import ends
from detentsim.knife.target.verdict import meets

if TYPE_CHECKING:
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Truth


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


def missed(wanted: Target, values: npt.NDArray[Any], own: float | None) -> dict[str, Truth]:
    """Knives that miss a target, by how.

    Parameters
    ----------
    wanted : Target
    values : array, shape (n,)
        The result in its own unit, NaN where there is none; or truths.
    own : float or None
        The drawing's own value, from which a wanted change counts.

    Returns
    -------
    dict of str to array of bool
        ``NAME below``, ``NAME above`` and ``NAME none``; of a truth ``NAME false`` or ``NAME true``.
    """
    name = wanted.name
    if wanted.truth is not None:
        return {f"{name} {str(not wanted.truth).lower()}": values != wanted.truth}
    low, _ = ends(wanted, own)
    none = np.isnan(values)
    below = ~none & (values < (-np.inf if low is None else low))
    return {f"{name} below": below, f"{name} above": ~meets(wanted, values, own) & ~none & ~below, f"{name} none": none}
