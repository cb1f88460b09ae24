"""Whole figures of sweeps for files, and a check of what can be drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from detentsim.knife.outcomes import SHARE_INSIDE
from detentsim.show.many_builds.sweep.axes import LEFT, room_below, set_axis
from detentsim.show.many_builds.sweep.lines.families import USUAL
from detentsim.show.many_builds.sweep.lines.lines import MOST_LINES, draw_lines, inputs_of
from detentsim.show.many_builds.sweep.maps.maps import design_map
from detentsim.show.many_builds.sweep.maps.panels import panels
from detentsim.show.many_builds.sweep.scales import fewer_inputs_words, names_in, varied
from detentsim.show.theme.style import LABEL, MM, figure_style, need
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.many_builds.sweep.designs import Sweep

MOST_ROWS = 4

MOST_INPUTS = 3

_LIMIT = f"a figure takes one to {MOST_ROWS} results"


def sweep_figure(s: Sweep, of: str | Sequence[str] | None = None) -> Figure:
    """Draw a sweep as a whole figure: lines for one input, a map for two, panels for three.

    Parameters
    ----------
    s : Sweep
        Of at most three inputs with more than one value.
    of : str or sequence of str, optional
        Results: up to four lines one over the other; on a map the first is filled and the others are lines. By
        default the breakout force, with preload and drag where there is room.

    Returns
    -------
    Figure
        Half a page wide, panels a full page; of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.

    Raises
    ------
    InputError
        Where the sweep has no such result, or varies too many inputs.

    Examples
    --------
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> [ax.get_ylabel() for ax in sweep_figure(s, ["preload", "breakout_force"]).axes]
    ['preload [N]', 'breakout force [N]']
    """
    need(s, "Sweep")
    names = _results(s, of)
    check_drawable(s.shape, names)
    scales = varied(s)
    if len(scales) == 3:
        return panels(s, names[0], also=names[1:])
    listed = [scale for scale in scales if scale.is_words and len(scale.axis) <= MOST_LINES]
    if len(scales) == 2 and not listed:
        with figure_style():
            figure = Figure(figsize=(85 * MM, 98 * MM))
            x = min(scales, key=lambda scale: scale.place)
            low = room_below(x, 58)
            ax = figure.add_axes((LEFT / 85, low / 98, 58 / 85, (95.5 - low) / 98))
        design_map(s, names[0], ax, also=names[1:])
        return figure
    return _stack(s, names)


def check_drawable(lengths: Sequence[int], of: Sequence[str]) -> None:
    """Refuse what `sweep_figure` cannot draw, before anything is solved.

    Parameters
    ----------
    lengths : sequence of int
        How many values each input has.
    of : sequence of str
        Results to draw; one given twice counts once. Empty for the usual ones.

    Raises
    ------
    InputError
        For more than three inputs with more than one value, or more than four results.

    Examples
    --------
    >>> check_drawable([31, 21, 1], ["breakout_force", "preload"])
    """
    count, names = sum(length > 1 for length in lengths), names_in(of)
    if count > MOST_INPUTS:
        text = (
            f"a figure takes at most {MOST_INPUTS} inputs and this sweep varies {count}; "
            f"{fewer_inputs_words(count, MOST_INPUTS)}"
        )
        raise InputError("sweep", count, text)
    if len(names) > MOST_ROWS:
        raise InputError("of", of, f"{_LIMIT} and {len(names)} are given; leave out {len(names) - MOST_ROWS}")


def _results(s: Sweep, of: str | Sequence[str] | None) -> tuple[str, ...]:
    """Names of the results to draw, each once."""
    if of is None:
        usual = [name for name in (SHARE_INSIDE, *USUAL) if name in s.results] or list(s.results)
        many = len(varied(s)) < 2
        return tuple(usual[: MOST_ROWS if many else 2])
    names = names_in(of)
    if not names:
        raise InputError("of", of, f'{_LIMIT} and none is given; name one, such as "breakout_force"')
    for name in names:
        s.need(name)
    return names


def _stack(s: Sweep, names: Sequence[str]) -> Figure:
    """Lines one over the other, the input across shared."""
    x, by = inputs_of(s)
    count = len(names)
    row = {1: 60, 2: 50}.get(count, 42)
    low = room_below(x, 85 - LEFT - 3.5)
    tall = 12.5 + low + row * count
    with figure_style():
        figure = Figure(figsize=(85 * MM, tall * MM))
        grid = figure.add_gridspec(
            count, 1, left=LEFT / 85, right=1 - 3.5 / 85, bottom=low / tall, top=1 - 12 / tall, hspace=0.12
        )
        for i, name in enumerate(names):
            ax = figure.add_subplot(grid[i], sharex=figure.axes[0] if i else None)
            draw_lines(ax, s, name, x, by)
        set_axis(figure.axes[0], x, "x", s.build.units)
        across = figure.axes[0].get_xlabel()
        for ax in figure.axes[:-1]:
            ax.tick_params(labelbottom=False)
            ax.set_xlabel("")
        figure.axes[-1].set_xlabel(across, size=LABEL)
        figure.align_ylabels()
    return figure
