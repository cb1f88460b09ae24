"""Part of the page on use: the knife fresh and worn in, side by side."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from detentsim import show
from detentsim.analysis.one_build.wear.allowance import BAND
from detentsim.show.in_hand.report.markup import Html, number, rows_table, said, section
from detentsim.show.in_hand.report.pictures import Drawing, drawings
from detentsim.show.one_build.wear.report import (
    EDGES,
    LEFT_OUT,
    SOURCES,
    columns,
    new_flags,
    shown_rows,
    stage_words,
    value_at,
)

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.report.report import Report
    from detentsim.analysis.one_build.wear.worn_in import WornIn


def wear_part(r: Report, customer: bool) -> Html:
    """How the detent feels fresh, after its first openings, worn in and after many.

    Parameters
    ----------
    r : Report
    customer : bool
        Whether to leave out what only a bench needs.
    """
    w, title = r.wear, "Fresh and worn in"
    if w.untold is not None:
        return section("wear", title, said([w.moved]))
    heads = ("after openings", *columns(w))
    told = rows_table(heads, [_row(w, name, words) for name, words in shown_rows(w).items()], class_="stack")
    sentences = [w.moved if customer else w.advice, *new_flags(w)]
    return section("wear", title, said(sentences), told, _drawings(w), said([BAND, LEFT_OUT, SOURCES]))


def _row(w: WornIn, name: str, words: str) -> list[Html | str]:
    return [words, *(_cell(w, name, stages) for stages in columns(w).values())]


def _cell(w: WornIn, name: str, stages: tuple[str, ...]) -> Html:
    """One number, or those of the least and the most wear, each with its place in the document."""
    names = [stage.name for stage in w.stages]
    at = (f"{name}_mm",) if name in EDGES else ("results", name, "value")
    shown = {stage_words(w, name, stage): stage for stage in reversed(stages)}
    numbers = [
        number(words, value_at(w[stage], name), "worn_in", "stages", names.index(stage), *at)
        for words, stage in reversed(shown.items())
    ]
    return Html(" to ".join(numbers))


def _drawings(w: WornIn) -> Html:
    curves, history = "The feel curve fresh and worn in.", "Breakout over openings, oiled and dry."
    return drawings(
        Drawing("worn", partial(show.worn_curves, w), 64, curves),
        Drawing("history", partial(show.wear_history, w), 64, history, right=7),
    )
