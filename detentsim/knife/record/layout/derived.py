"""Sizes of a build that follow from the ball's place in its layout, and whether sizes given twice agree.

Uses `section`; the checks of a build call it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.typed_units import is_in_inches
from detentsim.knife.table.value import Value
from detentsim.shop.tables import INCH, MILLIMETRE

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from detentsim.knife.record.layout.section import LayoutSection

# Sizes given twice agree when they differ by less: what a scriber and a rounded size leave [m], [rad].
APART, TURNED = 0.05e-3, math.radians(0.5)

GIVES = ("bar.ball_from_root", "tang.pivot_to_ball", "tang.travel_angle")
"""Inputs that a layout gives, by dotted name."""


def with_layout(given: Mapping[str, Value], layout: LayoutSection | None) -> dict[str, Value]:
    """Return the given values, completed by the sizes that follow from a layout; what is typed stays.

    Parameters
    ----------
    given : mapping of str to Value
    layout : LayoutSection or None

    Returns
    -------
    dict of str to Value
        In the table's order.
    """
    if layout is None:
        return dict(given)
    sizes = _sizes(given, layout)
    found = {name: _value(name, si, layout.typed) for name, si in sizes.items() if not math.isnan(si)}
    every = found | dict(given)
    return {name: every[name] for name in INPUTS if name in every}


def _sizes(given: Mapping[str, Value], layout: LayoutSection) -> dict[str, float]:
    tip = given.get("bar.tip_from_root")
    return layout.sizes(math.nan if tip is None else tip.si)


def _value(name: str, si: float, typed: str) -> Value:
    """A size in the unit that the ball's place is typed in."""
    if name == "tang.travel_angle":
        return Value(f"{math.degrees(si) + 0.0:.4g} deg", si, "angle", True)  # never "-0 deg"
    text = f"{si / INCH:.4f} in" if is_in_inches(typed) else f"{si / MILLIMETRE:.3f} mm"
    return Value(text, si, "length", True)


def disagreements(given: Mapping[str, Value], layout: LayoutSection | None) -> Iterator[tuple[str, str]]:
    """Yield sizes that were typed and that the layout gives otherwise, as pairs of key and message.

    Parameters
    ----------
    given : mapping of str to Value
        As typed.
    layout : LayoutSection or None
    """
    for name, si in _sizes(given, layout).items() if layout is not None else ():
        slack = TURNED if name == "tang.travel_angle" else APART
        if layout is not None and name in given and abs(given[name].si - si) > slack:
            other = _value(name, si, layout.typed).text
            yield name, f"is {given[name].text}, but by [layout] it is {other}; give one of the two, or correct it"
