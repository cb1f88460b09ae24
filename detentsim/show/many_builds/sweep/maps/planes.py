"""Two inputs of a sweep as a plane, and the words on a map of it: each finds a place where it covers no other."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from scipy.ndimage import distance_transform_edt

from detentsim.show.many_builds.sweep.scales import AxisScale, amount, cut_of, result_name, values_of
from detentsim.show.theme.labels import Labels, Spot, about
from detentsim.show.theme.style import INK, Array, lines_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.show.many_builds.sweep.maps.targets import Aim
    from detentsim.show.many_builds.sweep.regions import Mask, Region
    from detentsim.units.systems import UnitSystem

# Points of the lattice on which places for words are sought.
LATTICE = 64

BOX: dict[str, Any] = {"fc": "white", "ec": "none", "alpha": 0.8, "pad": 0.8}


@dataclass(frozen=True, eq=False)
class Plane:
    """Two inputs of a sweep with the rest held, as the grid that contours are drawn on.

    Attributes
    ----------
    s : Sweep
        What it is cut from.
    x, y : AxisScale
        Across and up.
    fixed : dict of int to int
        Index by axis of the sweep for the rest; the first value where it has none.
    """

    s: Sweep
    x: AxisScale
    y: AxisScale
    fixed: dict[int, int]

    def grid(self, scale: AxisScale) -> tuple[Array, npt.NDArray[np.intp]]:
        """Positions in rising order and the value that each shows; strips of their own for words and single values."""
        at, first = np.unique(scale.at, return_index=True)
        if not scale.is_words and at.size > 1:
            return at, first
        low, high = scale.limits()
        half = 0.5 if scale.is_words else (high - low) / 2
        ends = np.stack([at - half * (1 - 1e-6), at + half * (1 - 1e-6)], axis=1)
        return ends.ravel(), np.repeat(first, 2)

    def values(self, array: npt.NDArray[Any]) -> tuple[Array, Array, Array]:
        """Positions across and up, and the array on that grid; shape (up, across)."""
        (x, i), (y, j) = self.grid(self.x), self.grid(self.y)
        flat = np.asarray(cut_of(self.s, array, [self.x, self.y], self.fixed), float)
        return x, y, flat[np.ix_(i, j)].T

    def known(self, name: str) -> tuple[Array, Array, Array]:
        """Positions and a result on the grid, as `values`; NaN where it was not solved.

        A truth runs from 0 to 1 with what is to spare, and turns at one half.
        """
        x, y, z = self.values(values_of(self.s, name))
        if name in self.s.spare:
            spare = self.values(np.asarray(self.s.spare[name], float))[2]
            most = np.max(np.abs(spare), initial=0.0, where=np.isfinite(spare)) or 1.0
            z = np.where(np.isfinite(spare) & np.isfinite(z), 0.5 + 0.5 * spare / most, z)
        return x, y, z

    @property
    def cut(self) -> tuple[Any, ...]:
        """The designs of the grid, as `Sweep.turns` takes them."""
        return self.x.place, self.y.place, self.grid(self.x)[1], self.grid(self.y)[1], self.fixed

    def mask(self, array: npt.NDArray[Any]) -> Mask:
        """Whether something holds, by design; shape (across, up)."""
        return np.asarray(cut_of(self.s, array, [self.x, self.y], self.fixed), bool)


def mark_own(ax: Axes, labels: Labels, plane: Plane) -> None:
    """Mark the build's own values where they lie in the map."""
    x, y = plane.x.here, plane.y.here
    held = all(_is_own(plane, place, index) for place, index in plane.fixed.items())
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    if not (held and left <= x <= right and low <= y <= high):
        return
    style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": 6, "mfc": "white", "mec": INK, "mew": 1.6}
    ax.plot([x], [y], zorder=6, label="this build", clip_on=False, **style)
    sides = [(side, up) for far in (1, 3, 5) for side in (1, -1) for up in (far, -far)]
    ways = [(6 * dx, 5 * dy, "left" if dx > 0 else "right", "bottom" if dy > 0 else "top") for dx, dy in sides]
    labels.put("this build", [Spot(x, y, *way) for way in ways], weight="bold")
    labels.lead(x, y)


def _is_own(plane: Plane, place: int, index: int) -> bool:
    scale = AxisScale(plane.s.axes[place], place)
    return bool(np.isclose(scale.at[index], scale.here, rtol=1e-9, atol=1e-12))


def _deep(labels: Labels, plane: Plane, where: Mask, most: int = 24) -> tuple[list[Spot], Mask]:
    """Places in a region, the deepest first and some way apart, and the region on the lattice."""
    ax = labels.ax
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    xs, ys = (a + (b - a) * (np.arange(LATTICE) + 0.5) / LATTICE for a, b in ((left, right), (low, high)))
    i, j = (_nearest(scale, at) for scale, at in ((plane.x, xs), (plane.y, ys)))
    inside = where[np.ix_(i, j)]
    step = (ax.bbox.width / LATTICE, ax.bbox.height / LATTICE)
    depth = np.asarray(distance_transform_edt(np.pad(inside, 1), sampling=step))[1:-1, 1:-1]
    places: list[Spot] = []
    depth = np.where(inside, depth, 0.0)
    while len(places) < most and depth.max() > 0:
        a, b = np.unravel_index(int(np.argmax(depth)), depth.shape)
        places.append(Spot(float(xs[a]), float(ys[b]), 0, 0, "center", "center"))
        depth[max(a - 5, 0) : a + 6, max(b - 3, 0) : b + 4] = 0.0
    return places, inside


def _nearest(scale: AxisScale, at: Array) -> npt.NDArray[np.intp]:
    return np.asarray(np.argmin(np.abs(scale.at[None, :] - at[:, None]), axis=1), np.intp)


def name_region(labels: Labels, plane: Plane, region: Region) -> None:
    """Name what is flagged, in its own words."""
    words = region.mark.words
    words = words if len(words) < 12 else lines_of(words, 11 if len(words) < 24 else 19)
    _name_area(labels, plane, region.where, words)


def _name_area(labels: Labels, plane: Plane, where: Mask, words: str, **style: Any) -> None:
    """Name a region inside it, or beside it with a line to its deepest point."""
    places, inside = _deep(labels, plane, where)
    x, y = places[0].x, places[0].y
    beside = _beside(x, y)
    labels.put(words, [*places, *beside], bbox=BOX, **style)
    middle = labels.ax.transData.inverted().transform(np.mean(labels.taken[-1].get_points(), axis=0))
    if not inside[_cell(labels.ax, *middle)]:
        labels.lead(x, y)


def _beside(x: float, y: float) -> list[Spot]:
    """Places round a point, nearer ones first."""
    ways = ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1))
    return about(x, y, (12, 22, 34, 50, 70, 95, 120), ways)


def name_target(labels: Labels, plane: Plane, aim: Aim) -> None:
    """Name the designs that meet the target, or say that there are none."""
    (_, i), (_, j) = plane.grid(plane.x), plane.grid(plane.y)
    where = np.zeros((len(plane.x.axis), len(plane.y.axis)), bool)
    where[np.ix_(i, j)] = aim.met
    if np.any(where):
        _name_area(labels, plane, _whole(plane, where), lines_of(aim.words, 17), weight="bold")
    elif aim.best is not None:
        labels.put(lines_of(aim.words, 17), _beside(*aim.best), bbox=BOX, weight="bold")
        labels.lead(*aim.best)
    else:
        solved = plane.mask(plane.s.done)
        if np.any(solved):
            text = f"{aim.words}: nowhere {'here' if np.all(solved) else 'in what is solved'}"
            labels.put(lines_of(text, 24), _corners(labels.ax), weight="bold", bbox=BOX)


def _whole(plane: Plane, where: Mask) -> Mask:
    """Fill in values that are given twice; only the first is drawn."""
    for axis, scale in enumerate((plane.x, plane.y)):
        first = np.array([int(np.flatnonzero(scale.at == at)[0]) for at in scale.at])
        where = np.take(where, first, axis=axis)
    return where


def _corners(ax: Axes) -> list[Spot]:
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    return [
        Spot(x, y, dx, dy, ha, va)
        for y, dy, va in ((high, -4, "top"), (low, 4, "bottom"))
        for x, dx, ha in ((left, 4, "left"), (right, -4, "right"))
    ]


def name_bound(labels: Labels, plane: Plane, name: str, paths: list[Array]) -> None:
    """Name a truth on the side of its line where it holds."""
    true = plane.mask(plane.s.results[name])
    if not paths:
        solved = plane.mask(plane.s.done)
        if np.any(solved):
            where = "everywhere" if np.all(true[solved]) else "nowhere"
            where += " here" if np.all(solved) else " in what is solved"
            words = lines_of(f"{result_name(name)} {where}", 24)
            labels.put(words, _corners(labels.ax), style="italic", bbox=BOX)
        return
    places = _inward(labels.ax, _deep(labels, plane, true, 0)[1], paths)
    found = labels.put(f"{result_name(name)}\non this side", places, style="italic", bbox=BOX)
    if not _has_room(labels):
        found.remove()
        labels.taken.pop()
        _name_area(labels, plane, true, f"{result_name(name)} here", style="italic")


def _inward(ax: Axes, inside: Mask, paths: Sequence[Array]) -> list[Spot]:
    """Places beside the longest line about a region of the lattice, on its inner side."""
    signed = distance_transform_edt(inside) - distance_transform_edt(~inside)
    slope_x, slope_y = np.gradient(np.asarray(signed))
    places = []
    for far, (x, y) in itertools.product((5, 14, 26), _along(paths)):
        a, b = _cell(ax, x, y)
        across = abs(slope_x[a, b]) * ax.bbox.height > abs(slope_y[a, b]) * ax.bbox.width
        side = int(np.sign(slope_x[a, b] if across else slope_y[a, b])) or 1
        places += about(x, y, (far,), [(side, 0) if across else (0, side)])
    return places


def _cell(ax: Axes, x: float, y: float) -> tuple[int, int]:
    """Point of the lattice next to a point in data."""
    part = ax.transAxes.inverted().transform(ax.transData.transform((x, y)))
    a, b = np.clip((part * LATTICE).astype(int), 0, LATTICE - 1)
    return int(a), int(b)


def _along(paths: Sequence[Array]) -> list[tuple[float, float]]:
    """Points of the longest line, its middle first."""
    longest = max(paths, key=lambda path: path.shape[1])
    parts = 0.5 + np.array([0, -2, 2, -4, 4, -6, 6, -8, 8, -1, 1, -3, 3, -5, 5, -7, 7, -9, 9]) / 20
    return [tuple(longest[:, int(part * (longest.shape[1] - 1))].tolist()) for part in parts]


def name_contours(labels: Labels, name: str, levels: list[tuple[float, Array]], units: UnitSystem) -> None:
    """Write each line's value on it, the longest line's with the name; a value without room is left out."""
    main: dict[float, Array] = {}
    for level, path in levels:
        long = np.ptp(labels.ax.transData.transform(path.T), axis=0).max() > 0.1 * labels.ax.bbox.width
        if long and (level not in main or path.shape[1] > main[level].shape[1]):
            main[level] = path
    named = False
    for level in sorted(main, key=lambda level: (-main[level].shape[1], level)):
        words = amount(level, name, units)
        words = words if named else f"{result_name(name)} {words}"
        spots = _along([main[level]])
        places = [Spot(x, y, 0, 0, "center", "center") for x, y in spots]
        # beside a line that runs along the frame
        places += [Spot(x, y, dx, 0, ha, "center") for dx, ha in ((3, "left"), (-3, "right")) for x, y in spots]
        found = labels.put(words, places, bbox=BOX)
        if _has_room(labels):
            named = True
        else:
            found.remove()
            labels.taken.pop()


def _has_room(labels: Labels) -> bool:
    """Whether the label set last lies in the frame and on no other."""
    box, frame = labels.taken[-1], labels.ax.bbox
    held = frame.x0 <= box.x0 and box.x1 <= frame.x1 and frame.y0 <= box.y0 and box.y1 <= frame.y1
    return held and not any(box.overlaps(other) for other in labels.taken[:-1])
