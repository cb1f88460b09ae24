"""Rules for the blade's side: face gap, pivot friction, blade shape and closed stop.

Every public function is a `Rule` of ``facts``, which says what it takes and yields; `consistency` runs them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.checks.facts import line_to_write
from detentsim.knife.table.schema import INPUTS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.checks.facts import Facts
    from detentsim.knife.checks.problems import Fault

_GAP_PARTS = ("pivot.washer_thickness", "pivot.handle_pocket", "pivot.tang_pocket")

_PLATE = ("blade.length", "blade.root_width", "blade.tip_width", "blade.thickness")


def face_gap(facts: Facts) -> Iterator[Fault]:
    """Yield problems of the face gap: given twice, given in part, or below zero.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(face_gap(Facts({}, frozenset({"tang.face_gap", "pivot.washer_thickness"}))))
    ('tang.face_gap', "stands beside the washer's thickness and pockets; give one or the other")
    """
    thickness, *pockets = _GAP_PARTS
    if facts.seen("tang.face_gap") and facts.seen(*_GAP_PARTS):
        yield "tang.face_gap", "stands beside the washer's thickness and pockets; give one or the other"
    elif facts.seen(*pockets) and not facts.seen(thickness):
        yield thickness, f"is missing beside its pockets; write {line_to_write(INPUTS[thickness])}"
    if facts.misfit("gap"):
        yield thickness, "less its two pockets is below zero; the slab would rub on the tang"


def pivot(facts: Facts) -> Iterator[Fault]:
    """Yield problems of pivot friction: pull and torque at once, washer diameters missing or reversed.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(pivot(Facts({}, frozenset({"pivot.pull.force", "pivot.pull.at", "pivot.friction_torque"}))))
    ('pivot.friction_torque', 'stands beside pull; give one of the two')
    """
    pull = ("pivot.pull.force", "pivot.pull.at")
    given = facts.seen(*pull)
    if len(given) == 1:
        other = next(name for name in pull if name not in given)
        yield other, 'is missing; write pull = { force = "0.1 N", at = "40 mm" }'
    if given and facts.seen("pivot.friction_torque"):
        yield "pivot.friction_torque", "stands beside pull; give one of the two"
    inner, outer = "pivot.washer_inner", "pivot.washer_outer"
    if facts.misfit("washer_inner"):
        yield inner, f"is not smaller than the outer diameter: {facts.pair(inner, outer)}"
    sizes = facts.seen(inner, outer)
    if len(sizes) == 1:
        other = next(name for name in (inner, outer) if name not in sizes)
        yield other, f"is missing; give both diameters or neither, such as {line_to_write(INPUTS[other])}"


def pivot_details(facts: Facts) -> Iterator[Fault]:
    """Yield what end play, snug washers and the pin's friction need beside them, and too thick a pin.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(pivot_details(Facts({}, frozenset({"pivot.pin_friction"}))))
    ('pivot.pin_diameter', 'is missing beside pin_friction; write pin_diameter = "4 mm"')
    """
    outer, pin = "pivot.washer_outer", "pivot.pin_diameter"
    if not facts.seen(outer, "pivot.washer_inner"):
        snug = facts.fitting and facts.text("pivot.washer_contact") == "face"  # a sweep marks this misfit itself
        beside = "end_play" if facts.seen("pivot.end_play") else 'washer_contact = "face"' if snug else ""
        if beside:
            yield outer, f"is missing beside {beside}; give both diameters, such as {line_to_write(INPUTS[outer])}"
    if facts.seen("pivot.pin_friction") and not facts.seen(pin):
        yield pin, f"is missing beside pin_friction; write {line_to_write(INPUTS[pin])}"
    if facts.misfit("pin_diameter"):
        yield pin, f"is thicker than the washers' hole: {facts.pair(pin, 'pivot.washer_inner')}"
    if facts.misfit("pin_under_ball"):
        yield pin, f"reaches the ball: {facts.pair(pin, 'tang.pivot_to_ball')}"


def blade(facts: Facts) -> Iterator[Fault]:
    """Yield problems of the blade: shape given in part, taper reversed, inertia given twice.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(blade(Facts({}, frozenset({"blade.inertia", "blade.pendulum_period"}))))
    ('blade.pendulum_period', 'is given together with blade.inertia; give only one of the two')
    """
    given = facts.seen(*_PLATE)
    for name in _PLATE if given else ():
        if name not in given:
            yield name, f"is missing ({INPUTS[name].help}); write {line_to_write(INPUTS[name])}"
    if facts.misfit("tip_width"):
        pair = facts.pair("blade.tip_width", "blade.root_width")
        yield "blade.tip_width", f"is wider than at the pivot: {pair}; a blade tapers to its tip"
    if len(facts.seen("blade.inertia", "blade.pendulum_period")) == 2:
        yield "blade.pendulum_period", "is given together with blade.inertia; give only one of the two"


def stop(facts: Facts) -> Iterator[Fault]:
    """Yield a change of stop pin without the stop's radius.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(stop(Facts({}, frozenset({"stop.pin_change"}))))
    ('stop.radius', 'is missing beside pin_change; write radius = "9 mm"')
    """
    if facts.seen("stop.pin_change") and not facts.seen("stop.radius"):
        yield "stop.radius", f"is missing beside pin_change; write {line_to_write(INPUTS['stop.radius'])}"
