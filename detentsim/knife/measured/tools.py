"""Tools of the bench: which results and inputs can be read with them, how, and with what standard error.

The table is ``tools.csv`` beside it; nothing here knows a reading.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import SHOWN_UNITS
from detentsim.units.convert import read_si
from detentsim.units.kinds import KINDS
from detentsim.units.quantities import factor

ALIASES = {"bar.stiffness": "bar_stiffness", "dimple.loose_ball_height": "loose_ball_height"}
"""Inputs that say the same as a result; a reading of one is a reading of the other."""

SIGHTS = ("falls_shut", "opens_fully", "hangs_loose", "stands_proud", "snaps", "bar_on_tang", "floats", "locks_solid")
"""Yes-no results and flags that show on the knife."""

_KINDS = {unit: kind for kind, unit in SHOWN_UNITS.items() if kind != "drill"}


@dataclass(frozen=True)
class Tool:
    """How a reading is taken.

    Attributes
    ----------
    what : str
        Result or input.
    least : float
        Least standard error, in the result's own unit; of an input in SI.
    part : float
        Standard error that grows with the reading, as a part of it [-].
    effort : int
        1: nothing is taken apart; 2: the blade is out.
    how : str
        How to take it.
    source : str
        Where the error comes from.
    """

    what: str
    least: float
    part: float
    effort: int
    how: str
    source: str

    def error(self, value: float) -> float:
        """Return the standard error of one reading.

        Parameters
        ----------
        value : float
            The reading, in the unit of `least`.
        """
        return float((self.least**2 + (self.part * value) ** 2) ** 0.5)


@cache
def _rows() -> dict[str, dict[str, str]]:
    text = files("detentsim.knife.measured").joinpath("tools.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return {row["what"]: row for row in csv.DictReader(lines)}


def kind_of(what: str) -> str:
    """Return the kind of a result or an input: ``force``, ``length`` ...; empty for a word, a truth or a flag.

    Parameters
    ----------
    what : str
        Name of a result or an input.

    Examples
    --------
    >>> kind_of("breakout_force"), kind_of("dimple.pilot_drill"), kind_of("bar.material")
    ('force', 'length', '')
    """
    if what in RESULTS:
        return "" if RESULTS[what].is_truth else _KINDS.get(RESULTS[what].unit, "")
    return INPUTS[what].size_kind


def unit_of(what: str) -> str:
    """Return the unit that a reading is stored in, as a unit name: a result's own; SI of an input.

    Parameters
    ----------
    what : str

    Examples
    --------
    >>> unit_of("lift_force_open"), unit_of("bar.thickness")
    ('N', 'm')
    """
    return RESULTS[what].unit if what in RESULTS else KINDS[kind_of(what)].unit


def shown_unit(what: str) -> str:
    """Return the unit that a result or an input is shown in: a result's own; mm, deg, N ... of an input.

    Parameters
    ----------
    what : str

    Examples
    --------
    >>> shown_unit("lift_force_open"), shown_unit("bar.thickness"), shown_unit("friction.ball_on_tang")
    ('N', 'mm', '')
    """
    return RESULTS[what].unit if what in RESULTS else SHOWN_UNITS.get(kind_of(what), "")


@cache
def tool(what: str) -> Tool | None:
    """Return how a result or an input is read; None where the table has no tool for it.

    Parameters
    ----------
    what : str

    Examples
    --------
    >>> tool("loose_ball_height").least, tool("preload") is None
    (0.01, True)
    """
    kind = kind_of(what)
    row = _rows().get(what) or (None if what in RESULTS else _rows().get(f"any {kind}"))
    if row is None:
        return None
    least = read_si(row["least"], (kind,))[1] / factor(unit_of(what))
    return Tool(what, least, float(row["part"]), int(row["effort"]), row["how"], row["source"])


def readable_results() -> tuple[str, ...]:
    """Names of the results that a tool reads, in the table's order."""
    return tuple(name for name in _rows() if name in RESULTS)


def sight_words(what: str) -> str:
    """Return what a yes-no observation is about, in words.

    Parameters
    ----------
    what : str
        Of `SIGHTS`.
    """
    return RESULTS[what].meaning if what in RESULTS else FLAGS[what]
