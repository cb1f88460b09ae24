"""Measured feel curves: force at the opener against blade angle, from one file of a gauge or several.

Reads files through `table`; smoothing and results of a run are for `detentsim.analysis`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.file.text import FileWords, text_of
from detentsim.knife.measured.heading import EXAMPLE
from detentsim.knife.measured.table import MOST_RUNS, GaugeTable, Run, read_table
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.wording import shorten, shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.knife.checks.problems import Problem


LARGEST = 4 * 1024 * 1024
"""Largest file read, in bytes."""

_WORDS = FileWords(
    f"give a table with the heading {EXAMPLE}",
    "give a measured curve such as pull.csv",
    LARGEST,
    "thin the readings out",
    "save the table as CSV in UTF-8",
)


@dataclass(frozen=True, eq=False)
class Measured:
    """A measured feel curve of one knife: one run or several.

    Attributes
    ----------
    name : str
    runs : tuple of Run
    source : str
        Files it was read from.
    unused : tuple of str
        Columns of the files that are neither an angle nor a force at the opener.
    """

    name: str
    runs: tuple[Run, ...]
    source: str = ""
    unused: tuple[str, ...] = ()

    @classmethod
    def read(cls, *paths: str | Path, name: str | None = None) -> Measured:
        """Read one file, or several that hold runs of the same knife.

        Parameters
        ----------
        *paths : str or Path
            Tables with a heading such as ``angle_deg, force_N`` or ``blade angle [deg]; force [ozf]``.
            A column ``radius_mm`` says how far from the pivot the gauge pulled where that is not at the opener, a
            column ``zero_N`` what the gauge shows with nothing on it; a value holds for the rows below.
        name : str, optional
            By default the names of the files.

        Returns
        -------
        Measured

        Raises
        ------
        BuildError
            With every problem of every file and its line.
        """
        if not paths:
            raise InputError("path", None, "names no file; give one, such as pull.csv")
        for path in paths:
            if not isinstance(path, str | Path):
                raise InputError("path", path, f"{shown(path)} is no file name; give one, such as pull.csv")
        tables: list[GaugeTable] = []
        problems: list[Problem] = []
        for path in paths:
            try:
                tables.append(read_table(text_of(path, _WORDS), str(path)))
            except BuildError as error:
                problems += error.problems
        if problems:
            raise BuildError(problems)
        return _joined(tables, [str(path) for path in paths], name or ", ".join(Path(path).stem for path in paths))

    @classmethod
    def from_text(cls, text: str, name: str = "measured") -> Measured:
        r"""Read the text of a table.

        Parameters
        ----------
        text : str
        name : str

        Returns
        -------
        Measured

        Raises
        ------
        BuildError
            With every problem and its line.

        Examples
        --------
        >>> rows = "angle (deg), force (lbf)\n0, 1.5\n0.3, 2.2\n1, 1.4\n3, 0.6\n6, 0.15\n9, 0.15"
        >>> one = Measured.from_text(rows, "garden folder").runs[0]
        >>> f"{one.force.max():.2f} N at {one.angle[1]:.4f} rad"
        '9.79 N at 0.0052 rad'
        """
        if not isinstance(text, str):
            raise InputError("text", text, f"{shown(text)} is no text of a table; files are read by Measured.read")
        return _joined([read_table(text, name)], [], name)

    def as_quantities(self) -> list[tuple[Any, Any]]:
        r"""Return blade angle [deg] and force [N] of each run.

        Returns
        -------
        list of (quantity, quantity)
            Each of shape (readings,).

        Examples
        --------
        >>> rows = "angle_deg, force_N\n0, 5\n1, 9\n2, 4\n5, 2\n9, 2"
        >>> angle, force = Measured.from_text(rows).as_quantities()[0]
        >>> print(force.max())
        9.0 newton
        """
        return [(quantity(np.degrees(run.angle), "deg"), quantity(run.force, "N")) for run in self.runs]

    def __repr__(self) -> str:
        """Return one short line."""
        count = sum(run.angle.size for run in self.runs)
        return f"<Measured {self.name!r}: {len(self.runs)} run{'s' * (len(self.runs) > 1)}, {count} readings>"


def _joined(tables: Sequence[GaugeTable], paths: Sequence[str], name: str) -> Measured:
    several = len(tables) > 1
    stems = [Path(path).stem for path in paths] or [""]
    runs = tuple(
        Run(f"{stem} {run.name}".strip() if several else run.name, run.angle, run.force, run.radius)
        for stem, table in zip(stems, tables, strict=True)
        for run in table.runs
    )
    if len(runs) > MOST_RUNS:
        raise InputError(shorten(name, 80), None, f"has {len(runs)} runs in all; give {MOST_RUNS} at most")
    unused = tuple(dict.fromkeys(title for table in tables for title in table.unused))
    return Measured(shorten(name, 80), runs, ", ".join(paths), unused)
