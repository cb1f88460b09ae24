"""A drawing of the explorer as an image for a notebook."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imsave

from detentsim.show.explorer.views.layers import Layers
from detentsim.show.theme.style import figure_style

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.axes import Axes

    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.riding import Riding
    from detentsim.show.explorer.views.dimple_view import DimpleView
    from detentsim.show.explorer.views.feel_view import FeelView

DPI, TEXT = 100, 9.0  # [pt]


class Picture:
    """One drawing on a figure of its own, shown in a notebook as an image.

    Parameters
    ----------
    kit : module
        The notebook's widgets.
    size : (width, height)
        [px].
    place : (left, bottom, width, height)
        Of the axes, as parts of the figure.
    draws : callable
        Makes the drawing on axes.

    Attributes
    ----------
    view : FeelView or DimpleView
    widget : ipywidgets.Image
    """

    def __init__(
        self,
        kit: Any,
        size: tuple[int, int],
        place: tuple[float, float, float, float],
        draws: Callable[[Axes], FeelView | DimpleView],
    ) -> None:
        figure = Figure(figsize=(size[0] / DPI, size[1] / DPI), dpi=DPI, facecolor="white")
        self._canvas: Any = _Sheet(figure)
        with figure_style():
            self.view = draws(figure.add_axes(place))
        self.view.resize(TEXT)
        self._layers = Layers(figure, self.view.frame, self.view.live)
        self.widget = kit.Image(format="png", layout=kit.Layout(width=f"{size[0]}px", max_width="100%"))

    def show(self, now: Look, at: Riding | None) -> None:
        """Draw the present setting and hand the image to the page.

        Parameters
        ----------
        now : Look
        at : Riding or None
            Where the blade stands.
        """
        self.view.show(now, at)
        self._layers.paint()
        image, sheet = io.BytesIO(), self._canvas
        # a light squeeze: the way to the browser is short, and a turn must not wait
        imsave(image, np.asarray(sheet.buffer_rgba()), format="png", pil_kwargs={"compress_level": 1})
        self.widget.value = image.getvalue()


class _Sheet(FigureCanvasAgg):
    """Canvas without a screen, which can be painted in parts."""

    def blit(self, bbox: Any = None) -> None:
        """Do nothing: there is no screen to update."""
