"""Words beside the things they name: each label takes the first place where it covers neither a label nor a line.

Places are tried in display space at the size that the axes have when they are drawn on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from matplotlib.backend_bases import FigureCanvasBase
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Bbox

from detentsim.show.theme.style import INK, SMALL, Array

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.text import Annotation

# Clear space about a label [pt].
CLEAR = 1.5

# From here on a label needs a line to what it names [pt].
NEAR = 9.0


class Spot(NamedTuple):
    """Somewhere a label may stand: a point in data, a shift from it [pt], and which of its sides holds it."""

    x: float
    y: float
    dx: float
    dy: float
    ha: str
    va: str


def about(x: float, y: float, far: Sequence[float], ways: Sequence[tuple[float, float]]) -> list[Spot]:
    """Places about a point, nearer ones first; each label touches its place with the side or corner that is nearest.

    Parameters
    ----------
    x, y : float
        In data.
    far : sequence of float
        Distances [pt].
    ways : sequence of (right, up)
        Directions, in the order they are liked, in parts of a distance.

    Examples
    --------
    >>> about(0.0, 0.0, (5.0,), ((1, 0), (0, -1)))[1]
    Spot(x=0.0, y=0.0, dx=0.0, dy=-5.0, ha='center', va='top')
    """
    ha, va = {1: "left", 0: "center", -1: "right"}, {1: "bottom", 0: "center", -1: "top"}
    return [Spot(x, y, step * dx, step * dy, ha[np.sign(dx)], va[np.sign(dy)]) for step in far for dx, dy in ways]


class Labels:
    """The labels of one axes, set one after the other.

    Parameters
    ----------
    ax : Axes
        With its limits and scales set for good.
    lines : sequence of arrays, shape (2, n)
        Array in data that labels keep clear of.
    length : float
        What a point of the line from a label to what it names costs, beside 1 for each 3 px of a line covered.
    """

    def __init__(self, ax: Axes, lines: Sequence[Array], length: float = 0.0) -> None:
        self.ax, self.length = ax, length
        _keep_renderer(ax)
        self.taken: list[Bbox] = []
        self.leaders: list[Array] = []
        drawn = [_dense(ax, line) for line in lines]
        self.points = np.vstack(drawn) if drawn else np.empty((0, 2))

    def put(self, text: str, places: Sequence[Spot], **style: Any) -> Annotation:
        """Set a label at the first of its places that is clear, or at the least bad one.

        Parameters
        ----------
        text : str
            Plain text; dollar signs stand for themselves.
        places : sequence of Spot
            In the order they are liked.
        **style
            Of the text.

        Returns
        -------
        Annotation
        """
        found = self.ax.annotate(text, (0, 0), fontsize=SMALL, parse_math=False, annotation_clip=False)
        found.set(path_effects=[withStroke(linewidth=1.6, foreground="white")], zorder=6, **style)
        costs = []
        for place in places:
            box = _move(found, place)
            covered = self._cost(box)
            costs.append(covered + self._leader_cost(box, place))
            if costs[-1] < 1 and covered == 0:
                break
        best = int(np.argmin(costs))
        self.taken.append(box if best == len(costs) - 1 else _move(found, places[best]))  # it may stand there already
        return found

    def lead(self, x: float, y: float) -> None:
        """Tie the last label to a point: with a hairline where it stands apart; no later label covers the point.

        Parameters
        ----------
        x, y : float
            Point in data coordinates.
        """
        box, data = self.taken[-1], self.ax.transData
        line, near = self._leader(box, x, y), NEAR * _pixels(self.ax)
        if np.hypot(*(line[-1] - line[0])) > near:
            points = data.inverted().transform(line[[0, -1]]).T
            self.ax.plot(*points, color=INK, lw=0.6, zorder=3.5, gid="leader")
            self.points = np.vstack([self.points, line])
            self.leaders.append(line)
        self.taken.append(Bbox([line[-1] - near / 3, line[-1] + near / 3]))

    def _leader(self, box: Bbox, x: float, y: float) -> Array:
        """Array along the line from a label's box to a point in data [px]; shape (n, 2)."""
        end = self.ax.transData.transform((x, y))
        inset = min(6.0, box.width / 2)
        start = np.clip(end, (box.x0 + inset, box.y0), (box.x1 - inset, box.y1))
        return np.linspace(start, end, 2 + int(np.hypot(*(end - start)) / 3))

    def _leader_cost(self, box: Bbox, place: Spot) -> float:
        """How bad the line to a label would be: labels and other such lines that it crosses, then its length."""
        line = self._leader(box, place.x, place.y)
        long, near = float(np.hypot(*(line[-1] - line[0]))), NEAR * _pixels(self.ax)
        if long <= near:
            return 0.0
        way = line[np.hypot(*(line - line[-1]).T) > near / 2]
        words = sum(bool(np.any(np.all((way >= other.min) & (way <= other.max), axis=1))) for other in self.taken)
        crossed = sum(_cross(line[0], line[-1], other[0], other[-1]) for other in self.leaders)
        return 60.0 * words + 30.0 * crossed + self.length * long / _pixels(self.ax)

    def _cost(self, box: Bbox) -> float:
        """How much a box covers: words weigh most, then what would be cut off, then lines."""
        words = sum(1000.0 for other in self.taken if box.overlaps(other))
        frame = self.ax.bbox
        over = (frame.x0 - box.x0, box.x1 - frame.x1, frame.y0 - box.y0, box.y1 - frame.y1)
        outside = max(0.0, *(float(part) for part in over))
        inside = np.all((self.points >= box.min) & (self.points <= box.max), axis=1)
        return words + 20 * outside + float(np.count_nonzero(inside))


def _keep_renderer(ax: Axes) -> None:
    """Give a bare figure a canvas whose renderer stays, or every measuring of a label would make one anew."""
    figure = ax.get_figure(root=True)
    if figure is not None and type(figure.canvas) is FigureCanvasBase:
        FigureCanvasAgg(figure)


def _move(label: Annotation, place: Spot) -> Bbox:
    """Put a label somewhere; return the space that it then takes [px]."""
    label.xy = (place.x, place.y)
    label.set(position=(place.dx, place.dy), ha=place.ha, va=place.va, anncoords="offset points")
    return label.get_window_extent().padded(CLEAR * _pixels(label))


def _cross(a: Array, b: Array, c: Array, d: Array) -> bool:
    """Whether two straight lines between points cross."""

    def side(p: Array, q: Array, r: Array) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _pixels(thing: Artist) -> float:
    """How many pixels make one point of paper."""
    figure = thing.get_figure(root=True)
    return (figure.dpi if figure else 72) / 72


def _dense(ax: Axes, line: Array) -> Array:
    """Array along a line, a few pixels apart, inside the axes [px]; shape (n, 2)."""
    pixels = ax.transData.transform(line.T)
    pixels = pixels[np.all(np.isfinite(pixels), axis=1)]
    return resampled(np.clip(pixels, np.asarray(ax.bbox.min) - 9, np.asarray(ax.bbox.max) + 9), 3.0)


def resampled(points: Array, step: float) -> Array:
    """Array at equal steps of arc length along a polyline, its ends included.

    Parameters
    ----------
    points : array, shape (n, 2)
        Corners of the line; one point alone is given back.
    step : float
        In the unit of the points.

    Examples
    --------
    >>> resampled(np.array([[0.0, 0.0], [3.0, 4.0]]), 2.5).tolist()
    [[0.0, 0.0], [1.5, 2.0], [3.0, 4.0]]
    """
    if len(points) < 2:
        return np.asarray(points, float)
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.arange(0.0, gone[-1] + step, step)
    return np.stack([np.interp(at, gone, points[:, i]) for i in (0, 1)], axis=1)
