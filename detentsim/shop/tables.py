"""Reads the packaged data files, and finds the neighbours of a size in a sorted table.

Lowest module of the shop; every table uses it.
"""

from __future__ import annotations

import csv
import functools
from bisect import bisect_left, bisect_right
from importlib import resources
from typing import TYPE_CHECKING, Literal, Protocol, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

INCH = 0.0254
"""One inch [m], exact by definition; stated here so that reading the tables does not load pint."""

MILLIMETRE = 1e-3
"""One millimetre [m]."""

SAME = 1e-9
"""Sizes nearer than this are the same [m]; no inch size lies so close to a metric size without being equal to it."""


class Sized(Protocol):
    """Anything with a diameter [m]."""

    @property
    def diameter(self) -> float:
        """Diameter [m]."""


AnySize = TypeVar("AnySize", bound=Sized)


class NamedSize(Protocol):
    """Anything with a name in the trade."""

    @property
    def name(self) -> str:
        """Name in the trade."""


AnyNamed = TypeVar("AnyNamed", bound=NamedSize)

System = Literal["metric", "inch", "both"]
"""Sizes that a shop has; number, letter and fraction sizes are inch ones."""


def read_text(name: str) -> str:
    """Return a packaged data file.

    Parameters
    ----------
    name : str
        File name in the data folder.

    Returns
    -------
    str
        Its text.

    Examples
    --------
    >>> read_text("balls.csv").startswith("#")
    True
    """
    return (resources.files("detentsim.shop") / "data" / name).read_text(encoding="utf-8")


@functools.cache
def read_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a packaged table; lines that begin with ``#`` are comments on its source.

    Parameters
    ----------
    name : str
        File name in the data folder.

    Returns
    -------
    list of dict
        One for each row, by column heading.

    Examples
    --------
    >>> read_rows("hardness.csv")[0]
    {'hrc': '40', 'hv': '392'}
    """
    lines = (line for line in read_text(name).splitlines() if not line.startswith("#"))
    return list(csv.DictReader(lines))


def size_in_metres(row: dict[str, str]) -> float:
    """Return the size of a row in metres; its unit column holds in or mm.

    Parameters
    ----------
    row : dict
        With ``size`` and ``unit``.

    Returns
    -------
    float
        Size [m].

    Examples
    --------
    >>> size_in_metres({"size": "0.0625", "unit": "in"})
    0.0015875
    """
    return float(row["size"]) * {"in": INCH, "mm": MILLIMETRE}[row["unit"]]


def of_system(table: Sequence[AnyNamed], system: System) -> tuple[AnyNamed, ...]:
    """Sizes of a table that belong to a system: metric by their names, or inch, number and letter sizes.

    Parameters
    ----------
    table : sequence
        Of sizes with names.
    system : str
        ``metric``, ``inch`` or ``both``.

    Returns
    -------
    tuple
        In the order of the table.

    Examples
    --------
    >>> from detentsim.shop.balls import balls
    >>> [ball.name for ball in of_system(balls(), "inch")][:3]
    ['3/64 in', '1/16 in', '5/64 in']
    """
    return tuple(item for item in table if system in ("both", "metric" if item.name.endswith(" mm") else "inch"))


def split_at(
    table: Sequence[AnySize], diameter: float, n: int
) -> tuple[tuple[AnySize, ...], tuple[AnySize, ...], tuple[AnySize, ...]]:
    """Split a sorted table at a size: the neighbours below, the equal ones, the neighbours above.

    Parameters
    ----------
    table : sequence
        Sorted by diameter.
    diameter : float
        Size [m].
    n : int
        Number of neighbours on each side.

    Returns
    -------
    tuple of tuples
        Up to `n` below, all equal to it, up to `n` above; each sorted by diameter.

    Examples
    --------
    >>> from detentsim.shop.balls import balls
    >>> below, equal, above = split_at(balls(), 1.5e-3, 1)
    >>> [ball.name for ball in (*equal, *above)]
    ['1.5 mm', '1/16 in']
    """
    diameters = [item.diameter for item in table]
    first, last = bisect_left(diameters, diameter - SAME), bisect_right(diameters, diameter + SAME)
    return tuple(table[max(0, first - n) : first]), tuple(table[first:last]), tuple(table[last : last + n])
