"""A blade in motion, in pictures: thrown open at equal times, and let fall with the handle held one way or another.

Takes a finished motion. Outlines are schematic: lengths are the blade's, shapes are not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.colors import to_rgb
from matplotlib.patches import Polygon

from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import INK, OPENING, Array, drawing, lines_of, need, size_on_paper
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.motion.motion import Motion
    from detentsim.analysis.one_build.motion.opening import Budget

# Outlines in blade lengths, from the pivot: along the blade, and toward its spine, which leaves the slot first.
BLADE = np.array(
    [
        (-0.07, 0.02), (-0.03, 0.085), (0.66, 0.085), (0.86, 0.055), (1.0, 0.0), (0.93, -0.05), (0.82, -0.08),
        (0.7, -0.09), (0.2, -0.09), (0.17, -0.06), (0.0, -0.07), (-0.06, -0.04),
    ]
)  # fmt: skip

HANDLE = np.array(
    [
        (-0.13, -0.06), (-0.13, 0.03), (-0.1, 0.06), (1.06, 0.06), (1.12, 0.0), (1.1, -0.12), (1.02, -0.17),
        (-0.05, -0.17),
    ]
)  # fmt: skip

# How far the farthest point of an outline is from the pivot, and a balance point from it, in blade lengths.
REACH, BALANCE = 1.14, 0.45

# Numbers of positions in a strip; the one is taken whose times are roundest.
POSITIONS = (8, 7, 9, 6)

# Room for words about a strip [pt], and under each picture of an attitude.
SIDES, OVER, UNDER = 60.0, 20.0, 38.0


def blade_length(motion: Motion) -> float:
    """Length that the blade is drawn with [mm]: its own, or one that goes with its balance point or its opener.

    Parameters
    ----------
    motion : Motion
    """
    si = motion.build.si
    guesses = (si("blade.length"), si("blade.balance_radius") / BALANCE, 6 * si("opener.radius"))
    return 1e3 * next(one for one in guesses if np.isfinite(one) and one > 0)


def turned(outline: Array, angle: float, side: int = 1) -> Array:
    """An outline turned by an angle [deg] and, for a left-handed knife, mirrored.

    Parameters
    ----------
    outline : array, shape (n, 2)
    angle : float
        From the x axis, counter-clockwise before mirroring.
    side : int
        1, or -1 to mirror.

    Examples
    --------
    >>> turned(np.array([[1.0, 0.0]]), 180.0, -1).round(9).tolist()
    [[1.0, 0.0]]
    """
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.asarray(outline @ np.array([[c, s], [-s, c]]) * (side, 1))


def side_of(motion: Motion) -> int:
    """Sign of the drawn opening sense: -1 for a left-handed knife, 1 otherwise."""
    return -1 if motion.build.hand == "left" else 1


def lock_up(motion: Motion) -> float:
    """Blade angle at lock-up [deg]."""
    return float(np.degrees(motion.build.si("blade.open_angle")))


def blade_strip(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw the blade thrown open at equal times, from faint to dark; mirrored for a left-handed knife.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, a page wide.

    Returns
    -------
    Axes
        From the pivot, handle level with its slot up [mm]; one scale for both, without ticks.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> len([p for p in blade_strip(compute(demo()), Figure((6.7, 2.4)).subplots()).patches if p.get_gid() == "blade"])
    8
    """
    need(motion, "Motion")
    with drawing(ax, 170, 62) as ax:
        times, angles = _positions(motion.budget)
        size, side = blade_length(motion), side_of(motion)
        shapes = _draw_strip(ax, motion, angles)
        upright = [turned(BLADE * size, 90.0, side)] if times.size == 1 else []
        _fit(ax, np.vstack([*shapes, *upright]))
        ray = _leaves_ray(motion)
        labels = Labels(ax, [ray.T, *(np.vstack([shape, shape[:1]]).T for shape in shapes)])
        _label_end(labels, motion, times, size, side)
        _label_leaves(ax, labels, motion, ray)
        _label_times(labels, motion, times, angles, side)
        _label_strip(ax, labels, motion, times)
    return ax


def _positions(budget: Budget | None) -> tuple[Array, Array]:
    """Equal times [s] and the blade's angles then [deg], as far as it moves."""
    if budget is None:
        return np.zeros(1), np.zeros(1)
    timed = np.isfinite(budget.time)
    last = float(budget.time[timed][-1])
    if last == 0:
        return np.zeros(1), budget.angle[:1]
    count = min(POSITIONS, key=lambda n: abs(float(two_digits(last / (n - 1) * 1e3)) / (last / (n - 1) * 1e3) - 1))
    times = np.linspace(0, last, count)
    return times, np.interp(times, budget.time[timed], budget.angle[timed])


def _draw_strip(ax: Axes, motion: Motion, angles: Array) -> list[Array]:
    """Handle, blades and where it stalls; return their outlines."""
    size, side = blade_length(motion), side_of(motion)
    handle = turned(HANDLE * size, 0.0, side)
    ax.add_patch(Polygon(handle, fc="#f1f1f3", ec=INK, lw=1.0, joinstyle="round", zorder=1, gid="handle"))
    shapes = [handle]
    for i, angle in enumerate(angles):
        shapes.append(turned(BLADE * size, angle, side))
        dark = (i + 1) / angles.size
        style: dict[str, Any] = {"fc": (*mixed(OPENING, 0.12 + 0.5 * dark), 0.75), "ec": mixed(INK, 0.3 + 0.7 * dark)}
        ax.add_patch(Polygon(shapes[-1], lw=0.7, joinstyle="round", zorder=2 + 0.1 * i, gid="blade", **style))
    stall = motion.results["stall_angle"]
    if stall is not None:
        shapes.append(turned(BLADE * size, float(stall), side))
        ax.add_patch(Polygon(shapes[-1], fc="none", ec=INK, lw=1.0, ls=(0, (3, 1.5)), zorder=4, gid="stalls"))
    ax.plot([0], [0], marker="o", ms=5, mfc="white", mec=INK, mew=1.0, zorder=5, label="pivot")
    return shapes


def mixed(color: str, share: float) -> tuple[float, float, float]:
    """A colour mixed with so much white that its share is left."""
    red, green, blue = (1 - share * (1 - part) for part in to_rgb(color))
    return red, green, blue


def _fit(ax: Axes, points: Array) -> None:
    """Set one scale for both directions, with room for words; hide the ticks."""
    low, high = points.min(axis=0), points.max(axis=0)
    page = size_on_paper(ax)
    room = np.maximum(page - 2 * np.array([SIDES, OVER]), page / 4)
    half, middle = page * float(np.max((high - low) / room)) / 2, (low + high) / 2
    ax.set(xlim=(middle[0] - half[0], middle[0] + half[0]), ylim=(middle[1] - half[1], middle[1] + half[1]))
    ax.set_axis_off()


def _outward(angle: float, length: float, side: int, off: float = 4.0) -> Spot:
    """The place just beyond the end of a ray from the pivot."""
    (along,) = turned(np.array([[1.0, 0.0]]), angle, side)
    x, y = (round(float(part), 6) for part in along)
    ha = "center" if abs(x) < 0.3 else ("left" if x > 0 else "right")
    va = "center" if abs(y) < 0.5 else ("bottom" if y > 0 else "top")
    return Spot(x * length, y * length, off * x, off * y, ha, va)


def _label_end(labels: Labels, motion: Motion, times: Array, size: float, side: int) -> None:
    """Say at the blade's tip where and when it arrives, or where it stalls."""
    stall, end = motion.results["stall_angle"], lock_up(motion)
    if motion.budget is None:
        return
    if stall is not None:
        words, angle = f"stalls at {two_deg(stall)}:\n{motion.opening.stall}", float(stall)
    else:
        words, angle = f"lock-up at\n{times[-1] * 1e3:.0f} ms", end
    (tip,) = turned(np.array([[size, 0.0]]), angle, side)
    onward = -side if np.sin(np.radians(angle)) > 0 else side
    ahead = [Spot(tip[0], tip[1], 5.0 * onward, dy, "left" if onward > 0 else "right", "bottom") for dy in (0, 5, -6)]
    level = abs(np.sin(np.radians(angle))) < 0.5
    labels.put(words, _around(angle, size, side) if level else [*ahead, *_around(angle, size, side)], weight="bold")
    labels.lead(float(tip[0]), float(tip[1]))


def _around(angle: float, length: float, side: int) -> list[Spot]:
    """Places beyond the end of a ray from the pivot, the nearest first, and those that the blade has yet to come to."""
    turns = (0.0, 6.0, 12.0, 20.0, 28.0, -6.0, -12.0, -20.0)
    return [_outward(angle + turn, length, side, off) for off in (4.0, 12.0, 22.0) for turn in turns]


def two_deg(angle: float) -> str:
    """A blade angle in words: to a degree, the first few in two digits.

    >>> two_deg(101.02), two_deg(0.289)
    ('101 deg', '0.29 deg')
    """
    return f"{two_digits(angle) if abs(angle) < 9.95 else f'{angle:.0f}'} deg"


def _leaves_ray(motion: Motion) -> Array:
    """Where the finger loses the blade on its way, as a line from near the pivot; shape (2, 2), or (0, 2) for none."""
    leaves, end = motion.opening.leaves, lock_up(motion)
    stall = motion.results["stall_angle"]
    last = end - 1e-6 if stall is None else float(stall)
    if motion.budget is None or not motion.budget.angle[0] <= leaves <= last:
        return np.empty((0, 2))
    return turned(np.array([[0.2, 0.0], [REACH - 0.04, 0.0]]) * blade_length(motion), leaves, side_of(motion))


def _label_leaves(ax: Axes, labels: Labels, motion: Motion, ray: Array) -> None:
    if ray.size:
        ax.plot(*ray.T, color=INK, lw=0.8, ls=(0, (1, 1.5)), zorder=4.5, label="finger leaves")
        places = _around(motion.opening.leaves, float(np.hypot(*ray[1])), side_of(motion))
        labels.put(f"finger leaves\nat {two_deg(motion.opening.leaves)}", places)


def _label_times(labels: Labels, motion: Motion, times: Array, angles: Array, side: int) -> None:
    """Say at the tips when the blade is there, where there is room between them."""
    size, end = blade_length(motion), motion.results["stall_angle"]
    taken = [lock_up(motion) if end is None else float(end)]
    point = float(np.ptp(labels.ax.get_xlim()) / size_on_paper(labels.ax)[0])
    for time, angle in zip(times[1:-1], angles[1:-1], strict=True):
        off = [abs((angle - other + 180) % 360 - 180) for other in taken]
        if np.radians(min(off)) * size / point > 26 and angle > 9:
            place, box = _outward(float(angle), size, side), len(labels.taken)
            found = labels.put(f"{time * 1e3:.0f} ms", [place, place._replace(dy=place.dy + 8)])
            if any(labels.taken[box].overlaps(other) for other in labels.taken[:box]):
                found.remove()
                labels.taken.pop()
            else:
                taken.append(float(angle))


def _label_strip(ax: Axes, labels: Labels, motion: Motion, times: Array) -> None:
    """In the corners: the time step, and what the outlines are worth."""
    (left, right), (low, high) = ax.get_xlim(), ax.get_ylim()
    top = [Spot(left, high, 2, -2, "left", "top"), Spot(right, high, -2, -2, "right", "top")]
    bottom = [Spot(left, low, 2, 2, "left", "bottom"), Spot(right, low, -2, 2, "right", "bottom")]
    if motion.budget is None:
        words = lines_of(f"{motion.opening.stall}: nothing is thrown", 26)
    elif times.size == 1:
        words = lines_of("the blade does not leave its place", 26)
    else:
        words = f"blade every {two_digits((times[1] - times[0]) * 1e3)} ms,\nfaint to dark"
    # The blade ends on one side; the other has room.
    labels.put(words, [*top[:: -side_of(motion)], *bottom[:: -side_of(motion)]])
    labels.put("outlines\nnot to scale", bottom[:: side_of(motion)], style="italic")
