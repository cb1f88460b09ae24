"""The explorer in HTML for a notebook: its words with tips where the mouse rests, marks of its tracks, its layout."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from detentsim.show.explorer.report import headlines, sentences
from detentsim.show.explorer.tips import ROWS, result_tip
from detentsim.show.explorer.views.marks import MARKED, stretches
from detentsim.show.theme.rows import HAND_STEP
from detentsim.show.theme.style import WANTED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.explore.look import Look

LAYOUT = """<style>
.ds-explorer {container-type: inline-size; width: 100%; max-width: 1240px;}
.ds-explorer .ds-top {display: grid; grid-template-columns: minmax(0, 740px); gap: 0 12px;}
.ds-explorer .ds-views {display: flex; flex-flow: row nowrap; align-items: flex-start; overflow: hidden;}
.ds-explorer .ds-views > * {flex: 0 1 auto; min-width: 0; height: auto;}
.ds-explorer .ds-words {height: 214px; overflow: hidden auto; margin: 0;}
.ds-explorer .ds-words .widget-html-content {display: flex; gap: 0 16px; line-height: 1.25; font-size: 12px;
  min-width: 0; max-width: 100%; box-sizing: border-box; padding-right: 6px;}
.ds-explorer .ds-words td {white-space: nowrap; font-size: 12px; padding: 0 0.6em 0 0; text-align: left;}
.ds-explorer [title] {cursor: help;}
.ds-explorer .ds-knobs {display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 454px), 1fr));
  gap: 0 12px; max-height: clamp(150px, calc(100vh - 530px), 560px); overflow: hidden auto;}
.ds-explorer .ds-knob {display: grid; grid-template-columns: 126px minmax(0, 1fr) 64px; gap: 0 6px; align-items: start;
  height: 33px; overflow: hidden; white-space: nowrap;}
.ds-explorer .ds-track {display: flex; flex-flow: column; overflow: visible;}
.ds-explorer .ds-track > * {width: auto; margin: 0; height: 26px;}
.ds-explorer .ds-track > .ds-marks, .ds-explorer .ds-marks > * {height: 4px; min-height: 4px; line-height: 0;}
.ds-explorer .ds-marks {padding: 0 6px;}
@container (min-width: 800px) {
  .ds-explorer .ds-top {grid-template-columns: minmax(0, 740px) minmax(318px, 1fr);}
  .ds-explorer .ds-words {height: 312px;}
  .ds-explorer .ds-words .widget-html-content {display: block;}
}
</style>"""
"""Style of the parts: drawings and results stay while the knobs scroll, and no warning moves a knob."""


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
    cell = '<td style="text-align:left;padding:0 0.6em 0 0">'
    rows = "".join(
        f'<tr title="{escape(tip)}">{"".join(f"{cell}{escape(c)}</td>" for c in row)}</tr>'
        for row, tip in zip(headlines(look, start), map(result_tip, range(len(ROWS) + 2)), strict=True)
    )
    since = f'<b title="{escape(HAND_STEP)}" style="text-decoration:underline dotted">since the start</b>'
    head = f"<tr>{cell}</td>{cell}<b>now</b></td>{cell}{since}</td></tr>"
    notes = "".join(f"<div>{escape(words)}</div>" for words in (*sentences(look), HAND_STEP))
    told = f'<div style="line-height:1.3;margin-top:4px">{notes}</div>'
    return f'<div><table style="line-height:1.25">{head}{rows}</table></div>{told}'


def marks_html(met: Sequence[bool]) -> str:
    """Strip under a track that is blue where the target is met, as wide as the track.

    Parameters
    ----------
    met : sequence of bool
        For each stop; empty where it is not known.

    Returns
    -------
    str

    Examples
    --------
    >>> "50.00% 100.00%" in marks_html([False, False, True, True, True])
    False
    >>> "37.50% 100.00%" in marks_html([False, False, True, True, True])
    True
    """
    last = max(len(met) - 1, 1)
    ends = [(max(low, 0) / last, min(high, last) / last) for low, high in stretches(met)]
    bands = ", ".join(
        f"transparent {low:.2%}, {WANTED} {low:.2%} {high:.2%}, transparent {high:.2%}" for low, high in ends
    )
    paint = f"background:linear-gradient(to right, {bands})" if bands else ""
    return f'<div title="{MARKED}" style="height:4px;{paint}"></div>'


def named_html(words: str, tip: str) -> str:
    """A knob's name, with its tip.

    Parameters
    ----------
    words, tip : str
    """
    return f'<div title="{escape(tip)}" style="text-align:right;padding-right:6px">{escape(words)}</div>'
