"""From a build to the plain SI record that the formulas take.

Two steps, so that a sweep never makes builds: `plain` turns a build into SI numbers by dotted name, `assemble` turns
such numbers, or arrays in their place, into a record.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.knife.checks.fits import FITS, Fit
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.feed import NO_FEED, feed_for_height, no_feed_reason
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.inputs import Plain, Reader, read_numbers
from detentsim.mechanics.bar import beam

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array, Record, Truth

# Outside this ratio a measured stiffness more likely means a slip of the rule than a soft bar.
USUAL_CALIBRATION = (0.7, 1.3)

MEASURED = ("bar.stiffness", "bar.measured.pull", "bar.measured.travel", "bar.measured.at")

_NEEDS = ("bar", "ball", "dimple", "tang", "opener")


class Swept(NamedTuple):
    """Numbers of a build with columns of values in place of some: each column on an axis of its own."""

    numbers: Plain
    misfits: dict[str, Truth]  # what does not fit, in words, and where; shapes broadcast


def plain(build: Build) -> Plain:
    """Every number a record needs, by dotted name, in SI.

    Parameters
    ----------
    build : Build

    Returns
    -------
    dict of str to float
        Names of inputs; materials are their elastic constants; `dimple.overclose` is the part given as a length at
        the ball [m], `dimple.overclose_angle` the part given as an angle [rad]. NaN: not given.

    Raises
    ------
    BuildError
        Where a section that the feel curve needs is missing, or a loose-ball height that no feed gives.
    """
    found = swept(build, ())
    if np.any(found.misfits.get(NO_FEED, False)):
        raise BuildError([no_feed_reason(build, found.numbers)])
    return found.numbers


def swept(build: Build, columns: Sequence[Column]) -> Swept:
    """Numbers of a build with some inputs varied, each column along an axis of its own.

    Parameters
    ----------
    build : Build
        What stays as it is.
    columns : sequence of Column
        In the order of the axes.

    Returns
    -------
    Swept
        A number is a float, or an array that has the columns' number of axes and is as long as its columns.

    Raises
    ------
    BuildError
        Where the columns cannot stand in such a build at all.

    Notes
    -----
    A measured stiffness calibrates the bar as given, once; the ratio then stays through whatever is varied.
    """
    base = build.trial(_first(columns)) if columns else build
    base.require(*_NEEDS)
    read = Reader(base, columns)
    numbers = read_numbers(read)
    height = "dimple.loose_ball_height"
    if height in numbers:  # without a second drill there is nothing to feed
        drill = np.asarray(numbers["dimple.rim_drill"], float)
        numbers[height] = np.where(np.isnan(drill), math.nan, np.asarray(numbers[height], float))
    measuring = [column for column in columns if column.name in MEASURED]
    own = build.trial(_first(measuring)) if measuring else build
    if any(own[name] is not None for name in MEASURED):
        numbers["bar.calibration"] = _calibration(Reader(own, columns, MEASURED))
    misfits = {fit.words: _misfit(fit, numbers) for fit in FITS.values()}
    if base[height] is not None:
        numbers["dimple.rim_feed"], misfits[NO_FEED] = feed_for_height(numbers)
    return Swept(numbers, {words: where for words, where in misfits.items() if np.any(where)})


def _first(columns: Sequence[Column]) -> dict[str, object]:
    """One value of each column that a build can stand with; a word that takes a part out comes last."""
    found: dict[str, object] = {}
    for column in columns:
        sized = np.flatnonzero(~np.isnan(column.si))
        found[column.name] = column.raw(int(sized[0]) if sized.size else 0)
    if "dimple.rim_drill" in found and found["dimple.rim_drill"] == "none":
        found |= {"dimple.rim_feed": None, "dimple.loose_ball_height": None}
    return found


def _misfit(fit: Fit, numbers: Plain) -> Truth:
    return np.asarray(fit.broken(lambda name: np.asarray(numbers.get(name, math.nan), float)))


def record(build: Build) -> Record:
    """Return the record of one build; fields are 0-d."""
    return assemble(plain(build))


def _calibration(read: Reader) -> Array:
    """Ratio of the measured stiffness to the computed one [-]."""
    ideal = assemble(read_numbers(read) | {"bar.calibration": 1.0})
    stiffness = np.asarray(read.si("bar.stiffness"), float)
    at = np.asarray(read.si("bar.measured.at", read.build.si("bar.ball_from_root")), float)
    pulled = np.asarray(read.si("bar.measured.pull")) / np.asarray(read.si("bar.measured.travel"))
    measured = pulled * beam.flexibility(ideal, at, at)
    return np.where(np.isnan(stiffness), measured, stiffness / beam.bar_stiffness(ideal))
