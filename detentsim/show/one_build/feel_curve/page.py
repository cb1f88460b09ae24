"""The page that sets the feel curve beside the dimple."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS
from detentsim.show.one_build.feel_curve.dimple import dimple
from detentsim.show.one_build.feel_curve.lines import curve
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.one_build.curve.curve import Curve


def curve_figure(c: Curve) -> Figure:
    """Draw the feel curve beside the dimple, named, with what is flagged in words underneath.

    Parameters
    ----------
    c : Curve
        From `detentsim.curve`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(c, "Curve")
    body = 64.0
    with page(title_of(c.build), _notes(c), body, under=12.0, strips={"": c.summary.answers}) as sheet:
        curve(c, sheet.axes(13, 87, 0, body))
        dimple(c, sheet.axes(95, 2, 0, body))
    return sheet.figure


def _notes(c: Curve) -> str:
    drawn = c.likely.knives is not None and "floats" not in c.flags
    shaded = ["Shaded: nine in ten of the knives made to this build."] if drawn else []
    burr = [] if c.burr is None else [c.burr.sentence(c.build.units)]
    wrong = [check.words for check in c.summary.bad if check.name != "warnings"]
    flags = [FLAGS[flag] for flag in c.flags]
    return "\n".join(lines_of(words, 118) for words in [c.summary.words, *flags, *wrong, *burr, *shaded])
