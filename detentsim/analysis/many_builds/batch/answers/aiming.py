"""Where to aim: of some settings of the drawing, the one with which most knives are inside, on the same errors."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.batch.counts.shares import Share, share_of
from detentsim.analysis.many_builds.batch.knives.cloud import Cloud, aimed_at, cloud_at, inside_of, inside_of_each
from detentsim.analysis.many_builds.batch.knives.varied import varied
from detentsim.analysis.one_build.limits.limits import limits
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.record.drawing import TOGETHER, draw, spread_points
from detentsim.knife.table.columns import read_columns

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.knife.model import Build
    from detentsim.knife.record.drawing import Drawn, Known
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array

KNIVES = 256
"""Knives of each setting, the same errors for all."""

MOST = 2_000
"""Settings of one search."""


class Aimed(NamedTuple):
    """Shares of the knives inside at every setting, and the best setting that passes no limit.

    ``shares`` has an axis for each input; NaN where the sizes make no build. ``setting`` is as `Build.change` takes it,
    empty where no setting is better than the drawing; ``cloud`` holds the knives made to the drawing so changed.
    ``beyond`` counts the settings with more knives inside that pass a limit.
    """

    shares: Array
    setting: Mapping[str, object]
    cloud: Cloud
    before: Share
    after: Share
    beyond: int


def aim(
    like: Cloud, settings: Mapping[str, object], points: tuple[int, int], vary: object, progress: Progress
) -> Aimed:
    """Try settings of the drawing and find the one with most knives inside.

    Parameters
    ----------
    like : Cloud
    settings : mapping of str to values
        Inputs and their values, as in a sweep; every combination is tried.
    points : tuple of int
        Seed, and the number of knives that tell the shares of drawing and best setting.
    vary : object
        What varies, as `detentsim.batch` takes it.
    progress : callable
        Told ``(settings done, of how many)``.

    Returns
    -------
    Aimed

    Raises
    ------
    BuildError
        Where the settings cannot be read, or are too many.
    """
    columns = read_columns(settings)
    shape = tuple(len(column) for column in columns)
    total = int(np.prod(shape))
    if total > MOST:
        text = f"{total:,} settings are too many; at most {MOST:,}, such as 31 values of one input"
        raise BuildError([Problem("", None, "aim", text)])
    shares, few = np.full(shape, np.nan), (points[0], KNIVES)
    known: Known = {}
    places = list(np.ndindex(shape))
    for first in range(0, total, TOGETHER):
        changed = {place: _changed(like.build, columns, place) for place in places[first : first + TOGETHER]}
        builds = {place: build for place, build in changed.items() if build is not None}
        for place, share in zip(builds, _inside(like, list(builds.values()), vary, few, known), strict=True):
            shares[place] = share
        progress(min(first + TOGETHER, total), total)
    (least,) = _inside(like, [like.build], vary, few, known)
    return _best(like, columns, shares, least, points, vary)


def _best(
    like: Cloud,
    columns: tuple[Column, ...],
    shares: Array,
    least: float,
    points: tuple[int, int],
    vary: object,
) -> Aimed:
    """The setting with the largest share above the least that passes no limit."""
    before, beyond = share_of(like.inside), 0
    for place in _falling(shares, least):
        build = _changed(like.build, columns, place)
        if build is not None and limits(build).within:
            cloud = _made(like, build, vary, points)
            after = share_of(cloud.inside)
            if after.share <= before.share:
                break
            return Aimed(shares, _setting(columns, place), cloud, before, after, beyond)
        beyond += 1
    return Aimed(shares, {}, like, before, before, beyond)


def _falling(shares: Array, least: float) -> Iterator[tuple[int, ...]]:
    """Places of shares above the least, the largest first."""
    ordered = np.argsort(-np.nan_to_num(shares, nan=-1.0), axis=None, kind="stable")
    for index in ordered:
        place = tuple(int(i) for i in np.unravel_index(index, shares.shape))
        if not shares[place] > least:
            return
        yield place


def _setting(columns: tuple[Column, ...], place: tuple[int, ...]) -> dict[str, object]:
    return {column.name: column.raw(i) for column, i in zip(columns, place, strict=True)}


def _changed(build: Build, columns: tuple[Column, ...], place: tuple[int, ...]) -> Build | None:
    """Drawing with one setting; None where its sizes do not fit together."""
    try:
        return build.change(_setting(columns, place))
    except BuildError:
        return None


def _drawn(
    like: Cloud, build: Build, vary: object, points: tuple[int, int], known: Known | None = None
) -> tuple[Cloud, Drawn]:
    """A changed drawing with the targets of the drawing itself, before any knife is solved, and its knives."""
    seed, size = points
    spread = varied(build, vary)
    found = draw(build, spread, spread_points(len(spread), size, seed), known)
    return replace(like, build=replace(build, target=like.build.target), spread=spread), found


def _made(like: Cloud, build: Build, vary: object, points: tuple[int, int]) -> Cloud:
    """Knives made to a changed drawing, held against the targets of the drawing itself."""
    aimed, found = _drawn(like, build, vary, points)
    return cloud_at(aimed, found, aimed_at(aimed.build))


def _inside(like: Cloud, builds: Sequence[Build], vary: object, points: tuple[int, int], known: Known) -> list[float]:
    """Share inside of the knives made to each of some drawings."""
    drawn = [_drawn(like, build, vary, points, known) for build in builds]
    if like.worn:  # one by one: the edges of some of the drawings may have worn in already
        return [share_of(inside_of(cloud, found)).share for cloud, found in drawn]
    return [share_of(inside).share for inside in inside_of_each(like, [found for _, found in drawn])]
