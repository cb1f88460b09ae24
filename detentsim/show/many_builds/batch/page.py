"""The page of a batch: its knives over the target, the range of the feel curve, what the spread depends on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.many_builds.batch.panels import force_range, index_bars, knife_dots
from detentsim.show.many_builds.batch.words import verdict_words
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.many_builds.batch.findings import Findings


def batch_figure(found: Findings) -> Figure:
    """Draw a batch: its knives over the target, the range of the feel curve, what the spread depends on.

    Parameters
    ----------
    found : Findings
        From `detentsim.findings`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(found, "Findings")
    dots, gap, below = 42.0, 17.0, 52.0
    worn = found.batch.worn
    drawing = "The drawing itself, fresh:" if worn else "The drawing itself:"
    notes = "\n".join(lines_of(words, 118) for words in (verdict_words(found), f"{drawing} {found.drawing.words}"))
    title, tall = title_of(found.batch.build, "Worn in: " if worn else ""), dots + gap + below
    with page(title, notes, tall, under=16.0, strips={drawing: found.drawing.answers}) as sheet:
        knife_dots(found, sheet.axes(4, 4, below + gap, dots))
        force_range(found, sheet.axes(13, 91, 0, below))
        index_bars(found, sheet.axes(122, 6, 0, below))
    return sheet.figure
