"""The tang in plan with the ball's way over it, the dimple, the bar that lies over it, and what comes near.

Takes a finished layout. The blade is closed; seen from the bar's side as the maker's drawing is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, PathPatch, Rectangle
from matplotlib.path import Path

from detentsim.analysis.one_build.layout.clearances import Clearance, ball_hole
from detentsim.show.theme.labels import Labels, Spot, about
from detentsim.show.theme.style import (
    CLOSING,
    CONTACT,
    INK,
    LABEL,
    METAL,
    OPENING,
    WANTED,
    Array,
    drawable,
    drawing,
    need,
)
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.mechanics.contact.plan.plane import Edges

# How much more a word across the ball's way or the outline costs than one across another line.
CUTS = 3

# Blade angles marked along the way [deg].
EVERY = 30


def tang_plan(found: Layout, ax: Axes | None = None) -> Axes:
    """Draw the tang in plan with the ball's way, the dimple and the bar's outline, to scale.

    Parameters
    ----------
    found : Layout
        From `detentsim.layout`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Along the bar across, toward its lock face; across the bar up: data in mm, scales in the build's units.
    """
    need(found, "Layout")
    with drawing(ax, 85, 78) as ax:
        _frame(ax, found)
        draw_tang(ax, found)
        draw_way(ax, found)
        _label(ax, found)
    return ax


def loops_of(found: Layout) -> list[Array]:
    """Array along each loop of the tang, arcs in short chords [mm]; the outline first.

    Parameters
    ----------
    found : Layout
    """
    edges, lines = found.tang.edges, []
    for number in range(int(edges.loop.max()) + 1):
        rows = []
        for i in np.flatnonzero(edges.loop == number).tolist():
            count = max(2, int(abs(edges.sweep[i]) / 0.03))
            rows.append(_along(edges, i, np.linspace(0, 1, count)[:-1]))
        lines.append(np.concatenate(rows))
    return lines


def _along(edges: Edges, i: int, parts: Array) -> Array:
    """Points of one edge at parts of its length [mm]; shape (n, 2)."""
    if edges.sweep[i] == 0:
        return np.asarray((edges.start[i] + parts[:, None] * (edges.end - edges.start)[i]) * 1e3)
    out = complex(*(edges.start - edges.centre)[i]) * np.exp(1j * edges.sweep[i] * parts)
    return np.asarray((edges.centre[i] + np.stack([out.real, out.imag], axis=1)) * 1e3)


def extent(found: Layout) -> tuple[float, float, float, float]:
    """What a drawing shows: the tang, the ball's way and the bar's end; left, right, low, high [mm]."""
    points = [*loops_of(found), way(found)]
    low, high = np.concatenate(points).min(axis=0), np.concatenate(points).max(axis=0)
    s = found.section
    sides = [s.bar_edge * 1e3, (s.bar_edge + s.inward * found.build.si("bar.width")) * 1e3]
    near = found.ride.radius * 1e3
    if s.pin is not None:
        half = s.pin.diameter / 2
        sides += [(s.pin.at[1] - half) * 1e3, (s.pin.at[1] + half) * 1e3]
    left = max(float(low[0]), s.pivot[0] * 1e3 - 2.6 * near)  # the blade goes on to the left
    return left, max(float(high[0]), s.lock_face * 1e3), min(float(low[1]), *sides), max(float(high[1]), *sides)


def way(found: Layout) -> Array:
    """Array along the ball's way [mm]."""
    return np.asarray(found.ride.at(np.linspace(0, found.ride.open_angle, 181)) * 1e3)


def _frame(ax: Axes, found: Layout) -> None:
    left, right, low, high = extent(found)
    room = 0.06 * max(right - left, high - low)
    ax.set(xlim=(left - room, right + 2.2 * room), ylim=(low - room, high + room))
    ax.set_aspect("equal", adjustable="box", anchor="C")
    ax.apply_aspect()
    scale, unit = found.build.units.heading("mm", max(abs(end) for end in (left, right, low, high)))
    ax.set_xlabel(f"along the bar, toward its lock face [{unit}]", size=LABEL)
    ax.set_ylabel(f"across the bar [{unit}]", size=LABEL)
    round_ticks(ax.xaxis, scale, 6)
    round_ticks(ax.yaxis, scale, 6)


def draw_tang(ax: Axes, found: Layout) -> None:
    """Draw the tang with its chamfers, the bar's end over it, and the stop pin.

    Parameters
    ----------
    ax : Axes
        With its limits set for good.
    found : Layout
    """
    loops = loops_of(found)
    corners = np.concatenate([np.vstack([line, line[:1]]) for line in loops])
    codes = np.concatenate([[Path.MOVETO, *[Path.LINETO] * (len(line) - 1), Path.CLOSEPOLY] for line in loops])
    metal = PathPatch(Path(corners, codes), fc="#f1f1f3", ec=INK, lw=0.9, zorder=2, gid="tang")
    ax.add_patch(metal)
    edges, point = found.tang.edges, 72 / float(ax.figure.dpi) * abs(float(ax.transData.get_matrix()[0, 0]))
    for i in np.flatnonzero(found.tang.chamfer > 0).tolist():
        wide, line = 2e3 * found.tang.chamfer[i] * point, _along(edges, i, np.linspace(0, 1, 40))
        (drawn,) = ax.plot(*line.T, color=METAL, alpha=0.55, lw=wide, zorder=2.1, solid_capstyle="round")
        drawn.set_clip_path(metal)
    _draw_bar(ax, found)
    pin = found.section.pin
    if pin is not None:
        middle = (pin.at[0] * 1e3, pin.at[1] * 1e3)
        style: dict[str, Any] = {"fc": "white", "ec": INK, "lw": 0.8, "hatch": "xxxx", "zorder": 2.3}
        ax.add_patch(Circle(middle, pin.diameter * 500, gid="pin", **style))


def _draw_bar(ax: Axes, found: Layout) -> None:
    """The bar's end, which lies over the tang."""
    s, wide = found.section, found.build.si("bar.width") * 1e3
    low = s.bar_edge * 1e3 - (0 if s.inward > 0 else wide)
    left = ax.get_xlim()[0] - wide
    corner, long = (left, low), s.lock_face * 1e3 - left
    ax.add_patch(Rectangle(corner, long, wide, fc="none", ec=WANTED, lw=0.9, ls=(0, (6, 2)), zorder=3, gid="bar"))
    middle = (s.ball[0] * 1e3, s.ball[1] * 1e3)
    hole = ball_hole(found.build) * 1e3
    ax.add_patch(Circle(middle, hole, fc="#e3edfd", ec=WANTED, lw=0.9, zorder=3.1, gid="ball"))


def draw_way(ax: Axes, found: Layout) -> None:
    """Draw the ball's way, full on the flat and dashed off it, and the dimple's rim.

    Parameters
    ----------
    ax : Axes
    found : Layout
    """
    ax.plot(*way(found).T, color=OPENING, lw=1.3, zorder=3.4, gid="way")
    for drop in found.drops:
        turns = np.radians(np.linspace(drop.start, drop.end, 60))
        line = found.ride.at(turns) * 1e3
        ax.plot(*line.T, color=CONTACT, lw=2.2, ls=(0, (1.2, 1.2)), zorder=3.5, gid="off the flat")
    turns = np.radians(np.arange(0, np.degrees(found.ride.open_angle) + 1e-9, EVERY))
    ax.plot(*(found.ride.at(turns) * 1e3).T, ".", color=OPENING, ms=4, zorder=3.6, gid="every 30 deg")
    rim = tuple(found.rim.centre * 1e3)
    ax.add_patch(Circle(rim, found.rim.radius * 1e3, fc="none", ec=CLOSING, lw=1.2, zorder=3.7, gid="rim"))
    pivot = np.array(found.section.pivot) * 1e3
    ax.plot(*pivot, "+", color=INK, ms=7, mew=0.8, zorder=3.2, gid="pivot")


def _bar(ax: Axes) -> Array:
    """Outline of the bar as drawn; shape (2, n)."""
    (drawn,) = [one for one in ax.patches if one.get_gid() == "bar"]
    return np.asarray(drawn.get_patch_transform().transform(drawn.get_path().vertices), float).T


def _label(ax: Axes, found: Layout) -> None:
    """Names of what is drawn, where they cover nothing."""
    line = way(found)
    turn = np.linspace(0, 2 * np.pi, 40)
    ring = found.rim.centre[:, None] * 1e3 + found.rim.radius * 1e3 * np.stack([np.cos(turn), np.sin(turn)])
    edges = [np.vstack([loop, loop[:1]]).T for loop in loops_of(found)]
    lines = [ring, _bar(ax), *edges[1:], *([line.T, edges[0]] * CUTS)]
    labels = Labels(ax, lines, length=0.12)
    _label_tight(labels, found)
    _label_drop(labels, found)
    s = found.section
    for words, place in (("dimple and ball", found.rim.centre), ("pivot", s.pivot)):
        x, y = (float(part) * 1e3 for part in place)
        labels.put(words, _about(x, y, 8))
        labels.lead(x, y)
    _label_holes(labels, found)
    low, left = s.bar_edge * 1e3, ax.get_xlim()[0]
    ways = ((s.lock_face * 1e3, -4, "right"), (left, 6, "left"))
    end = [Spot(x, low, dx, dy, ha, va) for x, dx, ha in ways for dy, va in _EDGES]
    labels.put("bar", end, color=WANTED)
    if s.pin is not None:
        x, y = s.pin.at[0] * 1e3, s.pin.at[1] * 1e3
        labels.put("stop pin", _about(x, y, 12))
        labels.lead(x, y)


_EDGES = ((4, "bottom"), (-4, "top"), (12, "bottom"))


def _about(x: float, y: float, far: float) -> list[Spot]:
    """Places round a point, nearer ones first."""
    ways = ((1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))
    return about(x, y, [part * far for part in (1, 1.4, 1.9, 2.6, 3.3, 4, 5.5, 7.5)], ways)


def _upright(x: float, y: float) -> list[Spot]:
    """Places over and under a point, in the middle of the words or near an end of them."""
    sides = (("center", 0), *((ha, way * dx) for dx in (20, 15, 10) for ha, way in (("right", 1), ("left", -1))))
    ups = (8, -8, 14, -14, 20, -20, 26, -26)
    return [Spot(x, y, dx, up, ha, "bottom" if up > 0 else "top") for up in ups for ha, dx in sides]


def _label_drop(labels: Labels, found: Layout) -> None:
    for drop in found.drops:
        x, y = found.ride.at(np.radians(drop.start)) * 1e3
        words = f"off at\n{drop.start:.0f} deg" if drop.left_by else "off\nthe tang"
        labels.put(words, [*_about(x, y, 7)[:1], *_upright(x, y), *_about(x, y, 7)[1:]], color=CONTACT)
        labels.lead(x, y)


def _label_tight(labels: Labels, found: Layout) -> None:
    """Where the ball's contact comes nearest to an edge that it does not leave by."""
    off = found.drops_off
    rows = [c for c in found.clearances if not c.leaves and (off is None or c.angle < off.start - 1e-6)]
    if rows:
        tight: Clearance = min(rows, key=lambda c: c.flat)
        x, y = found.ride.at(np.radians(tight.angle)) * 1e3
        words = f"{found.build.units.size(tight.flat)} of flat\nat {tight.angle:.0f} deg"
        labels.put(words, [*_upright(x, y), *_about(x, y, 8)])
        labels.lead(x, y)


def _label_holes(labels: Labels, found: Layout) -> None:
    """Names of holes, in the middle of each where there is room."""
    for number, loop in enumerate(loops_of(found)):
        named = {found.tang.names[i] for i in np.flatnonzero(found.tang.edges.loop == number)}
        if number and len(named) == 1 and (name := named.pop()) != "pivot":
            x, y = loop.mean(axis=0)
            labels.put(drawable(name, 20), [Spot(x, y, 0, 0, "center", "center"), *_about(x, y, 10)])
            labels.lead(x, y)
