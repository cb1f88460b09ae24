"""Units a build is typed in: metric or inch, counted over its lengths and its forces.

`Build.units` gives them to every report and figure, so that a maker reads the units of his or her own bench.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.table.value import SHOWN_UNITS, as_text
from detentsim.units.grammar import Terms, unit_terms
from detentsim.units.kinds import KINDS
from detentsim.units.numbers import digits
from detentsim.units.quantities import factor, unit_factor
from detentsim.units.systems import INCH, METRIC, OUNCES, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.table.value import Value
    from detentsim.shop.tables import System

_INCHES = {"in", "inch", "inches", "thou", "mil", "mils", "ft"}
_POUNDS = {"lbf", "ozf"}
_NEWTONS = {"N", "mN", "kN"}

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
    given = [(value.kind, unit_terms(value.text)) for name, value in values.items() if _counts(name, value)]
    lengths = [terms for kind, terms in given if kind == "length" and terms]
    by_inch = 2 * sum(map(_in_inches, lengths)) > len(lengths)
    units = [[name for name, _ in terms] for terms in (*(terms for _, terms in given), *map(unit_terms, others))]
    ounces, full = units.count(["ozf"]), sum("lbf" in names for names in units)
    pounds, newtons = (sum(not known.isdisjoint(names) for names in units) for known in (_POUNDS, _NEWTONS))
    system = INCH if ounces <= full else OUNCES
    if chosen != "as typed":
        return METRIC if chosen == "metric" else system
    by_pound = pounds > newtons if pounds != newtons else by_inch
    return UnitSystem("in" if by_inch else "mm", system.force if by_pound else "N")


def _counts(name: str, value: Value) -> bool:
    return value.given and value.kind in KINDS and name not in _TRADE_SIZES


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
    inch = {not unit_terms(text) or is_in_inches(text) for text in sized}
    return "both" if len(inch) != 1 else "inch" if inch.pop() else "metric"


def is_in_inches(text: str) -> bool:
    """Return whether a text is typed in inches, thou or feet.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> is_in_inches("0.125in"), is_in_inches("30 thou"), is_in_inches("3 mm"), is_in_inches("tumbled")
    (True, True, False, False)
    """
    return _in_inches(unit_terms(text))


def _in_inches(terms: Terms) -> bool:
    return not _INCHES.isdisjoint(name for name, _ in terms)


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
    return unit_factor(unit_terms(value.text)) == factor(shown)


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
