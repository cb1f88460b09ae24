"""Advice as a frozen result, with the grids of the map that the figure draws."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.moves.move import typed
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.analysis.one_build.limits.limits import Limits
from detentsim.analysis.one_build.summary import Summary, limits_and_summary
from detentsim.analysis.share_inside import shares_inside
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.summary import notebook_table
from detentsim.knife.table.value import as_text
from detentsim.knife.table.values import limits as limits_of

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.judged import Chances
    from detentsim.analysis.in_hand.advise.chances.prospects import Prospects
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.in_hand.advise.trials.reach import OutOfReach
    from detentsim.analysis.many_builds.batch.knives.knives import Knives
    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target

# Proposals with limits and words; the rest are only counted.
TOLD = 6

# Proposals whose share of the knives inside is given.
JUDGED = 3

# Values of each chief move in the map.
MAP = 41

THOU = 25.4e-6


@dataclass(frozen=True, eq=False, repr=False)
class Advice:
    """Advice on one build.

    Attributes
    ----------
    build : Build
    aims : tuple of Aim
        Bands on results.
    met : bool
        Whether the build meets all aims as it stands, and works at all.
    own : dict of str to float
        Its results that are wanted or noticed; NaN where there is none.
    proposals : tuple of Proposal
        Those that meet all aims, best first.
    others : tuple of Proposal
        Those that do not, nearest first, each with the reason.
    against : tuple of (str, str)
        Pairs of aims that single moves meet one by one but none together.
    flags : tuple of str
        Flags of the build as it stands.
    missed : tuple of OutOfReach
        Where nothing meets all aims: those that nothing meets even by themselves.
    prospects : Prospects or None
        Knives on which chances are counted: those of the drawing, or those that this one may be.
    knives : Batch or Fit or None
        What the advice is for; None for a build by itself.
    stands : (Limits, Summary) or None
        Limits and verdict of the build as it stands; None where they are not worked out yet.
    astray : bool
        Whether no knife of the drawing comes near what was read of a wanted result, so that no move can be told.
    """

    build: Build
    aims: tuple[Aim, ...]
    met: bool
    own: dict[str, float]
    proposals: tuple[Proposal, ...]
    others: tuple[Proposal, ...]
    against: tuple[tuple[str, str], ...]
    flags: tuple[str, ...] = ()
    missed: tuple[OutOfReach, ...] = ()
    prospects: Prospects | None = None
    knives: Knives | None = None
    stands: tuple[Limits, Summary] | None = None
    astray: bool = False

    @property
    def now(self) -> Chances | None:
        """Chances of the knives as they stand, that every aim is met among them; None where none were drawn."""
        return None if self.prospects is None else self.prospects.now

    @property
    def best(self) -> Proposal | None:
        """The first proposal; None where none meets the aims, or no change is needed."""
        return self.proposals[0] if self.proposals else None

    @cached_property
    def inside(self) -> float | None:
        """Share of the knives made to the build as it stands that meet all aims; None where nothing is uncertain."""
        return self._shares[0]

    @cached_property
    def inside_after(self) -> tuple[float | None, ...]:
        """The same with each of the first proposals carried out, at most `JUDGED` of them."""
        return self._shares[1:]

    @cached_property
    def _shares(self) -> tuple[float | None, ...]:
        """Shares of `inside` and of `inside_after`, which a report shows side by side."""
        changed = [self.build.change(proposal.changes) for proposal in self.proposals[:JUDGED]]
        return tuple(shares_inside([self.build, *changed], self._bands, {}))

    @property
    def _bands(self) -> tuple[Target, ...]:
        return tuple(aim.band for aim in self.aims)

    @property
    def right(self) -> bool:
        """Whether the build meets all aims as it stands, and no check of its verdict is bad."""
        return self.met and self.summary.sound

    @cached_property
    def _standing(self) -> tuple[Limits, Summary]:
        return limits_and_summary(self.build) if self.stands is None else self.stands

    @property
    def summary(self) -> Summary:
        """Verdict on the build as it stands, the same that every other command gives."""
        return self._standing[1]

    @property
    def past(self) -> tuple[str, ...]:
        """Limits that the build already exceeds."""
        return tuple(limit.name for limit in self._standing[0].passed)

    @cached_property
    def chief(self) -> tuple[Move, ...]:
        """The two chief moves that each change a single input, for a map; fewer where there are none.

        Of a build that meets all aims, feed and bend: what a maker asks for first.
        """
        by_field: dict[str, Move] = {}
        if self.met:
            own = moves(self.build, plain(self.build))
            return tuple(move for move in own if move.name in ("feed deeper", "bend in"))
        for proposal in (*self.proposals, *self.others):
            for move in proposal.tried.moves:
                if move.field and proposal.reason != NO_HELP:
                    by_field.setdefault(move.field, move)
        return tuple(by_field.values())[:2]

    @cached_property
    def field(self) -> Sweep | None:
        """Results over the two chief moves, for drawing; None where there are not two."""
        return self._over(2)

    @cached_property
    def line(self) -> Sweep | None:
        """Results over the first chief move, for drawing; None where there is none."""
        return self._over(1)

    def _over(self, count: int) -> Sweep | None:
        if len(self.chief) < count:
            return None
        vary: dict[str, object] = {move.field: _span(self, move) for move in self.chief[:count]}
        names = [aim.name for aim in self.aims]
        # truths give no distance to draw
        from detentsim.analysis.many_builds.sweep.sweep import sweep  # for the figure alone

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
        if self.astray:
            return "read it again: no knife of the drawing reads near that"
        if self.met:
            return "leave it alone" if self.right else "leave its feel alone"
        return " and ".join(self.best.names) if self.best else "nothing reaches it"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = [("; ".join(p.words), p.reason) for p in self.proposals[:TOLD]]
        return notebook_table(f"{self.build.name}: {self.short}", rows)


def _drawn(names: list[str]) -> list[str]:
    """Results of a map: those with aims, and the breakout force where all aims are truths."""
    return names if any(not RESULTS[name].is_truth for name in names) else ["breakout_force", *names]


def _fed(advice: Advice, vary: dict[str, object]) -> dict[str, object]:
    """Changes that put a feed in place of the height of a loose ball, where the feed is varied."""
    if "dimple.rim_feed" not in vary or advice.build["dimple.loose_ball_height"] is None:
        return {}
    feed = next(move.start for move in advice.chief if move.field == "dimple.rim_feed")
    inches = advice.build.units.length == "in"
    said = f"{feed / THOU:.4g} thou" if inches else as_text(round(feed, 7), "length")
    return {"dimple.loose_ball_height": None, "dimple.rim_feed": said}


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
    least, most = limits_of(INPUTS[move.field], kind)
    low, high = max(move.start - far, least if move.low < 0 else 0.0), min(move.start + far, most)
    return typed(low, kind), typed(high, kind), MAP
