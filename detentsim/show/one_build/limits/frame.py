"""Axes along the bar, sizes of the drawn bar, and pieces that figures of limits share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from detentsim.show.theme.style import INK, LABEL, SMALL, new_axes, size_on_paper
from detentsim.show.theme.ticks import round_ticks

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.units.systems import UnitSystem

# Room for words left of the root, right of the tip, and over and under the bar [pt].
LEFT, RIGHT, MARGIN = 40.0, 46.0, 15.0

# How many times heights may be drawn; the largest that fits is taken.
TIMES = (2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)

WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 0.0}

HAIR: dict[str, Any] = {"color": INK, "lw": 0.5, "zorder": 3}


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
    tang = float(limits.response.load.record.face_gap) * 1e3
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


def wide_axes() -> Axes:
    """Axes a page wide, with room for two lines up their side."""
    ax = new_axes(170, 52)
    box = ax.get_position()
    ax.set_position((0.1, box.y0, box.x1 - 0.1, box.height))
    return ax


def frame_along(ax: Axes, tip: float, units: UnitSystem) -> float:
    """Set the scale along the bar.

    Parameters
    ----------
    ax : Axes
    tip : float
        From the root [mm].
    units : UnitSystem
        Of the scale.

    Returns
    -------
    float
        How many millimetres one point of paper shows.
    """
    point = tip / max(float(size_on_paper(ax)[0]) - LEFT - RIGHT, 40.0)
    ax.set_xlim(-LEFT * point, tip + RIGHT * point)
    scale, unit = units.heading("mm", tip)
    round_ticks(ax.xaxis, scale, ends=(0.0, tip))
    ax.set_xlabel(f"from the root [{unit}]", size=LABEL)
    ax.tick_params(labelsize=SMALL)
    return point
