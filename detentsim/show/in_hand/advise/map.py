"""Draws the decision map: results over the two chief moves, the target's outline, the build, and the advised moves.

Takes finished advice; where advice has no map, draws over one move or says so in words.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from detentsim.knife.outcomes import RESULTS
from detentsim.show.in_hand.advise.arrows import WORDS, draw_arrow, legs, mark_build, name_leg, on_axis, places_about
from detentsim.show.in_hand.advise.clearing import clear_arrows, space_of
from detentsim.show.many_builds.sweep.axes import fresh_axes, set_axis
from detentsim.show.many_builds.sweep.lines.lines import draw_lines
from detentsim.show.many_builds.sweep.maps.maps import design_map
from detentsim.show.many_builds.sweep.maps.planes import BOX
from detentsim.show.many_builds.sweep.scales import AxisScale
from detentsim.show.theme.labels import Labels
from detentsim.show.theme.style import INK, LABEL, MM, Array, figure_style, lines_of, need, need_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.many_builds.sweep.designs import Sweep

WIDTH = 170.0
"""Of a whole figure [mm]."""

TOLD = 3
"""Proposals told under a figure."""

# Results drawn on a map beside the one that is filled; more would hide each other.
BESIDE = 3


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
    need(advice, "Advice")
    need_axes(ax)
    with figure_style():
        if advice.field is not None:
            return _map(advice, _aimed(advice, advice.field), ax)
        if advice.line is not None:
            return _line(advice, _aimed(advice, advice.line), ax)
        return _words(ax)


def _aimed(advice: Advice, s: Sweep) -> Sweep:
    """The sweep with what is wanted as its target; what lies on the end of a band is drawn a hair inside it."""
    shown = dict(s.results)
    for aim in advice.aims:
        if aim.truth is None:
            hair = 1e-9 * aim.step
            values = np.asarray(shown[aim.name], float)
            shown[aim.name] = values + hair * (values == aim.low) - hair * (values == aim.high)
    return replace(s, build=replace(s.build, target=tuple(aim.band for aim in advice.aims)), results=shown)


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
    start = np.array([on_axis(scale, move.start) for scale, move in zip(scales, advice.chief, strict=True)])
    found = on_map(advice, scales)
    ways = [] if found is None else legs(found, scales, start)
    clear_arrows(ax, s, ways)
    labels = Labels(ax, [np.stack(leg, axis=1) for leg, _ in ways] + _outlines(ax))
    labels.taken = [space_of(text) for text in ax.texts]
    if not any(line.get_label() == "this build" for line in ax.lines):
        mark_build(labels, start)
    for leg, words in ways:
        draw_arrow(ax, *leg)
        name_leg(labels, leg, words)
    return ax


def _outlines(ax: Axes) -> list[Array]:
    """Lines of the map that words keep clear of: the target's outline, where truths turn, and lines to other words."""
    drawn = [one for one in ax.collections if str(one.get_gid()).startswith(("target", "truth"))]
    parts = [part for one in drawn for path in one.get_paths() for part in path.to_polygons(closed_only=False)]
    lines = [np.asarray(part, float).T for part in parts]
    lines += [np.asarray(line.get_xydata(), float).T for line in ax.lines if line.get_gid() == "leader"]
    return [line for line in lines if line.size > 2]


def on_map(advice: Advice, scales: list[AxisScale]) -> Proposal | None:
    """The first proposal whose moves all lie on the map."""
    names = {scale.axis.name for scale in scales}
    return next((p for p in advice.proposals if all(move.field in names for move in p.tried.moves)), None)


def _line(advice: Advice, s: Sweep, ax: Axes | None) -> Axes:
    """The first aim over the one chief move."""
    of, scale = _chosen(s)[0], AxisScale(s.axes[0], 0)
    ax = fresh_axes(WIDTH, 80, 4, 11, scale) if ax is None else ax
    draw_lines(ax, s, of, scale, None)
    set_axis(ax, scale, "x", s.build.units)
    labels = Labels(ax, [np.stack([s.axes[0].values, np.asarray(s.results[of], float)])])
    labels.taken = [space_of(text) for text in ax.texts]
    if not any(line.get_label() == "this build" for line in ax.lines):
        mark_build(labels, np.array([on_axis(scale, advice.chief[0].start), ax.get_ylim()[0]]))
    found = on_map(advice, [scale])
    if found is not None:
        _end(labels, scale, found, of)
    return ax


def _end(labels: Labels, scale: AxisScale, p: Proposal, of: str) -> None:
    """Mark where a proposal ends on a line."""
    (move,), (value,), height = p.tried.moves, p.tried.values, p.results[of]
    if height is None:
        return
    x, y = on_axis(scale, value), float(height)
    labels.ax.plot([x], [y], marker="D", ms=6, mfc=INK, mec="white", mew=1.0, ls="none", zorder=6, gid="way")
    words = lines_of(move.short(value), WORDS)
    labels.put(words, places_about(x, y, (7.0, 18.0, 30.0, 44.0)), weight="bold", bbox=BOX).set_gid("way's name")
    labels.lead(x, y)


def _words(ax: Axes | None) -> Axes:
    """No move to draw over: what is wanted, in words."""
    if ax is None:
        ax = Figure(figsize=(WIDTH * MM, 30 * MM)).add_axes((0.02, 0.05, 0.96, 0.9))
    ax.set_axis_off()
    words = "No move of the bench that turns on one input helps with this, so there is no map to draw."
    ax.text(0, 0.9, lines_of(words, 110), va="top", size=LABEL, transform=ax.transAxes, parse_math=False)
    return ax
