"""A result of a sweep over one input, drawn as lines, with what is flagged marked and named."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from detentsim.analysis.designs import Sweep
from detentsim.build.outcomes import RESULTS
from detentsim.shop.units import InputError
from detentsim.show.labels import Labels, Place
from detentsim.show.maps import LINE_STYLES
from detentsim.show.planes import BOX
from detentsim.show.scales import (
    LABEL,
    UNSOLVED,
    Array,
    Mask,
    Region,
    Scale,
    band_of,
    check_sweep,
    cut_of,
    dress_x,
    fresh_axes,
    hold,
    names_in,
    regions,
    result_label,
    values_of,
    varied,
    wanted_words,
)
from detentsim.show.style import INK, OPENING, SMALL, WANTED, drawable, lines_of, look

MOST_LINES = 6

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
    >>> from matplotlib.figure import Figure
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ("1 mm", "3 mm", 5)})
    >>> ax = lines(s, "breakout_force", Figure().subplots())
    >>> ax.get_xlabel(), ax.get_ylabel()
    ('bar bend [mm]', 'breakout force [N]')
    """
    check_sweep(s)
    (of,) = names_in([of])
    s[of]  # says what the sweep has instead
    x, by = inputs_of(s)
    with look():
        ax = fresh_axes(85, 78, 3.5, 10, x) if ax is None else ax
        draw_lines(ax, s, of, x, by)
        dress_x(ax, x)
    return ax


def inputs_of(s: Sweep) -> tuple[Scale, Scale | None]:
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
    known = {0: 'vary one, such as "bar.bend"', 2: "draw a design_map", 3: f"draw panels, or {hold(3, 2)}"}
    return known.get(count) or hold(count, 2)


def draw_lines(ax: Axes, s: Sweep, of: str, x: Scale, by: Scale | None) -> None:
    """Everything inside the frame, and the label up."""
    order = np.argsort(x.at, kind="stable")
    at = x.at[order]
    rows = _rows(s, values_of(s, of), x, by)[:, order]
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
    _mark_own(ax, labels, s, of, x)
    if by is not None:
        _name_rows(labels, at, rows, by)
    _name_target(labels, s, of)
    if not np.any(np.isfinite(rows)) and np.any(_rows(s, s.done, x, by)):
        labels.put("no value here", [Place(at[0], 0.5, 6, 0, "left", "center")], weight="bold")
    for region in regions(s):
        flagged = _rows(s, region.where, x, by)[:, order].astype(bool)
        if region.mark is UNSOLVED:
            _shade(ax, labels, at, np.any(flagged, axis=0), _unsolved(region, flagged))
        elif by is None:
            _shade(ax, labels, at, flagged[0], region)
        else:
            _thicken(ax, labels, at, rows, flagged, region)


def _unsolved(region: Region, flagged: Mask) -> Region:
    """What was not solved, told from where some lines were."""
    some = np.any(flagged, axis=0) & ~np.all(flagged, axis=0)
    return region._replace(mark=region.mark._replace(words="not all solved")) if np.any(some) else region


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
    own = s.own[of]
    low, high = min(0.0, float(known.min())), max(0.0, float(known.max()))
    band = band_of(s, of)
    for bound in (own, *((band.at_least, band.at_most) if band else ())):
        if bound is not None and STRETCH * low <= bound <= STRETCH * high:
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
        if x.is_named:  # nothing lies between two words: at most a faint guide for the eye
            style |= {"lw": 0.6, "ls": (0, (1, 3)) if len(rows) > 1 else "none"}
        elif x.is_words:
            style |= {"lw": 0.6}
        if at.size <= FEW or x.is_named or np.count_nonzero(np.isfinite(row)) < 2:
            style |= {"marker": "osD^vP"[i % 6], "ms": 4}
        if RESULTS[of].is_truth:
            style |= {"drawstyle": "steps-mid"}
        ax.plot(at, row, zorder=3, label=of if len(rows) == 1 else f"{of} {i}", **style)
    if ax.get_ylim()[0] < 0 and not RESULTS[of].is_truth:
        ax.axhline(0, color=INK, lw=0.6, zorder=1.5, gid="zero")


def _shade_of(index: int) -> str:
    return ["#7a21dd", "#5790fc", "#964a8b", "#f89c20", "#e42536", "#77777c"][index % 6]


def _name_rows(labels: Labels, at: Array, rows: Array, by: Scale) -> None:
    """Name each line beside it, lines that coincide together; the first with a value also says which input."""
    for place, group in enumerate(_together(labels.ax, at, rows)):
        row = rows[group[0]]
        known = np.flatnonzero(np.isfinite(row))
        words = ", ".join(dict.fromkeys(by.text(i) for i in group))
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


def _beside(x: Array, y: Array) -> list[Place]:
    """Places along a line, above and below it."""
    spots = [round(part * (x.size - 1)) for part in (0.8, 0.5, 0.65, 0.35, 0.2, 0.95, 0.05)]
    ways = [("center", "bottom", 0, 3), ("center", "top", 0, -3), ("right", "bottom", -3, 3), ("left", "top", 3, -3)]
    ways += [("center", "bottom", 0, 14), ("center", "top", 0, -14)]
    ways += [(ha, "center", dx, dy) for dy in (0, 12, -12, 24, -24, 36, -36, 50, -50) for ha, dx in _SIDES]
    return [Place(float(x[i]), float(y[i]), dx, dy, ha, va) for ha, va, dx, dy in ways for i in spots]


_SIDES = (("left", 8), ("right", -8), ("left", 24), ("right", -24), ("center", 0))


def _spot(labels: Labels, x: Array, y: Array) -> tuple[float, float]:
    """Point of a line next to the label set last."""
    middle = np.mean(labels.taken[-1].get_points(), axis=0)
    far = np.hypot(*(labels.ax.transData.transform(np.stack([x, y], axis=1)) - middle).T)
    i = int(np.argmin(far))
    return float(x[i]), float(y[i])


def _mark_own(ax: Axes, labels: Labels, s: Sweep, of: str, x: Scale) -> None:
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
    places = [Place(x.here, y, dx, dy, ha, va) for dy, va in _UP for ha, dx in ways]
    places += [Place(x.here, bottom, dx / 2, dy, ha, "bottom") for dy in (3, 14, 25) for ha, dx in ways]
    labels.put(words, places, weight="bold")
    labels.lead(x.here, y)


_UP = ((-6, "top"), (6, "bottom"), (14, "bottom"), (-14, "top"), (24, "bottom"), (-24, "top"))


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
