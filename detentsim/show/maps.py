"""Maps of sweeps: one result filled over two inputs, others as lines, what is flagged hatched and named.

Takes a finished sweep. Designs side by side are joined as if the result ran straight between them; where an input is
words or drills, each of its values keeps a strip of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm, LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator

from detentsim.analysis.designs import Sweep
from detentsim.build.outcomes import RESULTS
from detentsim.shop.units import InputError
from detentsim.show.labels import Labels
from detentsim.show.planes import Plane, mark_own, name_bound, name_contours, name_region, name_target
from detentsim.show.scales import (
    LEFT,
    NO_KNIFE,
    UNSOLVED,
    Array,
    Mark,
    Mask,
    Region,
    Scale,
    band_of,
    check_sweep,
    dress_x,
    dress_y,
    fresh_axes,
    hold,
    names_in,
    regions,
    result_label,
    result_name,
    values_of,
    varied,
    wanted_words,
)
from detentsim.show.style import INK, MM, drawable, look

MOST_PANELS = 6
LINE_STYLES: tuple[Any, ...] = ("solid", (0, (5, 1.6)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)))
NOTHING = Mark("no value", "XXX", True)


def colours() -> LinearSegmentedColormap:
    """The colour map of results: perceptually even, safe for colour-blind eyes, light enough for dark words."""
    shades = matplotlib.colormaps["cividis"](np.linspace(0.3, 1, 64))[:, :3]
    return LinearSegmentedColormap.from_list("light cividis", list(0.34 + 0.66 * shades))


class Shades(NamedTuple):
    """Levels of the filled contours and whether values lie beyond them."""

    levels: Array
    extend: str


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
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"dimple.rim_feed": ("0 mm", "0.1 mm", 5), "bar.bend": ("2 mm", "3 mm", 5)})
    >>> design_map(s, "breakout_force", Figure().subplots()).get_ylabel()
    'bar bend [mm]'
    """
    also = _checked(s, of, also)
    x, y = _two(s)
    with look():
        ax = fresh_axes(85, 98, 12, 2.5, x) if ax is None else ax
        shades = _shades(s, of)
        _bar(ax, shades, of)
        _draw(ax, Plane(s, x, y, {}), of, also, shades)
        dress_x(ax, x)
        dress_y(ax, y)
    return ax


def _checked(s: Sweep, of: str, also: Sequence[str]) -> tuple[str, ...]:
    check_sweep(s)
    names = names_in([of, *names_in(also)])
    for name in names:
        s[name]  # says what the sweep has instead
    return names[1:]


def _two(s: Sweep) -> tuple[Scale, Scale]:
    scales = varied(s)
    scales += [Scale(a, i) for i, a in enumerate(s.axes) if len(a) == 1][: max(0, 2 - len(scales))]
    if len(scales) != 2:
        names = ", ".join(scale.axis.name for scale in scales) or "nothing"
        raise InputError(
            "sweep", names, f"a map takes two inputs and this sweep varies {names}; {_advice(len(scales))}"
        )
    x, y = sorted(scales, key=lambda scale: scale.place)
    return x, y


def _advice(count: int) -> str:
    if count < 2:
        return 'vary another, such as "bar.bend"'
    return f"draw panels, or {hold(3, 2)}" if count == 3 else hold(count, 2)


def _bar(ax: Axes, shades: Shades, of: str) -> None:
    """Colour bar over the axes, beyond the second scale."""
    points = ax.get_figure(root=True).dpi / 72  # type: ignore[union-attr]
    tall, wide = ax.bbox.height / points, ax.bbox.width / points
    above = 27 / tall
    bar = ax.figure.colorbar(
        _mappable(shades), ax=ax, location="top", fraction=min(33 / tall, 0.3), pad=above, aspect=wide / 6, shrink=1.0
    )
    _name_bar(bar, of)


def _mappable(shades: Shades) -> ScalarMappable:
    extra: Any = shades.extend
    return ScalarMappable(BoundaryNorm(shades.levels, 256, extend=extra), colours())


def _name_bar(bar: Any, of: str) -> None:
    bar.set_label(result_label(of), labelpad=3)
    bar.outline.set_linewidth(0.6)
    bar.ax.xaxis.set_ticks_position("top")
    bar.ax.tick_params(axis="x", which="minor", top=False, bottom=False)
    if RESULTS[of].is_truth:
        bar.set_ticks([0, 1], labels=["no", "yes"])


def _shades(s: Sweep, of: str) -> Shades:
    """Levels that suit the designs without a fault, where there are enough of them."""
    if RESULTS[of].is_truth:
        return Shades(np.array([-0.5, 0.5, 1.5]), "neither")
    every = s.results[of]
    faulty = np.any([np.zeros(s.shape, bool), *(r.where for r in regions(s) if r.mark.severe)], axis=0)
    known, good = every[np.isfinite(every)], every[np.isfinite(every) & ~faulty]
    if not known.size:
        return Shades(np.array([0.0, 1.0]), "neither")
    shown = good if good.size >= 0.1 * every.size else known
    low, high = float(shown.min()), float(shown.max())
    most = np.percentile(shown, [4, 96])
    if high - low > 2 * (most[1] - most[0]) > 0:  # a few far off would leave the rest one colour
        low, high = float(most[0]), float(most[1])
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        half = 0.05 * abs(low) or 0.5
        low, high = low - half, high + half
    levels = np.asarray(MaxNLocator(9, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high))
    below, above = known.min() < levels[0], known.max() > levels[-1]
    return Shades(levels, ("both" if above else "min") if below else ("max" if above else "neither"))


def _draw(ax: Axes, plane: Plane, of: str, also: tuple[str, ...], shades: Shades) -> None:
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
    bounds = [_bound(ax, plane, name) for name in also if RESULTS[name].is_truth]
    contours = [_contour(ax, plane, name, i) for i, name in enumerate(n for n in also if not RESULTS[n].is_truth)]
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
        name_contours(labels, name, levels)


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
    levels = MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]).tick_values(known.min(), known.max())
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
    words = wanted_words(target).removeprefix("target ")
    return np.min(sides, axis=0) / (scale or 1.0), f"{result_name(name)} {words}"


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
    >>> s = ds.sweep(ds.demo(), vary | {"ball.diameter": ["1.5 mm", "1/16 in"]})
    >>> [ax.get_title() for ax in panels(s, "preload").axes[:2]]
    ['ball diameter 1.5 mm', 'ball diameter 1/16 in']
    """
    also = _checked(s, of, also)
    x, y, third = _three(s)
    count = len(third.axis)
    chosen = np.unique(np.round(np.linspace(0, count - 1, min(count, MOST_PANELS))).astype(int))
    across = min(3, len(chosen)) if len(chosen) != 4 else 2
    down = -(-len(chosen) // across)
    shades = _shades(s, of)
    with look():
        figure = Figure(figsize=(170 * MM, (22 + 66 * down) * MM)) if figure is None else figure
        grid = _grid(figure, across, down)
        for place, index in enumerate(chosen):
            ax = figure.add_subplot(grid[place // across, place % across])
            _draw(ax, Plane(s, x, y, {third.place: int(index)}), of, also, shades)
            dress_x(ax, x, second=place < across)
            dress_y(ax, y, second=place % across == across - 1 or place == len(chosen) - 1)
            ax.set_title(drawable(f"{third.name} {third.text(int(index))}", 40), size=8, parse_math=False, pad=4)
        _shared_bar(figure, shades, of)
    return figure


def _three(s: Sweep) -> tuple[Scale, Scale, Scale]:
    """The inputs across, up and from panel to panel."""
    scales = varied(s)
    if len(scales) != 3:
        names = ", ".join(scale.axis.name for scale in scales) or "nothing"
        advice = hold(len(scales), 3) if len(scales) > 3 else "draw a map or lines, or vary another"
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
    _name_bar(figure.colorbar(_mappable(shades), cax=place, orientation="horizontal"), of)
    place.xaxis.set_label_position("top")
