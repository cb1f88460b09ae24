"""Whether the unlocked blade falls shut: weight and ball against drag, in static balance at each angle.

`curve` gives the surplus torque.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

from detentsim.analysis.one_build.curve.intervals import spans


@dataclass(frozen=True, eq=False)
class FallsShut:
    """Whether weight and ball swing the unlocked blade shut against drag; true where they do.

    Attributes
    ----------
    falls : bool
        Whether it reaches its stop, let go at rest at `start`.
    start : float
        Blade angle it is let go from [deg].
    hangs_at : float or None
        Where it hangs otherwise [deg].
    hangs : tuple of (low, high)
        Spans of blade angle in which a blade at rest stays [deg], from small to large.
    surplus : array
        Torque left over for shutting at `angle` [N*mm].
    angle : array
        [deg].
    down_angle : float
        From the closed blade's direction to straight down, in the opening sense [deg].
    """

    falls: bool
    start: float
    hangs_at: float | None
    hangs: tuple[tuple[float, float], ...]
    surplus: Array = field(repr=False)
    angle: Array = field(repr=False)
    down_angle: float

    def __bool__(self) -> bool:
        """Return whether it falls shut, so that ``if curve.falls_shut`` asks what it seems to ask."""
        return self.falls


def falls_shut(angle: Array, surplus: Array, start: float, down_angle: float, hangs_at: float) -> FallsShut | None:
    """Angles at which a blade at rest stays, from the surplus torque; None where the blade's mass is unknown.

    Parameters
    ----------
    angle, surplus : array
        Blade angles in rising order [deg] and the torque left over at each [N*mm].
    start : float
        Blade angle it is let go from [deg].
    down_angle : float
        Attitude [deg].
    hangs_at : float
        Where the falling blade hangs [deg]; not a number where it reaches its stop.
    """
    if not np.all(np.isfinite(surplus)):
        return None
    # The first point is the stop itself, where the stop carries the blade.
    way = (angle <= start + 1e-9) & (np.arange(angle.size) > 0)
    hangs = spans(angle[way], surplus[way] <= 0)
    falls = bool(np.isnan(hangs_at))
    return FallsShut(falls, start, None if falls else hangs_at, hangs, surplus, angle, down_angle)
