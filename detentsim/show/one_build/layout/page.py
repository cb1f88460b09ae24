"""The page that sets the map of places beside the tang in plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.one_build.layout.map import places_map
from detentsim.show.one_build.layout.plan import tang_plan
from detentsim.show.one_build.layout.words import best_words, overclose_words, place_words, way_words
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.analysis.one_build.summary import Summary


def layout_figure(found: Layout, checked: Summary | None = None) -> Figure:
    """Draw the tang in plan beside the map of places, with the verdict in words underneath.

    Parameters
    ----------
    found : Layout
        From `detentsim.layout`.
    checked : Summary, optional
        Verdict on the same build, told first.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(found, "Layout")
    body = 78.0
    strips = None if checked is None else {"": checked.answers}
    with page(title_of(found.build, "Layout: "), _notes(found, checked), body, 12.0, strips=strips) as sheet:
        tang_plan(found, sheet.axes(14, 86, 0, body))
        places_map(found, sheet.axes(99, 3, 0, body - 3.0))
    return sheet.figure


def _notes(found: Layout, checked: Summary | None) -> str:
    verdict = [] if checked is None else [checked.words]
    faults = [fault.words for fault in found.faults]
    words = [*verdict, *faults, place_words(found), way_words(found), overclose_words(found), best_words(found)]
    return "\n".join(lines_of(text, 118) for text in words)
