"""Maps side by side, one for each value of a third input."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure

from detentsim.show.many_builds.sweep.axes import LEFT, set_axis
from detentsim.show.many_builds.sweep.maps.maps import checked_request
from detentsim.show.many_builds.sweep.maps.planes import Plane
from detentsim.show.many_builds.sweep.maps.shading import Shades, draw_map, mappable, name_colour_bar, shades_of
from detentsim.show.many_builds.sweep.scales import AxisScale, fewer_inputs_words, varied
from detentsim.show.theme.style import MM, drawable, figure_style
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.many_builds.sweep.designs import Sweep

MOST_PANELS = 6


def panels(s: Sweep, of: str, figure: Figure | None = None, also: Sequence[str] = ()) -> Figure:
    """Draw a map for each of a few values of a third input, with one colour bar.

    Parameters
    ----------
    s : Sweep
        Of three inputs with more than one value. The third stands from panel to panel, or the one that is words.
    of : str
        The result that is filled.
    figure : Figure, optional
        An empty one; by default a new one, a full page wide, of no window.
    also : sequence of str
        Results drawn as labelled lines.

    Returns
    -------
    Figure
        At most six maps, chosen evenly, then the colour bar's axes.

    Raises
    ------
    InputError
        Where the sweep has no such result, or does not vary three inputs.

    Examples
    --------
    >>> import detentsim as ds
    >>> vary = {"dimple.rim_feed": ("0 mm", "0.1 mm", 5), "bar.bend": ("2 mm", "3 mm", 5)}
    >>> s = ds.sweep(ds.demo(), vary | {"ball.diameter": ["2 mm", "5/64 in"]})
    >>> [ax.get_title() for ax in panels(s, "preload").axes[:2]]
    ['ball diameter 2 mm', 'ball diameter 5/64 in']
    """
    also = checked_request(s, of, also)
    x, y, third = _three(s)
    count = len(third.axis)
    chosen = np.unique(np.round(np.linspace(0, count - 1, min(count, MOST_PANELS))).astype(int))
    across = min(3, len(chosen)) if len(chosen) != 4 else 2
    down = -(-len(chosen) // across)
    shades = shades_of(s, of)
    with figure_style():
        figure = Figure(figsize=(170 * MM, (22 + 66 * down) * MM)) if figure is None else figure
        grid = _grid(figure, across, down)
        for place, index in enumerate(chosen):
            ax = figure.add_subplot(grid[place // across, place % across])
            draw_map(ax, Plane(s, x, y, {third.place: int(index)}), of, also, shades)
            set_axis(ax, x, "x", s.build.units, second=place < across)
            set_axis(ax, y, "y", s.build.units, second=place % across == across - 1 or place == len(chosen) - 1)
            ax.set_title(
                drawable(f"{third.name} {third.text(int(index), s.build.units)}", 40), size=8, parse_math=False, pad=4
            )
        _shared_bar(figure, shades, of)
    return figure


def _three(s: Sweep) -> tuple[AxisScale, AxisScale, AxisScale]:
    """The inputs across, up and from panel to panel."""
    scales = varied(s)
    if len(scales) != 3:
        names = ", ".join(scale.axis.name for scale in scales) or "nothing"
        advice = fewer_inputs_words(len(scales), 3) if len(scales) > 3 else "draw a map or lines, or vary another"
        raise InputError("sweep", names, f"panels take three inputs and this sweep varies {names}; {advice}")
    words = [scale for scale in scales if scale.is_words]
    third = words[-1] if words else scales[-1]
    x, y = (scale for scale in scales if scale is not third)
    return x, y, third


def _grid(figure: Figure, across: int, down: int) -> Any:
    wide, tall = (size / MM for size in figure.get_size_inches())
    return figure.add_gridspec(
        down,
        across,
        left=LEFT / wide,
        right=1 - 12 / wide,
        bottom=9.5 / tall,
        top=1 - 30 / tall,
        wspace=0.32,
        hspace=0.32,
    )


def _shared_bar(figure: Figure, shades: Shades, of: str) -> None:
    tall = figure.get_size_inches()[1] / MM
    place = figure.add_axes((0.25, 1 - 13 / tall, 0.5, 2.2 / tall))
    name_colour_bar(figure.colorbar(mappable(shades), cax=place, orientation="horizontal"), of, shades)
    place.xaxis.set_label_position("top")
