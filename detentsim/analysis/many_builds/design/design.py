"""Stock sizes and bench settings with which a knife meets its target, ranked by the share of knives inside.

`choices` gives the design variables, `search` finds candidates; here they become builds and words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.aims import Aim, read_aims
from detentsim.analysis.in_hand.advise.moves.move import Columns, calibrated
from detentsim.analysis.in_hand.advise.trials.trials import Trials, need_aims
from detentsim.analysis.inside import unsound
from detentsim.analysis.many_builds.design.choices import BOUGHT, FREE, Choices, choices, held_fixed, scales
from detentsim.analysis.many_builds.design.proposals import DesignProposal, Designs
from detentsim.analysis.many_builds.design.search import Search
from detentsim.analysis.many_builds.design.shop_errors import errors
from detentsim.analysis.many_builds.sweep.blocks import Progress, progress_line
from detentsim.analysis.results import AllResults, number
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS, unknown_input
from detentsim.knife.table.value import as_text
from detentsim.mechanics.names import ALL_NAMES, MOTION_NAMES, RESULT_NAMES
from detentsim.shop.tables import SAME
from detentsim.units.errors import InputError
from detentsim.units.numbers import two_digits
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Collection
    from concurrent.futures import Executor

    from detentsim.analysis.many_builds.design.candidates import Candidates
    from detentsim.knife.record.inputs import Plain

# Shares inside that differ by less rank alike; the margin then decides.
ALIKE = 0.01


def design(
    build: Build,
    fixed: Collection[str] = (),
    aims: tuple[Aim, ...] | None = None,
    progress: Progress | None = None,
    executor: Executor | None = None,
) -> Designs:
    """Propose sizes, bought and set, with which a knife meets its target.

    Parameters
    ----------
    build : Build
        Supplies everything that is not chosen, and the target.
    fixed : collection of str
        Dotted names of inputs that stay as the build has them.
    aims : tuple of Aim, optional
        As `read_aims` of `detentsim.analysis.in_hand.advise.aims` makes them; the build's target by default.
    progress : callable, optional
        Called with ``(steps done, steps in all)``; by default a line on standard error where that is a terminal.
    executor : Executor, optional
        Pool that solves the blocks; this process by default.

    Returns
    -------
    Designs
        With words in place of proposals where nothing meets the target; Ctrl-C keeps the designs reached so far.

    Raises
    ------
    InputError
        Where there is no target, or a fixed name is no input.

    Notes
    -----
    Chosen are ball, both drills, slab and relief cutter, every combination of the stock sizes that suit; and bend, feed
    of the second drill and relief's thickness, to a hundredth of a millimetre. The search is a full-factorial grid, a
    pattern search about the best of each ball and pilot drill, and an evolution strategy that raises the share inside:
    of a batch of 256 knives made to the design, those that meet the target and are sound, as `detentsim.batch` counts
    them.
    """
    numbers = plain(need_build(build))
    need_aims(aims)
    wanted = _aims(build, numbers) if aims is None else aims
    if not wanted:
        raise _nothing_wanted()
    held = held_fixed(build, _names(fixed))
    bought, set_ = choices(build, numbers, held), scales(build, numbers, held)
    report = progress or progress_line("{share:.0%} of the search")
    search = Search(numbers, wanted, bought, set_, report, executor)
    spread = errors(build, numbers)
    search.run(spread)
    proposals = _proposals(build, search)
    search.evaluation.end()
    free = tuple(name for name in FREE if name not in held)
    return Designs(
        build, wanted, free, tuple(name for name in FREE if name in held), proposals,
        "" if proposals else _why_none(search), len(bought), search.evaluation.solved, bought.dropped, spread,
        search.stopped,
    )  # fmt: skip


def _aims(build: Build, numbers: Plain) -> tuple[Aim, ...]:
    """Aims of the build's target."""
    names = tuple(dict.fromkeys(target.name for target in build.target))
    if not names:
        return ()
    solved = Trials(numbers, ()).solve({}, names)
    return read_aims(build.target, solved.first)


def _nothing_wanted() -> InputError:
    example = 'breakout_force = { at_least = "9 N", at_most = "13 N" }'
    return InputError("target", None, f"is missing; write [target] with what is wanted, such as {example}")


def _names(fixed: Collection[str]) -> tuple[str, ...]:
    """Checked names of inputs; raises at the first that is none."""
    if not isinstance(fixed, Iterable):
        raise InputError("fixed", fixed, f'{shown(fixed)} names no inputs; give a list such as ["bar.bend"]')
    names = (fixed,) if isinstance(fixed, str) else tuple(fixed)
    for name in names:
        if name not in INPUTS:
            raise InputError(str(name)[:80], name, unknown_input(name))
    return names


def _proposals(build: Build, search: Search) -> tuple[DesignProposal, ...]:
    """Proposals of the search, as changes of the build file, ranked."""
    made = [_made(build, search, search.kept, i) for i in range(search.kept.row.size)]
    kept = [one for one in made if one is not None]
    if not kept:
        return ()
    plains = [plain(changed) for _, changed, _, _ in kept]
    names = dict.fromkeys(name for numbers in plains for name in numbers)
    columns: Columns = {name: np.array([number(numbers, name) for numbers in plains]) for name in names}
    solved = search.bench.solve(columns, (*RESULT_NAMES, *search.bench.names))
    everything, known = cache(lambda: search.bench.solve(columns, ALL_NAMES).told), solved.told
    sound = ~unsound(solved.flags) & (search.bench.miss(solved) == 0)
    margin, inside = search.bench.margin(solved), np.full(sound.size, np.nan)
    inside[sound] = search.shares([changed for (_, changed, _, _), good in zip(kept, sound, strict=True) if good])
    proposals = []
    for i in map(int, np.flatnonzero(sound & np.isfinite(inside))):
        changes, changed, sizes, metres = kept[i]
        results = AllResults(known[i], everything, i)
        flags = tuple(flag for flag, hit in solved.flags.items() if hit[i])
        proposals.append(
            DesignProposal(sizes, metres, changes, results, float(margin[i]), float(inside[i]), flags, changed)
        )
    return _ranked(proposals)


def _ranked(proposals: list[DesignProposal]) -> tuple[DesignProposal, ...]:
    """The best proposal of each ball and pilot drill: one that is sound, then by share inside, then margin."""
    kinds: dict[tuple[str, str], list[DesignProposal]] = {}
    for p in sorted(proposals, key=_rank):
        kinds.setdefault((p.sizes["ball.diameter"], p.sizes["dimple.pilot_drill"]), []).append(p)
    best = [next((p for p in alike if p.sound), alike[0]) for alike in kinds.values()]
    return tuple(sorted(best, key=lambda p: (not p.sound, *_rank(p))))


def _rank(p: DesignProposal) -> tuple[float, float]:
    return -round(p.inside / ALIKE), -p.margin


_Made = tuple[dict[str, object], Build, dict[str, str], dict[str, float]]


def _made(build: Build, search: Search, candidates: Candidates, i: int) -> _Made | None:
    """One design as changes of the build, and the build with them; None where a build refuses them."""
    row = search.choices.rows[int(candidates.row[i])]
    sizes = {name: size.text for name, size in zip(BOUGHT, row, strict=True) if size.text}
    metres = {name: size.si for name, size in zip(BOUGHT, row, strict=True) if size.text}
    for name, values in candidates.at.items():
        if name != "dimple.rim_feed" or sizes["dimple.rim_drill"] != "none":
            metres[name] = float(f"{values[i]:.9g}")
            sizes[name] = as_text(metres[name], "length")
    for name in FREE:
        own = number(search.numbers, name)
        if name not in sizes and math.isfinite(own) and (name != "dimple.rim_feed" or _rimmed(sizes)):
            metres[name], sizes[name] = own, as_text(own, "length")
    changes = _changes(build, search.numbers, sizes, metres)
    try:
        return changes, build.change(changes), sizes, metres
    except InputError:
        return None


def _rimmed(sizes: dict[str, str]) -> bool:
    return sizes.get("dimple.rim_drill", "none") != "none"


def _changes(build: Build, numbers: Plain, sizes: dict[str, str], metres: dict[str, float]) -> dict[str, object]:
    """Changes of the build file, without inputs that a choice makes void."""
    changes: dict[str, object] = {}
    for name, text in sizes.items():
        own = number(numbers, name)
        same = abs(metres[name] - own) <= SAME if math.isfinite(own) else not math.isfinite(metres[name])
        if not same:
            changes[name] = text
    if "ball.diameter" in changes and build["ball.hole_drill"] is not None:
        changes["ball.hole_drill"] = None
    if not _rimmed(sizes):
        changes |= {"dimple.rim_feed": None, "dimple.loose_ball_height": None}
    elif build["dimple.loose_ball_height"] is not None or build["dimple.rim_feed"] is None:
        changes |= {"dimple.loose_ball_height": None, "dimple.rim_feed": sizes["dimple.rim_feed"]}
    if any(name.startswith("bar.") for name in changes):
        changes |= calibrated(build, numbers)
    return changes


def _why_none(search: Search) -> str:
    """Reason in words why no design meets the target."""
    if search.stopped:
        return "Stopped before any design that meets the target was found."
    if not len(search.choices):
        return _nothing_fits(search.choices)
    if not search.statistics.sound:
        flag = max(search.statistics.raised, key=lambda name: search.statistics.raised[name])
        return f"No design is sound. Most often: {FLAGS[flag]}"
    still = [aim for aim in search.bench.aims if aim.name not in MOTION_NAMES]
    missed = [aim for aim in still if not search.statistics.near[aim.name][0]]
    if missed:
        return " ".join(_missed(search, aim) for aim in missed)
    apart = [
        pair for pair, count in search.statistics.together.items() if not count and not set(pair) & set(MOTION_NAMES)
    ]
    if apart:
        one, other = (name.replace("_", " ") for name in apart[0])
        return f"{one[0].upper()}{one[1:]} and {other} can each be met, but no sound design meets both."
    return _rest_missed(search)


def _nothing_fits(bought: Choices) -> str:
    if not bought.dropped:
        return "No stock drill suits the ball: the first is a little smaller than it, the second no larger than it."
    why = max(bought.dropped, key=lambda words: bought.dropped[words])
    return f"No stock sizes fit the rest of this build: {why}."


def _missed(search: Search, aim: Aim) -> str:
    """Sentence on one aim that no sound design meets, with the nearest value."""
    value = search.statistics.near[aim.name][1]
    if not math.isfinite(value):
        return f"No sound design has a value for it: {aim.words}."
    return (
        f"No sound design gives {aim.words}; the nearest gives {two_digits(value)} {RESULTS[aim.name].unit}".rstrip()
        + "."
    )


def _rest_missed(search: Search) -> str:
    """Sentence on aims that some design meets each, and none meets together."""
    aims = [aim for aim in search.bench.aims if aim.name in MOTION_NAMES and not search.statistics.near[aim.name][0]]
    unknown = [aim.name.replace("_", " ") for aim in aims if not math.isfinite(search.statistics.near[aim.name][1])]
    if unknown:
        needs = "how the blade moves depends on its mass, balance and inertia"
        return f"No sound design has a value for {' and '.join(unknown)}: {needs}."
    moving = [aim.words for aim in aims]
    if not moving:
        return "Each target can be met, but no sound design meets all of them at once."
    if all(aim.name in MOTION_NAMES for aim in search.bench.aims):
        return f"No sound design meets: {'; '.join(moving)}."
    return f"Where the other targets are met, no sound design meets: {'; '.join(moving)}."
