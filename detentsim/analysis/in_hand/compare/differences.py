"""Differences of single results between two items of a comparison, and whether they stand out of the scatter.

Uses the forms of `feel_curves`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.compare.quantities import UNITS

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve

CLEAR = 2.0
"""Standard errors that a difference must have to stand out."""


class Difference(NamedTuple):
    """Difference of one result to that of the first item.

    Attributes
    ----------
    change : float
        In the result's unit.
    part : float or None
        Relative to the first item's value; None where that is 0 or an angle.
    clear : bool or None
        Whether it exceeds `CLEAR` standard errors: scatter of the runs, for the breakout also the gauge's noise, beyond
        what the readings may have missed of a peak; None where none is known.
    """

    change: float
    part: float | None
    clear: bool | None


def difference(first: FeelCurve, other: FeelCurve, name: str) -> Difference | None:
    """Difference of one result between two items.

    Parameters
    ----------
    first, other : FeelCurve
    name : str
        Key of `UNITS`.

    Returns
    -------
    Difference or None
        None where one of them lacks the result.
    """
    own, its = first.values[name], other.values[name]
    if own is None or its is None:
        return None
    low = high = its - own
    part = None if own == 0 or UNITS[name] == "deg" else (its - own) / abs(own)
    errors = [feel.scatter[name] ** 2 / feel.count for feel in (first, other) if name in feel.scatter]
    if name == "breakout_force":
        errors += [feel.unsure**2 for feel in (first, other) if feel.unsure]
        low, high = its - own - first.missed, its - own + other.missed
    bare = name != "breakout_force"
    alone = any(bare and feel.kind == "measured" and name not in feel.scatter for feel in (first, other))
    # the readings may have missed the peak, so the true difference lies anywhere from low to high
    wide = CLEAR * float(np.sqrt(sum(errors)))
    clear = None if alone or not errors else low > wide or high < -wide
    return Difference(its - own, part, clear)
