"""Text that changes at every turn of a knob: lines assembled from letters that are drawn once and kept.

Drawing a line of text takes the canvas one or two milliseconds, and the explorer has thirty lines.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.colors import to_rgb
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

Ink = npt.NDArray[np.uint8]


class Letter(NamedTuple):
    """One drawn letter: its ink, with `EDGE` clear pixels before its origin, and the advance to the next one [px]."""

    ink: Ink
    advance: float


EDGE = 2

# Where a line is held: parts of its length, and of its height with the room above and below its letters.
ALONG = {"left": 0.0, "center": 0.5, "right": 1.0}

UP = {"bottom": 0.12, "center": 0.5, "top": 0.88}

LETTERS = "".join(chr(i) for i in range(32, 127)) + "°·"


class QuickText(Text):
    """One horizontal line of text; on a canvas that is not made of pixels it is drawn as plain text."""

    on_paper = False
    """Whether it covers what lies under it with white."""

    def ready(self) -> None:
        """Draw the usual letters before they are needed."""
        figure = self.get_figure(root=True)
        if figure is not None:
            font = self._font(figure.dpi)
            for letter in LETTERS:
                _letter(letter, *font)

    def _font(self, dpi: float) -> tuple[float, float, str, str]:
        return float(self.get_fontsize()), float(dpi), str(self.get_fontweight()), str(self.get_fontstyle())

    def draw(self, renderer: Any) -> None:
        """Draw the line.

        Parameters
        ----------
        renderer : renderer
            Of the canvas.
        """
        if not isinstance(renderer, RendererAgg):
            super().draw(renderer)
            return
        text = self.get_text()
        if not self.get_visible() or not text:
            return
        ink = line(text, *self._font(renderer.dpi))
        x, y = self.get_transform().transform(self.get_position())
        left = x - ALONG.get(self.get_horizontalalignment(), 0.0) * (ink.shape[1] - 2 * EDGE) - EDGE
        base = y - UP.get(self.get_verticalalignment(), 0.5) * ink.shape[0]
        image = np.empty((*ink.shape, 4), np.uint8)
        image[..., :3] = np.round(255 * np.array(to_rgb(self.get_color())))
        image[..., 3] = ink
        if self.on_paper:
            image = _on_white(image)
        pen = renderer.new_gc()
        renderer.draw_image(pen, round(left), round(base), image[::-1])
        pen.restore()


def _on_white(image: Ink) -> Ink:
    """Image with its transparent pixels blended onto white."""
    clear = 1 - image[..., 3:] / 255
    found = np.full_like(image, 255)
    found[..., :3] = np.round(image[..., :3] * (1 - clear) + 255 * clear)
    return found


def line(text: str, size: float, dpi: float, weight: str, style: str) -> Ink:
    """Ink of a line of text, assembled from its letters.

    Parameters
    ----------
    text : str
    size : float
        [pt].
    dpi : float
    weight, style : str
        Of the font.

    Returns
    -------
    array, shape (height, width)
        0 clear to 255 full, top row first.

    Examples
    --------
    >>> bool(line("9.8 N", 8.5, 100, "bold", "normal").max() > 200)
    True
    """
    letters = [_letter(letter, size, dpi, weight, style) for letter in text]
    at = np.concatenate([[0.0], np.cumsum([letter.advance for letter in letters])])
    ends = [round(x) + letter.ink.shape[1] for x, letter in zip(at[:-1], letters, strict=True)]
    found = np.zeros((letters[0].ink.shape[0], max(ends)), np.uint8)
    for x, end, letter in zip(at[:-1], ends, letters, strict=True):
        part = found[:, round(x) : end]
        np.maximum(part, letter.ink, out=part)
    return found


@lru_cache(maxsize=4096)
def _letter(letter: str, size: float, dpi: float, weight: str, style: str) -> Letter:
    known: dict[str, Any] = {"family": "DejaVu Sans", "size": size, "weight": weight, "style": style}
    font = FontProperties(**known)
    tall = int(np.ceil(1.7 * size * dpi / 72))
    canvas: Any = RendererAgg
    sheet = canvas(3 * tall, tall, dpi)
    wide = [sheet.get_text_width_height_descent(words, font, False)[0] for words in (f"H{letter}H", "HH")]
    pen = sheet.new_gc()
    sheet.draw_text(pen, EDGE, round(0.72 * tall), letter, font, 0)
    ink = np.array(sheet.buffer_rgba())[..., 3]
    return Letter(ink[:, : int(np.ceil(wide[0] - wide[1])) + 2 * EDGE + 1], wide[0] - wide[1])
