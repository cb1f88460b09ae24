"""Positions of the ball, from free outward, on one ruler.

Takes finished limits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Rectangle
from scipy.optimize import isotonic_regression

from detentsim.show.one_build.limits.frame import HAIR, WHITE
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import CONTACT, INK, LABEL, SMALL, Array, drawing, lines_of, need, size_on_paper
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.limits.limits import Limits

# Heights over the scale [pt]: of the zone where bend is lost, of the two dimension lines, of the places' names.
ZONE, UNLOCKS, LOSES, TOP, NAMES = 6.0, 11.0, 24.0, 37.0, 50.0


def travel_ruler(limits: Limits, ax: Axes | None = None) -> Axes:
    """Draw where the ball stands from free outward, on a ruler, and what is left until bend is lost.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    ax : Axes, optional
        Where to draw, at least 90 mm wide and 28 mm tall; by default axes of a new figure, a page wide.

    Returns
    -------
    Axes
        The ball's place inward of where the flat bar has it, falling to the right, outward [mm].

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.limits.limits import limits as compute
    >>> from detentsim.knife.packaged import demo
    >>> travel_ruler(compute(demo()), Figure((6.7, 2)).subplots()).get_xlabel()
    'ball inward of flat [mm]'
    """
    need(limits, "Limits")
    with drawing(ax, 170, 44) as ax:
        point = _frame(ax, limits)
        offsets = np.array([place.offset for place in limits.service.places])
        labels = Labels(ax, [np.array([[offset] * 2, [ZONE, TOP]]) for offset in offsets])
        _draw_lost(ax, limits)
        _name_places(ax, labels, limits, point)
        _draw_travels(ax, labels, limits)
        _name_ways(ax)
    return ax


def _frame(ax: Axes, limits: Limits) -> float:
    """Set the scales, outward to the right; return how many millimetres one point of paper shows."""
    offsets = [place.offset for place in limits.service.places]
    wide, tall = size_on_paper(ax)
    span = max(offsets) - min(offsets) or 1.0
    ax.set(xlim=(max(offsets) + 0.06 * span, min(offsets) - 0.1 * span), ylim=(0, tall))
    scale, unit = _ruled(limits)
    ax.set_xlabel(f"ball inward of flat [{unit}]", size=LABEL)
    ax.tick_params(labelsize=SMALL)
    # a number at the very end would reach off the page
    round_ticks(ax.xaxis, scale, ends=(max(offsets) + 0.04 * span, min(offsets) - 0.08 * span))
    ax.set_yticks([])
    ax.spines[["left", "top", "right"]].set_visible(False)
    return float(1.16 * span / wide)


def _ruled(limits: Limits) -> tuple[float, str]:
    """Factor from mm to the ruler's unit, and that unit."""
    most = max(abs(place.offset) for place in limits.service.places) or 1.0
    return limits.build.units.heading("mm", most)


def _draw_lost(ax: Axes, limits: Limits) -> None:
    """Hatch the scale where pushing takes bend back."""
    lost, end = _offset(limits, "bend lost"), ax.get_xlim()[1]
    style: dict[str, Any] = {"fc": "#fbe3e5", "ec": CONTACT, "hatch": "//////", "lw": 0, "zorder": 1}
    ax.add_patch(Rectangle((end, 0), lost - end, ZONE, gid="bend lost", **style))


def _offset(limits: Limits, name: str) -> float:
    (found,) = [place.offset for place in limits.service.places if place.name == name]
    return found


def _name_places(ax: Axes, labels: Labels, limits: Limits, point: float) -> None:
    """Name each place over its mark, moved aside where the next one would cover it."""
    places = limits.service.places
    words = [f"{lines_of(place.name, 9)}\n{_signed(place.offset, *_ruled(limits))}" for place in places]
    first = ax.get_xlim()[0]
    at = (first - np.array([place.offset for place in places])) / point
    middles = first - point * spread(at, _widths(ax, words), float(size_on_paper(ax)[0]))
    for place, text, middle in zip(places, words, middles, strict=True):
        ax.plot([place.offset] * 2 + [middle], [0, TOP, NAMES - 2], **HAIR, label=place.name)
        ax.plot([place.offset], [0], marker="o", ms=3.2, color=INK, zorder=5, clip_on=False, label=f"{place.name} mark")
        style = {"weight": "bold", "color": CONTACT} if place.name == "bend lost" else {}
        labels.put(text, [Spot(middle, NAMES, 0, 0, "center", "bottom")], linespacing=1.1, **style)


def _signed(offset: float, scale: float, unit: str) -> str:
    places = 1 if unit == "thou" else 2
    return f"{round(offset * scale, places) + 0.0:.{places}f}".replace("-", "\N{MINUS SIGN}")


def _widths(ax: Axes, words: list[str]) -> Array:
    """How much room texts take across [pt]."""
    labels = [ax.annotate(text, (0, 0), fontsize=SMALL, weight="bold", parse_math=False) for text in words]
    wide = np.array([label.get_window_extent().width for label in labels]) * 72 / ax.figure.dpi
    for label in labels:
        label.remove()
    return wide + 5.0


def spread(middles: Array, widths: Array, room: float) -> Array:
    """Moves the middles of boxes in a row apart, in their order and as little as possible, so that none overlap.

    Parameters
    ----------
    middles, widths : array
        Rising; in one unit.
    room : float
        How far the row goes from 0; boxes pushed beyond it come back as long as there is room.

    Examples
    --------
    >>> spread(np.array([1.0, 1.0, 9.0]), np.array([2.0, 2.0, 2.0]), 20.0).tolist()
    [1.0, 3.0, 9.0]
    """
    before = np.concatenate([[0.0], np.cumsum((widths[1:] + widths[:-1]) / 2)])
    fitted = isotonic_regression(middles - before).x
    return np.asarray(np.clip(fitted, widths[0] / 2, room - before[-1] - widths[-1] / 2) + before)


def _draw_travels(ax: Axes, labels: Labels, limits: Limits) -> None:
    """Measure from free how far unlocking goes, and how far the bar may go."""
    service, free = limits.service, _offset(limits, "free")
    if service.unlock is not None:
        end = _offset(limits, "rides and unlocks")
        _measure(ax, labels, UNLOCKS, (free, end), f"{limits.build.units.two_digits(service.unlock, 'mm')} to unlock")
    lost = _offset(limits, "bend lost")
    _measure(
        ax, labels, LOSES, (free, lost), f"{limits.build.units.two_digits(service.before_loss, 'mm')} to bend lost"
    )


def _measure(ax: Axes, labels: Labels, height: float, ends: tuple[float, float], words: str) -> None:
    ax.plot(ends, [height] * 2, marker="|", ms=6, mew=0.9, color=INK, lw=0.9, zorder=4, label=words)
    start, end = ends
    half = float(_widths(ax, [words])[0] / size_on_paper(ax)[0] * abs(np.diff(ax.get_xlim())[0])) / 2
    middles = np.linspace(start - half, end + half, 21) if start - end > 2 * half else np.array([])
    spots = sorted(middles, key=lambda x: abs(x - (start + end) / 2))
    along = [Spot(float(x), height, 0, 1, "center", "bottom") for x in spots]
    beside = [Spot(end, height, 6, 0, "left", "center"), Spot(start, height, -6, 0, "right", "center")]
    labels.put(words, [*along, *beside], bbox=WHITE)


def _name_ways(ax: Axes) -> None:
    """Say at the ends of the scale where they lead."""
    for x, words, ha in ((0.0, "\u2190 toward the blade", "left"), (1.0, "outward \u2192", "right")):
        ax.annotate(
            words, (x, 0), (0, -16), xycoords="axes fraction", textcoords="offset points", ha=ha, va="top", size=SMALL
        )
