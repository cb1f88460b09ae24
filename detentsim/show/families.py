"""Sweeps of one input drawn: results as lines over it, the family of feel curves, and whole figures for files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from scipy.spatial import cKDTree

from detentsim.analysis.family import Family
from detentsim.analysis.sweep import Sweep
from detentsim.build.outcomes import RESULTS
from detentsim.shop.units import InputError
from detentsim.show.labels import Labels, Place
from detentsim.show.maps import BOX, LINE_STYLES, design_map, panels
from detentsim.show.scales import (
    LABEL,
    LEFT,
    Array,
    Mask,
    Region,
    Scale,
    band_of,
    cut_of,
    dress_x,
    foot,
    fresh_axes,
    regions,
    result_label,
    varied,
    wanted_words,
)
from detentsim.show.style import INK, MM, OPENING, SMALL, WANTED, drawable, lines_of, look, new_axes

MOST_LINES = 6
MOST_CURVES = 8
MOST_ROWS = 4
USUAL = ("breakout_force", "preload", "drag_force", "draw_torque")
"""Results of a figure that was not told which."""

# Values up to here are marked one by one.
FEW = 12
# How far a target may stretch the scale, as a multiple of the result's own range.
STRETCH = 1.7


def lines(s: Sweep, of: str, ax: Axes | None = None) -> Axes:
    """Draw a result over one input, with what is flagged shaded and named; a few lines for a second, listed input.

    Parameters
    ----------
    s : Sweep
        Of one input with more than one value, or of two of which one has at most six or is words.
    of : str
        The result.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        The input across, with a second scale in inch or thou for a length; the result up.

    Raises
    ------
    InputError
        Where the sweep has no such result, or varies more than lines can show.

    Examples
    --------
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> ax = lines(s, "breakout_force", Figure().subplots())
    >>> ax.get_xlabel(), ax.get_ylabel()
    ('bar bend [mm]', 'breakout force [N]')
    """
    s[of]  # says what the sweep has instead
    x, by = _inputs(s)
    with look():
        ax = fresh_axes(85, 78, 3.5, 10, x) if ax is None else ax
        _draw(ax, s, of, x, by)
        dress_x(ax, x)
    return ax


def _inputs(s: Sweep) -> tuple[Scale, Scale | None]:
    """The input across, and the one told apart by lines."""
    scales = varied(s) or [Scale(axis, i) for i, axis in enumerate(s.axes)][:1]
    names = ", ".join(scale.axis.name for scale in scales) or "nothing"
    if len(scales) == 1:
        return scales[0], None
    few = [scale for scale in scales if len(scale.axis) <= MOST_LINES]
    if len(scales) != 2 or not few:
        text = f"lines take one input, or a second of at most {MOST_LINES} values, and this sweep varies {names}"
        raise InputError("sweep", names, f"{text}; {_instead(len(scales))}")
    by = min(few, key=lambda scale: (not scale.is_words, len(scale.axis)))
    return next(scale for scale in scales if scale is not by), by


def _instead(count: int) -> str:
    return {0: 'vary one, such as "bar.bend"', 2: "draw a design_map"}.get(count, "hold one at a single value")


def _draw(ax: Axes, s: Sweep, of: str, x: Scale, by: Scale | None) -> None:
    """Everything inside the frame, and the label up."""
    order = np.argsort(x.at, kind="stable")
    at = x.at[order]
    rows = _rows(s, s.results[of], x, by)[:, order]
    pad = 0.0 if x.at.size > FEW else 0.04
    ax.set(xlim=x.limits(pad), ylim=_heights(ax, s, of, rows))
    ax.set_ylabel(result_label(of), size=LABEL)
    ax.tick_params(axis="y", labelsize=SMALL)
    if RESULTS[of].is_truth:
        ax.set_yticks([0, 1], ["no", "yes"])
    else:
        ax.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    _draw_target(ax, s, of)
    _draw_rows(ax, at, rows, x, of)
    labels = Labels(ax, [np.stack([at, row]) for row in rows])
    _mark_own(ax, labels, at, rows, x, by)
    if by is not None:
        _name_rows(labels, at, rows, by)
    _name_target(labels, s, of)
    if not np.any(np.isfinite(rows)):
        labels.put("no value here", [Place(at[0], 0.5, 6, 0, "left", "center")], weight="bold")
    for region in regions(s):
        flagged = _rows(s, region.where, x, by)[:, order].astype(bool)
        if by is None:
            _shade(ax, labels, at, flagged[0], region)
        else:
            _thicken(ax, labels, at, rows, flagged, region)


def _rows(s: Sweep, array: Any, x: Scale, by: Scale | None) -> Array:
    """A result as one row for each line."""
    found = cut_of(s, array, [x] if by is None else [by, x])
    return np.atleast_2d(np.asarray(found, float))


def _heights(ax: Axes, s: Sweep, of: str, rows: Array) -> tuple[float, float]:
    """Ends of the scale up: zero is shown, so that a flat line looks flat; room for words above."""
    if RESULTS[of].is_truth:
        return -0.4, 1.8
    known = rows[np.isfinite(rows)]
    if not known.size:
        return 0.0, 1.0
    low, high = min(0.0, float(known.min())), max(0.0, float(known.max()))
    band = band_of(s, of)
    for bound in (band.at_least, band.at_most) if band else ():
        if bound is not None and bound <= STRETCH * high and bound >= STRETCH * low:
            low, high = min(low, bound), max(high, bound)
    tall = high - low or 1.0
    points = ax.bbox.height * 72 / ax.figure.dpi
    return low - (0.06 * tall if low < 0 else 0.0), high + tall * min(30 / points, 0.4)


def _draw_target(ax: Axes, s: Sweep, of: str) -> None:
    band, (bottom, top) = band_of(s, of), ax.get_ylim()
    if band is None:
        return
    low = bottom if band.at_least is None else band.at_least
    high = top if band.at_most is None else band.at_most
    ax.axhspan(low, high, color=WANTED, alpha=0.17, lw=0, zorder=0.5, gid="target")
    for edge in (band.at_least, band.at_most):
        if edge is not None:
            ax.axhline(edge, color=WANTED, lw=0.6, ls=(0, (1, 1.5)), zorder=0.6)
    ax.set_ylim(bottom, top)


def _draw_rows(ax: Axes, at: Array, rows: Array, x: Scale, of: str) -> None:
    for i, row in enumerate(rows):
        style: dict[str, Any] = {"ls": LINE_STYLES[i % len(LINE_STYLES)], "color": OPENING if i == 0 else _shade_of(i)}
        if x.is_words:
            style |= {"lw": 0.6}
        if at.size <= FEW or np.count_nonzero(np.isfinite(row)) < 2:
            style |= {"marker": "osD^vP"[i % 6], "ms": 4}
        if RESULTS[of].is_truth:
            style |= {"drawstyle": "steps-mid"}
        ax.plot(at, row, zorder=3, label=of if len(rows) == 1 else f"{of} {i}", **style)
    if ax.get_ylim()[0] < 0 and not RESULTS[of].is_truth:
        ax.axhline(0, color=INK, lw=0.6, zorder=1.5, gid="zero")


def _shade_of(index: int) -> str:
    return ["#7a21dd", "#5790fc", "#964a8b", "#f89c20", "#e42536", "#77777c"][index % 6]


def _name_rows(labels: Labels, at: Array, rows: Array, by: Scale) -> None:
    """Name each line beside it; the first with a value also says which input."""
    first = int(np.argmax(np.any(np.isfinite(rows), axis=1)))
    for i, row in enumerate(rows):
        known = np.flatnonzero(np.isfinite(row))
        if known.size:
            words = drawable(f"{by.name} {by.text(i)}" if i == first else by.text(i), 48)
            labels.put(words, _beside(at[known], row[known]))
            labels.lead(*_spot(labels, at[known], row[known]))


def _beside(x: Array, y: Array) -> list[Place]:
    """Places along a line, above and below it."""
    spots = [int(part * (x.size - 1)) for part in (0.8, 0.5, 0.65, 0.35, 0.2, 0.95, 0.05)]
    ways = [("center", "bottom", 0, 3), ("center", "top", 0, -3), ("right", "bottom", -3, 3), ("left", "top", 3, -3)]
    ways += [("center", "bottom", 0, 14), ("center", "top", 0, -14)]
    return [Place(float(x[i]), float(y[i]), dx, dy, ha, va) for ha, va, dx, dy in ways for i in spots]


def _spot(labels: Labels, x: Array, y: Array) -> tuple[float, float]:
    """Point of a line next to the label set last."""
    middle = np.mean(labels.taken[-1].get_points(), axis=0)
    far = np.hypot(*(labels.ax.transData.transform(np.stack([x, y], axis=1)) - middle).T)
    i = int(np.argmin(far))
    return float(x[i]), float(y[i])


def _mark_own(ax: Axes, labels: Labels, at: Array, rows: Array, x: Scale, by: Scale | None) -> None:
    """Mark where the build itself stands, where it lies in the sweep."""
    low, high = ax.get_xlim()
    if not low <= x.here <= high:
        return
    row = rows[0] if by is None else _own_row(rows, by)
    y = np.nan if row is None else float(np.interp(x.here, at, row))
    bottom, top = ax.get_ylim()
    ax.plot([x.here, x.here], [bottom, y if np.isfinite(y) else top], color=INK, lw=0.5, ls=(0, (1, 2)), zorder=2)
    style: dict[str, Any] = {"ls": "none", "marker": "o", "ms": 6, "mfc": "white", "mec": INK, "mew": 1.6}
    ax.plot([x.here], [y], zorder=5, label="this build", **style)
    words = lines_of(drawable(f"this build {x.own_text}", 40), 20)
    foot = y if np.isfinite(y) else bottom
    ways = [("left", 6), ("right", -6)]
    places = [Place(x.here, foot, dx, dy, ha, va) for dy, va in _UP for ha, dx in ways]
    places += [Place(x.here, bottom, dx / 2, dy, ha, "bottom") for dy in (3, 14, 25) for ha, dx in ways]
    labels.put(words, places, weight="bold")
    if np.isfinite(y):
        labels.lead(x.here, y)


_UP = ((-6, "top"), (6, "bottom"), (14, "bottom"), (-14, "top"), (24, "bottom"), (-24, "top"))


def _own_row(rows: Array, by: Scale) -> Array | None:
    same = np.flatnonzero(np.isclose(by.at, by.here, rtol=1e-9, atol=1e-12))
    return np.asarray(rows[same[0]]) if same.size else None


def _name_target(labels: Labels, s: Sweep, of: str) -> None:
    band, (bottom, top) = band_of(s, of), labels.ax.get_ylim()
    if band is None:
        return
    low = bottom if band.at_least is None else band.at_least
    high = top if band.at_most is None else band.at_most
    if high < bottom or low > top:
        side, dy, va = (top, -3.0, "top") if low > top else (bottom, 3.0, "bottom")
        spots, words = [(side, dy, va)], f"{wanted_words(band)}: off the scale"
    else:
        spots = [(high, -2.0, "top"), (low, 2.0, "bottom"), ((low + high) / 2, 0.0, "center"), (high, 2.0, "bottom")]
        spots, words = [*spots, (low, -2.0, "top")], wanted_words(band)
    left, right = labels.ax.get_xlim()
    sides = [(right, -4, "right"), (left, 4, "left"), ((left + right) / 2, 0, "center")]
    labels.put(words, [Place(x, y, dx, dy, ha, va) for y, dy, va in spots for x, dx, ha in sides])


def _runs(at: Array, where: Mask) -> list[tuple[float, float]]:
    """Spans of what is flagged, up to half way to the neighbours."""
    edges = np.concatenate([[at[0] - 0.5], (at[1:] + at[:-1]) / 2, [at[-1] + 0.5]])
    if at.size > FEW:
        edges[[0, -1]] = at[[0, -1]]
    steps = np.flatnonzero(np.diff(np.concatenate([[False], where, [False]]).astype(int)))
    return [(float(edges[a]), float(edges[b])) for a, b in steps.reshape(-1, 2)]


def _shade(ax: Axes, labels: Labels, at: Array, where: Mask, region: Region) -> None:
    """Hatch the spans where something is flagged; name the widest."""
    limits = ax.get_xlim()
    runs = [(max(low, limits[0]), min(high, limits[1])) for low, high in _runs(at, where)]
    for low, high in runs:
        ax.axvspan(
            low, high, fc="#e9e9ec", ec="#8f8f95", hatch=region.mark.hatch, lw=0, alpha=0.55, zorder=0.7
        ).set_gid(f"span {region.name}")
    if runs:
        low, high = max(runs, key=lambda run: run[1] - run[0])
        wide = (high - low) / (limits[1] - limits[0]) * ax.bbox.width * 72 / ax.figure.dpi
        _name_span(labels, (low, high), region.mark.words, upright=wide < 4.4 * len(region.mark.words))


def _name_span(labels: Labels, span: tuple[float, float], words: str, *, upright: bool) -> None:
    bottom, top = labels.ax.get_ylim()
    across = [(part * span[1] + (1 - part) * span[0]) for part in (0.5, 0.3, 0.7)]
    heights = [top - part * (top - bottom) for part in np.linspace(0.02, 0.85, 18)]
    places = [Place(x, y, 0, 0, "center", "top") for y in heights for x in across]
    left = labels.ax.get_xlim()[0]
    places += [Place(end, y, dx, 0, ha, "top") for y in heights for end, dx, ha in _ends(span, left)]
    labels.put(words, places, bbox=BOX, rotation=90 if upright else 0)


def _ends(span: tuple[float, float], left: float) -> list[tuple[float, float, str]]:
    """Beside a span that leaves no room inside."""
    return [(span[0], -3.0, "right"), (span[1], 3.0, "left")] if left < span[0] else [(span[1], 3.0, "left")]


def _thicken(ax: Axes, labels: Labels, at: Array, rows: Array, flagged: Mask, region: Region) -> None:
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
    shapes |= dict(zip(("loses_bend", "dents_tang", "stands_proud", "snaps"), "sDph", strict=True))
    return shapes.get(region.name, "8")


def family(f_or_s: Family | Sweep, ax: Axes | None = None, at: Any = None) -> Axes:
    """Draw the feel curves of a sweep of one input: finger force over blade angle, each named by its value.

    Parameters
    ----------
    f_or_s : Family or Sweep
        A sweep of one input, or its curves, which are then told apart by their number.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.
    at : array quantity, (start, stop, count) or list of angles, optional
        Blade angles, for a sweep.

    Returns
    -------
    Axes
        Blade angle [deg] across, force [N] up; at most eight curves, chosen evenly, the build's own one heavier.

    Raises
    ------
    InputError
        Where more than one input is varied, or angles are given for curves that have theirs.

    Examples
    --------
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> family(s, Figure().subplots()).get_ylabel()
    'force at the opener [N]'
    """
    curves, scale = _curves(f_or_s, at)
    force = curves.force.reshape(-1, curves.angle.size)
    order = np.arange(len(force)) if scale is None or scale.is_words else np.argsort(scale.at, kind="stable")
    own = _own(scale)
    shown = _chosen(order, own)
    with look():
        ax = new_axes(85, 74) if ax is None else ax
        known = force[shown][np.isfinite(force[shown])]
        low, high = (min(0.0, float(known.min())), max(0.0, float(known.max()))) if known.size else (0.0, 1.0)
        ax.set(xlim=_span(curves.angle), ylim=(low * 1.06, high + 0.12 * (high - low or 1.0)))
        ax.set_xlabel("blade angle [deg]", size=LABEL)
        ax.set_ylabel("force at the opener [N]", size=LABEL)
        ax.tick_params(labelsize=SMALL)
        for rank, i in enumerate(shown):
            _draw_curve(ax, curves.angle, force[i], rank / max(len(shown) - 1, 1), heavy=i == own)
        labels = Labels(ax, [np.stack([curves.angle, force[i]]) for i in shown])
        words = [f"curve {i + 1}" if scale is None else scale.text(i) for i in shown]
        drawn = [k for k, i in enumerate(shown) if np.any(np.isfinite(force[i]))]
        if scale is not None and drawn:
            words[drawn[-1]] = f"{scale.name} {words[drawn[-1]]}"
        words = [drawable(w, 48) + (", this build" if i == own else "") for w, i in zip(words, shown, strict=True)]
        traces = [np.stack([curves.angle, force[i]]) for i in shown]
        _name_curves(labels, traces, words, shown.index(own) if own is not None else None)
    return ax


def _curves(given: Family | Sweep, at: Any) -> tuple[Family, Scale | None]:
    if isinstance(given, Family):
        if at is not None:
            raise InputError("at", at, "these curves have their angles; give at with a sweep, or s.curves(at=...)")
        return given, None
    scales = varied(given) or [Scale(axis, i) for i, axis in enumerate(given.axes)][:1]
    if len(scales) > 1:
        names = ", ".join(scale.axis.name for scale in scales)
        raise InputError("sweep", names, f"a family takes one input and this sweep varies {names}; hold the others")
    return given.curves(at), scales[0] if scales else None


def _own(scale: Scale | None) -> int | None:
    """Which value is the build's own."""
    if scale is None:
        return None
    same = np.flatnonzero(np.isclose(scale.at, scale.here, rtol=1e-9, atol=1e-12))
    return int(same[0]) if same.size else None


def _chosen(order: Any, own: int | None) -> list[int]:
    """At most so many, evenly, in their order; the build's own one takes the place of the nearest."""
    places = np.unique(np.round(np.linspace(0, len(order) - 1, min(len(order), MOST_CURVES))).astype(int))
    if own is not None:
        place = int(np.flatnonzero(order == own)[0])
        places[int(np.argmin(np.abs(places - place)))] = place
    return [int(order[place]) for place in places]


def _span(angle: Array) -> tuple[float, float]:
    low, high = float(angle.min()), float(angle.max())
    return (low, high) if low < high else (low - 0.5, high + 0.5)


def _draw_curve(ax: Axes, angle: Array, force: Array, part: float, *, heavy: bool) -> None:
    colour = matplotlib.colormaps["cividis"](0.82 * (1 - part))
    style = LINE_STYLES[round(part * 7) % len(LINE_STYLES)]
    marker = "." if angle.size == 1 else ""
    ax.plot(angle, force, color=colour, ls=style, marker=marker, lw=2.6 if heavy else 1.2, zorder=4 if heavy else 3)


def _name_curves(labels: Labels, traces: Sequence[Array], words: Sequence[str], own: int | None) -> None:
    """Name each curve where it stands clear of the others, the steepest climb first."""
    seen = [labels.ax.transData.transform(trace[:, np.isfinite(trace[1])].T) for trace in traces]
    dense = [_resampled(points) for points in seen]
    for i in range(len(traces) - 1, -1, -1):
        if not len(dense[i]):
            continue
        others = [points for k, points in enumerate(dense) if k != i and len(points)]
        spots = _clear(dense[i], np.vstack(others) if others else np.empty((0, 2)))
        data = labels.ax.transData.inverted().transform(spots)
        places = [Place(float(x), float(y), dx, dy, ha, va) for dx, dy, ha, va in _ROUND for x, y in data]
        places.sort(key=lambda place: not _unbroken(labels, place))
        x, y = labels.put(words[i], places, weight="bold" if i == own else "normal").xy
        middle = np.mean(labels.taken[-1].get_points(), axis=0)
        labels.lead(x, y)
        end = labels.ax.transData.transform((x, y))
        labels.points = np.vstack([labels.points, np.linspace(middle, end, 20)])
        labels.ax.plot([x], [y], marker="o", ms=2.4, mfc="white", mec=INK, mew=0.6, ls="none", zorder=5, gid="dot")


_ROUND = (
    *((3, 0, "left", "bottom"), (4, 0, "left", "center"), (0, 4, "center", "bottom"), (0, -4, "center", "top")),
    *((-4, 0, "right", "center"), (14, 8, "left", "bottom"), (14, -8, "left", "top"), (22, 14, "left", "bottom")),
    *((30, 24, "left", "bottom"), (40, 34, "left", "bottom"), (20, -20, "left", "top"), (54, 44, "left", "bottom")),
)


def _unbroken(labels: Labels, place: Place) -> bool:
    """Whether the line from a place to its point crosses no label set before."""
    end = labels.ax.transData.transform((place.x, place.y))
    shift = np.array([place.dx, place.dy]) * labels.ax.figure.dpi / 72
    way = end + np.linspace(0, 1, 12)[:, None] * shift
    return not any(np.any(np.all((way >= box.min) & (way <= box.max), axis=1)) for box in labels.taken)


def _resampled(points: Array, step: float = 4.0) -> Array:
    """Points of a line a few pixels apart."""
    if len(points) < 2:
        return points
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = np.arange(0.0, gone[-1] + step, step)
    return np.stack([np.interp(at, gone, points[:, k]) for k in (0, 1)], axis=1)


def _clear(points: Array, others: Array, most: int = 8) -> Array:
    """The points of a line that are farthest from all others, some way apart."""
    # a lone line: at its top
    far = np.asarray(cKDTree(others).query(points)[0] if len(others) else points[:, 1].copy(), float)
    chosen: list[int] = []
    enough = 0.6 * far.max() if len(others) else -np.inf
    while len(chosen) < most and far.max() > -np.inf and far.max() >= enough:
        best = int(np.argmax(far))
        chosen.append(best)
        far[max(best - 4, 0) : best + 5] = -np.inf
    return points[chosen]


def sweep_figure(s: Sweep, of: str | Sequence[str] | None = None) -> Figure:
    """Draw a sweep as a whole figure: lines for one input, a map for two, panels for three.

    Parameters
    ----------
    s : Sweep
        Of at most three inputs with more than one value.
    of : str or sequence of str, optional
        Results: up to four lines one over the other; on a map the first is filled and the others are lines. By
        default the breakout force, with preload and drag where there is room.

    Returns
    -------
    Figure
        Half a page wide, panels a full page; of no window and no notebook, to be saved by `detentsim.show.saving`.

    Raises
    ------
    InputError
        Where the sweep has no such result, or varies too many inputs.

    Examples
    --------
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> [ax.get_ylabel() for ax in sweep_figure(s, ["preload", "breakout_force"]).axes]
    ['preload [N]', 'breakout force [N]']
    """
    names = _results(s, of)
    scales = varied(s)
    if len(scales) > 3:
        found = ", ".join(scale.axis.name for scale in scales)
        text = f"a figure takes at most three inputs and this sweep varies {found}; hold one at a single value"
        raise InputError("sweep", found, text)
    if len(scales) == 3:
        return panels(s, names[0], also=names[1:])
    listed = [scale for scale in scales if scale.is_words and len(scale.axis) <= MOST_LINES]
    if len(scales) == 2 and not listed:
        with look():
            figure = Figure(figsize=(85 * MM, 98 * MM))
            x = min(scales, key=lambda scale: scale.place)
            low = foot(x, 58)
            ax = figure.add_axes((LEFT / 85, low / 98, 58 / 85, (95.5 - low) / 98))
        design_map(s, names[0], ax, also=names[1:])
        return figure
    return _stack(s, names)


def _results(s: Sweep, of: str | Sequence[str] | None) -> tuple[str, ...]:
    """Names of the results to draw, at most four."""
    if of is None:
        usual = [name for name in USUAL if name in s.results] or list(s.results)
        many = len(varied(s)) < 2
        return tuple(usual[: MOST_ROWS if many else 2])
    names = (of,) if isinstance(of, str) else tuple(of)
    for name in names:
        s[name]  # says what the sweep has instead
    if not 1 <= len(names) <= MOST_ROWS:
        raise InputError("of", of, f"a figure takes one to {MOST_ROWS} results and {len(names)} are given")
    return names


def _stack(s: Sweep, names: Sequence[str]) -> Figure:
    """Lines one over the other, the input across shared."""
    x, by = _inputs(s)
    count = len(names)
    row = {1: 60, 2: 50}.get(count, 42)
    low = foot(x, 85 - LEFT - 3.5)
    tall = 12.5 + low + row * count
    with look():
        figure = Figure(figsize=(85 * MM, tall * MM))
        grid = figure.add_gridspec(
            count, 1, left=LEFT / 85, right=1 - 3.5 / 85, bottom=low / tall, top=1 - 12 / tall, hspace=0.12
        )
        for i, name in enumerate(names):
            ax = figure.add_subplot(grid[i], sharex=figure.axes[0] if i else None)
            _draw(ax, s, name, x, by)
        dress_x(figure.axes[0], x)
        for ax in figure.axes[:-1]:
            ax.tick_params(labelbottom=False)
            ax.set_xlabel("")
        figure.axes[-1].set_xlabel(x.label, size=LABEL)
        figure.align_ylabels()
    return figure
