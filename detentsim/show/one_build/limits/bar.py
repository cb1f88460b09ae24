"""The lock bar from the side, flat in its slab and free, with what it meets.

Takes finished limits. Root at the left, tip at the right; the blade's side up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.patches import Ellipse, Polygon, Rectangle

from detentsim.show.one_build.limits.frame import (
    HAIR,
    LEFT,
    MARGIN,
    TIMES,
    WHITE,
    Sizes,
    frame_along,
    sizes,
    stop_face,
    wide_axes,
)
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import (
    INK,
    LABEL,
    METAL,
    OPENING,
    WANTED,
    Array,
    drawable,
    figure_style,
    need,
    need_axes,
    size_on_paper,
)
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.units.systems import UnitSystem


def bar_side(limits: Limits, ax: Axes | None = None) -> Axes:
    """Draw the bar from the side, flat in its slab and free, with ball, tang and what stands behind it.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a page wide.

    Returns
    -------
    Axes
        Along the bar from its root across, height over the flat bar's inner face up, toward the blade; data in mm,
        scales in the units of the build. Where heights are not to the scale of lengths, their label says how many
        times they are drawn.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.limits.limits import limits as compute
    >>> from detentsim.knife.packaged import demo
    >>> bar_side(compute(demo()), Figure((6.7, 2)).subplots()).get_xlabel()
    'from the root [mm]'
    """
    need(limits, "Limits")
    need_axes(ax)
    with figure_style():
        ax = wide_axes() if ax is None else ax
        s = sizes(limits)
        point = _frame_side(ax, s, limits.build.units)
        shapes = _draw_bar(ax, limits, s)
        _draw_slab(ax, s, point)
        _draw_tang(ax, s, point)
        _draw_stop(ax, limits, s)
        labels = Labels(ax, [*shapes, *_around(limits, s)])
        _label_sides(ax, labels, s)
        _label_bend(ax, labels, limits, s, point)
        _label_stop(labels, limits, s)
        _label_ball(labels, limits, s)
        _label_relief(labels, limits, s)
        _label_shapes(labels, limits, s)
    return ax


def _frame_side(ax: Axes, s: Sizes, units: UnitSystem) -> tuple[float, float]:
    """Set the scales; return how many millimetres one point of paper shows along and up."""
    along, tall = frame_along(ax, s.tip, units), float(size_on_paper(ax)[1])
    room, content = max(tall - 2 * MARGIN, tall / 3), (s.high - s.low) / along
    times = next((n for n in TIMES if content * n <= room), TIMES[-1])
    up = along / times
    spare = tall * up - (s.high - s.low)
    ax.set_ylim(s.low - spare / 2, s.high + spare / 2)
    scale = "to scale" if times == 1 else f"heights drawn {times:g} times"
    per, unit = units.heading("mm", max(-s.low, s.high))
    ax.set_ylabel(f"inward of flat [{unit}]\n{scale}", size=LABEL)
    round_ticks(ax.yaxis, per, 6)
    return along, up


def _outline(limits: Limits, shift: Array) -> Array:
    """Corners of the bar, drawn with its inner face shifted inward."""
    side = limits.side
    inner, outer = shift - side.inner_face, shift - side.inner_face - side.thickness
    return np.stack([np.append(side.x, side.x[::-1]), np.append(inner, outer[::-1])])


def _draw_bar(ax: Axes, limits: Limits, s: Sizes) -> list[Array]:
    """The bar flat and free, each with its ball; return their outlines."""
    side = limits.side
    flat, free = _outline(limits, np.zeros_like(side.x)), _outline(limits, side.free)
    ax.add_patch(Polygon(flat.T, fc="#f1f1f3", ec=INK, lw=1.0, zorder=2, gid="flat"))
    ax.add_patch(Polygon(free.T, fc="none", ec=OPENING, lw=0.9, ls=(0, (5, 2)), zorder=2.6, gid="free"))
    here, away = _balls(limits, s)
    size = 2 * s.radius
    ax.add_patch(Ellipse(here, size, size, fc="#e3edfd", ec=WANTED, lw=1.3, zorder=2.4, gid="ball"))
    ax.add_patch(Ellipse(away, size, size, fc="none", ec=OPENING, lw=0.9, ls=(0, (5, 2)), zorder=2.6, gid="free ball"))
    return [flat, free]


def _balls(limits: Limits, s: Sizes) -> tuple[tuple[float, float], tuple[float, float]]:
    """Middles of the ball, the bar flat and free."""
    height = s.proud - s.radius
    return (s.ball, height), (s.ball, height + float(np.interp(s.ball, limits.side.x, limits.side.free)))


def _draw_slab(ax: Axes, s: Sizes, point: tuple[float, float]) -> None:
    """The slab that the bar's root stands in."""
    wide = LEFT * point[0]
    ax.add_patch(Rectangle((-wide, -s.thick), wide, s.thick, fc="white", ec=METAL, lw=0, hatch="////", gid="slab"))
    ax.plot([-wide, 0, 0, -wide], [0, 0, -s.thick, -s.thick], color=INK, lw=1.0, zorder=2.2)


def _draw_tang(ax: Axes, s: Sizes, point: tuple[float, float]) -> None:
    """The flat that the ball rides on."""
    start, wide, tall = _tang_from(s), s.tip + 6 * point[0] - _tang_from(s), 4 * point[1]
    ax.add_patch(Rectangle((start, s.tang), wide, tall, fc="white", ec=METAL, lw=0, hatch="\\\\\\\\\\\\", zorder=1))
    ax.plot([start, start + wide], [s.tang] * 2, color=INK, lw=1.0, zorder=2.5, label="tang")


def _tang_from(s: Sizes) -> float:
    return max(s.ball - 0.16 * s.tip, 0.0)


def _draw_stop(ax: Axes, limits: Limits, s: Sizes) -> None:
    stop = limits.service.stop
    if stop is None:
        return
    top, wide, tall = stop_face(limits, stop.place, stop.gap), 0.05 * s.tip, s.thick / 3
    hatch = "xxxxxx" if stop.kind == "stop" else "------"
    corner = stop.place - wide / 2, top - tall
    ax.add_patch(Rectangle(corner, wide, tall, fc="white", ec=METAL, lw=0.6, hatch=hatch, zorder=2.1, gid=stop.kind))
    ax.plot(stop.place + np.array([-0.5, 0.5]) * wide, [top, top], color=INK, lw=1.2, zorder=2.7, label=stop.kind)
    if stop.gap:
        ax.plot([stop.place] * 2, [top, top + stop.gap], marker="_", ms=4, mew=0.6, **HAIR, label="gap")


def _around(limits: Limits, s: Sizes) -> list[Array]:
    """What labels keep clear of beside the bar: tang, balls, stop."""
    turn, stop = np.linspace(0, 2 * np.pi, 40), limits.service.stop
    ring = s.radius * np.stack([np.cos(turn), np.sin(turn)])
    lines = [np.array([[_tang_from(s), s.tip], [s.tang] * 2])]
    lines += [ring + np.array(middle)[:, None] for middle in _balls(limits, s)]
    if stop is not None:
        x, y = stop.place, stop_face(limits, stop.place, stop.gap)
        lines.append(np.array([[x, x], [y + stop.gap, y - s.thick / 3]]))
    return lines


def _label_sides(ax: Axes, labels: Labels, s: Sizes) -> None:
    left, (low, high) = ax.get_xlim()[0], ax.get_ylim()
    labels.put("blade's side", [Spot(left, high, 4, -2, "left", "top")], style="italic")
    labels.put("outer side", [Spot(left, low, 4, 2, "left", "bottom")], style="italic")
    labels.put("slab", [Spot(left / 2, -s.thick / 2, 0, 0, "center", "center")], bbox=WHITE, style="italic")


def _label_bend(ax: Axes, labels: Labels, limits: Limits, s: Sizes, point: tuple[float, float]) -> None:
    bend, x = float(limits.side.free[-1]), s.tip + 9 * point[0]
    ax.plot([x, x], [0, bend], marker="_", ms=5, mew=0.8, color=INK, lw=0.8, zorder=3, label="bend")
    ax.plot([s.tip, x], [bend, bend], **HAIR)
    ax.plot([s.tip, x], [0, 0], **HAIR)
    side = "" if bend >= 0 else "\noutward"
    words = f"bend\n{limits.build.units.two_digits(abs(bend), 'mm')}{side}"
    labels.put(words, [Spot(x, bend / 2, 4, dy, "left", "center") for dy in (0, 8, -8)])


def _label_ball(labels: Labels, limits: Limits, s: Sizes) -> None:
    start = _tang_from(s)
    ways = [Spot(start, s.tang, -3, dy, "right", va) for dy, va in ((0, "center"), (4, "bottom"), (12, "bottom"))]
    labels.put(
        f"tang's flat {limits.build.units.two_digits(s.tang, 'mm')}",
        [*ways, Spot(s.tip, s.tang, 0, 8, "right", "bottom")],
    )
    labels.lead(start, s.tang)
    inside = [Spot(s.ball - s.radius, part * s.thick, -3, 0, "right", "center") for part in (-0.65, -0.5, -0.8)]
    below = [Spot(s.ball, -s.thick, dx, -dy, "right", "top") for dx in (-6, -20) for dy in (3, 9, 16)]
    above = [Spot(s.ball, s.high, dx, dy, ha, "bottom") for dx, dy, ha in ((0, 2, "center"), (-9, -6, "right"))]
    labels.put(f"ball {drawable(limits.build.word('ball.diameter'), 16)}", [*inside, *below, *above])
    labels.lead(s.ball - s.radius / 2, s.proud - 1.8 * s.radius)


def _label_stop(labels: Labels, limits: Limits, s: Sizes) -> None:
    stop = limits.service.stop
    if stop is not None:
        y = stop_face(limits, stop.place, stop.gap)
        words = f"{stop.kind}, gap {limits.build.units.two_digits(stop.gap, 'mm')}"
        x, half = stop.place, 0.025 * s.tip
        beside = [Spot(x - half, y, -4, dy, "right", "top") for dy in (0, -6, -12)]
        under = [Spot(x + dx * half, y - s.thick / 3, 0, -3, ha, "top") for dx, ha in ((0, "center"), (1, "right"))]
        labels.put(words, [*under, *beside])


def _label_relief(labels: Labels, limits: Limits, s: Sizes) -> None:
    side, units = limits.side, limits.build.units
    thin = side.thickness < s.thick * (1 - 1e-9)
    if not thin.any():
        return
    end, thickness = float(side.x[thin].max()), float(side.thickness[thin].min())
    inner, outer = -float(side.inner_face[0]), -float(side.inner_face[0]) - thickness
    words = [f"relief {units.two_digits(thickness, 'mm')}", f"{units.two_digits(end, 'mm')} long"]
    below = [Spot(end / 2, outer, 0, -dy, "center", "top") for dy in (3, 9, 16, 24)]
    above = [Spot(end / 2, inner, 0, dy, "center", "bottom") for dy in (3, 9, 16, 24)]
    ways = [*above, *below] if side.inner_face[0] > 0 else [*below, *above]
    labels.put("\n".join(words), ways)
    labels.lead(end / 2, inner if side.inner_face[0] > 0 else outer)


def _label_shapes(labels: Labels, limits: Limits, s: Sizes) -> None:
    side, spots = limits.side, s.tip * np.array([0.62, 0.52, 0.72, 0.42, 0.32, 0.22, 0.85])
    heights = np.interp(spots, side.x, side.free)
    over = [Spot(x, y, 0, 3, "center", "bottom") for x, y in zip(spots, heights, strict=True)]
    under = [Spot(x, y - s.thick, 0, -3, "center", "top") for x, y in zip(spots, heights, strict=True)]
    depths = [part * s.thick for part in (-0.7, -0.5, -0.3, -0.85)]
    inside = [Spot(x, y, 0, 0, "center", "center") for y in depths for x in spots[:5]]
    away = [Spot(x, -s.thick, 0, -3, "center", "top") for x in spots]
    same = not np.any(side.free)
    labels.put("flat, and free" if same else "flat", [*inside, *away])
    if not same:
        labels.put("free", [*over, *under] if side.free[-1] > 0 else [*under, *over], color=OPENING)
