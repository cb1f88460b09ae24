"""Rules of a plan: a first setting, a reading after each, what to do at which reading; simulated on the knives."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.chances.sample import slips
from detentsim.analysis.in_hand.advise.thresholds import PAST
from detentsim.analysis.in_hand.fit.likelihood import REPEATABLE, SPARE
from detentsim.knife.measured.tools import tool
from detentsim.knife.record.doubts import INSIDE

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.chances.course import Course, Places
    from detentsim.analysis.in_hand.advise.chances.judged import Judged
    from detentsim.mechanics.record import Array

# Share of the knives that the search for a plan of what cannot be undone lets go past an end of their bands: less than
# `PAST`, which its first setting may reach, since the search looks at few knives.
KEPT = 0.03

# Settings at most, what one of them costs in landing, and repeats of the knives in a simulation.
MOST, COST, REPEATS = 8, 0.01, 2

# Steps to go on by, in errors of a careful bench; limits of the reading, from the near end of the band to the far one.
STEPS, LIMITS = (0.5, 1.0, 2.0, 4.0), (0.0, 0.12, 0.25, 0.4, 0.55)

# Windows of the reading of what can be corrected both ways, as parts of the band.
WINDOWS = (0.1, 0.2, 0.3)

# Tries at which a blade is let fall.
TRIES = 3


class Watch(NamedTuple):
    """Result that is read after each setting."""

    name: str
    low: float  # its band, in its unit; infinite where it is open
    high: float
    rises: bool  # whether it grows along the move


class Rule(NamedTuple):
    """What to do at which reading. All sizes in SI, readings in their unit."""

    first: float  # end of the first setting
    then: float  # amount of each further one, with its sign; of a two-way rule the amount for one unit of the reading
    low: float  # readings between which to stop
    high: float
    two_way: bool


class Followed(NamedTuple):
    """How knives end when rules are followed on them."""

    judged: Judged  # tables of shape (rules, knives)
    settings: Array  # how often each was set, shape (rules, knives)


def read_aim(before: dict[str, Array], aims: Sequence[Aim]) -> Aim | None:
    """Aim whose result is read: of those that a bench can read, the one that most knives miss; None where none can be.

    Parameters
    ----------
    before : dict of str to array
        Results of the knives as they stand.
    aims : sequence of Aim
    """
    able = [aim for aim in aims if aim.name == "falls_shut" or (aim.truth is None and tool(aim.name) is not None)]
    return max(able, key=lambda one: float(np.mean(one.miss(before[one.name]) > 0)), default=None)


def watched(found: Course, aim: Aim) -> Watch:
    """Result that is read along a course.

    Parameters
    ----------
    found : Course
    aim : Aim
        As `read_aim` gives it.
    """
    rows = found.results[aim.name]
    with np.errstate(invalid="ignore"):
        change = np.nanmean(rows[-1] - rows[0]) if np.any(np.isfinite(rows[-1] - rows[0])) else 0.0
    rises = bool(change * (found.values[-1] - found.values[0]) > 0)
    return Watch(aim.name, aim.low, aim.high, rises)


def read(found: Course, watch: Watch, ends: Array, knives: Places, rng: np.random.Generator) -> Array:
    """Readings of knives, with the errors of the tool; of a blade let fall 1 where it falls shut at every try.

    Parameters
    ----------
    found : Course
    watch : Watch
    ends : array, shape (rules, n)
        Where the move ends [SI].
    knives : array of int, shape (n,)
    rng : Generator
        Gives each knife one error, the same for every rule that is tried on it.
    """
    rows = found.at(ends)
    values = found.results[watch.name][rows, knives]
    if watch.name == "falls_shut":
        spare, drag = (found.results[name][rows, knives] for name in SPARE["falls_shut"])
        scale = REPEATABLE * np.nan_to_num(np.abs(drag))
        worst = np.min(rng.standard_normal((TRIES, knives.size)), axis=0)
        return np.asarray(np.where(np.isfinite(spare), np.where(spare + scale * worst > 0, 1.0, 0.0), values))
    usual = tool(watch.name)
    assert usual is not None
    error = np.hypot(usual.least, usual.part * np.nan_to_num(values))
    return np.asarray(values + error * rng.standard_normal(knives.size))


def follow(found: Course, watch: Watch, tried: Sequence[Rule], rng: np.random.Generator) -> Followed:
    """Follow rules on every knife of a course, with the errors of a careful bench, the same for each rule.

    Parameters
    ----------
    found : Course
    watch : Watch
    tried : sequence of Rule
        All two-way, or none.
    rng : Generator

    Returns
    -------
    Followed
        Each knife `REPEATS` times.
    """
    move, knives = found.move, np.tile(np.arange(found.judged.meets.shape[1]), REPEATS)
    first, then, low, high = (np.array(column, float)[:, None] for column in list(zip(*tried, strict=True))[:4])
    shape = len(tried), knives.size
    aimed, ends = np.broadcast_to(first, shape), np.full(shape, move.start)
    active, settings = np.ones(shape, bool), np.zeros(shape)
    side = np.copysign(1.0, then)
    for _ in range(MOST):
        moving = active & ((aimed != move.start) | (not move.stays))
        reached = aimed + rng.standard_normal(knives.size) * move.near / INSIDE
        if not move.undo:  # metal that is off stays off
            reached = side * np.maximum(side * reached, side * ends)
        ends, settings = np.where(moving, reached, ends), settings + moving
        reading = read(found, watch, ends, knives, rng)
        reading = np.where(np.isnan(reading), low, reading)  # nothing to read: stop
        outside = (reading < low) | (reading > high)
        more = ((low + high) / 2 - reading) * then if tried[0].two_way else then
        further = np.where(outside, more, 0.0)
        active = active & (further != 0)
        aimed = np.where(active, aimed + further, aimed)
        if not np.any(active):
            break
    return Followed(found.outcome(ends, knives), settings)


def rules(found: Course, watch: Watch, value: float) -> Iterator[Rule]:
    """Rules that are tried.

    Parameters
    ----------
    found : Course
    watch : Watch
    value : float
        Where a move set once lands most of the knives [SI].
    """
    if found.move.undo and watch.name != "falls_shut":
        yield from _two_way(found, watch, value)
    else:
        yield from _one_way(found, watch, value)


def _two_way(found: Course, watch: Watch, value: float) -> Iterator[Rule]:
    rows = found.results[watch.name]
    at = int(np.clip(found.at(np.array(value)), 8, found.values.size - 9))
    with np.errstate(invalid="ignore"):
        slopes = (rows[at + 8] - rows[at - 8]) / (found.values[at + 8] - found.values[at - 8])
    slopes = slopes[np.isfinite(slopes)]
    slope = float(np.median(slopes)) if slopes.size else 0.0
    if slope == 0:
        return
    low, high = _band(watch, rows[at])
    for part in WINDOWS:
        yield Rule(value, 1 / slope, low + part * (high - low), high - part * (high - low), True)


def _band(watch: Watch, values: Array) -> tuple[float, float]:
    """Band of a watched result; one that is open ends a quarter of the knives' middle beyond its one end."""
    known = values[np.isfinite(values)]
    far = 0.25 * float(np.median(np.abs(known))) if known.size else 1.0
    low = watch.low if math.isfinite(watch.low) else watch.high - far
    return low, watch.high if math.isfinite(watch.high) else low + far


def _one_way(found: Course, watch: Watch, value: float) -> Iterator[Rule]:
    move, side = found.move, math.copysign(1.0, value - found.move.start)
    firsts, end = _safe(found, np.linspace(move.start, value, 9)), move.high if side > 0 else move.low
    if watch.name == "falls_shut":
        limits = [(0.5, math.inf)]
    else:
        low, high = _band(watch, found.results[watch.name][found.at(np.array(value))])
        ends = [part * (high - low) for part in LIMITS]
        limits = [(low + end, math.inf) if watch.rises == (side > 0) else (-math.inf, high - end) for end in ends]
    for first in firsts:
        room = abs(end - first)  # nobody goes on by more than there is
        for then in dict.fromkeys(min(step * move.near, room) for step in STEPS if room):
            for limit in limits:
                yield Rule(first, side * then, *limit, False)


def _safe(found: Course, firsts: Array) -> list[float]:
    """First settings that take few of the knives past an end of their bands; to read first and set nothing is one."""
    if found.move.undo:
        return [float(one) for one in firsts]
    knives = np.arange(found.judged.meets.shape[1])
    ends = firsts[:, None] + slips(knives.size, 0) * found.move.near / INSIDE
    past = np.mean(found.outcome(ends, knives).overshoots, axis=1)
    safe = past <= PAST
    safe[0] |= found.move.stays
    return [float(one) for one in firsts[safe]]


def best_rule(found: Course, watch: Watch, value: float) -> Rule | None:
    """Rule that lands most of the knives, with few settings; of what cannot be undone one that hardly overshoots.

    Parameters
    ----------
    found : Course
    watch : Watch
    value : float
        Where a move set once lands most of the knives [SI].
    """
    tried = list(rules(found, watch, value))
    if not tried:
        return None
    done = follow(found, watch, tried, np.random.default_rng(11))
    parts = done.judged.meets, done.judged.overshoots, done.settings
    lands, past, settings = (np.mean(part, axis=1) for part in parts)
    over = np.zeros(len(tried)) if found.move.undo else np.round(np.maximum(past - KEPT, 0.0), 3)
    return tried[int(np.lexsort((COST * settings - lands, over))[0])]
