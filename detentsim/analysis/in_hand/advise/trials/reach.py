"""Why nothing meets all aims: which of them no move meets by itself, and which two pull against each other."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.trials.pairs import nearest_pairs
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.analysis.results import told

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.trials.solved import Trial
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False)
class OutOfReach:
    """An aim that no move and no pair meets, even with all other aims dropped.

    Attributes
    ----------
    aim : Aim
    nearest : Trial or None
        The sound move or pair that comes nearest; None where none comes nearer than the build itself.
    value : float, bool or None
        What that gives of the aim's result, in its unit; the build's own value where there is none.
    """

    aim: Aim
    nearest: Trial | None
    value: float | bool | None


def what_stops(
    build: Build, numbers: Plain, aims: tuple[Aim, ...], watch: Callable[[int], None] | None
) -> tuple[Pairs, tuple[OutOfReach, ...]]:
    """Pairs of aims that can be met each but not together, and aims that cannot be met at all.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    aims : tuple of Aim
        That nothing meets all at once.
    watch : callable or None
        Is called with each number of designs solved.
    """
    missed: dict[str, OutOfReach] = {}
    for aim in aims:
        bench = Trials(numbers, (aim,), watch)
        tries = _all_tries(bench, build, numbers)
        if not _met(bench, tries):
            missed[aim.name] = _out_of_reach(bench, aim, tries)
    alone = [aim for aim in aims if aim.name not in missed]
    against = [two for two in combinations(alone, 2) if len(aims) == 2 or not _together(build, numbers, two, watch)]
    return tuple((a.name, b.name) for a, b in against), tuple(missed.values())


def _together(build: Build, numbers: Plain, two: tuple[Aim, ...], watch: Callable[[int], None] | None) -> bool:
    bench = Trials(numbers, two, watch)
    return _met(bench, _all_tries(bench, build, numbers))


def _met(bench: Trials, tries: list[Trial]) -> bool:
    return float(bench.miss(bench.base)[0]) == 0 or any(t.reaches for t in tries)


def _all_tries(bench: Trials, build: Build, numbers: Plain) -> list[Trial]:
    """Single moves at their best, with pairs where none of them meets the aims."""
    if float(bench.miss(bench.base)[0]) == 0:
        return []
    tries = bench.best_of(moves(build, numbers))
    return tries if any(t.reaches for t in tries) else [*tries, *nearest_pairs(bench, tries)]


def _out_of_reach(bench: Trials, aim: Aim, tries: list[Trial]) -> OutOfReach:
    own = float(bench.miss(bench.base)[0])
    nearer = [t for t in tries if t.sound and t.miss < own * (1 - 1e-6)]
    best = min(nearer, key=lambda t: (round(t.miss, 6), len(t.moves)), default=None)
    solved = bench.base if best is None else bench.solve(best.columns)
    return OutOfReach(aim, best, told(aim.name, solved.results[aim.name]))
