"""Reads a document into values, tolerances and targets, and collects every problem.

Uses `document`, the table of inputs and the targets; `Build` checks and holds the result.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from detentsim.knife.checks.problems import BuildError, Fault, Problem
from detentsim.knife.checks.tolerance import Tolerance, parse_tolerance
from detentsim.knife.file.syntax import syntax_problems
from detentsim.knife.table.schema import (
    FREE_SECTIONS,
    INPUTS,
    SECTIONS,
    TABLES,
    closest_input,
    section_inputs,
    suggestion,
    unknown_input,
)
from detentsim.knife.table.value import Value
from detentsim.knife.table.values import read_value
from detentsim.knife.target.target import Target, parse_target
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.file.document import Document
    from detentsim.knife.record.layout.section import LayoutSection


@dataclass(frozen=True)
class Contents:
    """Contents of a build file as read.

    Attributes
    ----------
    given : mapping of str to Value
        Inputs that could be read.
    seen : frozenset of str
        Dotted names of inputs present in the file, faulty ones too.
    sections : frozenset of str
        Sections present in the file.
    tolerance : mapping of str to Tolerance
        By dotted input name.
    target : tuple of Target
        Wanted results.
    layout : LayoutSection or None
        The tang in plan and the ball's place on the bar.
    problems : tuple of (key, message)
        In the order of reading.
    """

    given: Mapping[str, Value] = field(default_factory=dict)
    seen: frozenset[str] = frozenset()
    sections: frozenset[str] = frozenset()
    tolerance: Mapping[str, Tolerance] = field(default_factory=dict)
    target: tuple[Target, ...] = ()
    layout: LayoutSection | None = None
    problems: tuple[Fault, ...] = ()


def read_contents(document: Document, source: str) -> Contents:
    """Read everything a document holds.

    Parameters
    ----------
    document : Document
        As read.
    source : str
        Name of the file in messages.

    Returns
    -------
    Contents
        With its problems collected, not raised.

    Raises
    ------
    BuildError
        When the text is not TOML at all.
    """
    _need_text(document.original)
    try:
        data = document.parse()
    except (ValueError, RecursionError) as error:
        broken = syntax_problems(document.original, error)
        raise BuildError(Problem(source, line, key, text) for line, key, text in broken) from None
    raw, problems = _inputs(data)
    given, faults = read_entries(raw)
    tolerance, loose = _tolerances(data.get("tolerance", {}))
    target, missed = _targets(data.get("target", {}))
    layout, drawn = _layout(data["layout"]) if "layout" in data else (None, [])
    sections = frozenset(key for key in data if key in SECTIONS)
    every = (*problems, *faults, *loose, *missed, *drawn)
    return Contents(given, frozenset(raw), sections, tolerance, target, layout, every)


def _need_text(given: object) -> None:
    if not isinstance(given, str):
        raise InputError("text", given, f"{shown(given)} is no text of a build file; a file is read by ds.Build.read")


def _layout(raw: object) -> tuple[LayoutSection | None, list[Fault]]:
    # only here: most builds have no layout, and its geometry loads numpy
    from detentsim.knife.record.layout.reading import read_layout

    return read_layout(raw)


def read_entries(raw: Mapping[str, object]) -> tuple[dict[str, Value], list[Fault]]:
    """Read entries of known inputs.

    Parameters
    ----------
    raw : mapping of str to object
        By dotted name.

    Returns
    -------
    tuple of dict and list
        Values read, and the problems of the other entries.
    """
    given: dict[str, Value] = {}
    problems: list[Fault] = []
    for name, value in raw.items():
        try:
            given[name] = read_value(INPUTS[name], value)
        except InputError as error:
            problems.append((name, error.problem))
    return given, problems


def _inputs(data: Mapping[str, Any]) -> tuple[dict[str, object], list[Fault]]:
    """Return the raw inputs of the file by dotted name, and problems of unknown keys."""
    raw: dict[str, object] = {}
    problems: list[Fault] = []
    for key, value in data.items():
        if key in FREE_SECTIONS:
            continue
        if key in SECTIONS:
            _section(key, value, raw, problems)
        elif key in INPUTS and "." not in key:
            raw[key] = value
        else:
            problems.append((key, _stranger(key, value)))
    return raw, problems


def _stranger(key: str, value: object) -> str:
    """Return the message about an unknown section or top-level key."""
    if isinstance(value, (Mapping, list)):
        known = [*SECTIONS, *FREE_SECTIONS]
        hint = suggestion(key, known) or f"; sections are {', '.join(known)}"
        return f"is no section of a build{hint}"
    if key in INPUTS:
        section, _, inner = key.partition(".")
        return f"stands in no section; write it without quotes, or {inner} under [{section}]"
    hint = suggestion(key, ["name", "hand", "units", "stock"])
    near = [n for n in closest_input(key) if n.rpartition(".")[2] == key]
    place = f"; {key} belongs in [{near[0].partition('.')[0]}]" if near else ""
    return f"stands in no section{place or hint}"


def _section(section: str, table: object, raw: dict[str, object], problems: list[Fault]) -> None:
    """Add a section's keys to `raw`, inline tables flattened."""
    if not isinstance(table, Mapping):
        more = "give one section, without doubled brackets" if isinstance(table, list) else "it is a section"
        problems.append((section, f"is {shown(table)}; {more}: [{section}] on a line of its own, its keys below"))
        return
    for key, value in table.items():
        name = f"{section}.{key}"
        if name in TABLES and isinstance(value, Mapping):
            inner = {f"{name}.{k}": v for k, v in value.items()}
            raw |= {n: v for n, v in inner.items() if n in INPUTS}
            problems += [(n, _unknown(n)) for n in inner if n not in INPUTS]
        elif name in TABLES:
            problems.append((name, f"{shown(value)} is not a table; write {_table_example(name)}"))
        elif name in INPUTS and "." in key:
            problems.append((name, f"is one name in quotes; write {_table_example(name.rpartition('.')[0])}"))
        elif name in INPUTS:
            raw[name] = value
        else:
            problems.append((name, _unknown(name)))


def _table_example(name: str) -> str:
    inner = [i for i in INPUTS.values() if i.name.startswith(name + ".")]
    pairs = ", ".join(f'{i.name.rpartition(".")[2]} = "{i.example}"' for i in inner)
    return f"{name.rpartition('.')[2]} = {{ {pairs} }}"


def _unknown(name: str) -> str:
    """Return the message about an unknown key of a known section, nearest names first."""
    section, _, key = name.partition(".")
    here = suggestion(key, [i.key for i in section_inputs(section)])
    elsewhere = [n for n in closest_input(name) if n.rpartition(".")[2] == key]
    hint = f"; did you mean {' or '.join(elsewhere)}" if elsewhere else here
    known = ", ".join(i.key for i in section_inputs(section))
    return f"is no input{hint or f'; [{section}] takes {known}'}"


def _tolerances(table: object) -> tuple[dict[str, Tolerance], list[Fault]]:
    """Read ``[tolerance]``; its dotted names may be quoted or not."""
    if not isinstance(table, Mapping):
        return {}, [("tolerance", f"is {shown(table)}, not a section")]
    tolerances: dict[str, Tolerance] = {}
    problems: list[Fault] = []
    for name, raw in _dotted(table):
        try:
            if name not in INPUTS:
                raise InputError(f"tolerance.{name}", raw, unknown_input(name))
            if name in tolerances:
                raise InputError(f"tolerance.{name}", raw, "is given twice, with quotes and without; keep one")
            tolerances[name] = parse_tolerance(name, raw)
        except InputError as error:
            problems.append((error.field, error.problem))
    return tolerances, problems


def _dotted(table: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield each entry by dotted name; TOML makes nested tables of dotted keys without quotes."""
    for key, value in table.items():
        if key in (*SECTIONS, *TABLES) and isinstance(value, Mapping):
            yield from _dotted({f"{key}.{inner}": raw for inner, raw in value.items()})
        else:
            yield key, value


def _targets(table: object) -> tuple[tuple[Target, ...], list[Fault]]:
    if not isinstance(table, Mapping):
        return (), [("target", f"is {shown(table)}, not a section")]
    targets: list[Target] = []
    problems: list[Fault] = []
    for name, raw in table.items():
        try:
            targets.append(parse_target(name, raw))
        except InputError as error:
            problems.append((error.field, error.problem))
    return tuple(targets), problems
