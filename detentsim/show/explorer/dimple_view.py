"""The explorer's drawing of the ball in its dimple."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, Polygon, Rectangle

from detentsim.show.explorer.feel_view import SIZE, START, round_up
from detentsim.show.explorer.quick_text import QuickText
from detentsim.show.one_build.feel_curve.dimple import bar_length
from detentsim.show.theme.style import CONTACT, INK, WANTED, look
from detentsim.units.systems import METRIC

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.one_build.curve.picture import Picture


class DimpleView:
    """Ball, dimple and bar at rest, to scale, with the starting outline dashed.

    Parameters
    ----------
    ax : Axes
        Where to draw; a bar of known length stands for a scale.
    start : Look
    mirrored : bool
        For a left-handed knife.
    """

    def __init__(self, ax: Axes, start: Look, mirrored: bool = False) -> None:
        self.ax, self.start, self.side = ax, start, -1 if mirrored else 1
        self.units = METRIC if start.build is None else start.build.units
        with look():
            ax.set(xticks=[], yticks=[])
            ax.spines[["left", "bottom"]].set_visible(False)
            self.bar = Rectangle((0, 0), 1, 1, fc="#e4e4e8", ec=INK, lw=1.0, zorder=1)
            self.tang = Polygon(np.zeros((3, 2)), fc="#cfcfd5", ec=INK, lw=1.2, zorder=1.2)
            self.ball = Circle((0, 0), 1, fc="#e3edfd", ec=WANTED, lw=1.6, zorder=2)
            (self.touch,) = ax.plot([], [], marker="o", ms=5, ls="none", color=CONTACT, zorder=5)
            style: dict[str, Any] = {"color": INK, "ls": START, "lw": 0.9, "zorder": 3}
            (self.was,) = ax.plot([], [], **style)
            self.was_ball = Circle((0, 0), 1, fill=False, ec=INK, ls=START, lw=0.9, zorder=3)
            for patch in (self.bar, self.tang, self.ball, self.was_ball):
                ax.add_patch(patch)
            words: dict[str, Any] = {"transform": ax.transAxes, "style": "italic", "zorder": 6}
            names = [QuickText(0.02, 0.98, "bar", va="top", **words)]
            names += [QuickText(0.02, 0.02, "tang", va="bottom", **words)]
            (self.scale,) = ax.plot([], [], color=INK, lw=2.2, solid_capstyle="butt", zorder=6)
            self.length = QuickText(0, 0, "", transform=ax.transData, ha="right", va="bottom", zorder=6)
            for text in (*names, self.length):
                ax.add_artist(text)
        parts: list[Artist] = [self.bar, self.tang, self.ball, self.was, self.was_ball, self.touch]
        self.live: list[Artist] = [*parts, self.scale, self.length, *names]
        self.frame: list[Artist] = []
        self._names = [*names, self.length]
        self.resize(SIZE)
        if start.picture is not None:
            self.was.set_data(self.side * start.picture.outline[:, 0], start.picture.outline[:, 1])
            _put(self.was_ball, start.picture, self.side)
        self.show(start)

    def resize(self, size: float) -> None:
        """Set the size of all text.

        Parameters
        ----------
        size : float
            [pt].
        """
        for text in self._names:
            text.set_fontsize(size)

    def show(self, now: Look) -> None:
        """Draw the present setting.

        Parameters
        ----------
        now : Look
            Where it has no build, only the starting outline is drawn.
        """
        found = now.picture
        wide, top, floor = self._window(found)
        self.ax.set(xlim=(-wide, wide), ylim=(floor, top))  # one scale for both: `_window` knows the axes' shape
        for part in (self.bar, self.tang, self.ball):
            part.set_visible(found is not None)
        if found is not None:
            low = [[-3 * wide, 3 * floor], [-3 * wide, 0]]
            corners = np.vstack([low, found.outline, [[3 * wide, 0], [3 * wide, 3 * floor]]])
            self.tang.set_xy(corners * [self.side, 1])
            self.bar.set_bounds(-3 * wide, found.bar_face, 6 * wide, 3 * top)
            _put(self.ball, found, self.side)
        touch = np.empty((0, 2)) if found is None else found.contacts
        self.touch.set_data(self.side * touch[:, 0], touch[:, 1])
        self._measure(wide, floor)

    def _window(self, found: Picture | None) -> tuple[float, float, float]:
        """Half width, top and floor that hold both drawings [mm]; round, so that they seldom change."""
        shown = [p for p in (self.start.picture, found) if p is not None]
        radius = max(p.radius for p in shown) if shown else 1.0
        depth = max(min(-float(p.outline[:, 1].min()), 1.9 * radius) for p in shown) if shown else 1.0
        top = max(max(p.ball[1] + 1.15 * p.radius, p.bar_face + 0.4 * p.radius) for p in shown) if shown else 1.0
        wide, tall = round_up(1.6 * radius), round_up(top) + round_up(1.1 * depth)
        box = self.ax.bbox
        middle, scale = round_up(top) - tall / 2, max(2 * wide / box.width, tall / box.height)  # [mm/px]
        return scale * box.width / 2, middle + scale * box.height / 2, middle - scale * box.height / 2

    def _measure(self, wide: float, floor: float) -> None:
        length, words = bar_length(0.6 * wide, self.units)
        x, y = 0.95 * wide - length, floor + 0.04 * wide
        self.scale.set_data([x, x + length], [y, y])
        self.length.set_position((x + length, y + 0.03 * wide))
        self.length.set_text(words)


def _put(circle: Circle, found: Picture, side: int) -> None:
    circle.set_center((side * found.ball[0], found.ball[1]))
    circle.set_radius(found.radius)
