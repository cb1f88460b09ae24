"""Inputs and results that look like a typing error: a wrong unit, a lost digit, sizes and measurement that disagree."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.results import in_unit
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Record
    from detentsim.mechanics.response import Response

# What no folding knife has; judgement, no source.
HEAVIEST, LEAST_SWING, HARDEST = 0.4, np.radians(45), 60.0

AGREES = 0.7, 1.3
"""Ratio of a measured stiffness to the computed one that sizes and a careful pull explain; judgement, no source."""


def size_doubts(build: Build, numbers: Plain, response: Response) -> Iterator[str]:
    """Sentences on inputs and results that look like a slip, one each.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers [SI].
    response : Response
        With the breakout force and the bar's stiffness.

    Yields
    ------
    str
    """
    yield from _stiffness_doubt(build, numbers, response)
    yield from _doubts(build, response)
    yield from _contradictions(build)


def too_little_inertia(record: Record) -> bool:
    """Whether a blade has less inertia about its pivot than its mass at its balance point alone; no body has.

    Parameters
    ----------
    record : Record
        One design.
    """
    return bool(record.blade_inertia < record.blade_mass * record.balance_radius**2)  # parallel axes


def _doubts(build: Build, response: Response) -> Iterator[str]:
    """Sentences on each input or result that no knife has."""
    mass, swing, arm = (build.si(name) for name in ("blade.mass", "blade.open_angle", "opener.radius"))
    if mass > HEAVIEST:
        yield f"A blade of {build.word('blade.mass')} is heavier than any: is the unit right?"
    if swing < LEAST_SWING:
        yield f"A blade that opens {build.word('blade.open_angle')} in all hardly opens: is a digit lost?"
    if too_little_inertia(response.load.record):
        timed = build["blade.inertia"] is None
        given = "A pendulum period" if timed else "An inertia"
        typed = build.word("blade.pendulum_period" if timed else "blade.inertia")
        alone = f"{build.word('blade.mass')} at {build.word('blade.balance_radius')} from the pivot"
        yield f"{given} of {typed} is less than {alone} has by itself: is the unit right?"
    reach = build.si("blade.length", 3 * build.si("blade.balance_radius"))  # no blade balances nearer than a third
    if arm > reach:
        yield f"The opener, {build.word('opener.radius')} from the pivot, lies beyond the blade."
    force = float(response.results["breakout_force"])
    if np.isfinite(force) and force > HARDEST:
        yield f"No finger gives a breakout of {build.units.two_digits(force, 'N')}."


def _contradictions(build: Build) -> Iterator[str]:
    """Sentences on inputs that another one makes pointless."""
    rest, sliding = build.si("friction.ball_on_tang_static"), build.si("friction.ball_on_tang")
    if rest < sliding:  # not a number where it is left out
        yield (
            f"Friction at rest, {two_digits(rest)}, is below that of sliding, {two_digits(sliding)}: are the two "
            "swapped?"
        )
    if build.si("finger.effort") < 1:
        yield f"A finger with effort {build.word('finger.effort')} pushes less than the breakout: it opens no blade."
    opens, falls = build.si("blade.open_angle"), build.si("attitude.close_from")
    if falls > opens and build.values["attitude.close_from"].given:
        words = build.word("attitude.close_from"), build.word("blade.open_angle")
        yield f"The blade cannot be let fall from {words[0]}, past lock-up at {words[1]}: it falls from lock-up."


def _stiffness_doubt(build: Build, numbers: Plain, response: Response) -> Iterator[str]:
    """Sentence on a measured stiffness far from the one that the sizes give."""
    ratio = float(np.asarray(numbers["bar.calibration"]))
    if AGREES[0] <= ratio <= AGREES[1]:
        return
    measured = float(in_unit("bar_stiffness", response.results["bar_stiffness"]))
    pair = f"{build.units.two_digits(measured, 'N/mm')} against {build.units.two_digits(measured / ratio, 'N/mm')}"
    yield f"The bar's stiffness as measured is {two_digits(ratio)} times what its sizes give ({pair}): check both."
