"""Panels of a fit: readings on the fitted feel curve and its band, and what each input was thought to be and is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.outcomes import label
from detentsim.show.in_hand.fit.report import range_words
from detentsim.show.theme.style import CONTACT, INK, METAL, OPENING, SMALL, drawing, need
from detentsim.show.theme.ticks import feel_axes

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.analysis.many_builds.sweep.family import ForceRange

WIDE = 1.96
"""Standard errors of a reading either way that are drawn: they hold 95 %."""

AFTER = 1.5
"""Blade angle shown, over the greatest let-go angle."""


def fitted_curve(fit: Fit, ax: Axes | None = None) -> Axes:
    """Draw the finger force over blade angle before and after the readings, and the readings that lie on it.

    Parameters
    ----------
    fit : Fit
        From `detentsim.fit`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        Blade angle [deg] across; force up: data in N, ticks in the build's units.
    """
    need(fit, "Fit")
    with drawing(ax, 85, 62) as ax:
        units, far = fit.drawing.units, _far(fit)
        at = ("0 deg", f"{far:.4g} deg", 181)
        drawn, fitted = fit.drawing_curves(at).force_range(0.9), fit.curves(at).force_range(0.9)
        _band(ax, drawn, METAL, "drawing")
        _band(ax, fitted, OPENING, "this knife")
        top = 1.35 * float(np.nanmax([np.nanmax(one.high, initial=0.0) for one in (drawn, fitted)])) or 1.0
        _readings(fit, ax)
        ax.set_xlim(0, far)
        ax.set_ylim(0, top)
        feel_axes(ax, units)
        words = "grey: by the drawing\npurple: this knife\nbands: nine in ten\nred: readings, 95 %"
        ax.text(0.98, 0.97, words, transform=ax.transAxes, ha="right", va="top", size=SMALL, linespacing=1.3)
    return ax


def _far(fit: Fit) -> float:
    """Greatest blade angle shown [deg]."""
    ends = (*fit.before_ends("let_go_angle"), *fit.interval_ends("let_go_angle"))
    return AFTER * max((part for part in ends if np.isfinite(part)), default=10.0)


def _band(ax: Axes, one: ForceRange, colour: str, name: str) -> None:
    ax.fill_between(one.angle, one.low, one.high, color=colour, alpha=0.3, lw=0, zorder=1, gid=name)
    ax.plot(one.angle, one.middle, color=colour, lw=1.1, zorder=3)


def _readings(fit: Fit, ax: Axes) -> None:
    """Readings of the curve: breakout at its angle, let-go on the scale; drag at mid-swing lies far to the right."""
    places = {"breakout_force": fit.middle_number("breakout_force_angle")}
    style: dict[str, Any] = {"color": CONTACT, "marker": "o", "ms": 3.5, "capsize": 2, "lw": 1.0, "zorder": 5}
    for one in fit.readings.taken:
        if one.what in places and np.isfinite(places[one.what]):
            ax.errorbar(places[one.what], one.value, yerr=WIDE * one.error, **style)
        elif one.what == "let_go_angle":
            ax.errorbar(one.value, 0.0, xerr=WIDE * one.error, **style, clip_on=False)


def input_ranges(fit: Fit, ax: Axes | None = None) -> Axes:
    """Draw what each input was thought to be by the drawing, and what it is on this knife.

    Parameters
    ----------
    fit : Fit
        From `detentsim.fit`.
    ax : Axes, optional
        Where to draw; by default axes of a new figure, half a page wide.

    Returns
    -------
    Axes
        A row for each input, its range by the drawing from 0 to 1 across.
    """
    need(fit, "Fit")
    with drawing(ax, 85, 62) as ax:
        names = list(fit.found.values)
        for row, name in enumerate(names):
            (low, high), (first, last) = fit.interval_ends(name), fit.before_ends(name)
            width = last - first or 1.0
            ends = [(end - first) / width for end in (low, high)]
            middle = (fit.middle_number(name) - first) / width
            ax.barh(row, 1.0, left=0.0, height=0.66, color=METAL, alpha=0.35, lw=0)
            ax.barh(row, ends[1] - ends[0], left=ends[0], height=0.36, color=OPENING, alpha=0.8, lw=0, gid=name)
            ax.plot([middle], [row], "|", color=INK, ms=6, mew=1.0, zorder=4)
        ax.set_ylim(max(len(names), 1) - 0.4, -0.6)
        ax.set_yticks(range(len(names)), [f"{name}\n{range_words(fit, name)}" for name in names])
        ax.tick_params(axis="y", length=0, labelsize=SMALL - 1)
        ax.set_xticks([0, 1], ["low end", "high end"])
        ax.set_xlabel("grey: by the drawing, nine in ten\npurple: this knife")
    return ax


def beside_the_curve(fit: Fit) -> str:
    """Readings that do not lie on the curve, in one sentence; empty where all do.

    Parameters
    ----------
    fit : Fit
    """
    drawn = ("breakout_force", "let_go_angle")
    names = [one.what for one in fit.readings.taken if one.what not in drawn]
    names += [one.what for one in fit.readings.saw]
    return f"Also read or seen: {', '.join(map(_named, names))}." if names else ""


def _named(what: str) -> str:
    return what if "." in what else label(what)
