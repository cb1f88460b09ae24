"""Moves the labels of the decision map off the arrows, to the nearest place where the map has the same value."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.text import Annotation, Text

from detentsim.show.in_hand.advise.arrows import places_about
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import Array

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.transforms import Bbox

    from detentsim.analysis.many_builds.sweep.designs import Sweep

# Steps by which a label gives way to an arrow [pt].
STEPS = (6, 12, 18, 26, 36, 48, 62, 78)


def space_of(text: Text) -> Bbox:
    """Space that a label takes on the page, with a margin [px]."""
    return text.get_window_extent().padded(2.0)


def clear_arrows(ax: Axes, s: Sweep, ways: list[tuple[tuple[Array, Array], str]]) -> None:
    """Move labels off the arrows, each to the nearest position that fits, with a leader where it left its area."""
    if not ways:
        return
    dense = [leg[0] + np.linspace(0, 1, 80)[:, None] * (leg[1] - leg[0]) for leg, _ in ways]
    way = ax.transData.transform(np.vstack(dense))
    for text in list(ax.texts):
        if isinstance(text, Annotation) and text.get_text() != "this build" and _crossed(space_of(text), way):
            _step_aside(ax, s, text, way)


def _crossed(box: Bbox, way: Array) -> bool:
    padded = box.padded(3.0)
    return bool(np.any(np.all((way >= padded.min) & (way <= padded.max), axis=1)))


def _step_aside(ax: Axes, s: Sweep, text: Annotation, way: Array) -> None:
    """Move one label: about the end of its leader, else about its own middle, and draw a leader to there."""
    tie = next((line for line in ax.lines if line.get_gid() == "leader" and _starts_at(ax, line, space_of(text))), None)
    middle = np.mean(text.get_window_extent().get_points(), axis=0)
    x, y = ax.transData.inverted().transform(middle) if tie is None else np.asarray(tie.get_xydata(), float)[-1]
    own = None if tie is not None else _told_at(ax, s, middle)
    if tie is not None:
        tie.remove()
    others = [space_of(other) for other in ax.texts if other is not text]
    places = places_about(float(x), float(y), STEPS)
    chosen = min(places, key=lambda place: (_cost(ax, s, text, place, others, way, own), places.index(place)))
    _put(text, chosen)
    labels = Labels(ax, [])
    labels.taken = [space_of(text)]
    if own is None or _told_at(ax, s, np.mean(text.get_window_extent().get_points(), axis=0)) != own:
        labels.lead(float(x), float(y))


def _put(text: Annotation, place: Spot) -> None:
    text.xy = (place.x, place.y)
    text.set(position=(place.dx, place.dy), ha=place.ha, va=place.va, anncoords="offset points")


def _starts_at(ax: Axes, line: Line2D, box: Bbox) -> bool:
    """Whether a line begins at a label."""
    x, y = ax.transData.transform(np.asarray(line.get_xydata(), float)[0])
    return bool(box.padded(2.0).contains(float(x), float(y)))


def _cost(
    ax: Axes,
    s: Sweep,
    text: Annotation,
    place: Spot,
    others: list[Bbox],
    way: Array,
    own: tuple[bool, ...] | None,
) -> int:
    """Cost of a position: over other labels, outside the axes, on an arrow, over designs with other warnings."""
    _put(text, place)
    box = space_of(text)
    inside = bool(np.all(box.min >= ax.bbox.min) and np.all(box.max <= ax.bbox.max))
    middle = np.mean(text.get_window_extent().get_points(), axis=0)
    other = own is not None and _told_at(ax, s, middle) != own
    return 100 * any(box.overlaps(one) for one in others) + 100 * (not inside) + 10 * _crossed(box, way) + other


def _told_at(ax: Axes, s: Sweep, pixels: Array) -> tuple[bool, ...]:
    """Warnings, misfits and verdict of the design at a position on the page [px]."""
    x, y = ax.transData.inverted().transform(pixels)
    place = tuple(int(np.argmin(np.abs(axis.values - at))) for axis, at in zip(s.axes, (x, y), strict=True))
    told = (*s.flags.values(), *s.misfits.values(), s.meets_target)
    return tuple(bool(np.broadcast_to(where, s.shape)[place]) for where in told)
