"""Changes of a build file that a turned knob stands for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.explore.knobs import FEEDS, STIFFENS
from detentsim.analysis.explore.stops import NO_DRILL, KnobStop
from detentsim.analysis.in_hand.advise.moves.move import calibrated
from detentsim.analysis.results import number
from detentsim.knife.table.value import as_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


def changes(build: Build, numbers: Plain, turned: Mapping[str, KnobStop]) -> dict[str, object]:
    """Changes of a build by turned knobs, with the inputs that depend on them.

    Parameters
    ----------
    build : Build
        With every knob at its start.
    numbers : dict
        Its plain numbers.
    turned : mapping of str to Stop
        Knobs away from their start, by name.

    Returns
    -------
    dict
        For `Build.change`.

    Notes
    -----
    A second drill without a feed of its own only touches; without a second drill nothing is fed. Where the build names
    a loose ball's height, the feed that it came to stays drilled. A measured stiffness stays as the ratio it came to.
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
    """Whether a build has no second drill once changed.

    Parameters
    ----------
    build : Build
    edits : mapping
        The changes.
    """
    return edits.get("dimple.rim_drill", build.word("dimple.rim_drill")) == NO_DRILL
