"""Formats numbers for output with few significant digits.

Used by tables, reports, advice and the systems of units.
"""

from __future__ import annotations

import math


def two_digits(value: float) -> str:
    """Return a number as text with two significant digits, without an exponent.

    Parameters
    ----------
    value : float

    Returns
    -------
    str

    Examples
    --------
    >>> two_digits(0.0123), two_digits(8.96), two_digits(143.0)
    ('0.012', '9.0', '140')
    """
    return digits(value, 2)


def digits(value: float, count: int) -> str:
    """Return a number as text with a given number of significant digits, without an exponent.

    Parameters
    ----------
    value : float
    count : int

    Returns
    -------
    str

    Examples
    --------
    >>> digits(4216.4, 3), digits(0.99996, 4), digits(0.0, 3)
    ('4220', '1.000', '0')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = count - 1 - math.floor(math.log10(abs(value) * (1 + 5e-16)))
    rounded = round(value, places)
    places = count - 1 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{max(places, 0)}f}"


def percent(share: float) -> str:
    """Share in per cent, without rounding to all or none.

    Parameters
    ----------
    share : float
        0 to 1.

    Returns
    -------
    str

    Examples
    --------
    >>> percent(0.0908), percent(0.9996), percent(1.0), percent(0.0002)
    ('9.1 %', 'over 99.9 %', '100 %', 'under 0.1 %')
    """
    if 0 < share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1:
        return "over 99.9 %"
    return f"{100 * share:.0f} %" if share in (0, 1) or 0.1 <= share < 0.995 else f"{100 * share:.1f} %"


def of_ten(share: float) -> str:
    """A share in words, as a count out of ten, for a sample too small to give it more exactly.

    Parameters
    ----------
    share : float
        0 to 1.

    Returns
    -------
    str

    Examples
    --------
    >>> of_ten(0.074), of_ten(0.01), of_ten(0.52)
    ('about 1 is', 'hardly any is', 'about 5 are')
    """
    number = round(10 * share)
    return {0: "hardly any is", 1: "about 1 is", 10: "nearly all are"}.get(number, f"about {number} are")
