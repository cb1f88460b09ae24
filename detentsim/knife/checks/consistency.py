"""Checks a build as a whole: missing inputs, inputs that exclude each other, sizes that do not fit together.

Runs the rules of `bar_rules`, `detent_rules` and `blade_rules` for `Build`. Physically odd but computable builds (a
gap over the ball, no bend, no friction) are results, not errors, and pass.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.knife.checks import bar_rules, blade_rules, detent_rules
from detentsim.knife.checks.facts import Facts, Rule, line_to_write
from detentsim.knife.checks.problems import BuildError, Fault, Problem
from detentsim.knife.checks.tolerance import tolerance_problems
from detentsim.knife.record.layout.derived import GIVES, disagreements, with_layout
from detentsim.knife.table.schema import CURVE_SECTIONS, SECTIONS, Input, section_inputs
from detentsim.knife.table.values import with_defaults
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.knife.file.document import Document
    from detentsim.knife.file.reading import Contents
    from detentsim.knife.table.value import Value


def checked(
    contents: Contents, document: Document, source: str, needs: tuple[str, ...], fitting: bool = True
) -> Mapping[str, Value]:
    """Return the values read, completed by the defaults, or raise every problem.

    Parameters
    ----------
    contents : Contents
        As read from the file.
    document : Document
        Text of the file, for line numbers.
    source : str
        Name of the file in messages.
    needs : tuple of str
        Required sections.
    fitting : bool
        Whether to check that sizes fit together; a sweep checks that itself, point by point.

    Returns
    -------
    mapping of str to Value
        Read only.

    Raises
    ------
    BuildError
        With every problem.

    Examples
    --------
    >>> from detentsim.knife.file.document import Document
    >>> from detentsim.knife.file.reading import read_contents
    >>> document = Document('name = "garden"')
    >>> checked(read_contents(document, "text"), document, "text", ())["friction.ball_on_tang"].si
    0.12
    """
    values = with_defaults(with_layout(contents.given, contents.layout))
    faults = [*contents.problems, *find_problems(contents, values, needs, fitting)]
    if faults:
        raise BuildError(Problem(source, document.line_of(key.partition("[")[0]), key, text) for key, text in faults)
    return MappingProxyType(values)


def find_problems(
    contents: Contents, values: Mapping[str, Value], needs: Iterable[str], fitting: bool = True
) -> list[Fault]:
    """Return the problems between inputs: missing, exclusive or not fitting together.

    Parameters
    ----------
    contents : Contents
        As read from the file.
    values : mapping of str to Value
        The same with defaults.
    needs : iterable of str
        Required sections.
    fitting : bool
        Whether to check that sizes fit together.

    Returns
    -------
    list of (key, message)
        Empty when all is well.

    Examples
    --------
    >>> from detentsim.knife.file.changing import changed
    >>> from detentsim.knife.file.reading import Contents
    >>> contents, _ = changed(Contents(), {"clip.gap": "1 mm", "overtravel.gap": "1 mm"})
    >>> find_problems(contents, contents.given, [])[0]
    ('clip.gap', 'stands beside overtravel.gap; give the one that the bar meets first')
    """
    facts = Facts(values, contents.seen, fitting)
    faults = missing(contents, needs)
    for rule in RULES:
        faults += list(rule(facts))
    faults += list(disagreements(contents.given, contents.layout)) if fitting else []
    known = {f"tolerance.{name}" for name, _ in contents.problems}
    loose = tolerance_problems(values, contents.tolerance)
    return faults + [fault for fault in loose if fault[0] not in known]


def missing(contents: Contents, needs: Iterable[str]) -> list[Fault]:
    """Return required sections that are absent, and required keys absent from a section.

    Parameters
    ----------
    contents : Contents
        As read from the file.
    needs : iterable of str
        Required sections.

    Returns
    -------
    list of (key, message)
        With an example of each line to write.

    Examples
    --------
    >>> from detentsim.knife.file.reading import Contents
    >>> missing(Contents(), ["stop"])[0]
    ('stop', 'the section [stop] is missing; it takes radius = "9 mm", pin_change = "0.05 mm"')
    """
    broken = {key for key, _ in contents.problems}
    drawn = contents.layout is not None or any(key.startswith("layout") for key in broken)
    laid_out = frozenset(GIVES if drawn else ())
    wanted = dict.fromkeys([*needs, *(s for s in CURVE_SECTIONS if s in contents.sections)])
    faults: list[Fault] = []
    for section in (s for s in wanted if s not in broken):
        if section not in SECTIONS:
            raise InputError("needs", section, f"{shown(section)} is no section; there are {', '.join(SECTIONS)}")
        inputs = section_inputs(section)
        lacking = [entry for entry in inputs if _is_lacking(entry, contents.seen | laid_out)]
        if section not in contents.sections:
            keys = ", ".join(line_to_write(entry) for entry in lacking or inputs)
            faults.append((section, f"the section [{section}] is missing; it takes {keys}"))
        else:
            faults += [(entry.name, f"is missing ({entry.help}); write {line_to_write(entry)}") for entry in lacking]
    return faults


def _is_lacking(entry: Input, seen: frozenset[str]) -> bool:
    if entry.name == "tang.face_gap":
        return entry.name not in seen and "pivot.washer_thickness" not in seen
    return entry.required and entry.name not in seen


RULES: tuple[Rule, ...] = (
    bar_rules.relief,
    bar_rules.along_bar,
    bar_rules.stiffness,
    detent_rules.ball_size,
    detent_rules.ball_hole,
    bar_rules.behind_bar,
    detent_rules.coats,
    detent_rules.burr,
    detent_rules.rim,
    detent_rules.pivot_distance,
    detent_rules.overclose,
    blade_rules.face_gap,
    blade_rules.pivot,
    blade_rules.pivot_details,
    blade_rules.blade,
    blade_rules.stop,
)
"""Every rule, in the order of the messages."""
