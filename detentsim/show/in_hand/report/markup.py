"""Pieces of HTML: every text is escaped, and a number and its unit stay on one line."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from detentsim.show.theme.tables import cell, unbroken

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


class Html(str):
    """Text that is HTML already, and is not escaped again."""

    __slots__ = ()


def safe(text: str) -> Html:
    """Text as HTML: escaped, a mark in place of what cannot be shown, numbers tied to their units.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> safe("<b> at 5 N")
    '&lt;b&gt; at 5\N{NO-BREAK SPACE}N'
    """
    if isinstance(text, Html):
        return text
    shown = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)
    return Html(escape(unbroken(shown)))


def tag(name: str, *inside: str, **attributes: str) -> Html:
    """An element with what is inside it.

    Parameters
    ----------
    name : str
    *inside : str
        Escaped unless it is HTML already.
    **attributes : str
        ``class_`` for class, ``data_at`` for data-at.

    Examples
    --------
    >>> tag("p", "5 < 6", class_="note")
    '<p class="note">5 &lt; 6</p>'
    """
    words = "".join(f' {key.rstrip("_").replace("_", "-")}="{escape(value)}"' for key, value in attributes.items())
    return Html(f"<{name}{words}>{''.join(map(safe, inside))}</{name}>")


def join(parts: Iterable[str]) -> Html:
    """Pieces one after the other, a line each.

    Parameters
    ----------
    parts : iterable of str
    """
    return Html("\n".join(safe(part) for part in parts if part))


def said(sentences: Iterable[str], class_: str = "") -> Html:
    """A paragraph for each sentence; empty ones leave none.

    Parameters
    ----------
    sentences : iterable of str
    class_ : str
        Of each paragraph.
    """
    how = {"class_": class_} if class_ else {}
    return join(tag("p", sentence, **how) for sentence in sentences if sentence)


def listed(items: Iterable[str], ordered: bool = False) -> Html:
    """A list; nothing where there are no items.

    Parameters
    ----------
    items : iterable of str
    ordered : bool
        Whether it is numbered.
    """
    rows = [tag("li", item) for item in items]
    return tag("ol" if ordered else "ul", join(rows)) if rows else Html("")


def number(words: str, value: float | bool | None, *at: object) -> Html:
    """A number in words that carries its full digits, and where it stands in the report's JSON document.

    Parameters
    ----------
    words : str
    value : float, bool or None
        The words alone are given where there is none.
    *at : str or int
        Keys of the document, which become a JSON pointer (RFC 6901).

    Examples
    --------
    >>> number("13 N", 13.25, "curve", "results", "breakout_force", "value")
    '<data value="13.25" data-at="/curve/results/breakout_force/value">13\N{NO-BREAK SPACE}N</data>'
    """
    if value is None:
        return safe(words)
    digits = str(value).lower() if isinstance(value, bool) else repr(float(value))
    pointer = "".join(f"/{str(key).replace('~', '~0').replace('/', '~1')}" for key in at)
    return tag("data", words, value=digits, data_at=pointer)


def rows_table(header: Sequence[str], rows: Iterable[Sequence[object]], class_: str = "") -> Html:
    """A table with its heading, in a frame that scrolls sideways where a screen is too narrow for it.

    Parameters
    ----------
    header : sequence of str
        Empty for a table without a heading, whose first cells then name the rows.
    rows : iterable of sequence
        Text, numbers (shown to four significant digits) or None (a dash).
    class_ : str
        Of the table; ``stack`` sets each cell under the one before it on a narrow screen, named by its heading.
    """
    body = [join(_cells(row, header)) for row in rows]
    if not body:
        return Html("")
    head = tag("thead", tag("tr", join(tag("th", word, scope="col") for word in header))) if header else ""
    how = {"class_": class_} if class_ else {}
    table = tag("table", join([head, tag("tbody", join(tag("tr", row) for row in body))]), **how)
    return tag("div", table, class_="scroll")


def _cells(row: Sequence[object], header: Sequence[str]) -> list[Html]:
    first, *rest = (one if isinstance(one, str) else cell(one) for one in row)
    heads = [{"data_head": word} for word in header[1:]] or [{}] * len(rest)
    return [tag("th", first, scope="row"), *(tag("td", one, **head) for one, head in zip(rest, heads, strict=True))]


def section(name: str, title: str, *parts: str) -> Html:
    """A part of the page with its heading; nothing where it holds nothing.

    Parameters
    ----------
    name : str
        By which the page's head points to it.
    title : str
    *parts : str
    """
    body = join(parts)
    return tag("section", join([tag("h2", title), body]), id=name) if body else Html("")
