"""Drawing of how the blade falls with the handle held in each attitude."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Polygon

from detentsim.analysis.one_build.motion.attitudes import ATTITUDES
from detentsim.show.one_build.motion.strip import BLADE, HANDLE, REACH, UNDER, mixed, side_of, turned, two_deg
from detentsim.show.theme.style import CLOSING, INK, METAL, SMALL, Array, drawing, lines_of, need, size_on_paper

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.motion.falling import Hang
    from detentsim.analysis.one_build.motion.motion import Motion


# Mean width of a letter, and width of a picture under which names wrap [pt].
LETTER, NAME = 3.85, 66.0


def attitudes(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw how the blade falls with the handle held each way: let go, and where it comes to; down is down the page.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a page wide.

    Returns
    -------
    Axes
        In blade lengths, one picture beside the other, in two rows on narrow axes; one scale for both, without ticks.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> ax = attitudes(compute(demo()), Figure((6.7, 1.8)).subplots())
    >>> len([p for p in ax.patches if p.get_gid() == "handle"])
    5
    """
    need(motion, "Motion")
    with drawing(ax, 170, 48) as ax:
        ax.set_axis_off()
        wide, tall = size_on_paper(ax)
        rows, across = _rows(len(motion.attitudes), wide, tall)
        wide_each, tall_each = wide / across, tall / rows
        unit = min(wide_each, max(tall_each - UNDER, tall_each / 3)) / (2 * REACH)  # one blade length [pt]
        ax.set(xlim=(0, wide / unit), ylim=(REACH - tall / unit, REACH))
        if not motion.attitudes:
            words = "How the blade falls is not known: the build gives no mass or no balance_radius of the blade."
            ax.text(0.5, 0.5, lines_of(words, 60), transform=ax.transAxes, ha="center", va="center", size=SMALL)
        for i, hang in enumerate(motion.attitudes):
            row, column = divmod(i, across)
            middle = np.array([(column + 0.5) * wide_each, -row * tall_each]) / unit
            _draw_attitude(ax, motion, hang, middle - [_off_pivot(motion, hang), 0.0])
            _say_attitude(ax, motion, hang, middle, int(wide_each / LETTER))
    return ax


def _rows(count: int, wide: float, tall: float) -> tuple[int, int]:
    """Rows of pictures, and how many lie in one: two where one would wrap every name, and there is the height."""
    if wide / max(count, 1) < NAME and tall >= 2 * (UNDER + NAME / 2):
        return 2, max(1, -(-count // 2))
    return 1, max(count, 1)


def _from(motion: Motion) -> float:
    """Blade angle that it is let go at [deg]."""
    return float(np.degrees(min(motion.build.si("attitude.close_from"), motion.build.si("blade.open_angle"))))


def _off_pivot(motion: Motion, hang: Hang) -> float:
    """How far right of the pivot the middle of a picture lies, so that none reaches the next [blade lengths]."""
    closed, end = -90.0 - hang.down_angle, 0.0 if hang.hangs is None else hang.hangs
    shapes = ((HANDLE, closed), (BLADE, closed + _from(motion)), (BLADE, closed + end))
    across = np.concatenate([turned(shape, at, side_of(motion))[:, 0] for shape, at in shapes])
    return float(across.min() + across.max()) / 2


def _draw_attitude(ax: Axes, motion: Motion, hang: Hang, middle: Array) -> None:
    side, start = side_of(motion), _from(motion)
    closed = -90.0 - hang.down_angle
    end = 0.0 if hang.hangs is None else hang.hangs
    handle = turned(HANDLE, closed, side) + middle
    ax.add_patch(Polygon(handle, fc="#f1f1f3", ec=INK, lw=0.9, joinstyle="round", zorder=1, gid="handle"))
    let_go, comes_to = (turned(BLADE, closed + angle, side) + middle for angle in (start, end))
    style: dict[str, Any] = {"joinstyle": "round", "lw": 0.8}
    ax.add_patch(Polygon(comes_to, fc=mixed(METAL, 0.75), ec=INK, zorder=2, gid="comes to", **style))
    ax.add_patch(Polygon(let_go, fc="none", ec=INK, ls=(0, (2, 1.5)), zorder=2.2, gid="let go", **style))
    if start - end > 8:
        arc = [turned(np.array([[0.62, 0.0]]), closed + float(at), side)[0] for at in np.linspace(start, end, 30)]
        path = np.array(arc) + middle
        ax.plot(*path.T, color=CLOSING, lw=1.3, zorder=3, label="falls")
        tip = {"arrowstyle": "-|>", "color": CLOSING, "lw": 1.3, "shrinkA": 0, "shrinkB": 0}
        ax.annotate("", tuple(path[-1]), tuple(path[-4]), arrowprops=tip, zorder=3)
    ax.plot(*middle, marker="o", ms=3.5, mfc="white", mec=INK, mew=0.8, zorder=5, label=hang.name)


def _say_attitude(ax: Axes, motion: Motion, hang: Hang, middle: Array, letters: int) -> None:
    words = "falls shut" if hang.falls else "swings open" if hang.opens else "stays open"
    if hang.hangs is not None and hang.hangs < _from(motion) - 1e-6:
        words = f"hangs at {two_deg(hang.hangs)}"
    below: dict[str, Any] = {"textcoords": "offset points", "va": "top", "ha": "center", "size": SMALL, "zorder": 6}
    foot = (middle[0], middle[1] - REACH)
    ax.annotate(words, foot, (0, -2), weight="bold", **below)
    ax.annotate(_named(hang, max(letters, 8)), foot, (0, -12), linespacing=1.1, **below)


def _named(hang: Hang, letters: int) -> str:
    """The name of an attitude, wrapped; for the build's own, the name it has in the list too."""
    if hang.name != "as given":
        return lines_of(hang.name, letters)
    same = [name for name, angle in ATTITUDES.items() if abs((angle - hang.down_angle + 180) % 360 - 180) <= 1e-9]
    return "as given:\n" + lines_of(same[0] if same else f"down at {hang.down_angle:.4g} deg", letters)
