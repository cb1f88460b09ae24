"""What can be read or seen on a knife made to a build, with what its drawing gives; for a readings file to fill in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.many_builds.sweep.solving import own_results
from detentsim.analysis.many_builds.sweep.wanted import YES_NO, lacking
from detentsim.knife.measured.tools import SIGHTS, readable_results
from detentsim.knife.record.record import record
from detentsim.mechanics.names import RESULT_NAMES

if TYPE_CHECKING:
    from detentsim.knife.model import Build


def readable(build: Build) -> dict[str, float | bool | None]:
    """Results that can be read or seen on a knife made to a build, as its drawing gives them.

    Parameters
    ----------
    build : Build

    Returns
    -------
    dict
        By name, in the units of the results; None for a warning, which is only seen, and for a result that the drawing
        lacks.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> {"breakout_force", "falls_shut", "snaps"} <= set(readable(demo()))
    True
    """
    numbers = record(build)

    def is_known(name: str) -> bool:
        return not any(lacking(numbers, (name,)))

    names = dict.fromkeys([*RESULT_NAMES, *filter(is_known, (*YES_NO, *readable_results()))])
    return own_results(build, names) | {one: None for one in SIGHTS if one not in names and is_known(one)}
