"""What to change: every move of the bench held against what is wanted, ranked, with its price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from html import escape

import numpy as np

from detentsim.build.model import Build, need_build
from detentsim.build.outcomes import FATAL, FLAGS, RESULTS
from detentsim.build.record import Plain, plain
from detentsim.build.schema import INPUTS
from detentsim.build.values import as_text
from detentsim.shop.units import InputError

from .aims import Aim, read_aims, same_feel, wanted_feel
from .bench import two
from .designs import Sweep
from .limits import limits
from .moves import Columns, Move, calibrated, moves
from .numbers import number
from .sweep import sweep
from .trial import NOTICED, Bench, Solved, Try, everything

# Proposals that are looked at for limits and told; the rest are only counted.
TOLD = 6
# Values of each chief move in the map.
MAP = 41
# Room beyond so many times what a careful bench misses by is no better than that.
AMPLE = 4.0
# What makes one knife feel like another.
FEEL = ("breakout_force", "drag_force", "falls_shut")
NO_HELP = "It does not help with this."


@dataclass(frozen=True, eq=False)
class Proposal:
    """One move, or a pair, at its best amount.

    Attributes
    ----------
    names : tuple of str
        Of its moves.
    words : tuple of str
        What to do, a line for each move.
    reason : str
        Why, in one sentence; for one that does not reach, what stops it.
    reaches : bool
        Whether what is wanted is met.
    undo : bool
        Whether all of it can be undone.
    needs : tuple of str
        What has to come apart.
    side_effects : float
        Changes of what a hand notices beside what is wanted, in hand-steps.
    room : float or None
        How far off it may end, over what a careful bench misses by; None for what is bought.
    flags : tuple of str
        Flags that it raises.
    passed : tuple of str
        Limits that it passes and that held before.
    results : dict of str to float, bool or None
        All results after it, in their units.
    changes : dict
        What the build file would hold, for `Build.change`.
    tried : Try
        As it was tried on the kernel.
    """

    names: tuple[str, ...]
    words: tuple[str, ...]
    reason: str
    reaches: bool
    undo: bool
    needs: tuple[str, ...]
    side_effects: float
    room: float | None
    flags: tuple[str, ...]
    passed: tuple[str, ...]
    results: dict[str, float | bool | None]
    changes: dict[str, object]
    tried: Try


@dataclass(frozen=True, eq=False, repr=False)
class Advice:
    """What to change about one build.

    Attributes
    ----------
    build : Build
    aims : tuple of Aim
        What is wanted.
    right : bool
        Whether the build is right as it is.
    own : dict of str to float
        Its results that are wanted or noticed; NaN where there is none.
    proposals : tuple of Proposal
        What reaches it, best first.
    others : tuple of Proposal
        What does not, nearest first, each with what stops it.
    against : tuple of (str, str)
        Wanted results that single moves reach one by one but none together.
    """

    build: Build
    aims: tuple[Aim, ...]
    right: bool
    own: dict[str, float]
    proposals: tuple[Proposal, ...]
    others: tuple[Proposal, ...]
    against: tuple[tuple[str, str], ...]

    @property
    def best(self) -> Proposal | None:
        """The first proposal; None where nothing reaches, or nothing need change."""
        return self.proposals[0] if self.proposals else None

    @cached_property
    def past(self) -> tuple[str, ...]:
        """Limits that the build is past as it stands."""
        return tuple(limit.name for limit in limits(self.build).passed)

    @cached_property
    def chief(self) -> tuple[Move, ...]:
        """The two chief moves that each turn on one input, for a map of what is decided; fewer where there are none.

        Of a build that is right, feed and bend: what a maker asks for first.
        """
        found: dict[str, Move] = {}
        if self.right:
            own = moves(self.build, plain(self.build))
            return tuple(move for move in own if move.name in ("feed deeper", "bend in"))
        for proposal in (*self.proposals, *self.others):
            for move in proposal.tried.moves:
                if move.field and proposal.reason != NO_HELP:
                    found.setdefault(move.field, move)
        return tuple(found.values())[:2]

    @cached_property
    def field(self) -> Sweep | None:
        """What is wanted over the two chief moves, for drawing; None where there are not two."""
        return self._over(2)

    @cached_property
    def line(self) -> Sweep | None:
        """What is wanted over the first chief move, for drawing; None where there is none."""
        return self._over(1)

    def _over(self, count: int) -> Sweep | None:
        if len(self.chief) < count:
            return None
        vary: dict[str, object] = {move.field: _span(self, move) for move in self.chief[:count]}
        names = [aim.name for aim in self.aims]
        # Truths alone tell nothing of how far it is.
        return sweep(self.build.change(_fed(self, vary)), vary, _drawn(names))

    @cached_property
    def advised(self) -> Build | None:
        """The build with the first proposal carried out."""
        return None if self.best is None else self.build.change(self.best.changes)

    def __repr__(self) -> str:
        return f"<Advice for {self.build.name!r}: {self.short}>"

    @property
    def short(self) -> str:
        """The advice in a few words."""
        if self.right:
            return "leave it alone"
        return " and ".join(self.best.names) if self.best else "nothing reaches it"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = "".join(
            f"<tr><td>{escape('; '.join(p.words))}</td><td>{escape(p.reason)}</td></tr>" for p in self.proposals[:TOLD]
        )
        return f"<table><caption>{escape(self.build.name)}: {escape(self.short)}</caption>{rows}</table>"


def _drawn(names: list[str]) -> list[str]:
    """Results of a map: what is wanted, and the breakout force where that is truths alone."""
    return names if any(not RESULTS[name].is_truth for name in names) else ["breakout_force", *names]


def _fed(advice: Advice, vary: dict[str, object]) -> dict[str, object]:
    """Changes that put a feed in place of the height of a loose ball, where the feed is varied."""
    if "dimple.rim_feed" not in vary or advice.build["dimple.loose_ball_height"] is None:
        return {}
    feed = next(move.start for move in advice.chief if move.field == "dimple.rim_feed")
    return {"dimple.loose_ball_height": None, "dimple.rim_feed": as_text(round(feed, 7), "length")}


def _span(advice: Advice, move: Move) -> tuple[str | float, str | float, int]:
    """Values of one move's input round where it is and where any move takes it."""
    ends = [
        value
        for p in advice.proposals
        for m, value in zip(p.tried.moves, p.tried.values, strict=True)
        if m.field == move.field
    ]
    far = 1.8 * max((abs(value - move.start) for value in ends), default=(move.high - move.low) / 4)
    kind = INPUTS[move.field].kinds[0]
    low, high = move.start - far, move.start + far
    low = low if move.low < 0 else max(low, 0.0)
    return _typed(low, kind), _typed(high, kind), MAP


def _typed(value: float, kind: str) -> str | float:
    """A value as a sweep takes it: with its unit, or a plain number."""
    return float(f"{value:.12g}") if kind == "ratio" else as_text(value, kind)


def advise(
    build: Build, want: str | None = None, aims: tuple[Aim, ...] | None = None, like: Build | None = None
) -> Advice:
    """Find which change of a build meets what is wanted, by how much, and at what price.

    Parameters
    ----------
    build : Build
        With a target of its own, unless one of the others is given.
    want : str, optional
        A customer's words: ``lighter``, ``stiffer``, or with a count of hand-steps, ``lighter 2``.
    aims : tuple of Aim, optional
        What is wanted, as `detentsim.analysis.aims` or a symptom gives it.
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
    bare = Bench(numbers, ())
    aims = aims if like is None else same_feel(_feel(like))
    wanted = aims if aims is not None else _wanted(build, want, bare)
    bench = Bench(numbers, wanted)
    own = {name: float(values[0]) for name, values in bench.base.results.items()}
    sound = not any(bool(bench.base.flags[flag][0]) for flag in FATAL)
    if sound and float(bench.miss(bench.base)[0]) == 0:
        return Advice(build, wanted, True, own, (), (), ())
    tries = [bench.best(move) for move in moves(build, numbers)]
    reached = [t for t in tries if t.miss == 0 and t.sound]
    if not any(move.undo for t in reached for move in t.moves):
        # What can be undone goes first, so two such moves are worth a look beside one that cannot.
        some = [t for t in tries if t.moves[0].undo] if reached else tries
        reached += [t for t in bench.pairs(some) if t.miss == 0 and t.sound]
    rest = sorted((t for t in tries if t not in reached), key=lambda t: t.miss)
    told = _proposals(build, bench, [*reached, *rest])
    proposals = tuple(sorted(told[: len(reached)], key=_rank))
    against = () if proposals else _against(bench, build, numbers)
    return Advice(build, wanted, False, own, proposals, told[len(reached) :], against)


def rid_of(build: Build, aims: tuple[Aim, ...]) -> Advice:
    """Advice against a symptom, the build's own target kept beside it where anything reaches both.

    Parameters
    ----------
    build : Build
    aims : tuple of Aim
        What has to be reached to be rid of the symptom.
    """
    bench = Bench(plain(build), ())
    names = {aim.name for aim in aims}
    kept = [target for target in build.target if target.name not in names]
    if kept:
        solved = bench.solve({}, [target.name for target in kept])
        own = {name: float(values[0]) for name, values in solved.results.items()}
        both = advise(build, aims=(*aims, *read_aims(kept, own)))
        if both.right or both.best is not None:
            return both
    return advise(build, aims=aims)


def _feel(other: Build) -> dict[str, float]:
    """What a hand notices first of another build."""
    solved = Bench(plain(need_build(other)), ()).solve({}, FEEL)
    return {name: float(solved.results[name][0]) for name in FEEL}


def _wanted(build: Build, want: str | None, bare: Bench) -> tuple[Aim, ...]:
    """Aims from words, or from the build's target."""
    needed = [target.name for target in build.target] if want is None else ["breakout_force", "falls_shut"]
    if not needed:
        example = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'
        text = f"is missing; write [target] with {example}, or ask for lighter or stiffer"
        raise InputError("target", None, text)
    solved = bare.solve({}, needed)
    own = {name: float(values[0]) for name, values in solved.results.items()}
    return wanted_feel(want, own) if want is not None else read_aims(build.target, own)


def _columns(t: Try) -> Columns:
    found: Columns = {}
    for move, value in zip(t.moves, t.values, strict=True):
        found |= move.columns(np.array([value]))
    return found


def _solved(bench: Bench, tries: Sequence[Try]) -> list[Solved]:
    """Every result of each try, solved side by side."""
    columns = [_columns(t) for t in tries]
    names = dict.fromkeys(name for one in columns for name in one)
    own = {name: np.array([number(bench.numbers, name)]) for name in names}
    laid = {name: np.concatenate([one.get(name, own[name]) for one in columns]) for name in names}
    both = everything(bench, laid)
    return [
        Solved({n: v[[i]] for n, v in both.results.items()}, {n: f[[i]] for n, f in both.flags.items()})
        for i in range(len(tries))
    ]


def _proposals(build: Build, bench: Bench, tries: Sequence[Try]) -> tuple[Proposal, ...]:
    """Each try told, with the limits of those that reach."""
    if not tries:
        return ()
    own_miss = float(bench.miss(bench.base)[0])
    own = {limit.name for limit in limits(build).passed} if any(t.miss == 0 and t.sound for t in tries) else set()
    solved = _solved(bench, tries)
    return tuple(_proposal(build, bench, t, s, own, own_miss) for t, s in zip(tries, solved, strict=True))


def _proposal(build: Build, bench: Bench, t: Try, solved: Solved, own: set[str], own_miss: float) -> Proposal:
    """One try told; `own` are the limits that the build passes already."""
    results = {name: _told(name, float(values[0])) for name, values in solved.results.items()}
    changes = _changes(build, bench.numbers, t)
    flags = tuple(f for f, hit in solved.flags.items() if bool(hit[0]) and not bool(bench.base.flags[f][0]))
    side = float(bench.side_effects(solved)[0])
    reaches = t.miss == 0 and t.sound
    passed = tuple(x.name for x in limits(build.change(changes)).passed if x.name not in own) if reaches else ()
    room = None if not np.isfinite(t.room) else t.room
    undo = all(move.undo for move in t.moves)
    needs = tuple(dict.fromkeys(move.needs for move in t.moves if move.needs))
    reason = _why(bench, t, results, passed) if reaches else _stopped(bench, t, results, own_miss)
    words = tuple(move.words(value) for move, value in zip(t.moves, t.values, strict=True))
    names = tuple(move.name for move in t.moves)
    return Proposal(names, words, reason, reaches, undo, needs, side, room, flags, passed, results, changes, t)


def _told(name: str, value: float) -> float | bool | None:
    if not np.isfinite(value):
        return None
    return value > 0 if RESULTS[name].is_truth else value


def _changes(build: Build, numbers: Plain, t: Try) -> dict[str, object]:
    """What the build file would hold; a measured stiffness stands in it as the calibration it came to."""
    found: dict[str, object] = {}
    for move, value in zip(t.moves, t.values, strict=True):
        found |= move.texts(value)
    return found | calibrated(build, numbers) if any("bar." in name for name in found) else found


def _rank(p: Proposal) -> tuple[object, ...]:
    """Undoable first among those that pass no limit, then few moves, least side effects, most room."""
    side = round(p.side_effects * 2) / 2
    room = AMPLE if p.room is None else min(p.room, AMPLE)
    return (bool(p.passed), not p.undo, len(p.names), side, -round(room * 2), p.side_effects)


def _value(name: str, value: float | bool | None) -> str:
    """A result with its value in words."""
    plain_name = name.replace("_", " ")
    if value is None:
        return f"no {plain_name}"
    if isinstance(value, bool):
        return f"{plain_name}: {'yes' if value else 'no'}"
    return f"{plain_name} {two(value)} {RESULTS[name].unit}".rstrip()


def _brings(bench: Bench, results: dict[str, float | bool | None]) -> str:
    return ", ".join(_value(aim.name, results[aim.name]) for aim in bench.aims)


def _why(bench: Bench, t: Try, results: dict[str, float | bool | None], passed: tuple[str, ...]) -> str:
    """Why this one, in one sentence."""
    undone = "it can be undone" if all(move.undo for move in t.moves) else "it cannot be undone"
    moved = [name for name in NOTICED if name not in {aim.name for aim in bench.aims}]
    changed = [text for name in moved if (text := _moved(bench, name, results))]
    price = "; beside it " + ", ".join(changed) if changed else "; nothing else changes by what a hand feels"
    room = _room(t)
    past = f"; but it passes a limit: {' and '.join(passed)}" if passed else ""
    return f"It gives {_brings(bench, results)}, and {undone}{price}{room}{past}."


def _room(t: Try) -> str:
    """How near its amount must be met, in words."""
    if not np.isfinite(t.room):
        return ""
    judged = (
        "a careful bench does" if round(t.room, 2) >= 1 else "which takes luck" if t.room < 0.3 else "which takes care"
    )
    if len(t.moves) > 1:
        return f"; how near both must be met: {judged.removeprefix('which ')}"
    (move,) = t.moves
    return f"; it must be met within {move.shown(t.room * move.near)}, {judged}"


def _moved(bench: Bench, name: str, results: dict[str, float | bool | None]) -> str:
    """How one result changes, where by more than half a hand-step."""
    own, new = float(bench.base.results[name][0]), results[name]
    if new is None or not np.isfinite(own):
        return "" if new is None and not np.isfinite(own) else f"{_value(name, new)}"
    if isinstance(new, bool):
        return "" if new == (own > 0) else f"{_value(name, new)}"
    if own == 0:
        return _value(name, new) if new else ""
    change = (new - own) / abs(own)
    return f"{name.replace('_', ' ')} {100 * change:+.0f} %" if abs(change) >= 0.05 else ""


def _stopped(bench: Bench, t: Try, results: dict[str, float | bool | None], own_miss: float) -> str:
    """What stops a move that does not reach, in one sentence."""
    if t.would and t.raised:
        told = " ".join(FLAGS[flag] for flag in t.raised[:1])
        return f"It would get there, but not before this: {told}"
    if t.loses:
        lost = " and ".join(name.replace("_", " ") for name in t.loses)
        return f"It would get there, but then what is wanted of {lost} is lost."
    if t.miss >= own_miss * (1 - 1e-6):
        return NO_HELP
    return f"Even at its best it only gives {_brings(bench, results)}."


def _against(bench: Bench, build: Build, numbers: Plain) -> tuple[tuple[str, str], ...]:
    """Pairs of aims that moves reach one by one and none together."""
    alone = [aim for aim in bench.aims if _reachable(build, numbers, aim)]
    return tuple((a.name, b.name) for i, a in enumerate(alone) for b in alone[i + 1 :])


def _reachable(build: Build, numbers: Plain, aim: Aim) -> bool:
    bench = Bench(numbers, (aim,))
    if float(bench.miss(bench.base)[0]) == 0:
        return True
    return any(t.miss == 0 and t.sound for t in (bench.best(move) for move in moves(build, numbers)))
