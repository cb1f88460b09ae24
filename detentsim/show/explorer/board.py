"""Drawings, texts, knobs and buttons of the explorer's window.

Every text and knob that changes has a cell of its own, so that it can be repainted by itself. `places` arranges them.
"""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.widgets import Button, Slider

from detentsim.show.explorer.places import HEIGHT, LABEL, WIDTH, place_all, sizes_of
from detentsim.show.explorer.play import PLAY
from detentsim.show.explorer.report import TO_START, UNDO, headlines, sentences
from detentsim.show.explorer.tips import knob_tip, result_tip
from detentsim.show.explorer.views.dimple_view import DimpleView
from detentsim.show.explorer.views.feel_view import FeelView
from detentsim.show.explorer.views.layers import Layers
from detentsim.show.explorer.views.marks import MARKED, Marks
from detentsim.show.explorer.views.quick_text import QuickText
from detentsim.show.explorer.views.tip import Tip
from detentsim.show.theme.style import INK, OPENING, drawable, figure_style

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from matplotlib.artist import Artist

    from detentsim.analysis.explore.knobs import Knob
    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.riding import Riding
    from detentsim.analysis.explore.session import Session

# Lines that have room for sentences, and what stands over the results.
LINES, COLUMNS = 6, ("now", "since the start")


class Board:
    """Contents of the explorer's window: both drawings, results, sentences, knobs and buttons.

    Parameters
    ----------
    figure : Figure
        Empty, with its canvas.
    turns : Session
    buttons : sequence of str
        What stands on them.

    Attributes
    ----------
    feel, dimple : FeelView, DimpleView
    sliders : dict of str to Slider
        By the knob's name; they paint nothing themselves.
    buttons : list of Button
    """

    def __init__(self, figure: Figure, turns: Session, buttons: Sequence[str]) -> None:
        self.figure = figure
        self._texts: list[QuickText] = []
        self._cells: dict[str, tuple[Rectangle, *tuple[Artist, ...]]] = {}
        self._stale: set[str] = set()
        self._told = ""
        with figure_style():
            self.feel_at, self.dimple_at = figure.add_axes((0, 0, 1, 1)), figure.add_axes((0, 0, 1, 1))
            self.feel = FeelView(self.feel_at, turns.start)
            self.dimple = DimpleView(self.dimple_at, turns.start, turns.first.hand == "left")
            self._make_words(turns)
            self.sliders: dict[str, Slider] = {}
            self.values: dict[str, QuickText] = {}
            self._stops: dict[str, list[str]] = {}
            self.marks: dict[str, Marks] = {}
            for knob in turns.knobs:
                self._make_knob(knob, turns.places[knob.name])
            self.buttons = [self._button(words) for words in buttons]
        self.tip = Tip(figure)
        frames = (*self.feel.frame, *self.dimple.frame)
        live = (*self.feel.live, *self.dimple.live, *self.tip.live)
        self.layers = Layers(figure, frames, live, self._cells)
        self.arrange(turns.now, turns.riding)
        self.mark(turns.met)

    def _cell(self, name: str, *parts: Artist) -> None:
        """Register artists that are repainted together, on a white patch of their own."""
        cover = Rectangle((0, 0), 1, 1, fc="white", lw=0, transform=None, antialiased=False, zorder=-1)
        self.figure.add_artist(cover)
        self._cells[name] = (cover, *parts)

    def cover(self, name: str, left: float, base: float, width: float, height: float) -> None:
        """Set the place of a cell, rounded to whole pixels.

        Parameters
        ----------
        name : str
        left, base, width, height : float
            In the figure [px].
        """
        self._cells[name][0].set_bounds(round(left), round(base), round(width), round(height))

    def _text(self, words: str = "", **style: Any) -> QuickText:
        text = QuickText(0, 0, words, transform=None, parse_math=False, va="center", **style)
        self.figure.add_artist(text)
        self._texts.append(text)
        return text

    def _make_words(self, turns: Session) -> None:
        title = drawable(turns.first.name, 80) + (" (demo)" if turns.first.demo else "")
        self.title = self._text(title, weight="bold")
        self.columns = [self._text(words, style="italic") for words in COLUMNS]
        self.heads: list[tuple[QuickText, QuickText, QuickText]] = []
        for i, head in enumerate(headlines(turns.now, turns.start)):
            row = self._text(head.name), self._text(weight="bold"), self._text()
            self._cell(f"now {i}", row[1])
            self._cell(f"change {i}", row[2])
            self.heads.append(row)
        self.notes = [self._text() for _ in range(LINES)]
        for i, note in enumerate(self.notes):
            self._cell(f"note {i}", note)
        self.status = self._text(style="italic")
        self._cell("status", self.status)

    def _make_knob(self, knob: Knob, place: int) -> None:
        ax = self.figure.add_axes((0, 0, 1, 1), label=knob.name)
        style: dict[str, Any] = {"color": OPENING, "alpha": 0.35, "track_color": "#e4e4e8", "initcolor": INK}
        style |= {"valinit": knob.start, "valstep": 1, "valfmt": "%d"}
        last = max(len(knob.stops) - 1, 0.4)  # an axis needs a length; a knob with one setting stays at it
        slider = Slider(ax, knob.label, 0, last, **style)
        slider.drawon = False  # the layers paint
        slider.set_val(place)
        self._stops[knob.name] = [drawable(stop.text, 16) for stop in knob.stops]
        slider.label.set_parse_math(False)
        slider.valtext.set_visible(False)
        self.sliders[knob.name] = slider
        self.values[knob.name] = self._text(self._stops[knob.name][place])
        marks = self.marks[knob.name] = Marks(ax, last)
        self._cell(knob.name, slider.track, slider.poly, marks, *ax.lines, self.values[knob.name])

    def _button(self, words: str) -> Button:
        button = Button(self.figure.add_axes((0, 0, 1, 1), label=words), words, color="#ececf0", hovercolor="#d9d9e2")
        button.label.set_parse_math(False)
        button.ax.spines[:].set_visible(False)
        return button

    def show(self, now: Look, at: Riding | None) -> None:
        """Draw the present setting, and each knob's value.

        Parameters
        ----------
        now : Look
        at : Riding or None
            Where the blade stands.
        """
        self.feel.show(now, at)
        self.dimple.show(now, at)
        for name, slider in self.sliders.items():
            self._set(name, self.values[name], self._stops[name][int(slider.val)])

    def swing(self, now: Look, at: Riding | None) -> None:
        """Draw another blade angle of the present setting.

        Parameters
        ----------
        now : Look
        at : Riding or None
        """
        self.feel.swing(at)
        self.dimple.show(now, at)

    def mark(self, met: Mapping[str, Sequence[bool]]) -> None:
        """Mark on each knob's track the stops that are inside the target.

        Parameters
        ----------
        met : mapping of str to sequence of bool
            By name; a knob that is absent is not marked.
        """
        self._stale |= {name for name, marks in self.marks.items() if marks.show(met.get(name, ()))}

    def point(self, x: float, y: float) -> bool:
        """Show the tip for what lies under the mouse; true where it is another than before.

        Parameters
        ----------
        x, y : float
            In the figure [px].
        """
        return self.tip.show(self._tip_at(x, y), x, y)

    def _tip_at(self, x: float, y: float) -> str:
        for i, (head, *_) in enumerate(self.heads):
            left, height = head.get_position()
            if x >= left and abs(y - height) <= 0.55 * self.sizes.line:
                return result_tip(i)
        for name, slider in self.sliders.items():
            box = slider.ax.bbox
            if box.x0 - LABEL * self.sizes.line <= x < box.x0 - self.sizes.handle and box.y0 <= y <= box.y1:
                return knob_tip(name)
        return ""

    def say(self, rows: Sequence[tuple[str, str, str]], words: Sequence[str]) -> None:
        """Write the results and the sentences; where lines do not fit, the last one says how many are left out.

        Parameters
        ----------
        rows : sequence of (name, now, change)
        words : sequence of str
        """
        for i, ((_, value, change), (_, is_now, has_changed)) in enumerate(zip(self.heads, rows, strict=True)):
            self._set(f"now {i}", value, is_now)
            self._set(f"change {i}", change, has_changed)
        lines = [
            line for sentence in words for line in textwrap.wrap(sentence, self.sizes.letters, break_on_hyphens=False)
        ]
        if len(lines) > LINES:
            lines = [*lines[: LINES - 1], f"... and {len(lines) - LINES + 1} lines more: detentsim curve lists all"]
        for i, note in enumerate(self.notes):
            self._set(f"note {i}", note, lines[i] if i < len(lines) else "")

    def tell(self, words: str) -> None:
        """Write one line beside the buttons.

        Parameters
        ----------
        words : str
        """
        self._told = words
        left = self.status.get_position()[0]
        self._set("status", self.status, words, int(self.sizes.letters * (1 - left / self.sizes.width)) - 2)

    def _set(self, cell: str, text: QuickText, words: str, letters: int = 0) -> None:
        words = drawable(words, letters or self.sizes.letters) if words else ""
        if text.get_text() != words:
            text.set_text(words)
            self._stale.add(cell)

    def paint(self) -> None:
        """Bring the window up to date."""
        self.layers.paint(self._stale)
        self._stale.clear()

    def arrange(self, now: Look, at: Riding | None) -> None:
        """Place everything for the window's present size.

        Parameters
        ----------
        now : Look
            What the drawings show.
        at : Riding or None
            Where the blade stands.
        """
        self.sizes = sizes_of(self.figure)
        for text in self._texts:
            text.set_fontsize(self.sizes.text)
            text.ready()
        self.tip.resize(self.sizes.text)
        place_all(self)
        self.show(now, at)
        self.tell(self._told)

    def rename(self, place: int, words: str) -> None:
        """Change the words on a button; its width stays.

        Parameters
        ----------
        place : int
            Index of the button, from the left.
        words : str
        """
        self.buttons[place].label.set_text(words)
        self.layers.whole()


def explore_figure(turns: Session, path: str | Path, dpi: float | None = None) -> Figure:
    """The window as it stands, to be saved as a file.

    Parameters
    ----------
    turns : Session
    path : str or Path
        File that the figure is for.
    dpi : float, optional
        Pixels to an inch; by default as the file's ending asks for.

    Returns
    -------
    Figure
        Of no window.
    """
    with figure_style():
        sharp = float(matplotlib.rcParams["savefig.dpi"]) if Path(path).suffix.lower() == ".png" else 72.0
    figure = Figure(figsize=(WIDTH / 100, HEIGHT / 100), dpi=dpi or sharp, facecolor="white")
    board = Board(figure, turns, (UNDO, TO_START, "Save", PLAY))
    board.say(headlines(turns.now, turns.start), sentences(turns.now))
    board.tell(MARKED if turns.met else "")
    return figure
