"""Settings of a knob at which the build is inside its target, the other knobs staying where they are.

`session` asks for them once a knob rests, and the drawings mark them on the knob's track. All settings of a knob are
solved in one call of the kernel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.explore.changes import changed_build, changes
from detentsim.analysis.inside import each_inside
from detentsim.analysis.results import number
from detentsim.knife.record.drawing import with_values
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from detentsim.analysis.explore.knobs import Knob
    from detentsim.analysis.explore.stops import KnobStop
    from detentsim.analysis.results import Results
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array, Truth


def meeting_stops(
    build: Build, numbers: Plain, knob: Knob, away: Mapping[str, KnobStop], start: Results
) -> tuple[bool, ...]:
    """Compute which stops of a knob give a build that meets every target and has no warning of an unsound design.

    Parameters
    ----------
    build : Build
        With every knob at its start, and a target.
    numbers : dict
        Its plain numbers [SI].
    knob : Knob
    away : mapping of str to KnobStop
        Settings of the knobs that are away from their start, by name; this knob's own does not matter.
    start : dict of str to float or None
        Results from which wanted changes count, in their units.

    Returns
    -------
    tuple of bool
        One for each stop; false where its sizes do not make a knife.

    Examples
    --------
    >>> from detentsim.analysis.explore.session import Session
    >>> from detentsim.knife.packaged import demo
    >>> session = Session(demo())
    >>> bend = session.knob("bar.bend")
    >>> met = meeting_stops(session.first, session.numbers, bend, {}, session.start.results)
    >>> met[0], met[bend.start]
    (False, True)
    """
    met = np.zeros(len(knob.stops), bool)
    others = {name: stop for name, stop in away.items() if name != knob.name}
    for places in _alike(build, numbers, knob, others):
        base = _first_possible(build, (_edits(build, numbers, knob, others, place) for place in places))
        if base is not None:
            met[places] = _met(base, knob.name, _values(base, numbers, knob, places), start)
    return tuple(bool(one) for one in met)


def _edits(build: Build, numbers: Plain, knob: Knob, others: Mapping[str, KnobStop], place: int) -> dict[str, object]:
    """Changes of the build for one stop of the knob."""
    own = {} if place == knob.start else {knob.name: knob.stops[place]}
    return changes(build, numbers, {**others, **own})


def _alike(build: Build, numbers: Plain, knob: Knob, others: Mapping[str, KnobStop]) -> list[list[int]]:
    """Stops in groups that change the same inputs beside the knob's own to the same values."""
    groups: dict[frozenset[tuple[str, object]], list[int]] = {}
    for place in range(len(knob.stops)):
        beside = {n: v for n, v in _edits(build, numbers, knob, others, place).items() if n != knob.name}
        groups.setdefault(frozenset(beside.items()), []).append(place)
    return list(groups.values())


def _first_possible(build: Build, tries: Iterable[dict[str, object]]) -> Build | None:
    """The first changed build whose sizes make a knife."""
    for edits in tries:
        try:
            return changed_build(build, edits)[0]
        except InputError:
            continue
    return None


def _values(base: Build, numbers: Plain, knob: Knob, places: list[int]) -> Array:
    """Values of stops [SI]; an over-close typed as an angle becomes a length at the ball."""
    values = np.array([knob.stops[place].si for place in places])
    typed = base[knob.name]
    angle = typed is not None and typed.kind == "angle"
    return values * number(numbers, "tang.pivot_to_ball") if angle else values


def _met(base: Build, name: str, values: Array, start: Results) -> Truth:
    """Which values of one input of a build are inside its target."""
    knives = with_values(base, {name: values}, values.size)
    solved = respond(knives.record, [wanted.name for wanted in base.target])
    # an input that does nothing gives one knife for all its values
    results = {key: np.broadcast_to(field, values.shape) for key, field in solved.results.items()}
    flags = {key: np.broadcast_to(field, values.shape) for key, field in solved.flags.items()}
    return each_inside(results, flags, base.target, knives.excluded, start)
