"""Share of the knives made to a build that are inside a target, for rooms that draw no batch of their own."""

from __future__ import annotations

from itertools import islice, repeat
from typing import TYPE_CHECKING

from detentsim.analysis.inside import each_inside
from detentsim.analysis.one_build.wear.worn_records import worn_radii
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import FEW, draw, spread_points
from detentsim.knife.record.record import plain
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from concurrent.futures import Executor

    from detentsim.knife.model import Build
    from detentsim.knife.record.drawing import Drawn
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Record, Truth

    Start = Mapping[str, float | bool | None]


AT_ONCE = 64
"""Builds whose knives are drawn before they are solved: enough to keep an executor busy, few enough to hold."""


def share_inside(
    build: Build, target: Sequence[Target], start: Start | None = None, count: int = FEW, worn: bool = False
) -> float | None:
    """Share of the knives made to a build that are inside, of the first of a batch of seed 0.

    Parameters
    ----------
    build : Build
    target : sequence of Target
    start : mapping of str to float, bool or None, optional
        Results from which wanted changes count, in their units.
    count : int
        Knives, the first of that batch; fewer give a quick estimate.
    worn : bool
        Whether the knives are to be worn in.

    Returns
    -------
    float or None
        0 to 1; None where nothing is wanted or no input is uncertain.
    """
    return next(shares_inside([build], target, start or {}, count=count, worn=worn)) if target else None


def shares_inside(
    builds: Iterable[Build],
    target: Sequence[Target],
    start: Start,
    executor: Executor | None = None,
    count: int = FEW,
    worn: bool = False,
) -> Iterator[float | None]:
    """Share of the knives inside for each of many builds, on the same errors.

    Parameters
    ----------
    builds : iterable of Build
    target : sequence of Target
        At least one.
    start : mapping of str to float, bool or None
        As `share_inside` takes it.
    executor : Executor, optional
        Where the knives are solved; here without one.
    count : int
        Knives made to each.
    worn : bool
        Whether the knives are to be worn in.

    Yields
    ------
    float or None
        As `share_inside` returns it.
    """
    names, left = tuple(wanted.name for wanted in target), iter(builds)
    while some := [first_knives(build, count) for build in islice(left, AT_ONCE)]:
        records = [knives.record for knives in some if knives is not None]
        solved = iter((map if executor is None else executor.map)(_solved, records, repeat(names), repeat(worn)))
        for knives in some:
            if knives is None:
                yield None
            else:
                results, flags = next(solved)
                yield float(each_inside(results, flags, target, knives.excluded, start).mean())


def first_knives(build: Build, count: int = FEW) -> Drawn | None:
    """First knives of a build's batch of seed 0, before they are solved; None where no input is uncertain.

    Parameters
    ----------
    build : Build
    count : int
        How many, at most 256.
    """
    spread = doubts(build, plain(build))
    return draw(build, spread, spread_points(len(spread), FEW)[:count]) if spread else None


def _solved(record: Record, names: tuple[str, ...], worn: bool) -> tuple[dict[str, Array], dict[str, Truth]]:
    """Results asked for and flags, which go between processes."""
    record = record._replace(**worn_radii(respond(record, ()))) if worn else record
    found = respond(record, names)
    return {name: found.results[name] for name in names}, found.flags
