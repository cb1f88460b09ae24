"""The explorer opened on a build, and what its drawings hold."""

from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from detentsim.show.explorer.views.feel_view import FeelView
from detentsim.show.explorer.views.quick_text import QuickText, line
from detentsim.show.explorer.window import Window


class Sheet(FigureCanvasAgg):
    """A canvas that can be painted in parts and that nobody watches."""

    def blit(self, bbox=None):
        pass

    def draw_idle(self):
        """Drawn when a test asks; a window would do it when it is idle."""


def middle(ax):
    return ax.bbox.x0 + ax.bbox.width / 2, ax.bbox.y0 + ax.bbox.height / 2


def feel_of(turns, now=None):
    view = FeelView(Figure(figsize=(6, 4)).add_axes((0.1, 0.1, 0.85, 0.8)), turns.start)
    view.show(now or turns.now)
    return view


SIZES = {"small": (6.4, 4.8), "as it opens": (11, 7.2), "flat": (16, 5), "large": (17, 10)}


def window(turns, size="as it opens", save_as="x-turned.toml"):
    figure = Figure(figsize=SIZES[size], dpi=100)
    Sheet(figure)
    opened = Window(figure, turns, save_as and Path(save_as))
    figure.canvas.draw()
    return opened


def pixels(opened):
    return np.array(opened.board.figure.canvas.buffer_rgba())


def extents(opened):
    """Boxes of all words in the window, by what they say."""
    board = opened.board
    renderer = board.figure.canvas.get_renderer()
    found = []
    texts = {id(text): text for text in board.figure.findobj(Text) if text.get_visible() and text.get_text()}
    for text in texts.values():
        if isinstance(text, QuickText):
            font = text.get_fontsize(), board.figure.dpi, text.get_fontweight(), text.get_fontstyle()
            wide = line(text.get_text(), *font).shape[1] - 4
            x, y = text.get_transform().transform(text.get_position())
            x -= {"left": 0, "center": 0.5, "right": 1}[text.get_horizontalalignment()] * wide
            tall = 0.7 * text.get_fontsize() * board.figure.dpi / 72
            y -= {"bottom": 0, "center": 0.5, "top": 1}[text.get_verticalalignment()] * tall
            found.append((text.get_text(), Bbox.from_bounds(x, y, wide, tall)))
        else:
            found.append((text.get_text(), text.get_window_extent(renderer).padded(-1)))
    return found


def rest(opened):
    """Have the knobs rest: every result is known and shown."""
    opened.turns.settle()
    opened.settle()
