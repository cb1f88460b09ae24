"""Feel curves laid over each other, and how many hand-steps lie between them at each angle.

Takes a finished comparison. Shows the way out of the dimple, where the feel is made, and some of the drag behind it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from detentsim.knife.target.target import FELT, Target
from detentsim.knife.target.words import wanted_words
from detentsim.show.many_builds.sweep.maps.shading import LINE_STYLES
from detentsim.show.theme.style import INK, METAL, SMALL, WANTED, drawable, drawing, lines_of, need

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.compare.compare import Comparison
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve

COLOURS = ("#7a21dd", "#e42536", "#f89c20", "#964a8b", "#26262b", "#9c9ca1")

MARKERS = "os^Dvpx+"

# Shown without a let-go [deg].
USUAL = 8.0

# Most readings drawn of one run.
MOST_DOTS = 250

# Letters of a name in the key: of a few items, and of many, where each takes one line.
FEW, LONG, SHORT = 4, 60, 22

# Most hand-steps shown either way.
MOST_STEPS = 25.0


def overlay(comparison: Comparison, ax: Axes | None = None) -> Axes:
    """Draw feel curves over each other: force at the opener over blade angle.

    Parameters
    ----------
    comparison : Comparison
        From `detentsim.compare`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, three quarters of a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across, force up in the comparison's units. Measured readings are dots about the mean line
        of their runs, open marks stand at each breakout; the build's [target] and the target curve with one hand-step
        either way are shaded.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> import detentsim as ds
    >>> c = ds.compare(ds.demo(), ds.demo().change({"bar.bend": "1.4 mm"}))
    >>> overlay(c, Figure().subplots()).get_ylabel()
    'force at the opener [N]'
    """
    need(comparison, "Comparison")
    with drawing(ax, 128, 84) as ax:
        first, end = _span(comparison)
        ax.set(xlim=(first - 0.02 * (end - first), end), ylim=_forces(comparison, end))
        keys = [_draw_item(ax, comparison, i) for i in range(len(comparison.items))]
        keys += _draw_target(ax, comparison) + _draw_bands(ax, comparison)
        ax.axhline(0, color=INK, lw=0.6, zorder=1.5)
        ax.xaxis.set_major_locator(MaxNLocator(7, steps=[1, 2, 5, 10]))
        ax.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
        ax.set(xlabel="blade angle [deg]", ylabel=f"force at the opener [{comparison.units.unit('N')}]")
        legend = ax.legend(handles=keys, loc="upper right", fontsize=SMALL, framealpha=0.92, edgecolor="none")
        for text in legend.get_texts():
            text.set_parse_math(False)
    return ax


def _span(c: Comparison) -> tuple[float, float]:
    """First and last angle shown [deg]."""
    feels = [feel for feel in (*c.items, c.target) if feel is not None and feel.angle.size]
    if not feels:
        return 0.0, USUAL
    let_go = max((feel.values["let_go_angle"] or 0.0 for feel in feels), default=0.0)
    end = min(1.6 * let_go if let_go else USUAL, max(float(feel.angle[-1]) for feel in feels))
    first = min(0.0, *(float(feel.angle[0]) for feel in feels)) if len(feels) > 1 else min(0.0, feels[0].angle[0])
    return float(first), max(float(end), float(first) + 0.5)


def _forces(c: Comparison, end: float) -> tuple[float, float]:
    """Lowest and highest force shown, with room above for the breakouts' marks, in the units shown."""
    shown = [feel.force[feel.angle <= end] for feel in (*c.items, c.target) if feel is not None]
    shown += [force[angle <= end] for feel in c.items for angle, force in feel.runs]
    shown += [np.array([edge for band in _bands(c) for edge in (band.at_least, band.at_most) if edge is not None])]
    shown += [] if c.target is None else [c.step_band[2][c.target.angle <= end]]
    every = np.concatenate([*shown, [0.0, 1.0]]) * c.units.scale("N")
    low, high = float(every.min()), float(every.max())
    return low - 0.04 * (high - low), high + 0.08 * (high - low)


def _bands(c: Comparison) -> list[Target]:
    return [band for band in c.bands if band.name == "breakout_force" and band.change is None]


def _style(i: int) -> dict[str, Any]:
    return {"color": COLOURS[i % len(COLOURS)], "ls": LINE_STYLES[i % len(LINE_STYLES)]}


def _draw_item(ax: Axes, c: Comparison, i: int) -> Line2D:
    """Draw one item; return its key."""
    feel, style, scale = c.items[i], _style(i), c.units.scale("N")
    for angle, force in feel.runs:
        every = -(-angle.size // MOST_DOTS)
        dots: dict[str, Any] = {"marker": MARKERS[i], "ms": 2.2, "mew": 0.4, "ls": "none", "alpha": 0.45}
        ax.plot(
            angle[::every], scale * force[::every], color=style["color"], mfc="none", zorder=2, gid="readings", **dots
        )
    ax.plot(feel.angle, scale * feel.force, zorder=4, lw=2.0 if i == 0 else 1.4, label=feel.name, **style)
    top, at = feel.values["breakout_force"], feel.values["breakout_force_angle"]
    ring: dict[str, Any] = {"marker": MARKERS[i], "ms": 5, "mfc": "white", "mew": 1.1}
    if top is not None and at is not None:
        error = feel.scatter.get("breakout_force")
        if error:
            ax.errorbar([at], [scale * top], [scale * error], color=style["color"], lw=1.0, capsize=2.5, zorder=4.5)
        ax.plot([at], [scale * top], color=style["color"], ls="none", zorder=5, gid="breakout", **ring)
    return Line2D([], [], label=_key(feel, i, SHORT if len(c.items) > FEW else LONG), lw=1.6, **style, **ring)


def _key(feel: FeelCurve, i: int, most: int) -> str:
    runs = "" if feel.kind == "build" else f" (measured, {feel.count} run{'s' * (feel.count > 1)})"
    return lines_of(f"{i + 1}  {drawable(feel.name, most)}{runs}", 44)


def _draw_target(ax: Axes, c: Comparison) -> list[Any]:
    """The target curve, with one hand-step either way."""
    if c.target is None:
        return []
    (angle, low, high), scale = c.step_band, c.units.scale("N")
    ax.fill_between(angle, scale * low, scale * high, color=WANTED, alpha=0.25, lw=0, zorder=0.8, gid="one step")
    ax.plot(angle, scale * c.target.force, color=WANTED, lw=1.0, ls=(0, (1, 1)), zorder=1)
    words = lines_of(f"target curve, one hand-step ({100 * FELT:.0f} %) either way", 44)
    return [Patch(facecolor=WANTED, alpha=0.4, label=words)]


def _draw_bands(ax: Axes, c: Comparison) -> list[Any]:
    """The build's own [target] of the breakout."""
    keys: list[Any] = []
    scale = c.units.scale("N")
    for band in _bands(c):
        low = 0.0 if band.at_least is None else scale * band.at_least
        high = ax.get_ylim()[1] if band.at_most is None else scale * band.at_most
        style: dict[str, Any] = {"facecolor": WANTED, "alpha": 0.13, "lw": 0}
        ax.axhspan(low, high, zorder=0.5, gid="target", **style)
        for edge in (band.at_least, band.at_most):
            if edge is not None:
                ax.axhline(scale * edge, color=WANTED, lw=0.6, ls=(0, (1, 1.5)), zorder=0.6)
        keys.append(
            Patch(hatch="....", edgecolor=WANTED, label=f"wanted breakout {wanted_words(band, c.units)}", **style)
        )
    return keys


def hand_steps(comparison: Comparison, ax: Axes | None = None) -> Axes:
    """Draw how many hand-steps each item lies above or below the first, or the target curve, at each angle.

    Parameters
    ----------
    comparison : Comparison
        From `detentsim.compare`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, three quarters of a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across; steps up, within one of zero shaded: there nothing is felt.
    """
    need(comparison, "Comparison")
    c = comparison
    with drawing(ax, 128, 50) as ax:
        first, end = _span(c)
        known = 1.1 * np.clip(c.steps[np.isfinite(c.steps)], -MOST_STEPS, MOST_STEPS)
        low, high = float(known.min(initial=-2.0)), float(known.max(initial=2.0))
        ax.set(xlim=(first - 0.02 * (end - first), end), ylim=(low, high))
        ax.axhspan(-1, 1, color=METAL, alpha=0.22, lw=0, zorder=0.5, gid="not felt")
        for i, row in enumerate(c.steps):
            if c.target is not None or i > 0:
                ax.plot(c.angle, row, zorder=3, lw=1.4, **_style(i))
        ax.axhline(0, color=INK, lw=0.6, zorder=1.5)
        ax.xaxis.set_major_locator(MaxNLocator(7, steps=[1, 2, 5, 10]))
        ax.yaxis.set_major_locator(MaxNLocator(5, integer=True))
        base = "target" if c.target is not None else "1"
        ax.set(xlabel="blade angle [deg]", ylabel=f"hand-steps from {base}")
        ax.text(0.995, 0.0, "shaded: not felt", transform=ax.transAxes, ha="right", va="bottom", size=SMALL)
    return ax
