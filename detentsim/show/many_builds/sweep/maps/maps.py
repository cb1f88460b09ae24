"""Maps of sweeps: one result filled over two inputs, others as lines, what is flagged hatched and named.

Takes a finished sweep. Designs side by side are joined as if the result ran straight between them; where an input is
words or drills, each of its values keeps a strip of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.many_builds.sweep.axes import fresh_axes, set_axis
from detentsim.show.many_builds.sweep.maps.planes import Plane
from detentsim.show.many_builds.sweep.maps.shading import colour_bar, draw_map, shades_of
from detentsim.show.many_builds.sweep.scales import AxisScale, fewer_inputs_words, names_in, varied
from detentsim.show.theme.style import figure_style, need, need_axes
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep


def design_map(s: Sweep, of: str, ax: Axes | None = None, also: Sequence[str] = ()) -> Axes:
    """Draw one result over two inputs, filled, with others as lines and what is flagged hatched and named.

    Parameters
    ----------
    s : Sweep
        Of two inputs with more than one value.
    of : str
        The result that is filled.
    ax : Axes, optional
        Where to draw, the colour bar takes its top; by default axes of a new figure, half a page wide.
    also : sequence of str
        Results drawn as labelled lines; a truth is one line, named on the side where it holds.

    Returns
    -------
    Axes
        The first input across and the second up, each with a second scale in inch or thou for a length.

    Raises
    ------
    InputError
        Where the sweep has no such result, or does not vary two inputs.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"dimple.rim_feed": ("0 mm", "0.1 mm", 5), "bar.bend": ("2 mm", "3 mm", 5)})
    >>> design_map(s, "breakout_force", Figure().subplots()).get_ylabel()
    'bar bend [mm]'
    """
    also = checked_request(s, of, also)
    need_axes(ax)
    x, y = _two(s)
    with figure_style():
        ax = fresh_axes(85, 98, 12, 2.5, x) if ax is None else ax
        shades = shades_of(s, of)
        colour_bar(ax, shades, of)
        draw_map(ax, Plane(s, x, y, {}), of, also, shades)
        set_axis(ax, x, "x", s.build.units)
        set_axis(ax, y, "y", s.build.units)
    return ax


def checked_request(s: Sweep, of: str, also: Sequence[str]) -> tuple[str, ...]:
    """Names of the results drawn as lines; raises `InputError` for one that the sweep does not have."""
    need(s, "Sweep")
    names = names_in([of, *names_in(also)])
    for name in names:
        s.need(name)
    return names[1:]


def _two(s: Sweep) -> tuple[AxisScale, AxisScale]:
    scales = varied(s)
    scales += [AxisScale(a, i) for i, a in enumerate(s.axes) if len(a) == 1][: max(0, 2 - len(scales))]
    if len(scales) != 2:
        names = ", ".join(scale.axis.name for scale in scales) or "nothing"
        raise InputError(
            "sweep", names, f"a map takes two inputs and this sweep varies {names}; {_advice(len(scales))}"
        )
    x, y = sorted(scales, key=lambda scale: scale.place)
    return x, y


def _advice(count: int) -> str:
    if count < 2:
        return "draw lines, or vary a second input" if count else 'vary two, such as "bar.bend" and "dimple.rim_feed"'
    return f"draw panels, or {fewer_inputs_words(3, 2)}" if count == 3 else fewer_inputs_words(count, 2)
