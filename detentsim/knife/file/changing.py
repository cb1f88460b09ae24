"""Changes made in Python: inputs and targets by dotted name, and the entries that the file needs for them.

Uses the table of inputs; `Build.change` calls it, and `edits` puts the entries in their place in the file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from detentsim.knife.outcomes import RESULTS
from detentsim.knife.table.schema import INPUTS, Raw, unknown_input
from detentsim.knife.table.value import Value
from detentsim.knife.table.values import read_value, to_raw
from detentsim.knife.target.target import parse_target
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.checks.problems import Fault
    from detentsim.knife.file.reading import Contents
    from detentsim.knife.target.target import Target


def changed(contents: Contents, changes: Mapping[str, object]) -> tuple[Contents, dict[str, Raw | bool | None]]:
    """Return contents with some inputs changed in code, and the entries of the file for them.

    Parameters
    ----------
    contents : Contents
        As read; stays as it is.
    changes : mapping of str to text, number, quantity or None
        By dotted name; None removes an input. A target, like ``target.falls_shut``, is a truth, a band or None.

    Returns
    -------
    tuple of Contents and dict
        Contents with the problems of the changes alone; new entries by dotted name.
    """
    _need_mapping(changes)
    given = dict(contents.given)
    edits: dict[str, Raw | bool | None] = {}
    problems: list[Fault] = []
    aims = {f"target.{wanted.name}": wanted for wanted in contents.target}
    for name, new in changes.items():
        if str(name).startswith("target."):
            _aim(str(name), new, aims, edits, problems)
        else:
            _apply(str(name), new, given, edits, problems)
    taken = {name for name, new in edits.items() if new is None}
    seen = (contents.seen | {name for name in edits if name in INPUTS}) - taken
    sections = contents.sections | {INPUTS[name].section for name in given}
    made = replace(contents, given=given, seen=seen, sections=sections, problems=tuple(problems))
    return replace(made, target=tuple(aims.values())), edits


_ELSEWHERE = {
    "target": 'is a section; give one of its results, such as {"target.falls_shut": True}',
    "tolerance": 'is no input; a batch takes tolerances: ds.batch(build, vary={"bar.bend": {"plus_minus": "0.1 mm"}})',
}
"""What to do with sections that hold no inputs."""


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


def _aim(
    name: str,
    new: object,
    aims: dict[str, Target],
    edits: dict[str, Raw | bool | None],
    problems: list[Fault],
) -> None:
    """Put one change of a target into the targets and the edits, or its fault to the problems."""
    try:
        plain = new.item() if hasattr(new, "item") and not hasattr(new, "__len__") else new  # a truth of numpy's
        wanted = None if plain is None else parse_target(name.removeprefix("target."), plain)
    except InputError as error:
        problems.append((error.field[:80], error.problem))
        return
    entries = _entries(name, wanted)  # before the old ones go, so that the target keeps its line
    edits |= entries | {old: None for old in _entries(name, aims.get(name)) if old not in entries}
    if wanted is None:
        aims.pop(name, None)
    else:
        aims[name] = _as_saved(wanted, entries)


def _as_saved(wanted: Target, entries: Mapping[str, Raw | bool | None]) -> Target:
    """Target with the numbers that the file gives back, where a quantity is written in the result's unit."""
    if wanted.truth is not None:
        return wanted
    read = parse_target(wanted.name, {name.rpartition(".")[2]: entry for name, entry in entries.items()})
    return replace(read, typed=wanted.typed)


def _entries(name: str, wanted: Target | None) -> dict[str, Raw | bool | None]:
    """Entries of the file for a target, by dotted name: as typed, or in the result's unit."""
    if wanted is None:
        return {}
    if wanted.truth is not None:
        return {name: wanted.truth}
    if wanted.change is not None:
        return {f"{name}.change": f"{100 * wanted.change:+.12g} %"}
    ends = zip(("at_least", "at_most"), (wanted.at_least, wanted.at_most), wanted.typed, strict=True)
    unit = RESULTS[wanted.name].unit
    return {
        f"{name}.{key}": typed or (f"{end:.12g} {unit}" if unit else end) for key, end, typed in ends if end is not None
    }


def _apply(
    name: str,
    new: object,
    given: dict[str, Value],
    edits: dict[str, Raw | bool | None],
    problems: list[tuple[str, str]],
) -> None:
    """Put one change into the given values and the edits, or its fault to the problems."""
    if name not in INPUTS:
        problems.append((name[:80], _ELSEWHERE.get(name.partition(".")[0]) or unknown_input(name)))
        return
    given.pop(name, None)
    edits[name] = None
    if new is None:
        return
    if isinstance(new, Value):  # of another build
        new = new.si if new.kind == "ratio" else new.text
    edits[name] = ""  # marks the input as given even if it is faulty
    try:
        edits[name] = raw = to_raw(INPUTS[name], new)
        given[name] = read_value(INPUTS[name], raw)
    except InputError as error:
        problems.append((name, error.problem))
