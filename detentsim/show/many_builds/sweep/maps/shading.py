"""Shading of maps: colours, bands, contours, hatched regions and the colour bar."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

import matplotlib
import numpy as np
import numpy.typing as npt
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.ticker import MaxNLocator
from scipy.ndimage import distance_transform_edt

from detentsim.knife.outcomes import OUTCOMES
from detentsim.show.many_builds.sweep.maps.borders import region_of
from detentsim.show.many_builds.sweep.maps.planes import (
    Plane,
    mark_own,
    name_bound,
    name_contours,
    name_region,
    name_target,
)
from detentsim.show.many_builds.sweep.maps.targets import outline
from detentsim.show.many_builds.sweep.regions import NO_KNIFE, UNSOLVED, Mark, Mask, Region, regions
from detentsim.show.many_builds.sweep.scales import result_label, values_of
from detentsim.show.theme.labels import Labels
from detentsim.show.theme.style import INK, Array, size_on_paper

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.units.systems import UnitSystem

LINE_STYLES: tuple[Any, ...] = ("solid", (0, (5, 1.6)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)))

NOTHING = Mark("no value", "", True)

# Fill of what was not solved, which is not known to be bad.
UNKNOWN = "#d9d9de"

# Lightness (CIE L*) of the lowest and the highest value: dark lines show on the one, and bands differ in grey.
DARKEST, LIGHTEST = 52.0, 92.0


@cache
def colours() -> LinearSegmentedColormap:
    """The one colour map of results: even steps of lightness from dark to light, safe for colour-blind eyes.

    The hues are those of ``cividis`` (doi 10.1371/journal.pone.0199239), mixed with a fifth of white.
    """
    shades = 0.2 + 0.8 * matplotlib.colormaps["cividis"](np.linspace(0, 1, 512))[:, :3]
    even = np.linspace(DARKEST, LIGHTEST, 64)
    steps = [np.interp(even, lightness(shades), shades[:, i]) for i in range(3)]
    return LinearSegmentedColormap.from_list("even cividis", list(np.stack(steps, axis=1)))


def lightness(colour: npt.ArrayLike) -> Array:
    """CIE lightness L* of sRGB colours, 0 to 100 (ISO/CIE 11664-4, IEC 61966-2-1).

    Parameters
    ----------
    colour : array_like, shape (..., 3)
        Red, green and blue, 0 to 1.

    Examples
    --------
    >>> lightness([[0, 0, 0], [1, 1, 1]]).round(6).tolist()
    [0.0, 100.0]
    """
    c = np.asarray(colour, float)
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    light = linear @ np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(np.where(light > (6 / 29) ** 3, 116 * np.cbrt(light) - 16, light * (29 / 3) ** 3))


class Shades(NamedTuple):
    """Levels of the filled contours, whether values lie beyond them, and how they are read."""

    levels: Array
    extend: str
    units: UnitSystem
    worn: bool


def colour_bar(ax: Axes, shades: Shades, of: str) -> None:
    """Colour bar over the axes, beyond the second scale."""
    wide, tall = (float(size) for size in size_on_paper(ax))
    place: Any = {"location": "top", "fraction": min(33 / tall, 0.3), "pad": 27 / tall, "aspect": wide / 6}
    name_colour_bar(ax.figure.colorbar(mappable(shades), ax=ax, **place), of, shades)


def mappable(shades: Shades) -> ScalarMappable:
    """Colours and levels of a map, as a colour bar takes them."""
    extra: Any = shades.extend
    return ScalarMappable(BoundaryNorm(shades.levels, 256, extend=extra), colours())


def name_colour_bar(bar: Any, of: str, shades: Shades) -> None:
    """Label a colour bar with its result and unit; yes and no for a truth."""
    scale = shades.units.scale(OUTCOMES[of].unit)
    bar.set_label(result_label(of, shades.units, shades.worn), labelpad=3)
    if scale != 1:
        bar.set_ticks(shades.levels, labels=[f"{level * scale:.6g}" for level in shades.levels])
    bar.outline.set_linewidth(0.6)
    bar.ax.xaxis.set_ticks_position("top")
    bar.ax.tick_params(axis="x", which="minor", top=False, bottom=False)
    if OUTCOMES[of].is_truth:
        bar.set_ticks([0, 1], labels=["no", "yes"])


def shades_of(s: Sweep, of: str) -> Shades:
    """Levels of a result, and how a sweep's maps of it are read."""
    return Shades(*_levels(s, of), s.build.units, s.worn)


def _levels(s: Sweep, of: str) -> tuple[Array, str]:
    """Levels, round in the units read, that suit the designs without a fault, where there are enough of them."""
    if OUTCOMES[of].is_truth:
        return np.array([-0.5, 0.5, 1.5]), "neither"
    every = s.results[of]
    faulty = np.any([np.zeros(s.shape, bool), *(r.where for r in regions(s) if r.mark.severe)], axis=0)
    known, good = every[np.isfinite(every)], every[np.isfinite(every) & ~faulty]
    if not known.size:
        return np.array([0.0, 1.0]), "neither"
    shown = good if good.size >= 0.1 * every.size else known
    low, high = float(shown.min()), float(shown.max())
    most = np.percentile(shown, [4, 96])
    if high - low > 2 * (most[1] - most[0]) > 0:  # a few far off would leave the rest one colour
        low, high = float(most[0]), float(most[1])
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        half = 0.05 * abs(low) or 0.5
        low, high = low - half, high + half
    levels = round_levels(9, (low, high), s.build.units.scale(OUTCOMES[of].unit))
    below, above = known.min() < levels[0], known.max() > levels[-1]
    return levels, ("both" if above else "min") if below else ("max" if above else "neither")


def round_levels(most: int, ends: tuple[float, float], scale: float) -> Array:
    """Levels between two ends that are round numbers of the unit shown, `scale` of it in one of theirs.

    >>> round_levels(4, (0.0, 10.0), 0.5).tolist()
    [0.0, 4.0, 8.0, 12.0]
    """
    locator = MaxNLocator(most, steps=[1, 2, 2.5, 5, 10])
    return np.asarray(locator.tick_values(ends[0] * scale, ends[1] * scale)) / scale


def draw_map(ax: Axes, plane: Plane, of: str, also: tuple[str, ...], shades: Shades) -> None:
    """Everything inside the frame."""
    ax.set(xlim=plane.x.limits(), ylim=plane.y.limits())
    _fill(ax, plane, of, shades)
    shown = _regions(plane, of)
    turns = [plane.s.turns(region.name, plane.cut) if region.name in plane.s.flags else None for region in shown]
    _blank(ax, plane, of, [one for one in turns if one is not None])
    edges = [line for region, at in zip(shown, turns, strict=True) for line in _hatch(ax, plane, region, at)]
    bounds = [_bound(ax, plane, name) for name in also if OUTCOMES[name].is_truth]
    contours = [_contour(ax, plane, name, i) for i, name in enumerate(n for n in also if not OUTCOMES[n].is_truth)]
    aim = outline(ax, plane, (of, *also))
    drawn = [path for _, paths in bounds for path in paths] + [path for _, paths, _ in contours for path in paths]
    labels = Labels(ax, drawn + edges + (aim.paths if aim else []), length=0.08)
    mark_own(ax, labels, plane)
    if aim:
        name_target(labels, plane, aim)
    for name, paths in bounds:
        name_bound(labels, plane, name, paths)
    for region in shown:
        name_region(labels, plane, region)
    for name, _, levels in contours:
        name_contours(labels, name, levels, plane.s.build.units)


def _fill(ax: Axes, plane: Plane, of: str, shades: Shades) -> None:
    """Bands of colour over every design that is solved; one without a value takes its nearest neighbour's."""
    x, y, z = plane.known(of)
    missing = ~np.isfinite(z)
    if np.all(missing):
        return
    extra: Any = shades.extend
    norm = BoundaryNorm(shades.levels, 256, extend=extra)
    z = z[tuple(distance_transform_edt(missing, return_distances=False, return_indices=True))]
    z = np.ma.masked_array(z, plane.values(plane.s.done)[2] < 0.5)
    filled = ax.contourf(x, y, z, levels=shades.levels, norm=norm, cmap=colours(), extend=extra, zorder=0.5)
    filled.set(edgecolor="face", linewidth=0.2, gid=f"fill {of}")


def _regions(plane: Plane, of: str) -> list[Region]:
    """Flagged designs of this plane, and those without a value that no flag explains."""
    found = [Region(r.name, r.mark, plane.mask(r.where)) for r in regions(plane.s)]
    found = [region for region in found if np.any(region.where)]
    missing = plane.mask(~np.isfinite(values_of(plane.s, of)))
    told = np.any([np.zeros_like(missing), *(region.where for region in found)], axis=0)
    if np.any(missing & ~told):
        found.append(Region("nothing", NOTHING, missing & ~told))
    return sorted(found, key=lambda region: not region.mark.severe)


def _blank(ax: Axes, plane: Plane, of: str, turns: list[Any]) -> None:
    """Leave white what has no value, up to where the flag turns that takes it away."""
    x, y, z = plane.known(of)
    missing = ~np.isfinite(z).T
    shares = []
    for axis in (0, 1):
        share = np.full(np.subtract(missing.shape, (1 - axis, axis)), np.nan)
        for one in turns:
            share = np.where(np.isfinite(share), share, one[axis])
        shares.append(np.where(np.isfinite(share), share, 0.5))
    path = region_of(x, y, missing, (shares[0], shares[1]))[0]
    if path is not None:
        white = PathCollection([path], facecolor="white", edgecolor="none", linewidth=0, zorder=0.6, gid="no value")
        ax.add_collection(white, autolim=False)


def _hatch(ax: Axes, plane: Plane, region: Region, turns: Any) -> list[Array]:
    """Hatch what is wrong, with an edge, and give a trait a dotted edge alone; returns the edge, line by line."""
    x, y, mask = spread(plane, region.where)
    path, border = region_of(x, y, mask, turns)
    grey = "#f4f4f5" if region.mark is NOTHING or region.mark.hatch == NO_KNIFE else "none"
    fill = UNKNOWN if region.mark is UNSOLVED else grey
    colour = "#46464b" if region.mark.severe else "#5c5c61"
    style: dict[str, Any] = {"facecolor": fill, "edgecolor": colour, "linewidth": 0, "hatch": region.mark.hatch or None}
    if path is not None:
        ax.add_collection(PathCollection([path], zorder=1, gid=f"region {region.name}", **style), autolim=False)
    dots = "solid" if region.mark.severe else (0, (1, 1.6))
    lines = LineCollection([line.T for line in border], colors=[colour], linewidths=0.7, zorder=1.1)
    lines.set(linestyle=dots, capstyle="round", gid=f"edge {region.name}")
    ax.add_collection(lines, autolim=False)
    return border


def spread(plane: Plane, where: Mask) -> tuple[Array, Array, Mask]:
    """A mask by design on the grid of the contours; shape (across, up)."""
    (x, i), (y, j) = plane.grid(plane.x), plane.grid(plane.y)
    return x, y, where[np.ix_(i, j)]


def _bound(ax: Axes, plane: Plane, name: str) -> tuple[str, list[Array]]:
    """Line where a truth turns."""
    x, y, z = plane.known(name)
    if not (np.any(z < 0.5) and np.any(z > 0.5)):
        return name, []
    z = np.ma.masked_invalid(z)
    drawn = ax.contour(x, y, z, levels=[0.5], colors=[INK], linewidths=1.5, linestyles=[LINE_STYLES[3]], zorder=3)
    drawn.set_gid(f"truth {name}")
    return name, _paths(drawn)[0]


def _contour(ax: Axes, plane: Plane, name: str, index: int) -> tuple[str, list[Array], list[tuple[float, Array]]]:
    """A few lines of a result; all their paths, and each with its level."""
    x, y, z = plane.known(name)
    known = z[np.isfinite(z)]
    if not known.size or known.max() - known.min() <= 1e-9 * np.abs(known).max():
        return name, [], []
    scale = plane.s.build.units.scale(OUTCOMES[name].unit)
    levels = round_levels(4, (float(known.min()), float(known.max())), scale)
    levels = levels[(levels > known.min()) & (levels < known.max())]
    if not levels.size:
        return name, [], []
    style = LINE_STYLES[index % len(LINE_STYLES)]
    z = np.ma.masked_invalid(z)
    drawn = ax.contour(x, y, z, levels=levels, colors=[INK], linewidths=0.8, linestyles=[style], zorder=2)
    drawn.set_gid(f"lines {name}")
    paths = [(float(level), path) for level, at in zip(levels, _paths(drawn), strict=True) for path in at]
    return name, [path for _, path in paths], paths


def _paths(drawn: Any) -> list[list[Array]]:
    """Lines of a contour set by level, each of shape (2, n)."""
    return [[part.T for part in path.to_polygons(closed_only=False) if len(part) > 1] for path in drawn.get_paths()]
