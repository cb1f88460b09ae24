"""Readings of one knife with shop tools: numbers with their standard errors, and what was seen to happen or not.

Reads a mapping from code; `reading_file` reads a file into the same. Nothing here knows what a build gives.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.knife.checks.bands import allowed
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.measured.tools import ALIASES, SIGHTS, kind_of, readable_results, tool, unit_of
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.table.schema import INPUTS, suggestion
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.quantities import factor
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from detentsim.knife.measured.measured import Measured

SOMETIMES = "sometimes"
"""What is seen to happen at some tries and not at others."""

MOST_REPEATS = 1000

_SIGNED = ("free_offset",)
"""Results that may be read below zero."""


@dataclass(frozen=True)
class Reading:
    """One number read from the knife.

    Attributes
    ----------
    what : str
        Result or input.
    value : float
        Mean of the repeats, in the result's own unit; of an input in SI.
    error : float
        One standard error of it, in the same unit.
    count : int
        Repeats.
    """

    what: str
    value: float
    error: float
    count: int = 1


@dataclass(frozen=True)
class Sighting:
    """One thing seen on the knife.

    Attributes
    ----------
    what : str
        Yes-no result or flag.
    seen : bool or None
        Whether it happens; None where it happens sometimes.
    """

    what: str
    seen: bool | None


@dataclass(frozen=True)
class Readings:
    """All that was read from one knife.

    Attributes
    ----------
    taken : tuple of Reading
    saw : tuple of Sighting
    curve : Measured or None
        A whole curve of force against blade angle.
    source : str
        File they come from; empty for a mapping.
    """

    taken: tuple[Reading, ...] = ()
    saw: tuple[Sighting, ...] = ()
    curve: Measured | None = None
    source: str = ""


def from_mapping(given: Mapping[object, object]) -> Readings:
    """Read the readings that code gives.

    Parameters
    ----------
    given : mapping
        From a result's or an input's name to a text with a unit, a tuple of the value and its standard error, a list of
        repeats; or from a yes-no result or flag to a truth or ``"sometimes"``.

    Returns
    -------
    Readings

    Raises
    ------
    BuildError
        With every problem, a sentence each.

    Examples
    --------
    >>> read = from_mapping({"lift_force_open": ("6.4 N", "0.2 N"), "falls_shut": False})
    >>> read.taken[0].value, read.taken[0].error, read.saw[0].seen
    (6.4, 0.2, False)
    """
    taken: list[Reading] = []
    saw: list[Sighting] = []
    problems = []
    for name, raw in given.items():
        try:
            what = known(name, "readings")
            if is_sight(what):
                saw.append(Sighting(what, truth(f"readings.{what}", raw)))
            else:
                taken.append(_from_raw(what, raw))
        except InputError as error:
            problems.append(Problem("", None, error.field, error.problem))
    problems += [Problem("", None, f"readings.{what}", words) for what, words in twice(taken, saw)]
    if problems:
        raise BuildError(problems)
    return Readings(tuple(taken), tuple(saw))


def known(name: object, field: str) -> str:
    """Return the name that a reading goes by; refuse what no shop tool reads and no eye sees.

    Parameters
    ----------
    name : object
    field : str
        Where it stands, for the message.

    Raises
    ------
    InputError
    """
    names = [*readable_results(), *SIGHTS]
    what = ALIASES.get(str(name), str(name))
    if isinstance(name, str) and (what in names or (what in INPUTS and kind_of(what))):
        if what.startswith("bar.measured."):
            raise InputError(field, name, f"{shown(name)} is part of a measured stiffness; give bar_stiffness instead")
        return what
    if what in INPUTS:
        raise InputError(field, name, f"{shown(name)} is a word and cannot be read with a tool; change it in the build")
    if what in RESULTS or what in FLAGS:
        why = f"{shown(name)} cannot be read with a shop tool or seen; those that can are {', '.join(names)}"
        raise InputError(field, name, why)
    hint = suggestion(str(name), [*names, *INPUTS])
    raise InputError(field, name, f"{shown(name)} is no reading{hint or '; there are ' + ', '.join(names)}")


def is_sight(what: str) -> bool:
    """Return whether a name is seen to be so or not, rather than read as a number.

    Parameters
    ----------
    what : str
    """
    return what in SIGHTS


def truth(field: str, raw: object) -> bool | None:
    """Read what was seen: true, false, or None for ``"sometimes"``.

    Parameters
    ----------
    field : str
    raw : object

    Raises
    ------
    InputError
    """
    if raw == SOMETIMES:
        return None
    if not isinstance(raw, bool):
        given = "does not say what was seen" if raw is None else f"{shown(raw)} is not allowed"
        raise InputError(field, raw, f'{given}; give true, false or "{SOMETIMES}", such as is = true')
    return raw


def _from_raw(what: str, raw: object) -> Reading:
    if isinstance(raw, list):
        return reading(what, raw, None, f"readings.{what}")
    if not isinstance(raw, tuple):
        return reading(what, [raw], None, f"readings.{what}")
    if len(raw) != 2:
        text = f'has {len(raw)} parts; give ("{_example(what)}", error), or a list of repeats'
        raise InputError(f"readings.{what}", raw, text)
    return reading(what, [raw[0]], raw[1], f"readings.{what}")


def reading(what: str, values: Sequence[object], error: object, field: str) -> Reading:
    """Return the mean of some repeats with its standard error.

    Parameters
    ----------
    what : str
        As from `known`.
    values : sequence
        Texts with units, quantities, or plain numbers of a ratio.
    error : object
        One standard error of the tool; None for the table's own.
    field : str
        For the message.

    Returns
    -------
    Reading
        The error of repeats is the standard deviation over the root of their number, but never less than the tool's: a
        scale that reads 3 % too high does so every time.

    Raises
    ------
    InputError

    Examples
    --------
    >>> read = reading("lift_force_open", ["6.2 N", "6.6 N", "6.4 N"], "0.05 N", "reading")
    >>> round(read.value, 3), round(read.error, 4), read.count
    (6.4, 0.1155, 3)
    """
    if not 1 <= len(values) <= MOST_REPEATS:
        text = f'has {len(values):,} values; give 1 to {MOST_REPEATS:,}, such as ["{_example(what)}"]'
        raise InputError(field, values, text)
    numbers = [_number(what, raw, field) for raw in values]
    count, mean = len(numbers), math.fsum(numbers) / len(numbers)
    own = _error(what, mean, error, field)
    spread = math.fsum((number - mean) ** 2 for number in numbers) / max(count - 1, 1) / count
    return Reading(what, mean, max(own, math.sqrt(spread)), count)


def _error(what: str, mean: float, given: object, field: str) -> float:
    usual = tool(what)
    if given is None and usual is None:
        example = f"({_example(what)}, 0.02)" if kind_of(what) == "ratio" else f'("{_example(what)}", error)'
        raise InputError(field, given, f"has no usual error; give the reading with its standard error: {example}")
    if given is None and usual is not None:
        return usual.error(mean)
    error = _in_unit(what, given, f"{field}.error")
    if not error > 0:
        text = f"{shown(given)} is not above zero; give one standard error, such as a twentieth of the reading"
        raise InputError(f"{field}.error", given, text)
    return error


def _example(what: str) -> str:
    return str(INPUTS[what].example) if what in INPUTS else KINDS[kind_of(what)].example


def _in_unit(what: str, raw: object, field: str) -> float:
    return to_si(raw, kind_of(what), field) / factor(unit_of(what))


def _number(what: str, raw: object, field: str) -> float:
    """Read one value, and refuse one that the knife cannot have."""
    number = _in_unit(what, raw, field)
    if what in RESULTS:
        low, high = (-math.inf if what in _SIGNED else 0.0), math.inf
    else:
        low, high = allowed(what, kind_of(what))
    if number < low:
        limit = "zero" if low == 0 else "what it can be"
        raise InputError(field, raw, f"{shown(raw)} is below {limit}; give a reading such as {_example(what)}")
    if number > high:
        raise InputError(field, raw, f"{shown(raw)} is above what it can be; give a reading such as {_example(what)}")
    return number


def twice(taken: Sequence[Reading], saw: Sequence[Sighting]) -> list[tuple[str, str]]:
    """Return the name and the message of each reading given more than once, and of each sighting given both ways.

    Parameters
    ----------
    taken : sequence of Reading
    saw : sequence of Sighting
    """
    read, seen = _repeated(one.what for one in taken), _repeated(one.what for one in dict.fromkeys(saw))
    repeats = [(name, "is read twice; give repeats as one list") for name in read]
    return repeats + [(name, f'is seen both ways; keep one, or say "{SOMETIMES}"') for name in seen]


def _repeated(names: Iterable[str]) -> list[str]:
    return [name for name, count in Counter(names).items() if count > 1]
