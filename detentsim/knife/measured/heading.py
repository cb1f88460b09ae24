"""Heading of a gauge's table: kind and unit of each column; and the collector of a table's problems."""

from __future__ import annotations

import re
from typing import NamedTuple

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.units.convert import read_si
from detentsim.units.grammar import Mistake
from detentsim.units.kinds import KINDS
from detentsim.units.wording import shorten

MOST_COLUMNS = 64

MOST_PROBLEMS = 20
"""Problems listed for one file."""

EXAMPLE = "angle_deg, force_N"

LONGEST_HEADING = 400
"""Most characters of one heading."""

_FORCES = re.compile(r"force|push|pull|load", re.I)


HELD = {"zero": "force", "radius": "length"}
"""Columns of a value that holds until the next one, and its kind: the gauge's reading with nothing on it, and the
distance from the pivot to where it pulls."""

_EXAMPLES = {"angle": "angle_deg", "force": "force_N", "zero": "zero_N", "radius": "radius_mm"}


class GaugeColumn(NamedTuple):
    """A column of a table."""

    title: str
    kind: str  # angle, force, run, zero, radius or other
    scale: float  # SI value of its unit


class Collector:
    """Collects the problems of one table and raises them together."""

    def __init__(self, source: str) -> None:
        self.source = shorten(source, 300)
        self.problems: list[Problem] = []
        self.more = 0

    def wrong(self, line: int | None, key: str, message: str) -> None:
        """Add a problem; beyond `MOST_PROBLEMS` only count it."""
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.source, line, key, message))
        else:
            self.more += 1

    def stop_if_wrong(self) -> None:
        """Raise the problems collected so far.

        Raises
        ------
        BuildError
            Where there is a problem.
        """
        if self.more:
            rest = f"and {self.more} more problem{'s' * (self.more > 1)} like these"
            self.problems.append(Problem(self.source, None, "", rest))
        if self.problems:
            raise BuildError(self.problems)


def read_heading(collector: Collector, line: int, cells: list[str]) -> list[GaugeColumn]:
    """Read kind and unit of each column from the heading.

    Parameters
    ----------
    collector : Collector
        Takes the problems.
    line : int
        Line of the heading, counted from 1.
    cells : list of str
        Its cells; empty ones at the end are dropped.

    Returns
    -------
    list of GaugeColumn
        One for each cell.

    Raises
    ------
    BuildError
        Where it is no heading at all, or has too many columns.

    Examples
    --------
    >>> [c.kind for c in read_heading(Collector("pull.csv"), 1, ["angle_deg", "force_N", "note"])]
    ['angle', 'force', 'other']
    """
    while cells and not cells[-1]:
        cells.pop()
    if all(_is_number(cell) for cell in cells):
        collector.wrong(line, "", f"has no heading with units; the first line must be like {EXAMPLE}")
    elif len(cells) > MOST_COLUMNS:
        collector.wrong(line, "", f"has {len(cells)} columns; give {MOST_COLUMNS} at most")
    elif (longest := max(map(len, cells), default=0)) > LONGEST_HEADING:
        collector.wrong(line, "", f"has a heading of {longest} characters; give {LONGEST_HEADING} at most")
    collector.stop_if_wrong()
    columns = [_column(collector, line, cell) for cell in cells]
    kinds = [column.kind for column in columns]
    if not collector.problems:
        for kind, called in (("angle", "blade angle"), ("force", "force at the opener")):
            if kind not in kinds:
                collector.wrong(line, "", f"has no column of the {called}; the first line must be like {EXAMPLE}")
        twice = next((kind for kind in ("angle", "run", *HELD) if kinds.count(kind) > 1), None)
        if twice:
            collector.wrong(line, "", f"has {kinds.count(twice)} columns of {twice}; keep one")
    return columns


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _split(title: str) -> tuple[str, str]:
    """Return name and unit of a heading: the unit in brackets at its end, or after its last blank or underscore."""
    for opening, closing in ("[]", "()"):
        if title.endswith(closing):
            name, _, unit = title[:-1].rpartition(opening)
            return name.strip(), unit.strip()
    at = max(title.rfind("_"), title.rfind(" "))
    return (title[:at].strip(), title[at + 1 :].strip()) if at >= 0 else (title, "")


def _column(collector: Collector, line: int, title: str) -> GaugeColumn:
    """Return kind and unit of one heading: by its unit first, by its name where the unit does not decide."""
    name, unit = _split(title)
    key = shorten(title, 40)
    if title.lower() in ("run", "run no", "run_no", "run number"):
        return GaugeColumn(key, "run", 1.0)
    role = next((held for held in HELD if held in (name.lower(), title.lower())), "")
    if not role:
        role = "angle" if "angle" in title.lower() else "force" if _FORCES.search(name or title) else ""
    try:
        if not unit or not name:
            raise Mistake("has no unit")
        kind, scale = read_si(f"1 {unit}", (HELD.get(role, role),) if role else tuple(KINDS))
    except Mistake as mistake:
        # a column with neither the name nor the unit of an angle or a force is left unused
        if role:
            collector.wrong(line, key, f"the heading {mistake}; write it like {_EXAMPLES[role]}")
        return GaugeColumn(key, "other", 1.0)
    return GaugeColumn(key, role if role in HELD else kind if kind in ("angle", "force") else "other", scale)
