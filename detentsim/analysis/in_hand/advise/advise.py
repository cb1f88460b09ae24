"""Advice: every change a bench can make, at its best amount, ranked by whether it meets the aims and by its cost.

`aims` reads the aims, `moves` lists the changes, `trials` solves them, `words` explains; here they are put together.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from detentsim.analysis.hand_steps import steps_between
from detentsim.analysis.in_hand.advise.aims import Aim, read_aims, same_feel, wanted_feel
from detentsim.analysis.in_hand.advise.chances.prospects import drawing_prospects, knives_prospects
from detentsim.analysis.in_hand.advise.chances.tuned import tuned
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.proposals import Advice
from detentsim.analysis.in_hand.advise.thresholds import AMPLE, CLOSE, DRAGS, FEEL, GAIN, PAST, ROOM, SURE
from detentsim.analysis.in_hand.advise.trials.pairs import reaching_pairs
from detentsim.analysis.in_hand.advise.trials.proposed import proposals_of
from detentsim.analysis.in_hand.advise.trials.reach import what_stops
from detentsim.analysis.in_hand.advise.trials.trials import Trials, need_aims
from detentsim.analysis.many_builds.sweep.blocks import progress_line
from detentsim.analysis.one_build.summary import limits_and_summary
from detentsim.analysis.results import raised
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FATAL
from detentsim.knife.record.record import plain
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.analysis.many_builds.batch.knives.knives import Knives


def advise(
    build: Build | Knives,
    want: str | None = None,
    aims: tuple[Aim, ...] | None = None,
    like: Build | None = None,
) -> Advice:
    """Changes of a build, or of the knife on the bench, that meet the aims, each with its amount and its chances.

    Parameters
    ----------
    build : Build, Batch or Fit
        With a target of its own, unless one of the others is given. Of a build its middle is to meet the aims; of a
        batch or a fit as many as possible of the knives that the one on the bench may be.
    want : str, optional
        A customer's words: ``lighter``, ``stiffer``, or with a count of hand-steps, ``lighter 2``; ``too stiff`` or
        ``too light`` bring it into its target where it lies past that end of it.
    aims : tuple of Aim, optional
        As `read_aims` of `detentsim.analysis.in_hand.advise.aims` makes them of targets, or as a symptom has them.
    like : Build, optional
        Another build that this one shall feel like: breakout, drag and falling shut.

    Returns
    -------
    Advice

    Raises
    ------
    InputError
        Where nothing is wanted, or it cannot be understood; where two of want, aims and like are given.

    Notes
    -----
    Each move is tried along its whole range on the kernel and refined about its best amount; discrete sizes stay
    discrete; where no single move is enough, or none that can be undone, pairs of those that help most. The chances of
    each are counted on the knives made to the drawing, or on those of the batch or fit, with the errors of a careful
    bench; on the latter the amounts too are chosen.
    """
    _need_one_wish(want, aims, like)
    knives = _knives(build)
    nominal = need_build(build if knives is None else knives.build)
    numbers = plain(nominal)
    aims = aims if like is None else same_feel(_feel(like))
    wanted = aims if aims is not None else _wanted(nominal, want, Trials(numbers, ()))
    watch = _Watch()
    bench = Trials(numbers, wanted, watch)
    advice = _of_build(nominal, wanted, bench) if knives is None else _of_knives(knives, wanted, bench)
    watch.done()
    return advice


def _need_one_wish(want: object, aims: object, like: object) -> None:
    given = [name for name, one in (("want", want), ("aims", aims), ("like", like)) if one is not None]
    if len(given) > 1:
        raise InputError(given[1], None, f"stands beside {given[0]}; give one of the two")
    need_aims(aims)


def _knives(build: Build | Knives) -> Knives | None:
    """Return the knives of a batch or a fit; None for a build."""
    from detentsim.analysis.many_builds.batch.knives.knives import Knives

    if isinstance(build, Knives) and build.worn:
        text = "is a batch worn in, and moves are made on fresh knives; give one made without worn_in"
        raise InputError("advise", build, text)
    return build if isinstance(build, Knives) else None


def _of_build(build: Build, wanted: tuple[Aim, ...], bench: Trials) -> Advice:
    """Advice on a build by itself: what brings its middle inside."""
    own, flags, prospects = bench.base.first, raised(bench.base.flags), drawing_prospects(build, wanted)
    sound = not any(bool(bench.base.flags[flag][0]) for flag in FATAL)
    if sound and float(bench.miss(bench.base)[0]) == 0:
        return Advice(build, wanted, True, own, (), (), (), flags, prospects=prospects)
    tries = bench.best_of(moves(build, bench.numbers))
    reached = _reaching(bench, tries)
    rest = sorted((t for t in tries if t not in reached), key=lambda t: t.miss)
    before = limits_and_summary(build)
    judged = proposals_of(build, bench, [*reached, *rest], before, prospects)
    proposals = tuple(sorted(judged[: len(reached)], key=_rank(own)))
    against, missed = ((), ()) if proposals else what_stops(build, bench.numbers, bench.aims, bench.watch)
    others = judged[len(reached) :]
    return Advice(build, wanted, False, own, proposals, others, against, flags, missed, prospects, stands=before)


def _reaching(bench: Trials, tries: list[Trial]) -> list[Trial]:
    """Trials that meet the aims; pairs too, where no single move that can be undone does."""
    reached = [t for t in tries if t.reaches]
    # a pair of reversible moves ranks before one that is not, so pairs are tried too
    return reached if any(t.undo for t in reached) else reached + reaching_pairs(bench, tries)


def _of_knives(knives: Knives, wanted: tuple[Aim, ...], bench: Trials) -> Advice:
    """Advice on the knife on the bench: what brings most of those that it may be inside."""
    build, own, flags = knives.build, bench.base.first, raised(bench.base.flags)
    prospects = knives_prospects(knives, wanted)
    if _is_astray(knives, wanted):
        return Advice(build, wanted, False, own, (), (), (), flags, prospects=prospects, knives=knives, astray=True)
    if prospects.now.meets >= SURE:
        return Advice(build, wanted, True, own, (), (), (), flags, prospects=prospects, knives=knives)
    every = moves(build, bench.numbers)
    tries = bench.best_of(every)
    able = [t for t in tries if t.reaches]
    if not any(t.room >= ROOM for t in able):  # on the edge even of the likeliest knife
        able += reaching_pairs(bench, tries, whole=True)
    chosen = tuned(bench, prospects, every, able or tries)
    rest = sorted((t for t in tries if t.moves not in [one.moves for one in chosen]), key=lambda t: t.miss)
    before = limits_and_summary(build)
    judged = proposals_of(build, bench, [*chosen, *rest], before, prospects, len(chosen))
    better = [p for p in judged[: len(chosen)] if p.meets > prospects.now.meets + GAIN and p.past <= PAST]
    landing = [p for p in better if p.chance > GAIN]
    better = landing or better  # what only keeps a warning that stands now is told where nothing clears it
    proposals = tuple(sorted(better, key=_rank_by_chance(better, own)))
    others = tuple(p for p in judged if p not in better)
    against, missed = ((), ()) if able or better else what_stops(build, bench.numbers, bench.aims, bench.watch)
    return Advice(build, wanted, False, own, proposals, others, against, flags, missed, prospects, knives, before)


def _is_astray(knives: Knives, wanted: tuple[Aim, ...]) -> bool:
    """Whether what was read of a wanted result is far from every knife of the drawing."""
    from detentsim.analysis.in_hand.fit.fitted import Fit

    names = {aim.name for aim in wanted}
    found = knives.conflicts if isinstance(knives, Fit) else ()
    return any(one.what in names and not one.explained for one in found)


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


def rid_of(build: Build | Knives, aims: tuple[Aim, ...]) -> Advice:
    """Advice against a symptom, the build's own target kept beside it where anything reaches both.

    Parameters
    ----------
    build : Build, Batch or Fit
    aims : tuple of Aim
        Aims that end the symptom.
    """
    knives = _knives(build)
    nominal = need_build(build if knives is None else knives.build)
    bench = Trials(plain(nominal), ())
    aims = _within_target(nominal, bench, aims)
    names = {aim.name for aim in aims}
    kept = [target for target in nominal.target if target.name not in names]
    if kept:
        own = bench.solve({}, [target.name for target in kept]).first
        both = advise(build, aims=(*aims, *read_aims(kept, own)))
        if both.met or both.best is not None:
            return both
    return advise(build, aims=aims)


def _within_target(build: Build, bench: Trials, aims: tuple[Aim, ...]) -> tuple[Aim, ...]:
    """Aims narrowed to the build's own bands on the same results, where the two overlap."""
    own = bench.solve({}, [aim.name for aim in aims]).first
    bands = {aim.name: aim for aim in read_aims([t for t in build.target if t.name in own], own) if aim.truth is None}
    return tuple(aim if aim.name not in bands else _narrowed(aim, bands[aim.name]) for aim in aims)


def _narrowed(aim: Aim, band: Aim) -> Aim:
    low, high = max(aim.low, band.low), min(aim.high, band.high)
    return aim if aim.truth is not None or low > high else replace(aim, low=low, high=high, source=None)


def _feel(other: Build) -> dict[str, float]:
    """Aims to feel like another build."""
    return Trials(plain(need_build(other)), ()).solve({}, FEEL).first


def _wanted(build: Build, want: str | None, bare: Trials) -> tuple[Aim, ...]:
    """Aims from words, or from the build's target."""
    needed = [target.name for target in build.target] if want is None else ["breakout_force", "falls_shut"]
    if not needed:
        example = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'
        text = f"is missing; write [target] with {example}, or ask for lighter or stiffer"
        raise InputError("target", None, text)
    own = bare.solve({}, needed).first
    return wanted_feel(want, own, build.target) if want is not None else read_aims(build.target, own)


_Key = Callable[["Proposal"], "tuple[object, ...]"]


def _drags(p: Proposal, own: Mapping[str, float]) -> bool:
    """Whether it adds more than `DRAGS` hand-steps of drag, and a hand-step more of drag than of breakout."""
    drag, force = (
        math.nan if (after := p.results[name]) is None else float(steps_between(own.get(name, math.nan), after))
        for name in ("drag_force", "breakout_force")
    )
    return drag > DRAGS and drag > force + 1


def _rank_by_chance(among: Sequence[Proposal], own: Mapping[str, float]) -> _Key:
    """Sort key of proposals for a knife in the hand.

    What breaks nothing; then what can be undone and does not drag, where it comes close to the best chance; then by the
    chance, few moves, least side effects.
    """
    best = max((p.meets for p in among), default=0.0)

    def key(p: Proposal) -> tuple[object, ...]:
        side = round(p.side_effects * 2) / 2
        first = p.undo and p.meets >= CLOSE * best and not _drags(p, own)
        return (bool(p.passed or p.breaks), not first, -round(p.meets, 1), len(p.names), side, -p.meets)

    return key


def _rank(own: Mapping[str, float]) -> _Key:
    """Sort key: nothing new wrong, reversible, no drag, sure to be met by a careful bench, chance, few moves, room.

    Up to a whole error of a careful bench, room goes before all that follows it: what such a bench misses is no
    proposal to prefer for its small side effects.
    """

    def key(p: Proposal) -> tuple[object, ...]:
        side = round(p.side_effects * 2) / 2
        room = AMPLE if p.room is None else min(p.room, AMPLE)
        sure = round(min(room, 1.0) * 4)
        chance = round(5 * p.lands)
        start = (bool(p.passed or p.breaks), not p.undo, _drags(p, own), -sure, -chance)
        return (*start, len(p.names), side, -round(room * 2), p.side_effects)

    return key
