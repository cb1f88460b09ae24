"""The explorer in a notebook: the drawings of the window beside sliders of ipywidgets.

Needs ipywidgets, which comes with the extra "notebook"; no other file of the package does.
"""

from __future__ import annotations

import asyncio
import io
from importlib import import_module
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imsave

from detentsim.show.explorer.page import explore_html
from detentsim.show.explorer.report import RESTS, TO_START, UNDO
from detentsim.show.explorer.views.dimple_view import DimpleView
from detentsim.show.explorer.views.feel_view import FeelView
from detentsim.show.explorer.views.layers import Layers
from detentsim.show.theme.style import drawable, look
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.axes import Axes

    from detentsim.analysis.explore.knobs import Knob
    from detentsim.analysis.explore.look import Look
    from detentsim.knife.model import Build

FEEL, DIMPLE = (480, 310), (260, 310)
"""Sizes of the two drawings [px]; side by side where there is room, else one under the other."""

DPI = 100

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
    """

    def __init__(self, build: Build, kit: Any) -> None:
        from detentsim.analysis.explore.session import Session  # loaded with the notebook's own kit

        self.turns = Session(build)
        self._kit, self._mute = kit, False
        self._waiting: asyncio.TimerHandle | None = None
        start, mirrored = self.turns.start, self.turns.first.hand == "left"
        self._feel = _Picture(kit, FEEL, (0.12, 0.155, 0.86, 0.745), lambda ax: FeelView(ax, start))
        self._dimple = _Picture(kit, DIMPLE, (0.01, 0.02, 0.98, 0.96), lambda ax: DimpleView(ax, start, mirrored))
        self.words = kit.HTML()
        self.sliders = {knob.name: self._slider(knob) for knob in self.turns.knobs}
        self._buttons = {words: kit.Button(description=words) for words in (UNDO, TO_START, "Save")}
        self.file = kit.Text(value=str(self.turns.files.free()), layout=kit.Layout(width="22em"))
        self.status = kit.Label()
        self.widget = self._assemble()
        self._listen()
        self._show(self.turns.now)

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
        kit = self._kit
        wide = {"style": {"description_width": "9.5em"}, "layout": kit.Layout(width="98%", min_width="20em")}
        return kit.SelectionSlider(options=stops, value=knob.start, description=knob.label, **wide)

    def _assemble(self) -> Any:
        kit = self._kit
        wrapped = kit.Layout(display="flex", flex_flow="row wrap", align_items="flex-start")
        views = kit.Box([self._feel.widget, self._dimple.widget, self.words], layout=wrapped)
        columns = kit.Layout(grid_template_columns="repeat(auto-fill, minmax(24em, 1fr))", grid_gap="0 1em")
        knobs = kit.GridBox(list(self.sliders.values()), layout=columns)
        row = kit.Box([*self._buttons.values(), self.file, self.status], layout=wrapped)
        return kit.VBox([views, knobs, row], layout=kit.Layout(max_width="1150px"))

    def _listen(self) -> None:
        for name, slider in self.sliders.items():
            slider.observe(self._turner(name), names="value")
        undo, start, save = self._buttons.values()
        undo.on_click(lambda _: self._go(self.turns.undo()))
        start.on_click(lambda _: self._go(self.turns.to_start()))
        save.on_click(lambda _: self.save())

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
        if self._waiting is not None:
            self._waiting.cancel()
        try:
            self._waiting = asyncio.get_running_loop().call_later(RESTS, self.settle)
        except RuntimeError:  # nobody to wait for: the widgets are driven by plain code
            self.settle()

    def settle(self) -> None:
        """Solve and show the costly results, once the knob rests."""
        self.words.value = explore_html(self.turns.settle(), self.turns.start)

    def _show(self, now: Look) -> None:
        for part in (self._feel, self._dimple):
            part.show(now)
        self.words.value = explore_html(now, self.turns.start)

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


class _Picture:
    """One drawing on a figure of its own, shown in the notebook as an image."""

    def __init__(
        self,
        kit: Any,
        size: tuple[int, int],
        place: tuple[float, float, float, float],
        draws: Callable[[Axes], FeelView | DimpleView],
    ) -> None:
        figure = Figure(figsize=(size[0] / DPI, size[1] / DPI), dpi=DPI, facecolor="white")
        self._canvas: Any = _Sheet(figure)
        with look():
            self._view = draws(figure.add_axes(place))
        self._layers = Layers(figure, self._view.frame, self._view.live)
        self.widget = kit.Image(format="png", layout=kit.Layout(width=f"{size[0]}px", max_width="100%"))

    def show(self, now: Look) -> None:
        self._view.show(now)
        self._layers.paint()
        image, sheet = io.BytesIO(), self._canvas
        # a light squeeze: the way to the browser is short, and a turn must not wait
        imsave(image, np.asarray(sheet.buffer_rgba()), format="png", pil_kwargs={"compress_level": 1})
        self.widget.value = image.getvalue()


class _Sheet(FigureCanvasAgg):
    """Canvas without a screen, which can be painted in parts."""

    def blit(self, bbox: Any = None) -> None:
        """Do nothing: there is no screen to update."""


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
