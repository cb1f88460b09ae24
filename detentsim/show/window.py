"""The explorer in a desktop window: knobs under the drawings, with matplotlib's own widgets.

Every word and knob has a cell of its own, laid out anew when the window changes its size; a turn repaints the drawings
and the cells that it changed.
"""

from __future__ import annotations

import gc
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.widgets import Button, Slider

from detentsim.analysis.knobs import Knob
from detentsim.analysis.turns import Look, Turns
from detentsim.shop.units import InputError
from detentsim.show.explore_text import headlines, sentences
from detentsim.show.live import DimpleView, FeelView, Layers
from detentsim.show.quick_text import QuickText
from detentsim.show.style import INK, OPENING, drawable, look

WIDTH, HEIGHT = 1100, 720
"""Size of a window as it opens [px at 100 dpi]."""
SMALLEST = 720, 520
"""What a window is laid out for at least; a smaller one shows a part."""
RESTS = 250
"""Time without a turn after which a knob rests [ms]."""
# Sentences that have room.
LINES = 4
# Text [pt] in a window of the opening size, and how far it goes with others.
TEXT, LEAST, GREATEST = 8.5, 0.85, 1.6
# How far a knob's handle stands out of its track at most [px at 100 dpi].
HANDLE = 10.0
COLUMNS = ("now", "since the start")
HINT = "Drag a knob, or point at it and scroll or use the arrow keys."


class Window:
    """The explorer in a figure of any canvas.

    Parameters
    ----------
    figure : Figure
        Empty, with its canvas.
    turns : Turns
    save_as : Path
        What the button saves the build as.

    Attributes
    ----------
    saved : str
        File that was saved last; empty where none was.
    """

    def __init__(self, figure: Figure, turns: Turns, save_as: Path) -> None:
        self.figure, self.turns, self.save_as, self.saved = figure, turns, save_as, ""
        self.texts: list[QuickText] = []
        self._stale: set[str] = set()
        self._mute = False
        with look():
            self._make_views()
            self._make_words()
            self._make_knobs()
            self._make_buttons()
        self.layers = Layers(
            figure,
            [*self.feel.frame, *self.dimple.frame],
            [*self.feel.live, *self.dimple.live],
            {name: (self._covers[name], *parts) for name, parts in self._cells.items()},
        )
        self._arrange()
        self._say(turns.now)
        self._stale.clear()  # the first drawing shows everything
        self._connect()

    def _make_views(self) -> None:
        hand = self.turns.first.hand == "left"
        self._feel_at, self._dimple_at = self.figure.add_axes((0, 0, 1, 1)), self.figure.add_axes((0, 0, 1, 1))
        self.feel = FeelView(self._feel_at, self.turns.start)
        self.dimple = DimpleView(self._dimple_at, self.turns.start, hand)
        self._cells: dict[str, list[Any]] = {}
        self._covers: dict[str, Rectangle] = {}

    def _cell(self, name: str, *parts: Any) -> None:
        """A patch of the figure that is repainted by itself."""
        self._cells[name] = list(parts)
        cover = Rectangle((0, 0), 1, 1, fc="white", lw=0, transform=None, antialiased=False)
        self._covers[name] = self.figure.add_artist(cover)  # type: ignore[assignment]  # what was handed in

    def _cover(self, name: str, left: float, base: float, width: float, height: float) -> None:
        """Give a cell its place, in whole pixels."""
        self._covers[name].set_bounds(round(left), round(base), round(width), round(height))

    def _text(self, **style: Any) -> QuickText:
        text = QuickText(0, 0, "", transform=None, parse_math=False, va="center", **style)
        self.figure.add_artist(text)
        self.texts.append(text)
        return text

    def _make_words(self) -> None:
        title = drawable(self.turns.first.name, 80) + (" (demo)" if self.turns.first.demo else "")
        self.title = self._text(weight="bold")
        self.title.set_text(title)
        self.columns = self._text(style="italic"), self._text(style="italic")
        for text, words in zip(self.columns, COLUMNS, strict=True):
            text.set_text(words)
        self.heads: list[tuple[QuickText, QuickText, QuickText]] = []
        for i, head in enumerate(headlines(self.turns.now, self.turns.start)):
            name, now, change = self._text(), self._text(weight="bold"), self._text()
            name.set_text(head.name)
            self._cell(f"now {i}", now)
            self._cell(f"change {i}", change)
            self.heads.append((name, now, change))
        self.notes = [self._text() for _ in range(LINES)]
        for i, note in enumerate(self.notes):
            self._cell(f"note {i}", note)
        self.status = self._text(style="italic")
        self.status.set_text(HINT)
        self._cell("status", self.status)

    def _make_knobs(self) -> None:
        self.sliders: dict[str, Slider] = {}
        self.values: dict[str, QuickText] = {}
        for knob in self.turns.knobs:
            ax = self.figure.add_axes((0, 0, 1, 1), label=knob.name)
            style: dict[str, Any] = {"color": OPENING, "alpha": 0.35, "track_color": "#e4e4e8", "initcolor": INK}
            style |= {"valinit": knob.start, "valstep": 1, "valfmt": _worded(knob)}
            slider = Slider(ax, knob.label, 0, len(knob.stops) - 1, **style)
            slider.drawon = False  # the layers paint
            slider.label.set_parse_math(False)
            slider.valtext.set_visible(False)
            value = self._text()
            value.set_text(slider.valtext.get_text())
            self.values[knob.name] = value
            slider.on_changed(self._turner(knob.name))
            self.sliders[knob.name] = slider
            self._cell(knob.name, slider.track, slider.poly, *ax.lines, value)

    def _make_buttons(self) -> None:
        self.buttons: dict[str, Button] = {}
        save = f"Save as {drawable(self.save_as.name, 40)}"
        for name, words in (("undo", "Undo"), ("start", "Back to start"), ("save", save)):
            ax = self.figure.add_axes((0, 0, 1, 1), label=name)
            button = Button(ax, words, color="#ececf0", hovercolor="#d9d9e2")
            button.label.set_parse_math(False)
            button.ax.spines[:].set_visible(False)
            self.buttons[name] = button
        self.buttons["undo"].on_clicked(lambda _: self.go(self.turns.undo()))
        self.buttons["start"].on_clicked(lambda _: self.go(self.turns.to_start()))
        self.buttons["save"].on_clicked(lambda _: self.save())

    def _turner(self, name: str) -> Callable[[float], None]:
        return lambda value: None if self._mute else self._show(self.turns.turn(name, int(value)))

    def _connect(self) -> None:
        canvas = self.figure.canvas
        canvas.mpl_connect("resize_event", lambda _: self._arrange())
        canvas.mpl_connect("scroll_event", self._scrolled)
        canvas.mpl_connect("key_press_event", self._pressed)
        self._timer = canvas.new_timer(interval=RESTS)
        self._timer.single_shot = True
        self._timer.add_callback(self.settle)

    def go(self, now: Look) -> None:
        """Show a build that was reached otherwise than by one knob, the knobs put to where it stands.

        Parameters
        ----------
        now : Look
        """
        self._mute = True
        for name, place in self.turns.places.items():
            if self.sliders[name].val != place:
                self.sliders[name].set_val(place)
        self._mute = False
        self._show(now)

    def _show(self, now: Look) -> None:
        self.feel.show(now)
        self.dimple.show(now)
        for name, slider in self.sliders.items():
            self._set(name, self.values[name], slider.valtext.get_text())
        self._say(now)
        self.paint()
        self._timer.stop()
        self._timer.start()

    def settle(self) -> None:
        """Show what takes longer, once the knob rests."""
        self._say(self.turns.settle())
        self.paint()

    def paint(self) -> None:
        """Bring the window up to date."""
        self.layers.paint(self._stale)
        self._stale.clear()

    def save(self) -> None:
        """Save the build as turned, and say so, or why not."""
        try:
            self.saved = str(self.turns.save(self.save_as))
            self._set("status", self.status, f"Saved as {self.saved}")
        except InputError as error:
            self._set("status", self.status, f"Not saved. {error.problem}")
        self.paint()

    def _set(self, cell: str, text: Text, words: str) -> None:
        words = drawable(words, self._letters) if words else ""
        if text.get_text() != words:
            text.set_text(words)
            self._stale.add(cell)

    def _say(self, now: Look) -> None:
        rows = headlines(now, self.turns.start)
        for i, (row, (_, value, change)) in enumerate(zip(rows, self.heads, strict=True)):
            self._set(f"now {i}", value, row.now)
            self._set(f"change {i}", change, row.change)
        lines = [line for words in sentences(now) for line in textwrap.wrap(words, self._letters)]
        if len(lines) > LINES:
            lines = [*lines[: LINES - 1], f"... and {len(lines) - LINES + 1} lines more: see detentsim curve"]
        for i, note in enumerate(self.notes):
            self._set(f"note {i}", note, lines[i] if i < len(lines) else "")

    def _under(self, event: Any) -> str | None:
        """The knob that an event points at."""
        return next((name for name, slider in self.sliders.items() if event.inaxes is slider.ax), None)

    def _scrolled(self, event: Any) -> None:
        name = self._under(event)
        if name is not None:
            self.sliders[name].set_val(self._near(name, int(np.sign(event.step))))

    def _pressed(self, event: Any) -> None:
        name, step = self._under(event), {"left": -1, "down": -1, "right": 1, "up": 1}.get(event.key or "")
        if name is not None and step is not None:
            self.sliders[name].set_val(self._near(name, step))
        elif event.key == "ctrl+z":
            self.go(self.turns.undo())
        elif event.key == "home":
            self.go(self.turns.to_start())
        elif event.key == "ctrl+s":
            self.save()

    def _near(self, name: str, step: int) -> int:
        return int(np.clip(self.sliders[name].val + step, 0, self.sliders[name].valmax))

    def _arrange(self) -> None:
        """Give everything its place for the window's size."""
        dots = self.figure.dpi / 100
        width, height = (max(a, b * dots) for a, b in zip(self.figure.bbox.size, SMALLEST, strict=True))
        scale = float(np.clip(min(width / (WIDTH * dots), height / (HEIGHT * dots)), LEAST, GREATEST))
        line = 17 * scale * dots
        self._letters = max(int(width / (TEXT * scale * self.figure.dpi / 72 * 0.58)) - 4, 30)
        sheet = _Sheet(width, height, line, self.figure)
        for quick in self.texts:
            quick.set_fontsize(TEXT * scale)
            quick.ready()
        self._arrange_knobs(sheet, TEXT * scale)
        self._arrange_words(sheet)
        self._arrange_views(sheet, TEXT * scale)
        self.feel.show(self.turns.now)
        self.dimple.show(self.turns.now)

    def _arrange_knobs(self, sheet: _Sheet, size: float) -> None:
        sheet.button_row(self.buttons, size)
        self.status.set_position((sheet.margin + sheet.taken, sheet.margin + 0.75 * sheet.line))
        left = sheet.margin + sheet.taken
        self._cover("status", left, sheet.margin, sheet.width - left, 1.5 * sheet.line)
        rows = -(-len(self.sliders) // 2)
        sheet.knobs = min(max(0.34 * sheet.height / rows, 1.25 * sheet.line), 1.7 * sheet.line)
        sheet.knobs_top = sheet.margin + 2.1 * sheet.line + rows * sheet.knobs
        for i, (name, slider) in enumerate(self.sliders.items()):
            column, row = divmod(i, rows)
            left = sheet.margin + column * sheet.width / 2
            base = sheet.knobs_top - (row + 1) * sheet.knobs
            words, value = 8.0 * sheet.line, 4.6 * sheet.line
            track = sheet.width / 2 - words - value - 2 * sheet.margin
            sheet.put(slider.ax, left + words, base + 0.1 * sheet.knobs, track, 0.8 * sheet.knobs)
            slider.label.set_position((-(HANDLE + 2) / max(track, 1), 0.5))
            slider.label.set_fontsize(size)
            self.values[name].set_position((left + words + track + HANDLE + 2, base + sheet.knobs / 2))
            self._cover(name, left + words - HANDLE, base, track + value + HANDLE, sheet.knobs)

    def _arrange_words(self, sheet: _Sheet) -> None:
        for i, note in enumerate(self.notes):
            y = sheet.knobs_top + (LINES - i) * sheet.line - 0.3 * sheet.line
            note.set_position((sheet.margin, y))
            self._cover(f"note {i}", 0, y - sheet.line / 2, sheet.width, sheet.line)
        self.title.set_position((sheet.margin, sheet.height - 0.8 * sheet.line))
        sheet.notes_top = sheet.knobs_top + (LINES + 0.5) * sheet.line
        left = sheet.width - 20.2 * sheet.line
        for head, x in zip(self.columns, (7.8, 13.4), strict=True):
            head.set_position((left + x * sheet.line, sheet.height - 1.9 * sheet.line))
        for i, texts in enumerate(self.heads):
            y = sheet.height - (3.2 + 1.15 * i) * sheet.line
            for text, x in zip(texts, (0.0, 7.8, 13.4), strict=True):
                text.set_position((left + x * sheet.line, y))
            for name, x, wide in (("now", 7.7, 5.6), ("change", 13.3, 6.8)):
                self._cover(f"{name} {i}", left + x * sheet.line, y - sheet.line / 2, wide * sheet.line, sheet.line)
        sheet.heads_left = left

    def _arrange_views(self, sheet: _Sheet, size: float) -> None:
        base, top = sheet.notes_top + 2.6 * sheet.line, sheet.height - 2.8 * sheet.line
        room = sheet.heads_left - sheet.margin
        feel = 0.6 * room
        sheet.put(self._feel_at, sheet.margin + 3.2 * sheet.line, base, feel - 3.6 * sheet.line, top - base)
        low = sheet.notes_top + 0.6 * sheet.line
        sheet.put(self._dimple_at, sheet.margin + feel + sheet.line, low, room - feel - 2 * sheet.line, top - low)
        self.feel.resize(size)
        self.dimple.resize(size)


class _Sheet:
    """Where things go in a window, in pixels from its lower left corner."""

    margin = 10.0

    def __init__(self, width: float, height: float, line: float, figure: Figure) -> None:
        self.width, self.height, self.line, self.figure = width, height, line, figure
        self.taken = self.knobs = self.knobs_top = self.notes_top = self.heads_left = 0.0
        self._size = figure.bbox.size

    def put(self, ax: Any, left: float, base: float, width: float, height: float) -> None:
        """Place axes."""
        wide, tall = self._size
        ax.set_position((left / wide, base / tall, max(width, 1) / wide, max(height, 1) / tall))

    def button_row(self, buttons: dict[str, Button], size: float) -> None:
        """Place buttons side by side, each as wide as its words."""
        for button in buttons.values():
            button.label.set_fontsize(size)
            wide = (len(button.label.get_text()) * 0.45 + 1.6) * self.line
            self.put(button.ax, self.margin + self.taken, self.margin, wide, 1.5 * self.line)
            self.taken += wide + 8


def _worded(knob: Knob) -> Callable[[float], str]:
    texts = [drawable(stop.text, 14) for stop in knob.stops]
    return lambda value: texts[int(value)]


def open_window(turns: Turns, save_as: Path) -> Window:
    """Open the explorer in a window of its own, and come back when it is closed.

    Parameters
    ----------
    turns : Turns
    save_as : Path
        What the button saves the build as.

    Returns
    -------
    Window
        As it was closed.

    Raises
    ------
    InputError
        Where no window can be opened here.
    """
    import matplotlib
    import matplotlib.pyplot as plt

    _need_screen(plt)
    with matplotlib.rc_context({"toolbar": "None"}):
        figure = plt.figure(figsize=(WIDTH / 100, HEIGHT / 100), dpi=100, facecolor="white")
    manager: Any = figure.canvas.manager
    manager.set_window_title(f"{drawable(turns.first.name, 80)} - detentsim")
    # the window's own letters would switch scales and grids of the drawings
    figure.canvas.mpl_disconnect(getattr(manager, "key_press_handler_id", None) or -1)
    figure.canvas.mpl_connect("key_press_event", lambda event: plt.close(figure) if event.key == "ctrl+w" else None)
    window = Window(figure, turns, save_as)
    gc.collect()
    gc.freeze()  # or a sweep through all that was loaded makes one turn in some hundred late
    plt.show(block=True)
    turns.settle()
    return window


def _need_screen(plt: Any) -> None:
    import matplotlib.backends as kits

    known: Any = kits
    advice = "no window can be opened here: it needs a screen and Python's tkinter (Debian: apt install python3-tk)"
    try:
        backend = str(plt.get_backend()).lower()
        plt.switch_backend(backend)
    except ImportError:
        backend = ""
    if backend not in known.backend_registry.list_builtin(known.BackendFilter.INTERACTIVE):
        raise InputError("explore", None, f"{advice}; in a notebook use ds.show.explore(build)")
