"""Draws a proposal's moves on the decision map: an arrow for each move, its name, and the build's own mark."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from matplotlib.patheffects import withStroke

from detentsim.show.many_builds.sweep.maps.planes import BOX
from detentsim.show.theme.labels import Labels, Spot, about
from detentsim.show.theme.style import INK, Array, lines_of
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.show.many_builds.sweep.scales import AxisScale

WORDS = 40
"""Letters in a line of a move's name."""


def on_axis(scale: AxisScale, si: float) -> float:
    """Position on an axis of a value in SI, in the axis's unit."""
    return si / factor(scale.axis.unit) if scale.axis.unit else si


def legs(p: Proposal, scales: list[AxisScale], start: Array) -> list[tuple[tuple[Array, Array], str]]:
    """Start and end of each move of a proposal on the map, one after the other, with its words."""
    legs, here = [], start
    places = [scale.axis.name for scale in scales]
    for number, (move, value) in enumerate(zip(p.tried.moves, p.tried.values, strict=True), start=1):
        i, there = places.index(move.field), here.copy()
        there[i] = on_axis(scales[i], value)
        words = move.short(value)
        legs.append(((here, there), f"{number}. {words}" if len(p.tried.moves) > 1 else words))
        here = there
    return legs


def draw_arrow(ax: Axes, start: Array, end: Array) -> None:
    """Draw a heavy arrow with a white edge."""
    style: dict[str, Any] = {"arrowstyle": "-|>,head_width=0.26,head_length=0.5", "color": INK, "lw": 2.0}
    style |= {"shrinkA": 4, "shrinkB": 0, "mutation_scale": 12, "joinstyle": "miter", "capstyle": "butt"}
    found = ax.annotate("", (end[0], end[1]), (start[0], start[1]), arrowprops=style, annotation_clip=False, zorder=5)
    found.set_gid("way")
    if found.arrow_patch is not None:
        found.arrow_patch.set_path_effects([withStroke(linewidth=4.2, foreground="white")])


def mark_build(labels: Labels, at: Array) -> None:
    """Mark the build at a place on the map, with the label "this build"."""
    x, y = (float(part) for part in at)
    style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": 6, "mfc": "white", "mec": INK, "mew": 1.6}
    labels.ax.plot([x], [y], zorder=6, label="this build", clip_on=False, **style)
    labels.put("this build", places_about(x, y, (6.0, 18.0, 30.0)), weight="bold")


def places_about(x: float, y: float, far: tuple[float, ...]) -> list[Spot]:
    """Positions for a label about a point, at the given distances [pt], the nearest first."""
    return about(x, y, far, ((1, 1), (-1, -1), (1, -1), (-1, 1), (1, 0), (-1, 0), (0, 1), (0, -1)))


def name_leg(labels: Labels, leg: tuple[Array, Array], words: str) -> None:
    """Label a move beside the middle of its arrow, else beside its end."""
    start, end = leg
    spots = [start + part * (end - start) for part in (0.55, 0.4, 0.7, 1.0)]
    places = [place for x, y in spots for place in places_about(float(x), float(y), (6.0,))]
    places += [place for x, y in spots for place in places_about(float(x), float(y), (16.0, 28.0, 42.0, 58.0))]
    found = labels.put(lines_of(words, WORDS), places, weight="bold", bbox=BOX)
    found.set_gid("way's name")
    labels.lead(*(float(part) for part in found.xy))
