"""Splits a TOML text into statements with their lines and names.

Used by `document` and `edits`. It has no TOML grammar of its own: the standard library parses every statement.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

_LONGEST_STATEMENT = 200  # lines; beyond it no line numbers rather than a long wait

_DEEPEST = 5


@dataclass(frozen=True)
class Statement:
    """A header or a key of the file, with the dotted names it defines.

    Attributes
    ----------
    start, end : int
        Lines, counted from 0, end excluded.
    header : str or None
        Dotted name of the table for a header.
    table : str
        Dotted name of the table it belongs to.
    names : tuple of str
        Every dotted name it defines, inner ones too.
    """

    start: int
    end: int
    header: str | None
    table: str
    names: tuple[str, ...]


def flat(data: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """Return the values of nested tables by dotted name.

    Parameters
    ----------
    data : mapping
        As parsed.
    prefix : str
        Name of the table that holds them.

    Returns
    -------
    dict of str to object
        Values, in their order.

    Examples
    --------
    >>> flat({"bar": {"measured": {"at": "50 mm"}}, "name": "x"})
    {'bar.measured.at': '50 mm', 'name': 'x'}
    """
    leaves: dict[str, Any] = {}
    for key, value in data.items():
        name = f"{prefix}.{key}" if prefix else key
        if isinstance(value, dict) and name.count(".") < _DEEPEST:
            leaves |= flat(value, name)
        else:
            leaves[name] = value
    return leaves


def split_lines(text: str) -> list[str]:
    r"""Return the lines of a text with their ends, as TOML counts them.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    list of str
        Their concatenation is the text.

    Examples
    --------
    >>> split_lines("a = 1\nb = 2")
    ['a = 1\n', 'b = 2']
    """
    # not str.splitlines: it also splits at characters that are no line ends in TOML
    return re.findall(r"[^\n]*\n|[^\n]+", text)


def statements(lines: list[str]) -> Iterator[Statement]:
    r"""Split a valid text into statements: each is the shortest sequence of lines that parses alone.

    Parameters
    ----------
    lines : list of str
        From `split_lines`.

    Yields
    ------
    Statement
        In their order; ends early at a value of more than 200 lines.

    Examples
    --------
    >>> [s.names for s in statements(["[bar]\n", "width = 1\n"])]
    [('bar',), ('bar.width',)]
    """
    table, start = "", 0
    while start < len(lines):
        parsed = _parsed(lines, start)
        if parsed is None:
            return
        end, data = parsed
        if data:
            header = _header(data) if lines[start].lstrip().startswith("[") else None
            table = table if header is None else header
            names = (header,) if header is not None else tuple(_all_names(data, table))
            yield Statement(start, end, header, table, names)
        start = end


def _parsed(lines: list[str], start: int) -> tuple[int, dict[str, Any]] | None:
    for end in range(start + 1, min(start + _LONGEST_STATEMENT, len(lines)) + 1):
        data = _alone("".join(lines[start:end]))
        if data is not None:
            return end, data
    return None


@lru_cache(maxsize=1024)  # many edits of one file ask for the same statements; nobody changes what is returned
def _alone(text: str) -> dict[str, Any] | None:
    """Data of a text that parses alone."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return None


def _header(data: Any) -> str:
    names = []
    while isinstance(data, (dict, list)) and data:
        if isinstance(data, dict):
            names.append(next(iter(data)))
            data = data[names[-1]]
        else:
            data = data[0]
    return ".".join(names)


def _all_names(data: Mapping[str, Any], prefix: str) -> Iterator[str]:
    for key, value in data.items():
        name = f"{prefix}.{key}" if prefix else key
        yield name
        if isinstance(value, dict) and name.count(".") < _DEEPEST:
            yield from _all_names(value, name)
