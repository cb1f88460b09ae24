"""The layout drawn at full size, with a ruler to check the printer by.

One millimetre of data is one millimetre of paper; axes given here are of known size in mm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.patches import Circle, Rectangle

from detentsim.show.one_build.layout.plan import draw_tang, draw_way, extent
from detentsim.show.theme.style import INK, OPENING, SMALL, WANTED

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.sheet.sheet import Sheet

# Room of the ruler at the foot of the drawing [mm].
RULER = 21.0


def full_size(s: Sheet, ax: Axes, wide: float, tall: float) -> None:
    """Draw the layout at full size over a ruler; without a layout, the bar's end with ball and pivot's distance.

    Parameters
    ----------
    s : Sheet
    ax : Axes
        Of that size on paper.
    wide, tall : float
        [mm]
    """
    ax.axis("off")
    middle = _middle(s, tall)
    ax.set(xlim=(middle[0] - wide / 2, middle[0] + wide / 2), ylim=(middle[1] - tall / 2, middle[1] + tall / 2))
    if s.layout is not None:
        draw_tang(ax, s.layout)
        draw_way(ax, s.layout)
    else:
        _draw_bar_end(s, ax)
    _ruler(s, ax)
    low, size = ax.get_ylim()[0] + 16.5, s.build.units.size
    words = "full size 1:1"
    if s.layout is not None:
        place = s.layout.section
        edge = "lower" if place.inward > 0 else "upper"
        down = f"{size(place.from_lock_face * 1e3)} from the bar's lock face"
        across = f"{size(place.from_edge * 1e3)} from its {edge} edge, {size(place.radius * 1e3)} from the pivot"
        words += f": ball {down},\n{across}"
    ax.text(middle[0], low, words, size=SMALL, va="center", ha="center", parse_math=False)


def _middle(s: Sheet, tall: float) -> tuple[float, float]:
    """Middle of what is drawn, with the ruler under it [mm]."""
    if s.layout is None:
        ball = s.build.si("bar.ball_from_root") * 1e3
        return ball, -RULER / 2
    left, right, low, high = extent(s.layout)
    room = tall - RULER - 4
    top = high if high - low <= room else s.layout.section.pivot[1] * 1e3 + room / 2
    return (left + right) / 2, top + 4 - tall / 2


def _draw_bar_end(s: Sheet, ax: Axes) -> None:
    """The bar's end in plan with the ball, and the circle on which the pivot lies."""
    build, size = s.build, s.build.units.size
    names = ("bar.ball_from_root", "bar.tip_from_root", "bar.width", "tang.pivot_to_ball", "ball.diameter")
    ball, tip, wide, arm, diameter = (build.si(name) * 1e3 for name in names)
    left = ax.get_xlim()[0]
    ax.add_patch(Rectangle((left, -wide / 2), tip - left, wide, fc="#f1f1f3", ec=INK, lw=0.9, gid="bar end"))
    ax.add_patch(Circle((ball, 0), diameter / 2, fc="#e3edfd", ec=WANTED, lw=1.0, gid="ball"))
    turn = np.linspace(-0.9, 0.9, 60)
    ax.plot(ball + arm * np.cos(turn), arm * np.sin(turn), color=OPENING, lw=1.0, ls=(0, (5, 2)), gid="pivot's arc")
    ax.plot([ball, ball + arm], [0, 0], color=OPENING, lw=0.6)
    ax.plot([ball, tip], [-wide / 2 - 2] * 2, color=INK, lw=0.7, marker="|", ms=5)
    ax.text(
        tip + 1.5, -wide / 2 - 2, f"ball to lock face {size(tip - ball)}", size=SMALL, va="center", parse_math=False
    )
    words = f"pivot on this arc,\n{size(arm)} from the ball"
    ax.text(ball + arm + 1.5, 2.0, words, size=SMALL, va="bottom", color=OPENING, parse_math=False)


def _ruler(s: Sheet, ax: Axes) -> None:
    """A ruler of 50 mm, or of 2 inches."""
    inch = s.build.units.length == "in"
    long, small, per = (50.8, 25.4 / 16, 16) if inch else (50.0, 1.0, 10)
    left, right = ax.get_xlim()
    x, y = (left + right - long) / 2, ax.get_ylim()[0] + 5.5
    ax.plot([x, x + long], [y, y], color=INK, lw=0.8, gid="ruler", solid_capstyle="butt")
    for number in range(round(long / small) + 1):
        tall = 3.2 if number % per == 0 else 2.2 if number % (per // 2) == 0 else 1.3
        ax.plot([x + number * small] * 2, [y, y + tall], color=INK, lw=0.5, solid_capstyle="butt")
        if number % per == 0:
            words = f"{number // per}" if inch else f"{number}"
            ax.text(x + number * small, y + 3.6, words, size=SMALL, ha="center", va="bottom")
    called = "2 in" if inch else "50 mm"
    words = f"print at 100 %: this ruler must measure {called}"
    ax.text(x + long / 2, y - 0.8, words, size=SMALL, ha="center", va="top", gid="check the printer")
