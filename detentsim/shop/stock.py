"""Stock sizes of slabs, relief cutters and balls.

Read from ``data``; used by advice, which proposes only sizes that can be bought.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

from detentsim.shop.tables import read_rows, size_in_metres, split_at


@dataclass(frozen=True)
class Stock:
    """One size that can be bought.

    Parameters
    ----------
    name : str
        Name in the trade, also valid in a build file.
    diameter : float
        Diameter of a cutter or ball, or thickness of a slab [m].
    source : str
        Where the size comes from.
    """

    name: str
    diameter: float
    source: str


@functools.cache
def read_stock(file: str) -> tuple[Stock, ...]:
    """Return the sizes of a packaged table.

    Parameters
    ----------
    file : str
        File name in the data folder.

    Returns
    -------
    tuple of Stock
        By size.

    Examples
    --------
    >>> len(read_stock("balls.csv"))
    12
    """
    listed = [Stock(row["name"], size_in_metres(row), row["source"]) for row in read_rows(file)]
    return tuple(sorted(listed, key=lambda stock: stock.diameter))


def slabs() -> tuple[Stock, ...]:
    """Return the stock thicknesses of slabs and liners.

    Returns
    -------
    tuple of Stock
        By thickness.

    Examples
    --------
    >>> [slab.name for slab in slabs() if 2.4e-3 < slab.diameter < 3.3e-3]
    ['2.5 mm', '0.100 in', '3 mm', '0.125 in']
    """
    return read_stock("slabs.csv")


def cutters() -> tuple[Stock, ...]:
    """Return the cutters that a relief is milled with; one pass mills a length of one cutter diameter.

    Returns
    -------
    tuple of Stock
        By diameter.

    Examples
    --------
    >>> [cutter.name for cutter in cutters()][:2]
    ['3 mm', '1/8 in']
    """
    return read_stock("cutters.csv")


def stock_near(table: tuple[Stock, ...], size: float, n: int) -> tuple[Stock, ...]:
    """Return the stock sizes next to a given one, and that one where it is stock.

    Parameters
    ----------
    table : tuple of Stock
    size : float
        [m].
    n : int
        Number of sizes on each side.

    Returns
    -------
    tuple of Stock
        By size.

    Examples
    --------
    >>> [slab.name for slab in stock_near(slabs(), 3e-3, 1)]
    ['0.100 in', '3 mm', '0.125 in']
    """
    below, equal, above = split_at(table, size, n)
    return (*below, *equal, *above)
