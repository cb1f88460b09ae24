"""What must fit together in a build: missing inputs, inputs that exclude each other, and plain slips.

Physically odd but computable builds (a gap over the ball, no bend, no friction) are results, not errors,
and pass here.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.knife.checks import bar_rules, blade_rules, detent_rules
from detentsim.knife.checks.facts import Facts, line_to_write
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.checks.tolerance import tolerance_problems
from detentsim.knife.table.defaults import with_defaults
from detentsim.knife.table.schema import CURVE_SECTIONS, Input, section_inputs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from detentsim.knife.file.document import Document
    from detentsim.knife.file.reading import Contents, Fault
    from detentsim.knife.table.values import Value


def checked(
    contents: Contents, document: Document, source: str, needs: tuple[str, ...], fitting: bool = True
) -> Mapping[str, Value]:
    """Return the values of what was read with the defaults beside them.

    Parameters
    ----------
    contents : Contents
        What was read.
    document : Document
        Where it stands, for line numbers.
    source : str
        What to call it in messages.
    needs : tuple of str
        Sections that must be there.
    fitting : bool
        Whether sizes must fit together too; a sweep marks where they do not.

    Returns
    -------
    mapping of str to Value
        Read only.

    Raises
    ------
    BuildError
        With everything that is wrong, at once.
    """
    values = with_defaults(contents.given)
    found = [*contents.problems, *find_problems(contents, values, needs, fitting)]
    if found:
        raise BuildError(Problem(source, document.line_of(key), key, text) for key, text in found)
    return MappingProxyType(values)


def find_problems(
    contents: Contents, values: Mapping[str, Value], needs: Iterable[str], fitting: bool = True
) -> list[Fault]:
    """Return everything that does not fit together.

    Parameters
    ----------
    contents : Contents
        What the file holds.
    values : mapping of str to Value
        The same with defaults.
    needs : iterable of str
        Sections that must be there.
    fitting : bool
        Whether sizes must fit together too.

    Returns
    -------
    list of (key, message)
        Empty when all is well.
    """
    facts = Facts(values, contents.seen, fitting)
    found = missing(contents, needs)
    for rule in RULES:
        found += list(rule(facts))
    known = {f"tolerance.{name}" for name, _ in contents.problems}
    loose = tolerance_problems(values, contents.tolerance)
    return found + [fault for fault in loose if fault[0] not in known]


def missing(contents: Contents, needs: Iterable[str]) -> list[Fault]:
    """Return the sections asked for that are absent, and the keys a section that is there still lacks.

    Parameters
    ----------
    contents : Contents
        What was read.
    needs : iterable of str
        Sections that must be there.

    Returns
    -------
    list of (key, message)
        With an example of each line to write.
    """
    broken = {key for key, _ in contents.problems}
    wanted = dict.fromkeys([*needs, *(s for s in CURVE_SECTIONS if s in contents.sections)])
    found: list[Fault] = []
    for section in (s for s in wanted if s not in broken):
        inputs = section_inputs(section)
        lacking = [entry for entry in inputs if _is_lacking(entry, contents.seen)]
        if section not in contents.sections:
            keys = ", ".join(line_to_write(entry) for entry in lacking or inputs)
            found.append((section, f"the section [{section}] is missing; it takes {keys}"))
        else:
            found += [(entry.name, f"is missing ({entry.help}); write {line_to_write(entry)}") for entry in lacking]
    return found


def _is_lacking(entry: Input, seen: frozenset[str]) -> bool:
    if entry.name == "tang.face_gap":
        return entry.name not in seen and "pivot.washer_thickness" not in seen
    return entry.required and entry.name not in seen


RULES: tuple[Callable[[Facts], Iterator[Fault]], ...] = (
    bar_rules.relief,
    bar_rules.along_bar,
    bar_rules.stiffness,
    detent_rules.ball_size,
    detent_rules.ball_hole,
    bar_rules.behind_bar,
    detent_rules.rim,
    detent_rules.pivot_distance,
    detent_rules.overclose,
    blade_rules.face_gap,
    blade_rules.pivot,
    blade_rules.blade,
    blade_rules.stop,
)
"""Every rule, in the order of the messages; each yields the key to blame and a message."""
