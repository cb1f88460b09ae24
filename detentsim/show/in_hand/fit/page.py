"""The page of a fit: readings on the fitted feel curve and its band, and what each input was thought to be and is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.in_hand.fit.panels import beside_the_curve, fitted_curve, input_ranges
from detentsim.show.in_hand.fit.report import verdict_words
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.in_hand.fit.fitted import Fit


def fit_figure(fit: Fit, answer: str = "breakout_force") -> Figure:
    """Draw a fit: its readings on the fitted feel curve and its band, and what each input was thought to be and is.

    Parameters
    ----------
    fit : Fit
        From `detentsim.fit`.
    answer : str
        The result that the verdict is about.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(fit, "Fit")
    tall = max(60.0, 7.0 * len(fit.found.values))
    sentences = [verdict_words(fit, answer), *(one.words for one in fit.conflicts), beside_the_curve(fit)]
    notes = "\n".join(lines_of(words, 118) for words in sentences if words)
    strips = {"The likeliest knife:": fit.summary.answers}
    with page(title_of(fit.drawing), notes, tall, under=18.0, strips=strips) as sheet:
        fitted_curve(fit, sheet.axes(13, 90, 0, tall))
        input_ranges(fit, sheet.axes(122, 6, 0, tall))
    return sheet.figure
