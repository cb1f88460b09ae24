"""Small HTML tables for a notebook; a build in brief, as a line of text or such a table."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from detentsim.knife.table.schema import SECTIONS, section_inputs

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Mapping, Sequence

    from detentsim.knife.table.value import Value


LEFT = '<td style="text-align:left">'  # a notebook would set sentences flush right


def notebook_table(caption: str, rows: Iterable[Sequence[str]]) -> str:
    """Return a small HTML table: the first cell of a row is its heading.

    Parameters
    ----------
    caption : str
        Shortened to 200 characters.
    rows : iterable of sequence of str

    Returns
    -------
    str
        HTML; caption and cells are escaped.

    Examples
    --------
    >>> notebook_table("garden", [("bend", "< 2 mm")])
    '<table><caption>garden</caption><tr><th>bend</th><td style="text-align:left">&lt; 2 mm</td></tr></table>'
    """
    body = "".join(
        f"<tr><th>{escape(title)}</th>{''.join(f'{LEFT}{escape(cell)}</td>' for cell in cells)}</tr>"
        for title, *cells in rows
    )
    return f"<table><caption>{escape(caption[:200])}</caption>{body}</table>"


def summary_line(name: str, values: Mapping[str, Value], count: int) -> str:
    """Return one line with the name, the bend, the ball's diameter and the number of inputs given.

    Parameters
    ----------
    name : str
    values : mapping of str to Value
        By dotted name.
    count : int
        Inputs given.

    Returns
    -------
    str

    Examples
    --------
    >>> summary_line("garden", {}, 12)
    "<Build 'garden', 12 inputs given>"
    """
    texts = [f"{key} {values[key].text}" for key in ("bar.bend", "ball.diameter") if key in values]
    return f"<Build {', '.join([repr(name), *texts, f'{count} inputs given'])}>"


def summary_table(caption: str, values: Mapping[str, Value], given: Container[str]) -> str:
    """Return a `notebook_table` of the given inputs, one row for each section.

    Parameters
    ----------
    caption : str
    values : mapping of str to Value
        By dotted name.
    given : container of str
        Dotted names of the inputs to show.

    Returns
    -------
    str
        HTML.

    Examples
    --------
    >>> import detentsim as ds
    >>> summary_table("garden", ds.demo().values, ["bar.width"])
    '<table><caption>garden</caption><tr><th>bar</th><td style="text-align:left">width 8 mm</td></tr></table>'
    """
    rows = [(section, _given(section, values, given)) for section in SECTIONS]
    return notebook_table(caption, [row for row in rows if row[1]])


def _given(section: str, values: Mapping[str, Value], given: Container[str]) -> str:
    shown = [entry for entry in section_inputs(section) if entry.name in given]
    return "; ".join(f"{entry.key} {values[entry.name].text[:40]}" for entry in shown)
