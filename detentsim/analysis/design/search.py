"""The search of `design` on the kernel: a coarse look at every choice, a finer one at the best, then room for error.

Everything is asked in blocks of many designs. What costs more, the blade's motion, is asked only of designs that are
sound and already right in the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.advise.solved import Solved
from detentsim.analysis.advise.trials import Trials
from detentsim.analysis.design.choices import BENDS, FEEDS, RELIEFS, Choices, SettableSize
from detentsim.analysis.design.shop_errors import Offsets, missed, offsets
from detentsim.analysis.results import in_unit, number
from detentsim.analysis.sweep.blocks import Answers, Box, Progress, solve, view_of
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.record.fields import assemble
from detentsim.mechanics.motion.in_motion import MOTION_NAMES

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from detentsim.analysis.advise.aims import Aim, Values
    from detentsim.analysis.advise.moves.move import Columns
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Truth

Index = npt.NDArray[np.intp]

# Bends at which it is seen whether a bar takes them.
BEND_LOOKS = 41

# Of one ball and first drill, so many choices are looked at more finely.
FINER = 4

# Looks with steps that halve, about the best design of each; the same for room, with the first so many error points.
LOOKS = 3

# Of one ball and first drill, so many designs that meet the target have their room guessed from a few error points;
# the leading ones from more.
CANDIDATES, FEW, LEADING, POLISH = 24, 16, 3, 64

# Designs that meet the target whose rooms are all guessed; and, with nothing to set, so few that none need be.
ALL, FULL = 1000, 150

# Balls with first drills that are proposed at most.
PROPOSED = 30

# Balls with first drills whose best design is polished for room.
POLISHED = 12

# Looks of the polish, designs changed by chance in each, and the share of them that take other bought sizes.
POLISHES, CHILDREN, OTHERS = 6, 8, 0.3

# Share of the whole work that is done after the coarse look, the finer ones, the rough rooms and the polish.
SHARES = (0.36, 0.46, 0.64, 0.88, 1.0)

TICKS = 1000


@dataclass(frozen=True, eq=False)
class Candidates:
    """Designs that were tried, each as a choice and where its scales stand.

    Attributes
    ----------
    row : array of int, shape (n,)
        Of the choices.
    at : dict of str to array, shape (n,)
        Values of the scales [m].
    cost : array, shape (n,)
        What a search makes small: hand-steps missed before margin before drag.
    meets : array of bool, shape (n,)
        Sound, and right in all that is wanted.
    """

    row: Index
    at: Columns
    cost: Values
    meets: Truth

    def take(self, which: npt.NDArray[np.intp] | Truth) -> Candidates:
        """Some of them."""
        at = {name: values[which] for name, values in self.at.items()}
        return Candidates(self.row[which], at, self.cost[which], self.meets[which])


_NONE: tuple[Any, ...] = (np.zeros(0, np.intp), {}, np.zeros(0), np.zeros(0, bool))


class Search:
    """One search: what is asked, of which choices, and what came of it.

    Attributes
    ----------
    kept : Found
        What is proposed: designs that meet what is wanted, once the search is through one of each ball and first drill.
    nearest : Found
        The one design that comes nearest.
    met : Found
        Designs of the coarse look that meet what is wanted.
    solved : int
        Designs asked about.
    stopped : bool
        Whether Ctrl-C ended it.
    sound : int
        Designs of the coarse look that raise nothing.
    near : dict of str to (int, float)
        By wanted result, sound designs of the coarse look that meet it, and its value in the nearest one.
    together : dict of (str, str) to int
        Sound designs of the coarse look that meet two wanted results.
    raised : dict of str to int
        Designs of the coarse look by the flag that they raise.
    """

    def __init__(
        self,
        numbers: Plain,
        aims: tuple[Aim, ...],
        choices: Choices,
        scales: tuple[SettableSize, ...],
        progress: Progress,
        executor: Executor | None = None,
    ) -> None:
        self.numbers, self.choices, self.executor = numbers, choices, executor
        self.bench, self._progress = Trials(numbers, aims), progress
        self.scales = scales
        self.solved, self.stopped, self._stage, self._told = 0, False, 0, 0
        self.sound, self.near, self.raised = 0, dict[str, tuple[int, float]](), dict[str, int]()
        self.together: dict[tuple[str, str], int] = {}
        self.met = self.kept = self.nearest = Candidates(*_NONE)
        self._still = tuple(n for n in self._wanted if n not in MOTION_NAMES)
        self._moving = tuple(n for n in self._wanted if n in MOTION_NAMES)

    @property
    def _wanted(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys([*(aim.name for aim in self.bench.aims), "drag_torque"]))

    def run(self, spans: dict[str, tuple[float, float]]) -> None:
        """Search; what was found by then is in `kept`, Ctrl-C or not.

        Parameters
        ----------
        spans : dict of str to (low, high)
            Shop errors, as `misses.errors` gives them.
        """
        if not len(self.choices):
            return
        try:
            self._stage = 0
            best = self.coarse()
            self.kept, self.nearest = self.met, best.take(np.argsort(best.cost, kind="stable")[:1])
            self._stage = 1
            best = self.finer(best)
            self.nearest = best.take(np.argsort(best.cost, kind="stable")[:1])
            self.kept = _joined(self.met, best.take(best.meets))
            if self.kept.row.size:
                self.kept = self.roomy(self.kept, spans)
        except KeyboardInterrupt:
            self.stopped = True

    def _farthest(self) -> tuple[Values, Index]:
        """Farthest bend that each bar takes with nothing lost or dented [m], shape (bars, reliefs), and each row's bar.

        A row's bar is what that hangs on: slab and cutter, and the ball for the tang.
        """
        bend = self._scale("bar.bend")
        names = ("ball.diameter", "bar.thickness", "bar.relief_length")
        sizes = np.stack([self.choices.columns[name] for name in names if name in self.choices.columns], axis=-1)
        _, first, bar = np.unique(sizes, axis=0, return_index=True, return_inverse=True)
        reliefs = self._reliefs
        if bend is None or not bar.size:
            return np.zeros((first.size, reliefs.size)), bar.ravel()
        bends = np.linspace(bend.low, bend.high, BEND_LOOKS)
        columns = {n: v[first][:, None, None] for n, v in self.choices.columns.items()}
        columns |= {"bar.bend": bends[None, None]}
        columns |= {"bar.relief_thickness": reliefs[None, :, None]} if np.isfinite(reliefs).all() else {}
        flags = self.bench.solve(columns, ("drag_torque",)).flags
        sound = ~(flags["loses_bend"] | flags["dents_tang"])
        return np.max(np.where(sound, bends, bend.low), axis=-1), bar.ravel()

    def _scale(self, name: str) -> SettableSize | None:
        return next((scale for scale in self.scales if scale.name == name), None)

    @property
    def _reliefs(self) -> Values:
        own, scale = number(self.numbers, "bar.relief_thickness"), self._scale("bar.relief_thickness")
        return np.array([own]) if scale is None else scale.at(own * RELIEFS)

    def coarse(self) -> Candidates:
        """Every choice at a few values of each scale: the best design of each."""
        at = self._cells()
        count, cells = len(self.choices), next((values.shape[1] for values in at.values()), 1)
        idle = np.zeros((count, cells), bool)
        if "dimple.rim_feed" in at:
            idle |= self.choices.plain_holes[:, None] & (at["dimple.rim_feed"] > at["dimple.rim_feed"].min())
        rows = np.arange(count)
        solved, done = self._ask(rows, at, idle)
        self._tell(solved, done)
        whole = {n: np.broadcast_to(v, (count, cells)) for n, v in at.items()}
        self.met = self._met(whole, solved, done)
        return self._best(rows, whole, solved, done)

    def _met(self, at: Columns, solved: Solved, done: Truth) -> Candidates:
        """All designs of the coarse look that meet what is wanted."""
        lines, cells = np.nonzero(self._meets(solved) & done)
        chosen = {name: values[lines, cells] for name, values in at.items()}
        return Candidates(lines, chosen, np.zeros(lines.size), np.ones(lines.size, bool))

    def _cells(self) -> Columns:
        """Values of each scale that a coarse look takes, shape (1, cells) or for the bend (rows, cells)."""
        shares, feeds, relief = (
            grid.ravel() for grid in np.meshgrid(BENDS, FEEDS, np.arange(self._reliefs.size), indexing="ij")
        )
        if self._scale("dimple.rim_feed") is None:
            keep = feeds == FEEDS[0]
            shares, feeds, relief = shares[keep], feeds[keep], relief[keep]
        bend = self._scale("bar.bend")
        if bend is None:
            keep = shares == BENDS[0]
            shares, feeds, relief = shares[keep], feeds[keep], relief[keep]
        top, bar = self._farthest()
        found = {"dimple.rim_feed": feeds[None], "bar.relief_thickness": self._reliefs[relief][None]}
        if bend is not None:
            found["bar.bend"] = bend.low + shares[None] * (top[bar][:, relief] - bend.low)
        return {scale.name: scale.at(found[scale.name]) for scale in self.scales}

    def finer(self, found: Candidates) -> Candidates:
        """The best choices of each ball and first drill, their scales set more finely in looks that halve."""
        found = found.take(_leading(found.cost, self.choices.kinds[found.row], FINER))
        for look in range(LOOKS):
            if self._ended() or not self.scales:
                break
            found = self._about(found, 0.5**look, look / LOOKS, (look + 1) / LOOKS)
        return found

    def _about(self, found: Candidates, part: float, start: float, end: float) -> Candidates:
        """The best design of each among itself and its neighbours on every scale."""
        moves = np.array(list(product((0, -1, 1), repeat=len(self.scales))), float)
        at, idle = self._moved(found, moves, part)
        solved, done = self._ask(found.row, at, idle, (start, end))
        best = self._best(found.row, at, solved, done)
        return best if np.all(np.isfinite(best.cost)) else _better(found, best)

    def _moved(self, found: Candidates, moves: Values, part: float) -> tuple[Columns, Truth]:
        """Designs beside each, and which of them differ in nothing that counts; shape (n, moves)."""
        at = {
            s.name: s.at(found.at[s.name][:, None] + moves[None, :, i] * s.step * part)
            for i, s in enumerate(self.scales)
        }
        idle = np.zeros((found.row.size, len(moves)), bool)
        for i, scale in enumerate(self.scales):
            if scale.name == "dimple.rim_feed":
                idle |= self.choices.plain_holes[found.row][:, None] & (moves[None, :, i] != 0)
        return at, idle

    def _rooms(self, found: Candidates, added: Offsets, share: tuple[float, float]) -> Values:
        return self.rooms_of(self.columns(found.row, found.at), added, share)

    def rooms_of(
        self, columns: Columns, added: Offsets, share: tuple[float, float] = (0.0, 1.0), last: bool = False
    ) -> Values:
        """Share of the error points under which each design is still sound and right; NaN where none was solved.

        Parameters
        ----------
        columns : dict of str to array
            Designs, shape (n,).
        added : dict of str to array
            As `misses.offsets` gives it.
        share : tuple of float
            Of the stage's progress.
        last : bool
            Whether this ends the work.
        """
        self._stage = len(SHARES) - 1 if last else self._stage
        count = next(iter(columns.values())).size
        points = next((offset.shape[1] for offset in added.values()), 1)
        spread = missed(columns, self.numbers, added)
        solved, done = self._solve(spread, np.zeros((count, points), bool), share)
        good = self._meets(solved) & done
        asked = np.count_nonzero(done, axis=1)
        return np.where(asked > 0, np.count_nonzero(good, axis=1) / np.maximum(asked, 1), np.nan)

    def roomy(self, found: Candidates, spans: dict[str, tuple[float, float]]) -> Candidates:
        """Of each ball and first drill the design with most room, the best of them polished.

        Parameters
        ----------
        found : Found
            Designs that meet what is wanted.
        spans : dict of str to (low, high)
            Shop errors.
        """
        self._stage = 2
        if not self.scales and found.row.size <= FULL:
            return found
        if found.row.size > ALL or self._ended():
            count = LEADING if self._ended() else CANDIDATES
            found = found.take(_leading(_shuffled(found.row.size), self.choices.kinds[found.row], count))
        for points, count, share in ((FEW, LEADING, (0.0, 0.7)), (POLISH, 1, (0.7, 1.0))):
            room = np.nan_to_num(self._rooms(found, offsets(spans, points), share))
            found = replace(found, cost=-room)
            found = found.take(_leading(found.cost, self.choices.kinds[found.row], count))
        return self._polished(found.take(np.arange(found.row.size) < PROPOSED), offsets(spans, POLISH))

    def _polished(self, found: Candidates, added: Offsets) -> Candidates:
        """Designs in the order of their room, the first of them replaced by what changes by chance make roomier."""
        self._stage = 3
        if self._ended() or not self.scales:
            return found
        rng = np.random.default_rng(2)
        first, rest = found.take(np.arange(found.row.size) < POLISHED), np.arange(found.row.size) >= POLISHED
        for look in range(POLISHES):
            if self._ended():
                break
            first = self._roomier(first, _reach(look), rng, added, (look / POLISHES, (look + 1) / POLISHES))
        return _joined(first, found.take(rest))

    def _ended(self) -> bool:
        return self.stopped

    def _roomier(
        self, found: Candidates, reach: float, rng: np.random.Generator, added: Offsets, share: tuple[float, float]
    ) -> Candidates:
        """Each design, or the one changed by chance that has more room."""
        tried = self._changed(found, reach, rng)
        own = self._asked(tried)
        room = np.full(tried.row.size, -1.0)
        if np.any(own):
            room[own] = np.nan_to_num(self._rooms(tried.take(own), added, share), nan=-1.0)
        if self._ended():
            return found
        tried = replace(tried, cost=-room)
        count = found.row.size
        best = tried.take(np.arange(count) + count * np.argmin(tried.cost.reshape(-1, count), axis=0))
        return _better(found, best)

    def _changed(self, found: Candidates, reach: float, rng: np.random.Generator) -> Candidates:
        """Designs changed by chance, some in what is bought beside ball and first drill, all in what is set.

        A relief that grows thicker takes a bend that falls with its cube, so that the bar pushes alike.
        """
        rows = np.tile(found.row, CHILDREN)
        other = np.array([rng.choice(self._alike[int(self.choices.kinds[row])]) for row in rows], np.intp)
        rows = np.where(rng.random(rows.size) < OTHERS, other, rows)
        at = {}
        stiffer = np.exp(reach * rng.normal(0, 0.12, rows.size))
        for scale in self.scales:
            own = np.tile(found.at[scale.name], CHILDREN)
            if scale.name == "bar.relief_thickness":
                own = own * stiffer
            elif scale.name == "bar.bend" and any(s.name == "bar.relief_thickness" for s in self.scales):
                own = own * stiffer**-3
            at[scale.name] = scale.at(own + reach * scale.step * rng.normal(0, 1, rows.size))
        return Candidates(rows, at, np.zeros(rows.size), np.ones(rows.size, bool))

    @cached_property
    def _alike(self) -> dict[int, Index]:
        """Rows by their ball and first drill."""
        kinds = self.choices.kinds
        return {int(kind): np.flatnonzero(kinds == kind) for kind in np.unique(kinds)}

    def _asked(self, found: Candidates) -> Truth:
        """Whether each design itself, with no error, meets what is wanted."""
        at = {name: values[:, None] for name, values in found.at.items()}
        solved, done = self._ask(found.row, at, np.zeros((found.row.size, 1), bool), None)
        return np.asarray((self._meets(solved) & done)[:, 0])

    def columns(self, row: Index, at: Columns) -> Columns:
        """Columns for the kernel of some choices with their scales; shape (n,)."""
        return {name: values[row] for name, values in self.choices.columns.items()} | at

    def _ask(
        self, row: Index, at: Columns, idle: Truth, share: tuple[float, float] | None = (0, 1)
    ) -> tuple[Solved, Truth]:
        """Choices (n,) at values of shape (n, k) or (1, k)."""
        columns = {name: values[row][:, None] for name, values in self.choices.columns.items()} | at
        thick = columns.get("bar.relief_thickness", np.zeros((1, 1)))
        return self._solve(columns, idle | (thick > columns["bar.thickness"]), share)

    def _solve(self, columns: Columns, out: Truth, share: tuple[float, float] | None) -> tuple[Solved, Truth]:
        """Results, flags and whether solved, of two axes; motion only where all else is right."""
        solved, done = self._blocks(columns, out, self._still, share)
        if self._moving:
            blank = {name: np.full(out.shape, np.nan) for name in self._moving}
            likely = self._meets(solved, still=True) & done
            if np.any(likely) and np.array_equal(done, ~out):
                where = np.nonzero(likely)
                some = {n: np.broadcast_to(v, out.shape)[where] for n, v in columns.items()}
                moved, told = self._blocks(some, np.zeros(where[0].size, bool), self._moving, None)
                for name, values in moved.results.items():
                    blank[name][where] = values
                done[where] &= told
            solved = Solved(solved.results | blank, solved.flags)
        return solved, done

    def _blocks(
        self, columns: Columns, out: Truth, names: tuple[str, ...], share: tuple[float, float] | None
    ) -> tuple[Solved, Truth]:
        results = {name: np.full(out.shape, np.nan) for name in names}
        flags = {name: np.ones(out.shape, bool) for name in UNSOUND}
        done = np.zeros(out.shape, bool)

        def keep(place: Box, chosen: Truth | None, found: Answers) -> None:
            where = ... if chosen is None else chosen
            for name in names:
                results[name][view_of(place)][where] = in_unit(name, found.results[name])
            for name in UNSOUND:
                flags[name][view_of(place)][where] = found.flags[name]
            done[view_of(place)][where] = True

        record = assemble({**self.numbers, **columns})
        self.stopped |= not solve(record, out, names, keep, self.executor, self._shared(share))
        self.solved += int(np.count_nonzero(done))
        return Solved(results, flags), done

    def _shared(self, share: tuple[float, float] | None) -> Progress:
        """Progress of one part as that of the whole."""
        before = SHARES[self._stage - 1] if self._stage else 0.0
        width = SHARES[self._stage] - before

        def tell(done: int, total: int) -> None:
            if share is not None:
                part = share[0] + (share[1] - share[0]) * done / total
                self._reached(round(TICKS * (before + width * part)))

        return tell

    def _reached(self, tick: int) -> None:
        """Tell how far the work is, where that is farther than before."""
        if tick > self._told:
            self._told = tick
            self._progress(tick, TICKS)

    def end(self) -> None:
        """Tell that the work is through."""
        self._reached(TICKS)

    def _meets(self, solved: Solved, still: bool = False) -> Truth:
        """Sound, and right in all that is wanted, or in all but motion."""
        good = ~np.any([solved.flags[flag] for flag in UNSOUND], axis=0)
        for aim in self.bench.aims:
            if not (still and aim.name in MOTION_NAMES):
                good &= aim.miss(solved.results[aim.name]) == 0
        return np.asarray(good)

    def _best(self, row: Index, at: Columns, solved: Solved, done: Truth) -> Candidates:
        """The cheapest design of each line."""
        unsound = np.any([solved.flags[flag] for flag in UNSOUND], axis=0)
        drag = solved.results["drag_torque"]
        base = max(float(self.bench.solve({}, ("drag_torque",)).results["drag_torque"][0]), 1e-9)
        cost = 100 * np.minimum(self.bench.miss(solved), 1e3) - 10 * self.bench.margin(solved)
        cost = np.where(done, cost + np.nan_to_num(drag / (drag + base)) + np.where(unsound, 1e6, 0.0), np.inf)
        pick, lines = np.argmin(cost, axis=1), np.arange(row.size)
        meets = self._meets(solved) & done
        chosen = {name: np.asarray(values[lines, pick]) for name, values in at.items()}
        return Candidates(row, chosen, cost[lines, pick], meets[lines, pick])

    def _tell(self, solved: Solved, done: Truth) -> None:
        """Note what the coarse look says of the wanted results, one by one and two by two."""
        flags = {flag: solved.flags[flag] & done for flag in UNSOUND}
        self.raised = {flag: int(np.count_nonzero(hit)) for flag, hit in flags.items() if np.any(hit)}
        sound = done & ~np.any(list(flags.values()), axis=0)
        self.sound = int(np.count_nonzero(sound))
        met = {}
        for aim in self.bench.aims:
            values = solved.results[aim.name]
            miss = np.where(sound, aim.miss(values), np.inf)
            met[aim.name] = miss == 0
            at = np.unravel_index(np.argmin(miss), miss.shape)
            self.near[aim.name] = int(np.count_nonzero(miss == 0)), float(values[at])
        names = list(met)
        pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
        self.together = {(a, b): int(np.count_nonzero(met[a] & met[b])) for a, b in pairs}


def _leading(cost: Values, kinds: Index, count: int) -> Index:
    """Places of the cheapest few of each kind, in the order of their cost."""
    order = np.argsort(cost, kind="stable")
    seen: dict[int, int] = {}
    found = []
    for place in order:
        kind = int(kinds[place])
        seen[kind] = seen.get(kind, 0) + 1
        if seen[kind] <= count:
            found.append(place)
    return np.array(found, np.intp)


def _better(old: Candidates, new: Candidates) -> Candidates:
    """Of each design the new one where it was solved and costs less."""
    take = new.cost < old.cost
    at = {name: np.where(take, new.at[name], values) for name, values in old.at.items()}
    return Candidates(
        np.where(take, new.row, old.row), at, np.where(take, new.cost, old.cost), np.where(take, new.meets, old.meets)
    )


def _joined(one: Candidates, other: Candidates) -> Candidates:
    """Two lists of designs as one."""
    at = {name: np.concatenate([values, other.at[name]]) for name, values in one.at.items()}
    row, cost = np.concatenate([one.row, other.row]), np.concatenate([one.cost, other.cost])
    return Candidates(row, at, cost, np.concatenate([one.meets, other.meets]))


def _shuffled(count: int) -> Values:
    """An order by chance, always the same."""
    return np.asarray(np.random.default_rng(3).random(count))


def _reach(look: int) -> float:
    """How far a look changes sizes: less and less."""
    return float(0.75**look)
