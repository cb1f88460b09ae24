"""Units of output: the one system, metric or inch, in which a report or figure shows every number.

Uses `quantities` and `numbers`; reports, figures and advice word their numbers through it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from detentsim.units.numbers import digits, two_digits
from detentsim.units.quantities import factor

_INCH_LENGTH = {"mm": "thou", "um": "thou", "m/s": "in/s", "m/min": "ft/min"}

_POUND_FORCE = {
    "N": "lbf",
    "N*mm": "ozf*in",
    "N/mm": "lbf/in",
    "mJ": "ozf*in",
    "MPa": "ksi",
    "GPa": "ksi",
    "g": "oz",
    "gram": "oz",
}

_OUNCE_FORCE = _POUND_FORCE | {"N": "ozf", "N/mm": "ozf/in"}

_BY_FORCE = {"N": {}, "lbf": _POUND_FORCE, "ozf": _OUNCE_FORCE}

# What takes both its length and its mass from the inch system.
_BOTH = {"kg*mm**2": "oz*in**2", "kg/m**3": "lb/in**3"}

THOU_BELOW = 25.4
"""Length [mm] below which the inch system counts in thou, and from which in inches: one inch."""

NO_LENGTH = 1e-6
"""Length [mm] below which rounding alone is left; it reads 0."""


@dataclass(frozen=True)
class UnitSystem:
    """Units that a maker reads: lengths in mm or inch, forces in N or lbf, and what follows from them.

    Attributes
    ----------
    length : str
        ``mm``, or ``in`` (thou for what is small).
    force : str
        ``N``, ``lbf`` or ``ozf``; torque, work, stiffness, stress and mass follow it.

    Examples
    --------
    >>> INCH.two_digits(9.81, "N"), METRIC.two_digits(9.81, "N"), INCH.two_digits(61, "deg")
    ('2.2 lbf', '9.8 N', '61 deg')
    """

    length: Literal["mm", "in"]
    force: Literal["N", "lbf", "ozf"]

    def unit(self, unit: str) -> str:
        """Unit in which a result is shown on an axis or over a column; for a length the smaller one, mm or thou.

        Parameters
        ----------
        unit : str
            As in `detentsim.knife.outcomes.RESULTS`; one that has no counterpart stays.

        Returns
        -------
        str

        Examples
        --------
        >>> INCH.unit("N*mm"), INCH.unit("deg"), METRIC.unit("N*mm"), INCH.unit("kg*mm**2")
        ('ozf*in', 'deg', 'N*mm', 'oz*in**2')
        """
        if unit in _BOTH and self.length == "in" and self.force != "N":
            return _BOTH[unit]
        unit = _INCH_LENGTH.get(unit, unit) if self.length == "in" else unit
        return _BY_FORCE[self.force].get(unit, unit)

    def scale(self, unit: str) -> float:
        """Factor from a result's own unit to the one shown.

        Parameters
        ----------
        unit : str

        Returns
        -------
        float
            Multiply a number in `unit` by it to get one in ``self.unit(unit)``.

        Examples
        --------
        >>> round(INCH.scale("mm"), 2), METRIC.scale("mm")
        (39.37, 1.0)
        """
        shown = self.unit(unit)
        return 1.0 if shown == unit else factor(unit) / factor(shown)

    def two_digits(self, value: float, unit: str) -> str:
        """Number with two significant digits and its unit.

        Parameters
        ----------
        value : float
            In `unit`.
        unit : str
            The result's own; empty for a ratio.

        Returns
        -------
        str

        Examples
        --------
        >>> INCH.two_digits(0.47, "mm"), METRIC.two_digits(54.2, "N*mm"), METRIC.two_digits(14.2, "")
        ('19 thou', '54 N*mm', '14')
        """
        number, shown = self.pair(value, unit)
        return f"{two_digits(number)} {shown}".rstrip()

    def pair(self, value: float, unit: str) -> tuple[float, str]:
        """Number and unit as shown; in the inch system a length of an inch or more is counted in inches.

        Parameters
        ----------
        value : float
            In `unit`.
        unit : str

        Returns
        -------
        tuple of float and str

        Examples
        --------
        >>> number, unit = INCH.pair(0.635, "mm")
        >>> f"{number:.1f} {unit}"
        '25.0 thou'
        """
        if unit == "mm" and abs(value) < NO_LENGTH:
            value = 0.0
        if unit == "mm" and self.length == "in" and abs(value) >= THOU_BELOW:
            return value / THOU_BELOW, "in"
        return value * self.scale(unit), self.unit(unit)

    def heading(self, unit: str, largest: float) -> tuple[float, str]:
        """Factor and unit of numbers that stand under one heading or along one axis.

        Parameters
        ----------
        unit : str
            The numbers' own.
        largest : float
            The farthest of them from 0, in `unit`; lengths that are all small are counted in thou.

        Returns
        -------
        tuple of float and str
            Multiply a number in `unit` by the first to get one in the second.

        Examples
        --------
        >>> INCH.heading("mm", 50.0)[1], INCH.heading("mm", 2.2)[1], METRIC.heading("mm", 2.2)
        ('in', 'thou', (1.0, 'mm'))
        """
        shown = self.pair(largest, unit)[1]
        return factor(unit) / factor(shown) if shown != unit else 1.0, shown

    def size(self, millimetres: float) -> str:
        """Length to the last digit that a shop can read: 0.001 mm, 0.1 thou, 0.001 in.

        Parameters
        ----------
        millimetres : float
            Length [mm].

        Returns
        -------
        str

        Examples
        --------
        >>> METRIC.size(0.635), INCH.size(0.635), INCH.size(44)
        ('0.635 mm', '25.0 thou', '1.732 in')
        """
        number, unit = self.pair(millimetres, "mm")
        return f"{number:.{1 if unit == 'thou' else 3}f} {unit}"

    def distinct_pair(self, one: float, other: float, unit: str) -> tuple[str, str]:
        """Two numbers to compare, with the fewest digits (two to five) that tell them apart.

        Parameters
        ----------
        one, other : float
            In `unit`.
        unit : str

        Returns
        -------
        tuple of str

        Examples
        --------
        >>> METRIC.distinct_pair(4216.0, 4200.0, "MPa"), METRIC.distinct_pair(1.0, 1.0, "mm")
        (('4220 MPa', '4200 MPa'), ('1.0 mm', '1.0 mm'))
        """
        pairs = self.pair(one, unit), self.pair(other, unit)
        for count in (2, 3, 4, 5):
            low, high = (f"{digits(number, count)} {shown}".rstrip() for number, shown in pairs)
            if low != high:
                return low, high
        return self.two_digits(one, unit), self.two_digits(other, unit)

    def pull(self, newtons: float | None) -> str:
        """Force with two significant digits; ``none`` for None.

        Parameters
        ----------
        newtons : float or None
            Force [N].

        Returns
        -------
        str

        Examples
        --------
        >>> METRIC.pull(12.34), INCH.pull(None)
        ('12 N', 'none')
        """
        return "none" if newtons is None else self.two_digits(newtons, "N")

    def between(self, low: float, high: float, unit: str) -> str:
        """Range with two significant digits and its unit written once; one number where both ends read alike.

        Parameters
        ----------
        low, high : float
            In `unit`.
        unit : str

        Returns
        -------
        str

        Examples
        --------
        >>> METRIC.between(5.71, 12.1, "N")
        '5.7 to 12 N'
        """
        if self.two_digits(low, unit) == self.two_digits(high, unit):
            return self.two_digits(low, unit)
        per, shown = self.heading(unit, max(low, high, key=abs))
        return f"{two_digits(low * per)} to {two_digits(high * per)} {shown}".rstrip()

    def sizes(self, low: float, high: float) -> str:
        """Range of a length to the last digit that a shop can read; one number where both ends read alike.

        Parameters
        ----------
        low, high : float
            Lengths [mm].

        Returns
        -------
        str

        Examples
        --------
        >>> INCH.sizes(-0.03, 0.03), METRIC.sizes(-0.03, 0.03)
        ('-1.2 to 1.2 thou', '-0.030 to 0.030 mm')
        """
        per, shown = self.heading("mm", max(low, high, key=abs))
        first, last = (f"{end * per:.{1 if shown == 'thou' else 3}f}" for end in (low, high))
        return f"{last} {shown}" if first == last else f"{first} to {last} {shown}"


METRIC = UnitSystem("mm", "N")
"""Millimetres and newtons."""

INCH = UnitSystem("in", "lbf")
"""Inches, thou and pounds of force."""

OUNCES = UnitSystem("in", "ozf")
"""Inches, thou and ounces of force."""
