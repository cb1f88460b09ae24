"""Reads whole numbers, such as a count or a seed, with the ends that they may have."""

from __future__ import annotations

import operator
import re

from detentsim.units.errors import InputError
from detentsim.units.wording import shown


def whole_number(field: str, value: object, ends: tuple[int, int], example: int) -> int:
    """Return a whole number within its ends.

    Parameters
    ----------
    field : str
        Name of the input.
    value : object
        A number, or its text in decimal digits, thousands set off by commas or not.
    ends : tuple of int
        Least and greatest.
    example : int

    Returns
    -------
    int

    Raises
    ------
    InputError
        For anything else.

    Examples
    --------
    >>> whole_number("--of", "12", (1, 100), 6), whole_number("--openings", "10,000", (1, 10**6), 100)
    (12, 10000)
    """
    least, most = ends
    try:
        whole = int(value.replace(",", "")) if isinstance(value, str) and _is_plain(value) else operator.index(value)  # type: ignore[arg-type]
    except TypeError:
        whole = least - 1
    if isinstance(value, bool) or not least <= whole <= most:
        allowed = f"from {least} to {most:,}" if most < 2**63 else f"of {least} or more"
        text = f"{shown(value)} is not a whole number {allowed}; give one, such as {example}"
        raise InputError(field, value, text)
    return whole


def _is_plain(text: str) -> bool:
    return len(text) <= 18 and re.fullmatch(r"[0-9]+|[0-9]{1,3}(,[0-9]{3})+", text) is not None
