"""Limits as gauges: a bar for each, as long as the used part of the limit.

Takes finished limits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from detentsim.show.one_build.limits.report import worst_first
from detentsim.show.theme.style import CONTACT, INK, LABEL, METAL, SMALL, figure_style, need, need_axes, new_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.limits.margins import Limit

# Longest bar [%]; a limit used more is drawn so long, and its number tells the rest.
MOST = 150.0

# Use from which a bar has room for its number [%].
BESIDE = 60.0

# Height of one gauge on paper, and of what stands under and over all of them [mm].
EACH, FRAME = 3.9, 2.0


def gauges_height(limits: Limits) -> float:
    """Room that the gauges need, their scale left out [mm].

    Parameters
    ----------
    limits : Limits
    """
    return EACH * len(limits.limits) + FRAME


def gauges(limits: Limits, ax: Axes | None = None) -> Axes:
    """Draw a bar for each limit, as long as what is used of it, the worst on top; past 100 % it is hatched.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    ax : Axes, optional
        Where to draw, with room for names at its left; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Use across [%], cut off at 150 %; a limit on each row, from 0 at the top.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.limits.limits import limits as compute
    >>> from detentsim.knife.packaged import demo
    >>> gauges(compute(demo()), Figure((3.4, 2.4)).subplots()).get_xlabel()
    'used [%]'
    """
    need(limits, "Limits")
    need_axes(ax)
    with figure_style():
        ax = _own_axes(limits) if ax is None else ax
        ordered = worst_first(limits.limits)
        ax.set(xlim=(0, MOST), ylim=(len(ordered) - 0.4, -0.6), xticks=(0, 50, 100))
        ax.set_xlabel("used [%]", size=LABEL)
        ax.tick_params(labelsize=SMALL)
        for row, limit in enumerate(ordered):
            _draw_gauge(ax, row, limit)
        ax.axvline(100, color=INK, lw=1.0, zorder=4, label="limit")
        ax.set_yticks(range(len(ordered)), [f"{limit.part} {limit.called}" for limit in ordered], size=SMALL)
        ax.tick_params(axis="y", length=0)
    return ax


def _own_axes(limits: Limits) -> Axes:
    tall = gauges_height(limits) + 12
    ax = new_axes(85, tall)
    ax.set_position((0.3, 9.5 / tall, 0.66, 1 - 11.5 / tall))
    return ax


def _draw_gauge(ax: Axes, row: int, limit: Limit) -> None:
    """One bar with its number; of a limit without a number its word alone."""
    used = 0.0 if limit.use is None else min(100 * limit.use, MOST)
    past: dict[str, Any] = {"fc": "#fbe3e5", "ec": CONTACT, "lw": 0.8, "zorder": 2}
    within: dict[str, Any] = {"fc": "#d9d9df", "ec": METAL, "lw": 0.8, "zorder": 2}
    ax.barh(row, min(used, 100.0), 0.62, gid=f"{limit.name} used", **(past if limit.holds is False else within))
    if used > 100:
        ax.barh(row, used - 100, 0.62, 100.0, hatch="xxxxx", gid=f"{limit.name} over", **past)
    words = limit.used
    # beside a short bar, else in it, clear of the line at 100 % and of the hatch
    at, side = (used + 2, "left") if used < BESIDE else (min(used, 100.0) - 3, "right")
    weight, slant = "bold" if limit.holds is False else "normal", "italic" if limit.use is None else "normal"
    ax.text(at, row, words, ha=side, va="center", size=SMALL, weight=weight, style=slant, zorder=5)
