"""Converts Rockwell C to Vickers hardness (ASTM E140), and estimates yield strength from hardness.

Used by `materials` and by the tang's hardness input.
"""

from __future__ import annotations

import functools
import itertools

from detentsim.shop.tables import read_rows
from detentsim.units.errors import InputError
from detentsim.units.grammar import Mistake, split_text
from detentsim.units.wording import shown

_HV_RANGE = (100.0, 2500.0)

_PASCAL_PER_HV = 9.80665e6


@functools.cache
def hrc_table() -> tuple[tuple[float, float], ...]:
    """Return the conversion table, ASTM E140 Table 1.

    Returns
    -------
    tuple of (float, float)
        HRC and HV, ascending.

    Examples
    --------
    >>> hrc_table()[0]
    (40.0, 392.0)
    """
    return tuple((float(row["hrc"]), float(row["hv"])) for row in read_rows("hardness.csv"))


def hardness_to_hv(value: object, field: str) -> float:
    """Return a hardness in Vickers.

    Parameters
    ----------
    value : str
        ``"60 HRC"`` within the table's 40 to 68, or ``"700 HV"`` within 100 to 2500.
    field : str
        Name of the input, for the message.

    Returns
    -------
    float
        Vickers number [kgf/mm2]; interpolated linearly between rows of ASTM E140 Table 1.

    Raises
    ------
    InputError
        For a bare number, another scale, or a value outside the range.

    Examples
    --------
    >>> hardness_to_hv("60 HRC", "tang.hardness")
    697.0
    """
    try:
        return _read(value)
    except Mistake as mistake:
        advice = 'give a hardness such as "60 HRC" (40 to 68) or "700 HV" (100 to 2500)'
        raise InputError(field, value, f"{shown(value)} {mistake}; {advice}") from None


def _read(value: object) -> float:
    """Return a hardness in Vickers, or raise a Mistake."""
    if not isinstance(value, str):
        raise Mistake("has no hardness scale")
    number, scale = split_text(value)
    if scale not in ("HRC", "HV"):
        raise Mistake("has no hardness scale" if not scale else "is not on the HRC or HV scale")
    low, high = (hrc_table()[0][0], hrc_table()[-1][0]) if scale == "HRC" else _HV_RANGE
    if not low <= number <= high:
        raise Mistake("is outside the range")
    return hrc_to_hv(number) if scale == "HRC" else number


def hrc_to_hv(hrc: float) -> float:
    """Return Vickers for a Rockwell C number.

    Parameters
    ----------
    hrc : float
        40 to 68.

    Returns
    -------
    float
        HV, interpolated linearly between rows of ASTM E140 Table 1.

    Raises
    ------
    ValueError
        Outside the table.

    Examples
    --------
    >>> hrc_to_hv(58.5)
    663.5
    """
    for (low, hv_low), (high, hv_high) in itertools.pairwise(hrc_table()):
        if low <= hrc <= high:
            return hv_low + (hrc - low) / (high - low) * (hv_high - hv_low)
    raise ValueError(f"{hrc} HRC is outside the table")


def yield_from_hardness(hv: float) -> float:
    """Return the yield strength of a hardened steel as a third of its hardness.

    Parameters
    ----------
    hv : float
        Vickers number.

    Returns
    -------
    float
        Yield strength [Pa]. A rule of thumb (Tabor: mean pressure near 3 Y; other work finds 2.7).

    Examples
    --------
    >>> round(yield_from_hardness(697) / 1e6)
    2278
    """
    return hv * _PASCAL_PER_HV / 3.0
