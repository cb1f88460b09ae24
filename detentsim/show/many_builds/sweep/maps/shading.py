"""Shading of maps: colours, bands, contours, hatched regions and the colour bar."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import matplotlib
import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator

from detentsim.knife.outcomes import OUTCOMES
from detentsim.show.many_builds.sweep.maps.planes import (
    Plane,
    mark_own,
    name_bound,
    name_contours,
    name_region,
    name_target,
)
from detentsim.show.many_builds.sweep.regions import NO_KNIFE, UNSOLVED, Mark, Mask, Region, regions
from detentsim.show.many_builds.sweep.scales import Array, band_of, result_label, result_name, values_of, wanted_words
from detentsim.show.theme.labels import Labels
from detentsim.show.theme.style import INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.units.systems import UnitSystem

LINE_STYLES: tuple[Any, ...] = ("solid", (0, (5, 1.6)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)))

NOTHING = Mark("no value", "XXX", True)


def colours() -> LinearSegmentedColormap:
    """The colour map of results: perceptually even, safe for colour-blind eyes, light enough for dark words."""
    shades = matplotlib.colormaps["cividis"](np.linspace(0.3, 1, 64))[:, :3]
    return LinearSegmentedColormap.from_list("light cividis", list(0.34 + 0.66 * shades))


class Shades(NamedTuple):
    """Levels of the filled contours, whether values lie beyond them, and the units they are read in."""

    levels: Array
    extend: str
    units: UnitSystem


def colour_bar(ax: Axes, shades: Shades, of: str) -> None:
    """Colour bar over the axes, beyond the second scale."""
    points = ax.get_figure(root=True).dpi / 72  # type: ignore[union-attr]
    tall, wide = ax.bbox.height / points, ax.bbox.width / points
    above = 27 / tall
    bar = ax.figure.colorbar(
        mappable(shades), ax=ax, location="top", fraction=min(33 / tall, 0.3), pad=above, aspect=wide / 6, shrink=1.0
    )
    name_colour_bar(bar, of, shades)


def mappable(shades: Shades) -> ScalarMappable:
    """Colours and levels of a map, as a colour bar takes them."""
    extra: Any = shades.extend
    return ScalarMappable(BoundaryNorm(shades.levels, 256, extend=extra), colours())


def name_colour_bar(bar: Any, of: str, shades: Shades) -> None:
    """Label a colour bar with its result and unit; yes and no for a truth."""
    scale = shades.units.scale(OUTCOMES[of].unit)
    bar.set_label(result_label(of, shades.units), labelpad=3)
    if scale != 1:
        bar.set_ticks(shades.levels, labels=[f"{level * scale:.6g}" for level in shades.levels])
    bar.outline.set_linewidth(0.6)
    bar.ax.xaxis.set_ticks_position("top")
    bar.ax.tick_params(axis="x", which="minor", top=False, bottom=False)
    if OUTCOMES[of].is_truth:
        bar.set_ticks([0, 1], labels=["no", "yes"])


def shades_of(s: Sweep, of: str) -> Shades:
    """Levels, round in the units read, that suit the designs without a fault, where there are enough of them."""
    units = s.build.units
    if OUTCOMES[of].is_truth:
        return Shades(np.array([-0.5, 0.5, 1.5]), "neither", units)
    every = s.results[of]
    faulty = np.any([np.zeros(s.shape, bool), *(r.where for r in regions(s) if r.mark.severe)], axis=0)
    known, good = every[np.isfinite(every)], every[np.isfinite(every) & ~faulty]
    if not known.size:
        return Shades(np.array([0.0, 1.0]), "neither", units)
    shown = good if good.size >= 0.1 * every.size else known
    low, high = float(shown.min()), float(shown.max())
    most = np.percentile(shown, [4, 96])
    if high - low > 2 * (most[1] - most[0]) > 0:  # a few far off would leave the rest one colour
        low, high = float(most[0]), float(most[1])
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        half = 0.05 * abs(low) or 0.5
        low, high = low - half, high + half
    levels = round_levels(9, (low, high), units.scale(OUTCOMES[of].unit))
    below, above = known.min() < levels[0], known.max() > levels[-1]
    return Shades(levels, ("both" if above else "min") if below else ("max" if above else "neither"), units)


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
    x, y, z = plane.known(of)
    extra: Any = shades.extend
    if np.any(np.isfinite(z)):
        norm = BoundaryNorm(shades.levels, 256, extend=extra)
        z = np.ma.masked_invalid(z)
        filled = ax.contourf(x, y, z, levels=shades.levels, norm=norm, cmap=colours(), extend=extra, zorder=0.5)
        filled.set(edgecolor="face", linewidth=0.2, gid=f"fill {of}")
    shown = _regions(plane, of)
    worse = np.any([np.zeros_like(plane.mask(plane.s.done)), *(r.where for r in shown if r.mark.severe)], axis=0)
    for region in shown:
        _hatch(ax, plane, region, worse)
    bounds = [_bound(ax, plane, name) for name in also if OUTCOMES[name].is_truth]
    contours = [_contour(ax, plane, name, i) for i, name in enumerate(n for n in also if not OUTCOMES[n].is_truth)]
    aim = _outline(ax, plane, (of, *also))
    drawn = [path for _, paths in bounds for path in paths] + [path for _, paths, _ in contours for path in paths]
    labels = Labels(ax, drawn + (aim[1] if aim else []))
    mark_own(ax, labels, plane)
    if aim:
        name_target(labels, plane, aim)
    for name, paths in bounds:
        name_bound(labels, plane, name, paths)
    for region in shown:
        name_region(labels, plane, region)
    for name, _, levels in contours:
        name_contours(labels, name, levels, plane.s.build.units)


def _regions(plane: Plane, of: str) -> list[Region]:
    """Flagged designs of this plane, and those without a value that no flag explains."""
    found = [Region(r.name, r.mark, plane.mask(r.where)) for r in regions(plane.s)]
    found = [region for region in found if np.any(region.where)]
    missing = plane.mask(~np.isfinite(values_of(plane.s, of)))
    told = np.any([np.zeros_like(missing), *(region.where for region in found)], axis=0)
    if np.any(missing & ~told):
        found.append(Region("nothing", NOTHING, missing & ~told))
    return sorted(found, key=lambda region: not region.mark.severe)


def spread(plane: Plane, where: Mask) -> tuple[Array, Array, Array]:
    """A mask by design on the grid of the contours."""
    (x, i), (y, j) = plane.grid(plane.x), plane.grid(plane.y)
    return x, y, where.astype(float)[np.ix_(i, j)].T


def _hatch(ax: Axes, plane: Plane, region: Region, worse: Mask) -> None:
    """Hatch designs up to half way to their neighbours, with an edge; a trait only where nothing worse is hatched."""
    grey = "#f4f4f5" if region.mark.hatch in (NO_KNIFE, NOTHING.hatch, UNSOLVED.hatch) else "none"
    colour = "#46464b" if region.mark.severe else "#77777c"
    colour = "#a9a9ae" if region.mark is UNSOLVED else colour
    x, y, z = spread(plane, region.where if region.mark.severe else region.where & ~worse)
    filled = ax.contourf(x, y, z, levels=[0.5, 1.5], colors=[grey], hatches=[region.mark.hatch], zorder=1)
    filled.set(edgecolor=colour, linewidth=0, gid=f"region {region.name}")
    z = spread(plane, region.where)[2]
    if z.min() < 0.5:
        ax.contour(x, y, z, levels=[0.5], colors=[colour], linewidths=0.6, zorder=1.1)


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


def _outline(ax: Axes, plane: Plane, names: Sequence[str]) -> tuple[str, list[Array], Mask] | None:
    """Heavy line about the designs that meet the targets on the results drawn; its words, paths and designs."""
    margins, words = [], []
    for name in dict.fromkeys(names):
        found = _margin(plane, name)
        if found is not None:
            margins.append(found[0])
            words.append(found[1])
    if not margins:
        return None
    x, y = plane.grid(plane.x)[0], plane.grid(plane.y)[0]
    least = np.min(margins, axis=0)
    paths: list[Array] = []
    if np.any(least >= 0):
        rim = np.pad(np.where(np.isfinite(least), least, -1.0), 1, constant_values=-1e-3)
        solved = np.pad(plane.values(plane.s.done)[2] > 0.5, 1, mode="edge")
        rim = np.ma.masked_array(rim, ~solved)  # the outline stays open towards what is not solved
        around = [np.concatenate([[at[0]], at, [at[-1]]]) for at in (x, y)]
        drawn = ax.contour(*around, rim, levels=[0.0], colors=[INK], linewidths=2.2, linestyles=["solid"], zorder=4)
        drawn.set(path_effects=[withStroke(linewidth=4, foreground="white")], gid="target")
        paths = _paths(drawn)[0]
    if len(words) == 1:
        words = [words[0].removeprefix(f"{result_name(names[0])} ")]
    return "target " + " and ".join(words), paths, np.asarray(least >= 0).T


def _margin(plane: Plane, name: str) -> tuple[Array, str] | None:
    """How far inside its target a result lies, as a part of its range, and the target in words."""
    truths = [t.truth for t in plane.s.build.target if t.name == name and t.truth is not None]
    if truths:
        z = plane.known(name)[2]
        inside = np.where((z > 0.5) == truths[0], 0.5, -0.5)
        return np.where(np.isnan(z), np.nan, inside), ("" if truths[0] else "not ") + result_name(name)
    target = band_of(plane.s, name)
    if target is None:
        return None
    z = plane.known(name)[2]
    scale = np.ptp(z[np.isfinite(z)]) if np.any(np.isfinite(z)) else 0.0
    sides = [z - target.at_least] if target.at_least is not None else []
    sides += [target.at_most - z] if target.at_most is not None else []
    words = wanted_words(target, plane.s.build.units).removeprefix("target ")
    return np.min(sides, axis=0) / (scale or 1.0), f"{result_name(name)} {words}"
