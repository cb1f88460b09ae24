"""Rows of a gauge's table: cells to SI numbers, gathered by run, each with its line."""

from __future__ import annotations

import csv
import math
import re
from typing import TYPE_CHECKING, NamedTuple

from detentsim.units.wording import shorten, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from detentsim.knife.measured.heading import Collector, GaugeColumn

FURTHEST, STRONGEST = math.radians(360.0), 1000.0
"""Largest angle [rad] and force [N] accepted, of either sign."""

LEAST_RADIUS, MOST_RADIUS = 1e-3, 0.5
"""Distances from the pivot accepted for the gauge's pull [m]."""

LONGEST = 40
"""Most characters of a number."""

_COMMA = re.compile(r"[+\-\N{MINUS SIGN}]?(?:0,[0-9]{1,9}|[0-9]{1,6},(?![0-9]{3}$)[0-9]{1,9})")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


class GaugePoint(NamedTuple):
    """One reading of a run: its line, blade angle [rad] and force [N] (None where the cell is empty).

    `radius` is where the gauge pulls, from the pivot [m]; not a number where the file does not say.
    """

    line: int
    angle: float
    force: float | None
    radius: float = math.nan


def split_cells(line: str, mark: str) -> list[str]:
    """Split a line into its cells, quotes honoured and outer blanks removed.

    Where commas do not separate, they are decimal points, but for one that may set off thousands, as in 1,234.

    Parameters
    ----------
    line : str
    mark : str
        Separator, one character.

    Returns
    -------
    list of str

    Examples
    --------
    >>> split_cells('0.5, 4.2, "a, b"', ",")
    ['0.5', '4.2', 'a, b']
    >>> split_cells("0,5; 10,25; 1,234", ";")
    ['0.5', '10.25', '1,234']
    """
    try:
        cells = next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])
    except csv.Error:
        cells = line.split(mark)
    cells = [cell.strip() for cell in cells]
    return cells if mark == "," else [cell.replace(",", ".") if _COMMA.fullmatch(cell) else cell for cell in cells]


def read_rows(
    collector: Collector, columns: list[GaugeColumn], rows: Iterable[tuple[int, list[str]]]
) -> dict[str, list[GaugePoint]]:
    """Read the rows below the heading, gathered by run.

    Parameters
    ----------
    collector : Collector
        Takes the problems.
    columns : list of GaugeColumn
        From the heading; one of them an angle, at least one a force.
    rows : iterable of (int, list of str)
        Line, counted from 1, and cells.

    Returns
    -------
    dict of str to list of GaugePoint
        By name of run, angles in rad and forces in N, in the order of the rows, the gauge's zero taken off.

    Examples
    --------
    >>> from detentsim.knife.measured.heading import Collector, GaugeColumn
    >>> columns = [GaugeColumn("angle", "angle", 1.0), GaugeColumn("force", "force", 1.0)]
    >>> read_rows(Collector("pull.csv"), columns, [(2, ["0.1", "5"])])
    {'run 1': [GaugePoint(line=2, angle=0.1, force=5.0, radius=nan)]}
    """
    kinds = [column.kind for column in columns]
    at, forces = kinds.index("angle"), [i for i, kind in enumerate(kinds) if kind == "force"]
    label = kinds.index("run") if "run" in kinds else None
    by_run: dict[str, list[GaugePoint]] = {}
    zero, radius = 0.0, math.nan
    for line, cells in rows:
        row = _row(collector, line, cells, len(columns))
        if row is None:
            continue
        angle = _number(collector, line, columns[at], row[at], FURTHEST, "360 deg")
        if angle is None and not row[at]:
            collector.wrong(line, columns[at].title, "is empty; give the blade angle of every reading")
        if label is not None and not row[label]:
            collector.wrong(line, columns[label].title, "is empty; name the run of every reading")
        zero, radius = _held(collector, line, columns, row, (zero, radius))
        for name, i in _names(row, forces, label):
            force = _number(collector, line, columns[i], row[i], STRONGEST, "1000 N")
            by_run.setdefault(name, []).append(
                GaugePoint(line, angle or 0.0, None if force is None else force - zero, radius)
            )
    return by_run


def _held(
    collector: Collector, line: int, columns: list[GaugeColumn], row: list[str], before: tuple[float, float]
) -> tuple[float, float]:
    """The gauge's zero [N] and the radius of its pull [m] from this row on; an empty cell keeps those `before`."""
    values = dict(zip(("zero", "radius"), before, strict=True))
    for column, cell in zip(columns, row, strict=True):
        if column.kind == "zero":
            given = _number(collector, line, column, cell, STRONGEST, "1000 N")
        elif column.kind == "radius":
            given = _number(collector, line, column, cell, MOST_RADIUS, "500 mm")
            if given is not None and given < LEAST_RADIUS:
                collector.wrong(line, column.title, f"{shown(cell)} is too small; give the distance from the pivot")
        else:
            continue
        values[column.kind] = values[column.kind] if given is None else given
    return values["zero"], values["radius"]


def _row(collector: Collector, line: int, cells: list[str], wide: int) -> list[str] | None:
    while len(cells) > wide and not cells[-1]:
        cells.pop()
    if len(cells) > wide:
        hint = "; write decimals with a point" if len(cells) >= 2 * wide else "; give one for each heading"
        collector.wrong(line, "", f"has {len(cells)} cells where the heading has {wide}{hint}")
        return None
    return cells + [""] * (wide - len(cells))


def _names(row: list[str], forces: list[int], label: int | None) -> Iterator[tuple[str, int]]:
    """Yield the name of its run and the column of each force of a row."""
    run = "" if label is None else f"run {shorten(row[label], 24)}"
    for place, i in enumerate(forces, 1):
        own = "" if len(forces) == 1 else f"column {place}"
        yield (f"{run} {own}".strip() or "run 1"), i


def _number(collector: Collector, line: int, column: GaugeColumn, cell: str, most: float, said: str) -> float | None:
    """Return a cell as a number in SI; None where it is empty or faulty."""
    if not cell:
        return None
    plain = cell.replace("\N{MINUS SIGN}", "-")
    # the length first: on a long row of digits the pattern's time grows with its square
    if len(plain) > LONGEST or not _NUMBER.fullmatch(plain):
        collector.wrong(line, column.title, f"{shown(cell)} {_not_a_number(plain)}")
    elif not abs(float(plain) * column.scale) <= most:
        collector.wrong(line, column.title, f"{shown(cell)} is too large; at most {said} either way")
    else:
        return float(plain) * column.scale
    return None


def _not_a_number(cell: str) -> str:
    """Return the reason why a cell is no plain number."""
    if re.fullmatch(r"[+-]?(nan|inf|infinity)", cell, re.I):
        return "is not a finite number; leave the row out"
    if "," in cell:
        return "has a comma; write decimals with a point, and no mark between thousands"
    if _NUMBER.match(cell):
        return "is no plain number; write one such as 4.2, with its unit in the heading alone"
    return "is no number; write one such as 4.2"
