"""Share of the knives inside at every design of a sweep, on the same errors for all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.inside import unsound
from detentsim.analysis.share_inside import shares_inside
from detentsim.knife.outcomes import SHARE_INSIDE
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Executor

    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.knife.model import Build

MOST_BATCHES = 20_000
"""Designs of a sweep over batches: 256 knives are made to each."""

EXAMPLE = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'


def check_over(build: Build, over: object, designs: int) -> None:
    """Refuse a sweep over batches that has nothing to count, or too many designs.

    Parameters
    ----------
    build : Build
    over : object
        As `sweep` takes it.
    designs : int

    Raises
    ------
    InputError
    """
    if over is None:
        return
    if over != "batch":
        raise InputError("over", over, f'{shown(over)} is nothing to sweep over; give "batch" or leave it out')
    if not build.target:
        raise InputError("target", None, f"is missing, so that no knife is inside; write [target], such as {EXAMPLE}")
    if designs > MOST_BATCHES:
        text = f"{designs:,} designs over a batch each are too many; at most {MOST_BATCHES:,}: give fewer values"
        raise InputError("sweep", designs, text)


def with_shares(s: Sweep, executor: Executor | None, progress: Progress) -> Sweep:
    """Return a sweep with the share of the knives inside as its first result.

    Parameters
    ----------
    s : Sweep
    executor : Executor or None
        Where the batches are solved; here without one.
    progress : callable
        Told ``(designs done, of how many)``.

    Returns
    -------
    Sweep
        The share is that of `detentsim.batch` with 256 knives made to each design; NaN where its sizes do not fit
        together. Ctrl-C leaves the rest not done.
    """
    shares, done = np.full(s.shape, np.nan), np.array(s.excluded)
    places = [place for place in np.ndindex(*s.shape) if not s.excluded[place]]
    try:
        for i, share in enumerate(_shares(s, places, executor)):
            shares[places[i]], done[places[i]] = share, True
            progress(i + 1, len(places))
    except KeyboardInterrupt:
        pass
    return replace(s, results={SHARE_INSIDE: shares} | s.results, done=s.done & done)


def _shares(s: Sweep, places: list[tuple[int, ...]], executor: Executor | None) -> Iterator[float]:
    """Share of each design in turn; a design that leaves nothing in doubt is inside or not."""
    warned = unsound(s.flags)
    builds = (s.build_at(*place) for place in places)
    for place, share in zip(places, shares_inside(builds, s.build.target, s.start, executor, worn=s.worn), strict=True):
        yield float(s.meets_target[place] & ~warned[place]) if share is None else share
