"""Units a build is typed in: metric or inch, counted over its lengths and its forces.

`Build.units` gives them to every report and figure, so that a maker reads the units of his or her own bench.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from detentsim.knife.table.value import SHOWN_UNITS, as_text
from detentsim.units.numbers import digits
from detentsim.units.quantities import factor
from detentsim.units.systems import INCH, METRIC, OUNCES, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.table.value import Value
    from detentsim.shop.tables import System

_INCH = re.compile(r"(?:\bin|inch|inches|thou|mils?|\")$")
_METRIC = re.compile(r"(?:[mcuµμ]?m|micron)$")
_POUND = re.compile(r"(?:lbf|ozf)")
_FULL_POUND = re.compile(r"lbf")
_OUNCE = re.compile(r"ozf(?! ?[*/])")
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
        Forces follow the lengths where none was typed; they are in ounces where most are typed so.

    Examples
    --------
    >>> import detentsim as ds
    >>> typed_units(ds.demo().values).length
    'mm'
    """
    chosen = values["units"].text if "units" in values else "as typed"
    given = {name: value for name, value in values.items() if value.given and name not in _TRADE_SIZES}
    lengths = [value.text.strip() for value in given.values() if value.kind == "length"]
    inches = sum(bool(_INCH.search(text)) for text in lengths)
    by_inch = 2 * inches > len(lengths)
    texts = [*(value.text for value in given.values()), *others]
    ounces, full, pounds, newtons = (
        sum(bool(unit.search(text)) for text in texts) for unit in (_OUNCE, _FULL_POUND, _POUND, _NEWTON)
    )
    system = INCH if ounces <= full else OUNCES
    if chosen != "as typed":
        return METRIC if chosen == "metric" else system
    by_pound = pounds > newtons if pounds != newtons else by_inch
    return UnitSystem("in" if by_inch else "mm", system.force if by_pound else "N")


def typed_stock(values: Mapping[str, Value]) -> System:
    """System of the drills that a maker has: metric or inch where all drills are typed so, else both.

    Parameters
    ----------
    values : mapping of str to Value
        By dotted name. ``stock`` decides where it is given.

    Returns
    -------
    str
        ``metric``, ``inch`` or ``both``.

    Examples
    --------
    >>> import detentsim as ds
    >>> build = ds.demo()
    >>> build.stock, build.change({"dimple.rim_drill": "#48"}).stock, build.change({"stock": "inch"}).stock
    ('metric', 'both', 'inch')
    """
    chosen = values["stock"].text if "stock" in values else "as typed"
    if chosen != "as typed":
        return "inch" if chosen == "inch" else "metric" if chosen == "metric" else "both"
    sized = [value.text for value in values.values() if value.kind == "drill" and not math.isnan(value.si)]
    inch = {not _METRIC.search(text) for text in sized}
    return "both" if len(inch) != 1 else "inch" if inch.pop() else "metric"


def text_in(units: UnitSystem, si: float, kind: str) -> str:
    """Value of an input as text in the units of a report.

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
    >>> text_in(INCH, 0.000635, "length"), text_in(METRIC, 0.000635, "length"), text_in(INCH, 0.004, "torque")
    ('25.0 thou', '0.635 mm', '0.566 ozf*in')
    """
    unit = SHOWN_UNITS[kind]
    number, shown = units.pair(si / factor(unit), unit) if unit else (si, unit)
    if shown == unit:
        return as_text(si, kind)
    return units.size(si * 1e3) if unit == "mm" else f"{digits(number, 3)} {shown}"


def typed_in(build: Build, name: str) -> str:
    """An input's own value as typed, with the same in the units of the build's reports where that is another unit.

    Parameters
    ----------
    build : Build
    name : str
        Dotted name.

    Returns
    -------
    str

    Examples
    --------
    >>> import detentsim as ds
    >>> build = ds.demo().change({"bar.bend": "80 thou"})
    >>> typed_in(build, "bar.width"), typed_in(build, "bar.bend")
    ('8 mm', '80 thou = 2.032 mm')
    """
    typed, value = build.word(name), build[name]
    if value is None or reads_in(build.units, value):
        return typed
    return f"{typed} = {text_in(build.units, value.si, value.kind)}"


def reads_in(units: UnitSystem, value: Value) -> bool:
    """Whether the text of a value is in the units of a report, or in none: a word, a ratio, a drill.

    Parameters
    ----------
    units : UnitSystem
    value : Value

    Returns
    -------
    bool

    Examples
    --------
    >>> import detentsim as ds
    >>> [reads_in(units, ds.demo()["bar.width"]) for units in (METRIC, INCH)]
    [True, False]
    """
    own = SHOWN_UNITS.get(value.kind)
    if not own or value.kind == "drill" or math.isnan(value.si):
        return True
    shown = units.pair(value.si / factor(own), own)[1]
    return re.search(rf"[\d ]{re.escape(shown)}$", value.text) is not None


def range_in(units: UnitSystem, low: float, high: float, kind: str) -> str:
    """Range of an input as text in the units of a report.

    Parameters
    ----------
    units : UnitSystem
    low, high : float
        [SI].
    kind : str
        Its kind.

    Returns
    -------
    str

    Examples
    --------
    >>> range_in(INCH, -0.00003, 0.00003, "length"), range_in(METRIC, 0.0, 0.00005, "length")
    ('-1.2 to 1.2 thou', '0 to 0.05 mm')
    """
    if SHOWN_UNITS[kind] == "mm" and units.length == "in":
        return units.sizes(1e3 * low, 1e3 * high)
    first, last = (text_in(units, end, kind) for end in (low, high))
    number, _, unit = first.partition(" ")
    return f"{number if last.endswith(f' {unit}') else first} to {last}"
