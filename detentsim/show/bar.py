"""The lock bar from the side, flat in its slab and free, with what it meets.

Takes finished limits. Root at the left, tip at the right; the blade's side up.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, Polygon, Rectangle
from matplotlib.ticker import MaxNLocator

from detentsim.analysis.bench import two
from detentsim.analysis.limits import Limits
from detentsim.show.labels import Labels, Place
from detentsim.show.scales import LABEL
from detentsim.show.style import INK, METAL, OPENING, SMALL, WANTED, drawable, look, new_axes

Line = npt.NDArray[np.float64]

# Room for words left of the root, right of the tip, and over and under the bar [pt].
LEFT, RIGHT, MARGIN = 40.0, 46.0, 15.0
# How many times heights may be drawn; the largest that fits is taken.
TIMES = (2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 0.0}
HAIR: dict[str, Any] = {"color": INK, "lw": 0.5, "zorder": 3}
ALONG = "from the root [mm]"


class Sizes(NamedTuple):
    """Sizes of what a side view shows [mm]."""

    tip: float
    ball: float  # from the root
    radius: float
    proud: float  # ball over the bar's inner face
    thick: float  # the full bar
    tang: float  # its flat over the slab's inner face
    low: float
    high: float


def sizes(limits: Limits) -> Sizes:
    """Sizes of what a side view shows, its lowest and highest point among them.

    Parameters
    ----------
    limits : Limits
    """
    side, stop = limits.side, limits.service.stop
    names = ("bar.tip_from_root", "bar.ball_from_root", "ball.diameter", "ball.protrusion", "bar.thickness")
    tip, ball, size, proud, thick = (limits.build.si(name) * 1e3 for name in names)
    tang = limits.build.si("tang.face_gap") * 1e3
    low = -thick + min(float(side.free.min()), 0.0)
    if stop is not None:
        low = min(low, stop_face(limits, stop.place, stop.gap) - thick / 3)
    high = max(tang, proud + max(float(np.interp(ball, side.x, side.free)), 0.0), float(side.free.max()))
    return Sizes(tip, ball, size / 2, proud, thick, tang, low, high)


def stop_face(limits: Limits, place: float, gap: float) -> float:
    """Height at which what stands behind the bar begins, from the flat bar's inner face [mm].

    Parameters
    ----------
    limits : Limits
    place, gap : float
        From the root, and from the flat bar [mm].
    """
    side = limits.side
    return -float(np.interp(place, side.x, side.inner_face + side.thickness)) - gap


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
        Along the bar from its root across, height over the flat bar's inner face up, toward the blade [mm]. Where
        heights are not to the scale of lengths, their label says how many times they are drawn.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.limits import limits as compute
    >>> from detentsim.build.model import demo
    >>> bar_side(compute(demo()), Figure((6.7, 2)).subplots()).get_xlabel()
    'from the root [mm]'
    """
    with look():
        ax = _wide_axes() if ax is None else ax
        s = sizes(limits)
        point = _frame_side(ax, s)
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


def _wide_axes() -> Axes:
    """Axes a page wide, with room for two lines up their side."""
    ax = new_axes(170, 52)
    box = ax.get_position()
    ax.set_position((0.1, box.y0, box.x1 - 0.1, box.height))
    return ax


def paper(ax: Axes) -> Line:
    """How wide and tall axes are on paper [pt]; shape (2,).

    Parameters
    ----------
    ax : Axes
    """
    return np.asarray(ax.bbox.size, float) * 72 / ax.figure.dpi


def frame_along(ax: Axes, tip: float) -> float:
    """Set the scale along the bar.

    Parameters
    ----------
    ax : Axes
    tip : float
        From the root [mm].

    Returns
    -------
    float
        How many millimetres one point of paper shows.
    """
    point = tip / max(float(paper(ax)[0]) - LEFT - RIGHT, 40.0)
    ax.set_xlim(-LEFT * point, tip + RIGHT * point)
    ticks = MaxNLocator(8, steps=[1, 2, 5, 10]).tick_values(0, tip)
    ax.set_xticks([tick for tick in ticks if -1e-9 <= tick <= tip * (1 + 1e-9)])
    ax.set_xlabel(ALONG, size=LABEL)
    ax.tick_params(labelsize=SMALL)
    return point


def _frame_side(ax: Axes, s: Sizes) -> tuple[float, float]:
    """Set the scales; return how many millimetres one point of paper shows along and up."""
    along, tall = frame_along(ax, s.tip), float(paper(ax)[1])
    room, content = max(tall - 2 * MARGIN, tall / 3), (s.high - s.low) / along
    times = next((n for n in TIMES if content * n <= room), TIMES[-1])
    up = along / times
    spare = tall * up - (s.high - s.low)
    ax.set_ylim(s.low - spare / 2, s.high + spare / 2)
    scale = "to scale" if times == 1 else f"heights drawn {times:g} times"
    ax.set_ylabel(f"inward of flat [mm]\n{scale}", size=LABEL)
    ax.locator_params(axis="y", nbins=6, steps=[1, 2, 5, 10])
    return along, up


def _outline(limits: Limits, shift: Line) -> Line:
    """Corners of the bar, drawn with its inner face shifted inward."""
    side = limits.side
    inner, outer = shift - side.inner_face, shift - side.inner_face - side.thickness
    return np.stack([np.append(side.x, side.x[::-1]), np.append(inner, outer[::-1])])


def _draw_bar(ax: Axes, limits: Limits, s: Sizes) -> list[Line]:
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


def _around(limits: Limits, s: Sizes) -> list[Line]:
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
    labels.put("blade's side", [Place(left, high, 4, -2, "left", "top")], style="italic")
    labels.put("outer side", [Place(left, low, 4, 2, "left", "bottom")], style="italic")
    labels.put("slab", [Place(left / 2, -s.thick / 2, 0, 0, "center", "center")], bbox=WHITE, style="italic")


def _label_bend(ax: Axes, labels: Labels, limits: Limits, s: Sizes, point: tuple[float, float]) -> None:
    bend, x = float(limits.side.free[-1]), s.tip + 9 * point[0]
    ax.plot([x, x], [0, bend], marker="_", ms=5, mew=0.8, color=INK, lw=0.8, zorder=3, label="bend")
    ax.plot([s.tip, x], [bend, bend], **HAIR)
    ax.plot([s.tip, x], [0, 0], **HAIR)
    side = "" if bend >= 0 else "\noutward"
    words = f"bend\n{two(abs(bend))} mm{side}"
    labels.put(words, [Place(x, bend / 2, 4, dy, "left", "center") for dy in (0, 8, -8)])


def _label_ball(labels: Labels, limits: Limits, s: Sizes) -> None:
    start = _tang_from(s)
    ways = [Place(start, s.tang, -3, dy, "right", va) for dy, va in ((0, "center"), (4, "bottom"), (12, "bottom"))]
    labels.put(f"tang's flat {two(s.tang)} mm", [*ways, Place(s.tip, s.tang, 0, 8, "right", "bottom")])
    labels.lead(start, s.tang)
    inside = [Place(s.ball - s.radius, part * s.thick, -3, 0, "right", "center") for part in (-0.65, -0.5, -0.8)]
    below = [Place(s.ball, -s.thick, dx, -dy, "right", "top") for dx in (-6, -20) for dy in (3, 9, 16)]
    above = [Place(s.ball, s.high, dx, dy, ha, "bottom") for dx, dy, ha in ((0, 2, "center"), (-9, -6, "right"))]
    labels.put(f"ball {drawable(limits.build.word('ball.diameter'), 16)}", [*inside, *below, *above])
    labels.lead(s.ball - s.radius / 2, s.proud - 1.8 * s.radius)


def _label_stop(labels: Labels, limits: Limits, s: Sizes) -> None:
    stop = limits.service.stop
    if stop is not None:
        y = stop_face(limits, stop.place, stop.gap)
        words = f"{stop.kind}, gap {two(stop.gap)} mm"
        x, half = stop.place, 0.025 * s.tip
        beside = [Place(x - half, y, -4, dy, "right", "top") for dy in (0, -6, -12)]
        under = [Place(x + dx * half, y - s.thick / 3, 0, -3, ha, "top") for dx, ha in ((0, "center"), (1, "right"))]
        labels.put(words, [*under, *beside])


def _label_relief(labels: Labels, limits: Limits, s: Sizes) -> None:
    side = limits.side
    thin = side.thickness < s.thick * (1 - 1e-9)
    if not thin.any():
        return
    end, thickness = float(side.x[thin].max()), float(side.thickness[thin].min())
    inner, outer = -float(side.inner_face[0]), -float(side.inner_face[0]) - thickness
    words = [f"relief {two(thickness)} mm", f"{two(end)} mm long"]
    below = [Place(end / 2, outer, 0, -dy, "center", "top") for dy in (3, 9, 16, 24)]
    above = [Place(end / 2, inner, 0, dy, "center", "bottom") for dy in (3, 9, 16, 24)]
    ways = [*above, *below] if side.inner_face[0] > 0 else [*below, *above]
    labels.put("\n".join(words), ways)
    labels.lead(end / 2, inner if side.inner_face[0] > 0 else outer)


def _label_shapes(labels: Labels, limits: Limits, s: Sizes) -> None:
    side, spots = limits.side, s.tip * np.array([0.62, 0.52, 0.72, 0.42, 0.32, 0.22, 0.85])
    heights = np.interp(spots, side.x, side.free)
    over = [Place(x, y, 0, 3, "center", "bottom") for x, y in zip(spots, heights, strict=True)]
    under = [Place(x, y - s.thick, 0, -3, "center", "top") for x, y in zip(spots, heights, strict=True)]
    depths = [part * s.thick for part in (-0.7, -0.5, -0.3, -0.85)]
    inside = [Place(x, y, 0, 0, "center", "center") for y in depths for x in spots[:5]]
    away = [Place(x, -s.thick, 0, -3, "center", "top") for x in spots]
    same = not np.any(side.free)
    labels.put("flat, and free" if same else "flat", [*inside, *away])
    if not same:
        labels.put("free", [*over, *under] if side.free[-1] > 0 else [*under, *over], color=OPENING)
