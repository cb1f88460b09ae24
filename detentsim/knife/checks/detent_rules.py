"""Rules for the detent: ball, its hole, the dimple's drills, pivot-to-ball distance and over-close.

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


def ball_size(facts: Facts) -> Iterator[Fault]:
    """Yield a ball as wide as the bar that holds it, and a protrusion as large as the whole ball.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"ball.protrusion": "1.5 mm", "ball.diameter": "1.5 mm"})
    >>> key, message = next(ball_size(Facts(given, frozenset(given))))
    >>> key
    'ball.protrusion'
    """
    if facts.misfit("ball_in_bar"):
        pair = facts.pair("ball.diameter", "bar.width")
        yield "ball.diameter", f"is as wide as the bar or wider: {pair}; its hole needs metal on both sides"
    if facts.misfit("protrusion"):
        pair = facts.pair("ball.protrusion", "ball.diameter")
        yield "ball.protrusion", f"is the whole ball or more: {pair}; under half keeps the ball in its hole"


def ball_hole(facts: Facts) -> Iterator[Fault]:
    """Yield a ball's hole too shallow for the ball.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"ball.hole_depth": "0.5 mm", "ball.protrusion": "0.5 mm", "ball.diameter": "1.5 mm"})
    >>> key, message = next(ball_hole(Facts(given, frozenset(given))))
    >>> key
    'ball.hole_depth'
    """
    name = "ball.hole_depth"
    if facts.misfit("hole_depth"):
        pair = f"{facts.text('ball.diameter')} ball, {facts.text('ball.protrusion')} of it out"
        yield name, f"{facts.text(name)} is too shallow for a {pair}; drill deeper, or leave it out for a through hole"


def coats(facts: Facts) -> Iterator[Fault]:
    """Yield a coat that fills the dimple, and one that buries the ball.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"bar.coating": "0.05 mm", "ball.protrusion": "0.04 mm"})
    >>> next(coats(Facts(given, frozenset(given))))
    ('bar.coating', 'buries the ball: 0.05 mm against ball.protrusion = 0.04 mm; a usual coat is under 0.03 mm')
    """
    usual = "a usual coat is under 0.03 mm"
    if facts.misfit("coat_in_dimple"):
        pair = facts.pair("tang.coating", "dimple.pilot_drill")
        yield "tang.coating", f"fills the dimple: {pair}; {usual}"
    if facts.misfit("coat_in_gap"):
        yield "tang.coating", f"closes the gap: {facts.pair('tang.coating', 'tang.face_gap')}; {usual}"
    if facts.misfit("coat_over_ball"):
        yield "bar.coating", f"buries the ball: {facts.pair('bar.coating', 'ball.protrusion')}; {usual}"


def burr(facts: Facts) -> Iterator[Fault]:
    """Yield a burr too high to be one.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"dimple.burr": "0.1 mm", "ball.diameter": "0.5 mm"})
    >>> next(burr(Facts(given, frozenset(given))))
    ('dimple.burr', 'is no burr: 0.1 mm against ball.diameter = 0.5 mm; a felt burr is 0.005 to 0.03 mm high')
    """
    if facts.misfit("burr"):
        pair = facts.pair("dimple.burr", "ball.diameter")
        yield "dimple.burr", f"is no burr: {pair}; a felt burr is 0.005 to 0.03 mm high"


def rim(facts: Facts) -> Iterator[Fault]:
    """Yield problems of the second drill: its size, and the feed or ball height that sets its depth.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> next(rim(Facts({}, frozenset({"dimple.rim_feed", "dimple.loose_ball_height"}))))
    ('dimple.loose_ball_height', 'stands beside rim_feed; give one of the two')
    """
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
        yield feed, f"is missing ({INPUTS[feed].help}); write {line_to_write(INPUTS[feed])}"
    if facts.misfit("loose_ball_height"):
        yield (
            height,
            f"is the whole ball: {facts.pair(height, 'ball.diameter')}; a ball in a dimple stands lower",
        )


def pivot_distance(facts: Facts) -> Iterator[Fault]:
    """Yield a pivot-to-ball distance too short for the ball, and a radial error out of proportion to it.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"tang.pivot_to_ball": "8 mm", "dimple.radial_error": "3 mm"})
    >>> key, message = next(pivot_distance(Facts(given, frozenset(given))))
    >>> key
    'dimple.radial_error'
    """
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


def overclose(facts: Facts) -> Iterator[Fault]:
    """Yield an over-close length too large beside the pivot-to-ball distance.

    Examples
    --------
    >>> from detentsim.knife.checks.facts import Facts
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"dimple.overclose": "4.5 mm", "tang.pivot_to_ball": "8 mm"})
    >>> next(overclose(Facts(given, frozenset(given))))
    ('dimple.overclose', 'is too far to be meant: 4.5 mm against tang.pivot_to_ball = 8 mm; usual is under 0.2 mm')
    """
    name = "dimple.overclose"
    if facts.kind(name) == "length" and facts.misfit("overclose"):
        yield name, f"is too far to be meant: {facts.pair(name, 'tang.pivot_to_ball')}; usual is under 0.2 mm"
