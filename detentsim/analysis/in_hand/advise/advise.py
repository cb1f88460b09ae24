"""Advice: every change a bench can make, at its best amount, ranked by whether it meets the aims and at what cost.

`aims` reads the aims, `moves` lists the changes, `trials` solves them, `words` explains; here they are put together.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.aims import Aim, read_aims, same_feel, wanted_feel
from detentsim.analysis.in_hand.advise.moves.move import calibrated
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.proposals import Advice, Proposal
from detentsim.analysis.in_hand.advise.thresholds import AMPLE, FEEL
from detentsim.analysis.in_hand.advise.trials.pairs import reaching_pairs
from detentsim.analysis.in_hand.advise.trials.reach import told, what_stops
from detentsim.analysis.in_hand.advise.trials.solved import Solved, Trial, solved_together
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.analysis.in_hand.advise.words import why_best, why_stopped
from detentsim.analysis.many_builds.sweep.blocks import progress_line
from detentsim.analysis.one_build.limits.limits import limits
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.analysis.results import raised
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FATAL
from detentsim.knife.record.record import plain
from detentsim.mechanics.names import ALL_NAMES
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.knife.record.inputs import Plain


def advise(
    build: Build, want: str | None = None, aims: tuple[Aim, ...] | None = None, like: Build | None = None
) -> Advice:
    """Changes of a build that meet the aims, each with its amount and side effects.

    Parameters
    ----------
    build : Build
        With a target of its own, unless one of the others is given.
    want : str, optional
        A customer's words: ``lighter``, ``stiffer``, or with a count of hand-steps, ``lighter 2``.
    aims : tuple of Aim, optional
        As `detentsim.analysis.in_hand.advise.aims` or a symptom gives them.
    like : Build, optional
        Another build that this one shall feel like: breakout, drag and falling shut.

    Returns
    -------
    Advice

    Raises
    ------
    InputError
        Where nothing is wanted, or it cannot be understood.

    Notes
    -----
    Each move is tried along its whole range on the kernel and refined about its best amount; discrete sizes stay
    discrete; where no single move is enough, or none that can be undone, pairs of those that help most.
    """
    numbers = plain(need_build(build))
    bare = Trials(numbers, ())
    aims = aims if like is None else same_feel(_feel(like))
    wanted = aims if aims is not None else _wanted(build, want, bare)
    watch = _Watch()
    bench = Trials(numbers, wanted, watch)
    own = {name: float(values[0]) for name, values in bench.base.results.items()}
    sound = not any(bool(bench.base.flags[flag][0]) for flag in FATAL)
    if sound and float(bench.miss(bench.base)[0]) == 0:
        return Advice(build, wanted, True, own, (), (), (), raised(bench.base.flags))
    tries = bench.best_of(moves(build, numbers))
    reached = [t for t in tries if t.reaches]
    if not any(t.undo for t in reached):
        # a pair of reversible moves ranks before one that is not, so pairs are tried too
        reached += reaching_pairs(bench, tries)
    rest = sorted((t for t in tries if t not in reached), key=lambda t: t.miss)
    judged = _proposals(build, bench, [*reached, *rest])
    proposals = tuple(sorted(judged[: len(reached)], key=_rank))
    against, missed = ((), ()) if proposals else what_stops(build, numbers, bench.aims, watch)
    watch.done()
    rest_judged, flags = judged[len(reached) :], raised(bench.base.flags)
    return Advice(build, wanted, False, own, proposals, rest_judged, against, flags, missed)


class _Watch:
    """Counts the designs tried on a line of standard error, where that is a terminal and it takes over a second."""

    def __init__(self) -> None:
        self._tell, self._count = progress_line("{done:,} designs tried"), 0

    def __call__(self, solved: int) -> None:
        self._count += solved
        self._tell(self._count, self._count + 1)

    def done(self) -> None:
        """End the line."""
        self._tell(self._count, self._count)


def rid_of(build: Build, aims: tuple[Aim, ...]) -> Advice:
    """Advice against a symptom, the build's own target kept beside it where anything reaches both.

    Parameters
    ----------
    build : Build
    aims : tuple of Aim
        Aims that end the symptom.
    """
    bench = Trials(plain(build), ())
    aims = _within_target(build, bench, aims)
    names = {aim.name for aim in aims}
    kept = [target for target in build.target if target.name not in names]
    if kept:
        solved = bench.solve({}, [target.name for target in kept])
        own = {name: float(values[0]) for name, values in solved.results.items()}
        both = advise(build, aims=(*aims, *read_aims(kept, own)))
        if both.met or both.best is not None:
            return both
    return advise(build, aims=aims)


def _within_target(build: Build, bench: Trials, aims: tuple[Aim, ...]) -> tuple[Aim, ...]:
    """Aims narrowed to the build's own bands on the same results, where the two overlap."""
    own = {name: float(values[0]) for name, values in bench.solve({}, [aim.name for aim in aims]).results.items()}
    bands = {aim.name: aim for aim in read_aims([t for t in build.target if t.name in own], own) if aim.truth is None}
    return tuple(aim if aim.name not in bands else _narrowed(aim, bands[aim.name]) for aim in aims)


def _narrowed(aim: Aim, band: Aim) -> Aim:
    low, high = max(aim.low, band.low), min(aim.high, band.high)
    return aim if aim.truth is not None or low > high else replace(aim, low=low, high=high, source=None)


def _feel(other: Build) -> dict[str, float]:
    """Aims to feel like another build."""
    solved = Trials(plain(need_build(other)), ()).solve({}, FEEL)
    return {name: float(solved.results[name][0]) for name in FEEL}


def _wanted(build: Build, want: str | None, bare: Trials) -> tuple[Aim, ...]:
    """Aims from words, or from the build's target."""
    needed = [target.name for target in build.target] if want is None else ["breakout_force", "falls_shut"]
    if not needed:
        example = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'
        text = f"is missing; write [target] with {example}, or ask for lighter or stiffer"
        raise InputError("target", None, text)
    solved = bare.solve({}, needed)
    own = {name: float(values[0]) for name, values in solved.results.items()}
    return wanted_feel(want, own) if want is not None else read_aims(build.target, own)


def _solved(bench: Trials, tries: Sequence[Trial]) -> list[Solved]:
    """Every result of each trial, solved in one call."""
    return solved_together(lambda columns: bench.solve(columns, ALL_NAMES), bench.own, [t.columns for t in tries])


def _proposals(build: Build, bench: Trials, tries: Sequence[Trial]) -> tuple[Proposal, ...]:
    """Proposal of each trial, with limits for those that meet the aims."""
    if not tries:
        return ()
    own_miss = float(bench.miss(bench.base)[0])
    bar = limits(build) if any(t.reaches for t in tries) else None
    before = None if bar is None else (bar, summary(build, bar))
    solved = _solved(bench, tries)
    return tuple(_proposal(build, bench, t, s, before, own_miss) for t, s in zip(tries, solved, strict=True))


def _proposal(
    build: Build, bench: Trials, t: Trial, solved: Solved, before: tuple[Limits, Summary] | None, own_miss: float
) -> Proposal:
    """Proposal of one trial; `before` are limits and verdict of the build as it stands."""
    results = {name: told(name, float(values[0])) for name, values in solved.results.items()}
    changes = _changes(build, bench.numbers, t)
    flags = tuple(f for f, hit in solved.flags.items() if bool(hit[0]) and not bool(bench.base.flags[f][0]))
    side = float(bench.side_effects(solved)[0])
    after, passed, breaks = _after(build.change(changes), before) if t.reaches and before else (None, (), ())
    room = None if not np.isfinite(t.room) else t.room
    needs = tuple(dict.fromkeys(part for move in t.moves if move.needs for part in move.needs.split("; ")))
    units = build.units
    reason = (
        why_best(bench, t, results, passed, after, units)
        if after is not None
        else why_stopped(bench, t, results, own_miss, units)
    )
    words = tuple(move.words(value) for move, value in zip(t.moves, t.values, strict=True))
    names = tuple(move.name for move in t.moves)
    told_all = names, words, reason, t.reaches, t.undo, needs, side, room, flags, passed, results, changes, t
    return Proposal(*told_all, after, breaks)


def _after(changed: Build, before: tuple[Limits, Summary]) -> tuple[Summary, tuple[str, ...], tuple[str, ...]]:
    """Verdict on the changed build, limits that it newly exceeds, and checks that held before and now fail."""
    (bar, checked), now = before, limits(changed)
    held = {limit.name for limit in bar.passed}
    after = summary(changed, now)
    failed = {check.name for check in checked.bad}
    passed = tuple(limit.name for limit in now.passed if limit.name not in held)
    return after, passed, tuple(check.name for check in after.bad if check.name not in failed)


def _changes(build: Build, numbers: Plain, t: Trial) -> dict[str, object]:
    """Changes of the build file; a measured stiffness is written as the calibration ratio it led to."""
    changes: dict[str, object] = {}
    for move, value in zip(t.moves, t.values, strict=True):
        changes |= move.texts(value)
    return changes | calibrated(build, numbers) if any("bar." in name for name in changes) else changes


def _rank(p: Proposal) -> tuple[object, ...]:
    """Sort key: nothing new wrong, reversible, sure to be met by a careful bench, few moves, least side effects, room.

    Up to a whole error of a careful bench, room goes before everything but what can be undone: what such a bench
    misses is no proposal to prefer for its small side effects.
    """
    side = round(p.side_effects * 2) / 2
    room = AMPLE if p.room is None else min(p.room, AMPLE)
    sure = round(min(room, 1.0) * 4)
    return (bool(p.passed or p.breaks), not p.undo, -sure, len(p.names), side, -round(room * 2), p.side_effects)
