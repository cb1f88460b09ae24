"""Draws the feel curve: opening and closing force at the opener over blade angle.

Takes a finished curve. The first few degrees get most of the width; the rest of the swing is compressed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.one_build.curve.intervals import runs
from detentsim.knife.target.words import wanted_words
from detentsim.show.one_build.feel_curve.view import View, frame_curve, targets_of, view_of
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import CLOSING, INK, METAL, OPENING, WANTED, Array, drawing, lines_of, need
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.curve.curve import Curve
    from detentsim.knife.target.target import Target
    from detentsim.units.systems import UnitSystem


def curve(c: Curve, ax: Axes | None = None) -> Axes:
    """Draw the feel curve: opening and closing force at the opener over blade angle, with the likely band.

    Parameters
    ----------
    c : Curve
        From `detentsim.curve`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across, compressed beyond the first few degrees; force up: data in N, ticks and labels in the
        build's units.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.curve.curve import curve as compute
    >>> from detentsim.knife.packaged import demo
    >>> curve(compute(demo()), Figure().subplots()).get_ylabel()
    'force at the opener [N]'
    """
    need(c, "Curve")
    with drawing(ax, 85, 74) as ax:
        view = view_of(c, ax)
        frame_curve(ax, view, c.build.units)
        _draw_target(ax, c, view)
        _draw_lines(ax, c)
        gaps = _draw_gaps(ax, c)
        zero = np.array([[view.first, view.end], [0.0, 0.0]])
        labels = Labels(ax, [c.columns[[0, 3]], np.stack([c.band.angle, c.band.closing]), zero])
        _label_breakout(ax, labels, c, view)
        _label_ends(ax, labels, c, view)
        _label_drag(ax, labels, c, view)
        _label_target(labels, c, view)
        _label_squeezed(labels, view)
        _label_gaps(ax, labels, view, gaps)
        _label_lines(labels, c, view)
    return ax


def _draw_target(ax: Axes, c: Curve, view: View) -> None:
    for target in targets_of(c):
        low = 0.0 if target.at_least is None else target.at_least
        high = view.high if target.at_most is None else target.at_most
        ax.fill_between([view.first, view.near], low, high, color=WANTED, alpha=0.17, lw=0, zorder=0.5, label="target")
        for edge in (target.at_least, target.at_most):
            if edge is not None:
                ax.plot([view.first, view.near], [edge, edge], color=WANTED, lw=0.6, ls=(0, (1, 1.5)), zorder=0.6)


def _draw_lines(ax: Axes, c: Curve) -> None:
    band = c.band
    style: dict[str, Any] = {"alpha": 0.2, "lw": 0, "zorder": 1}
    ax.fill_between(band.angle, band.opening_low, band.opening_high, color=OPENING, **style)
    ax.fill_between(band.angle, band.closing_low, band.closing_high, color=CLOSING, **style)
    ax.plot(band.angle, band.closing, color=CLOSING, ls=(0, (4.5, 1.5)), zorder=3, label="closing")
    ax.plot(c.columns[0], c.columns[3], color=OPENING, zorder=4, label="opening")


def _draw_gaps(ax: Axes, c: Curve) -> list[tuple[float, float]]:
    """Hatch the angles where no force is quoted because the opener has no lever; return them [deg]."""
    if "locks_solid" in c.flags:
        return []
    angle, missing = c.columns[0], np.isnan(c.columns[3])
    last = len(angle) - 1
    gaps = [(float(angle[max(a - 1, 0)]), float(angle[min(b, last)])) for a, b in runs(missing)]
    for low, high in gaps:
        ax.axvspan(low, high, fc="none", ec=METAL, hatch="....", lw=0, alpha=0.7, zorder=0.7, gid="no lever")
    return gaps


def _mark(ax: Axes, view: View, name: str, at: tuple[float, float], marker: str, color: str) -> None:
    """Mark a point, with a hairline down to where its label stands; the hairline alone where there is no force."""
    end = at[1] if np.isfinite(at[1]) else 0.0
    ax.plot([at[0], at[0]], [view.low, end], color=INK, lw=0.5, ls=(0, (1, 2)), zorder=2)
    style: dict[str, Any] = {"ls": "none", "ms": 4, "mfc": "white", "mec": color, "mew": 1.1, "zorder": 5}
    ax.plot([at[0]], [at[1]], marker=marker, label=name, **style)


def _label_ends(ax: Axes, labels: Labels, c: Curve, view: View) -> None:
    band = c.band
    let_go, pull_in = c.results["let_go_angle"], c.results["pull_in_angle"]
    if let_go is not None:
        y = float(np.interp(let_go, c.columns[0], c.columns[3]))
        _mark(ax, view, "let-go", (let_go, y), "o", OPENING)
        labels.put(f"lets go {two_digits(let_go)}°", _beside(let_go, view, 1))
    if pull_in is not None:
        y = float(np.interp(pull_in, band.angle, band.closing))
        _mark(ax, view, "pull-in", (pull_in, y), "s", CLOSING)
        labels.put(f"pulls in {two_digits(pull_in)}°", _beside(pull_in, view, -1))


def _label_squeezed(labels: Labels, view: View) -> None:
    if view.near < view.end:
        places = [
            Spot(view.near, view.high, dx, -dy, "left", "top") for dx in (3, 12, 22, 32) for dy in (2, 30, 60, 90)
        ]
        places += [Spot(view.near, view.low, dx, 4, "left", "bottom") for dx in (3, 12, 22, 32)]
        labels.put("compressed to lock-up", places, style="italic", rotation=90)


def _label_drag(ax: Axes, labels: Labels, c: Curve, view: View) -> None:
    drag, middle = c.results["drag_force"], np.degrees(c.build.si("blade.open_angle")) / 2
    if drag is None or drag > view.high:
        return
    style: dict[str, Any] = {"ls": "none", "ms": 3, "mfc": OPENING, "mec": OPENING, "zorder": 5}
    ax.plot([middle], [drag], marker="D", label="drag", **style)
    ways = [("center", 0), ("right", -4), ("right", 14)]
    places = [Spot(middle, drag, dx, up, ha, "bottom") for up in (5, 14, 24, 36) for ha, dx in ways]
    places += [Spot(middle, drag, dx, -down, ha, "top") for down in (5, 14, 24) for ha, dx in ways]
    labels.put(f"drag {c.build.units.pull(drag)}\nat mid-swing", places)
    labels.lead(middle, drag)


def _beside(x: float, view: View, side: int) -> list[Spot]:
    """Places in the lane at the bottom, on one side of a hairline or the other."""
    ways = [("left", 2.5), ("right", -2.5)][::side]
    return [Spot(x, view.low, dx, dy, ha, "bottom") for dy in (2, 11, 20) for ha, dx in ways]


def _label_breakout(ax: Axes, labels: Labels, c: Curve, view: View) -> None:
    force, angle = c.results["breakout_force"], c.results["breakout_force_angle"]
    if force is None or angle is None:
        words = lines_of(f"no breakout: {c.why('breakout_force')}", 34)
        labels.put(words, [Spot(view.first, view.high, 6, -2, "left", "top")], weight="bold")
        return
    ax.plot([angle], [force], marker="o", ls="none", ms=5, color=OPENING, zorder=5, label="breakout")
    words = f"breakout {c.in_words('breakout_force')}".replace(" (", "\n(")
    sides = [("left", 4.0), ("right", -4.0)]
    places = [Spot(angle, force, dx, dy, ha, "bottom") for dy in (1.5, 6.0, -6.0, -14.0) for ha, dx in sides]
    labels.put(words, places, weight="bold")


def _label_gaps(ax: Axes, labels: Labels, view: View, gaps: list[tuple[float, float]]) -> None:
    pixels = ax.transData.transform
    for low, high in gaps:
        wide = (pixels((high, 0))[0] - pixels((low, 0))[0]) * 72 / ax.figure.dpi
        turn = 0 if wide > 50 else 90
        if wide > 8:
            height = [view.low + part * (view.high - view.low) for part in (0.6, 0.45, 0.3, 0.75, 0.84, 0.15)]
            places = [Spot((low + high) / 2, y, 0, 0, "center", "center") for y in height]
            labels.put("no leverage", places, rotation=turn)


def _label_target(labels: Labels, c: Curve, view: View) -> None:
    for target in targets_of(c):
        words, low, high = _wanted(target, view, c.build.units)
        spots = [((low + high) / 2, 0, "center"), (high, 1.5, "bottom"), (low, -1.5, "top")]
        sides = [(view.near, -2, "right"), (0.8 * view.near, 0, "right"), (view.first, 6, "left")]
        labels.put(words, [Spot(x, y, dx, dy, ha, va) for x, dx, ha in sides for y, dy, va in spots])


def _wanted(target: Target, view: View, units: UnitSystem) -> tuple[str, float, float]:
    """Words for a target on two lines, and its band as far as it shows [N]."""
    least, most, words = target.at_least, target.at_most, wanted_words(target, units)
    if least is not None and most is not None:
        return f"target\n{words}", least, most
    words = f"target {words}".replace("least ", "\nleast ").replace("most ", "\nmost ").replace(" \n", "\n")
    return words, 0.0 if least is None else least, view.high if most is None else most


def _label_lines(labels: Labels, c: Curve, view: View) -> None:
    span = c.results["let_go_angle"] or view.near
    over = [("left", "bottom", 4, 1), ("left", "center", 5, 0), ("right", "top", -4, -1)]
    under = [("right", "top", -2, -2), ("center", "top", 0, -4), ("left", "top", 2, -4), ("left", "bottom", 3, 2)]
    for words, angle, force, ways in (
        ("opening", c.columns[0], c.columns[3], over),
        ("closing", c.band.angle, c.band.closing, under),
    ):
        places = _along(angle, force, span, ways) or _along(angle, force, 0.6 * view.end, ways)
        if places:
            labels.put(words, places)


def _along(angle: Array, force: Array, span: float, ways: Sequence[tuple[str, str, float, float]]) -> list[Spot]:
    """Places along a line, the middle of the given span first."""
    at = span * np.array([0.3, 0.4, 0.5, 0.2, 0.6, 0.7, 0.8, 0.1, 0.9])
    heights = np.interp(at, angle, force)
    spots = [(float(x), float(y)) for x, y in zip(at, heights, strict=True) if np.isfinite(y)]
    return [Spot(x, y, dx, dy, ha, va) for ha, va, dx, dy in ways for x, y in spots]
