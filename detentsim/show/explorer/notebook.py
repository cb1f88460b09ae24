"""The explorer in a notebook: the drawings of the window beside sliders of ipywidgets.

Needs ipywidgets, which comes with the extra "notebook"; no other file of the package does.
"""

from __future__ import annotations

import asyncio
from importlib import import_module
from typing import TYPE_CHECKING, Any

from detentsim.show.explorer.page import LAYOUT, explore_html, marks_html, named_html
from detentsim.show.explorer.play import BETWEEN, FRAME, PLAY, STOP, Play
from detentsim.show.explorer.report import RESTS, TO_START, UNDO
from detentsim.show.explorer.tips import knob_tip
from detentsim.show.explorer.views.dimple_view import DimpleView
from detentsim.show.explorer.views.feel_view import FeelView
from detentsim.show.explorer.views.picture import Picture
from detentsim.show.theme.style import drawable
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.analysis.explore.knobs import Knob
    from detentsim.analysis.explore.look import Look
    from detentsim.knife.model import Build

FEEL, DIMPLE = (480, 310), (260, 310)
"""Sizes of the two drawings [px], side by side; they shrink together where there is less room."""

PLACES = 2
"""Decimal places of the blade angle on its slider."""

NEEDS = 'needs ipywidgets; install the extra that brings it: pip install -e ".[notebook]"'


class Explorer:
    """Knobs of a build beside its feel curve and its ball in the dimple, for display in a notebook.

    Attributes
    ----------
    turns : Session
        The exploring session.
    widget : ipywidgets.Widget
    sliders : dict
        Slider of each knob, by the dotted name of its input.
    blade : ipywidgets.FloatSlider
        Blade angle [deg].
    """

    def __init__(self, build: Build, kit: Any) -> None:
        from detentsim.analysis.explore.session import Session  # loaded with ipywidgets

        self.turns = Session(build)
        self._kit, self._mute = kit, False
        self._waiting: asyncio.TimerHandle | None = None
        self._play = Play(self.swing)
        start, mirrored = self.turns.start, self.turns.first.hand == "left"
        self._feel = Picture(kit, FEEL, (0.12, 0.155, 0.86, 0.745), lambda ax: FeelView(ax, start))
        self._dimple = Picture(kit, DIMPLE, (0.01, 0.125, 0.98, 0.855), lambda ax: DimpleView(ax, start, mirrored))
        self.words = kit.HTML()
        self.sliders = {knob.name: self._slider(knob) for knob in self.turns.knobs}
        self._values = {knob.name: kit.Label(value=knob.stops[knob.start].text) for knob in self.turns.knobs}
        self._marks = {knob.name: kit.HTML(value=marks_html(())) for knob in self.turns.knobs}
        wide = kit.Layout(width="100%", max_width="560px")
        self.blade = kit.FloatSlider(
            description="blade angle", step=10**-PLACES, readout_format=f".{PLACES}f", layout=wide
        )
        self._buttons = {words: kit.Button(description=words) for words in (UNDO, TO_START, "Save")}
        self._opens = kit.Button(description=PLAY)
        self.file = kit.Text(value=str(self.turns.files.free()), layout=kit.Layout(width="22em"))
        self.status = kit.Label()
        self.widget = self._assemble()
        self._listen()
        self._show(self.turns.now)
        self._wait(RESTS)

    @property
    def build(self) -> Build:
        """The build as turned.

        Raises
        ------
        InputError
            Where the sizes do not make a knife.
        """
        return self.turns.build

    def _slider(self, knob: Knob) -> Any:
        stops = [(drawable(stop.text, 16), i) for i, stop in enumerate(knob.stops)]
        return self._kit.SelectionSlider(options=stops, value=knob.start, readout=False)

    def _assemble(self) -> Any:
        kit = self._kit
        views = _named(kit.Box([self._feel.widget, self._dimple.widget]), "ds-views")
        top = _named(kit.Box([views, _named(self.words, "ds-words")]), "ds-top")
        blade = kit.HBox([self.blade, self._opens])
        knobs = _named(kit.Box([self._row(knob) for knob in self.turns.knobs]), "ds-knobs")
        wrapped = kit.Layout(display="flex", flex_flow="row wrap")
        row = kit.Box([*self._buttons.values(), self.file, self.status], layout=wrapped)
        return _named(kit.VBox([kit.HTML(LAYOUT), top, blade, knobs, row]), "ds-explorer")

    def _row(self, knob: Knob) -> Any:
        """A knob: its name, its track with the marks under it, and its value."""
        kit = self._kit
        name = kit.HTML(value=named_html(knob.label, knob_tip(knob.name)))
        track = _named(kit.Box([self.sliders[knob.name], _named(self._marks[knob.name], "ds-marks")]), "ds-track")
        return _named(kit.Box([name, track, self._values[knob.name]]), "ds-knob")

    def _listen(self) -> None:
        for name, slider in self.sliders.items():
            slider.observe(self._turner(name), names="value")
        undo, start, save = self._buttons.values()
        undo.on_click(lambda _: self._go(self.turns.undo()))
        start.on_click(lambda _: self._go(self.turns.to_start()))
        save.on_click(lambda _: self.save())
        self._opens.on_click(lambda _: self.play())
        self.blade.observe(lambda change: None if self._mute else self._grabbed(change["new"]), names="value")

    def _turner(self, name: str) -> Callable[[Any], None]:
        return lambda change: None if self._mute else self._turned(self.turns.turn(name, int(change["new"])))

    def _go(self, now: Look) -> None:
        """Show a setting that was reached by undo or reset, and move the sliders to it."""
        self._mute = True
        for name, place in self.turns.places.items():
            self.sliders[name].value = place
        self._mute = False
        self._turned(now)

    def _turned(self, now: Look) -> None:
        self.status.value = ""
        self._show(now)
        if not self._wait(BETWEEN):  # the widgets are driven by plain code
            self.turns.settle()
            self._tell()

    def _wait(self, seconds: float) -> bool:
        """Let the next piece of what takes longer come after a while; false where nobody waits."""
        if self._waiting is not None:
            self._waiting.cancel()
        try:
            self._waiting = asyncio.get_running_loop().call_later(seconds, self.settle)
        except RuntimeError:
            return False
        return True

    def settle(self) -> None:
        """Solve and show the next piece of what takes longer; all but the first wait until the knob rests."""
        if self.turns.refine():
            self._tell()
            self._wait(BETWEEN if self.turns.now.settled else RESTS)

    def _tell(self) -> None:
        """Bring words and marks up to date."""
        self.words.value = explore_html(self.turns.now, self.turns.start)
        for name, marks in self._marks.items():
            marks.value = marks_html(self.turns.met.get(name, ()))

    def _show(self, now: Look) -> None:
        for part in (self._feel, self._dimple):
            part.show(now, self.turns.riding)
        for name, value in self._values.items():
            value.value = self.turns.knob(name).stops[self.turns.places[name]].text
        end = float(self._feel.view.ax.get_xlim()[1])
        if self.blade.max != end:
            self._mute = True
            self.blade.max = end
            self._mute = False
        self._tell()

    def swing(self, angle: float) -> None:
        """Put the blade to an angle and show it.

        Parameters
        ----------
        angle : float
            [deg].
        """
        at = self.turns.swing(angle)
        for part in (self._feel, self._dimple):
            part.show(self.turns.now, at)
        self._mute = True
        self.blade.value = round(self.turns.angle, PLACES)  # the page would round it too, and send it back
        self._mute = False

    def _grabbed(self, angle: float) -> None:
        if abs(angle - self.turns.angle) > 0.6 * 10**-PLACES:
            self._play.stop()
            self.swing(angle)

    def play(self) -> None:
        """Open the blade once in slow motion, or stop it."""
        if self._play.running:
            self._play.stop()
            return
        self._play.start(self.blade.max)
        self._played()

    def _played(self) -> None:
        """Show the frame that it is time for, and wait for the next; where nobody watches, the last one."""
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._play.stop()
            self.swing(self.blade.max)
            return
        again = self._play.step()
        self._opens.description = STOP if again else PLAY
        if again:
            loop.call_later(FRAME, self._played)

    def save(self) -> None:
        """Save the build as turned under the name in the field; the status line says where, or why not."""
        try:
            self.status.value = f"Saved as {self.turns.save(self.file.value)}"
        except InputError as error:
            self.status.value = f"Not saved. {error.problem}"

    def __repr__(self) -> str:
        return f"<Explorer of {self.turns.first.name!r}: {len(self.turns.turned)} of {len(self.sliders)} knobs turned>"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Return what a notebook displays."""
        return self.widget._repr_mimebundle_(**kwargs)


def _named(widget: Any, name: str) -> Any:
    """A widget under a name by which the page's style knows it."""
    widget.add_class(name)
    return widget


def explore(build: Build) -> Explorer:
    """Show knobs of a build in a notebook: turn one and watch the feel curve.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.

    Returns
    -------
    Explorer
        The last line of a cell shows it; `Explorer.build` is the build as turned.

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build at all, or ipywidgets is not installed.
    """
    try:
        kit = import_module("ipywidgets")
    except ImportError:
        raise InputError("explore", None, NEEDS) from None
    return Explorer(build, kit)
