"""The explorer's drawing of the feel curve, redrawn at each turn of a knob, in the window and in a notebook.

Artists are made once and then only moved, so that a turn costs little; every word has a fixed place. Takes a finished
`Look` and computes nothing.
"""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from detentsim.knife.target.target import Target, ends
from detentsim.show.explorer.views.quick_text import QuickText
from detentsim.show.theme.style import CLOSING, CONTACT, INK, METAL, OPENING, WANTED, Array, figure_style
from detentsim.units.numbers import two_digits
from detentsim.units.systems import METRIC

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.riding import Riding

# End of the scale of forces over the start's own greatest force; words say what lies beyond it.
BEYOND = 4.0

# Words in a figure of the usual size [pt].
SIZE = 8.0

# Shown of a swing that has no let-go [deg].
USUAL = 6.0

# Round ends of scales.
ROUND = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)

# Numbers on one axis at most.
TICKS = 8

START = (0, (3, 1, 1, 1))


def round_up(value: float) -> float:
    """Next round number, as the end of a scale that seldom changes.

    Parameters
    ----------
    value : float
        Above 0.

    Examples
    --------
    >>> round_up(7.3), round_up(0.021), round_up(13.0)
    (8.0, 0.025, 15.0)
    """
    tens = 10.0 ** np.floor(np.log10(value))
    return float(f"{next(step * tens for step in (*ROUND, 15.0) if step * tens >= value * (1 - 1e-9)):.6g}")


class FeelView:
    """Force at the opener over blade angle: live curve, the start's, and the target band.

    Parameters
    ----------
    ax : Axes
        Where to draw.
    start : Look
        Where the build started.

    Attributes
    ----------
    dot : Line2D
        Where the blade stands on the curve.
    live, frame : list of Artist
        Artists that change at every turn, and artists that change with the scale alone.
    """

    def __init__(self, ax: Axes, start: Look) -> None:
        self.ax, self.start = ax, start
        units = METRIC if start.build is None else start.build.units
        self._unit, self._factor = units.unit("N"), units.scale("N")
        with figure_style():
            self._label_axes()
            still = self._draw_start()
            self._make_curves()
            _key(ax)
            self._numbers = _Numbers(ax)
        self.live: list[Artist] = [self.closing, self.opening, self.breakout, self.let_go, self.beyond, self.dot]
        self.frame: list[Artist] = [*still, ax.xaxis, ax.yaxis, *self._numbers.texts]
        self.resize(SIZE)
        self.show(start)

    def _label_axes(self) -> None:
        """Labels beside the axes that are not the axes' own: what never moves is not painted again with the scale."""
        words: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points", "annotation_clip": False}
        self._across = self.ax.annotate("blade angle [deg]", (0.5, 0), (0, 0), ha="center", va="top", **words)
        words |= {"ha": "right", "va": "center", "rotation": 90}
        self._up = self.ax.annotate(f"force at the opener [{self._unit}]", (0, 0.5), (0, 0), **words)

    def _draw_start(self) -> list[Artist]:
        """The zero line, the target bands, and the curve that the build started with."""
        ax, start = self.ax, self.start
        zero = ax.axhline(0, color=INK, lw=0.6, zorder=1.5)
        bands = [tuple(None if end is None else end * self._factor for end in band) for band in _wanted(start)]
        drawn = [artist for band in bands for artist in _band(ax, *band)]
        self._ends = [end for band in bands for end in band if end is not None]
        style: dict[str, Any] = {"color": METAL, "lw": 1.4, "ls": START, "zorder": 2}
        (was,) = ax.plot(start.angle, self._factor * start.opening, label="at the start", **style)
        return [zero, *drawn, was]

    def _make_curves(self) -> None:
        """Both curves with their marks, the dot, and the words on what lies beyond the scale."""
        ax = self.ax
        (self.opening,) = ax.plot([], [], color=OPENING, lw=2.0, zorder=4, label="opening")
        (self.closing,) = ax.plot([], [], color=CLOSING, ls=(0, (4.5, 1.5)), lw=1.5, zorder=3, label="closing")
        mark: dict[str, Any] = {"ls": "none", "color": OPENING, "zorder": 5}
        (self.breakout,) = ax.plot([], [], marker="o", ms=5, **mark)
        (self.let_go,) = ax.plot([], [], marker="o", ms=5, mfc="white", mew=1.2, **mark)
        (self.dot,) = ax.plot([], [], ls="none", marker="o", ms=9, mfc=CONTACT, mec=INK, mew=0.9, zorder=7)
        self.beyond = QuickText(0.985, 0.97, "", transform=ax.transAxes, ha="right", va="top", zorder=6)
        self.beyond.on_paper = True
        ax.add_artist(self.beyond)

    def resize(self, size: float) -> None:
        """Set the size of all text.

        Parameters
        ----------
        size : float
            [pt].
        """
        self._across.set_position((0, -4 - 1.6 * size))
        self._up.set_position((-5 - 2.4 * size, 0))
        key = self.ax.get_legend()
        for text in (self._across, self._up, self.beyond, *(key.get_texts() if key is not None else ())):
            text.set_fontsize(size)
        self._numbers.resize(size)

    @property
    def end(self) -> float:
        """Last blade angle that is shown [deg]."""
        return float(self.ax.get_xlim()[1])

    def angle_at(self, x: float) -> float:
        """Blade angle over a place in the figure, between closed and the last that is shown [deg].

        Parameters
        ----------
        x : float
            [px].
        """
        box, (low, high) = self.ax.bbox, self.ax.get_xlim()
        return float(np.clip(low + (x - box.x0) / box.width * (high - low), 0.0, high))

    def swing(self, at: Riding | None) -> None:
        """Put the dot where the blade stands; without a force there, nowhere.

        Parameters
        ----------
        at : Riding or None
        """
        force = np.nan if at is None else self._factor * at.force
        seen = at is not None and np.isfinite(force) and at.angle <= self.ax.get_xlim()[1]
        angle = at.angle if at is not None else 0.0
        self.dot.set_data([angle] if seen else [], [min(force, self.ax.get_ylim()[1])] if seen else [])

    def show(self, now: Look, at: Riding | None = None) -> None:
        """Draw the present setting.

        Parameters
        ----------
        now : Look
            Where it has no build, only the starting curve is drawn.
        at : Riding, optional
            Where the blade stands.
        """
        opening, closing = self._factor * now.opening, self._factor * now.closing
        self.opening.set_data(now.angle, opening)
        self.closing.set_data(now.angle, closing)
        low, high, end = self._scale(now)
        self.ax.set(xlim=(-0.02 * end, end), ylim=(low, high))
        self._numbers.show()
        self.swing(at)
        force, angle, let_go = (now.results.get(n) for n in ("breakout_force", "breakout_force_angle", "let_go_angle"))
        force = None if force is None else self._factor * force
        known = force is not None and angle is not None
        self.breakout.set_data([angle or 0.0] if known else [], [min(force or 0.0, high)] if known else [])
        height = np.nan if let_go is None else np.interp(let_go, now.angle, opening)
        self.let_go.set_data([] if let_go is None else [let_go], [] if let_go is None else [height])
        self.beyond.set_text(
            f"breakout {two_digits(force)} {self._unit}, off the scale" if force is not None and force > high else ""
        )

    def _scale(self, now: Look) -> tuple[float, float, float]:
        """Lowest and highest force in the units shown and last angle [deg]; round, so that they seldom change."""
        k = self._factor
        both = (self.start, now)
        let_go = [v for one in both if (v := one.results.get("let_go_angle")) is not None]
        end = round_up(1.35 * max(let_go)) if let_go else USUAL
        longest = max((float(one.angle[-1]) for one in both if one.angle.size), default=USUAL)
        end = min(end, longest)
        own = [*self._ends, *_shown(k * self.start.opening, self.start.angle, end)]
        live = _shown(k * now.opening, now.angle, end)
        most = BEYOND * max([*own, 0.5 * k]) if own else max([*live, k])
        high = round_up(1.18 * min(max([*own, *live, 0.5 * k]), most))
        pulls = [*_shown(k * self.start.closing, self.start.angle, end), *_shown(k * now.closing, now.angle, end)]
        low = min([*_shown(k * now.opening, now.angle, end), *pulls, 0.0])
        low = -min(round_up(-low * 1.02), high) if low < -0.02 * high else -0.04 * high
        return low, high, end


class _Numbers:
    """Tick labels of both axes as `QuickText`; the ticks are those of the axes."""

    def __init__(self, ax: Axes) -> None:
        self.ax, self.size = ax, SIZE
        self.texts: list[QuickText] = []
        ways: tuple[dict[str, Any], ...] = ({"ha": "center", "va": "top"}, {"ha": "right", "va": "center"})
        for axis, held in zip((ax.xaxis, ax.yaxis), ways, strict=True):
            axis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
            axis.set_tick_params(labelbottom=False, labelleft=False)
            self.texts += [QuickText(0, 0, "", transform=None, **held) for _ in range(TICKS)]
        for text in self.texts:
            ax.add_artist(text)
            text.set_clip_on(False)

    def resize(self, size: float) -> None:
        self.size = size
        for text in self.texts:
            text.set_fontsize(size)

    def show(self) -> None:
        """Put a number at each tick that shows, in pixels."""
        point = self.ax.figure.dpi / 72
        box = self.ax.bbox
        for i, (axis, (low, high)) in enumerate(zip((self.ax.xaxis, self.ax.yaxis), self._scale(), strict=True)):
            ticks = [t for t in axis.get_major_locator().tick_values(low, high) if low <= t <= high]
            for text, tick in zip_longest(self.texts[i * TICKS : (i + 1) * TICKS], ticks[:TICKS]):
                text.set_text("" if tick is None else f"{tick:.6g}".replace("-", "\N{MINUS SIGN}"))
                part = 0.0 if tick is None else (tick - low) / (high - low)
                along = box.x0 + part * box.width, box.y0 - 3 * point
                text.set_position(along if i == 0 else (box.x0 - 4 * point, box.y0 + part * box.height))

    def _scale(self) -> tuple[tuple[float, float], tuple[float, float]]:
        return self.ax.get_xlim(), self.ax.get_ylim()


def _shown(force: Array, angle: Array, end: float) -> list[float]:
    """Least and greatest of a curve over the angles shown."""
    inside = force[(angle <= end) & np.isfinite(force)]
    return [float(inside.min()), float(inside.max())] if inside.size else []


def _wanted(start: Look) -> list[tuple[float | None, float | None]]:
    """Target bands of the breakout force; a wanted change counts from the starting build."""
    target: tuple[Target, ...] = () if start.build is None else start.build.target
    own = start.results.get("breakout_force")
    return [ends(t, own) for t in target if t.name == "breakout_force" and (t.change is None or own is not None)]


def _band(ax: Axes, low: float | None, high: float | None) -> list[Artist]:
    """The target band of the breakout."""
    style: dict[str, Any] = {"color": WANTED, "zorder": 0.5}
    edges = [ax.axhline(edge, lw=0.7, ls=(0, (1, 1.5)), **style) for edge in (low, high) if edge is not None]
    ends = 0.0 if low is None else low, 1e6 if high is None else high
    return [ax.axhspan(*ends, alpha=0.17, lw=0, label="target", **style), *edges]


def _key(ax: Axes) -> None:
    """Draw the legend above the axes, where no curve is."""
    place: dict[str, Any] = {"loc": "lower left", "bbox_to_anchor": (0, 1.0), "borderaxespad": 0.2}
    style: dict[str, Any] = {"frameon": False, "handlelength": 2.2, "columnspacing": 1.2, "handletextpad": 0.5}
    ax.legend(ncols=4, **place, **style)
