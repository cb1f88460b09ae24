"""A build in brief: one line of text, or its given inputs as a small HTML table for a notebook."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from detentsim.knife.table.schema import SECTIONS, section_inputs

if TYPE_CHECKING:
    from collections.abc import Container, Mapping

    from detentsim.knife.table.value import Value


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
    """Return a small HTML table of the given inputs, one row for each section.

    Parameters
    ----------
    caption : str
        Shortened to 200 characters.
    values : mapping of str to Value
        By dotted name.
    given : container of str
        Dotted names of the inputs to show.

    Returns
    -------
    str
        HTML; texts of the build file are escaped.

    Examples
    --------
    >>> import detentsim as ds
    >>> summary_table("garden", ds.demo().values, ["bar.width"])
    '<table><caption>garden</caption><tr><th>bar</th><td>width 8 mm</td></tr></table>'
    """
    rows = "".join(_row(section, values, given) for section in SECTIONS)
    return f"<table><caption>{escape(caption)[:200]}</caption>{rows}</table>"


def _row(section: str, values: Mapping[str, Value], given: Container[str]) -> str:
    shown = [entry for entry in section_inputs(section) if entry.name in given]
    cells = "; ".join(f"{entry.key} {escape(values[entry.name].text)[:40]}" for entry in shown)
    return f"<tr><th>{section}</th><td>{cells}</td></tr>" if cells else ""
