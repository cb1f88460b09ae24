"""The explorer's drawing of the ball in its dimple, which climbs the rim as the blade opens, with its forces."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, Polygon, Rectangle

from detentsim.show.explorer.views.arrow import Arrow
from detentsim.show.explorer.views.feel_view import SIZE, START, round_up
from detentsim.show.explorer.views.quick_text import QuickText
from detentsim.show.one_build.feel_curve.dimple import bar_length, coat_lines
from detentsim.show.theme.style import CONTACT, INK, OPENING, WANTED, drawable, figure_style
from detentsim.units.numbers import two_digits
from detentsim.units.systems import METRIC

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.riding import Riding
    from detentsim.analysis.one_build.curve.picture import Picture


# Length of the longest arrow, in radii of the ball.
LONGEST = 1.5

# Room on either side of the dimple's axis, and over the flat, in radii of the ball; it leaves the dimple to the right.
LEFT, RIGHT, OVER = 1.3, 2.05, 2.15

# Lines of words under the drawing, and the height of one over the size of its letters.
WORDS, LINE = 2, 1.5

# Most lines that name a burr and coats.
FINISH = 5

# Where the second of the words on a line begins, as a part of the width.
SECOND = 0.46


class DimpleView:
    """Ball, dimple and bar at a blade angle, to scale, with the forces on the ball; the start's outline dashed.

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
        with figure_style():
            ax.set(xticks=[], yticks=[])
            ax.spines[["left", "bottom"]].set_visible(False)
            parts = self._make_parts()
            self._texts = self._make_texts()
        self.live: list[Artist] = [*parts, self.scale, *self._texts]
        self.frame: list[Artist] = []
        self.resize(SIZE)
        if start.picture is not None:
            self.was.set_data(self.side * start.picture.outline[:, 0], start.picture.outline[:, 1])
            _put(self.was_ball, start.picture, self.side)
        self.show(start)

    def _make_parts(self) -> list[Artist]:
        """Bar, tang, ball and forces, the start's outline, and the bar for a scale."""
        self.bar = Rectangle((0, 0), 1, 1, fc="#e4e4e8", ec=INK, lw=1.0, zorder=1)
        self.tang = Polygon(np.zeros((3, 2)), fc="#cfcfd5", ec=INK, lw=1.2, zorder=1.2)
        self.ball = Circle((0, 0), 1, fc="#e3edfd", ec=WANTED, lw=1.6, zorder=2)
        (self.touch,) = self.ax.plot([], [], marker="o", ms=5, ls="none", color=CONTACT, zorder=5)
        (self.was,) = self.ax.plot([], [], color=INK, ls=START, lw=0.9, zorder=3)
        self.was_ball = Circle((0, 0), 1, fill=False, ec=INK, ls=START, lw=0.9, zorder=3)
        self.pressed, self.pushed = Arrow(fc=INK, zorder=4), Arrow(fc=CONTACT, zorder=4)
        (self.scale,) = self.ax.plot([], [], color=INK, lw=2.2, solid_capstyle="butt", zorder=6)
        for patch in (self.bar, self.tang, self.ball, self.was_ball, self.pressed, self.pushed):
            self.ax.add_patch(patch)
        return [self.bar, self.tang, self.ball, self.pressed, self.pushed, self.was, self.was_ball, self.touch]

    def _make_texts(self) -> list[QuickText]:
        """Names of the parts, the scale's length, forces, and finish."""
        style: dict[str, Any] = {"transform": self.ax.transAxes, "style": "italic", "zorder": 6}
        names = [QuickText(0.02, 0.98, "bar", va="top", **style), QuickText(0.02, 0.02, "tang", va="bottom", **style)]
        self.length = QuickText(0, 0, "", transform=self.ax.transData, ha="right", va="bottom", zorder=6)
        colours = (INK, OPENING, INK, CONTACT)
        self.words = [QuickText(0, 0, "", transform=None, va="center", color=colour) for colour in colours]
        place: dict[str, Any] = {"transform": None, "ha": "right", "va": "center", "zorder": 6}
        self.finish = [QuickText(0, 0, "", **place) for _ in range(FINISH)]
        texts = [*names, self.length, *self.words, *self.finish]
        for text in texts:
            self.ax.add_artist(text)
            text.set_clip_on(False)
        return texts

    def resize(self, size: float) -> None:
        """Set the size of all text.

        Parameters
        ----------
        size : float
            [pt].
        """
        self._size = size
        for text in self._texts:
            text.set_fontsize(size)

    def show(self, now: Look, at: Riding | None = None) -> None:
        """Draw the present setting.

        Parameters
        ----------
        now : Look
            Where it has no build, only the starting outline is drawn.
        at : Riding, optional
            Where the blade stands; at rest without it.
        """
        found = now.picture if at is None else at.picture
        left, right, floor, top = self._window(now.picture)
        # one scale for both ways: `_window` knows the axes' shape
        self.ax.set(xlim=(left, right), ylim=(floor, top))
        for part in (self.bar, self.tang, self.ball):
            part.set_visible(found is not None)
        if found is not None:
            far = 3 * (right - left)
            low = [[-far, 3 * floor], [-far, 0]]
            corners = np.vstack([low, found.outline, [[far, 0], [far, 3 * floor]]])
            self.tang.set_xy(corners * [self.side, 1])
            self.bar.set_bounds(-far, found.bar_face, 2 * far, 3 * top)
            _put(self.ball, found, self.side)
        touch = np.empty((0, 2)) if found is None else found.contacts
        self.touch.set_data(self.side * touch[:, 0], touch[:, 1])
        self._force(now, at)
        self._tell(at)
        self._name_finish(now)
        self._measure(left, right, floor)

    def _force(self, now: Look, at: Riding | None) -> None:
        """Draw the forces on the ball, both to one scale that changes seldom."""
        most = max(now.greatest_force, self.start.greatest_force)
        if at is None or most <= 0:
            self.pressed.set_visible(False)
            self.pushed.set_visible(False)
            return
        drawn, (x, y) = at.picture, at.picture.ball
        long = LONGEST * drawn.radius / round_up(most)
        self.pressed.place((self.side * x, y + drawn.radius), (0.0, -long * at.pressed), drawn.radius)
        tail = drawn.contacts.mean(axis=0) if drawn.contacts.size else np.array([x, y])
        along, up = at.pushed
        self.pushed.place((self.side * tail[0], tail[1]), (self.side * long * along, long * up), drawn.radius)

    def _tell(self, at: Riding | None) -> None:
        """Write blade angle and forces under the drawing."""
        words = ["", "", "", ""]
        if at is not None:
            rim, bar = float(np.hypot(*at.pushed)), at.pressed
            finger = "no finger" if np.isnan(at.force) else f"finger {self._newtons(at.force)}"
            words = [f"blade {at.angle:.1f}°", finger, f"bar {self._newtons(bar)}", f"rim {self._newtons(rim)}"]
        box, line = self.ax.bbox, LINE * self._size * self.ax.figure.dpi / 72
        for i, (text, said) in enumerate(zip(self.words, words, strict=True)):
            row, column = divmod(i, 2)
            text.set_text(said)
            text.set_position((box.x0 + column * SECOND * box.width, box.y0 - (row + 0.7) * line))

    def _name_finish(self, now: Look) -> None:
        """Name the burr, which is drawn to scale, and the coats in the corner over the ball."""
        words: list[str] = []
        if now.build is not None:
            burr = now.build.si("dimple.burr", 0.0) > 0
            words = [f"burr {drawable(now.build.word('dimple.burr'), 14)}"] if burr else []
            words += coat_lines(now.build)
        box, line = self.ax.bbox, LINE * self._size * self.ax.figure.dpi / 72
        for i, text in enumerate(self.finish):
            text.set_text(words[i] if i < len(words) else "")
            text.set_position((box.x1 - 0.02 * box.width, box.y1 - (i + 0.7) * line))

    def _newtons(self, force: float) -> str:
        return f"{two_digits(force * self.units.scale('N'))} {self.units.unit('N')}"

    def _window(self, found: Picture | None) -> tuple[float, float, float, float]:
        """Left, right, floor and top that hold both drawings [mm]; round, so that they seldom change."""
        shown = [p for p in (self.start.picture, found) if p is not None]
        radius = round_up(max(p.radius for p in shown)) if shown else 1.0
        depth = max(min(-float(p.outline[:, 1].min()), 1.9 * radius) for p in shown) if shown else 1.0
        high = max(max(p.ball[1] + 1.15 * p.radius, p.bar_face + 0.4 * p.radius) for p in shown) if shown else 1.0
        top, low = round_up(max(high, OVER * radius)), round_up(1.1 * depth)
        wide, tall, box = (LEFT + RIGHT) * radius, top + low, self.ax.bbox
        scale = max(wide / box.width, tall / box.height)  # [mm/px]
        middle, across = self.side * (RIGHT - LEFT) * radius / 2, scale * box.width / 2
        up = (top - low) / 2
        return middle - across, middle + across, up - scale * box.height / 2, up + scale * box.height / 2

    def _measure(self, left: float, right: float, floor: float) -> None:
        wide = (right - left) / 2
        length, words = bar_length(0.6 * wide, self.units)
        x, y = right - 0.05 * wide - length, floor + 0.04 * wide
        self.scale.set_data([x, x + length], [y, y])
        self.length.set_position((x + length, y + 0.03 * wide))
        self.length.set_text(words)


def _put(circle: Circle, found: Picture, side: int) -> None:
    circle.set_center((side * found.ball[0], found.ball[1]))
    circle.set_radius(found.radius)
