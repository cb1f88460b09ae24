"""Units a build is typed in: metric or inch, counted over its lengths and its forces.

`Build.units` gives them to every report and figure, so that a maker reads the units of his or her own bench.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from detentsim.knife.table.value import as_text
from detentsim.units.systems import INCH, METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.knife.table.value import Value

_INCH = re.compile(r"(?:\bin|inch|inches|thou|mils?|\")$")
_POUND = re.compile(r"(?:lbf|ozf)")
_NEWTON = re.compile(r"[mk]?N(?:\b|$)")

_TRADE_SIZES = ("ball.diameter",)
"""Lengths that go by the size they are sold in, whatever the maker measures with."""


def typed_units(values: Mapping[str, Value], others: Iterable[str] = ()) -> UnitSystem:
    """System of units in which most lengths and most forces were typed.

    Parameters
    ----------
    values : mapping of str to Value
        By dotted name; defaults, drills and the ball's size do not count. ``units`` decides where it is given.
    others : iterable of str
        More texts with units, such as those of a target.

    Returns
    -------
    UnitSystem
        Forces follow the lengths where none was typed.

    Examples
    --------
    >>> import detentsim as ds
    >>> typed_units(ds.demo().values).length
    'mm'
    """
    chosen = values["units"].text if "units" in values else "as typed"
    if chosen != "as typed":
        return INCH if chosen == "inch" else METRIC
    given = {name: value for name, value in values.items() if value.given and name not in _TRADE_SIZES}
    lengths = [value.text.strip() for value in given.values() if value.kind == "length"]
    inches = sum(bool(_INCH.search(text)) for text in lengths)
    by_inch = 2 * inches > len(lengths)
    texts = [*(value.text for value in given.values()), *others]
    pounds, newtons = (sum(bool(unit.search(text)) for text in texts) for unit in (_POUND, _NEWTON))
    by_pound = pounds > newtons if pounds != newtons else by_inch
    return UnitSystem("in" if by_inch else "mm", "lbf" if by_pound else "N")


def text_in(units: UnitSystem, si: float, kind: str) -> str:
    """Value of an input as text, a length in the units of a report.

    Parameters
    ----------
    units : UnitSystem
    si : float
        [SI].
    kind : str
        Its kind.

    Returns
    -------
    str

    Examples
    --------
    >>> text_in(INCH, 0.000635, "length"), text_in(METRIC, 0.000635, "length"), text_in(INCH, 0.12, "ratio")
    ('25.0 thou', '0.635 mm', '0.12')
    """
    return units.size(si * 1e3) if kind == "length" and units.length == "in" else as_text(si, kind)
