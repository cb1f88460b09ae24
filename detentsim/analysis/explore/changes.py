"""Changes of a build's inputs that follow from turned knobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.explore.knobs import FEEDS, STIFFENS
from detentsim.analysis.explore.stops import NO_DRILL, KnobStop
from detentsim.analysis.in_hand.advise.moves.move import calibrated
from detentsim.analysis.results import number
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.table.value import as_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


def changes(build: Build, numbers: Plain, turned: Mapping[str, KnobStop]) -> dict[str, object]:
    """Inputs to change for the present settings of the knobs, with the inputs that depend on them.

    Parameters
    ----------
    build : Build
        With every knob at its start.
    numbers : dict
        Its plain numbers [SI].
    turned : mapping of str to KnobStop
        Present setting of each knob that is away from its start, by name.

    Returns
    -------
    dict of str to object
        By dotted name, for `Build.change`.

    Notes
    -----
    A second drill that was given no feed gets feed 0; without a second drill the feed is removed. Where the build gives
    a loose ball's height, the feed computed from it is kept in its place. A measured stiffness is kept as a ratio.
    """
    edits: dict[str, object] = {}
    for stop in turned.values():
        edits |= stop.changes
    feed, height = "dimple.rim_feed", "dimple.loose_ball_height"
    if no_rim(build, edits):
        edits.pop(feed, None)
        edits |= {name: None for name in (feed, height) if build[name] is not None}
    elif build[height] is not None and not set(turned).isdisjoint(FEEDS):
        edits = {height: None, feed: as_text(number(numbers, feed), "length")} | edits
    elif build[feed] is None and "dimple.rim_drill" in edits:
        edits.setdefault(feed, "0 mm")
    if not set(turned).isdisjoint(STIFFENS):
        edits |= calibrated(build, numbers)
    return edits


def no_rim(build: Build, edits: Mapping[str, object]) -> bool:
    """Whether a build has no second drill after some changes.

    Parameters
    ----------
    build : Build
    edits : mapping of str to object
        Changes by dotted name.
    """
    return edits.get("dimple.rim_drill", build.word("dimple.rim_drill")) == NO_DRILL


def changed_build(build: Build, edits: Mapping[str, object]) -> tuple[Build, tuple[str, ...]]:
    """Changed build, and the tolerances dropped because they no longer contain the new value.

    Parameters
    ----------
    build : Build
    edits : mapping of str to object
        Changes by dotted name.

    Raises
    ------
    BuildError
        Where the changed sizes do not make a knife.
    """
    try:
        return build.change(edits), ()
    except BuildError as error:
        loose = tuple(p.key.removeprefix("tolerance.") for p in error.problems if p.key.startswith("tolerance."))
        if len(loose) < len(error.problems):
            raise
    return build.without_tolerance(*loose).change(edits), loose
