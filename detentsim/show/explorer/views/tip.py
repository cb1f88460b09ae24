"""A few words on paper beside the mouse."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Rectangle

from detentsim.show.explorer.views.quick_text import EDGE, QuickText, line
from detentsim.show.theme.style import INK

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

# Lines of a tip, letters on each, and the paper around them [lines].
LINES, LETTERS, ROUND = 5, 46, 0.45

# Below and beside the mouse [px].
OFF = 18.0


class Tip:
    """Words that stand beside the mouse, inside the window, while they are not empty.

    Parameters
    ----------
    figure : Figure

    Attributes
    ----------
    words : str
    live : list of Artist
        In the order in which they are painted.
    """

    def __init__(self, figure: Figure) -> None:
        self._figure, self.words, self._size = figure, "", 8.5
        style: dict[str, Any] = {"transform": None, "antialiased": False, "zorder": 20}
        self.paper = Rectangle((0, 0), 1, 1, fc="#fffbe8", ec=INK, lw=0.7, visible=False, **style)
        self.lines = [QuickText(0, 0, "", transform=None, va="center", zorder=21) for _ in range(LINES)]
        self.live: list[Artist] = [self.paper, *self.lines]
        for part in self.live:
            figure.add_artist(part)

    def resize(self, size: float) -> None:
        """Set the size of its letters.

        Parameters
        ----------
        size : float
            [pt].
        """
        self._size = size
        for text in self.lines:
            text.set_fontsize(size)

    def show(self, words: str, x: float, y: float) -> bool:
        """Put words beside a point; empty words hide it.

        Parameters
        ----------
        words : str
        x, y : float
            In the figure [px].

        Returns
        -------
        bool
            Whether it shows something else than before.
        """
        if words == self.words:
            return False
        self.words = words
        lines = textwrap.wrap(words, LETTERS)[:LINES]
        self.paper.set_visible(bool(lines))
        for text, said in zip(self.lines, lines + [""] * (LINES - len(lines)), strict=True):
            text.set_text(said)
        if lines:
            self._place(lines, x, y)
        return True

    def _place(self, lines: list[str], x: float, y: float) -> None:
        step = 1.45 * self._size * self._figure.dpi / 72
        wide = max(line(one, self._size, self._figure.dpi, "normal", "normal").shape[1] for one in lines) - 2 * EDGE
        width, height = wide + 2 * ROUND * step, (len(lines) + 2 * ROUND) * step
        right, top = self._figure.bbox.x1 - 2, self._figure.bbox.y1 - 2
        left = float(np.clip(x + OFF, 2, max(right - width, 2)))
        base = y - OFF - height if y - OFF - height > 2 else min(y + OFF, top - height)
        self.paper.set_bounds(round(left), round(base), round(width), round(height))
        for i, text in enumerate(self.lines):
            text.set_position((left + ROUND * step, base + height - (ROUND + i + 0.5) * step))
