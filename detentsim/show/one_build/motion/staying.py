"""Drawings of what keeps the blade shut, of what opens it, and of the attitudes in which a let-go blade falls shut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Polygon, Wedge
from matplotlib.patheffects import withStroke

from detentsim.analysis.one_build.checks import times_held
from detentsim.analysis.one_build.motion.attitudes import ATTITUDES
from detentsim.knife.outcomes import CARRY
from detentsim.show.one_build.motion.shut_words import held_words
from detentsim.show.one_build.motion.strip import BLADE, HANDLE, mixed, side_of, turned
from detentsim.show.theme.style import CONTACT, INK, LABEL, METAL, SMALL, WANTED, drawing, lines_of, need, size_on_paper

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.motion.motion import Motion

# Ring of attitudes, in blade lengths of the knife inside it.
INNER, OUTER = 0.85, 1.2

# How each outcome is filled; the words stand beside the ring, and the greys differ.
FILLS = {"falls shut": WANTED, "stays or hangs": "white", "swings open": "#46464b"}

# Least width of the gauge, in times what a carried blade needs: the words beside that line have room.
WORDS = 2.6

# Room for the words at both sides of the ring, in blade lengths.
BESIDE = 1.3


def staying_gauge(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw how many times its own weight the closed blade is held against, as built and with half the friction.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw, with room for names at its left; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Own weights across; hatched below one, where the blade's own weight opens it.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> staying_gauge(compute(demo()), Figure((3.4, 1)).subplots()).get_xlabel()
    'times its own weight that the closed blade is held against'
    """
    need(motion, "Motion")
    with drawing(ax, 85, 30) as ax:
        held = motion.staying
        if held.carry_g is None:
            ax.set_axis_off()
            words = lines_of(" ".join(held_words(motion)), 52)
            ax.text(0.5, 0.5, words, transform=ax.transAxes, ha="center", va="center", size=SMALL)
            return ax
        rows = [("as built", held.carry_g), ("half the friction", held.carry_g_slick)]
        known = [(name, value) for name, value in rows if value is not None]
        ax.set(xlim=(0, max(WORDS * CARRY, *(1.25 * value for _, value in known))), ylim=(len(known) - 0.4, -1.2))
        ax.axvspan(0, 1, fc="#fbe3e5", ec=CONTACT, hatch="//////", lw=0, zorder=0.5, gid="opens itself")
        ax.axvline(CARRY, color=INK, lw=1.0, ls=(0, (4, 2)), zorder=3, gid="carried")
        ax.text(CARRY, -0.75, f" below {CARRY:g} it may open when carried", va="center", size=SMALL)
        for row, (name, value) in enumerate(known):
            ax.barh(row, max(value, 0.0), 0.62, fc="#d9d9df", ec=METAL, lw=0.8, zorder=2, gid=f"held {name}")
            text = ax.text(
                max(value, 0.0), row, f" {times_held(value)}", va="center", size=SMALL, weight="bold", zorder=4
            )
            text.set_path_effects([withStroke(linewidth=3, foreground="white")])  # clear of the line it may stand on
        ax.set_yticks(range(len(known)), [name for name, _ in known], size=SMALL)
        ax.tick_params(axis="y", length=0)
        ax.tick_params(labelsize=SMALL)
        ax.set_xlabel("times its own weight that the closed blade is held against", size=LABEL)
    return ax


def what_opens(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw the fall of the knife whose dead stop opens it, with the torque on the blade that does, in words.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        In blade lengths, without ticks; heights are not to scale.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> ax = what_opens(compute(demo()), Figure((3.4, 1)).subplots())
    >>> "fall" in " ".join(text.get_text() for text in ax.texts)
    True
    """
    need(motion, "Motion")
    with drawing(ax, 85, 30) as ax:
        ax.set_axis_off()
        wide, tall = size_on_paper(ax)
        unit = tall / 2.2  # one blade length [pt]
        ax.set(xlim=(0, wide / unit), ylim=(-0.2, 2.0))
        drop, torque = motion.staying.drop, motion.staying.torque
        if drop is not None:
            _draw_drop(ax)
        told = []
        if drop is not None:
            told.append(f"a fall of {motion.build.units.two_digits(drop, 'mm')} stopped dead, blade square to it")
        if torque is not None and torque > 0:
            told.append(f"{motion.build.units.two_digits(torque, 'N*mm')} on the blade, its weight helping")
        left = 1.75 if drop is not None else 0.0
        letters = int((wide / unit - left) * unit / 3.9)
        words = "\n".join([lines_of(f"{sign} {one}", letters) for sign, one in zip(("", "or"), told, strict=False)])
        if told:
            ax.text(left, 1.0, f"Opens it:\n{words}".replace("\n ", "\n"), va="center", size=SMALL, linespacing=1.25)
    return ax


def _draw_drop(ax: Axes) -> None:
    """A closed knife over a hard floor, and the way it falls."""
    _draw_closed(ax, (0.3, 1.5), 0.0, lw=0.8, gid="dropped")
    ax.plot([0.15, 1.45], [0, 0], color=INK, lw=1.6, zorder=2, gid="floor")
    ends = {"arrowstyle": "<|-|>", "color": INK, "lw": 0.9, "shrinkA": 0, "shrinkB": 0}
    ax.annotate("", (0.8, 1.28), (0.8, 0.03), arrowprops=ends, zorder=3)


def _draw_closed(ax: Axes, pivot: tuple[float, float], angle: float, side: int = 1, **style: Any) -> None:
    """A closed knife with its pivot at a place, turned by an angle [deg]."""
    for outline, fill, order in ((HANDLE, "#f1f1f3", 2.0), (BLADE, mixed(METAL, 0.75), 2.1)):
        shape = turned(outline, angle, side) + np.array(pivot)
        ax.add_patch(Polygon(shape, fc=fill, ec=INK, joinstyle="round", zorder=order, **style))


def attitude_ring(motion: Motion, ax: Axes | None = None) -> Axes:
    """Draw, all the way round a knife held butt-down, what the let-go blade does with straight down on each side.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        In blade lengths, without ticks; mirrored for a left-handed knife.

    Examples
    --------
    >>> from matplotlib.figure import Figure
    >>> from detentsim.analysis.one_build.motion.motion import motion as compute
    >>> from detentsim.knife.packaged import demo
    >>> ax = attitude_ring(compute(demo()), Figure((2, 2)).subplots())
    >>> sorted({p.get_gid() for p in ax.patches if p.get_gid() != "knife"})
    ['falls shut', 'stays or hangs', 'swings open']
    """
    need(motion, "Motion")
    with drawing(ax, 85, 50) as ax:
        ax.set_axis_off()
        wide, tall = size_on_paper(ax)
        unit = min(wide / (2 * (OUTER + BESIDE)), tall / (2 * OUTER + 1.45))
        middle = OUTER + 0.25 - tall / unit / 2
        ax.set(xlim=(-wide / unit / 2, wide / unit / 2), ylim=(middle - tall / unit / 2, middle + tall / unit / 2))
        side = side_of(motion)
        for span in motion.all_round:
            ends = sorted((_page_angle(span.low, side), _page_angle(span.high, side)))
            style: dict[str, Any] = {"fc": FILLS[span.outcome], "ec": INK, "lw": 0.7, "gid": span.outcome}
            ax.add_patch(Wedge((0, 0), OUTER, *ends, width=OUTER - INNER, zorder=2, **style))
        _draw_closed(ax, (0.0, 0.5), -90.0, side, lw=0.7, gid="knife")
        _name_ring(ax, side)
    return ax


def _page_angle(down: float, side: int) -> float:
    """Where on the page straight down lies, the knife drawn butt-down [deg, counter-clockwise from the right]."""
    return -90.0 + down if side > 0 else -90.0 - down


def _name_ring(ax: Axes, side: int) -> None:
    """The names of the attitudes round the ring, and the colours in words under it."""
    for name, down in ATTITUDES.items():
        at = np.radians(_page_angle(down, side))
        x, y = np.cos(at), np.sin(at)
        across = "center" if abs(x) < 0.3 else "left" if x > 0 else "right"
        up = "center" if abs(y) < 0.3 else "bottom" if y > 0 else "top"
        words = name.replace("tilted ", "").replace(", ", "\n")
        style: dict[str, Any] = {"ha": across, "va": up, "size": SMALL, "linespacing": 1.05}
        ax.text((OUTER + 0.1) * x, (OUTER + 0.06) * y, words, **style)
    for i, (outcome, fill) in enumerate(FILLS.items()):
        at = 0.03 + 0.31 * i + 0.07 * (i == 2)
        ax.plot([at], [0.05], "s", ms=5, mfc=fill, mec=INK, mew=0.7, transform=ax.transAxes, gid=f"key {outcome}")
        ax.text(at + 0.05, 0.05, outcome.replace(" ", "\n", 1), transform=ax.transAxes, va="center", size=SMALL)
