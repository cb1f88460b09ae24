"""The explorer in a desktop window with matplotlib's widgets: handles mouse, keys, buttons and resizing."""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.show.explorer.board import Board
from detentsim.show.explorer.places import HEIGHT, SMALLEST, WIDTH
from detentsim.show.explorer.play import BETWEEN, FRAME, PLAY, STOP, Play
from detentsim.show.explorer.report import RESTS, TO_START, UNDO, headlines, sentences
from detentsim.show.explorer.views.marks import MARKED
from detentsim.show.theme.style import drawable
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from matplotlib.figure import Figure

    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.session import Session

HINT = f"Drag a knob, or the dot on the curve. {MARKED}"

DESKTOPS = ("tk", "qt", "gtk", "wx", "macosx")
"""How the plotting library's ways of opening a desktop window begin."""

STEPS = {"left": -1, "down": -1, "right": 1, "up": 1}
"""Keys that turn the knob that is pointed at, or the blade."""

SWINGS = 100
"""Steps of the blade over the angles that the curve shows."""


class Window:
    """Explorer on the canvas of a figure.

    Parameters
    ----------
    figure : Figure
        Empty, with its canvas.
    turns : Session
    save_as : Path, optional
        Name under which the button saves the build; by default one beside the build's own that no file has yet.

    Attributes
    ----------
    board : Board
    saved : str
        File that was saved last; empty where none was.
    """

    def __init__(self, figure: Figure, turns: Session, save_as: Path | None = None) -> None:
        self.turns, self.saved = turns, ""
        self._named, self._save_as = save_as is not None, save_as or turns.files.free()
        self._mute = self._held = False  # held: the dot on the curve is being dragged
        self._play = Play(self.swing)
        self.board = Board(figure, turns, (UNDO, TO_START, self._save_words, PLAY))
        self.board.tell(HINT)
        self._say(turns.now)
        self._connect(figure.canvas)

    @property
    def _save_words(self) -> str:
        return f"Save as {drawable(self._save_as.name, 40)}"

    def _connect(self, canvas: Any) -> None:
        for name, slider in self.board.sliders.items():
            slider.on_changed(self._turner(name))
        undo, start, save, play = self.board.buttons
        undo.on_clicked(lambda _: self.go(self.turns.undo()))
        start.on_clicked(lambda _: self.go(self.turns.to_start()))
        save.on_clicked(lambda _: self.save())
        play.on_clicked(lambda _: self.play())
        canvas.mpl_connect("resize_event", lambda _: self._arranged())
        canvas.mpl_connect("scroll_event", self._scrolled)
        canvas.mpl_connect("key_press_event", self._pressed)
        canvas.mpl_connect("button_press_event", self._grabbed)
        canvas.mpl_connect("motion_notify_event", self._moved)
        canvas.mpl_connect("button_release_event", self._let_go)
        self._timer = canvas.new_timer(interval=round(1e3 * RESTS))
        self._timer.single_shot = True
        self._timer.add_callback(self.settle)
        self._frames = canvas.new_timer(interval=round(1e3 * FRAME))
        self._frames.add_callback(self._played)

    def _arranged(self) -> None:
        self.board.arrange(self.turns.now, self.turns.riding)
        self._say(self.turns.now)

    def _turner(self, name: str) -> Callable[[float], None]:
        return lambda value: None if self._mute else self._show(self.turns.turn(name, int(value)))

    def go(self, now: Look) -> None:
        """Show a setting that was reached by undo or reset, and move the knobs to it.

        Parameters
        ----------
        now : Look
        """
        self._mute = True
        for name, place in self.turns.places.items():
            self.board.sliders[name].set_val(place)
        self._mute = False
        self._show(now)

    def _show(self, now: Look) -> None:
        self.board.show(now, self.turns.riding)
        self.board.mark(self.turns.met)
        self.board.tell("")
        self._say(now)
        self.board.paint()
        self._timer.stop()
        self.wait(BETWEEN)

    def wait(self, seconds: float) -> None:
        """Let the next piece of what takes longer come after a while.

        Parameters
        ----------
        seconds : float
        """
        self._timer.interval = round(1e3 * seconds)
        self._timer.start()

    def _say(self, now: Look) -> None:
        self.board.say(headlines(now, self.turns.start), sentences(now))

    def settle(self) -> None:
        """Solve and show the next piece of what takes longer; all but the first wait until the knob rests."""
        if self.turns.refine():
            self._say(self.turns.now)
            self.board.mark(self.turns.met)
            self.board.paint()
            self.wait(BETWEEN if self.turns.now.settled else RESTS)

    def swing(self, angle: float) -> None:
        """Put the blade to an angle and show it.

        Parameters
        ----------
        angle : float
            [deg].
        """
        self.board.swing(self.turns.now, self.turns.swing(angle))
        self.board.paint()

    def play(self) -> None:
        """Open the blade once in slow motion, or stop it."""
        if self._play.running:
            self._play.stop()
        else:
            self._play.start(self.board.feel.end)
            self._frames.start()
        self.board.rename(3, STOP if self._play.running else PLAY)
        self.board.paint()

    def _played(self) -> None:
        if not self._play.step():
            self._frames.stop()
            self.board.rename(3, PLAY)
            self.board.paint()

    def _grabbed(self, event: Any) -> None:
        self._held = event.inaxes is self.board.feel_at and event.button == 1
        if self._held:
            self._play.stop()
            self.swing(self.board.feel.angle_at(event.x))

    def _moved(self, event: Any) -> None:
        if self._held:
            self.swing(self.board.feel.angle_at(event.x))
        elif event.button is None and self.board.point(event.x, event.y):
            self.board.paint()

    def _let_go(self, _: Any) -> None:
        self._held = False

    def save(self) -> None:
        """Save the build as turned; the status line says where, or why not."""
        try:
            self.saved = str(self.turns.save(self._free()))
            self.board.tell(f"Saved as {self.saved}")
        except InputError as error:
            self.board.tell(f"Not saved. {error.problem}")
        self.board.paint()

    def _free(self) -> Path:
        """Name to save under; a default name that has been taken since is replaced by the next free one."""
        try:
            return self.turns.files.check(self._save_as)
        except InputError:
            if self._named:
                raise
        self._save_as = self.turns.files.free()
        self.board.rename(2, self._save_words)
        return self._save_as

    def _scrolled(self, event: Any) -> None:
        self._nudge(event, int(np.sign(event.step)))

    def _pressed(self, event: Any) -> None:
        if event.key in STEPS:
            self._nudge(event, STEPS[event.key])
        elif event.key == "ctrl+z":
            self.go(self.turns.undo())
        elif event.key == "home":
            self.go(self.turns.to_start())
        elif event.key == "ctrl+s":
            self.save()
        elif event.key == " ":
            self.play()

    def _nudge(self, event: Any, step: int) -> None:
        """Turn the knob under the mouse pointer by one stop, or the blade by a step."""
        if event.inaxes is self.board.feel_at:
            self._play.stop()
            self.swing(self.turns.angle + step * self.board.feel.end / SWINGS)
        for slider in self.board.sliders.values():
            if event.inaxes is slider.ax:
                slider.set_val(int(np.clip(slider.val + step, slider.valmin, slider.valmax)))


def open_window(turns: Session, save_as: Path | None = None) -> Window:
    """Open the explorer in a desktop window and wait until it is closed.

    Parameters
    ----------
    turns : Session
    save_as : Path, optional
        Name under which the button saves the build; by default one beside the build's own.

    Returns
    -------
    Window
        In the state in which it was closed.

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
    hold_smallest_size(manager.window if hasattr(manager, "window") else None)
    manager.set_window_title(f"{drawable(turns.first.name, 80)} - detentsim")
    # the window's own letters would switch scales and grids of the drawings
    figure.canvas.mpl_disconnect(getattr(manager, "key_press_handler_id", None) or -1)
    figure.canvas.mpl_connect("key_press_event", lambda event: plt.close(figure) if event.key == "ctrl+w" else None)
    window = Window(figure, turns, save_as)
    window.wait(RESTS)
    gc.collect()
    gc.freeze()  # or a sweep through all that was loaded makes one turn in some hundred late
    plt.show(block=True)
    window.turns.settle()
    return window


def hold_smallest_size(window: Any) -> None:
    """Keep a window from becoming smaller than it is laid out for, by the names that toolkits give this.

    Parameters
    ----------
    window : object
        The toolkit's own; one that has none of these names is left as it is.
    """
    for name in ("minsize", "setMinimumSize", "set_size_request", "SetMinSize"):
        if hasattr(window, name):
            hold = getattr(window, name)
            hold(SMALLEST) if name == "SetMinSize" else hold(*SMALLEST)
            return


def _need_screen(plt: Any) -> None:
    try:
        backend = str(plt.get_backend()).lower()
        plt.switch_backend(backend)
    except ImportError:
        backend = ""
    if not backend.startswith(DESKTOPS):
        advice = "no window can be opened here: it needs a screen and Python's tkinter (Debian: apt install python3-tk)"
        raise InputError("explore", None, f"{advice}; --figure FILE draws it, ds.show.explore(build) is for a notebook")
