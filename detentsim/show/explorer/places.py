"""Layout of the explorer's window in pixels, from the height of a line of text; computed again at each resize."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.show.explorer.views.dimple_view import WORDS

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from detentsim.show.explorer.board import Board

WIDTH, HEIGHT = 1100, 720
"""Size of a window as it opens [px at 100 dpi]."""

SMALLEST = 640, 480
"""Least size that a window is laid out for, and is held to where its toolkit can [px at 100 dpi]."""

# Text [pt] in a window of the opening size, and the least and greatest factor by which it follows the window's size.
TEXT, LEAST, GREATEST = 8.5, 0.8, 1.6

# Height of a line in such a window, margins, and how far a knob's handle stands out of its track [px at 100 dpi].
LINE, MARGIN, HANDLE = 17.0, 10.0, 10.0

LABEL = 8.0
"""Width of a knob's label [lines]."""

# Room for a knob's value [lines].
VALUE = 4.6

# Columns of knobs: as many as have so much room each, between these numbers [lines].
COLUMN, FEWEST, MOST = 38.0, 2, 4

# Heights of buttons, of the space over the sentences, of a row of results and of what stands over them [lines].
BUTTONS, SPACE, ROW, HEAD = 2.1, 0.5, 1.15, 3.2

# Of the table of results: where its columns begin, from its left end, and how wide it is [lines].
TABLE, WIDE = (0.0, 7.3, 12.8), 19.4


class Sizes(NamedTuple):
    """Measures that follow from a window's size, in pixels; `text` in points, `letters` a count."""

    width: float
    height: float
    line: float
    text: float
    margin: float
    handle: float
    letters: int


def sizes_of(figure: Figure) -> Sizes:
    """Compute line height, text size and margins for a window's present size.

    Parameters
    ----------
    figure : Figure

    Returns
    -------
    Sizes
        With `letters` that fit on a line across the window.
    """
    dots = figure.dpi / 100
    width, height = (max(a, b * dots) for a, b in zip(figure.bbox.size, SMALLEST, strict=True))
    full = width / (WIDTH * dots), height / (HEIGHT * dots)
    scale = float(np.clip(min(full), LEAST, GREATEST))
    text = TEXT * scale
    letters = max(int(width / (0.58 * text * figure.dpi / 72)) - 4, 30)
    return Sizes(width, height, LINE * scale * dots, text, MARGIN * dots, HANDLE * dots, letters)


def place_all(board: Board) -> None:
    """Place buttons, knobs, sentences, table and drawings of a board, from the bottom up.

    Parameters
    ----------
    board : Board
        With its `sizes`.
    """
    _place_buttons(board, board.sizes)
    top = _place_notes(board, board.sizes, _place_knobs(board, board.sizes))
    left = _place_table(board, board.sizes)
    _place_views(board, board.sizes, left, top)


def _put(ax: Axes, left: float, base: float, width: float, height: float) -> None:
    """Place axes [px]."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    wide, tall = figure.bbox.size
    ax.set_position((left / wide, base / tall, max(width, 1) / wide, max(height, 1) / tall))


def _place_buttons(board: Board, sizes: Sizes) -> None:
    """Place the buttons side by side at the bottom, each as wide as its words, and the status line after them."""
    left, tall = sizes.margin, 1.5 * sizes.line
    for button in board.buttons:
        button.label.set_fontsize(sizes.text)
        wide = (0.45 * len(button.label.get_text()) + 1.6) * sizes.line
        _put(button.ax, left, sizes.margin, wide, tall)
        left += wide + sizes.margin
    board.status.set_position((left, sizes.margin + tall / 2))
    board.cover("status", left, sizes.margin, sizes.width - left, tall)


def _place_knobs(board: Board, sizes: Sizes) -> float:
    """Place the knobs in columns over the buttons; return the height at which they end [px]."""
    line = sizes.line
    columns = int(np.clip(sizes.width // (COLUMN * line), FEWEST, MOST))
    rows, half = -(-len(board.sliders) // columns), sizes.width / columns
    results = HEAD + ROW * len(board.heads)
    left_over = sizes.height - sizes.margin - (BUTTONS + len(board.notes) + SPACE + results) * line
    tall = float(np.clip(min(0.34 * sizes.height, left_over) / rows, 1.2 * line, 1.7 * line))
    top = sizes.margin + BUTTONS * line + rows * tall
    words, value = LABEL * line, VALUE * line
    track = half - words - value - 2 * sizes.margin
    for i, (name, slider) in enumerate(board.sliders.items()):
        column, row = divmod(i, rows)
        left, base = sizes.margin + column * half + words, top - (row + 1) * tall
        _put(slider.ax, left, base + 0.1 * tall, track, 0.8 * tall)
        slider.label.set(position=(-1.2 * sizes.handle / max(track, 1), 0.5), fontsize=sizes.text)
        board.values[name].set_position((left + track + 1.2 * sizes.handle, base + tall / 2))
        board.cover(name, left - sizes.handle, base, track + value + sizes.handle, tall)
    return top


def _place_notes(board: Board, sizes: Sizes, base: float) -> float:
    """Place the sentences over the knobs; return the height at which they end [px]."""
    count = len(board.notes)
    for i, note in enumerate(board.notes):
        y = base + (count - i - 0.3) * sizes.line
        note.set_position((sizes.margin, y))
        board.cover(f"note {i}", 0, y - sizes.line / 2, sizes.width, sizes.line)
    return base + (count + SPACE) * sizes.line


def _place_table(board: Board, sizes: Sizes) -> float:
    """Place the results in the upper right corner; return their left edge [px]."""
    line, height = sizes.line, sizes.height
    left = sizes.width - WIDE * line
    at = [left + x * line for x in TABLE]
    board.title.set_position((sizes.margin, height - 0.8 * line))
    for head, x in zip(board.columns, at[1:], strict=True):
        head.set_position((x, height - 1.9 * line))
    for i, texts in enumerate(board.heads):
        y = height - (HEAD + ROW * i) * line
        for text, x in zip(texts, at, strict=True):
            text.set_position((x, y))
        for name, x, end in zip(("now", "change"), at[1:], (at[2], sizes.width), strict=True):
            board.cover(f"{name} {i}", x - 2, y - line / 2, end - x, line)
    return left


def _place_views(board: Board, sizes: Sizes, right: float, base: float) -> None:
    """Place both drawings in the rest of the window."""
    line, width, top = sizes.line, right - sizes.margin, sizes.height - 2.8 * sizes.line
    feel, low = 0.58 * width, base + 2.6 * line
    _put(board.feel_at, sizes.margin + 3.2 * line, low, feel - 3.6 * line, top - low)
    low = base + (0.6 + 1.1 * WORDS) * line
    _put(board.dimple_at, sizes.margin + feel + line, low, width - feel - 2 * line, top - low)
    board.feel.resize(sizes.text)
    board.dimple.resize(sizes.text)
