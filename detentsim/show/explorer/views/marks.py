"""Marks along a knob's track: the stops at which the build is inside its target."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.collections import LineCollection

from detentsim.analysis.one_build.curve.intervals import runs
from detentsim.show.theme.style import WANTED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

# Where on the height of a track, and how thick [pt].
HEIGHT, THICK = 0.08, 3.0

MARKED = "Blue under a track: target met."
"""What the marks say."""


class Marks(LineCollection):
    """Lines under a track.

    Parameters
    ----------
    ax : Axes
        Of the track, whose x counts stops.
    last : float
        Its last stop.
    """

    def __init__(self, ax: Axes, last: float) -> None:
        super().__init__([], colors=WANTED, linewidths=THICK, capstyle="butt", transform=ax.get_xaxis_transform())
        self.met: tuple[bool, ...] = ()
        self._last = last
        ax.add_collection(self, autolim=False)

    def show(self, met: Sequence[bool]) -> bool:
        """Mark stops.

        Parameters
        ----------
        met : sequence of bool
            For each stop; empty where it is not known.

        Returns
        -------
        bool
            Whether that is something else than before.
        """
        if self.met == tuple(met):
            return False
        self.met = tuple(met)
        self.set_segments([[(max(low, 0), HEIGHT), (min(high, self._last), HEIGHT)] for low, high in stretches(met)])
        return True


def stretches(met: Sequence[bool]) -> list[tuple[float, float]]:
    """Stretches of stops that follow one another, each from half a stop before to half a stop behind.

    Parameters
    ----------
    met : sequence of bool

    Examples
    --------
    >>> stretches([False, True, True, False, True])
    [(0.5, 2.5), (3.5, 4.5)]
    """
    return [(first - 0.5, after - 0.5) for first, after in runs(np.array(met, bool)).tolist()]
