"""Pace of the slow motion that Play shows: the blade opened once, evenly, frame by frame."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

LASTS = 4.0
"""Time in which the blade is opened [s]."""

FRAME = 0.04
"""Least time between two frames [s]."""

BETWEEN = 0.005
"""Wait before a piece of what takes longer, in which the mouse is heard [s]."""

PLAY, STOP = "Play", "Stop"
"""Words of the button."""


class Play:
    """Opens the blade once from closed, evenly by the clock; at the end it stays there.

    Parameters
    ----------
    swing : callable
        Puts the blade to an angle [deg].
    clock : callable
        Gives the time [s].

    Attributes
    ----------
    running : bool

    Examples
    --------
    >>> seen = []
    >>> play = Play(seen.append, iter([10.0, 10.0, 11.0, 13.0, 14.5]).__next__)
    >>> play.start(8.0)
    >>> while play.step():
    ...     pass
    >>> seen, play.running
    ([0.0, 2.0, 6.0, 8.0], False)
    """

    def __init__(self, swing: Callable[[float], object], clock: Callable[[], float] = time.monotonic) -> None:
        self._swing, self._clock, self.running = swing, clock, False
        self._began, self._end = 0.0, 0.0

    def start(self, end: float) -> None:
        """Begin anew.

        Parameters
        ----------
        end : float
            Blade angle at which it ends [deg].
        """
        self._began, self._end, self.running = self._clock(), end, True

    def stop(self) -> None:
        """Leave the blade where it is."""
        self.running = False

    def step(self) -> bool:
        """Show the frame that it is time for; false where none is left."""
        if self.running:
            part = min((self._clock() - self._began) / LASTS, 1.0)
            self._swing(self._end * part)
            self.running = part < 1
        return self.running
