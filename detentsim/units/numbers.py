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


def used(use: float) -> str:
    """Share of a limit that is used, in per cent, never rounded onto the limit from either side.

    Parameters
    ----------
    use : float
        Demand over capacity, 0 or more.

    Returns
    -------
    str

    Examples
    --------
    >>> used(0.8089), used(1.0), used(0.9971), used(1.00002), used(41.0)
    ('81 %', '100 %', '99.7 %', 'just over 100 %', 'over 10 times')
    """
    if use >= 10:
        return "over 10 times"
    for places in (0, 1):
        text = f"{100 * use:.{places}f}"
        if use == 1 or float(text) != 100:
            return f"{text} %"
    return f"just {'over' if use > 1 else 'under'} 100 %"


def beyond(value: float, end: float, fewest: int, most: int = 9) -> str:
    """Number with the fewest significant digits that keep it on its side of another.

    Parameters
    ----------
    value, end : float
        Two numbers; `end` is the one that the other must not round onto or past.
    fewest, most : int
        Significant digits to begin with and to stop at.

    Returns
    -------
    str

    Examples
    --------
    >>> beyond(8.52, 9.0, 2), beyond(8.9963, 9.0, 2), beyond(9.0004, 9.0, 3)
    ('8.5', '8.996', '9.0004')
    """
    for count in range(fewest, most + 1):
        text = digits(value, count)
        if value == end or same_side(text, value, end):
            return text
    return digits(value, fewest)


def same_side(text: str, value: float, end: float) -> bool:
    """Whether a number in digits is on that side of `end` on which its value is.

    Parameters
    ----------
    text : str
        The number as it is shown.
    value, end : float

    Examples
    --------
    >>> same_side("8.996", 8.9963, 9.0), same_side("9.00", 8.9963, 9.0)
    (True, False)
    """
    return float(text) > end if value > end else float(text) < end


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
