"""What must fit together in a build: missing inputs, inputs that exclude each other, and plain slips.

Physically odd but computable builds (a gap over the ball, no bend, no friction) are results, not errors,
and pass here.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.knife.checks.facts import Facts
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.checks.tolerance import tolerance_problems
from detentsim.knife.table.defaults import with_defaults
from detentsim.knife.table.schema import CURVE_SECTIONS, INPUTS, Input, section_inputs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from detentsim.knife.file.document import Document
    from detentsim.knife.file.reading import Contents, Fault
    from detentsim.knife.table.values import Value

_GAP_PARTS = ("pivot.washer_thickness", "pivot.handle_pocket", "pivot.tang_pocket")

_ON_BAR = {
    "measured_at": "bar.measured.at",
    "grip_from_root": "grip.from_root",
    "bend_push_at": "bar.bend_push_at",
    "overtravel": "overtravel.from_root",
    "clip": "clip.from_root",
}

_CLIP = ("clip.material", "clip.length", "clip.width", "clip.thickness")

_PLATE = ("blade.length", "blade.root_width", "blade.tip_width", "blade.thickness")

_MEASURED = ("bar.measured.pull", "bar.measured.travel", "bar.measured.at")


def checked(
    contents: Contents, document: Document, source: str, needs: tuple[str, ...], fitting: bool = True
) -> Mapping[str, Value]:
    """Return the values of what was read with the defaults beside them.

    Parameters
    ----------
    contents : Contents
        What was read.
    document : Document
        Where it stands, for line numbers.
    source : str
        What to call it in messages.
    needs : tuple of str
        Sections that must be there.
    fitting : bool
        Whether sizes must fit together too; a sweep marks where they do not.

    Returns
    -------
    mapping of str to Value
        Read only.

    Raises
    ------
    BuildError
        With everything that is wrong, at once.
    """
    values = with_defaults(contents.given)
    found = [*contents.problems, *find_problems(contents, values, needs, fitting)]
    if found:
        raise BuildError(Problem(source, document.line_of(key), key, text) for key, text in found)
    return MappingProxyType(values)


def find_problems(
    contents: Contents, values: Mapping[str, Value], needs: Iterable[str], fitting: bool = True
) -> list[Fault]:
    """Return everything that does not fit together.

    Parameters
    ----------
    contents : Contents
        What the file holds.
    values : mapping of str to Value
        The same with defaults.
    needs : iterable of str
        Sections that must be there.
    fitting : bool
        Whether sizes must fit together too.

    Returns
    -------
    list of (key, message)
        Empty when all is well.
    """
    facts = Facts(values, contents.seen, fitting)
    found = missing(contents, needs)
    for rule in RULES:
        found += list(rule(facts))
    known = {f"tolerance.{name}" for name, _ in contents.problems}
    loose = tolerance_problems(values, contents.tolerance)
    return found + [fault for fault in loose if fault[0] not in known]


def missing(contents: Contents, needs: Iterable[str]) -> list[Fault]:
    """Return the sections asked for that are absent, and the keys a section that is there still lacks.

    Parameters
    ----------
    contents : Contents
        What was read.
    needs : iterable of str
        Sections that must be there.

    Returns
    -------
    list of (key, message)
        With an example of each line to write.
    """
    broken = {key for key, _ in contents.problems}
    wanted = dict.fromkeys([*needs, *(s for s in CURVE_SECTIONS if s in contents.sections)])
    found: list[Fault] = []
    for section in (s for s in wanted if s not in broken):
        inputs = section_inputs(section)
        lacking = [entry for entry in inputs if _is_lacking(entry, contents.seen)]
        if section not in contents.sections:
            keys = ", ".join(_line(entry) for entry in lacking or inputs)
            found.append((section, f"the section [{section}] is missing; it takes {keys}"))
        else:
            found += [(entry.name, f"is missing ({entry.help}); write {_line(entry)}") for entry in lacking]
    return found


def _is_lacking(entry: Input, seen: frozenset[str]) -> bool:
    if entry.name == "tang.face_gap":
        return entry.name not in seen and "pivot.washer_thickness" not in seen
    return entry.required and entry.name not in seen


def _line(entry: Input) -> str:
    example = f'"{entry.example}"' if isinstance(entry.example, str) else f"{entry.example:g}"
    return f"{entry.key} = {example}"


def _relief(facts: Facts) -> Iterator[Fault]:
    both = ("bar.relief_thickness", "bar.relief_length")
    given = facts.seen(*both)
    if len(given) == 1:
        other = next(name for name in both if name not in given)
        yield (
            other,
            f"is missing; a relief needs its thickness and its length, such as {_line(INPUTS[other])}",
        )
    if facts.misfit("relief_thickness"):
        yield (
            both[0],
            f"is thicker than the bar: {facts.pair(both[0], 'bar.thickness')}; a relief is milled thinner",
        )
    if facts.misfit("relief_length"):
        yield (
            both[1],
            f"reaches the ball: {facts.pair(both[1], 'bar.ball_from_root')}; it must end before the ball",
        )
    if facts.text("bar.bend_at") == "relief" and facts.seen("bar.bend_at") and not given:
        yield "bar.bend_at", 'is "relief" but the bar has none; give "along", or a distance such as "5 mm"'


def _along_bar(facts: Facts) -> Iterator[Fault]:
    ball, tip = "bar.ball_from_root", "bar.tip_from_root"
    if facts.misfit("ball_from_root"):
        yield ball, f"lies beyond the tip: {facts.pair(ball, tip)}; both are measured from the root"
    for fit, name in _ON_BAR.items():
        if facts.misfit(fit):
            yield name, f"lies beyond the tip: {facts.pair(name, tip)}"
    if facts.misfit("bend_at"):
        yield "bar.bend_at", f"must lie between root and ball: {facts.pair('bar.bend_at', ball)}"


def _stiffness(facts: Facts) -> Iterator[Fault]:
    given = facts.seen(*_MEASURED)
    for name in _MEASURED if 0 < len(given) < len(_MEASURED) else ():
        if name not in given:
            yield name, 'is missing; write measured = { pull = "10 N", travel = "0.8 mm", at = "50 mm" }'
    ways = [*given[:1], *facts.seen("bar.stiffness", "bar.calibration")]
    if len(ways) > 1:
        names = ["bar.measured" if way in _MEASURED else way for way in ways]
        yield names[1], f"stands beside {names[0]}; give one of measured, stiffness and calibration"


def _ball(facts: Facts) -> Iterator[Fault]:
    if facts.misfit("protrusion"):
        pair = facts.pair("ball.protrusion", "ball.diameter")
        yield "ball.protrusion", f"is the whole ball or more: {pair}; under half keeps the ball in its hole"


def _hole(facts: Facts) -> Iterator[Fault]:
    name = "ball.hole_depth"
    if facts.misfit("hole_depth"):
        pair = f"{facts.text('ball.diameter')} ball, {facts.text('ball.protrusion')} of it out"
        yield name, f"{facts.text(name)} is too shallow for a {pair}; drill deeper, or leave it out for a through hole"


def _behind(facts: Facts) -> Iterator[Fault]:
    """What stands behind the bar: a stop, a clip, or a clip that is the stop."""
    stop = facts.seen("overtravel.from_root", "overtravel.stiffness")
    met = facts.seen("clip.gap", "overtravel.gap")
    if stop and "overtravel.gap" not in met:
        yield "overtravel.gap", f"is missing beside {stop[0]}; write {_line(INPUTS['overtravel.gap'])}"
    if len(met) == 2:
        yield "clip.gap", "stands beside overtravel.gap; give the one that the bar meets first"
    given = facts.seen(*(entry.name for entry in section_inputs("clip")))
    for name in _CLIP if given else ():
        if name not in given:
            yield name, f"is missing ({INPUTS[name].help}); write {_line(INPUTS[name])}"
    if "clip.from_root" in given and "clip.gap" not in given:
        yield "clip.gap", f"is missing beside from_root; write {_line(INPUTS['clip.gap'])}"


def _rim(facts: Facts) -> Iterator[Fault]:
    drill, feed, height = "dimple.rim_drill", "dimple.rim_feed", "dimple.loose_ball_height"
    given = facts.seen(feed, height)
    if len(given) == 2:
        yield height, "stands beside rim_feed; give one of the two"
    if facts.misfit("rim_drill"):
        yield (
            drill,
            f"is smaller than the first drill: {facts.pair(drill, 'dimple.pilot_drill')}; give a larger one",
        )
    if facts.text(drill) == "none":
        for name in given:
            yield name, f'needs a rim drill; give rim_drill such as "{INPUTS[drill].example}", or take it out'
    elif facts.text(drill) and not given and facts.seen(drill):
        yield feed, f"is missing ({INPUTS[feed].help}); write {_line(INPUTS[feed])}"
    if facts.misfit("loose_ball_height"):
        yield (
            height,
            f"is the whole ball: {facts.pair(height, 'ball.diameter')}; a ball in a dimple stands lower",
        )


def _pivot_distance(facts: Facts) -> Iterator[Fault]:
    name = "tang.pivot_to_ball"
    if facts.misfit("pivot_to_ball"):
        yield (
            name,
            f"{facts.text(name)} is under two ball diameters ({facts.text('ball.diameter')}); is this the "
            "ball's radius? pivot_to_ball is the distance from the pivot's centre to the ball's centre, "
            'such as "8 mm"',
        )
    if facts.misfit("radial_error"):
        pair = facts.pair("dimple.radial_error", name)
        yield "dimple.radial_error", f"is no small error: {pair}; give the difference of the two distances"


def _overclose(facts: Facts) -> Iterator[Fault]:
    name = "dimple.overclose"
    if facts.kind(name) == "length" and facts.misfit("overclose"):
        yield name, f"is too far to be meant: {facts.pair(name, 'tang.pivot_to_ball')}; usual is under 0.2 mm"


def _gap(facts: Facts) -> Iterator[Fault]:
    thickness, *pockets = _GAP_PARTS
    if facts.seen("tang.face_gap") and facts.seen(*_GAP_PARTS):
        yield "tang.face_gap", "stands beside the washer's thickness and pockets; give one or the other"
    elif facts.seen(*pockets) and not facts.seen(thickness):
        yield thickness, f"is missing beside its pockets; write {_line(INPUTS[thickness])}"
    if facts.misfit("gap"):
        yield thickness, "less its two pockets is below zero; the slab would rub on the tang"


def _pivot(facts: Facts) -> Iterator[Fault]:
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
        yield other, f"is missing; give both diameters or neither, such as {_line(INPUTS[other])}"


def _blade(facts: Facts) -> Iterator[Fault]:
    given = facts.seen(*_PLATE)
    for name in _PLATE if given else ():
        if name not in given:
            yield name, f"is missing ({INPUTS[name].help}); write {_line(INPUTS[name])}"
    if facts.misfit("tip_width"):
        pair = facts.pair("blade.tip_width", "blade.root_width")
        yield "blade.tip_width", f"is wider than at the pivot: {pair}; a blade tapers to its tip"
    if len(facts.seen("blade.inertia", "blade.pendulum_period")) == 2:
        yield "blade.pendulum_period", "stands beside inertia; give one of the two"


def _others(facts: Facts) -> Iterator[Fault]:
    if facts.seen("stop.pin_change") and not facts.seen("stop.radius"):
        yield "stop.radius", f"is missing beside pin_change; write {_line(INPUTS['stop.radius'])}"


RULES: tuple[Callable[[Facts], Iterator[Fault]], ...] = (
    _relief,
    _along_bar,
    _stiffness,
    _ball,
    _hole,
    _behind,
    _rim,
    _pivot_distance,
    _overclose,
    _gap,
    _pivot,
    _blade,
    _others,
)
"""Every rule; each yields the key to blame and a sentence."""
