"""Parses TOML, and explains the syntax errors of a build file with their lines."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from detentsim.units.wording import shown

BOM = "\ufeff"

MOST_DOTS = 1000
"""Most dots of the keys on one line; the parser's time grows with the square of their number."""

_LONGEST_LINE = 2000
"""Longest line searched for a missing quote [characters]; the time of the search grows with its square."""

# the look-behind lets a match begin at the start of a word alone, or a long word takes the square of its length
_PAIR = re.compile(r"(?<![\w.-])([\w.-]+)\s*=\s*([^\s\"'\[{][^\",}\]\n]*)?")


_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u00ab\u00bb \u00a0"
"""Quotes that writing programs put in place of straight ones."""

_HIDDEN = re.compile("[\u00a0\u2000-\u200f\u2028\u2029\u202a-\u202f\u2060\u3000\ufeff]")

_QUOTED = re.compile(r"\"[^\"\n]*\"|'[^'\n]*'")


def load_toml(text: str) -> dict[str, Any]:
    r"""Return the data of a TOML text.

    Parameters
    ----------
    text : str
        With or without a byte order mark.

    Returns
    -------
    dict

    Raises
    ------
    ValueError, RecursionError
        As the standard library does for text that is not TOML, and for a key of more than `MOST_DOTS` dots.

    Examples
    --------
    >>> load_toml('[bar]\nwidth = "12 mm"')
    {'bar': {'width': '12 mm'}}
    """
    for number, line in enumerate(text.split("\n"), 1):
        if line.count(".") > MOST_DOTS and _QUOTED.sub("", line).partition("#")[0].count(".") > MOST_DOTS:
            raise ValueError(f"a line with more than {MOST_DOTS} dots in its keys (at line {number}, column 1)")
    return tomllib.loads(text.removeprefix(BOM))


def placed(error: Exception) -> tuple[int | None, str]:
    """Return line and message of a parser's error.

    Parameters
    ----------
    error : Exception
        Raised by `load_toml`.

    Returns
    -------
    tuple of int or None, and str
        The message does not name the line.

    Examples
    --------
    >>> placed(ValueError("Invalid value (at line 3, column 5)"))
    (3, 'Invalid value')
    """
    message = str(error)
    where = re.search(r"\(at line (\d+), column \d+\)", message)
    return int(where[1]) if where else None, re.sub(r"\s*\(at .*\)$", "", message)


def syntax_problems(text: str, error: Exception) -> list[tuple[int | None, str, str]]:
    r"""Return the reasons why a text is not TOML, in a maker's words.

    Parameters
    ----------
    text : str
        The whole text.
    error : Exception
        Raised by the parser.

    Returns
    -------
    list of (line, key, message)
        Every value that lacks its quotes, or else the parser's message.

    Examples
    --------
    >>> syntax_problems("[bar]\nthickness = 30 thou", ValueError())
    [(2, 'thickness', '30 thou stands without quotes; put quotes: thickness = "30 thou"')]
    """
    if isinstance(error, RecursionError):
        return [(None, "", "has brackets nested too deeply for a build file")]
    if _is_table(text):
        return [(None, "", _TABLE)]
    unquoted = [problem for n, line in enumerate(text.split("\n"), 1) for problem in _unquoted(n, line)]
    if unquoted or (pasted := _pasted(text)):
        return unquoted or pasted
    return [_explained(text, error)]


_TABLE = (
    "is a table and no build file; a measured curve is a file that ends in .csv, and goes to compare: "
    "detentsim compare mine.toml pull.csv"
)


def _is_table(text: str) -> bool:
    """Return whether a text looks like a table with a heading: cells with marks between them, no key."""
    lines = (line.strip() for line in text.removeprefix(BOM).splitlines())
    first = next((line for line in lines if line and not line.startswith("#")), "")
    return "=" not in first and any(mark in first for mark in ",;\t")


def _unquoted(number: int, line: str) -> list[tuple[int | None, str, str]]:
    """Return the values without quotes on one line, such as 30 thou."""
    if len(line) > _LONGEST_LINE or line.lstrip().startswith("#"):
        return []
    problems: list[tuple[int | None, str, str]] = []
    for key, cell in _PAIR.findall(line):
        value = cell if cell.startswith("#") and re.match(r"#\d", cell) else cell.partition("#")[0]
        value = re.sub(r"\s#\s.*", "", value).strip()
        bare = value.strip(_CURLY)
        if bare != value:
            problems.append(
                (number, key, f"{_named(value)} has curly quotes; type straight ones: {key} = {shown(bare)}")
            )
        elif value and not _is_value(value):
            problems.append((number, key, f"{_named(value)} stands without quotes; put quotes: {key} = {shown(value)}"))
    return problems


def _named(value: str) -> str:
    """Return a value as shown, without the quotes of a message."""
    return shown(value).strip(chr(34))


def _pasted(text: str) -> list[tuple[int | None, str, str]]:
    """Return the lines that hold a space or mark which no keyboard types, as text copied from a page does."""
    problems: list[tuple[int | None, str, str]] = []
    for number, line in enumerate(text.removeprefix(BOM).split("\n"), 1):
        hidden = _HIDDEN.search(line.partition("#")[0])
        if hidden:
            code = f"U+{ord(hidden.group()):04X}"
            fault = f"has a space or mark that looks like nothing ({code}) at column {hidden.start() + 1}"
            problems.append((number, "", f"{fault}; type a plain space in its place"))
    return problems


def _is_value(value: str) -> bool:
    try:
        tomllib.loads(f"x = {value}")
    except (ValueError, RecursionError):
        return len(value) > 400  # a huge number, not a missing quote
    return True


def _explained(text: str, error: Exception) -> tuple[int | None, str, str]:
    message = str(error)
    line, plain = placed(error)
    if "digits" in message:
        huge = re.search(r"\d{400,}", text)
        line = text.count("\n", 0, huge.start()) + 1 if huge else None
        plain = "a number has too many digits to be meant"
    elif "twice" in message or "overwrite" in message:
        return line, "", "is not valid TOML: the same key or section is given twice; keep one"
    elif "end of document" in message:
        line = text.rstrip("\n").count("\n") + 1
    return line, "", f'is not valid TOML: {plain}; write lines such as thickness = "3 mm" under [bar]'
