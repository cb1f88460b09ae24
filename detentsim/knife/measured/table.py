"""Reads a gauge's table into runs in SI: heading with units, a line for each reading, one run or several.

Uses `heading` and `rows`, and checks each run; takes text, knows nothing of files. Every problem has its line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.measured.heading import EXAMPLE, Collector, read_heading
from detentsim.knife.measured.rows import GaugePoint, read_rows, split_cells

MOST_ROWS = 20_000

MOST_RUNS = 50

FEWEST = 5
"""Readings that a run needs."""

JITTER = 0.02
"""Share of a run's span by which its angle may step back before it counts as turning back."""

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Run:
    """One run of a gauge, from closed toward open.

    Attributes
    ----------
    name : str
        Its name in the file.
    angle : array
        Blade angle, never decreasing [rad].
    force : array
        Where the gauge pulls, resisting opening positive, its zero taken off [N].
    radius : float
        From the pivot to where it pulls [m]; not a number where the file does not say: at the opener.
    """

    name: str
    angle: Array
    force: Array
    radius: float = float("nan")


class GaugeTable(NamedTuple):
    """Runs of one file, and the headings of columns that were not used."""

    runs: tuple[Run, ...]
    unused: tuple[str, ...]


def read_table(text: str, source: str) -> GaugeTable:
    r"""Read the text of a gauge's table.

    Parameters
    ----------
    text : str
    source : str
        Name of the file, for the messages.

    Returns
    -------
    GaugeTable

    Raises
    ------
    BuildError
        With every problem and its line.

    Examples
    --------
    >>> len(read_table("angle_deg, force_N, force_N\n0,5,6\n1,9,8\n2,4,4\n5,2,2\n9,2,2", "pull.csv").runs)
    2
    """
    collector = Collector(source)
    lines = [(n, line) for n, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1) if _holds(line)]
    if not lines:
        collector.wrong(None, "", f"is empty; give a heading such as {EXAMPLE} and a line for each reading")
    elif len(lines) - 1 > MOST_ROWS:
        collector.wrong(None, "", f"has {len(lines) - 1} rows; thin them out to {MOST_ROWS} at most")
    elif _is_build(lines[0][1]):
        collector.wrong(lines[0][0], "", BUILD)
    collector.stop_if_wrong()
    (first, heading), *rows = lines
    mark = next((m for m in "\t;," if m in heading), ",")
    columns = read_heading(collector, first, split_cells(heading, mark))
    collector.stop_if_wrong()
    readings_of = read_rows(collector, columns, [(n, split_cells(row, mark)) for n, row in rows])
    if not rows:
        collector.wrong(first, "", f"has a heading and no readings; give at least {FEWEST} below it")
    elif len(readings_of) > MOST_RUNS:
        collector.wrong(None, "", f"has {len(readings_of)} runs; give {MOST_RUNS} at most")
    collector.stop_if_wrong()
    runs = tuple(_run(collector, name, readings) for name, readings in readings_of.items())
    collector.stop_if_wrong()
    return GaugeTable(runs, tuple(column.title for column in columns if column.kind == "other"))


BUILD = "is a build file and no table of readings; name it so that it ends in .toml, or give a curve such as pull.csv"


def _is_build(line: str) -> bool:
    """Return whether the first line of a file is a section or a key of a build file."""
    plain = line.strip()
    key = plain.partition("=")[0].strip()
    section = plain.startswith("[") and plain.partition("#")[0].rstrip().endswith("]")
    return (section and not set(",;\t") & set(plain)) or ("=" in plain and key.isidentifier())


def _holds(line: str) -> bool:
    """Return whether a line holds anything but separators; one that begins with # is a comment."""
    return bool(line.strip(" \t;,")) and not line.lstrip().startswith("#")


def _run(collector: Collector, name: str, readings: list[GaugePoint]) -> Run:
    """Check one run and sort its readings by angle."""
    known = [i for i, one in enumerate(readings) if one.force is not None]
    inner = readings[known[0] : known[-1] + 1] if known else []
    for one in inner:
        if one.force is None:
            collector.wrong(one.line, name, "the force is empty between two readings; fill it in or leave the row out")
    kept = [one for one in inner if one.force is not None]
    angle, force = np.array([one.angle for one in kept]), np.array([one.force or 0.0 for one in kept])
    fault = _fault(kept, angle, force)
    if fault:
        collector.wrong(*fault[:1], name, fault[1])
    order = np.argsort(angle, kind="stable")
    return Run(name, angle[order], force[order], kept[0].radius if kept else float("nan"))


def _fault(kept: list[GaugePoint], angle: Array, force: Array) -> tuple[int | None, str] | None:
    """Return the line and the reason where a run cannot be used."""
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
    radius = np.array([one.radius for one in kept])
    if not np.all((radius == radius[0]) | np.isnan(radius) & np.isnan(radius[0])):
        return line, "its radius changes; give one run for each place that the gauge pulls at"
    if force.max() <= 0:
        return line, "no force is above zero; a push that opens counts positive, so turn the sign"
    return None
