"""Plain text tables, wrapped sentences and JSON text; knows nothing about what they hold."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import textwrap
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    import numpy.typing as npt

# A number and its unit stay on one line.
_QUANTITY = re.compile(r"(\d) (?=(?:mm|um|thou|N|lbf|ozf|MPa|ksi|deg|HRC|ms|m/s|in/s|rad/s|mJ|%)(?![A-Za-z]))")

_ROWS = 4096

WIDTH = 96
"""Letters of a line in a report."""

NOTE = 30
"""Letters above which a cell is a sentence rather than a word."""

PAGE = 30
"""Lines of a short report."""


def report_of(parts: Iterable[Sequence[str]]) -> str:
    r"""Text of a report: its parts with a blank line between them; empty ones leave none.

    Parameters
    ----------
    parts : iterable of sequence of str
        Lines of each part.

    Examples
    --------
    >>> report_of([["one", "two"], [], ["three"]])
    'one\ntwo\n\nthree\n'
    """
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def first_that_fits(texts: Iterable[str]) -> str:
    r"""First of several texts that fits a page, else the last.

    Parameters
    ----------
    texts : iterable of str
        The same report with ever less in it; one at least.

    Examples
    --------
    >>> first_that_fits(["line\n" * 40, "line\n" * 30, "line\n"]).count("line")
    30
    """
    text = ""
    for text in texts:
        if text.count("\n") <= PAGE:
            break
    return text


def to_json(document: dict[str, Any]) -> str:
    """JSON text of a document, in ASCII so that any terminal can show it.

    Parameters
    ----------
    document : dict

    Raises
    ------
    ValueError
        Where it holds NaN or infinity.
    """
    return json.dumps(document, indent=1, allow_nan=False) + "\n"


def table(header: tuple[str, ...], rows: tuple[tuple[object, ...], ...]) -> str:
    """Aligned columns of text: numbers to four significant digits, a dash for None.

    Parameters
    ----------
    header : tuple of str
    rows : tuple of tuple
        As long as the header.

    Examples
    --------
    >>> print(table(("name", "mm"), (("#49", 1.854), ("none", None))), end="")
    name     mm
    #49   1.854
    none      -
    """
    cells = [list(header), *([cell(value) for value in row] for row in rows)]
    numeric = [all(isinstance(row[i], int | float | None) for row in rows) for i in range(len(header))]
    widths = [max(len(row[i]) for row in cells) for i in range(len(header))]
    lines = ("  ".join(_pad(row[i], widths[i], numeric[i]) for i in range(len(header))).rstrip() for row in cells)
    return "".join(f"{line}\n" for line in lines)


def table_lines(header: tuple[str, ...], rows: tuple[tuple[object, ...], ...], indent: str = "  ") -> list[str]:
    """Lines of a `table` in a report, moved in; none without rows.

    Parameters
    ----------
    header : tuple of str
    rows : tuple of tuple
        As long as the header.
    indent : str
        Before each line.
    """
    return [f"{indent}{line}" for line in table(header, rows).splitlines()] if rows else []


def table_with_notes(header: tuple[str, ...], rows: tuple[tuple[object, ...], ...]) -> str:
    """Table without the columns that hold sentences, and under it those sentences, wrapped, by the first column.

    Parameters
    ----------
    header : tuple of str
    rows : tuple of tuple
        As long as the header.

    Examples
    --------
    >>> print(table_with_notes(("state", "value", "source"), (("oiled", 0.12, "a film of oil, seen in a handbook"),)))
    state  value
    oiled   0.12
    <BLANKLINE>
    oiled: a film of oil, seen in a handbook
    <BLANKLINE>
    """
    long = [max((len(str(row[i])) for row in rows), default=0) > NOTE for i in range(len(header))]
    notes = [i for i in range(1, len(header)) if long[i]]
    kept = [i for i in range(len(header)) if i not in notes]
    text = table(tuple(header[i] for i in kept), tuple(tuple(row[i] for i in kept) for row in rows))
    if not notes:
        return text
    called = {i: f"{header[i].replace('_', ' ')}: " if len(notes) > 1 else "" for i in notes}
    said = ([f"{called[i]}{row[i]}" for i in notes if row[i] not in (None, "", "-")] for row in rows)
    sentences = (f"{row[0]}: {'; '.join(words)}" for row, words in zip(rows, said, strict=True) if words)
    return f"{text}\n" + "".join(f"{line}\n" for line in wrap_all(sentences, "", "  "))


def wrap(text: str, indent: str = "  ", hang: str | None = None) -> list[str]:
    """Sentence wrapped into lines of a report; a number and its unit stay together.

    Parameters
    ----------
    text : str
    indent, hang : str
        Before the first line and before the others; the same by default.

    Examples
    --------
    >>> wrap("Push, let go, measure.", "  1. ")
    ['  1. Push, let go, measure.']
    """
    further = indent if hang is None else hang
    lines = textwrap.wrap(
        unbroken(text), WIDTH, initial_indent=indent, subsequent_indent=further, break_on_hyphens=False
    )
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


def wrap_all(sentences: Iterable[str], indent: str = "  ", hang: str | None = None) -> list[str]:
    """Sentences wrapped into lines of a report, each from a new line; empty ones leave none.

    Parameters
    ----------
    sentences : iterable of str
    indent, hang : str
        As `wrap` takes them.

    Examples
    --------
    >>> wrap_all(["Push, let go, measure.", "", "Try it."])
    ['  Push, let go, measure.', '  Try it.']
    """
    return [line for sentence in sentences for line in wrap(sentence, indent, hang)]


def titled(title: str, lines: Sequence[str]) -> list[str]:
    """Part of a report under its heading; nothing where it has no lines.

    Parameters
    ----------
    title : str
    lines : sequence of str
    """
    return [title, *lines] if lines else []


def unbroken(text: str) -> str:
    """Text with a no-break space between each number and its unit.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> unbroken("at most 0.5 N").split(" ")[-1] == "0.5\N{NO-BREAK SPACE}N"
    True
    """
    return _QUANTITY.sub("\\1\N{NO-BREAK SPACE}", text)


def _pad(text: str, width: int, right: bool) -> str:
    return text.rjust(width) if right else text.ljust(width)


def cell(value: object) -> str:
    """What a table shows of a value: four significant digits of a number, a dash for None.

    Parameters
    ----------
    value : object
    """
    if value is None:
        return "-"
    return f"{value:.4g}" if isinstance(value, float) else str(value)


def csv_text(header: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    r"""Text of a CSV table with full digits.

    Parameters
    ----------
    header : iterable of str
    rows : iterable of iterable
        Truths are written true and false, missing numbers as empty cells.

    Examples
    --------
    >>> csv_text(["name", "N"], [("one", 0.1), ("other", None)])
    'name,N\none,0.1\nother,\n'
    """
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([_csv_cell(cell) for cell in row] for row in (header, *rows))
    return out.getvalue()


def records_csv(rows: npt.NDArray[Any]) -> Iterator[str]:
    """Structured array as text of a CSV table, in parts: headings, then a line for each row.

    Parameters
    ----------
    rows : structured array, shape (n,)
        Truths are written true and false, missing numbers as empty cells.
    """
    yield ",".join(rows.dtype.names or ()) + "\n"
    for start in range(0, rows.size, _ROWS):
        first, *others = rows[start : start + _ROWS].tolist()
        yield csv_text(first, others)


def _csv_cell(value: object) -> object:
    if isinstance(value, bool):
        return str(value).lower()
    return ("" if math.isnan(value) else repr(value)) if isinstance(value, float) else value
