"""A proposal as a frozen result: one move, or a pair, at its best amount, with its chances and its plan in steps."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.chances.plan_words import plan_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.in_hand.advise.chances.judged import Chances
    from detentsim.analysis.in_hand.advise.chances.prospects import Plan, Prospects
    from detentsim.analysis.in_hand.advise.moves.move import Move
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.analysis.one_build.summary import Summary


@dataclass(frozen=True, eq=False, repr=False)
class Proposal:
    """One move, or a pair, at its best amount.

    Attributes
    ----------
    names : tuple of str
        Of its moves.
    words : tuple of str
        Instructions, a line for each move.
    reason : str
        Why, in one sentence; for one that does not reach, what stops it.
    reaches : bool
        Whether what is wanted is met.
    undo : bool
        Whether all of it can be undone.
    needs : tuple of str
        Parts to take apart.
    side_effects : float
        Changes of what a hand notices beside what is wanted, in tenths.
    room : float or None
        Tolerance of the amount over the error of a careful bench; None for bought sizes.
    flags : tuple of str
        Flags that it raises.
    passed : tuple of str
        Limits that it passes and that held before.
    results : mapping of str to float, bool or None
        All results after it, in their units.
    changes : dict
        Changes of the build file, for `Build.change`.
    tried : Trial
        As it was tried on the kernel.
    prospects : Prospects
        Knives on which its chances are counted.
    after : Summary or None
        Verdict on the build with the proposal carried out; None for one that does not reach.
    breaks : tuple of str
        Checks of that verdict that hold for the build as it stands and fail after the proposal; its target among them
        only where it misses one on what is not wanted otherwise now.
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
    results: Mapping[str, float | bool | None]
    changes: dict[str, object]
    tried: Trial
    prospects: Prospects
    after: Summary | None = None
    breaks: tuple[str, ...] = ()

    @cached_property
    def chances(self) -> Chances:
        """Its chances on the possible knives."""
        return self.prospects.of(self.tried.moves, self.tried.values)

    @property
    def lands(self) -> float:
        """Chance that it is inside: every aim met, no warning of an unsound design; set once by a careful bench."""
        return self.chances.lands

    @property
    def overshoots(self) -> float:
        """Chance that a result is taken past an end of its band, or what was as wanted is lost."""
        return self.chances.overshoots

    @property
    def warns(self) -> float:
        """Chance of a warning of an unsound design that the knife has not now."""
        return self.chances.warns

    @cached_property
    def side(self) -> dict[str, tuple[float, float]]:
        """Changes of what a hand notices beside what is wanted, as parts of the knife's own; nine knives in ten."""
        return self.prospects.side(self.tried.moves, self.tried.values)

    @cached_property
    def plan(self) -> Plan | None:
        """The move in steps, with a reading after each; of a pair its last.

        None for what is bought, or not read, and where following them takes more knives too far than inside.
        """
        ordered = self._ordered
        alone = len(ordered) == 1
        found = self.prospects.plan(*ordered[0]) if alone else self.prospects.plan_after(*ordered[0], *ordered[1])
        return found if found is not None and found.lands > found.overshoots else None

    @property
    def _ordered(self) -> list[tuple[Move, float]]:
        """Moves with their ends; what can be undone, and what is bought, before what is cut bit by bit."""
        pairs = zip(self.tried.moves, self.tried.values, strict=True)
        return sorted(pairs, key=lambda one: (bool(one[0].near), not one[0].undo))

    @property
    def steps(self) -> tuple[str, ...]:
        """Instructions of the plan, a sentence each: set, read, go on or stop; empty without a plan."""
        if self.plan is None:
            return ()
        *first, (last, _) = self._ordered
        return (*(f"{move.words(value)}." for move, value in first), *plan_words(last, self.plan))

    @property
    def chance(self) -> float:
        """Chance to end inside, in steps where there are some and they are better."""
        return max(self.lands, 0.0 if self.plan is None else self.plan.lands)

    @property
    def meets(self) -> float:
        """Chance that what is wanted is met with no new warning, as `chance`; a warning that stands now may stay."""
        return max(self.chances.meets, 0.0 if self.plan is None else self.plan.meets)

    @property
    def past(self) -> float:
        """Chance to go too far for good, in steps where there are some; 0 for what can be undone."""
        if self.undo:
            return 0.0
        return self.overshoots if self.plan is None else self.plan.overshoots

    def __repr__(self) -> str:
        return f"<Proposal: {'; '.join(self.words)}>"
