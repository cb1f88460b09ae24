"""Courses of moves: the results of each amount of a move on each of the possible knives."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.advise.aims import results_for
from detentsim.analysis.in_hand.advise.chances.judged import Judged, judged
from detentsim.analysis.in_hand.advise.chances.sample import carried, solved_together
from detentsim.analysis.in_hand.advise.thresholds import MOVING
from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.analysis.results import SPARES
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.doubts import INSIDE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.mechanics.record import Array, Truth

    Places = npt.NDArray[np.intp]
    Reach = tuple[Move, tuple[float, float]]

# Amounts that are solved, and amounts between which the answers are looked up.
SOLVED, FINE = 13, 193

# Which of those that are solved the blade moves at; the others; and their order where the others come first.
MOVED = np.arange(0, SOLVED, 3)
OTHERS = np.setdiff1d(np.arange(SOLVED), MOVED)
ORDER = np.argsort(np.concatenate([OTHERS, MOVED]))

# Reach of a course: over the amount that the drawing's knife needs, and least, in errors of a careful bench.
TWICE, LEAST = 2.0, 12.0

HEIGHT, SPARE = "loose_ball_height", SPARES["falls_shut"]


class Course(NamedTuple):
    """Answers along one move; tables of shape (amounts, knives)."""

    move: Move
    values: Array  # where the move ends on the sample's build [SI], shape (amounts,)
    results: dict[str, Array]
    judged: Judged

    def at(self, ends: Array) -> Places:
        """Rows nearest to some ends of the move [SI], of any shape."""
        step = (self.values[-1] - self.values[0]) / (self.values.size - 1)
        return np.asarray(np.clip(np.rint((ends - self.values[0]) / step), 0, self.values.size - 1).astype(np.intp))

    def part(self, knives: slice) -> Course:
        """Answers of some of the knives."""
        results = {name: rows[:, knives] for name, rows in self.results.items()}
        return self._replace(results=results, judged=Judged(*(table[:, knives] for table in self.judged)))

    def outcome(self, ends: Array, knives: Places) -> Judged:
        """Outcome of the move on knives where it ends there [SI]; shapes broadcast."""
        rows = self.at(ends)
        return Judged(*(table[rows, knives] for table in self.judged))


def courses(sample: Sample, before: Solved, aims: Sequence[Aim], ways: Sequence[Reach]) -> list[Course]:
    """Solve moves along their amounts on every knife, each by itself; all in a few calls of the kernel.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand.
    aims : sequence of Aim
    ways : sequence of (move, ends)
        Moves along a scale, with ends as `reach` gives them.

    Returns
    -------
    list of Course
        What a blade has to spare to fall shut is NaN on knives that fall shut alike at all amounts, unless an aim is
        about it; see `with_spare`.

    Notes
    -----
    Bounds tell of most blades whether they fall shut, but what they have to spare takes a fall that is followed. It
    tells where a truth turns between two amounts, so it is solved only on knives on which one turns.
    """
    names = dict.fromkeys([*results_for(aims), HEIGHT, "drag_torque"])
    turning = SPARE in names and all(aim.name != SPARE for aim in aims)
    alike = [sample] * len(ways)
    moved = _solved(alike, ways, MOVED, tuple(name for name in names if not (turning and name == SPARE)))
    still = _solved(alike, ways, OTHERS, tuple(name for name in names if name not in MOVING))
    if turning:
        turns = [np.any(one.results["falls_shut"] != one.results["falls_shut"][0], axis=0) for one in moved]
        for one, spare in zip(moved, _spares(sample, ways, turns), strict=True):
            one.results[SPARE] = spare
    return [_course(before, aims, *found) for found in zip(ways, moved, still, strict=True)]


def _course(before: Solved, aims: Sequence[Aim], way: Reach, moved: Solved, still: Solved) -> Course:
    """Course from the results at the amounts at which the blade moves, and at the others without its motion."""
    (move, ends), whole = way, still.joined(moved).part(ORDER)
    rows = {name: _between(array) for name, array in (moved.results | whole.results).items()}
    for aim in aims:
        if aim.truth is not None:
            spare = rows.get(SPARES.get(aim.name, ""))
            rows[aim.name] = _truths(moved.results[aim.name][_nearest(MOVED.size)], spare)
    flags = {flag: whole.flags[flag][_nearest(SOLVED)] for flag in UNSOUND}
    return Course(move, np.linspace(*ends, FINE), rows, judged(aims, before, Solved(rows, flags)))


def with_spare(found: Course, sample: Sample) -> Course:
    """Answers along a move with what every blade has to spare to fall shut, which tells how surely it is seen to.

    Parameters
    ----------
    found : Course
    sample : Sample
        Its knives.
    """
    known = found.results[SPARE]
    missing = ~np.any(np.isfinite(known), axis=0)
    way = found.move, (float(found.values[0]), float(found.values[-1]))
    (spare,) = _spares(sample, [way], [missing])
    return found._replace(results={**found.results, SPARE: np.where(missing, _between(spare), known)})


def _spares(sample: Sample, ways: Sequence[Reach], which: Sequence[Truth]) -> list[Array]:
    """What some of the blades have to spare to fall shut along each move, NaN for the others; shape (MOVED, n)."""
    spares = [np.full((MOVED.size, sample.size), np.nan) for _ in ways]
    some = [i for i, knives in enumerate(which) if np.any(knives)]
    samples = [sample.part(np.flatnonzero(which[i])) for i in some]
    for i, one in zip(some, _solved(samples, [ways[i] for i in some], MOVED, (SPARE,)), strict=True):
        spares[i][:, which[i]] = one.results[SPARE]
    return spares


def _solved(samples: Sequence[Sample], ways: Sequence[Reach], at: Places, names: tuple[str, ...]) -> list[Solved]:
    """Knives of a sample for each move, at some of its evenly spread amounts; tables of shape (amounts, n)."""
    changed = []
    for sample, (move, ends) in zip(samples, ways, strict=True):
        values = np.repeat(np.linspace(*ends, SOLVED)[at], sample.size)
        changed.append(sample.repeated(at.size).changed(carried(sample, move, values, np.zeros(values.size))))
    return [one.in_rows(at.size) for one in solved_together(changed, names)]


def _nearest(count: int) -> Places:
    """Row of the nearest amount that is solved, of so many, for each fine one."""
    return np.rint(np.linspace(0, count - 1, FINE)).astype(np.intp)


def reach(move: Move, value: float, span: tuple[float, float]) -> tuple[float, float]:
    """Ends of the course of a move [SI].

    Parameters
    ----------
    move : Move
    value : float
        Where the nominal knife wants it [SI].
    span : tuple of float
        Lowest and highest value that the move and its opposite allow [SI].

    Returns
    -------
    tuple of float
        What can be undone is looked at on both sides of the value; what cannot, from where it stands.
    """
    amount, least = value - move.start, LEAST * move.near
    if move.undo:
        half = max(abs(amount), least)
        return max(value - half, span[0]), min(value + half, span[1])
    far = max(TWICE * abs(amount), least)
    return move.start, min(move.start + far, move.high) if amount >= 0 else max(move.start - far, move.low)


def _between(rows: Array) -> Array:
    """Rows at the fine amounts, on straight lines between those solved; shape (FINE, n)."""
    place = np.linspace(0, len(rows) - 1, FINE)
    low = np.minimum(place.astype(int), len(rows) - 2)
    part = (place - low)[:, None]
    return np.asarray(np.where(part == 0, rows[low], rows[low] * (1 - part) + rows[low + 1] * part))


def _truths(nearest: Array, spare: Array | None) -> Array:
    """Truths as 0 and 1, by what is to spare where that is known."""
    return nearest if spare is None else np.where(np.isfinite(spare), np.where(spare > 0, 1.0, 0.0), nearest)


def best_value(found: Course, slips: Array) -> float | None:
    """Where a move set once lands most of the knives [SI]; the least amount where several do, None where none lands.

    Parameters
    ----------
    found : Course
    slips : array, shape (n,)
        Errors of the bench, in standard deviations.
    """
    move = found.move
    ends = found.values[:, None] + slips * move.near / INSIDE
    knives = np.arange(slips.size)
    lands = np.mean(found.outcome(ends, knives).meets, axis=1)
    amounts = np.abs(found.values - move.start)
    lands = np.where(amounts < 0.25 * move.near, -1.0, lands)
    if np.max(lands) <= 0:
        return None
    return float(found.values[np.lexsort((amounts, -np.round(lands, 2)))[0]])
