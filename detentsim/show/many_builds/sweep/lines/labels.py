"""Words on line graphs of a sweep: names of lines, target band, flagged spans, the build's own value."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.one_build.curve.intervals import runs
from detentsim.show.many_builds.sweep.maps.planes import BOX
from detentsim.show.many_builds.sweep.scales import AxisScale, band_of, wanted_words
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import INK, Array, drawable, lines_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.show.many_builds.sweep.regions import Mask, Region
    from detentsim.units.systems import UnitSystem

# Values up to here are marked one by one.
FEW = 12

# How far a target may stretch the scale, as a multiple of the result's own range.
STRETCH = 1.7


def name_rows(labels: Labels, at: Array, rows: Array, by: AxisScale, units: UnitSystem) -> None:
    """Name each line beside it, lines that coincide together; the first with a value also says which input."""
    for place, group in enumerate(_together(labels.ax, at, rows)):
        row = rows[group[0]]
        known = np.flatnonzero(np.isfinite(row))
        words = ", ".join(dict.fromkeys(by.text(i, units) for i in group))
        words = drawable(f"{by.name} {words}" if place == 0 else words, 96)
        labels.put(words if len(words) <= 48 else lines_of(words, 40), _beside(at[known], row[known]))
        labels.lead(*_spot(labels, at[known], row[known]))


def _together(ax: Axes, at: Array, rows: Array) -> list[list[int]]:
    """Lines with a value, those that nowhere stand a pixel apart in one group."""
    up = np.stack([ax.transData.transform(np.stack([at, row], axis=1))[:, 1] for row in rows])
    groups: list[list[int]] = []
    for i, row in enumerate(up):
        same = (g for g in groups if np.allclose(up[g[0]], row, rtol=0, atol=1.0, equal_nan=True))
        group = next(same, None)
        if group is not None:
            group.append(i)
        elif np.any(np.isfinite(row)):
            groups.append([i])
    return groups


def _beside(x: Array, y: Array) -> list[Spot]:
    """Places along a line, above and below it."""
    spots = [round(part * (x.size - 1)) for part in (0.8, 0.5, 0.65, 0.35, 0.2, 0.95, 0.05)]
    ways = [("center", "bottom", 0, 3), ("center", "top", 0, -3), ("right", "bottom", -3, 3), ("left", "top", 3, -3)]
    ways += [("center", "bottom", 0, 14), ("center", "top", 0, -14)]
    ways += [(ha, "center", dx, dy) for dy in (0, 12, -12, 24, -24, 36, -36, 50, -50) for ha, dx in _SIDES]
    return [Spot(float(x[i]), float(y[i]), dx, dy, ha, va) for ha, va, dx, dy in ways for i in spots]


_SIDES = (("left", 8), ("right", -8), ("left", 24), ("right", -24), ("center", 0))


def _spot(labels: Labels, x: Array, y: Array) -> tuple[float, float]:
    """Point of a line next to the label set last."""
    middle = np.mean(labels.taken[-1].get_points(), axis=0)
    far = np.hypot(*(labels.ax.transData.transform(np.stack([x, y], axis=1)) - middle).T)
    i = int(np.argmin(far))
    return float(x[i]), float(y[i])


def mark_own_value(ax: Axes, labels: Labels, s: Sweep, of: str, x: AxisScale) -> None:
    """Mark the build itself at its own result, where it lies in the frame."""
    (low, high), (bottom, top), y = ax.get_xlim(), ax.get_ylim(), s.own[of]
    if y is None or not (low <= x.here <= high and bottom <= y <= top):
        return
    y = float(y)
    ax.plot([x.here, x.here], [bottom, y], color=INK, lw=0.5, ls=(0, (1, 2)), zorder=2)
    style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": 6, "mfc": "white", "mec": INK, "mew": 1.6}
    ax.plot([x.here], [y], zorder=5, label="this build", **style)
    words = lines_of(drawable(f"this build {x.own_text}", 40), 20)
    ways = [("left", 6), ("right", -6)]
    places = [Spot(x.here, y, dx, dy, ha, va) for dy, va in _UP for ha, dx in ways]
    places += [Spot(x.here, bottom, dx / 2, dy, ha, "bottom") for dy in (3, 14, 25) for ha, dx in ways]
    labels.put(words, places, weight="bold")
    labels.lead(x.here, y)


_UP = ((-6, "top"), (6, "bottom"), (14, "bottom"), (-14, "top"), (24, "bottom"), (-24, "top"))


def name_target_band(labels: Labels, s: Sweep, of: str) -> None:
    """Label the target band of a line graph, or say that it lies off the scale."""
    band, (bottom, top) = band_of(s, of), labels.ax.get_ylim()
    if band is None:
        return
    low = bottom if band.at_least is None else band.at_least
    high = top if band.at_most is None else band.at_most
    if high < bottom or low > top:
        side, dy, va = (top, -3.0, "top") if low > top else (bottom, 3.0, "bottom")
        spots, words = [(side, dy, va)], f"{wanted_words(band, s.build.units)}: off the scale"
    else:
        spots = [(high, -2.0, "top"), (low, 2.0, "bottom"), ((low + high) / 2, 0.0, "center"), (high, 2.0, "bottom")]
        spots, words = [*spots, (low, -2.0, "top")], wanted_words(band, s.build.units)
    left, right = labels.ax.get_xlim()
    sides = [(right, -4, "right"), (left, 4, "left"), ((left + right) / 2, 0, "center")]
    labels.put(words, [Spot(x, y, dx, dy, ha, va) for y, dy, va in spots for x, dx, ha in sides])


def _runs(at: Array, where: Mask) -> list[tuple[float, float]]:
    """Spans of what is flagged, up to half way to the neighbours."""
    edges = np.concatenate([[at[0] - 0.5], (at[1:] + at[:-1]) / 2, [at[-1] + 0.5]])
    if at.size > FEW:
        edges[[0, -1]] = at[[0, -1]]
    return [(float(edges[a]), float(edges[b])) for a, b in runs(where)]


def shade_span(ax: Axes, labels: Labels, at: Array, where: Mask, region: Region) -> None:
    """Hatch the spans where something is flagged; name the widest."""
    limits = ax.get_xlim()
    shaded = [(max(low, limits[0]), min(high, limits[1])) for low, high in _runs(at, where)]
    for low, high in shaded:
        ax.axvspan(
            low, high, fc="#e9e9ec", ec="#8f8f95", hatch=region.mark.hatch, lw=0, alpha=0.55, zorder=0.7
        ).set_gid(f"span {region.name}")
    if shaded:
        low, high = max(shaded, key=lambda run: run[1] - run[0])
        wide = (high - low) / (limits[1] - limits[0]) * ax.bbox.width * 72 / ax.figure.dpi
        _name_span(labels, (low, high), region.mark.words, upright=wide < 4.4 * len(region.mark.words))


def _name_span(labels: Labels, span: tuple[float, float], words: str, *, upright: bool) -> None:
    bottom, top = labels.ax.get_ylim()
    across = [(part * span[1] + (1 - part) * span[0]) for part in (0.5, 0.3, 0.7)]
    heights = [top - part * (top - bottom) for part in np.linspace(0.02, 0.85, 18)]
    places = [Spot(x, y, 0, 0, "center", "top") for y in heights for x in across]
    left = labels.ax.get_xlim()[0]
    places += [Spot(end, y, dx, 0, ha, "top") for y in heights for end, dx, ha in _ends(span, left)]
    labels.put(words, places, bbox=BOX, rotation=90 if upright else 0)


def _ends(span: tuple[float, float], left: float) -> list[tuple[float, float, str]]:
    """Beside a span that leaves no room inside."""
    return [(span[0], -3.0, "right"), (span[1], 3.0, "left")] if left < span[0] else [(span[1], 3.0, "left")]


def ring_flagged(ax: Axes, labels: Labels, at: Array, rows: Array, flagged: Mask, region: Region) -> None:
    """Ring the flagged points of several lines; name them once."""
    at_all = np.broadcast_to(at, rows.shape)
    there = flagged & np.isfinite(rows)
    if not np.any(there):
        return
    style: dict[str, Any] = {"ls": "none", "mfc": "none", "mec": INK, "mew": 0.6, "marker": _ring(region), "ms": 7}
    if at.size > 2 * FEW:  # so many that their signs would run together
        there &= np.arange(at.size) % (at.size // FEW) == 0
    ax.plot(at_all[there], rows[there], zorder=2.5, gid=f"span {region.name}", **style)
    widest = int(np.argmax(np.count_nonzero(there, axis=1)))
    x, y = at[there[widest]], rows[widest][there[widest]]
    labels.put(f"marked: {region.mark.words}", _beside(x, y), bbox=BOX)
    labels.lead(*_spot(labels, x, y))


def _ring(region: Region) -> str:
    shapes = dict(zip(("floats", "hangs_loose", "bar_on_tang", "ball_on_floor", "locks_solid"), "x^v<>", strict=True))
    shapes |= dict(
        zip(
            ("loses_bend", "dents_tang", "stands_proud", "snaps", "misses_dimple", "never_lets_go", "stopped_short"),
            "sDphdHP",
            strict=True,
        )
    )
    return shapes.get(region.name, "8")
