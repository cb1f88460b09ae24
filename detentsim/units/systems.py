"""Units of output: the one system, metric or inch, in which a report or figure shows every number.

Uses `quantities` and `numbers`; reports, figures and advice word their numbers through it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from detentsim.units.numbers import digits, two_digits
from detentsim.units.quantities import factor

_INCH_LENGTH = {"mm": "in", "um": "thou", "m/s": "in/s"}

_POUND_FORCE = {"N": "lbf", "N*mm": "ozf*in", "N/mm": "lbf/in", "mJ": "ozf*in", "MPa": "ksi", "g": "oz"}

_INERTIA = "kg*mm**2"

THOU_BELOW = 6.35
"""Length [mm] below which the inch system counts in thou; a quarter of an inch."""

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
        ``N``, or ``lbf``; torque, work, stiffness, stress and mass follow it.

    Examples
    --------
    >>> INCH.two_digits(9.81, "N"), METRIC.two_digits(9.81, "N"), INCH.two_digits(61, "deg")
    ('2.2 lbf', '9.8 N', '61 deg')
    """

    length: Literal["mm", "in"]
    force: Literal["N", "lbf"]

    def unit(self, unit: str) -> str:
        """Unit that stands for a result's own unit on an axis or over a column.

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
        if unit == _INERTIA and (self.length, self.force) == ("in", "lbf"):
            return "oz*in**2"
        unit = _INCH_LENGTH.get(unit, unit) if self.length == "in" else unit
        return _POUND_FORCE.get(unit, unit) if self.force == "lbf" else unit

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
        >>> round(INCH.scale("mm"), 6), METRIC.scale("mm")
        (0.03937, 1.0)
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
        """Number and unit as shown; a small length of the inch system is counted in thou.

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
        if unit == "mm" and self.length == "in" and abs(value) < THOU_BELOW:
            return value / 0.0254, "thou"
        return value * self.scale(unit), self.unit(unit)

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
        """Two numbers to compare, with as many digits, from two to five, as tell them apart.

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
        """Range with two significant digits and its unit, written once; one number where both ends read alike.

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
        (first, one), (last, other) = self.pair(low, unit), self.pair(high, unit)
        middle = f" {one}" if one != other else ""
        return f"{two_digits(first)}{middle} to {two_digits(last)} {other}".rstrip()


METRIC = UnitSystem("mm", "N")
"""Millimetres and newtons."""

INCH = UnitSystem("in", "lbf")
"""Inches, thou and pounds of force."""
