"""Axes of the feel curve: the angles and forces shown, the compressed far angles, and the ticks."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from matplotlib.ticker import FixedLocator, MaxNLocator

from detentsim.show.theme.style import INK, Array, size_on_paper
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.curve.curve import Curve
    from detentsim.knife.target.target import Target
    from detentsim.units.systems import UnitSystem

# Share of the width that the compressed rest of the swing gets.
SQUEEZED = 0.25

# Shown of a swing without a let-go [deg].
USUAL = 8.0

# How far the likely band may stretch the scale, as a multiple of the curve's own range.
STRETCH = 1.7


class View(NamedTuple):
    """What the axes show."""

    first: float  # left edge [deg]
    near: float  # where squeezing begins [deg]
    end: float  # lock-up [deg]
    low: float  # [N]
    high: float  # [N]


def view_of(c: Curve, ax: Axes) -> View:
    """Choose the angles and forces that the axes show, from let-go, likely range and target.

    Parameters
    ----------
    c : Curve
    ax : Axes
        Of their final size.

    Returns
    -------
    View
    """
    let_go, end = c.results["let_go_angle"], float(c.columns[0, -1])
    step = 0.5 if (let_go or USUAL) < 3 else 1.0
    near = USUAL if let_go is None else step * float(np.ceil(max(1.4 * let_go, 0.5) / step))
    if end < 2 * near:
        near = end
    low, high = _forces(c, near)
    above, below = np.array([22, 15]) / size_on_paper(ax)[1]
    tall = (high - low or 1.0) / max(1 - above - below, 0.3)
    return View(-0.02 * near, near, end, low - below * tall, high + above * tall)


def _forces(c: Curve, near: float) -> tuple[float, float]:
    """Lowest and highest force worth showing [N]."""
    band, seen = c.band, c.band.angle <= near
    opening = c.columns[3, c.columns[0] <= near]
    own = np.concatenate([opening, band.opening[seen], band.closing[seen], [0.0]])
    own = own[np.isfinite(own)]
    spread = np.concatenate([band.opening_high[seen], band.closing_low[seen], band.closing_high[seen]])
    spread = np.clip(spread[np.isfinite(spread)], STRETCH * own.min(), STRETCH * own.max())
    wanted = [b for t in targets_of(c) for b in (t.at_least, t.at_most) if b is not None]
    drag = c.results["drag_force"]
    if drag is not None and drag < STRETCH * own.max():
        wanted.append(drag)
    every = np.concatenate([own, spread, wanted])
    return float(every.min()), float(every.max())


def targets_of(c: Curve) -> list[Target]:
    """Targets of the breakout force that are a band of force."""
    return [t for t in c.build.target if t.name == "breakout_force" and t.change is None]


def squeeze(angle: Array, near: float, factor: float) -> Array:
    """Compress angles beyond `near` by a factor; the reciprocal factor inverts it.

    >>> float(squeeze(np.array(30.0), 10.0, 0.1)), float(squeeze(np.array(12.0), 10.0, 10.0))
    (12.0, 30.0)
    """
    return np.asarray(np.where(angle <= near, angle, near + (angle - near) * factor))


def frame_curve(ax: Axes, view: View, units: UnitSystem) -> None:
    """Set limits, compressed scale, ticks and labels of the axes; ticks in the given units, data in deg and N."""
    if view.near < view.end:
        factor = (view.near - view.first) * SQUEEZED / (1 - SQUEEZED) / (view.end - view.near)
        there, back = (partial(squeeze, near=view.near, factor=f) for f in (factor, 1 / factor))
        ax.set_xscale("function", functions=(there, back))
        ax.axvspan(view.near, view.end, color="#f1f1f3", lw=0, zorder=0)
        slash = [(-0.6, -1.0), (0.6, 1.0)]
        style: dict[str, Any] = {"marker": slash, "ms": 6, "mec": INK, "mew": 0.8, "ls": "none", "clip_on": False}
        ax.plot([view.near], [0], transform=ax.get_xaxis_transform(), gid="break", zorder=7, **style)
    ax.set(xlim=(view.first, view.end), ylim=(view.low, view.high))
    ax.xaxis.set_major_locator(FixedLocator(_ticks(view)))
    ax.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    if units.scale("N") != 1:
        round_ticks(ax.yaxis, units.scale("N"), 6)
    ax.set(xlabel="blade angle [deg]", ylabel=f"force at the opener [{units.unit('N')}]")
    ax.axhline(0, color=INK, lw=0.6, zorder=1.5, gid="zero")


def _ticks(view: View) -> list[float]:
    near = [t for t in MaxNLocator(5, steps=[1, 2, 5, 10]).tick_values(0, view.near) if 0 <= t <= view.near]
    if view.near == view.end:
        return near
    far = MaxNLocator(3, steps=[1, 1.5, 3, 4.5, 6, 9, 10]).tick_values(0, view.end)
    room = view.near + 0.2 * (view.end - view.near)
    return [*near, *(t for t in far if room <= t <= view.end)]
