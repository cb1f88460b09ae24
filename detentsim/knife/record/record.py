"""Converts a build, with columns of values in place of some inputs, to the SI numbers of a record.

Two steps, so that a sweep never makes builds: `plain` and `swept` convert a build to SI numbers or arrays by dotted
name; `fields.assemble` makes them into the record that the formulas take.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.knife.checks.fits import FITS, Fit
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.feed import NO_FEED, feed_for_height, no_feed_reason
from detentsim.knife.record.fields import MEASURED, assemble
from detentsim.knife.record.inputs import Plain, Reader, read_numbers
from detentsim.mechanics.bar import beam

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array, Record, Truth

_NEEDS = ("bar", "ball", "dimple", "tang", "opener")


class Swept(NamedTuple):
    """SI numbers of a build; each column that replaces an input lies on an axis of its own."""

    numbers: Plain
    misfits: dict[str, Truth]  # by description of the misfit, true where it occurs; shapes broadcast

    def excluded(self, shape: int | tuple[int, ...]) -> Truth:
        """Where anything is wrong, in a shape to which the misfits broadcast."""
        every = [np.zeros(shape, bool), *(np.broadcast_to(one, shape) for one in self.misfits.values())]
        return np.asarray(np.any(every, axis=0))


def plain(build: Build) -> Plain:
    """Return every number that a record needs, in SI by dotted name.

    Parameters
    ----------
    build : Build

    Returns
    -------
    dict of str to float
        Names of inputs; a material gives its elastic constants; `dimple.overclose` is the part given as a length at
        the ball [m], `dimple.overclose_angle` the part given as an angle [rad]. NaN: not given.

    Raises
    ------
    BuildError
        Where a section that the feel curve needs is missing, or no feed gives the loose-ball height.

    Examples
    --------
    >>> import detentsim as ds
    >>> plain(ds.demo())["ball.diameter"]
    0.002
    """
    numbers, misfits = swept(build, ())
    if np.any(misfits.get(NO_FEED, False)):
        raise BuildError([no_feed_reason(build, numbers)])
    return numbers


def swept(build: Build, columns: Sequence[Column]) -> Swept:
    """Return the SI numbers of a build with some inputs varied, each column along an axis of its own.

    Parameters
    ----------
    build : Build
        Gives every input without a column.
    columns : sequence of Column
        In the order of the axes.

    Returns
    -------
    Swept
        A number is a float, or an array with one axis for each column, of length 1 along columns it does not depend on.

    Raises
    ------
    BuildError
        Where the columns are not possible in this build at all.

    Notes
    -----
    A measured stiffness calibrates the bar as given, once; the ratio is then constant over the sweep.

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.knife.table.columns import read_columns
    >>> columns = read_columns({"bar.bend": ["1 mm", "2 mm"], "bar.width": ["9 mm"]})
    >>> swept(ds.demo(), columns).numbers["bar.bend"].shape
    (2, 1)
    """
    base = build.trial(_first(columns)) if columns else build
    base.require(*_NEEDS)
    measuring = [column for column in columns if column.name in MEASURED]
    own = build.trial(_first(measuring)) if measuring else build
    return _swept(Reader(base, columns), Reader(own, columns, MEASURED))


def drawn(build: Build, values: Mapping[str, Array]) -> Swept:
    """Return the SI numbers of many knives of one build, with all varied inputs along one axis.

    Parameters
    ----------
    build : Build
    values : mapping of str to array, shape (n,)
        By dotted name, in SI: one value for each knife. Over-close is a length at the ball [m]. A `bar.calibration`
        beside a measured stiffness multiplies what that comes to.

    Returns
    -------
    Swept
        A number is a float, or an array of shape (n,).

    Examples
    --------
    >>> import detentsim as ds
    >>> drawn(ds.demo(), {"pivot.friction_torque": np.array([0.001, 0.002])}).numbers["pivot.friction_torque"].tolist()
    [0.001, 0.002]
    """
    build.require(*_NEEDS)
    measured = {name: array for name, array in values.items() if name in MEASURED}
    found = _swept(Reader(build, (), drawn=values), Reader(build, (), drawn=measured))
    if "bar.calibration" in values and _is_measured(build):
        nominal = np.asarray(plain(build)["bar.calibration"], float)
        measured_as = np.asarray(found.numbers["bar.calibration"], float)
        found.numbers["bar.calibration"] = measured_as * values["bar.calibration"] / nominal
    return found


def _is_measured(build: Build) -> bool:
    return any(build[name] is not None for name in MEASURED)


def _swept(read: Reader, own: Reader) -> Swept:
    """Return the numbers of what a reader reads; `own` reads a measured stiffness on the bar as given."""
    numbers = read_numbers(read)
    height = "dimple.loose_ball_height"
    if height in numbers:  # no feed without a second drill
        drill = np.asarray(numbers["dimple.rim_drill"], float)
        numbers[height] = np.where(np.isnan(drill), math.nan, np.asarray(numbers[height], float))
    if _is_measured(own.build):
        numbers["bar.calibration"] = _calibration(own)
    misfits = {fit.words: _misfit(fit, numbers) for fit in FITS.values()}
    if read.build[height] is not None:
        numbers["dimple.rim_feed"], misfits[NO_FEED] = feed_for_height(numbers)
    return Swept(numbers, {words: where for words, where in misfits.items() if np.any(where)})


def _first(columns: Sequence[Column]) -> dict[str, object]:
    """Return one value of each column with which the build is valid, preferring sizes to words such as none."""
    changes: dict[str, object] = {}
    for column in columns:
        sized = np.flatnonzero(~np.isnan(column.si))
        changes[column.name] = column.raw(int(sized[0]) if sized.size else 0)
    if "dimple.rim_drill" in changes and changes["dimple.rim_drill"] == "none":
        changes |= {"dimple.rim_feed": None, "dimple.loose_ball_height": None}
    return changes


def _misfit(fit: Fit, numbers: Plain) -> Truth:
    return np.asarray(fit.broken(lambda name: np.asarray(numbers.get(name, math.nan), float)))


def record(build: Build) -> Record:
    """Return the record of one build.

    Parameters
    ----------
    build : Build

    Returns
    -------
    Record
        Fields are 0-d, in SI.

    Raises
    ------
    BuildError
        As `plain`.

    Examples
    --------
    >>> import detentsim as ds
    >>> float(record(ds.demo()).ball_radius)
    0.001
    """
    return assemble(plain(build))


def _calibration(read: Reader) -> Array:
    """Return the ratio of measured to computed stiffness [-]."""
    ideal = assemble(read_numbers(read) | {"bar.calibration": 1.0})
    stiffness = np.asarray(read.si("bar.stiffness"), float)
    at = np.asarray(read.si("bar.measured.at", read.build.si("bar.ball_from_root")), float)
    pulled = np.asarray(read.si("bar.measured.pull")) / np.asarray(read.si("bar.measured.travel"))
    measured = pulled * beam.flexibility(ideal, at, at)
    return np.where(np.isnan(stiffness), measured, stiffness / beam.bar_stiffness(ideal))
