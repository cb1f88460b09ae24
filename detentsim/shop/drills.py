"""Twist drill sizes: number, letter, fraction and metric series, and lookup of a drill by text or size.

Read from ``data/drills``; used by the dimple's inputs and by advice on the next size.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from detentsim.shop.tables import MILLIMETRE, System, of_system, read_rows, size_in_metres, split_at
from detentsim.units.convert import read_si
from detentsim.units.errors import InputError
from detentsim.units.grammar import MAX_LENGTH, Mistake
from detentsim.units.wording import shown

_SERIES = ("number", "letter", "fraction", "metric")

_NUMBER = re.compile(r"(?:#|no\.?|number) *([0-9]{1,3})(?: +drill)?", re.IGNORECASE)

_LETTER = re.compile(r"letter +([A-Z])(?: +drill)?", re.IGNORECASE)

_ADVICE = 'give a drill such as "1.8 mm", "#49", "letter F" or "5/64 in"'


@dataclass(frozen=True)
class Drill:
    """A drill.

    Parameters
    ----------
    name : str
        Shop name, or the text it was given as.
    diameter : float
        Nominal diameter [m].
    series : str
        ``number``, ``letter``, ``fraction``, ``metric``, or ``as given`` for a size outside the tables.
    source : str
        Where the size comes from.
    """

    name: str
    diameter: float
    series: str
    source: str


@functools.cache
def drills() -> tuple[Drill, ...]:
    """Return all the drills of the tables.

    Returns
    -------
    tuple of Drill
        By diameter. A diameter may occur twice: letter E is 1/4 in.

    Examples
    --------
    >>> len([drill for drill in drills() if drill.series == "number"])
    80
    """
    rows = read_rows("drills/sizes.csv")
    listed = [Drill(row["name"], size_in_metres(row), row["series"], row["source"]) for row in rows]
    return tuple(sorted(listed, key=lambda drill: (drill.diameter, _SERIES.index(drill.series))))


@functools.cache
def _by_name() -> dict[str, Drill]:
    """Return the drills by name."""
    return {drill.name: drill for drill in drills()}


def find_drill(value: object, field: str) -> Drill:
    """Return the drill named by a text or of a given size.

    Parameters
    ----------
    value : str or pint quantity
        ``"#49"``, ``"no. 49"``, ``"letter F"``, ``"5/64 in"``, ``"1.5 mm"``, or any other length with a unit.
    field : str
        Name of the input, for the message.

    Returns
    -------
    Drill
        From the tables where the text is a shop size; otherwise a drill of that size, named as given.

    Raises
    ------
    InputError
        For a bare number, a drill number that does not exist, a size not above zero, and anything else.

    Examples
    --------
    >>> round(find_drill("#49", "dimple.rim_drill").diameter / 0.0254, 4)
    0.073
    >>> find_drill("1.50 mm", "dimple.rim_drill").name
    '1.5 mm'
    """
    try:
        return (_by_shop_name(value) if isinstance(value, str) else None) or _by_size(value)
    except Mistake as mistake:
        raise InputError(field, value, f"{shown(value)} {mistake}; {_ADVICE}") from None


def _by_shop_name(text: str) -> Drill | None:
    """Return a number or letter drill, or None for a text of another form."""
    text = text.strip(" ")
    if len(text) > MAX_LENGTH:
        return None
    if number := _NUMBER.fullmatch(text):
        drill = _by_name().get(f"#{int(number[1])}")
        if drill is None:
            raise Mistake("is not a drill; number drills run from #80 to #1")
        return drill
    if letter := _LETTER.fullmatch(text):
        return _by_name()[f"letter {letter[1].upper()}"]
    if re.fullmatch("[A-Za-z]", text):
        raise Mistake(f"is a lone letter; write letter {text.upper()}")
    return None


def _by_size(value: object) -> Drill:
    """Return a drill of a given size, from the fraction or metric series where they hold it."""
    diameter = read_si(value, ("length",))[1]
    if not diameter > 0.0:
        raise Mistake("is not a size above zero")
    equal = split_at(drills(), diameter, 0)[1]
    listed = next((drill for drill in equal if drill.series in ("fraction", "metric")), None)
    name = value.strip() if isinstance(value, str) else f"{diameter / MILLIMETRE:.6g} mm"
    return listed or Drill(name, diameter, "as given", "size as given")


def neighbours(
    diameter: float, n: int = 3, system: System = "both"
) -> tuple[tuple[Drill, ...], Drill | None, tuple[Drill, ...]]:
    """Return the drills next to a size.

    Parameters
    ----------
    diameter : float
        Size [m].
    n : int
        Number of drills on each side.
    system : str
        ``metric``, ``inch`` (number, letter and fraction) or ``both``.

    Returns
    -------
    tuple
        Up to `n` below, the drill of exactly that size or None, up to `n` above.

    Examples
    --------
    >>> below, exact, above = neighbours(0.0730 * 0.0254, 1)
    >>> below[0].name, exact.name, above[0].name
    ('1.85 mm', '#49', '1.9 mm')
    >>> [drill.name for drill in neighbours(1.8e-3, 2, "inch")[2]]
    ['#49', '#48']
    """
    below, equal, above = split_at(of_system(drills(), system), diameter, n)
    return below, equal[0] if equal else None, above


@dataclass(frozen=True)
class SurfaceSpeed:
    """Surface speed of a drill in a kind of work.

    Parameters
    ----------
    work, cutter : str
        What is drilled, and what the drill is made of.
    low, usual, high : float
        [m/s]
    source : str
    """

    work: str
    cutter: str
    low: float
    usual: float
    high: float
    source: str


def surface_speed(work: str) -> SurfaceSpeed:
    """Return the surface speed of a small carbide drill.

    Parameters
    ----------
    work : str
        ``hardened steel``, ``steel``, ``stainless steel`` or ``titanium``.

    Returns
    -------
    SurfaceSpeed

    Examples
    --------
    >>> round(60 * surface_speed("titanium").usual, 6)
    25.0
    """
    row = next(row for row in read_rows("drills/speeds.csv") if row["work"] == work)
    low, usual, high = (float(row[f"{name}_m_per_min"]) / 60 for name in ("low", "usual", "high"))
    return SurfaceSpeed(work, row["cutter"], low, usual, high, row["source"])
