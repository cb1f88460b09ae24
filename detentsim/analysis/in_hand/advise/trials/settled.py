"""Solves the designs of a search: static results of all, motion only of those for which it may decide."""

from __future__ import annotations

from collections.abc import Generator
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.trials.solved import Ask, Solved

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.moves.move import Columns
    from detentsim.analysis.in_hand.advise.trials.trials import Trials
    from detentsim.mechanics.record import Array, Truth

# Designs whose motion is solved first where none meets the static aims, and how many times as many in each round after.
FIRST, GROWS = 6, 4


def settled(
    bench: Trials, columns: Columns, none: Truth, lost: Truth | None = None, most: int | None = None
) -> Generator[Ask, Solved, Solved]:
    """Solve designs for what the aims are about; of each it is known whether it reaches, and which misses least.

    Parameters
    ----------
    bench : Trials
    columns : dict of str to array, shape (n,)
    none : array of bool, shape (n,)
        Designs that are no answer, since they change nothing.
    lost : array of bool, shape (n,), optional
        Designs that are looked at, where none reaches, for whether the aims that are missed now could be met.
    most : int, optional
        Designs that are moved in one round, for a first look; all by default.

    Yields
    ------
    Ask

    Returns
    -------
    Solved
        Results of motion are NaN where they can neither bring a design inside the aims nor make it the best one.

    Notes
    -----
    With its motion a design misses at least what it misses without, so those that miss most without need not move.
    """
    solved = yield Ask(columns, bench.still)
    if not bench.moving:
        return solved
    whole = Solved({**solved.results, **{name: np.full(none.shape, np.nan) for name in bench.moving}}, solved.flags)
    bound, sound = bench.miss(whole, bench.moving), ~np.any(bench.raised(solved), axis=-1)
    able, left = ~none & (sound if np.any(sound & ~none) else True), np.ones(none.shape, bool)
    which, size = _spread(bound == 0, most), FIRST
    which = which if np.any(which) else _lowest(bound, able, size)
    while np.any(which):
        yield from _moved(bench, columns, whole, which)
        left &= ~which
        best = float(np.min(bench.miss(whole)[able & ~left], initial=np.inf))
        which = _lowest(bound, able & left & (bound <= best), size if most is None or size <= most else 0)
        size *= GROWS
    if lost is not None and not np.any(bench.reaches(whole)):
        which = lost & left & sound & (bench.miss(whole, (*bench.moving, *bench.held)) == 0)
        yield from _moved(bench, columns, whole, which)
    return whole


def _spread(among: Truth, most: int | None) -> Truth:
    """Some designs evenly spread among others."""
    rows, which = np.flatnonzero(among), np.zeros(among.shape, bool)
    if most is None or rows.size <= most:
        return among
    which[rows[np.linspace(0, rows.size - 1, most).astype(int)]] = True
    return which


def _lowest(bound: Array, among: Truth, count: int) -> Truth:
    """Some designs that miss least without their motion."""
    rows = np.flatnonzero(among)
    which = np.zeros(bound.shape, bool)
    which[rows[np.argsort(bound[rows], kind="stable")[:count]]] = True
    return which


def _moved(bench: Trials, columns: Columns, whole: Solved, which: Truth) -> Generator[Ask, Solved, None]:
    """Fill in the results of motion of some designs."""
    if not np.any(which):
        return
    more = yield Ask({name: values[which] for name, values in columns.items()}, bench.moving)
    for name in bench.moving:
        whole.results[name][which] = more.results[name]
