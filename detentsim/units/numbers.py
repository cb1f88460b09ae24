"""Formats numbers for output: two significant digits, N beside lbf, mm beside thou.

Used by tables, reports and advice.
"""

from __future__ import annotations

import math

from detentsim.units.quantities import factor


def both(millimetres: float) -> str:
    """Return a length as text in mm and thou.

    Parameters
    ----------
    millimetres : float
        Length [mm].

    Returns
    -------
    str

    Examples
    --------
    >>> both(0.635)
    '0.635 mm (25.0 thou)'
    """
    return f"{millimetres:.3f} mm ({millimetres / 0.0254:.1f} thou)"


def pull(newtons: float | None) -> str:
    """Return a force as text in N and lbf, two significant digits each.

    Parameters
    ----------
    newtons : float or None
        Force [N].

    Returns
    -------
    str
        ``none`` for None.

    Examples
    --------
    >>> pull(12.34)
    '12 N (2.8 lbf)'
    """
    if newtons is None:
        return "none"
    return f"{two(newtons)} N ({two(newtons / factor('lbf'))} lbf)"


def two(value: float) -> str:
    """Return a number as text with two significant digits, without an exponent.

    Parameters
    ----------
    value : float

    Returns
    -------
    str

    Examples
    --------
    >>> two(0.0123), two(8.96), two(143.0)
    ('0.012', '9.0', '140')
    """
    return digits(value, 2)


def digits(value: float, count: int) -> str:
    """Return a number as text with so many significant digits, without an exponent.

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
