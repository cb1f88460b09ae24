"""What the explorer's window is made of and where it all stands: drawings, words, knobs and buttons.

Every word and knob that changes has a cell of its own, so that it can be repainted by itself. Places are pixels,
counted in lines of text, and are found anew when the window changes its size.
"""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.widgets import Button, Slider

from detentsim.show.explorer.dimple_view import DimpleView
from detentsim.show.explorer.feel_view import FeelView
from detentsim.show.explorer.layers import Layers
from detentsim.show.explorer.quick_text import QuickText
from detentsim.show.explorer.report import TO_START, UNDO, headlines, sentences
from detentsim.show.theme.style import INK, OPENING, drawable, look

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.artist import Artist

    from detentsim.analysis.explore.knobs import Knob
    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.session import Session

WIDTH, HEIGHT = 1100, 720
"""Size of a window as it opens [px at 100 dpi]."""

SMALLEST = 720, 520
"""What a window is laid out for at least; a smaller one shows a part."""

# Lines that have room for sentences.
LINES = 6

# Text [pt] in a window of the opening size, and how far it goes with others.
TEXT, LEAST, GREATEST = 8.5, 0.85, 1.6

# Height of a line in such a window, margins, and how far a knob's handle stands out of its track [px at 100 dpi].
LINE, MARGIN, HANDLE = 17.0, 10.0, 10.0

# Of the table of results: where its columns begin, from its left end, and how wide it is [lines].
TABLE, WIDE = (0.0, 7.8, 13.4), 20.2

COLUMNS = ("now", "since the start")


class Board:
    """Everything in the window, with its places.

    Parameters
    ----------
    figure : Figure
        Empty, with its canvas.
    turns : Turns
    buttons : sequence of str
        Their words.

    Attributes
    ----------
    feel, dimple : FeelView, DimpleView
    sliders : dict of str to Slider
        By the knob's name; they paint nothing themselves.
    buttons : list of Button
    layers : Layers
    """

    def __init__(self, figure: Figure, turns: Session, buttons: Sequence[str]) -> None:
        self.figure = figure
        self._texts: list[QuickText] = []
        self._cells: dict[str, tuple[Rectangle, *tuple[Artist, ...]]] = {}
        self._stale: set[str] = set()
        with look():
            self._feel_at, self._dimple_at = figure.add_axes((0, 0, 1, 1)), figure.add_axes((0, 0, 1, 1))
            self.feel = FeelView(self._feel_at, turns.start)
            self.dimple = DimpleView(self._dimple_at, turns.start, turns.first.hand == "left")
            self._make_words(turns)
            self.sliders: dict[str, Slider] = {}
            self._values: dict[str, QuickText] = {}
            self._stops: dict[str, list[str]] = {}
            for knob in turns.knobs:
                self._make_knob(knob, turns.places[knob.name])
            self.buttons = [self._button(words) for words in buttons]
        frames, live = (*self.feel.frame, *self.dimple.frame), (*self.feel.live, *self.dimple.live)
        self.layers = Layers(figure, frames, live, self._cells)
        self.arrange(turns.now)

    def _cell(self, name: str, *parts: Artist) -> None:
        """A patch of the figure that is repainted by itself."""
        cover = Rectangle((0, 0), 1, 1, fc="white", lw=0, transform=None, antialiased=False, zorder=-1)
        self.figure.add_artist(cover)
        self._cells[name] = (cover, *parts)

    def _cover(self, name: str, left: float, base: float, width: float, height: float) -> None:
        """Give a cell its place, in whole pixels."""
        self._cells[name][0].set_bounds(round(left), round(base), round(width), round(height))

    def _text(self, words: str = "", **style: Any) -> QuickText:
        text = QuickText(0, 0, words, transform=None, parse_math=False, va="center", **style)
        self.figure.add_artist(text)
        self._texts.append(text)
        return text

    def _make_words(self, turns: Session) -> None:
        title = drawable(turns.first.name, 80) + (" (demo)" if turns.first.demo else "")
        self._title = self._text(title, weight="bold")
        self._columns = [self._text(words, style="italic") for words in COLUMNS]
        self._heads: list[tuple[QuickText, QuickText, QuickText]] = []
        for i, head in enumerate(headlines(turns.now, turns.start)):
            row = self._text(head.name), self._text(weight="bold"), self._text()
            self._cell(f"now {i}", row[1])
            self._cell(f"change {i}", row[2])
            self._heads.append(row)
        self._notes = [self._text() for _ in range(LINES)]
        for i, note in enumerate(self._notes):
            self._cell(f"note {i}", note)
        self._status = self._text(style="italic")
        self._cell("status", self._status)

    def _make_knob(self, knob: Knob, place: int) -> None:
        ax = self.figure.add_axes((0, 0, 1, 1), label=knob.name)
        style: dict[str, Any] = {"color": OPENING, "alpha": 0.35, "track_color": "#e4e4e8", "initcolor": INK}
        style |= {"valinit": knob.start, "valstep": 1, "valfmt": "%d"}
        slider = Slider(ax, knob.label, 0, len(knob.stops) - 1, **style)
        slider.drawon = False  # the layers paint
        slider.set_val(place)
        self._stops[knob.name] = [drawable(stop.text, 16) for stop in knob.stops]
        slider.label.set_parse_math(False)
        slider.valtext.set_visible(False)
        self.sliders[knob.name] = slider
        self._values[knob.name] = self._text(self._stops[knob.name][place])
        self._cell(knob.name, slider.track, slider.poly, *ax.lines, self._values[knob.name])

    def _button(self, words: str) -> Button:
        button = Button(self.figure.add_axes((0, 0, 1, 1), label=words), words, color="#ececf0", hovercolor="#d9d9e2")
        button.label.set_parse_math(False)
        button.ax.spines[:].set_visible(False)
        return button

    def show(self, now: Look) -> None:
        """Draw what the build does now, and each knob where it stands.

        Parameters
        ----------
        now : Look
        """
        self.feel.show(now)
        self.dimple.show(now)
        for name, slider in self.sliders.items():
            self._set(name, self._values[name], self._stops[name][int(slider.val)])

    def say(self, rows: Sequence[tuple[str, str, str]], words: Sequence[str]) -> None:
        """Write the results and the sentences; what has no room is counted.

        Parameters
        ----------
        rows : sequence of (name, now, change)
        words : sequence of str
        """
        for i, ((_, value, change), (_, is_now, has_changed)) in enumerate(zip(self._heads, rows, strict=True)):
            self._set(f"now {i}", value, is_now)
            self._set(f"change {i}", change, has_changed)
        lines = [line for sentence in words for line in textwrap.wrap(sentence, self._letters)]
        if len(lines) > LINES:
            lines = [*lines[: LINES - 1], f"... and {len(lines) - LINES + 1} lines more: detentsim curve tells all"]
        for i, note in enumerate(self._notes):
            self._set(f"note {i}", note, lines[i] if i < len(lines) else "")

    def tell(self, words: str) -> None:
        """Write one line beside the buttons.

        Parameters
        ----------
        words : str
        """
        left = self._status.get_position()[0]
        self._set("status", self._status, words, int(self._letters * (1 - left / self._width)) - 2)

    def _set(self, cell: str, text: QuickText, words: str, letters: int = 0) -> None:
        words = drawable(words, letters or self._letters) if words else ""
        if text.get_text() != words:
            text.set_text(words)
            self._stale.add(cell)

    def paint(self) -> None:
        """Bring the window up to date."""
        self.layers.paint(self._stale)
        self._stale.clear()

    def arrange(self, now: Look) -> None:
        """Give everything its place for the window's size.

        Parameters
        ----------
        now : Look
            What the drawings show.
        """
        dots = self.figure.dpi / 100
        self._width, self._height = (max(a, b * dots) for a, b in zip(self.figure.bbox.size, SMALLEST, strict=True))
        full = self._width / (WIDTH * dots), self._height / (HEIGHT * dots)
        scale = float(np.clip(min(full), LEAST, GREATEST))
        self._line, size = LINE * scale * dots, TEXT * scale
        self._margin, self._handle = MARGIN * dots, HANDLE * dots
        self._letters = max(int(self._width / (0.58 * size * self.figure.dpi / 72)) - 4, 30)
        for text in self._texts:
            text.set_fontsize(size)
            text.ready()
        self._place_buttons(size)
        top = self._place_notes(self._place_knobs(size))
        left = self._place_table()
        self._place_views(left, top, size)
        self.show(now)

    def _put(self, ax: Any, left: float, base: float, width: float, height: float) -> None:
        """Place axes."""
        wide, tall = self.figure.bbox.size
        ax.set_position((left / wide, base / tall, max(width, 1) / wide, max(height, 1) / tall))

    def rename(self, place: int, words: str) -> None:
        """Give a button other words; it is as wide as it was.

        Parameters
        ----------
        place : int
            Of the button, from the left.
        words : str
        """
        self.buttons[place].label.set_text(words)
        self.layers.whole()

    def _place_buttons(self, size: float) -> None:
        """Side by side at the bottom, each as wide as its words, and the status after them."""
        left, tall = self._margin, 1.5 * self._line
        for button in self.buttons:
            button.label.set_fontsize(size)
            wide = (0.45 * len(button.label.get_text()) + 1.6) * self._line
            self._put(button.ax, left, self._margin, wide, tall)
            left += wide + self._margin
        self._status.set_position((left, self._margin + tall / 2))
        self._cover("status", left, self._margin, self._width - left, tall)

    def _place_knobs(self, size: float) -> float:
        """Two columns over the buttons; returns where they end."""
        rows = -(-len(self.sliders) // 2)
        tall = float(np.clip(0.34 * self._height / rows, 1.25 * self._line, 1.7 * self._line))
        top = self._margin + 2.1 * self._line + rows * tall
        words, value = 8.0 * self._line, 4.6 * self._line
        track = self._width / 2 - words - value - 2 * self._margin
        for i, (name, slider) in enumerate(self.sliders.items()):
            column, row = divmod(i, rows)
            left, base = self._margin + column * self._width / 2 + words, top - (row + 1) * tall
            self._put(slider.ax, left, base + 0.1 * tall, track, 0.8 * tall)
            slider.label.set(position=(-1.2 * self._handle / max(track, 1), 0.5), fontsize=size)
            self._values[name].set_position((left + track + 1.2 * self._handle, base + tall / 2))
            self._cover(name, left - self._handle, base, track + value + self._handle, tall)
        return top

    def _place_notes(self, base: float) -> float:
        """Sentences over the knobs; returns where they end."""
        for i, note in enumerate(self._notes):
            y = base + (LINES - i - 0.3) * self._line
            note.set_position((self._margin, y))
            self._cover(f"note {i}", 0, y - self._line / 2, self._width, self._line)
        return base + (LINES + 0.5) * self._line

    def _place_table(self) -> float:
        """Results in the upper right corner; returns where they begin."""
        line = self._line
        left = self._width - WIDE * line
        at = [left + x * line for x in TABLE]
        self._title.set_position((self._margin, self._height - 0.8 * line))
        for head, x in zip(self._columns, at[1:], strict=True):
            head.set_position((x, self._height - 1.9 * line))
        for i, texts in enumerate(self._heads):
            y = self._height - (3.2 + 1.15 * i) * line
            for text, x in zip(texts, at, strict=True):
                text.set_position((x, y))
            for name, x, end in zip(("now", "change"), at[1:], (at[2], self._width), strict=True):
                self._cover(f"{name} {i}", x - 2, y - line / 2, end - x, line)
        return left

    def _place_views(self, right: float, base: float, size: float) -> None:
        """Both drawings in what is left."""
        line, room, top = self._line, right - self._margin, self._height - 2.8 * self._line
        feel, low = 0.6 * room, base + 2.6 * line
        self._put(self._feel_at, self._margin + 3.2 * line, low, feel - 3.6 * line, top - low)
        low = base + 0.6 * line
        self._put(self._dimple_at, self._margin + feel + line, low, room - feel - 2 * line, top - low)
        self.feel.resize(size)
        self.dimple.resize(size)


def explore_figure(turns: Session, path: str | Path) -> Figure:
    """The window as it opens, to be saved as a file.

    Parameters
    ----------
    turns : Turns
    path : str or Path
        Where to; its places are pixels, and how many make an inch depends on the kind of file.

    Returns
    -------
    Figure
        Of no window.
    """
    with look():
        dpi = float(matplotlib.rcParams["savefig.dpi"]) if Path(path).suffix.lower() == ".png" else 72.0
    figure = Figure(figsize=(WIDTH / 100, HEIGHT / 100), dpi=dpi, facecolor="white")
    board = Board(figure, turns, (UNDO, TO_START, "Save"))
    board.say(headlines(turns.now, turns.start), sentences(turns.now))
    return figure
