"""A blade thrown open: speed and energy over blade angle.

Takes a finished motion.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
from matplotlib.ticker import MaxNLocator

from detentsim.show.one_build.motion.strip import lock_up, two_deg
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.style import CLOSING, CONTACT, INK, LABEL, OPENING, WANTED, Array, drawing, lines_of, need
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.motion.motion import Motion

STYLES: dict[str, dict[str, Any]] = {
    "finger": {"color": OPENING, "ls": "-", "zorder": 3},
    "spent": {"color": CLOSING, "ls": (0, (6, 1.5)), "zorder": 3.2},
    "left": {"color": WANTED, "ls": (0, (8, 2, 1.5, 2)), "zorder": 3.1},
}

WORDS = {"finger": "put in by the finger", "spent": "taken by ball, pivot and weight", "left": "left in the blade"}

# Left edge and width of what a page shows [mm].
EDGE, WIDE = 14.0, 153.0


def speed(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw the blade's speed over its angle, thrown at the build's own finger speed, to where it arrives or stalls.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across, blade speed [rad/s] up.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> speed(compute(demo()), Figure().subplots()).get_ylabel()
    'blade speed [rad/s]'
    """
    need(motion, "Motion")
    with drawing(ax, 85, 60) as ax:
        angle, omega = _speeds(motion)
        _frame(ax, motion, omega, "blade speed [rad/s]")
        labels = Labels(ax, [np.stack([angle, omega]), *_rules(ax, motion)])
        _label_lock_up(labels, motion)
        if motion.budget is None:
            _say_nothing(labels, motion)
            return ax
        ax.plot(angle, omega, label="speed", color=OPENING, zorder=3)
        _mark_end(ax, labels, motion)
        _mark_leaves(ax, labels, motion, angle, omega)
    return ax


def _speeds(motion: Motion) -> tuple[Array, Array]:
    """Blade angle [deg] and speed [rad/s], to where it stalls; between samples as the energy's line has it."""
    if motion.budget is None:
        return np.empty(0), np.empty(0)
    moving, stall = _moving(motion), motion.results["stall_angle"]
    angle, square = motion.budget.angle[moving], motion.budget.speed[moving] ** 2
    if stall is not None and stall > angle[-1]:
        angle, square = np.append(angle, float(stall)), np.append(square, 0.0)
    fine = np.union1d(np.linspace(angle[0], angle[-1], 600), angle)
    return fine, np.sqrt(np.interp(fine, angle, square))


def _rules(ax: Axes, motion: Motion) -> list[Array]:
    """Lines at no speed or energy, at lock-up, and where the finger leaves."""
    across, up, leaves = ax.get_xlim(), ax.get_ylim(), motion.opening.leaves
    return [np.array([across, (0, 0)]), np.array([[lock_up(motion)] * 2, up]), np.array([[leaves] * 2, up])]


def _label_lock_up(labels: Labels, motion: Motion) -> None:
    low, high = labels.ax.get_ylim()
    places = [Spot(lock_up(motion), low + part * (high - low), 5, 0, "left", "center") for part in (0.3, 0.7)]
    labels.put("lock-up", places, rotation=90)


def _moving(motion: Motion) -> npt.NDArray[np.bool_]:
    """Where along its way the blade moves."""
    return np.zeros(0, bool) if motion.budget is None else np.isfinite(motion.budget.time)


def _frame(ax: Axes, motion: Motion, values: Array, words: str) -> None:
    """Set the scales of a graph over blade angle."""
    still = motion.budget is None or np.count_nonzero(_moving(motion)) < 2
    shown = np.empty(0) if still else values[np.isfinite(values)]
    low, high = float(np.min(shown, initial=0.0)), float(np.max(shown, initial=0.0))
    tall, end = (high - low) or 1.0, lock_up(motion)
    ax.set(xlim=(-0.02 * end, 1.06 * end), ylim=(low - 0.12 * tall, high + 0.16 * tall if high > low else 1.0))
    ax.xaxis.set_major_locator(MaxNLocator(7, steps=[1, 1.5, 3, 4.5, 6, 9, 10]))
    ax.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    if high == low:
        ax.set_yticks([0])
    ax.set_xlabel("blade angle [deg]", size=LABEL)
    ax.set_ylabel(words, size=LABEL)
    ax.axhline(0, color=INK, lw=0.5, zorder=1)
    ax.axvline(end, color=INK, lw=0.5, ls=(0, (1, 2)), zorder=1, label="lock-up")


def _say_nothing(labels: Labels, motion: Motion) -> None:
    why = motion.why("arrival_speed")
    words = lines_of(f"{motion.opening.stall}: nothing is thrown, {why}", 40)
    low, high = labels.ax.get_ylim()
    labels.put(words, [Spot(lock_up(motion) / 2, (low + high) / 2, 0, 0, "center", "center")], weight="bold")


def _mark_end(ax: Axes, labels: Labels, motion: Motion) -> None:
    """Mark where the blade arrives, and how fast, or where it stalls, and why."""
    stall, arrival = motion.results["stall_angle"], motion.results["arrival_speed"]
    end, weight = lock_up(motion), {"weight": "bold"}
    if stall is not None:
        at = float(stall)
        ax.plot([at], [0], marker="X", ms=6, color=CONTACT, mec="white", mew=0.6, ls="none", zorder=5, label="stalls")
        words = f"stalls at {two_deg(at)}:\n{motion.opening.stall}"
        ways = [("left", "bottom", 5, 5), ("right", "bottom", -6, 5), ("center", "bottom", 0, 12)]
        labels.put(words, [Spot(at, 0, dx, dy + up, ha, va) for up in (0, 12, 30) for ha, va, dx, dy in ways], **weight)
    elif arrival is not None:
        at = float(arrival)
        ax.plot([end], [at], marker="o", ms=5, color=OPENING, ls="none", zorder=5, label="arrives")
        words = f"arrives at {two_digits(at)} rad/s"
        ways = [("right", "bottom", 0, 5), ("right", "top", 0, -6), ("right", "bottom", -8, 14)]
        ways += [("right", "top", -8, -16), ("right", "bottom", 0, 26), ("right", "bottom", 0, 38)]
        labels.put(words, [Spot(end, at, dx, dy, ha, va) for ha, va, dx, dy in ways], **weight)


def _mark_leaves(ax: Axes, labels: Labels, motion: Motion, angle: Array, omega: Array) -> None:
    """Mark where the finger loses the blade, on the line as far as the blade comes there."""
    leaves, (low, high) = motion.opening.leaves, ax.get_ylim()
    ax.plot([leaves] * 2, [low, high], color=INK, lw=0.6, ls=(0, (1, 2)), zorder=2, label="finger leaves")
    if angle[0] <= leaves <= angle[-1]:
        at = float(np.interp(leaves, angle, omega))
        style: dict[str, Any] = {"marker": "D", "ms": 4, "mfc": "white", "mec": OPENING, "mew": 1.1, "ls": "none"}
        ax.plot([leaves], [at], **style, zorder=5, label="leaves here")
    stays = leaves >= lock_up(motion) - 1e-6
    words = "finger stays on\nto lock-up" if stays else f"finger leaves\nat {two_deg(leaves)}"
    sides = [("right", -3), ("left", 3)] if stays else [("left", 3), ("right", -3)]
    heights = [low + part * (high - low) for part in (0.5, 0.36, 0.64, 0.25, 0.78, 0.9)]
    labels.put(words, [Spot(leaves, y, dx, 0, ha, "center") for ha, dx in sides for y in heights])


def energy(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw where the energy goes over blade angle: put in by the finger, taken on the way, left in the blade.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across, energy up in the build's units [mJ] or [ozf*in].

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> energy(compute(demo()), Figure().subplots()).get_ylabel()
    'energy [mJ]'
    """
    need(motion, "Motion")
    with drawing(ax, 85, 60) as ax:
        angle, lines = _budget_lines(motion)
        unit = motion.build.units.unit("mJ")
        _frame(ax, motion, np.concatenate([np.empty(0), *lines.values()]), f"energy [{unit}]")
        labels = Labels(ax, [*_rules(ax, motion)[:2], *(np.stack([angle, y]) for y in lines.values())])
        if motion.budget is None:
            _say_nothing(labels, motion)
            return ax
        for name, line in lines.items():
            ax.plot(angle, line, label=name, **STYLES[name])
        _mark_lack(ax, labels, motion)
        if angle.size < 2:
            _say_still(labels, motion)
            return ax
        for name in lines:
            _name_line(labels, motion, angle, lines, name)
    return ax


def _budget_lines(motion: Motion) -> tuple[Array, dict[str, Array]]:
    """Blade angle [deg] and the energies as far as the blade moves, in the build's units."""
    budget, moving, stall = motion.budget, _moving(motion), motion.results["stall_angle"]
    if budget is None:
        return np.empty(0), {}
    scale = motion.build.units.scale("mJ")
    angle, lines = budget.angle[moving], {name: getattr(budget, name)[moving] * scale for name in STYLES}
    if stall is None or stall <= angle[-1] or angle.size < 2:
        return angle, lines
    # Once the finger has left, it puts in no more; where the blade stands, all of it is taken.
    total = lines["finger"][-1] if angle[-1] >= motion.opening.leaves else np.nan
    stands = {"finger": total, "spent": total, "left": 0.0}
    return np.append(angle, float(stall)), {name: np.append(line, stands[name]) for name, line in lines.items()}


def _say_still(labels: Labels, motion: Motion) -> None:
    low, high = labels.ax.get_ylim()
    middle = [Spot(lock_up(motion) / 2, (low + high) / 2, 0, dy, "center", "center") for dy in (0, 14, 28)]
    labels.put("nothing goes into the blade: it does not move", middle)


def _mark_lack(ax: Axes, labels: Labels, motion: Motion) -> None:
    """Mark where it stalls, and what a flick of the wrist would have to add."""
    stall, lacks = motion.results["stall_angle"], motion.results["wrist_energy"]
    if stall is None or lacks is None:
        return
    at = float(stall)
    ax.plot([at], [0], marker="X", ms=6, color=CONTACT, mec="white", mew=0.6, ls="none", zorder=5, label="stalls")
    words = f"lacks {motion.build.units.two_digits(float(lacks), 'mJ')}\nto lock-up"
    ways = [("left", "bottom", 5, 4), ("right", "bottom", -6, 4), ("left", "top", 5, -4), ("left", "bottom", 5, 16)]
    labels.put(words, [Spot(at, 0, dx, dy, ha, va) for ha, va, dx, dy in ways], weight="bold")


def _name_line(labels: Labels, motion: Motion, angle: Array, lines: dict[str, Array], name: str) -> None:
    """Name a line, with what it comes to in the end."""
    line, stalled = lines[name], motion.results["stall_angle"] is not None
    last = f" {two_digits(float(line[np.isfinite(line)][-1]))} {motion.build.units.unit('mJ')}"
    words = WORDS[name] + ("" if stalled and name == "left" else last)
    at = angle[0] + np.ptp(angle) * np.array([0.62, 0.5, 0.75, 0.4, 0.3, 0.88, 0.2, 0.1, 0.97])
    spots = [(float(x), float(np.interp(x, angle, line))) for x in at]
    spots = [spot for spot in spots if np.isfinite(spot[1])]
    over = [("center", "bottom", 0, 4), ("right", "bottom", -3, 2), ("left", "bottom", 3, 2)]
    under = [("center", "top", 0, -5), ("left", "top", 3, -2), ("right", "top", -3, -2)]
    away = [("center", "bottom", 0, 13), ("center", "top", 0, -14)]
    ways = [*under, *over, *away[::-1]] if name == "spent" else [*over, *under, *away]
    labels.put(words, [Spot(x, y, dx, dy, ha, va) for ha, va, dx, dy in ways for x, y in spots])
    labels.lead(*_nearest(labels, spots))


def _nearest(labels: Labels, spots: list[tuple[float, float]]) -> tuple[float, float]:
    """Which of some points in data lies nearest the label set last."""
    box, pixels = labels.taken[-1], labels.ax.transData.transform(np.array(spots))
    off = np.hypot(*(pixels - np.clip(pixels, box.min, box.max)).T)
    return spots[int(np.argmin(off))]
