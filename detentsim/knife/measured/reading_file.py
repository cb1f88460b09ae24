"""Readings file: TOML with ``[[reading]]``, ``[[saw]]`` and the name of a measured curve; every problem with its line.

Uses `readings`, which reads what one entry says.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.file.syntax import load_toml, placed
from detentsim.knife.file.text import FileWords, text_of
from detentsim.knife.measured.measured import Measured
from detentsim.knife.measured.readings import (
    Reading,
    Readings,
    Sighting,
    from_mapping,
    is_sight,
    known,
    reading,
    truth,
    twice,
)
from detentsim.knife.table.schema import suggestion
from detentsim.units.errors import InputError
from detentsim.units.wording import shorten, shown

WRITTEN = "`detentsim readings BUILD -o FILE` writes one to fill in"
EXAMPLE = '[[reading]] with what = "lift_force_open" and value = "6.4 N" below it'

_WORDS = FileWords(
    WRITTEN,
    "give a readings file such as readings.toml",
    256 * 1024,
    "a readings file is a few lines of text",
    "a readings file is plain text (TOML)",
)

_KEYS = {"reading": ("what", "value", "values", "error", "note"), "saw": ("what", "is", "note")}


def read_readings(given: object) -> Readings:
    """Read readings from a file or a mapping.

    Parameters
    ----------
    given : str, Path, mapping or Readings

    Returns
    -------
    Readings

    Raises
    ------
    BuildError
        With every problem; of a file each with its line.
    """
    if isinstance(given, Readings):
        return given
    if isinstance(given, Mapping):
        return from_mapping(given)
    if not isinstance(given, str | Path):
        text = f'{shown(given)} is neither a file nor a mapping; give "readings.toml" or {{"lift_force_open": "6.4 N"}}'
        raise InputError("readings", given, text)
    return parse_readings(text_of(given, _WORDS), str(given), Path(given).parent)


def parse_readings(text: str, source: str = "readings", folder: Path | None = None) -> Readings:
    r"""Read the text of a readings file.

    Parameters
    ----------
    text : str
    source : str
        Its name in messages.
    folder : Path, optional
        Where a measured curve lies; by default the working folder.

    Returns
    -------
    Readings

    Raises
    ------
    BuildError
        With every problem and its line.

    Examples
    --------
    >>> parse_readings('[[reading]]\nwhat = "breakout_force"\nvalues = ["9.1 N", "9.5 N"]').taken[0].value
    9.3
    """
    try:
        data = load_toml(text)
    except (ValueError, RecursionError) as error:
        raise BuildError([_syntax(source, error)]) from None
    entries = _Entries(text, shorten(source, 300))
    entries.read(data, folder or Path())
    if entries.problems:
        raise BuildError(entries.problems)
    found = Readings(tuple(entries.taken), tuple(dict.fromkeys(entries.saw)), entries.curve, source)
    if not (found.taken or found.saw or found.curve):
        raise BuildError([Problem(source, None, "", f"gives no reading; write {EXAMPLE}")])
    return found


def _syntax(source: str, error: Exception) -> Problem:
    line, plain = placed(error)
    plain = "brackets nested too deeply" if isinstance(error, RecursionError) else plain
    return Problem(source, line, "", f"is not valid TOML: {plain}; write {EXAMPLE}")


class _Entries:
    """Collects the entries of one file and their problems."""

    def __init__(self, text: str, source: str) -> None:
        self.lines, self.source = text.split("\n"), source
        self.problems: list[Problem] = []
        self.taken: list[Reading] = []
        self.saw: list[Sighting] = []
        self.curve: Measured | None = None

    def read(self, data: Mapping[str, Any], folder: Path) -> None:
        """Read the whole file."""
        if {"bar", "ball", "dimple"} & set(data):
            self._wrong(None, "", f"is a build file, not a readings file; {WRITTEN}")
            return
        for key, value in data.items():
            if key == "curve":
                self._curve(value, folder)
            elif key not in _KEYS:
                hint = suggestion(key, [*_KEYS, "curve"]) or f"; write {EXAMPLE}"
                self._wrong(self._line(rf"\[*\s*{re.escape(key)}\b"), key, f"is no part of a readings file{hint}")
            elif not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
                self._wrong(self._line(rf"\[*\s*{key}\b"), key, f"is not a list of entries; write {EXAMPLE}")
            else:
                self._section(key, value)
        for what, words in twice(self.taken, self.saw):
            key = "saw" if is_sight(what) else "reading"
            self._wrong(None, f"{key}.{what}", words.replace("one list", 'values = ["6.4 N", "6.6 N"]'))

    def _section(self, key: str, entries: list[Mapping[str, Any]]) -> None:
        for i, entry in enumerate(entries):
            line = self._line(rf"\[\[\s*{key}\s*\]\]", i)
            try:
                self._entry(key, entry)
            except InputError as error:
                self._wrong(line, error.field, error.problem)

    def _entry(self, key: str, entry: Mapping[str, Any]) -> None:
        for name in entry:
            if name not in _KEYS[key]:
                hint = suggestion(name, _KEYS[key]) or f"; there are {', '.join(_KEYS[key])}"
                raise InputError(key, name, f"{shown(name)} is not known here{hint}")
        if "what" not in entry:
            raise InputError(key, None, 'does not say what it is; add what = "lift_force_open"')
        what = known(entry["what"], f"{key}.what")
        if is_sight(what) != (key == "saw"):
            other = "[[saw]] with is = true" if key == "reading" else '[[reading]] with value = "6.4 N"'
            raise InputError(f"{key}.{what}", what, f"belongs under {other}")
        if key == "saw":
            self.saw.append(Sighting(what, truth(f"saw.{what}", entry.get("is"))))
        else:
            self.taken.append(_reading(what, entry))

    def _curve(self, value: object, folder: Path) -> None:
        line = self._line(r"curve\s*=")
        if not isinstance(value, str) or not value.strip():
            self._wrong(line, "curve", f'{shown(value)} is no file name; write curve = "pull.csv"')
            return
        try:
            self.curve = Measured.read(folder / value)
        except BuildError as error:
            self.problems += error.problems

    def _line(self, pattern: str, count: int = 0) -> int | None:
        found = [n for n, line in enumerate(self.lines, 1) if re.match(rf"\s*{pattern}", line)]
        return found[count] if count < len(found) else None

    def _wrong(self, line: int | None, key: str, message: str) -> None:
        self.problems.append(Problem(self.source, line, key, message))


def _reading(what: str, entry: Mapping[str, Any]) -> Reading:
    field = f"reading.{what}"
    if ("value" in entry) == ("values" in entry):
        both = "has both value and values; keep one" if "value" in entry else "has no value"
        raise InputError(field, None, f'{both}, such as value = "6.4 N" or values = ["6.4 N", "6.6 N"]')
    if isinstance(entry.get("value"), list):
        raise InputError(field, entry["value"], 'is a list; repeats stand in values = ["6.4 N", "6.6 N"]')
    values = entry["values"] if "values" in entry else [entry["value"]]
    if not isinstance(values, list):
        raise InputError(field, values, f'{shown(values)} is no list; write values = ["6.4 N", "6.6 N"]')
    return reading(what, values, entry.get("error"), field)
