"""The explorer's words as HTML for a notebook, with tips where the mouse rests."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from detentsim.show.explorer.report import headlines, sentences
from detentsim.show.explorer.tips import HAND_STEP, ROWS, result_tip

if TYPE_CHECKING:
    from detentsim.analysis.explore.look import Look


def explore_html(look: Look, start: Look) -> str:
    """Headlines and sentences as HTML for a notebook.

    Parameters
    ----------
    look, start : Look

    Returns
    -------
    str
        A small table, without script or colours.
    """
    cell = '<td style="text-align:left;padding:0 1em 0 0">'
    rows = "".join(
        f'<tr title="{escape(tip)}">{"".join(f"{cell}{escape(c)}</td>" for c in row)}</tr>'
        for row, tip in zip(headlines(look, start), map(result_tip, range(len(ROWS) + 2)), strict=True)
    )
    since = f'<b title="{escape(HAND_STEP)}" style="text-decoration:underline dotted">since the start</b>'
    head = f"<tr>{cell}</td>{cell}<b>now</b></td>{cell}{since}</td></tr>"
    notes = "".join(f"<div>{escape(words)}</div>" for words in (*sentences(look), HAND_STEP))
    return (
        f'<table style="line-height:1.25">{head}{rows}</table><div style="line-height:1.3;margin-top:4px">{notes}</div>'
    )
