"""A result of a sweep over one input, drawn as lines, with what is flagged marked and named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from detentsim.knife.outcomes import OUTCOMES
from detentsim.show.many_builds.sweep.axes import fresh_axes, set_axis
from detentsim.show.many_builds.sweep.lines.labels import (
    FEW,
    STRETCH,
    mark_own_value,
    name_rows,
    name_target_band,
    ring_flagged,
    shade_span,
)
from detentsim.show.many_builds.sweep.maps.shading import LINE_STYLES
from detentsim.show.many_builds.sweep.regions import UNSOLVED, Mask, Region, regions
from detentsim.show.many_builds.sweep.scales import (
    AxisScale,
    band_of,
    cut_of,
    fewer_inputs_words,
    names_in,
    result_label,
    values_of,
    varied,
)
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import (
    INK,
    LABEL,
    OPENING,
    SMALL,
    WANTED,
    Array,
    figure_style,
    need,
    need_axes,
    size_on_paper,
)
from detentsim.show.theme.ticks import round_ticks
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep

MOST_LINES = 6


def lines(s: Sweep, of: str, ax: Axes | None = None) -> Axes:
    """Draw a result over one input, with what is flagged shaded and named; a few lines for a second, listed input.

    Parameters
    ----------
    s : Sweep
        Of one input with more than one value, or of two of which one has at most six or is words.
    of : str
        The result.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        The input across, with a second scale in inch or thou for a length; the result up.

    Raises
    ------
    InputError
        Where the sweep has no such result, or varies more than lines can show.

    Examples
    --------
    >>> import detentsim as ds
    >>> from matplotlib.figure import Figure
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> ax = lines(s, "breakout_force", Figure().subplots())
    >>> ax.get_xlabel(), ax.get_ylabel()
    ('bar bend [mm]', 'breakout force [N]')
    """
    need(s, "Sweep")
    need_axes(ax)
    (of,) = names_in([of])
    s.need(of)
    x, by = inputs_of(s)
    with figure_style():
        ax = fresh_axes(85, 78, 3.5, 10, x) if ax is None else ax
        draw_lines(ax, s, of, x, by)
        set_axis(ax, x, "x", s.build.units)
    return ax


def inputs_of(s: Sweep) -> tuple[AxisScale, AxisScale | None]:
    """The input across, and the one told apart by lines."""
    scales = varied(s) or [AxisScale(axis, i) for i, axis in enumerate(s.axes)][:1]
    names = ", ".join(scale.axis.name for scale in scales) or "nothing"
    if len(scales) == 1:
        return scales[0], None
    few = [scale for scale in scales if len(scale.axis) <= MOST_LINES]
    if len(scales) != 2 or not few:
        text = f"lines take one input, or a second of at most {MOST_LINES} values, and this sweep varies {names}"
        raise InputError("sweep", names, f"{text}; {_instead(len(scales))}")
    by = min(few, key=lambda scale: (not scale.is_words, len(scale.axis)))
    return next(scale for scale in scales if scale is not by), by


def _instead(count: int) -> str:
    known = {
        0: 'vary one, such as "bar.bend"',
        2: "draw a design_map",
        3: f"draw panels, or {fewer_inputs_words(3, 2)}",
    }
    return known.get(count) or fewer_inputs_words(count, 2)


def draw_lines(ax: Axes, s: Sweep, of: str, x: AxisScale, by: AxisScale | None) -> None:
    """Everything inside the frame, and the label up."""
    order = np.argsort(x.at, kind="stable")
    at = x.at[order]
    rows = _rows(s, values_of(s, of), x, by)[:, order]
    pad = 0.0 if x.at.size > FEW else 0.04
    ax.set(xlim=x.limits(pad), ylim=_heights(ax, s, of, rows))
    _name_heights(ax, s, of)
    _draw_target(ax, s, of)
    _draw_rows(ax, at, rows, x, of)
    labels = Labels(ax, [np.stack([at, row]) for row in rows])
    mark_own_value(ax, labels, s, of, x)
    if by is not None:
        name_rows(labels, at, rows, by, s.build.units)
    name_target_band(labels, s, of)
    if not np.any(np.isfinite(rows)) and np.any(_rows(s, s.done, x, by)):
        labels.put("no value here", [Spot(at[0], 0.5, 6, 0, "left", "center")], weight="bold")
    for region in regions(s):
        flagged = _rows(s, region.where, x, by)[:, order].astype(bool)
        if region.mark is UNSOLVED:
            shade_span(ax, labels, at, np.any(flagged, axis=0), _unsolved(region, flagged))
        elif by is None:
            shade_span(ax, labels, at, flagged[0], region)
        else:
            ring_flagged(ax, labels, at, rows, flagged, region)


def _name_heights(ax: Axes, s: Sweep, of: str) -> None:
    """Label and ticks of the scale up."""
    ax.set_ylabel(result_label(of, s.build.units, s.worn), size=LABEL)
    ax.tick_params(axis="y", labelsize=SMALL)
    if OUTCOMES[of].is_truth:
        ax.set_yticks([0, 1], ["no", "yes"])
        return
    scale = s.build.units.scale(OUTCOMES[of].unit)
    ax.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    if scale != 1:
        round_ticks(ax.yaxis, scale, 5)


def _unsolved(region: Region, flagged: Mask) -> Region:
    """What was not solved, told from where some lines were."""
    some = np.any(flagged, axis=0) & ~np.all(flagged, axis=0)
    return region._replace(mark=region.mark._replace(words="not all solved")) if np.any(some) else region


def _rows(s: Sweep, array: Any, x: AxisScale, by: AxisScale | None) -> Array:
    """A result as one row for each line."""
    found = cut_of(s, array, [x] if by is None else [by, x])
    return np.atleast_2d(np.asarray(found, float))


def _heights(ax: Axes, s: Sweep, of: str, rows: Array) -> tuple[float, float]:
    """Ends of the scale up: zero is shown, so that a flat line looks flat; room for words above."""
    if OUTCOMES[of].is_truth:
        return -0.4, 1.8
    known = rows[np.isfinite(rows)]
    if not known.size:
        return 0.0, 1.0
    own = s.own[of]
    low, high = min(0.0, float(known.min())), max(0.0, float(known.max()))
    band = band_of(s, of)
    for bound in (own, *((band.at_least, band.at_most) if band else ())):
        if bound is not None and STRETCH * low <= bound <= STRETCH * high:
            low, high = min(low, bound), max(high, bound)
    tall = high - low or 1.0
    return low - (0.06 * tall if low < 0 else 0.0), high + tall * min(30 / float(size_on_paper(ax)[1]), 0.4)


def _draw_target(ax: Axes, s: Sweep, of: str) -> None:
    band, (bottom, top) = band_of(s, of), ax.get_ylim()
    if band is None:
        return
    low = bottom if band.at_least is None else band.at_least
    high = top if band.at_most is None else band.at_most
    ax.axhspan(low, high, color=WANTED, alpha=0.17, lw=0, zorder=0.5, gid="target")
    for edge in (band.at_least, band.at_most):
        if edge is not None:
            ax.axhline(edge, color=WANTED, lw=0.6, ls=(0, (1, 1.5)), zorder=0.6)
    ax.set_ylim(bottom, top)


def _draw_rows(ax: Axes, at: Array, rows: Array, x: AxisScale, of: str) -> None:
    for i, row in enumerate(rows):
        style: dict[str, Any] = {"ls": LINE_STYLES[i % len(LINE_STYLES)], "color": OPENING if i == 0 else _shade_of(i)}
        if x.is_named:  # nothing lies between two words: at most a faint guide for the eye
            style |= {"lw": 0.6, "ls": (0, (1, 3)) if len(rows) > 1 else "none"}
        elif x.is_words:
            style |= {"lw": 0.6}
        if at.size <= FEW or x.is_named or np.count_nonzero(np.isfinite(row)) < 2:
            style |= {"marker": "osD^vP"[i % 6], "ms": 4}
        if OUTCOMES[of].is_truth:
            style |= {"drawstyle": "steps-mid"}
        ax.plot(at, row, zorder=3, label=of if len(rows) == 1 else f"{of} {i}", **style)
    if ax.get_ylim()[0] < 0 and not OUTCOMES[of].is_truth:
        ax.axhline(0, color=INK, lw=0.6, zorder=1.5, gid="zero")


def _shade_of(index: int) -> str:
    return ["#7a21dd", "#5790fc", "#964a8b", "#f89c20", "#e42536", "#77777c"][index % 6]
