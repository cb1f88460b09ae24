"""Moment and stress along the bar, beside what it withstands.

Takes finished limits; on the side view's own scale along the bar.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.show.one_build.limits.frame import frame_along
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import (
    CLOSING,
    CONTACT,
    INK,
    LABEL,
    OPENING,
    Array,
    drawing,
    lines_of,
    need,
    size_on_paper,
)
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.units.systems import UnitSystem

# Room that a label needs between two lines to belong to one of them [pt].
NEEDS = 7.0

STYLES: dict[str, dict[str, Any]] = {
    "unlocked": {"color": OPENING, "ls": "-", "zorder": 3},
    "stopped": {"color": CLOSING, "ls": (0, (6, 1.5)), "zorder": 3.2},
    "residual": {"color": INK, "ls": (0, (1, 1)), "lw": 1.1, "zorder": 2.8},
    "borne": {"color": CONTACT, "ls": (0, (8, 2, 1.5, 2)), "zorder": 2.9},
}


def bar_moment(limits: Limits, ax: Axes | None = None) -> Axes:
    """Draw the bending moment along the bar: unlocked, and pushed out against what stands behind it.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Along the bar from its root across [mm], moment that bends it outward up [N*mm].

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.limits.limits import limits as compute
    >>> from detentsim.knife.packaged import demo
    >>> bar_moment(compute(demo()), Figure().subplots()).get_ylabel()
    'moment [N*mm]'
    """
    need(limits, "Limits")
    side = limits.side
    with drawing(ax, 85, 55) as ax:
        _frame_graph(ax, limits, list(side.moment.values()), "moment", "N*mm")
        labels = Labels(ax, [_zero(ax), *(np.stack([side.x, line]) for line in side.moment.values())])
        for name, line in side.moment.items():
            ax.plot(side.x, line, label=name, **STYLES[name])
            _name_line(labels, side.x, side.moment, name, _doing(limits, name))
    return ax


def _doing(limits: Limits, name: str) -> str:
    """What bends the bar, in words."""
    stop = limits.service.stop
    if name == "stopped" and stop is not None:
        words = f"tip pushed with {limits.build.units.pull(stop.push)} against the {stop.kind}"
        return words if stop.judged or stop.push != stop.before_loss else f"{words}, just before bend is lost"
    return "unlocked" if limits.service.unlock is not None else "unlocked: the ball touches nothing"


def _frame_graph(ax: Axes, limits: Limits, lines: Sequence[Array], words: str, unit: str) -> None:
    """Set the scales of a graph along the bar."""
    units = limits.build.units
    frame_along(ax, float(limits.side.x[-1]), units)
    low, high = min(0.0, *(float(one.min()) for one in lines)), max(0.0, *(float(one.max()) for one in lines))
    tall = high - low or 1.0
    ax.set(ylim=(low - 0.16 * tall, high + 0.1 * tall if high > low else 1.0))
    ax.set_ylabel(f"{words} [{units.unit(unit)}]", size=LABEL)
    round_ticks(ax.yaxis, units.scale(unit), 6)
    ax.axhline(0, color=INK, lw=0.5, zorder=1)


def _zero(ax: Axes) -> Array:
    return np.array([ax.get_xlim(), (0.0, 0.0)])


def _name_line(labels: Labels, x: Array, lines: dict[str, Array], name: str, words: str) -> None:
    """Name a line, where the next one on that side leaves most room."""
    own = 1 if name in ("stopped", "borne") else -1
    at = x[-1] * np.array([0.25, 0.15, 0.1, 0.05, 0.35, 0.45, 0.6, 0.75])
    heights = np.interp(at, x, lines[name])
    others = [np.zeros_like(at), *(np.interp(at, x, line) for key, line in lines.items() if key != name)]
    gaps = (np.array(others) - heights) * _per_unit(labels.ax)
    spots = [(_room(gaps[:, i] * side), side, i) for side in (own, -own) for i in range(at.size)]
    spots = sorted([spot for spot in spots if spot[0] >= NEEDS] or spots, key=lambda spot: -spot[0])
    ways = (("left", 3.0, 2.0), ("right", -3.0, 2.0), ("left", 0.0, 5.0))
    places = [
        Spot(float(at[i]), float(heights[i]), dx, dy * side, ha, "bottom" if side > 0 else "top")
        for _, side, i in spots
        for ha, dx, dy in ways
    ]
    away = [(dx, dy) for dy in (0.0, -16.0, 16.0, -32.0, 32.0) for dx in (28.0, 42.0, 60.0, 80.0)]
    places += [Spot(float(at[i]), float(heights[i]), *to, "left", "center") for _, _, i in spots[:4] for to in away]
    words = lines_of(words, 99 if size_on_paper(labels.ax)[0] > 300 else 28)
    labels.lead(*labels.put(words, places).xy)


def _room(gaps: Array) -> float:
    """How far it is to the next line on one side, as far as a label needs it [pt]."""
    return float(np.min(gaps[gaps >= 0], initial=2 * NEEDS))


def _per_unit(ax: Axes) -> float:
    """How many points of paper show one unit of height."""
    low, high = ax.get_ylim()
    return float(size_on_paper(ax)[1]) / (high - low)


def bar_stress(limits: Limits, ax: Axes | None = None) -> Axes:
    """Draw the stress along the bar: left by bending in, unlocked, pushed out, and what takes bend back.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Along the bar from its root across [mm], stress of its inner face up, tension positive [MPa].

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.limits.limits import limits as compute
    >>> from detentsim.knife.packaged import demo
    >>> bar_stress(compute(demo()), Figure().subplots()).get_ylabel()
    'stress, inner face [MPa]'
    """
    need(limits, "Limits")
    side, known = limits.side, _is_known(limits)
    lines = {**side.stress, "borne": side.borne} | ({"residual": side.residual} if known else {})
    words = {"borne": "above this, bend is lost", "residual": "left by bending in"}
    with drawing(ax, 85, 66) as ax:
        _frame_graph(ax, limits, list(lines.values()), "stress, inner face", "MPa")
        least = _draw_margin(ax, limits) if known else np.empty((2, 0))
        labels = Labels(ax, [_zero(ax), least, *(np.stack([side.x, line]) for line in lines.values())])
        for name, line in lines.items():
            ax.plot(side.x, line, label=name, **STYLES[name])
        if known:
            _name_margin(labels, least, limits.build.units)
        for name in lines:
            _name_line(labels, side.x, lines, name, words.get(name) or _doing(limits, name))
        if not known:
            _say_unknown(labels, limits)
    return ax


def _is_known(limits: Limits) -> bool:
    """Whether the stress that bending left is known, and so the margin."""
    return limits.bending.way != "edge" and limits.bending.bend >= 0


def _say_unknown(labels: Labels, limits: Limits) -> None:
    tip, borne = float(limits.side.x[-1]), float(limits.side.borne[-1])
    spots = [(x * tip, y * borne) for y in (0.5, 0.65, 0.35) for x in (0.95, 0.85, 0.75)]
    places = [Spot(x, y, 0, 0, "right", "center") for x, y in spots]
    labels.put("What bending left is not known\nand left out: no margin is drawn.", places, style="italic")


def past_it(limits: Limits) -> bool:
    """Whether some stress drawn is past what takes no bend back; rounding does not count.

    Parameters
    ----------
    limits : Limits
    """
    return any(bool(np.any(line > limits.side.borne * (1 + 1e-9))) for line in limits.side.stress.values())


def _draw_margin(ax: Axes, limits: Limits) -> Array:
    """Shade what is to spare, hatch what is past it, and measure where that is least; return that line."""
    side = limits.side
    worst = np.max(list(side.stress.values()), axis=0)
    spare, past = side.borne >= worst, side.borne <= worst  # where they meet belongs to both
    style: dict[str, Any] = {"lw": 0, "zorder": 1}
    ax.fill_between(side.x, worst, side.borne, where=spare, fc="#eef3fd", ec="none", label="to spare", **style)
    if past_it(limits):
        style |= {"fc": "#fbe3e5", "ec": CONTACT, "hatch": "////"}
        ax.fill_between(side.x, worst, side.borne, where=past, label="past it", **style)
    i = int(np.argmin(side.borne - worst))
    least = np.array([[side.x[i]] * 2, [worst[i], side.borne[i]]])
    ax.plot(*least, marker="_", ms=6, mew=0.8, color=INK, lw=0.8, zorder=3.4, label="least")
    return least


def _name_margin(labels: Labels, least: Array, units: UnitSystem) -> None:
    x, (asked, borne) = float(least[0, 0]), least[1]
    left = 0.0 if np.isclose(asked, borne, rtol=1e-9) else borne - asked
    words = f"{units.two_digits(abs(left), 'MPa')}\n{'to spare' if left >= 0 else 'past it'}"
    heights = ((asked + borne) / 2, 0.7 * asked + 0.3 * borne, 0.3 * asked + 0.7 * borne, borne, asked)
    places = [Spot(x, y, dx, 0, ha, "center") for dx, ha in ((-4, "right"), (4, "left")) for y in heights]
    labels.put(words, places, weight="bold")
