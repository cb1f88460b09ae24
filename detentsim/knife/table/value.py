"""One input of a build: its text as typed beside its SI number; and any SI number as a maker would type it.

Lowest module of the room beside `schema`; ``values`` reads it from a file or a call.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from detentsim.units.quantities import factor, quantity

SHOWN_UNITS = {
    "length": "mm",
    "drill": "mm",
    "angle": "deg",
    "force": "N",
    "stress": "MPa",
    "mass": "gram",
    "density": "kg/m**3",
    "torque": "N*mm",
    "stiffness": "N/mm",
    "inertia": "kg*mm**2",
    "speed": "m/s",
    "time": "s",
    "ratio": "",
}
"""Unit in which each kind is written and shown."""


@dataclass(frozen=True, eq=False)
class Value:
    """One input of a build.

    Attributes
    ----------
    text : str
        As the maker typed it, or the packaged default.
    si : float
        SI value [m, rad, N, Pa, kg ...]; HV for a hardness; NaN for words (a material, a choice).
    kind : str
        Kind of this value: a kind of the units table, or ``text choice drill material hardness``.
    given : bool
        False for a default.
    """

    text: str
    si: float
    kind: str
    given: bool

    def __eq__(self, other: object) -> bool:
        """Return whether two values are equal; the NaN of a word equals the NaN of another."""
        return isinstance(other, Value) and self._key() == other._key()

    def __hash__(self) -> int:
        """Return a hash consistent with equality."""
        return hash(self._key())

    def _key(self) -> tuple[str, str, bool, float | None]:
        return self.text, self.kind, self.given, None if math.isnan(self.si) else self.si

    @property
    def quantity(self) -> Any:
        """Value as a pint quantity in its usual unit; the text itself for words."""
        if math.isnan(self.si):
            return self.text
        if self.kind == "hardness":
            return self.si
        unit = SHOWN_UNITS[self.kind]
        return quantity(self.si / factor(unit), unit)


def as_text(si: float, kind: str) -> str:
    """Return an SI value as a maker would type it.

    Parameters
    ----------
    si : float
        In the kind's SI unit.
    kind : str
        A kind of the units table, or ``drill``.

    Returns
    -------
    str
        Number and usual unit; a bare number for a ratio.

    Examples
    --------
    >>> as_text(0.00055, "length"), as_text(0.12, "ratio")
    ('0.55 mm', '0.12')
    """
    unit = SHOWN_UNITS[kind]
    return f"{si / factor(unit) if unit else si:.12g} {unit}".strip()
