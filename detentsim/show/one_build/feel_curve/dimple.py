"""Ball, dimple and contact at rest, drawn to scale in section along the ball's path.

Takes the points that the analysis made; measures on the drawing what it labels, and computes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Arc, Circle, Polygon, Rectangle

from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import CONTACT, INK, METAL, WANTED, drawable, drawing, need, size_on_paper
from detentsim.show.theme.ticks import round_ticks
from detentsim.units.systems import METRIC, NO_LENGTH

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.curve.curve import Curve
    from detentsim.analysis.one_build.curve.picture import Picture
    from detentsim.knife.model import Build
    from detentsim.units.systems import UnitSystem

# Room for words beside the tang, in its foot, and under it [pt].
LANE, NAMES, FOOT = 50.0, 46.0, 14.0

WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 1.0}


def dimple(c: Curve, ax: Axes | None = None) -> Axes:
    """Draw ball, dimple and contact at rest, to scale; mirrored for a left-handed knife.

    Parameters
    ----------
    c : Curve
        From `detentsim.curve`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Along the ball's path across, height over the tang up, one scale for both: data in mm, ticks and labels in the
        build's units.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.curve.curve import curve as compute
    >>> from detentsim.knife.packaged import demo
    >>> dimple(compute(demo()), Figure().subplots()).get_ylabel()
    'height over the tang [mm]'
    """
    need(c, "Curve")
    picture = c.picture
    with drawing(ax, 85, 78) as ax:
        sheet = _Sheet(ax, picture, c.build.hand == "left", c.build.units)
        _draw_parts(sheet)
        _draw_contact(sheet, c)
        middle = np.array([[0.0, 0.0], [sheet.floor, 0.0]])
        labels = Labels(ax, [picture.outline.T, middle])
        _label_parts(sheet, labels, c)
        _label_sizes(sheet, labels, c)
        _label_drills(sheet, labels, c)
        _label_burr(sheet, labels, c)
        _label_coats(sheet, labels, c)
        _scale_bar(sheet, labels)
    return ax


class _Sheet:
    """The axes of a drawing with the limits of what it shows [mm]; `point` is how many mm one point of paper shows."""

    def __init__(self, ax: Axes, picture: Picture, mirrored: bool, units: UnitSystem) -> None:
        self.ax, self.picture, self.units, radius = ax, picture, units, picture.radius
        self.side = -1 if mirrored else 1
        self.width = float(np.abs(picture.outline[:, 0]).max())
        self.deepest = max(float(picture.outline[:, 1].min()), -1.9 * radius)
        floor = self.deepest - 0.12 * radius
        self.top = max(picture.ball[1] + 1.2 * radius, picture.bar_face + 0.5 * radius)
        points = size_on_paper(ax)
        room = np.maximum(points - (2 * LANE, NAMES + FOOT), points / 4)
        self.point = 1 / float(min(room / (2 * self.width, self.top - floor)))
        self.floor = floor - NAMES * self.point
        self.lane = self.width + 4 * self.point
        edge = max(points[0] / 2, self.width / self.point + LANE) * self.point
        ax.set(xlim=(-edge * self.side, edge * self.side), ylim=(self.floor - FOOT * self.point, self.top))
        ax.set_aspect("equal", adjustable="box", anchor="C")
        ax.apply_aspect()
        per, unit = units.pair(1.0, "mm")
        ax.set(xlabel=f"along the ball's path, + is opening [{unit}]", ylabel=f"height over the tang [{unit}]")
        if per == 1.0:
            ax.locator_params(nbins=6, steps=[1, 2, 5, 10])
        else:
            round_ticks(ax.xaxis, per, 6)
            round_ticks(ax.yaxis, per, 6)
            ax.yaxis.labelpad = 0.5  # numbers in thou are wider

    def place(self, x: float, y: float, dx: float, dy: float, ha: str, va: str) -> Spot:
        """A place for a label, mirrored with the drawing."""
        turned = {"left": "right", "right": "left"}.get(ha, ha) if self.side < 0 else ha
        return Spot(x, y, dx * self.side, dy, turned, va)


def _draw_parts(sheet: _Sheet) -> None:
    ax, picture = sheet.ax, sheet.picture
    wide, (x, y) = sheet.width, picture.ball
    corners = np.vstack([[-wide, sheet.floor], picture.outline, [wide, sheet.floor]])
    lean = ("////", "\\\\\\\\")[:: sheet.side]
    style: dict[str, Any] = {"ec": METAL, "lw": 0, "zorder": 1}
    window = Rectangle((-wide, sheet.floor), 2 * wide, sheet.top - sheet.floor, transform=ax.transData)
    ax.add_patch(Polygon(corners, fc="white", hatch=lean[0], gid="tang", **style)).set_clip_path(window)
    bar = (-wide, picture.bar_face), 2 * wide, sheet.top - picture.bar_face
    ax.add_patch(Rectangle(*bar, fc="#f1f1f3", hatch=lean[1], gid="bar", **style))
    (surface,) = ax.plot(*picture.outline.T, color=INK, lw=1.2, zorder=3, label="tang")
    surface.set_clip_path(window)
    ax.plot([-wide, wide], [picture.bar_face] * 2, color=INK, lw=1.2, ls=(0, (7, 1)), zorder=1.5, label="bar face")
    ax.add_patch(Circle((x, y), picture.radius, fc="#e3edfd", ec=WANTED, lw=1.4, zorder=2, gid="ball"))
    ax.plot([0, 0], [sheet.floor, min(y, 0) + 0.1], color=INK, lw=0.5, ls=(0, (9, 2, 1, 2)), zorder=1.6)


def _draw_contact(sheet: _Sheet, c: Curve) -> None:
    ax, picture = sheet.ax, sheet.picture
    angle, centre, radius = c.results["contact_angle"], np.array(picture.ball), picture.radius
    for point in picture.contacts:
        line = np.stack([centre, centre + 1.28 * (point - centre)])
        ax.plot(*line.T, color=CONTACT, lw=0.9, ls=(0, (5, 1.5)), zorder=4)
        ax.plot(*point, marker="o", ms=4.5, color=CONTACT, zorder=5, label="contact")
    if angle is None or not len(picture.contacts):
        return
    ax.plot([centre[0]] * 2, [centre[1], centre[1] - 0.92 * radius], color=INK, lw=0.5, ls=(0, (9, 2, 1, 2)), zorder=4)
    size = 0.95 * radius
    ax.add_patch(Arc(picture.ball, size, size, theta1=270, theta2=270 + angle, color=CONTACT, lw=0.9, zorder=4))


def _label_parts(sheet: _Sheet, labels: Labels, c: Curve) -> None:
    picture, angle = sheet.picture, c.results["contact_angle"]
    (x, y), radius = picture.ball, picture.radius
    words, up = f"ball {drawable(c.build.word('ball.diameter'), 16)}\n", 0.36 * radius
    if angle is None or not len(picture.contacts):
        words, up = words + "carries\nnothing", 0.0
    else:
        words += f"contact ψ {angle:.0f}°"
        half = np.radians(max(angle, 24) / 2)
        at = x + 0.62 * radius * np.sin(half), y - 0.62 * radius * np.cos(half)
        labels.put("ψ", [sheet.place(*at, 0, 0, "center", "center")], color=CONTACT)
    labels.put(words, [sheet.place(x, y + up, 0, 0, "center", "center")])
    for name, height, va, dy in (("bar", sheet.top, "top", -3), ("tang", sheet.floor, "bottom", 3)):
        corners = [sheet.place(-sheet.width, height, 3, dy, "left", va)]
        labels.put(name, corners, bbox=WHITE, style="italic")


def _label_sizes(sheet: _Sheet, labels: Labels, c: Curve) -> None:
    picture = sheet.picture
    low, seat = picture.ball[1] - picture.radius, c.results["seat_depth"]
    # a ball held off the middle by its over-close reaches less deep than reports say of one that is seated
    off = low < 0 and seat is not None and len({sheet.units.two_digits(depth, "mm") for depth in (-low, seat)}) > 1
    _size(sheet, labels, -1, low, "below flat" if low < 0 else "clear", "rests\n" if off else "")
    _size(sheet, labels, 1, picture.bar_face, "to bar")
    sheet.ax.plot([picture.ball[0], -sheet.lane], [low, low], color=INK, lw=0.45, zorder=3.5)


def _size(sheet: _Sheet, labels: Labels, side: int, height: float, what: str, before: str = "") -> None:
    """Measure a height from the flat, in the lane on one side of the drawing."""
    ax, x = sheet.ax, side * sheet.lane
    for level in (0.0, height):
        ax.plot([side * sheet.width, x * 1.03], [level, level], color=INK, lw=0.45, zorder=3)
    ax.plot([x, x], [0, height], color=INK, lw=0.8, marker="_", ms=5, mew=0.8, zorder=3, label=what)
    ha = "left" if side > 0 else "right"
    lies = f"{'bar' if side > 0 else 'ball'} lies\non tang"
    words = lies if abs(height) < NO_LENGTH else f"{before}{sheet.units.two_digits(abs(height), 'mm')}\n{what}"
    labels.put(words, [sheet.place(x, height / 2, 4 * side, 0, ha, "center")])


def _label_drills(sheet: _Sheet, labels: Labels, c: Curve) -> None:
    word = c.build.word
    outline = sheet.picture.outline
    pilot, depth = drawable(word("dimple.pilot_drill"), 14), drawable(word("dimple.pilot_depth"), 14)
    right = outline[outline[:, 0] > 0]
    wall = float(np.interp(0.55 * sheet.deepest, right[:, 1], right[:, 0]))
    _drill(sheet, labels, f"first drill\n{pilot}\n{depth} deep", (-wall, 0.55 * sheet.deepest), -1)
    rim = word("dimple.rim_drill")
    if rim and rim != "none" and c.rim_feed is not None:
        feed = c.build["dimple.rim_feed"]
        fed = drawable(feed.text, 14) if feed else sheet.units.size(c.rim_feed.here)
        edge = right[right[:, 1] < 0][-1]
        _drill(sheet, labels, f"second drill\n{drawable(rim, 14)}\nfed {fed}", (edge[0], edge[1]), 1)


def _label_burr(sheet: _Sheet, labels: Labels, c: Curve) -> None:
    """Name the burr, which may be as thin as the line, in a lane under the flat; nothing without one."""
    burr = c.build["dimple.burr"]
    if burr is None or not burr.si:
        return
    outline = sheet.picture.outline
    x, y = np.abs(outline[int(np.argmax(outline[:, 1]))])
    lane = (sheet.width - x) / sheet.point + 4
    beside = [(side, down) for down in (12, 20, 28, 36) for side in (1, -1)]
    places = [sheet.place(n * x, y, n * lane, -down, "left" if n > 0 else "right", "top") for n, down in beside]
    labels.lead(*labels.put(f"burr\n{drawable(burr.text, 14)}", places, bbox=WHITE).xy)


def _label_coats(sheet: _Sheet, labels: Labels, c: Curve) -> None:
    """Name the coats in a lane over the flat; the outlines are those of the coated parts."""
    lines = coat_lines(c.build)
    if lines:
        lanes = [sheet.place(n * sheet.width, sheet.top, 4 * n, -2, ("right", "left")[n > 0], "top") for n in (-1, 1)]
        labels.put("\n".join(lines), lanes)


def coat_lines(build: Build) -> list[str]:
    """Lines that name the coats of a build; empty where nothing is coated.

    Parameters
    ----------
    build : Build

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> coat_lines(demo().change({"tang.coating": "3 um"}))
    ['coated', 'tang 3 um']
    """
    names = [(part, f"{part}.coating") for part in ("tang", "ball", "bar")]
    lines = [f"{part} {drawable(build.word(name), 14)}" for part, name in names if build.si(name, 0.0) > 0]
    return ["coated", *lines] if lines else []


def _drill(sheet: _Sheet, labels: Labels, words: str, at: tuple[float, float], side: int) -> None:
    """Name a drill at the bottom of the tang, with a leader to what it cut."""
    inner, outer = ("right", "left")[::side]
    corner = side * (sheet.width - 2 * sheet.point)
    places = [sheet.place(corner, sheet.floor, 0, 16, inner, "bottom")]
    places += [sheet.place(side * sheet.width, sheet.floor, 2 * side, up, outer, "bottom") for up in (16, 4)]
    labels.put(words, places, bbox=WHITE)
    labels.lead(*at)


def bar_length(room: float, units: UnitSystem = METRIC) -> tuple[float, str]:
    """Length of a drawing's scale bar: the longest round one that is shorter than the room for it, with its words.

    Parameters
    ----------
    room : float
        Length that there is room for [mm].
    units : UnitSystem
        Of which the length is a round number.

    Returns
    -------
    tuple of float and str
        Length [mm], and the same in the units.

    Examples
    --------
    >>> bar_length(0.9), bar_length(0.05)
    ((0.5, '0.5 mm'), (0.1, '0.1 mm'))
    """
    per, unit = units.pair(1.0, "mm")
    sizes = _ROUND if per == 1.0 else tuple(50 * size for size in _ROUND)
    size = next((size for size in sizes if size / per < room), sizes[-1])
    return size / per, f"{size:g} {unit}"


# Lengths of a scale bar [mm]; fifty times as many in thou.
_ROUND = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1)


def _scale_bar(sheet: _Sheet, labels: Labels) -> None:
    length, words = bar_length(0.7 * sheet.width, sheet.units)
    y = sheet.floor - 7 * sheet.point
    ends = np.array([sheet.width - length, sheet.width])
    sheet.ax.plot(ends, [y, y], color=INK, lw=2.0, solid_capstyle="butt", zorder=5, label="scale")
    labels.put(words, [sheet.place(ends[0], y, -3, 0, "right", "center")])
