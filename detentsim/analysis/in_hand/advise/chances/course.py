"""Course of a move: the results of each of its amounts on each of the possible knives."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.advise.aims import results_for
from detentsim.analysis.in_hand.advise.chances.judged import Judged, judged
from detentsim.analysis.in_hand.advise.chances.sample import carried
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
    from detentsim.mechanics.record import Array

    Places = npt.NDArray[np.intp]

# Amounts that are solved, those at which the blade moves, and amounts between which the answers are looked up.
SOLVED, MOVED, FINE = 13, 5, 193

# Reach of a course: over the amount that the drawing's knife needs, and least, in errors of a careful bench.
TWICE, LEAST = 2.0, 12.0

HEIGHT = "loose_ball_height"


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


def course(sample: Sample, before: Solved, aims: Sequence[Aim], move: Move, ends: tuple[float, float]) -> Course:
    """Solve a move along its amounts on every knife.

    Parameters
    ----------
    sample : Sample
    before : Solved
        Its knives as they stand.
    aims : sequence of Aim
    move : Move
        Along a scale.
    ends : tuple of float
        As `reach` gives them.

    Returns
    -------
    Course
    """
    names = tuple(dict.fromkeys([*results_for(aims), HEIGHT, "drag_torque"]))
    still = _solved(sample, move, ends, SOLVED, tuple(name for name in names if name not in MOVING))
    rows = {name: _between(array) for name, array in still.results.items()}
    moving = tuple(name for name in names if name in MOVING)
    if moving:
        moved = _solved(sample, move, ends, MOVED, moving).results
        rows |= {name: _between(array) for name, array in moved.items()}
        for name in {aim.name for aim in aims if aim.truth is not None}:
            rows[name] = _truths(moved[name][_nearest(MOVED)], rows.get(SPARES.get(name, "")))
    flags = {flag: still.flags[flag][_nearest(SOLVED)] for flag in UNSOUND}
    return Course(move, np.linspace(*ends, FINE), rows, judged(aims, before, Solved(rows, flags)))


def _solved(sample: Sample, move: Move, ends: tuple[float, float], count: int, names: tuple[str, ...]) -> Solved:
    """Every knife at evenly spread amounts; tables of shape (count, n)."""
    values = np.repeat(np.linspace(*ends, count), sample.size)
    solved = sample.repeated(count).solve(carried(sample, move, values, np.zeros(values.size)), names)
    results = {name: array.reshape(count, -1) for name, array in solved.results.items()}
    return Solved(results, {name: array.reshape(count, -1) for name, array in solved.flags.items()})


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
