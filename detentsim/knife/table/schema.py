"""The table of a build's inputs, on which every reader, check, band and help text relies.

Lowest module of the room: it knows names, kinds, defaults, ranges and packaged bands, and no values. The table itself
is ``inputs.csv`` beside it, one line for each input.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from difflib import get_close_matches
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

Raw = str | float
"""A table entry as a maker would type it: text with a unit, or a plain number for a ratio."""

CURVE_SECTIONS = ("bar", "ball", "dimple", "tang", "opener")
"""Sections that the feel curve needs."""

FREE_SECTIONS = ("target", "tolerance", "layout")
"""Sections keyed by result names, by dotted input names, or that hold a drawing, rather than inputs of their own."""


MARKS = (
    "seen",
    "second hand",
    "from memory",
    "common practice, no source",
    "judgement, no source",
    "by definition",
    "convention",
)
"""How well a packaged default is founded: read in the document named, quoted by another, recalled but not looked up;
the trade's habit or our own judgement; what the word means, or a free choice that changes no result's truth."""


@dataclass(frozen=True)
class InputBand:
    """Packaged band of an input that cannot be measured.

    Attributes
    ----------
    assumed : tuple of str or float, or None
        Absolute range at the packaged default.
    given : str or float or None
        Plus-minus about a given value.

    Notes
    -----
    Nineteen of twenty knives lie inside a band; the likeliest value is the default, or the value given.
    """

    assumed: tuple[Raw, Raw] | None = None
    given: Raw | None = None


@dataclass(frozen=True)
class Input:
    """One line of the table.

    Attributes
    ----------
    name : str
        Dotted name, ``section.key``; the section is empty for `name`, `hand`, `units` and `stock`.
    kinds : tuple of str
        A kind of the units table, or ``text choice drill material hardness``; two where either is allowed.
    required : bool
        Whether its section is incomplete without it.
    default : str or float or None
        Value when the input is not given.
    low, high : tuple
        Allowed range for each dimensional kind of `kinds`, ends included; empty when any value is allowed.
    example : str or float
        A typical entry.
    choices : tuple of str
        Allowed words.
    help : str
        One plain line.
    band : InputBand or None
        Packaged band.
    source : str
        Where its default and band come from, with a mark of `MARKS`; empty where it has neither.
    doubt : str
        ``knife`` where the input differs from knife to knife, ``shop`` where it is unknown but the same for every knife
        of a batch; empty without a packaged band or default to doubt.
    """

    name: str
    kinds: tuple[str, ...]
    required: bool
    default: Raw | None
    low: tuple[Raw, ...]
    high: tuple[Raw, ...]
    example: Raw
    choices: tuple[str, ...]
    help: str
    band: InputBand | None
    source: str
    doubt: str

    @property
    def section(self) -> str:
        """Section it belongs to; empty for `name`, `hand`, `units` and `stock`."""
        return self.name.partition(".")[0] if "." in self.name else ""

    @property
    def size_kind(self) -> str:
        """Kind of its numbers, a drill being a length; empty for what is given in words alone."""
        sizes = (kind for kind in self.kinds if kind not in ("text", "choice", "material", "hardness"))
        return next(sizes, "").replace("drill", "length")

    @property
    def key(self) -> str:
        """Name inside its section; may hold a dot (``measured.pull``)."""
        return self.name.partition(".")[2] or self.name


def _words(cell: str) -> tuple[str, ...]:
    return tuple(cell.split(" or ")) if cell else ()


def _raw(cell: str, kind: str) -> Raw:
    return float(cell) if kind in ("ratio", "hardness") and not cell.endswith("HRC") else cell


def _optional(cell: str, kind: str) -> Raw | None:
    return _raw(cell, kind) if cell else None


def _band(row: dict[str, str], kind: str) -> InputBand | None:
    low, high, given = (_optional(row[c], kind) for c in ("assumed_low", "assumed_high", "plus_minus"))
    assumed = None if low is None or high is None else (low, high)
    return None if assumed is None and given is None else InputBand(assumed, given)


def _input(row: dict[str, str]) -> Input:
    kinds = _words(row["kind"])
    last = kinds[-1]
    return Input(
        name=row["name"],
        kinds=kinds,
        required=row["required"] == "yes",
        default=_optional(row["default"], last),
        low=tuple(_raw(cell, last) for cell in _words(row["low"])),
        high=tuple(_raw(cell, last) for cell in _words(row["high"])),
        example=_raw(row["example"], last),
        choices=_words(row["choices"]),
        help=row["help"],
        band=_band(row, kinds[0]),
        doubt=row["doubt"],
        source=row["source"],
    )


def _load() -> dict[str, Input]:
    text = files("detentsim.knife.table").joinpath("inputs.csv").read_text(encoding="utf-8")
    return {row["name"]: _input(row) for row in csv.DictReader(text.splitlines())}


INPUTS: dict[str, Input] = _load()
"""Every input by its dotted name, in the order of files and reports."""

SECTIONS: tuple[str, ...] = tuple(dict.fromkeys(i.section for i in INPUTS.values() if i.section))
"""Every section that holds inputs."""

TABLES: frozenset[str] = frozenset(n.rpartition(".")[0] for n in INPUTS if n.count(".") == 2)
"""Dotted names of inline tables (``bar.measured``, ``pivot.pull``)."""


def section_inputs(section: str) -> tuple[Input, ...]:
    """Return the inputs of one section.

    Parameters
    ----------
    section : str
        One of `SECTIONS`.

    Returns
    -------
    tuple of Input
        In the table's order.

    Examples
    --------
    >>> [i.key for i in section_inputs("stop")]
    ['radius', 'pin_change']
    """
    return tuple(i for i in INPUTS.values() if i.section == section)


def nearest(word: str, known: Iterable[str], count: int = 3) -> tuple[str, ...]:
    """Return the known names most similar to a mistyped one, best first.

    Parameters
    ----------
    word : str
        As typed.
    known : iterable of str
        Valid names.
    count : int
        Most names returned.

    Returns
    -------
    tuple of str
        Empty when none is near.

    Examples
    --------
    >>> nearest("rim_fed", ["rim_feed", "rim_drill", "mass"])[0]
    'rim_feed'
    """
    return tuple(get_close_matches(word[:80].lower(), list(known), n=count, cutoff=0.6))


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return ``; did you mean ...`` as the end of a sentence, or nothing.

    Parameters
    ----------
    word : str
        As typed.
    known : iterable of str
        Valid names.

    Returns
    -------
    str
        Begins with a semicolon, or is empty.

    Examples
    --------
    >>> suggestion("rim_fed", ["rim_feed", "mass"])
    '; did you mean rim_feed'
    """
    near = nearest(word, known, 2)
    return f"; did you mean {' or '.join(near)}" if near else ""


def closest_input(name: str) -> tuple[str, ...]:
    """Return the dotted input names most similar to an unknown one: same key in another section first, then spelling.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    tuple of str
        At most three.

    Examples
    --------
    >>> closest_input("bar.rim_feed")[0]
    'dimple.rim_feed'
    """
    key = name.rpartition(".")[2]
    same = [n for n in INPUTS if n.rpartition(".")[2] == key]
    return tuple(dict.fromkeys([*same, *nearest(name, INPUTS)]))[:3]


def unknown_input(name: object) -> str:
    """Return the message about a name that is no input.

    Parameters
    ----------
    name : object
        As given.

    Returns
    -------
    str
        With the nearest names.

    Examples
    --------
    >>> unknown_input("bar.rim_feed")[:40]
    'is no input; did you mean dimple.rim_fee'
    """
    if name in SECTIONS:
        first = next(n for n in INPUTS if n.startswith(f"{name}."))
        return f"is a section; give one of its inputs, such as {first}"
    near = closest_input(str(name)[:80])
    hint = f"; did you mean {' or '.join(near)}" if near else '; an input is named like "dimple.rim_feed"'
    return f"is no input{hint}"
