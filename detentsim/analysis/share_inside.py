"""Share of the knives made to a build that are inside a target, for rooms that draw no batch of their own."""

from __future__ import annotations

from itertools import islice, repeat
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.inside import each_inside
from detentsim.analysis.one_build.wear.worn_records import worn_radii
from detentsim.knife.record.doubts import doubts
from detentsim.knife.record.drawing import FEW, TOGETHER, draw, spread_points
from detentsim.knife.record.record import plain
from detentsim.mechanics.record import joined, size
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from concurrent.futures import Executor

    from detentsim.analysis.results import Told
    from detentsim.knife.model import Build
    from detentsim.knife.record.drawing import Drawn
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Record, Truth


AT_ONCE = 128
"""Builds whose knives are drawn before they are solved: enough to keep an executor busy, few enough to hold."""


def share_inside(
    build: Build, target: Sequence[Target], start: Told | None = None, count: int = FEW, worn: bool = False
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
    start: Told,
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
        known = [knives for knives in some if knives is not None]
        groups = [known[i : i + TOGETHER] for i in range(0, len(known), TOGETHER)]
        records = [[knives.record for knives in group] for group in groups]
        solved = (map if executor is None else executor.map)(solved_together, records, repeat(names), repeat(worn))
        inside = (
            float(each_inside(*answers, target, knives.excluded, start).mean())
            for group, found in zip(groups, solved, strict=True)
            for knives, answers in zip(group, found, strict=True)
        )
        for knives in some:
            yield None if knives is None else next(inside)


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


def solved_together(
    records: Sequence[Record], names: tuple[str, ...], worn: bool = False
) -> list[tuple[dict[str, Array], dict[str, Truth]]]:
    """Results and flags of the designs of several records, by one call of the kernel.

    Parameters
    ----------
    records : sequence of Record
        Of a row of designs each.
    names : tuple of str
        Results to give.
    worn : bool
        Whether each design is to answer with its edges worn in.

    Returns
    -------
    list of tuple of dict
        Results [SI] and flags of each record's designs, which go between processes.
    """
    record, ends = joined(records), np.cumsum([size(one) for one in records])[:-1]
    record = record._replace(**worn_radii(respond(record, ()))) if worn else record
    found = respond(record, names)
    results = {name: np.split(found.results[name], ends) for name in names}
    flags = {name: np.split(truths, ends) for name, truths in found.flags.items()}
    return [
        ({name: rows[i] for name, rows in results.items()}, {name: rows[i] for name, rows in flags.items()})
        for i in range(len(records))
    ]
