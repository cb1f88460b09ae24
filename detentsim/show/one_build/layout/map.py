"""Places of the ball on the bar: which are feasible, the torque each would give, the wanted breakout, the best.

Takes a finished layout; hatched: not feasible.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import LineCollection, PathCollection
from matplotlib.colors import BoundaryNorm
from matplotlib.transforms import Bbox

from detentsim.show.many_builds.sweep.maps.borders import region_of
from detentsim.show.many_builds.sweep.maps.shading import colours, round_levels
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import INK, LABEL, OPENING, WANTED, Array, drawing, need
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.analysis.one_build.layout.places import Places

# Places of a label about its mark: which side of it, and how far right and up [pt].
ABOUT = (
    *(("left", 8, 0), ("right", -8, 0), ("left", 6, 12), ("right", -6, -12), ("left", 6, -12), ("right", -6, 12)),
    *(("center", 0, 13), ("center", 0, -13)),
)


def places_map(found: Layout, ax: Axes | None = None) -> Axes:
    """Draw the map of places of the ball on the bar: torque at the same force, feasible places, wanted breakout, best.

    Parameters
    ----------
    found : Layout
        From `detentsim.layout`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Distance from the bar's lock face across, from its scribed edge up: data in mm, scales in the build's units.
    """
    need(found, "Layout")
    with drawing(ax, 85, 78) as ax:
        p, units = found.places, found.build.units
        ax.set(xlim=(p.from_lock_face[-1], p.from_lock_face[0]), ylim=(p.from_edge[0], p.from_edge[-1]))
        _shade(ax, found)
        _mark(ax, p, _outline(ax, found))
        edge = "lower" if found.section.inward > 0 else "upper"
        scale, unit = units.heading("mm", max(p.from_lock_face.max(), p.from_edge.max()))
        ax.set_xlabel(f"from the bar's lock face [{unit}]", size=LABEL)
        ax.set_ylabel(f"from the bar's {edge} edge [{unit}]", size=LABEL)
        round_ticks(ax.xaxis, scale, 6)
        round_ticks(ax.yaxis, scale, 6)
    return ax


def _shade(ax: Axes, found: Layout) -> None:
    """Torque at the same force on the ball, in bands; the radius where the build has no breakout."""
    p, units = found.places, found.build.units
    known = bool(np.isfinite(p.torque).all())
    values, unit = (p.torque, "N*mm") if known else (p.radius, "mm")
    levels = round_levels(8, (float(values.min()), float(values.max())), units.scale(unit))
    norm = BoundaryNorm(levels, 256)
    filled = ax.contourf(p.from_lock_face, p.from_edge, values, levels, norm=norm, cmap=colours(), zorder=1)
    filled.set(edgecolor="face", linewidth=0.2)
    bar = ax.figure.colorbar(filled, ax=ax, location="top", fraction=0.06, pad=0.03, aspect=26)
    name = "torque at the same force on the ball" if known else "from the pivot"
    bar.set_label(f"{name} [{units.unit(unit)}]", size=LABEL, labelpad=3)
    bar.set_ticks(levels.tolist(), labels=[f"{level * units.scale(unit):.6g}" for level in levels])
    bar.outline.set_linewidth(0.6)


def _outline(ax: Axes, found: Layout) -> list[Array]:
    """Places that are not feasible, hatched up to where they turn feasible; those with the wanted breakout."""
    p, drawn = found.places, []
    path, border = region_of(p.from_lock_face, p.from_edge, ~(p.margin.T > 0), found.place_turns)
    if path is not None:
        bad = PathCollection([path], facecolor="#ffffff88", edgecolor=INK, linewidth=0, hatch="xxxx", zorder=2.5)
        ax.add_collection(bad, autolim=False)
        edge = LineCollection([line.T for line in border], colors=[INK], linewidths=0.9, capstyle="round", zorder=3)
        ax.add_collection(edge, autolim=False)
        bad.set_gid("not feasible")
    ends = [end for end in p.band or () if np.isfinite(end)]
    if ends and p.wanted.any() and not p.wanted.all():
        force = np.ma.masked_invalid(p.breakout)
        style: dict[str, Any] = {"colors": [WANTED], "linewidths": 2.0, "zorder": 3.2}
        drawn.append(ax.contour(p.from_lock_face, p.from_edge, force, ends, **style))
    parts = [part for one in drawn for path in one.get_paths() for part in path.to_polygons(closed_only=False)]
    return [*border, *(np.asarray(part, float).T for part in parts)]


def _mark(ax: Axes, p: Places, lines: list[Array]) -> None:
    labels = Labels(ax, lines)
    spots = [(p.here, "here", "o", INK)] + ([(p.best, "most room", "*", OPENING)] if p.best is not None else [])
    for place, _, mark, colour in spots:
        ax.plot(place.from_lock_face, place.from_edge, mark, color=colour, mec="white", mew=0.7, ms=8, zorder=4)
        labels.taken.append(_box(ax, place.from_lock_face, place.from_edge))
    for place, words, _, colour in spots:
        places = [Spot(place.from_lock_face, place.from_edge, dx, dy, ha, "center") for ha, dx, dy in ABOUT]
        labels.put(words, places, color=colour)
    if p.wanted.any():
        rows, columns = np.nonzero(p.wanted)
        x, y = p.from_lock_face[columns[-1]], p.from_edge[rows[-1]]
        corners = [Spot(x, y, dx, -7, ha, "top") for ha, dx in (("left", 4), ("right", -4))]
        within = [
            Spot(p.from_lock_face[i], p.from_edge[j], 0, 0, "center", "center")
            for j, i in zip(rows[::-2], columns[::-2], strict=True)
        ]
        labels.put("wanted breakout", [*corners, *within], color=WANTED)
    if (~(p.margin > 0)).any():
        low, right = p.from_edge[0], p.from_lock_face[-1]
        white = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
        labels.put("hatched: not feasible", [Spot(right, low, 4, 4, "left", "bottom")], color=INK, bbox=white)


def _box(ax: Axes, x: float, y: float) -> Bbox:
    """Space that a mark takes [px]."""
    middle, half = ax.transData.transform((x, y)), 4 * float(ax.figure.dpi) / 72
    return Bbox([middle - half, middle + half])
