"""Prospects of moves on the possible knives: the chances of each, its best amount, and a plan in steps."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.chances.chances import (
    FELT_NUMBERS,
    carried_out,
    chances,
    side_effects,
)
from detentsim.analysis.in_hand.advise.chances.course import HEIGHT, Course, best_value, courses, reach, with_spare
from detentsim.analysis.in_hand.advise.chances.judged import Chances, shares
from detentsim.analysis.in_hand.advise.chances.rules import Rule, Watch, best_rule, follow, read_aim, watched
from detentsim.analysis.in_hand.advise.chances.sample import drawing_sample, knives_samples, slips
from detentsim.analysis.in_hand.advise.moves.moves import moves as moves_of
from detentsim.analysis.in_hand.advise.thresholds import MOVING
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.record import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.chances import Done
    from detentsim.analysis.in_hand.advise.chances.sample import Sample
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.solved import Solved
    from detentsim.analysis.many_builds.batch.knives.knives import Knives
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array

# Knives on which to choose, and as many on which to follow steps; fewer where blades move.
FOLLOWED, FEWER = 192, 128

# Change of the loose ball's height that a depth gauge tells [mm].
SEEN = 0.01


class Plan(NamedTuple):
    """A move in steps: set, read, go on or stop."""

    watch: Watch
    rule: Rule
    lands: float  # chances where it ends, as in `Chances`, on knives on which the rule was not chosen
    overshoots: float
    warns: float
    meets: float
    settings: float  # how often it is set, on average
    reads: tuple[float, float, float]  # of the reading after the first setting: 5 %, middle and 95 % of the knives
    height: float | None  # of a loose ball laid in then [mm]; None where the move leaves it as it is


@dataclass(frozen=True, eq=False)
class Prospects:
    """What moves do on the possible knives.

    Attributes
    ----------
    aims : tuple of Aim
    counted : Sample
        Knives on which chances are counted.
    chosen : Sample
        Others, on which amounts and steps are chosen.
    followed : Sample
        Some of those counted, on which steps are followed; more than one where anything is uncertain.
    """

    aims: tuple[Aim, ...]
    counted: Sample
    chosen: Sample
    followed: Sample
    _courses: dict[str, Course] = field(default_factory=dict)
    _expected: list[list[Done]] = field(default_factory=list)
    _known: dict[tuple[object, ...], Chances] = field(default_factory=dict)

    @cached_property
    def _before(self) -> Solved:
        return self._standing(self.counted)

    @cached_property
    def _both(self) -> Sample:
        """Knives on which to choose, and beside them those on which steps are followed."""
        return self.chosen.beside(self.followed)

    @cached_property
    def _before_both(self) -> Solved:
        return self._standing(self._both)

    def _standing(self, sample: Sample) -> Solved:
        return sample.solve({}, tuple(aim.name for aim in self.aims))

    @cached_property
    def now(self) -> Chances:
        """Chances of the knives as they stand."""
        return self.of((), ())

    @cached_property
    def standing(self) -> dict[str, float]:
        """Share of the knives as they stand with each warning of an unsound design that any has, the greatest first."""
        found = {flag: float(np.mean(self._before.flags[flag])) for flag in UNSOUND}
        return dict(sorted(((flag, share) for flag, share in found.items() if share > 0), key=lambda one: -one[1]))

    def of(self, moves: Sequence[Move], values: Sequence[float]) -> Chances:
        """Chances of moves together, each at one amount.

        Parameters
        ----------
        moves : sequence of Move
        values : sequence of float
            Where each ends on the sample's build [SI].
        """
        if _key(moves, values) not in self._known:
            done = (moves, values)
            group = next((some for some in self._expected if _key(*done) in {_key(*one) for one in some}), [done])
            found = chances(self.counted, self._before, self.aims, group)
            self._known.update({_key(*one): chance for one, chance in zip(group, found, strict=True)})
        return self._known[_key(moves, values)]

    def expect(self, done: Sequence[Done]) -> None:
        """Take note of changes whose chances are solved together, as soon as one of them is asked for.

        Parameters
        ----------
        done : sequence of (moves, values)
            As `of` takes them.
        """
        self._expected.append(list(done))

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
        return self.chosen.solve({}, FELT_NUMBERS)

    def course(self, move: Move, value: float) -> Course | None:
        """Answers along a move on the knives on which to choose; None for one that is bought.

        Parameters
        ----------
        move : Move
        value : float
            Where the nominal knife wants it [SI].
        """
        found = self._course(move, value)
        return None if found is None else found.part(self._choosing)

    def _course(self, move: Move, value: float) -> Course | None:
        """Answers along a move on all knives, solved once."""
        self.look_along([(move, value)])
        return self._courses.get(move.name)

    def look_along(self, wanted: Sequence[tuple[Move, float]]) -> None:
        """Solve the courses of several moves together, for `course` and `plan` to look at.

        Parameters
        ----------
        wanted : sequence of (move, value)
            As `course` takes them.
        """
        new = [one for one in wanted if one[0].near and not one[0].only and one[0].name not in self._courses]
        ways = [(move, reach(move, value, self._span(move))) for move, value in new]
        for found in courses(self._both, self._before_both, self.aims, ways):
            self._courses.setdefault(found.move.name, found)

    @property
    def _choosing(self) -> slice:
        return slice(0, self.chosen.size)

    def _span(self, move: Move) -> tuple[float, float]:
        """Ends that a move and its opposite allow."""
        alike = [one for one in self._moves if one.undo and set(one.inputs) == set(move.inputs)]
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
        return best_value(found, slips(self.chosen.size, 0))

    def plan(self, move: Move, value: float) -> Plan | None:
        """A move in steps; None for one that is bought, and where the bench has nothing to read.

        Parameters
        ----------
        move : Move
        value : float
            Where the move set once would end [SI].
        """
        found = self._course(move, value)
        return None if found is None else self._plan(found, self._both, self._before_both, value)

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
        sample = self._both.changed(carried_out(self._both, (first,), (value,)))
        way = move, reach(move, then, self._span(move))
        (found,) = courses(sample, self._before_both, self.aims, [way])
        return self._plan(found, sample, self._standing(sample), then)

    def _plan(self, found: Course, sample: Sample, now: Solved, value: float) -> Plan | None:
        """Plan that is chosen on some knives of a sample and counted on the others."""
        aim = read_aim(now.part(self._choosing).results, self.aims)
        if aim is None:
            return None
        found = with_spare(found, sample) if aim.name == "falls_shut" else found
        chosen, others = found.part(self._choosing), found.part(slice(self.chosen.size, None))
        watch = watched(chosen, aim)
        rule = best_rule(chosen, watch, value)
        if rule is None:
            return None
        done = follow(others, watch, (rule,), np.random.default_rng(12))
        at = int(found.at(np.array(rule.first)))
        reads, height = _reads(found.results[watch.name][at]), _height(found, at)
        return Plan(watch, rule, *shares(done.judged), float(np.mean(done.settings)), reads, height)


def _key(moves: Sequence[Move], values: Sequence[float]) -> tuple[object, ...]:
    return (*(move.name for move in moves), *values)


def _reads(values: Array) -> tuple[float, float, float]:
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
    if sample.size == 1:
        return Prospects(aims, sample, sample, sample)
    chosen, followed = (sample.part(np.arange(start, sample.size, 2)) for start in (0, 1))
    return Prospects(aims, sample, chosen, followed)


def knives_prospects(knives: Knives, aims: tuple[Aim, ...]) -> Prospects:
    """Prospects on the knives of a batch or a fit.

    Parameters
    ----------
    knives : Batch or Fit
    aims : tuple of Aim
    """
    chosen, counted = knives_samples(knives)
    moving = not MOVING.isdisjoint(aim.name for aim in aims)
    count = FEWER if moving else FOLLOWED
    return Prospects(aims, counted, chosen.few(count), counted.few(count))
