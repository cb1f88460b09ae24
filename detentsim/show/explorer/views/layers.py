"""Paints a figure in layers, so that a turn of a knob repaints only what changes.

Knows artists and a canvas, not what they show.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from matplotlib.artist import Artist
    from matplotlib.figure import Figure


class Layers:
    """Figure painted in layers: what never changes, then frames (axes with their scales), then live artists.

    Cells are small patches beside these, each repainted by itself when it is stale.

    Parameters
    ----------
    figure : Figure
        With its canvas; one that cannot be painted in parts is drawn whole each time.
    frames : sequence of Artist
        Repainted when the limits of their axes change.
    live : sequence of Artist
        Repainted every time, in this order.
    cells : mapping of str to sequence of Artist
        By name; the first artist of each covers what was painted before.
    """

    def __init__(
        self,
        figure: Figure,
        frames: Sequence[Artist],
        live: Sequence[Artist],
        cells: Mapping[str, Sequence[Artist]] | None = None,
    ) -> None:
        self.figure, self.frames, self.live, self.cells = figure, list(frames), list(live), dict(cells or {})
        self._axes = list({id(part.axes): part.axes for part in self.frames if part.axes is not None}.values())
        self._bottom: Any = None
        self._middle: Any = None
        self._kept: dict[str, Any] = {}
        self._limits: list[tuple[float, ...]] = []
        self._canvas = figure.canvas
        self.quick = bool(getattr(figure.canvas, "supports_blit", False))
        if self.quick:
            for part in (*self.frames, *self.live, *(part for cell in self.cells.values() for part in cell)):
                part.set_animated(True)
            figure.canvas.mpl_connect("draw_event", self._drawn)

    def paint(self, stale: Iterable[str] = ()) -> None:
        """Bring the figure up to date.

        Parameters
        ----------
        stale : iterable of str
            Cells that have changed.
        """
        canvas: Any = self.figure.canvas
        if self.quick and canvas is not self._canvas:  # a timer still runs while the window closes
            return
        if not self.quick or self._bottom is None:
            canvas.draw()
            return
        names = list(stale)
        if self._limits == self._scales():
            canvas.restore_region(self._middle)
            for name in names:
                self._lay_cell(canvas, name)
            if names:
                self._middle = canvas.copy_from_bbox(self.figure.bbox)
        else:
            canvas.restore_region(self._bottom)
            for name in self.cells:
                if name in names:
                    self._lay_cell(canvas, name)
                else:
                    canvas.restore_region(self._kept[name])
            self._lay_frames(canvas)
        self._lay_live(canvas)

    def whole(self) -> None:
        """Draw the whole figure again at the next `paint`."""
        self._bottom = None

    def _drawn(self, _: Any) -> None:
        """Keep what the canvas has drawn as the bottom layer, and paint the others on it."""
        canvas: Any = self.figure.canvas
        if canvas.is_saving():
            return
        self._bottom = canvas.copy_from_bbox(self.figure.bbox)
        for name in self.cells:
            self._lay_cell(canvas, name)
        self._lay_frames(canvas)
        self._lay_live(canvas)

    def _lay_cell(self, canvas: Any, name: str) -> None:
        """Paint one cell and keep its pixels."""
        cover, *parts = self.cells[name]
        for part in (cover, *parts):
            self.figure.draw_artist(part)
        self._kept[name] = canvas.copy_from_bbox(cover.get_window_extent())

    def _scales(self) -> list[tuple[float, ...]]:
        return [(*ax.get_xlim(), *ax.get_ylim()) for ax in self._axes]

    def _lay_frames(self, canvas: Any) -> None:
        for part in self.frames:
            self.figure.draw_artist(part)
        self._middle, self._limits = canvas.copy_from_bbox(self.figure.bbox), self._scales()

    def _lay_live(self, canvas: Any) -> None:
        for part in self.live:
            self.figure.draw_artist(part)
        canvas.blit(self.figure.bbox)
