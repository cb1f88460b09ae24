"""Changes, adds or removes one value in a TOML text and leaves the rest of the text as it is.

Used by `document`. Candidate texts are tried in turn; one counts only if it parses to exactly the wanted data.
"""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any

from detentsim.knife.file.statements import Statement, flat, split_lines, statements
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

_TOKEN = re.compile(r'"(?:\\.|[^"\\])*"|\'[^\']*\'|[^\s=,\[\]{}#"\']+')


def toml_value(value: object) -> str:
    """Return a text, number or truth as TOML.

    Parameters
    ----------
    value : str, float, int or bool
        Value to write.

    Returns
    -------
    str
        Text in quotes, control characters written out; a number that reads back the same.

    Examples
    --------
    >>> print(toml_value("30 thou"), toml_value(True), toml_value(0.12))
    "30 thou" true 0.12
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, float)):
        return repr(value)
    text = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08x}" for c in text) + '"'


def edit(text: str, name: str, new: object) -> str:
    r"""Return the text with one value changed, added or removed.

    Parameters
    ----------
    text : str
        Valid TOML.
    name : str
        Dotted name.
    new : str, float, bool or None
        None removes the key.

    Returns
    -------
    str
        Text with everything else unchanged.

    Raises
    ------
    InputError
        When the layout of the file leaves no place for the change.

    Examples
    --------
    >>> edit("[bar]\nwidth = \"12 mm\"  # measured\n", "bar.width", "11.5 mm")
    '[bar]\nwidth = "11.5 mm"  # measured\n'
    """
    data = tomllib.loads(text)
    wanted, empty = flat(data), _empty_tables(data)
    if new is None:
        if wanted.pop(name, None) is None:
            return text
    elif name in wanted and wanted[name] == new:
        return text
    else:
        wanted[name] = new
    for candidate in _candidates(text, name, new):
        if _is(candidate, wanted, empty):
            return candidate
    raise InputError(name, new, "has no place in the file as it is laid out; change it there by hand")


def _is(text: str, wanted: Mapping[str, Any], empty: int) -> bool:
    """Whether a text has the wanted values, and no more empty tables than before: an empty band is none."""
    try:
        data = tomllib.loads(text)
    except ValueError:
        return False
    return flat(data) == wanted and _empty_tables(data) <= empty


def _empty_tables(data: Mapping[str, Any], inner: bool = False) -> int:
    """Count of empty tables within the sections, which themselves may be empty."""
    tables = [value for value in data.values() if isinstance(value, dict)]
    return sum((inner and not table) + _empty_tables(table, True) for table in tables)


def _candidates(text: str, name: str, new: object) -> Iterator[str]:
    """Yield candidate texts, the smallest change first."""
    lines = split_lines(text)
    parts = list(statements(lines))
    holding = [s for s in parts if s.header is None and name in s.names]
    for statement in holding:
        before, after = "".join(lines[: statement.start]), "".join(lines[statement.end :])
        body = "".join(lines[statement.start : statement.end])
        changes = _removals(body, name) if new is None else _replacements(body, toml_value(new))
        yield from (before + change + after for change in changes)
        headers = [s for s in parts if s.header == statement.table] if new is None else []
        yield from ("".join(lines[: s.start] + lines[s.end : statement.start]) + after for s in headers)
    if not holding and new is not None:
        yield from _additions(lines, parts, name, toml_value(new))


def _replacements(body: str, new: str) -> Iterator[str]:
    for token in _TOKEN.finditer(body):
        yield body[: token.start()] + new + body[token.end() :]
    # a text over several lines
    yield re.sub(r'("""|\'\'\').*?\1', lambda _: new, body, count=1, flags=re.DOTALL)


def _removals(body: str, name: str) -> Iterator[str]:
    yield ""
    *tables, key = name.split(".")
    for less in _without(body, key, _TOKEN.pattern):
        yield less
        yield from _without(less, tables[-1], r"\{\s*\}") if tables else ()


def _without(body: str, key: str, value: str) -> Iterator[str]:
    """Yield an inline table without a pair, of a pattern of its value."""
    pair = rf"[\"']?(?:\w+\.)*{re.escape(key)}[\"']?\s*=\s*(?:{value})"
    yield re.sub(rf"\s*,\s*{pair}", "", body, count=1)
    yield re.sub(rf"{pair}\s*,\s*", "", body, count=1)
    yield re.sub(pair, "", body, count=1)


def _additions(lines: list[str], parts: list[Statement], name: str, new: str) -> Iterator[str]:
    """Yield texts with the new key at the end of its table, inside an inline table, or in a new table."""
    section, _, key = name.partition(".") if "." in name else ("", "", name)
    newline = "\r\n" if lines and lines[0].endswith("\r\n") else "\n"
    table, _, last = name.rpartition(".")
    for statement in [s for s in parts if s.header is None and any(n.startswith(f"{table}.") for n in s.names)]:
        yield from _grown(lines, statement, f"{last} = {new}")
    own = [s for s in parts if s.table == table]
    if own:
        yield _inserted(lines, own[-1], f"{last} = {new}", newline)
    inside = [s for s in parts if s.table == section]
    if inside:
        yield _inserted(lines, inside[-1], f"{key} = {new}", newline)
    rooted = [s for s in parts if s.header is None and not s.table and section in s.names]
    for statement in rooted:
        yield _inserted(lines, statement, f"{name} = {new}", newline)
        yield from _grown(lines, statement, f"{key} = {new}")
    text = "".join(lines)
    if not section:
        yield f"{key} = {new}{newline}{text}"
        return
    gap = "" if not text or text.endswith("\n") else newline
    yield f"{text}{gap}{newline}[{section}]{newline}{key} = {new}{newline}"


def _grown(lines: list[str], statement: Statement, pair: str) -> Iterator[str]:
    """Yield texts with one more pair in an inline table of a statement, the outer one first."""
    body = "".join(lines[statement.start : statement.end])
    for end in reversed([brace.start() for brace in re.finditer("}", body)]):
        for comma in (", ", " "):
            grown = f"{body[:end].rstrip()}{comma}{pair} {body[end:]}"
            yield "".join(lines[: statement.start]) + grown + "".join(lines[statement.end :])


def _inserted(lines: list[str], after: Statement, line: str, newline: str) -> str:
    """Return the text with a line after a statement, indented like it."""
    last = lines[after.end - 1]
    gap = "" if last.endswith("\n") else newline
    indent = re.match(r"[ \t]*", lines[after.start])
    space = indent.group() if indent else ""
    return "".join(lines[: after.end]) + f"{gap}{space}{line}{newline}" + "".join(lines[after.end :])
