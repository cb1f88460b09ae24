"""Syntax errors of a build file, in plain words with their lines."""

from __future__ import annotations

import re
import tomllib

from detentsim.units.wording import shown

_LONGEST_LINE = 2000
"""Longest line searched for a forgotten quote: the search slows down with the square of it."""

_PAIR = re.compile(r"([\w.-]+)\s*=\s*([^\s\"'\[{][^\",}\]\n]*)?")


def syntax_problems(text: str, error: Exception) -> list[tuple[int | None, str, str]]:
    """Say in a maker's words why a text is not TOML.

    Parameters
    ----------
    text : str
        The whole text.
    error : Exception
        What the parser raised.

    Returns
    -------
    list of (line, key, message)
        Every value that lacks its quotes, or else the parser's own complaint.
    """
    if isinstance(error, RecursionError):
        return [(None, "", "has brackets nested too deeply for a build file")]
    unquoted = [found for n, line in enumerate(text.split("\n"), 1) for found in _unquoted(n, line)]
    if unquoted:
        return unquoted
    return [_told(text, str(error))]


def _unquoted(number: int, line: str) -> list[tuple[int | None, str, str]]:
    """Find values such as 25 thou that stand without quotes on one line."""
    if len(line) > _LONGEST_LINE or line.lstrip().startswith("#"):
        return []
    found: list[tuple[int | None, str, str]] = []
    for key, cell in _PAIR.findall(line):
        value = cell if cell.startswith("#") and re.match(r"#\d", cell) else cell.partition("#")[0]
        value = re.sub(r"\s#\s.*", "", value).strip()
        if value and not _is_value(value):
            text = shown(value)
            found.append((number, key, f"{text.strip(chr(34))} stands without quotes; put quotes: {key} = {text}"))
    return found


def _is_value(value: str) -> bool:
    try:
        tomllib.loads(f"x = {value}")
    except (ValueError, RecursionError):
        return len(value) > 400  # a huge number, not a forgotten quote
    return True


def _told(text: str, message: str) -> tuple[int | None, str, str]:
    where = re.search(r"\(at line (\d+), column \d+\)", message)
    line = int(where.group(1)) if where else None
    plain = re.sub(r"\s*\(at .*\)$", "", message)
    if "digits" in message:
        huge = re.search(r"\d{400,}", text)
        line = text.count("\n", 0, huge.start()) + 1 if huge else None
        plain = "a number has too many digits to be meant"
    elif "twice" in message or "overwrite" in message:
        plain = "the same key or section is given twice; keep one"
    elif "end of document" in message:
        line = text.rstrip("\n").count("\n") + 1
    return line, "", f'is not valid TOML: {plain}; write lines such as thickness = "3 mm" under [bar]'
