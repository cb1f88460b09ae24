"""The page that sets the overlay of feel curves over the hand-steps between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.in_hand.compare.overlays import hand_steps, overlay
from detentsim.show.in_hand.compare.report import distance_words, target_words, unsound_words
from detentsim.show.theme.page import page
from detentsim.show.theme.style import drawable, lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.in_hand.compare.compare import Comparison


def compare_figure(c: Comparison) -> Figure:
    """Draw a comparison: the overlay, the hand-steps under it, and how far apart they feel in words.

    Parameters
    ----------
    c : Comparison
        From `detentsim.compare`.

    Returns
    -------
    Figure
        Three quarters of a page wide (128 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(c, "Comparison")
    said = list(distance_words(c))[:-1] if c.target is None else list(target_words(c))
    said += [f"{n}: {words}" for n, words in unsound_words(c)]
    words = [drawable(sentence, 300) for sentence in said]
    notes = "\n".join(lines_of(sentence, 92, 3) for sentence in words)
    title = lines_of(drawable(f"Compared with {c.first.name}", 130), 60, 2)
    body, gap, lower = 72.0, 4.0, 28.0
    strips = {
        drawable(f"{n}: {feel.name}", 60): feel.curve.summary.answers
        for n, feel in enumerate(c.items, 1)
        if feel.curve is not None
    }
    with page(title, notes, body + gap + lower, under=12.0, width=128.0, strips=strips) as sheet:
        top = sheet.axes(13, 4, lower + gap, body)
        overlay(c, top)
        below = sheet.axes(13, 4, 0, lower)
        below.sharex(top)
        hand_steps(c, below)
        top.tick_params(labelbottom=False)
        top.set_xlabel("")
        sheet.figure.align_ylabels()
    return sheet.figure
