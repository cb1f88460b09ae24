"""Changes made in Python: inputs by dotted name, and the entries that the file needs for them.

Uses the table of inputs; `Build.change` calls it, and `edits` puts the entries in their place in the file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from detentsim.knife.table.schema import INPUTS, Raw, unknown_input
from detentsim.knife.table.values import read_value, to_raw
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.checks.problems import Fault
    from detentsim.knife.file.reading import Contents
    from detentsim.knife.table.value import Value


def changed(contents: Contents, changes: Mapping[str, object]) -> tuple[Contents, dict[str, Raw | bool | None]]:
    """Return contents with some inputs changed in code, and the entries of the file for them.

    Parameters
    ----------
    contents : Contents
        As read; stays as it is.
    changes : mapping of str to text, number, quantity or None
        By dotted name; None removes an input.

    Returns
    -------
    tuple of Contents and dict
        Contents with the problems of the changes alone; new entries by dotted name.
    """
    _need_mapping(changes)
    given = dict(contents.given)
    edits: dict[str, Raw | bool | None] = {}
    problems: list[Fault] = []
    for name, new in changes.items():
        _apply(str(name), new, given, edits, problems)
    taken = {name for name, new in edits.items() if new is None}
    seen = (contents.seen | set(edits)) - taken
    sections = contents.sections | {INPUTS[name].section for name in given}
    return replace(contents, given=given, seen=seen, sections=sections, problems=tuple(problems)), edits


def _need_mapping(changes: object) -> None:
    if not isinstance(changes, Mapping):
        example = '{"bar.bend": "2.4 mm"}'
        raise InputError("change", changes, f"{shown(changes)} is no mapping of inputs; give one such as {example}")


def without_tolerance(contents: Contents, names: Iterable[str]) -> Contents:
    """Return contents without the tolerances of some inputs.

    Parameters
    ----------
    contents : Contents
        As read; stays as it is.
    names : iterable of str
        Dotted names of inputs; one without a tolerance is passed over.

    Returns
    -------
    Contents
    """
    gone = set(names)
    kept = {name: value for name, value in contents.tolerance.items() if name not in gone}
    return replace(contents, tolerance=kept)


def _apply(
    name: str,
    new: object,
    given: dict[str, Value],
    edits: dict[str, Raw | bool | None],
    problems: list[tuple[str, str]],
) -> None:
    """Put one change into the given values and the edits, or its fault to the problems."""
    if name not in INPUTS:
        problems.append((name[:80], unknown_input(name)))
        return
    given.pop(name, None)
    edits[name] = None
    if new is None:
        return
    edits[name] = ""  # marks the input as given even if it is faulty
    try:
        edits[name] = raw = to_raw(INPUTS[name], new)
        given[name] = read_value(INPUTS[name], raw)
    except InputError as error:
        problems.append((name, error.problem))
