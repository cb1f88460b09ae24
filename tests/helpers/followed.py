"""Advice followed on simulated knives: what comes of it on the knife itself, with the errors of bench and tools."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import read_aims, results_for
from detentsim.analysis.in_hand.advise.chances.chances import carried_out
from detentsim.analysis.in_hand.advise.chances.course import courses, with_spare
from detentsim.analysis.in_hand.advise.chances.judged import judged
from detentsim.analysis.in_hand.advise.chances.rules import follow
from detentsim.analysis.in_hand.advise.chances.sample import Sample
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.knife.record.record import drawn
from detentsim.knife.target.target import Target
from helpers.benched import BENCHED, bench, benched

READ = ("breakout_force", "lift_force_open", "drag_force")

FACTORS = (0.8, 1.0, 1.25)

HALF = 0.18
"""Half the width of the wanted band over its middle, as 9 to 13 N has."""

TIMES = 16
"""Times each knife is worked on, with other errors of the bench."""


class Outcome(NamedTuple):
    """Shares of the times that a knife ends inside, past an end of a band, with a new warning."""

    lands: float
    overshoots: float
    warns: float
    for_good: bool  # whether what was done cannot be undone


def outcome(found, for_good):
    """Shares of what is judged; inside is what is wanted with no new warning: some drawings warn from the start."""
    parts = found.meets, found.overshoots, found.warns
    return Outcome(*(float(np.mean(part)) for part in parts), for_good)


def wanted(name, factor):
    """A build with a band of breakout about some part of what its drawing gives."""
    build = benched(name)
    own = float(ds.curve(build).breakout_force.m)
    middle = factor * own
    return replace(build, target=(Target("breakout_force", (1 - HALF) * middle, (1 + HALF) * middle),))


def knife_of(build, seed, points=None):
    """One knife of a build: its inputs [SI], and its readings with the errors of the tools."""
    made = bench(build, READ, seed, points)[0]
    return {name: made.truth[name] for name in made.truth if "." in name}, made.readings


def true_sample(build, inputs):
    """The knife itself, as often as it is worked on."""
    numbers = drawn(build, {name: np.full(TIMES, value) for name, value in inputs.items()}).numbers
    return Sample(build, numbers, TIMES)


def can_be_reached(build, inputs):
    """Whether the knife, known exactly, is inside or is brought there by some single move."""
    numbers = {name: np.asarray(value).ravel()[0] for name, value in true_sample(build, inputs).numbers.items()}
    bench = Trials(numbers, read_aims(build.target, {}))
    tries = bench.best_of(moves(build, numbers))
    return float(bench.miss(bench.base)[0]) == 0 or any(t.reaches for t in tries)


def first_cut(advice):
    """The first proposal that cannot be undone, of a single move with a plan; None where there is none."""
    return next((p for p in advice.proposals if not p.undo and p.plan is not None), None)


def set_once(advice, knife, p=None):
    """Follow a proposal, by default the first, with one setting; leave the knife alone where there is none."""
    before = knife.solve({}, results_for(advice.aims))
    p = advice.best if p is None else p
    after = (
        before if p is None else knife.solve(carried_out(knife, p.tried.moves, p.tried.values), list(before.results))
    )
    return outcome(judged(advice.aims, before, after), p is not None and not p.undo)


def in_steps(advice, knife, seed, p=None):
    """Follow the plan of a proposal, by default the first, or set it once where it has none."""
    p = advice.best if p is None else p
    if p is None or p.plan is None:
        return set_once(advice, knife)
    move, own = p.tried.moves[0], p.prospects.course(p.tried.moves[0], p.tried.values[0])
    before = knife.solve({}, results_for(advice.aims))
    (found,) = courses(knife, before, advice.aims, [(move, (float(own.values[0]), float(own.values[-1])))])
    found = with_spare(found, knife) if p.plan.watch.name == "falls_shut" else found
    done = follow(found, p.plan.watch, (p.plan.rule,), np.random.default_rng([seed, 3]))
    return outcome(done.judged, not p.undo)


def outcomes(name, factor, seed, ways=("nominal", "unread", "fitted", "steps", "cut")):
    """What comes of each way of advice on one knife; None where no single move brings the knife itself inside."""
    build = wanted(name, factor)
    inputs, readings = knife_of(build, seed)
    if not can_be_reached(build, inputs):
        return None
    knife, found = true_sample(build, inputs), {}
    if "nominal" in ways:
        found["nominal"] = set_once(advise(build), knife)
    if "unread" in ways:
        found["unread"] = set_once(advise(ds.batch(build, 4096)), knife)
    fitted = advise(ds.fit(build, readings, seed=seed))
    if "fitted" in ways:
        found["fitted"] = set_once(fitted, knife)
    if "steps" in ways:
        found["steps"] = in_steps(fitted, knife, seed)
    return found | (_cut(build, readings, seed, knife) if "cut" in ways else {})


def _cut(build, readings, seed, knife):
    """What comes of a cut, once and in steps, on a knife of which one number alone is read."""
    advice = advise(ds.fit(build, {"lift_force_open": readings["lift_force_open"]}, seed=seed))
    p = first_cut(advice)
    if p is None:
        return {}
    return {"cut once": set_once(advice, knife, p), "cut in steps": in_steps(advice, knife, seed, p)}


def cases(count):
    """Name of a build, factor and seed of so many knives, the builds and factors in turn."""
    names = list(BENCHED)
    return [(names[i % len(names)], FACTORS[(i // len(names) + i) % len(FACTORS)], i) for i in range(count)]
