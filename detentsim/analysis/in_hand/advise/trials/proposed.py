"""Proposals from trials: every result after each, its side effects, the verdict on the build it makes, a sentence."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.moves.move import calibrated
from detentsim.analysis.in_hand.advise.thresholds import NOTICED
from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
from detentsim.analysis.in_hand.advise.words import why_best, why_stopped
from detentsim.analysis.one_build.summary import Summary, limits_and_summary
from detentsim.analysis.results import AllResults
from detentsim.knife.target.verdict import judge
from detentsim.mechanics.names import ALL_NAMES, RESULT_NAMES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.chances.prospects import Prospects
    from detentsim.analysis.in_hand.advise.trials.solved import Solved, Trial
    from detentsim.analysis.in_hand.advise.trials.trials import Trials
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.limits.margins import Limit
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


Standing = tuple["Limits", "Summary"]


def proposals_of(
    build: Build,
    bench: Trials,
    tries: Sequence[Trial],
    before: Standing,
    prospects: Prospects,
    judged: int | None = None,
) -> tuple[Proposal, ...]:
    """Proposal of each trial, with limits and verdict for those that are proposed.

    Parameters
    ----------
    build : Build
    bench : Trials
    tries : sequence of Trial
    before : (Limits, Summary)
        Of the build as it stands.
    prospects : Prospects
        Knives on which the chances of each are counted.
    judged : int, optional
        How many of the first are proposed; by default those that meet the aims.
    """
    if not tries:
        return ()
    own_miss = float(bench.miss(bench.base)[0])
    proposed = [t.reaches if judged is None else i < judged for i, t in enumerate(tries)]
    columns = [t.columns for t in tries]
    solved = bench.solve_each(columns, tuple(dict.fromkeys([*RESULT_NAMES, *bench.names, *NOTICED])))
    everything = cache(lambda: [one.told[0] for one in bench.solve_each(columns, ALL_NAMES)])
    results = [AllResults(one.told[0], everything, i) for i, one in enumerate(solved)]
    for which in (True, False):
        prospects.expect([(t.moves, t.values) for t, one in zip(tries, proposed, strict=True) if one is which])
    return tuple(
        _proposal(build, bench, t, s, of_it, before if told else None, own_miss, prospects)
        for t, s, of_it, told in zip(tries, solved, results, proposed, strict=True)
    )


def _proposal(
    build: Build,
    bench: Trials,
    t: Trial,
    solved: Solved,
    results: AllResults,
    before: Standing | None,
    own_miss: float,
    prospects: Prospects,
) -> Proposal:
    """Proposal of one trial; `before` are limits and verdict of the build as it stands, None for one not proposed."""
    changes = changes_of(build, bench.numbers, t)
    flags = tuple(f for f, hit in solved.flags.items() if bool(hit[0]) and not bool(bench.base.flags[f][0]))
    side = float(bench.side_effects(solved)[0])
    after, newly, breaks = _after(build.change(changes), before) if before else (None, (), ())
    if not _misses_another(build, bench, results):
        breaks = tuple(name for name in breaks if name != "target")  # what is wanted now goes before it
    room = None if not np.isfinite(t.room) else t.room
    needs = tuple(dict.fromkeys(part for move in t.moves if move.needs for part in move.needs.split("; ")))
    units = build.units
    reason = (
        why_best(bench, t, results, newly, after, units)
        if after is not None
        else why_stopped(bench, t, results, own_miss, units)
    )
    words = tuple(move.words(value) for move, value in zip(t.moves, t.values, strict=True))
    names = tuple(move.name for move in t.moves)
    passed = tuple(limit.name for limit in newly)
    told_all = names, words, reason, t.reaches, t.undo, needs, side, room, flags, passed, results, changes, t
    return Proposal(*told_all, prospects, after, breaks)


def _misses_another(build: Build, bench: Trials, results: AllResults) -> bool:
    """Whether results miss a target of the build on what is not wanted otherwise now."""
    asked = {aim.name for aim in bench.aims}
    others = [target for target in build.target if target.name not in asked]
    return any(verdict.met is False for verdict in judge(others, results, bench.base.told[0]))


def _after(changed: Build, before: Standing) -> tuple[Summary, tuple[Limit, ...], tuple[str, ...]]:
    """Verdict on the changed build, limits that it newly exceeds, and checks that held before and now fail."""
    (bar, checked), (now, after) = before, limits_and_summary(changed)
    held = {limit.name for limit in bar.passed}
    failed = {check.name for check in checked.bad}
    newly = tuple(limit for limit in now.passed if limit.name not in held)
    return after, newly, tuple(check.name for check in after.bad if check.name not in failed)


def changes_of(build: Build, numbers: Plain, t: Trial) -> dict[str, object]:
    """Changes of the build file; a measured stiffness is written as the calibration ratio it led to.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    t : Trial
    """
    changes: dict[str, object] = {}
    for move, value in zip(t.moves, t.values, strict=True):
        changes |= move.texts(value)
    return changes | calibrated(build, numbers) if any("bar." in name for name in changes) else changes
