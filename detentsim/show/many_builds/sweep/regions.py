"""Flags and other regions of a sweep as marked areas, with their hatches and words."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.outcomes import UNSOUND

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.sweep.designs import Sweep

Mask = npt.NDArray[np.bool_]


class Mark(NamedTuple):
    """How a flagged region looks."""

    words: str
    hatch: str
    severe: bool


_WORDS_AND_HATCHES = {
    "floats": ("ball off the tang", "xxxx"),
    "misses_dimple": ("ball beside dimple", "**"),
    "stopped_short": ("stop in bar's way", "||--"),
    "never_lets_go": ("never lets go", "OO"),
    "lacks_lever": ("no lever to push", "//||"),
    "hangs_loose": ("ball hangs loose", "////"),
    "bar_on_tang": ("bar lies on tang", "----"),
    "ball_on_floor": ("ball on hole's floor", "++++"),
    "locks_solid": ("locks solid", "||||"),
    "loses_bend": ("bar loses bend", "\\\\\\\\"),
    "dents_tang": ("ball dents tang", "o"),
    "stands_proud": ("stands proud", ".."),
    "snaps": ("ball snaps out", ""),
}

MARKS = {name: Mark(*mark, severe=name in UNSOUND) for name, mark in _WORDS_AND_HATCHES.items()}
"""Each flag in a few words and a hatch of its own; one that is no fault has none, for what is hatched is bad."""

NO_KNIFE = "XX"
"""Hatch of sizes that do not fit together, which are named in their own words."""

UNSOLVED = Mark("not solved", "", True)
"""Designs that a stopped sweep did not come to."""


class Region(NamedTuple):
    """Designs that something is said of."""

    name: str
    mark: Mark
    where: Mask


def regions(s: Sweep) -> list[Region]:
    """What is flagged anywhere in a sweep, the designs that are no knife, and those that were not solved."""
    found = [Region(name, MARKS[name], where) for name, where in s.flags.items() if np.any(where)]
    found += [Region(words, Mark(words, NO_KNIFE, True), where) for words, where in s.misfits.items()]
    return found if np.all(s.done) else [*found, Region(UNSOLVED.words, UNSOLVED, ~s.done)]
