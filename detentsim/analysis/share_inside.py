"""Share of the knives made to a build that are inside a target, for rooms that draw no batch of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.inside import inside_of
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import FEW, draw, spread_points
from detentsim.knife.record.record import plain
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target


def share_inside(build: Build, target: Sequence[Target]) -> float | None:
    """Share of the knives made to a build that are inside, of the first of a batch of seed 0.

    Parameters
    ----------
    build : Build
    target : sequence of Target
        Without wanted changes.

    Returns
    -------
    float or None
        0 to 1; None where nothing is wanted or no input is uncertain.
    """
    spread = doubts(build, plain(build))
    if not spread or not target:
        return None
    found = draw(build, spread, spread_points(len(spread), FEW))
    knives = respond(found.record, tuple(wanted.name for wanted in target))
    return inside_of(knives, target, found.excluded)
