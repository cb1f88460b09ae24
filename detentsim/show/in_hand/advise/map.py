"""The decision map: what is wanted over the two chief moves, where the build stands in it, and the way that is advised.

Takes finished advice; what it has no map for it draws over one move, or tells in words.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from matplotlib.text import Annotation, Text

from detentsim.knife.outcomes import RESULTS
from detentsim.knife.target.target import Target
from detentsim.show.many_builds.sweep.axes import LABEL, dress_x, fresh_axes
from detentsim.show.many_builds.sweep.lines.lines import draw_lines
from detentsim.show.many_builds.sweep.maps.maps import design_map
from detentsim.show.many_builds.sweep.maps.planes import BOX
from detentsim.show.many_builds.sweep.scales import Array, AxisScale
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import INK, MM, lines_of, look
from detentsim.units.errors import InputError
from detentsim.units.quantities import factor
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.transforms import Bbox

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.proposals import Advice, Proposal
    from detentsim.analysis.many_builds.sweep.designs import Sweep

WIDTH = 170.0
"""Of a whole figure [mm]."""

TOLD = 3
"""Proposals told under a figure."""

# Results drawn on a map beside the one that is filled; more would hide each other.
BESIDE = 3

# Letters in a line of the way's name.
WORDS = 40

# Steps by which a word gives way to an arrow [pt].
STEPS = (6, 12, 18, 26, 36, 48, 62, 78)


def decision(advice: Advice, ax: Axes | None = None) -> Axes:
    """Draw what is wanted over the two chief moves, where the build stands, and the way that is advised.

    Parameters
    ----------
    advice : Advice
        From `detentsim.advise`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a full page wide.

    Returns
    -------
    Axes
        A map with the target's outline and what is flagged hatched; lines over one move where there are not two, and
        words alone where there is none.

    Raises
    ------
    InputError
        For what is no advice.

    Examples
    --------
    >>> import detentsim as ds
    >>> decision(ds.advise(ds.demo()), Figure().subplots()).get_xlabel()
    'rim feed [mm]'
    """
    check_advice(advice)
    with look():
        if advice.field is not None:
            return _map(advice, _aimed(advice, advice.field), ax)
        if advice.line is not None:
            return _line(advice, _aimed(advice, advice.line), ax)
        return _words(ax)


def check_advice(advice: object) -> None:
    """Refuse what is no `Advice`; raises `InputError`."""
    from detentsim.analysis.in_hand.advise.proposals import Advice  # loaded here: figures need not load the kernel

    if not isinstance(advice, Advice):
        raise InputError("advice", advice, f"{shown(advice)} is no advice; give some, such as ds.advise(build)")


def _aimed(advice: Advice, s: Sweep) -> Sweep:
    """The sweep with what is wanted as its target; what lies on the end of a band is drawn a hair inside it."""
    shown = dict(s.results)
    for aim in advice.aims:
        if aim.truth is None:
            hair = 1e-9 * aim.step
            values = np.asarray(shown[aim.name], float)
            shown[aim.name] = values + hair * (values == aim.low) - hair * (values == aim.high)
    return replace(s, build=replace(s.build, target=tuple(_target(aim) for aim in advice.aims)), results=shown)


def _target(aim: Aim) -> Target:
    if aim.truth is not None:
        return Target(aim.name, truth=aim.truth)
    low, high = (float(end) if np.isfinite(end) else None for end in (aim.low, aim.high))
    return Target(aim.name, low, high)


def _chosen(s: Sweep) -> tuple[str, tuple[str, ...]]:
    """The result that is filled, and those drawn beside it."""
    numbers = [name for name in s.results if not RESULTS[name].is_truth]
    of = "breakout_force" if "breakout_force" in numbers else numbers[0]
    return of, tuple(name for name in s.results if name != of)[:BESIDE]


def _map(advice: Advice, s: Sweep, ax: Axes | None) -> Axes:
    of, also = _chosen(s)
    scales = [AxisScale(axis, i) for i, axis in enumerate(s.axes)]
    ax = fresh_axes(WIDTH, 118, 13, 3, scales[0]) if ax is None else ax
    design_map(s, of, ax, also)
    start = np.array([_at(scale, move.start) for scale, move in zip(scales, advice.chief, strict=True)])
    found = on_map(advice, scales)
    ways = [] if found is None else _legs(found, scales, start)
    _give_way(ax, s, ways)
    labels = Labels(ax, [np.stack(leg, axis=1) for leg, _ in ways] + _outlines(ax))
    labels.taken = [_space(text) for text in ax.texts]
    if not any(line.get_label() == "this build" for line in ax.lines):
        _mark(labels, start)
    for leg, words in ways:
        _arrow(ax, *leg)
        _name_leg(labels, leg, words)
    return ax


def _outlines(ax: Axes) -> list[Array]:
    """Lines of the map that words keep clear of: the target's outline, where truths turn, and lines to other words."""
    drawn = [one for one in ax.collections if str(one.get_gid()).startswith(("target", "truth"))]
    parts = [part for one in drawn for path in one.get_paths() for part in path.to_polygons(closed_only=False)]
    lines = [np.asarray(part, float).T for part in parts]
    lines += [np.asarray(line.get_xydata(), float).T for line in ax.lines if line.get_gid() == "leader"]
    return [line for line in lines if line.size > 2]


def _at(scale: AxisScale, si: float) -> float:
    """Where a value stands on a scale."""
    return si / factor(scale.axis.unit) if scale.axis.unit else si


def on_map(advice: Advice, scales: list[AxisScale]) -> Proposal | None:
    """The first proposal whose moves all lie on the map."""
    names = {scale.axis.name for scale in scales}
    return next((p for p in advice.proposals if all(move.field in names for move in p.tried.moves)), None)


def _legs(p: Proposal, scales: list[AxisScale], start: Array) -> list[tuple[tuple[Array, Array], str]]:
    """Each move of a proposal as a leg of the way, with its words."""
    legs, here = [], start
    places = [scale.axis.name for scale in scales]
    for number, (move, value) in enumerate(zip(p.tried.moves, p.tried.values, strict=True), start=1):
        i, there = places.index(move.field), here.copy()
        there[i] = _at(scales[i], value)
        words = f"{move.name} to {move.shown(value)}"
        legs.append(((here, there), f"{number}. {words}" if len(p.tried.moves) > 1 else words))
        here = there
    return legs


def _arrow(ax: Axes, start: Array, end: Array) -> None:
    """A heavy arrow with a white edge."""
    style: dict[str, Any] = {"arrowstyle": "-|>,head_width=0.26,head_length=0.5", "color": INK, "lw": 2.0}
    style |= {"shrinkA": 4, "shrinkB": 0, "mutation_scale": 12, "joinstyle": "miter", "capstyle": "butt"}
    found = ax.annotate("", (end[0], end[1]), (start[0], start[1]), arrowprops=style, annotation_clip=False, zorder=5)
    found.set_gid("way")
    if found.arrow_patch is not None:
        found.arrow_patch.set_path_effects([withStroke(linewidth=4.2, foreground="white")])


def _mark(labels: Labels, at: Array) -> None:
    """Mark the build where it has no value of its own for an input that is varied."""
    x, y = (float(part) for part in at)
    style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": 6, "mfc": "white", "mec": INK, "mew": 1.6}
    labels.ax.plot([x], [y], zorder=6, label="this build", clip_on=False, **style)
    labels.put("this build", _round(x, y, (6.0, 18.0, 30.0)), weight="bold")


def _round(x: float, y: float, far: tuple[float, ...]) -> list[Spot]:
    """Places about a point, the nearest first."""
    ways = [("left", "bottom", 1, 1), ("right", "top", -1, -1), ("left", "top", 1, -1), ("right", "bottom", -1, 1)]
    ways += [("left", "center", 1, 0), ("right", "center", -1, 0)]
    ways += [("center", "bottom", 0, 1), ("center", "top", 0, -1)]
    return [Spot(x, y, dx * step, dy * step, ha, va) for step in far for ha, va, dx, dy in ways]


def _name_leg(labels: Labels, leg: tuple[Array, Array], words: str) -> None:
    """Name a leg beside its middle, or its end."""
    start, end = leg
    spots = [start + part * (end - start) for part in (0.55, 0.4, 0.7, 1.0)]
    places = [place for x, y in spots for place in _round(float(x), float(y), (6.0,))]
    places += [place for x, y in spots for place in _round(float(x), float(y), (16.0, 28.0, 42.0, 58.0))]
    found = labels.put(lines_of(words, WORDS), places, weight="bold", bbox=BOX)
    found.set_gid("way's name")
    labels.lead(*(float(part) for part in found.xy))


def _space(text: Text) -> Bbox:
    return text.get_window_extent().padded(2.0)


def _give_way(ax: Axes, s: Sweep, ways: list[tuple[tuple[Array, Array], str]]) -> None:
    """Move words off the way, to the nearest place that says the same."""
    if not ways:
        return
    dense = [leg[0] + np.linspace(0, 1, 80)[:, None] * (leg[1] - leg[0]) for leg, _ in ways]
    way = ax.transData.transform(np.vstack(dense))
    for text in list(ax.texts):
        if isinstance(text, Annotation) and text.get_text() != "this build" and _crossed(_space(text), way):
            _step_aside(ax, s, text, way)


def _crossed(box: Bbox, way: Array) -> bool:
    padded = box.padded(3.0)
    return bool(np.any(np.all((way >= padded.min) & (way <= padded.max), axis=1)))


def _step_aside(ax: Axes, s: Sweep, text: Annotation, way: Array) -> None:
    """Put a word elsewhere: about what its line leads to, else about its own middle, and tie it to that."""
    tie = next((line for line in ax.lines if line.get_gid() == "leader" and _starts_at(ax, line, _space(text))), None)
    middle = np.mean(text.get_window_extent().get_points(), axis=0)
    x, y = ax.transData.inverted().transform(middle) if tie is None else np.asarray(tie.get_xydata(), float)[-1]
    own = None if tie is not None else _told_at(ax, s, middle)
    if tie is not None:
        tie.remove()
    others = [_space(other) for other in ax.texts if other is not text]
    places = _round(float(x), float(y), STEPS)
    chosen = min(places, key=lambda place: (_cost(ax, s, text, place, others, way, own), places.index(place)))
    _put(text, chosen)
    labels = Labels(ax, [])
    labels.taken = [_space(text)]
    if own is None or _told_at(ax, s, np.mean(text.get_window_extent().get_points(), axis=0)) != own:
        labels.lead(float(x), float(y))


def _put(text: Annotation, place: Spot) -> None:
    text.xy = (place.x, place.y)
    text.set(position=(place.dx, place.dy), ha=place.ha, va=place.va, anncoords="offset points")


def _starts_at(ax: Axes, line: Line2D, box: Bbox) -> bool:
    """Whether a line begins at a word."""
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
    """How bad a place is: over other words, outside, on the way, over designs of which something else is told."""
    _put(text, place)
    box = _space(text)
    inside = bool(np.all(box.min >= ax.bbox.min) and np.all(box.max <= ax.bbox.max))
    middle = np.mean(text.get_window_extent().get_points(), axis=0)
    other = own is not None and _told_at(ax, s, middle) != own
    return 100 * any(box.overlaps(one) for one in others) + 100 * (not inside) + 10 * _crossed(box, way) + other


def _told_at(ax: Axes, s: Sweep, pixels: Array) -> tuple[bool, ...]:
    """What is told of the design at a place on the page."""
    x, y = ax.transData.inverted().transform(pixels)
    place = tuple(int(np.argmin(np.abs(axis.values - at))) for axis, at in zip(s.axes, (x, y), strict=True))
    told = (*s.flags.values(), *s.misfits.values(), s.meets_target)
    return tuple(bool(np.broadcast_to(where, s.shape)[place]) for where in told)


def _line(advice: Advice, s: Sweep, ax: Axes | None) -> Axes:
    """The first aim over the one chief move."""
    of, scale = _chosen(s)[0], AxisScale(s.axes[0], 0)
    ax = fresh_axes(WIDTH, 80, 4, 11, scale) if ax is None else ax
    draw_lines(ax, s, of, scale, None)
    dress_x(ax, scale)
    labels = Labels(ax, [np.stack([s.axes[0].values, np.asarray(s.results[of], float)])])
    labels.taken = [_space(text) for text in ax.texts]
    if not any(line.get_label() == "this build" for line in ax.lines):
        _mark(labels, np.array([_at(scale, advice.chief[0].start), ax.get_ylim()[0]]))
    found = on_map(advice, [scale])
    if found is not None:
        _end(labels, scale, found, of)
    return ax


def _end(labels: Labels, scale: AxisScale, p: Proposal, of: str) -> None:
    """Mark where a proposal ends on a line."""
    (move,), (value,), height = p.tried.moves, p.tried.values, p.results[of]
    if height is None:
        return
    x, y = _at(scale, value), float(height)
    labels.ax.plot([x], [y], marker="D", ms=6, mfc=INK, mec="white", mew=1.0, ls="none", zorder=6, gid="way")
    words = lines_of(f"{move.name} to {move.shown(value)}", WORDS)
    labels.put(words, _round(x, y, (7.0, 18.0, 30.0, 44.0)), weight="bold", bbox=BOX).set_gid("way's name")
    labels.lead(x, y)


def _words(ax: Axes | None) -> Axes:
    """No move to draw over: what is wanted, in words."""
    if ax is None:
        ax = Figure(figsize=(WIDTH * MM, 30 * MM)).add_axes((0.02, 0.05, 0.96, 0.9))
    ax.set_axis_off()
    words = "No move of the bench that turns on one input helps with this, so there is no map to draw."
    ax.text(0, 0.9, lines_of(words, 110), va="top", size=LABEL, transform=ax.transAxes, parse_math=False)
    return ax
