"""Trials tuned to the possible knives: each move at the amount that lands most of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.chances.prospects import Prospects
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.analysis.in_hand.advise.trials.trials import Trials

# Trials tuned at most, pairs of moves among them where there are only pairs, and those that do not reach on the nominal
# knife.
TUNED, PAIRS, NEAR_MISSES = 7, 4, 3


def tuned(bench: Trials, prospects: Prospects, every: Sequence[Move], tries: Sequence[Trial]) -> list[Trial]:
    """Trials worth a closer look, each at the amount that lands most of the knives.

    Parameters
    ----------
    bench : Trials
        Of the nominal knife.
    prospects : Prospects
    every : sequence of Move
    tries : sequence of Trial
        At the amounts that suit the nominal knife best.

    Returns
    -------
    list of Trial
        Where the best amount lies on the other side of where a move starts, its opposite.
    """
    reached = sorted((t for t in tries if t.reaches), key=lambda t: (not t.undo, -min(t.room, 1.0), t.margin))
    single, double = ([t for t in reached if (len(t.moves) > 1) is pair] for pair in (False, True))
    near = sorted((t for t in tries if not t.reaches and t.sound), key=lambda t: t.miss)
    double.sort(key=lambda t: -min(t.room, 1.0))
    chosen = [*single[: TUNED - min(len(double), PAIRS)], *double[:PAIRS], *near[: NEAR_MISSES if not reached else 0]]
    prospects.look_along([(t.moves[0], t.values[0]) for t in chosen if len(t.moves) == 1])
    found: dict[tuple[object, ...], Trial] = {}
    better = [_tuned(prospects, every, t) for t in chosen]
    judged = iter(_judged(bench, [one for one in better if one is not None]))
    for t, one in zip(chosen, better, strict=True):
        best = t if one is None else next(judged)
        found.setdefault(_key(best), best)
    return list(found.values())


def _judged(bench: Trials, tries: Sequence[Trial]) -> list[Trial]:
    """Trials with what comes of their amounts on the nominal knife, solved in one call."""
    solved = bench.solve_each([t.columns for t in tries], bench.names)
    return [
        replace(
            t,
            miss=float(bench.miss(one)[0]),
            margin=float(bench.margin(one)[0]),
            sound=not np.any(bench.raised(one)),
        )
        for t, one in zip(tries, solved, strict=True)
    ]


def _key(t: Trial) -> tuple[object, ...]:
    """Key that is the same for trials that do the same."""
    return tuple(
        (frozenset(move.inputs), move.only and move.name, round(value / (move.near or 1.0)), move.undo)
        for move, value in zip(t.moves, t.values, strict=True)
    )


def _tuned(prospects: Prospects, every: Sequence[Move], t: Trial) -> Trial | None:
    """Trial at the amount that lands most of the knives, not yet judged; None where none is better than its own."""
    if len(t.moves) > 1:
        return None
    (move,), (value,) = t.moves, t.values
    found = prospects.course(move, value)
    best = None if found is None else prospects.best_value(found)
    if best is None:
        return None
    move = move if (best - move.start) * (value - move.start) >= 0 else _opposite(every, move, best)
    return replace(t, moves=(move,), values=(best,))


def _opposite(every: Sequence[Move], move: Move, value: float) -> Move:
    """Move of the same sizes that leads to the other side of where they stand; the move itself where there is none."""
    alike = (one for one in every if one.undo and not one.only and set(one.inputs) == set(move.inputs))
    return next((one for one in alike if one.low <= value <= one.high and one.way == move.way), move)
