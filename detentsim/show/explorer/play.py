"""Slow motion: the blade opened once, evenly, frame by frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

FRAMES = 80

FRAME = 0.05
"""Least time between two frames [s]."""

PLAY, STOP = "Play", "Stop"
"""Words of the button."""


class Play:
    """Opens the blade once from closed, by even steps; at the end it stays there.

    Parameters
    ----------
    swing : callable
        Puts the blade to an angle [deg].

    Attributes
    ----------
    running : bool

    Examples
    --------
    >>> seen = []
    >>> play = Play(seen.append)
    >>> play.start(8.0)
    >>> while play.step():
    ...     pass
    >>> seen[0], seen[40], seen[-1], play.running
    (0.0, 4.0, 8.0, False)
    """

    def __init__(self, swing: Callable[[float], object]) -> None:
        self._swing, self.running = swing, False
        self._frame, self._end = 0, 0.0

    def start(self, end: float) -> None:
        """Begin anew.

        Parameters
        ----------
        end : float
            Blade angle at which it ends [deg].
        """
        self._frame, self._end, self.running = 0, end, True

    def stop(self) -> None:
        """Leave the blade where it is."""
        self.running = False

    def step(self) -> bool:
        """Show the next frame; false where none is left."""
        if self.running:
            self._swing(self._end * self._frame / FRAMES)
            self.running = self._frame < FRAMES
            self._frame += 1
        return self.running
