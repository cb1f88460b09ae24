"""Prospects of moves on the knives that this one may be: chances of each, the best amount, and a plan in steps."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.chances.chances import Chances, carried_out, chances, side_effects, slips
from detentsim.analysis.in_hand.advise.chances.course import HEIGHT, Course, best_value, course, reach
from detentsim.analysis.in_hand.advise.chances.judged import results_of
from detentsim.analysis.in_hand.advise.chances.rules import Followed, Rule, Watch, best_rule, follow, watched
from detentsim.analysis.in_hand.advise.chances.sample import CHOSEN, COUNTED, drawing_sample, knives_sample
from detentsim.analysis.in_hand.advise.moves.moves import moves as moves_of
from detentsim.analysis.in_hand.advise.thresholds import NOTICED
from detentsim.knife.record.record import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Move, Values
    from detentsim.analysis.in_hand.advise.trials.solved import Solved
    from detentsim.analysis.many_builds.batch.knives.knives import Knives
    from detentsim.knife.model import Build

# Change of the loose ball's height that a depth gauge tells [mm].
SEEN = 0.01

_ONE = np.zeros(1)


class Plan(NamedTuple):
    """A move in steps: set, read, go on or stop."""

    watch: Watch
    rule: Rule
    lands: float  # chance that it ends inside
    overshoots: float
    warns: float
    settings: float  # how often it is set, on average
    reads: tuple[float, float, float]  # of the reading after the first setting: 5 %, middle and 95 % of the knives
    height: float | None  # of a loose ball laid in then [mm]; None where the move leaves it as it is


@dataclass(frozen=True, eq=False)
class Prospects:
    """What moves bring about on the knives that this one may be.

    Attributes
    ----------
    aims : tuple of Aim
    counted : Sample
        Knives on which chances are counted.
    chosen : Sample
        Knives on which amounts and steps are chosen.
    """

    aims: tuple[Aim, ...]
    counted: Sample
    chosen: Sample
    _courses: dict[str, Course] = field(default_factory=dict)

    @cached_property
    def _before(self) -> Solved:
        return self.counted.solve({}, results_of(self.aims))

    @cached_property
    def _before_chosen(self) -> Solved:
        same = self.counted is self.chosen
        return self._before if same else self.chosen.solve({}, results_of(self.aims))

    @cached_property
    def now(self) -> Chances:
        """Chances of the knives as they stand."""
        return self.of((), ())

    def of(self, moves: Sequence[Move], values: Sequence[float]) -> Chances:
        """Chances of moves together, each at one amount.

        Parameters
        ----------
        moves : sequence of Move
        values : sequence of float
            Where each ends on the sample's build [SI].
        """
        return chances(self.counted, self._before, self.aims, moves, values)

    def side(self, moves: Sequence[Move], values: Sequence[float]) -> dict[str, tuple[float, float]]:
        """Changes of what a hand notices, as parts of the knife's own: the range of nine knives in ten.

        Parameters
        ----------
        moves : sequence of Move
        values : sequence of float
            Where each ends on the sample's build [SI].
        """
        ranges = side_effects(self.chosen, self._noticed, moves, values)
        wanted = {aim.name for aim in self.aims}
        return {name: ends for name, ends in ranges.items() if name not in wanted}

    @cached_property
    def _noticed(self) -> Solved:
        return self.chosen.solve({}, NOTICED)

    def course(self, move: Move, value: float) -> Course | None:
        """Answers along a move, solved once; None for one that is bought.

        Parameters
        ----------
        move : Move
        value : float
            Where the nominal knife wants it [SI].
        """
        if move.only or not move.near:
            return None
        if move.name not in self._courses:
            ends = reach(move, value, self._span(move))
            self._courses[move.name] = course(self.chosen, self._before_chosen, self.aims, move, ends)
        return self._courses[move.name]

    def _span(self, move: Move) -> tuple[float, float]:
        """Ends that a move and its opposite allow."""
        alike = [one for one in self._moves if one.undo and set(one.columns(_ONE)) == set(move.columns(_ONE))]
        return min((one.low for one in alike), default=move.low), max((one.high for one in alike), default=move.high)

    @cached_property
    def _moves(self) -> tuple[Move, ...]:
        return moves_of(self.counted.build, plain(self.counted.build))

    def best_value(self, found: Course) -> float | None:
        """Where a move set once lands most of the knives [SI]; None where it lands none.

        Parameters
        ----------
        found : Course
        """
        return best_value(found, slips(self.chosen, 0))

    def plan(self, move: Move, value: float) -> Plan | None:
        """A move in steps; None for one that is bought, and where the bench has nothing to read.

        Parameters
        ----------
        move : Move
        value : float
            Where the move set once would end [SI].
        """
        found = self.course(move, value)
        return None if found is None else self._plan(found, self._before_chosen.results, value)

    def plan_after(self, first: Move, value: float, move: Move, then: float) -> Plan | None:
        """A move in steps on knives on which another is carried out before it; None as for `plan`.

        Parameters
        ----------
        first : Move
        value : float
            Where it ends on the sample's build [SI].
        move : Move
        then : float
            Where that would end, set once [SI].
        """
        if move.only or not move.near:
            return None
        sample = self.chosen.changed(carried_out(self.chosen, (first,), (value,)))
        now = sample.solve({}, results_of(self.aims)).results
        ends = reach(move, then, self._span(move))
        return self._plan(course(sample, self._before_chosen, self.aims, move, ends), now, then)

    def _plan(self, found: Course, before: dict[str, Values], value: float) -> Plan | None:
        watch = watched(found, before, self.aims)
        rule = None if watch is None else best_rule(found, watch, value)
        if watch is None or rule is None:
            return None
        done = follow(found, watch, rule, np.random.default_rng(12))
        at = int(found.at(np.array(rule.first)))
        return Plan(watch, rule, *_shares(done), _reads(found.results[watch.name][at]), _height(found, at))


def _shares(done: Followed) -> tuple[float, float, float, float]:
    lands, overshoots, warns, settings = (float(np.mean(part)) for part in done)
    return lands, overshoots, warns, settings


def _reads(values: Values) -> tuple[float, float, float]:
    known = values[np.isfinite(values)]
    low, middle, high = np.quantile(known, [0.05, 0.5, 0.95]) if known.size else (np.nan,) * 3
    return float(low), float(middle), float(high)


def _height(found: Course, at: int) -> float | None:
    """Height of a loose ball after the first setting, where the move changes it."""
    rows = found.results[HEIGHT]
    start = int(found.at(np.array(found.move.start)))
    if at == start or abs(float(np.nanmedian(rows[-1])) - float(np.nanmedian(rows[start]))) < SEEN:
        return None
    return float(np.nanmedian(rows[at]))


def drawing_prospects(build: Build, aims: tuple[Aim, ...]) -> Prospects:
    """Prospects on the knives made to a drawing.

    Parameters
    ----------
    build : Build
    aims : tuple of Aim
    """
    sample = drawing_sample(build)
    return Prospects(aims, sample, sample)


def knives_prospects(knives: Knives, aims: tuple[Aim, ...]) -> Prospects:
    """Prospects on the knives of a batch or a fit.

    Parameters
    ----------
    knives : Batch or Fit
    aims : tuple of Aim
    """
    return Prospects(aims, knives_sample(knives, COUNTED), knives_sample(knives, CHOSEN))
