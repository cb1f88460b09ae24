"""Proposed designs as frozen results."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.summary import Summary, limits_and_summary
from detentsim.knife.table.summary import notebook_table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt

# Rows of the table in a notebook.
SHOWN = 6


@dataclass(frozen=True, eq=False, repr=False)
class DesignProposal:
    """One design that meets the target.

    Attributes
    ----------
    sizes : dict of str to str
        Shop name, or size, of everything that a design chooses and this knife has; ``none`` for no second drill.
    metres : dict of str to float
        The same [m]; NaN for no second drill.
    changes : dict
        Changes of the build file, for `Build.change`.
    results : mapping of str to float, bool or None
        All results, in their units.
    margin : float
        Tenths to the nearer end of the tightest band, up to 1, as `Aim.margin` counts them.
    inside : float
        Share of the knives made to it that meet the target and have no warning of an unsound design: the first 256 of a
        batch.
    flags : tuple of str
        Flags that it raises; none of the unsound ones.
    build : Build
        The build with the changes made.
    """

    sizes: dict[str, str]
    metres: dict[str, float]
    changes: dict[str, object]
    results: Mapping[str, float | bool | None]
    margin: float
    inside: float
    flags: tuple[str, ...]
    build: Build

    @cached_property
    def _judged(self) -> tuple[Limits, Summary]:
        return limits_and_summary(self.build)

    @property
    def bounds(self) -> Limits:
        """Limits of the build with the changes made."""
        return self._judged[0]

    @property
    def summary(self) -> Summary:
        """Verdict on the build with the changes made."""
        return self._judged[1]

    @property
    def passed(self) -> tuple[str, ...]:
        """Names of the limits that are passed (violated)."""
        return tuple(limit.name for limit in self.bounds.passed)

    @property
    def sound(self) -> bool:
        """Whether no check of its verdict is bad; what was wanted instead of the build's target is left to the aims."""
        return all(check.name == "target" for check in self.summary.bad)

    def __repr__(self) -> str:
        sizes = ", ".join(f"{name} {size}" for name, size in self.sizes.items())
        return f"<DesignProposal: {sizes}; {self.inside:.0%} of a batch inside>"


@dataclass(frozen=True, eq=False, repr=False)
class Designs:
    """Result of `design`: the proposals, and what they were chosen from.

    Attributes
    ----------
    build : Build
        Supplies everything that was not chosen.
    aims : tuple of Aim
        The target.
    free, fixed : tuple of str
        Inputs that were varied, and those that were held at the build's value.
    proposals : tuple of DesignProposal
        One of each ball and first drill: those that are sound, the largest share inside first, then the others.
    words : str
        Reason why there is no proposal; empty where there is one.
    combinations, designs : int
        Combinations of bought sizes, and designs that were solved.
    dropped : dict of str to int
        Combinations that do not fit together, by why.
    errors : tuple of Doubt
        Distribution of each input's shop error about 0 [SI].
    stopped : bool
        Whether Ctrl-C ended the search; the proposals are those reached by then.
    """

    build: Build
    aims: tuple[Aim, ...]
    free: tuple[str, ...]
    fixed: tuple[str, ...]
    proposals: tuple[DesignProposal, ...]
    words: str
    combinations: int
    designs: int
    dropped: dict[str, int]
    errors: tuple[Doubt, ...]
    stopped: bool

    @property
    def best(self) -> DesignProposal | None:
        """The first proposal; None where nothing meets what is wanted."""
        return self.proposals[0] if self.proposals else None

    def __len__(self) -> int:
        return len(self.proposals)

    def __repr__(self) -> str:
        state = f"{len(self.proposals)} proposals" if self.proposals else self.words
        return f"<Designs for {self.build.name!r}: {state}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = [(", ".join(p.sizes.values()), f"{p.inside:.0%}") for p in self.proposals[:SHOWN]]
        return notebook_table(self.build.name, rows) + escape(self.words)
