"""Knives after a change, judged by the aims: which land, which overshoot, which have a new warning."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.inside import unsound
from detentsim.knife.outcomes import FATAL, UNSOUND

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.in_hand.advise.trials.solved import Solved
    from detentsim.mechanics.record import Array, Truth


class Judged(NamedTuple):
    """Knives after a change, of any one shape."""

    lands: Truth  # every aim met, no warning of an unsound design: inside, as a batch counts it
    overshoots: Truth  # an aim left behind: past its far end, or lost
    warns: Truth  # a warning of an unsound design that the knife has not now
    meets: Truth  # every aim met, no new warning and none of a detent that does not work; others may stand


class Chances(NamedTuple):
    """Results of a change as shares of the possible knives; fields as in `Judged`."""

    lands: float
    overshoots: float
    warns: float
    meets: float


def judged(aims: Sequence[Aim], before: Solved, after: Solved) -> Judged:
    """Which knives land, overshoot or have a new warning.

    Parameters
    ----------
    aims : sequence of Aim
    before, after : Solved
        The same knives, with the results that the aims are about.

    Returns
    -------
    Judged
        A result overshoots where it has moved farther beyond an end of its band; what was true and is wanted so, where
        it is lost. `snaps` is a trait, which no report calls unsound, and counts as no warning here either.
    """
    inside = np.all([aim.miss(after.results[aim.name]) == 0 for aim in aims], axis=0)
    past = np.any([_past(aim, before.results[aim.name], after.results[aim.name]) for aim in aims], axis=0)
    new, barred = warned(before, after)
    return Judged(*(np.asarray(part) for part in (inside & ~unsound(after.flags), past, new, inside & ~barred)))


def warned(before: Solved, after: Solved) -> tuple[Truth, Truth]:
    """Knives with a new warning; and with them those of a detent that does not work.

    Parameters
    ----------
    before, after : Solved
        The same knives.
    """
    new = np.any([after.flags[flag] & ~before.flags[flag] for flag in UNSOUND], axis=0)
    return np.asarray(new), np.asarray(new | np.any([after.flags[flag] for flag in FATAL], axis=0))


def _past(aim: Aim, own: Array, values: Array) -> Truth:
    if aim.truth is not None:
        return np.asarray(((own > 0) == aim.truth) & ((values > 0) != aim.truth) & np.isfinite(own))
    return np.asarray(((values > aim.high) & ~(values <= own)) | ((values < aim.low) & ~(values >= own)))


def shares(found: Judged) -> Chances:
    """Shares of knives that are judged.

    Parameters
    ----------
    found : Judged
    """
    return Chances(*(float(np.mean(part)) for part in found))
