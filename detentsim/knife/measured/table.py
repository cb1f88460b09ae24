"""A gauge's table: heading with units, a line for each reading, one run or several; every problem with its line.

Takes text and gives SI numbers; knows nothing of files.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.units.convert import read_si
from detentsim.units.grammar import Mistake
from detentsim.units.kinds import KINDS
from detentsim.units.wording import shorten, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

MOST_ROWS = 20_000

MOST_COLUMNS = 64

MOST_RUNS = 50

FEWEST = 5
"""Readings that a run needs."""

MOST_PROBLEMS = 20
"""Problems told of one file."""

FURTHEST, STRONGEST = np.radians(360.0), 1000.0
"""Largest angle [rad] and force [N] that can be meant, either way."""

JITTER = 0.02
"""Share of a run's span by which its angle may step back before it counts as turning back."""

LONGEST = 40
"""Characters of a number."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")

EXAMPLE = "angle_deg, force_N"

_HEADING = re.compile(r"(?P<name>.*?)\s*(?:\[(?P<square>[^]]*)\]|\((?P<round>[^)]*)\)|[_ ](?P<last>[^_ ]+))?")

_FORCES = re.compile(r"force|push|pull|load", re.I)

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Run:
    """One run of a gauge, from closed toward open.

    Attributes
    ----------
    name : str
        What its file calls it.
    angle : array
        Blade angle, never falling [rad].
    force : array
        At the opener, resisting opening positive [N].
    """

    name: str
    angle: Array
    force: Array


class GaugeColumn(NamedTuple):
    """A column of a table."""

    title: str
    kind: str  # angle, force, run or other
    scale: float  # SI value of its unit


class GaugeTable(NamedTuple):
    """What one file holds."""

    runs: tuple[Run, ...]
    unused: tuple[str, ...]


class Reading(NamedTuple):
    """One number of a run, and the line it stands on."""

    line: int
    angle: float
    force: float | None


class _Reader:
    """Reads one table and collects what is wrong with it."""

    def __init__(self, source: str) -> None:
        self.source = shorten(source, 300)
        self.problems: list[Problem] = []
        self.more = 0

    def wrong(self, line: int | None, key: str, message: str) -> None:
        """Note a problem; past so many only their number."""
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.source, line, key, message))
        else:
            self.more += 1

    def stop_if_wrong(self) -> None:
        """Tell what was found so far.

        Raises
        ------
        BuildError
            Where there is anything to tell.
        """
        if self.more:
            rest = f"and {self.more} more problem{'s' * (self.more > 1)} like these"
            self.problems.append(Problem(self.source, None, "", rest))
        if self.problems:
            raise BuildError(self.problems)


def read_table(text: str, source: str) -> GaugeTable:
    r"""Read a table.

    Parameters
    ----------
    text : str
    source : str
        Name of the file, for the messages.

    Returns
    -------
    Table

    Raises
    ------
    BuildError
        With every problem and its line.

    Examples
    --------
    >>> len(read_table("angle_deg, force_N, force_N\n0,5,6\n1,9,8\n2,4,4\n5,2,2\n9,2,2", "pull.csv").runs)
    2
    """
    reader = _Reader(source)
    lines = [(n, line) for n, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1) if _holds(line)]
    if not lines:
        reader.wrong(None, "", f"is empty; give a heading such as {EXAMPLE} and a line for each reading")
    elif len(lines) - 1 > MOST_ROWS:
        reader.wrong(None, "", f"has {len(lines) - 1} rows; thin them out to {MOST_ROWS} at most")
    reader.stop_if_wrong()
    (first, heading), *rows = lines
    mark = next((m for m in "\t;," if m in heading), ",")
    columns = _columns(reader, first, _cells(heading, mark))
    reader.stop_if_wrong()
    found = _readings(reader, columns, [(n, _cells(row, mark)) for n, row in rows])
    if not rows:
        reader.wrong(first, "", f"has a heading and no readings; give at least {FEWEST} below it")
    elif len(found) > MOST_RUNS:
        reader.wrong(None, "", f"has {len(found)} runs; give {MOST_RUNS} at most")
    reader.stop_if_wrong()
    runs = tuple(_run(reader, name, readings) for name, readings in found.items())
    reader.stop_if_wrong()
    return GaugeTable(runs, tuple(column.title for column in columns if column.kind == "other"))


def _holds(line: str) -> bool:
    """Whether a line holds anything but marks; one that begins with # is a remark."""
    return bool(line.strip(" \t;,")) and not line.lstrip().startswith("#")


def _cells(line: str, mark: str) -> list[str]:
    try:
        cells = next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(mark)
    return [cell.strip() for cell in cells]


def _columns(reader: _Reader, line: int, cells: list[str]) -> list[GaugeColumn]:
    """Read the heading."""
    while cells and not cells[-1]:
        cells.pop()
    if all(_is_number(cell) for cell in cells):
        reader.wrong(line, "", f"has no heading with units; the first line must be like {EXAMPLE}")
    elif len(cells) > MOST_COLUMNS:
        reader.wrong(line, "", f"has {len(cells)} columns; give {MOST_COLUMNS} at most")
    reader.stop_if_wrong()
    columns = [_column(reader, line, cell) for cell in cells]
    kinds = [column.kind for column in columns]
    if not reader.problems:
        for kind, called in (("angle", "blade angle"), ("force", "force at the opener")):
            if kind not in kinds:
                reader.wrong(line, "", f"has no column of the {called}; the first line must be like {EXAMPLE}")
        if kinds.count("angle") > 1 or kinds.count("run") > 1:
            twice = "angle" if kinds.count("angle") > 1 else "run"
            reader.wrong(line, "", f"has {kinds.count(twice)} columns of {twice}; keep one")
    return columns


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _column(reader: _Reader, line: int, title: str) -> GaugeColumn:
    """What one heading means, by its unit first and by its name where the unit will not do."""
    found = _HEADING.fullmatch(title)
    name = (found["name"] if found else title).strip()
    unit = ((found["square"] or found["round"] or found["last"] or "") if found else "").strip()
    key = shorten(title, 40)
    if title.lower() in ("run", "run no", "run_no", "run number"):
        return GaugeColumn(key, "run", 1.0)
    meant = ("angle",) if "angle" in title.lower() else ("force",) if _FORCES.search(name or title) else ()
    example = "force_N" if meant == ("force",) else "angle_deg"
    try:
        if not unit or not name:
            raise Mistake("has no unit")
        kind, scale = read_si(f"1 {unit}", meant or tuple(KINDS))
    except Mistake as mistake:
        # a column that is neither named nor measured like one of ours may hold whatever it likes
        if meant:
            reader.wrong(line, key, f"the heading {mistake}; write it like {example}")
        return GaugeColumn(key, "other", 1.0)
    return GaugeColumn(key, kind if kind in ("angle", "force") else "other", scale)


def _readings(
    reader: _Reader, columns: list[GaugeColumn], rows: Iterable[tuple[int, list[str]]]
) -> dict[str, list[Reading]]:
    """Readings by run, in the order of the rows."""
    kinds = [column.kind for column in columns]
    at, forces = kinds.index("angle"), [i for i, kind in enumerate(kinds) if kind == "force"]
    label = kinds.index("run") if "run" in kinds else None
    found: dict[str, list[Reading]] = {}
    for line, cells in rows:
        row = _row(reader, line, cells, len(columns))
        if row is None:
            continue
        angle = _number(reader, line, columns[at], row[at], FURTHEST, "360 deg")
        if angle is None and not row[at]:
            reader.wrong(line, columns[at].title, "is empty; give the blade angle of every reading")
        if label is not None and not row[label]:
            reader.wrong(line, columns[label].title, "is empty; name the run of every reading")
        for name, i in _names(row, forces, label):
            force = _number(reader, line, columns[i], row[i], STRONGEST, "1000 N")
            found.setdefault(name, []).append(Reading(line, angle or 0.0, force))
    return found


def _row(reader: _Reader, line: int, cells: list[str], wide: int) -> list[str] | None:
    while len(cells) > wide and not cells[-1]:
        cells.pop()
    if len(cells) > wide:
        hint = "; write decimals with a point" if len(cells) >= 2 * wide else "; give one for each heading"
        reader.wrong(line, "", f"has {len(cells)} cells where the heading has {wide}{hint}")
        return None
    return cells + [""] * (wide - len(cells))


def _names(row: list[str], forces: list[int], label: int | None) -> Iterator[tuple[str, int]]:
    """Name of the run that each force of a row belongs to."""
    run = "" if label is None else f"run {shorten(row[label], 24)}"
    for place, i in enumerate(forces, 1):
        own = "" if len(forces) == 1 else f"column {place}"
        yield (f"{run} {own}".strip() or "run 1"), i


def _number(reader: _Reader, line: int, column: GaugeColumn, cell: str, most: float, said: str) -> float | None:
    """A cell as a number in SI, None where it is empty or told of."""
    if not cell:
        return None
    plain = cell.replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(plain) or len(plain) > LONGEST:
        reader.wrong(line, column.title, f"{shown(cell)} {_not_a_number(plain)}")
    elif not abs(float(plain) * column.scale) <= most:
        reader.wrong(line, column.title, f"{shown(cell)} is more than can be meant; at most {said} either way")
    else:
        return float(plain) * column.scale
    return None


def _not_a_number(cell: str) -> str:
    """Why a cell is no plain number."""
    if re.fullmatch(r"[+-]?(nan|inf|infinity)", cell, re.I):
        return "is not a finite number; leave the row out"
    if "," in cell:
        return "has a comma; write decimals with a point, and no mark between thousands"
    if _NUMBER.match(cell):
        return "is no plain number; write one such as 4.2, with its unit in the heading alone"
    return "is no number; write one such as 4.2"


def _run(reader: _Reader, name: str, readings: list[Reading]) -> Run:
    """Check one run and put its readings in order."""
    known = [i for i, one in enumerate(readings) if one.force is not None]
    inner = readings[known[0] : known[-1] + 1] if known else []
    for one in inner:
        if one.force is None:
            reader.wrong(one.line, name, "the force is empty between two readings; fill it in or leave the row out")
    kept = [one for one in inner if one.force is not None]
    angle, force = np.array([one.angle for one in kept]), np.array([one.force or 0.0 for one in kept])
    fault = _fault(kept, angle, force)
    if fault:
        reader.wrong(*fault[:1], name, fault[1])
    order = np.argsort(angle, kind="stable")
    return Run(name, angle[order], force[order])


def _fault(kept: list[Reading], angle: Array, force: Array) -> tuple[int | None, str] | None:
    """What makes a run useless: the line and the sentence."""
    count = len(kept)
    line = kept[0].line if kept else None
    if count < FEWEST:
        return line, f"has {count or 'no'} reading{'s' * (count != 1)}; a run needs at least {FEWEST}"
    span = float(np.ptp(angle))
    if span == 0:
        return line, "its angle never changes; give the blade angle of each reading"
    if angle[-1] < angle[0]:
        return line, "its angles fall: a closing run? Only opening runs are compared, from closed toward open"
    back = np.maximum.accumulate(angle) - angle
    if back.max() > JITTER * span:
        turn = kept[int(np.argmax(back > JITTER * span))].line
        return turn, "the angle turns back here; give opening runs alone, told apart by a column run"
    if force.max() <= 0:
        return line, "no force is above zero; a push that opens counts positive, so turn the sign"
    return None
