"""The family of feel curves of a sweep of one input."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np
from scipy.spatial import cKDTree

from detentsim.show.many_builds.sweep.maps.shading import LINE_STYLES
from detentsim.show.many_builds.sweep.scales import AxisScale, varied
from detentsim.show.theme.labels import Labels, Spot, resampled
from detentsim.show.theme.style import INK, LABEL, SMALL, Array, drawable, drawing
from detentsim.show.theme.ticks import round_ticks
from detentsim.units.errors import InputError
from detentsim.units.systems import METRIC
from detentsim.units.wording import shown as quoted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.analysis.many_builds.sweep.family import Family
    from detentsim.units.systems import UnitSystem

MOST_CURVES = 8

USUAL = ("breakout_force", "preload", "drag_force", "draw_torque")
"""Results of a figure that names none."""


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
        Blade angle [deg] across, force up: data in N, ticks in the build's units, in N for curves alone; at most eight
        curves, chosen evenly, the build's own one heavier.

    Raises
    ------
    InputError
        Where more than one input is varied, or angles are given for curves that have theirs.

    Examples
    --------
    >>> from matplotlib.figure import Figure
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
    with drawing(ax, 85, 74) as ax:
        _frame(ax, f_or_s, curves.angle, force[shown])
        for rank, i in enumerate(shown):
            _draw_curve(ax, curves.angle, force[i], rank / max(len(shown) - 1, 1), heavy=i == own)
        traces = [np.stack([curves.angle, force[i]]) for i in shown]
        names = [f"curve {i + 1}" if scale is None else scale.text(i, _units(f_or_s)) for i in shown]
        words = _words(names, "" if scale is None else scale.name, [bool(np.isfinite(force[i]).any()) for i in shown])
        words = [drawable(w, 48) + ", this build" * (i == own) for w, i in zip(words, shown, strict=True)]
        _name_curves(Labels(ax, traces), traces, words, shown.index(own) if own is not None else None)
    return ax


def _frame(ax: Axes, given: Family | Sweep, angle: Array, force: Array) -> None:
    """Set and name the scales: force in the units of a sweep's build, in N for curves alone."""
    known = force[np.isfinite(force)]
    low, high = (min(0.0, float(known.min())), max(0.0, float(known.max()))) if known.size else (0.0, 1.0)
    ax.set(xlim=_span(angle), ylim=(low * 1.06, high + 0.12 * (high - low or 1.0)))
    ax.set_xlabel("blade angle [deg]", size=LABEL)
    units, worn = _units(given), ", worn in" if getattr(given, "worn", False) else ""
    ax.set_ylabel(f"force at the opener{worn} [{units.unit('N')}]", size=LABEL)
    if units.scale("N") != 1:
        round_ticks(ax.yaxis, units.scale("N"), 6)
    ax.tick_params(labelsize=SMALL)


def _units(given: Family | Sweep) -> UnitSystem:
    """Units of a sweep's build; curves alone have none of their own."""
    build = getattr(given, "build", None)
    return METRIC if build is None else build.units


def _words(names: list[str], input_name: str, drawn: list[bool]) -> list[str]:
    """Name of each curve; the last one drawn also names the input."""
    last = max((k for k, has_force in enumerate(drawn) if has_force), default=None)
    return [f"{input_name} {name}".lstrip() if k == last else name for k, name in enumerate(names)]


def _curves(given: object, at: Any) -> tuple[Family, AxisScale | None]:
    from detentsim.analysis.many_builds.sweep.designs import Sweep  # loaded here: figures need not load the kernel
    from detentsim.analysis.many_builds.sweep.family import Family

    if isinstance(given, Family):
        if at is not None:
            raise InputError("at", at, "these curves have their angles; give at with a sweep, or s.curves(at=...)")
        return given, None
    if not isinstance(given, Sweep):
        text = f"{quoted(given)} is no sweep and no curves; give a sweep of one input, or its s.curves()"
        raise InputError("sweep", given, text)
    scales = varied(given) or [AxisScale(axis, i) for i, axis in enumerate(given.axes)][:1]
    if len(scales) > 1:
        names = ", ".join(scale.axis.name for scale in scales)
        raise InputError("sweep", names, f"a family takes one input and this sweep varies {names}; hold the others")
    return given.curves(at), scales[0] if scales else None


def _own(scale: AxisScale | None) -> int | None:
    """Which value is the build's own."""
    if scale is None:
        return None
    same = np.flatnonzero(np.isclose(scale.at, scale.here, rtol=1e-9, atol=1e-12))
    return int(same[0]) if same.size else None


def _chosen(order: Any, own: int | None) -> list[int]:
    """A limited number of them, evenly spaced and in order; the build's own one replaces the nearest."""
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


LEFT_MARGIN = 0.08
"""Share of the width within which a label stands only to the right of its curve."""


def _name_curves(labels: Labels, traces: Sequence[Array], words: Sequence[str], own: int | None) -> None:
    """Name each curve where it stands clear of the others, the steepest climb first."""
    seen = [labels.ax.transData.transform(trace[:, np.isfinite(trace[1])].T) for trace in traces]
    dense = [resampled(points, 4.0) for points in seen]
    for i in range(len(traces) - 1, -1, -1):
        if not len(dense[i]):
            continue
        others = [points for k, points in enumerate(dense) if k != i and len(points)]
        spots = _clear(dense[i], np.vstack(others) if others else np.empty((0, 2)))
        data = labels.ax.transData.inverted().transform(spots)
        places = [Spot(float(x), float(y), dx, dy, ha, va) for dx, dy, ha, va in _ROUND for x, y in data]
        # beside the left end of a curve stand the numbers of the scale
        edge = labels.ax.transAxes.inverted().transform(spots)[:, 0]
        cramped = {float(x) for x, share in zip(data[:, 0], edge, strict=True) if share < LEFT_MARGIN}
        places = [place for place in places if not (place.ha != "left" and place.x in cramped)] or places
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


def _unbroken(labels: Labels, place: Spot) -> bool:
    """Whether the line from a place to its point crosses no label set before."""
    end = labels.ax.transData.transform((place.x, place.y))
    shift = np.array([place.dx, place.dy]) * labels.ax.figure.dpi / 72
    way = end + np.linspace(0, 1, 12)[:, None] * shift
    return not any(np.any(np.all((way >= box.min) & (way <= box.max), axis=1)) for box in labels.taken)


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
