"""Ball sizes, and lookup of a ball by size.

Read from ``data/balls.csv``; used by the ball's inputs and by advice.
"""

from __future__ import annotations

from detentsim.shop.stock import Stock, read_stock
from detentsim.shop.tables import MILLIMETRE, split_at
from detentsim.units.convert import read_si
from detentsim.units.errors import InputError
from detentsim.units.grammar import Mistake
from detentsim.units.wording import shown


def balls() -> tuple[Stock, ...]:
    """Return the nominal ball sizes from 1.0 to 3.2 mm.

    Returns
    -------
    tuple of Stock
        By diameter.

    Examples
    --------
    >>> [ball.name for ball in balls()][3:6]
    ['1.5 mm', '1/16 in', '5/64 in']
    """
    return read_stock("balls.csv")


def find_ball(value: object, field: str) -> Stock:
    """Return the ball of a given size.

    Parameters
    ----------
    value : str or pint quantity
        Any length with a unit.
    field : str
        Name of the input, for the message.

    Returns
    -------
    Stock
        From the table where the size is nominal; otherwise a ball of that size, named as given.

    Raises
    ------
    InputError
        For a bare number, a size not above zero, and anything else.

    Examples
    --------
    >>> find_ball("0.0625 in", "ball.diameter").name
    '1/16 in'
    """
    try:
        diameter = read_si(value, ("length",))[1]
        if not diameter > 0.0:
            raise Mistake("is not a size above zero")
    except Mistake as mistake:
        advice = 'give a ball such as "2 mm" or "5/64 in"'
        raise InputError(field, value, f"{shown(value)} {mistake}; {advice}") from None
    equal = split_at(balls(), diameter, 0)[1]
    name = value.strip() if isinstance(value, str) else f"{diameter / MILLIMETRE:.6g} mm"
    return equal[0] if equal else Stock(name, diameter, "size as given")
