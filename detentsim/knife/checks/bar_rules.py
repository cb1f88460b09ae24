"""Rules for the bar: relief, places along it, stiffness, and the stop or clip behind it.

Every public function is a `Rule` of ``facts``, which says what it takes and yields; `consistency` runs them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.checks.facts import line_to_write
from detentsim.knife.table.schema import INPUTS, section_inputs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.checks.facts import Facts
    from detentsim.knife.checks.problems import Fault

_ON_BAR = {
    "measured_at": "bar.measured.at",
    "grip_from_root": "grip.from_root",
    "bend_push_at": "bar.bend_push_at",
    "overtravel": "overtravel.from_root",
    "clip": "clip.from_root",
}

_CLIP = ("clip.material", "clip.length", "clip.width", "clip.thickness")

_MEASURED = ("bar.measured.pull", "bar.measured.travel", "bar.measured.at")


def relief(facts: Facts) -> Iterator[Fault]:
    """Yield problems of the relief: half given, thicker than the bar, reaching the ball, a bend where there is none.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"bar.relief_thickness": "4 mm", "bar.relief_length": "5 mm", "bar.thickness": "3 mm"})
    >>> next(relief(Facts(given, frozenset(given))))
    ('bar.relief_thickness', 'is thicker than the bar: 4 mm against bar.thickness = 3 mm; a relief is milled thinner')
    """
    both = ("bar.relief_thickness", "bar.relief_length")
    given = facts.seen(*both)
    if len(given) == 1:
        other = next(name for name in both if name not in given)
        yield (
            other,
            f"is missing; a relief needs its thickness and its length, such as {line_to_write(INPUTS[other])}",
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


def along_bar(facts: Facts) -> Iterator[Fault]:
    """Yield places along the bar that lie beyond its tip, or a bend outside the span from root to ball.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"bar.ball_from_root": "60 mm", "bar.tip_from_root": "55 mm"})
    >>> key, message = next(along_bar(Facts(given, frozenset(given))))
    >>> key
    'bar.ball_from_root'
    """
    ball, tip = "bar.ball_from_root", "bar.tip_from_root"
    if facts.misfit("ball_from_root"):
        yield ball, f"lies beyond the tip: {facts.pair(ball, tip)}; both are measured from the root"
    for fit, name in _ON_BAR.items():
        if facts.misfit(fit):
            yield name, f"lies beyond the tip: {facts.pair(name, tip)}"
    if facts.misfit("bend_at"):
        yield "bar.bend_at", f"must lie between root and ball: {facts.pair('bar.bend_at', ball)}"


def stiffness(facts: Facts) -> Iterator[Fault]:
    """Yield a measurement with parts missing, and two ways of giving the stiffness at once.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(stiffness(Facts({}, frozenset({"bar.stiffness", "bar.calibration"}))))
    ('bar.calibration', 'stands beside bar.stiffness; give one of measured, stiffness and calibration')
    """
    given = facts.seen(*_MEASURED)
    for name in _MEASURED if 0 < len(given) < len(_MEASURED) else ():
        if name not in given:
            yield name, 'is missing; write measured = { pull = "10 N", travel = "0.8 mm", at = "50 mm" }'
    ways = [*given[:1], *facts.seen("bar.stiffness", "bar.calibration")]
    if len(ways) > 1:
        names = ["bar.measured" if way in _MEASURED else way for way in ways]
        yield names[1], f"stands beside {names[0]}; give one of measured, stiffness and calibration"


def behind_bar(facts: Facts) -> Iterator[Fault]:
    """Yield problems of what limits the bar's outward travel: a stop, a pocket clip, or a clip that is the stop.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(behind_bar(Facts({}, frozenset({"clip.gap", "overtravel.gap"}))))
    ('clip.gap', 'stands beside overtravel.gap; give the one that the bar meets first')
    """
    stop = facts.seen("overtravel.from_root", "overtravel.stiffness")
    met = facts.seen("clip.gap", "overtravel.gap")
    if stop and "overtravel.gap" not in met:
        yield "overtravel.gap", f"is missing beside {stop[0]}; write {line_to_write(INPUTS['overtravel.gap'])}"
    if len(met) == 2:
        yield "clip.gap", "stands beside overtravel.gap; give the one that the bar meets first"
    given = facts.seen(*(entry.name for entry in section_inputs("clip")))
    for name in _CLIP if given else ():
        if name not in given:
            yield name, f"is missing ({INPUTS[name].help}); write {line_to_write(INPUTS[name])}"
    if "clip.from_root" in given and "clip.gap" not in given:
        yield "clip.gap", f"is missing beside from_root; write {line_to_write(INPUTS['clip.gap'])}"
