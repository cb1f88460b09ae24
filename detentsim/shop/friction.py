"""Friction coefficients by pair of materials and lubrication, with sources."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from detentsim.shop.tables import read_rows


@dataclass(frozen=True)
class FrictionPair:
    """Friction coefficients of a pair as ranges; None where there is no published value.

    Parameters
    ----------
    pair : str
        The two materials, and static or sliding where the source distinguishes them.
    dry, lubricated : tuple of float, or None
        Low and high.
    source : str
        Where the ranges come from.
    """

    pair: str
    dry: tuple[float, float] | None
    lubricated: tuple[float, float] | None
    source: str


@functools.cache
def friction_pairs() -> tuple[FrictionPair, ...]:
    """Return friction coefficients by pair and lubrication.

    Returns
    -------
    tuple of FrictionPair
        Ranges, never single values: friction depends on the whole system.

    Examples
    --------
    >>> next(p.lubricated for p in friction_pairs() if p.pair == "ceramic on hardened steel")
    (0.08, 0.15)
    """
    return tuple(
        FrictionPair(row["pair"], _range(row, "dry"), _range(row, "lubricated"), row["source"])
        for row in read_rows("friction.csv")
    )


def _range(row: dict[str, str], state: str) -> tuple[float, float] | None:
    """Return low and high of one state, None where the cells are empty."""
    low, high = row[f"{state}_low"], row[f"{state}_high"]
    return (float(low), float(high)) if low else None
