"""Fits of simulated knives held against the truth: ranges, and the reading named first."""

import numpy as np
from scipy.stats import qmc

import detentsim as ds
from detentsim.analysis.many_builds.batch.knives.tables import shown_inputs
from detentsim.units.quantities import factor
from helpers.benched import BENCHED, bench, benched

SETS = (
    ("breakout_force", "lift_force_open", "drag_force"),
    ("lift_force_open", "loose_ball_height"),
    ("drag_force", "lift_force_closed"),
    ("breakout_force",),
)

ASKED = ("breakout_force", "drag_force", "friction.ball_on_tang", "dimple.overclose", "dimple.rim_feed")


def held(fit, truth, name):
    """Whether the 90 % range of a result or an input holds the truth; None where the build leaves it no doubt."""
    if name not in fit.found.values and name not in fit.results:
        return None
    unit = shown_inputs(fit)[name][1] if name in fit.found.values else ""
    low, high = fit.interval(name)
    return low.m <= truth[name] / (factor(unit) if unit else 1) <= high.m


def shares(each):
    """Share of the ranges that hold the truth, by what is asked, and how many there are; `each` knives of ten builds.

    The knives are spread evenly over each input's distribution (a Latin hypercube), so chance in them counts little.
    """
    hits = {name: [] for name in ASKED}
    points = qmc.LatinHypercube(20, rng=np.random.default_rng(1)).random(each * len(BENCHED))
    for i, name in enumerate(BENCHED):
        build = benched(name)
        for j, knife in enumerate(bench(build, SETS[i % len(SETS)], i, points[i :: len(BENCHED)])):
            fit = ds.fit(build, knife.readings, seed=j)
            for one in ASKED:
                hits[one] += [] if (inside := held(fit, knife.truth, one)) is None else [inside]
    return {name: (sum(one) / len(one), len(one)) for name, one in hits.items()}


OTHERS = ("drag_force", "lift_force_closed", "loose_ball_height", "bar_stiffness", "seat_depth")


def right_first(i, others=OTHERS):
    """Whether the reading named first narrows the breakout as much as the best of the others, each taken in turn.

    Narrowest counts to within a twentieth, to which the sampling tells a range. `others` may be fewer, from the left.
    """
    build = benched(list(BENCHED)[i % len(BENCHED)])
    knife = bench(build, ("lift_force_open", *OTHERS), 100 + i)[0]
    read = {"lift_force_open": knife.readings["lift_force_open"]}
    named = [one.what for one in ds.fit(build, read, seed=i).next_readings("breakout_force") if one.what in others]
    widths = {}
    for other in others:
        low, high = ds.fit(build, read | {other: knife.readings[other]}, seed=i).interval("breakout_force")
        widths[other] = high.m - low.m
    return bool(named) and widths[named[0]] <= 1.05 * min(widths.values())
