"""The verdict of advice in words, one text for report, figure and JSON: what to do, what is wrong with the build."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.words import out_of_reach_words, still_wrong
from detentsim.knife.outcomes import label
from detentsim.units.numbers import of_ten, percent

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal

ASTRAY = (
    "No change is told yet, since no knife made to this drawing reads near that: read it again, or put the size that "
    "is off into the build file, and ask again."
)
"""Advice for a knife whose reading of a wanted result is far from every knife of the drawing."""

# Least change of what a hand notices that is reported, as a part of the whole.
NOTED = 0.05

ENOUGH = 0.9
"""Share of the knives inside from which nothing is said of the spread."""


def standing(advice: Advice) -> tuple[str, ...]:
    """What is wrong with the build as it stands, a sentence each, the whole first.

    Parameters
    ----------
    advice : Advice

    Returns
    -------
    tuple of str
        Empty where nothing is.
    """
    checked = advice.summary
    return () if checked.sound else (checked.words, *(check.words for check in checked.bad))


def verdict(advice: Advice) -> tuple[str, ...]:
    """What to do: leave the build alone, the best change, or that nothing gets it there and why; a sentence each.

    Parameters
    ----------
    advice : Advice
    """
    if advice.astray:
        return (ASTRAY,)
    if advice.met:
        return (_LEFT if advice.right else _FEEL_LEFT, *_spread(advice))
    if advice.best is not None:
        return (f"{joined(advice.best)}.", *_still_wrong(advice.best))
    return ("No single move and no two together get there without a new fault.", *why_nothing(advice))


def _spread(advice: Advice) -> tuple[str, ...]:
    """What to mind where the build is right as drawn, but many knives made to it are not."""
    if not advice.right or advice.inside is None or advice.inside >= ENOUGH:
        return ()
    made = f"of ten knives made to it, {of_ten(advice.inside)} inside"
    return (f"The middle is right, the spread is not: {made}; detentsim batch says what to hold.",)


def made_so(advice: Advice, number: int) -> str:
    """Share of the knives inside with a proposal carried out, in one sentence; empty where it is not known.

    Parameters
    ----------
    advice : Advice
    number : int
        Of the proposal, from 0.
    """
    share = advice.inside_after[number] if number < len(advice.inside_after) else None
    if share is None or advice.inside is None:
        return ""
    return f"Of ten knives made so, {of_ten(share)} inside (now {of_ten(advice.inside)})."


_LEFT = "Leave it alone: this build is right as it is."

_FEEL_LEFT = "Leave its feel alone: it meets what is wanted. But mind what is wrong with it as it stands."


def joined(p: Proposal) -> str:
    """What a proposal asks for, as one sentence without its full stop.

    Parameters
    ----------
    p : Proposal
    """
    return ", and ".join((p.words[0], *(words[0].lower() + words[1:] for words in p.words[1:])))


def joined_with_needs(p: Proposal) -> str:
    """What a proposal asks for, and what else must be true of the knife for it; one sentence without its full stop.

    Parameters
    ----------
    p : Proposal
    """
    return f"{joined(p)} ({'; '.join(p.needs)})" if p.needs else joined(p)


def called(p: Proposal) -> str:
    """Names of a proposal's moves; that of a drill says that it is one.

    Parameters
    ----------
    p : Proposal
    """
    return " and ".join(re.sub(r"^open with (.+)$", r"open with the \1 drill", name) for name in p.names)


def in_short(p: Proposal) -> str:
    """What a proposal asks for, in a few words.

    Parameters
    ----------
    p : Proposal
    """
    return " and ".join(move.short(value) for move, value in zip(p.tried.moves, p.tried.values, strict=True))


def chance_words(p: Proposal) -> str:
    """Chances and side effects of a proposal set once, in one sentence.

    Parameters
    ----------
    p : Proposal
    """
    lands, past, warns = (percent(part or 0.0) for part in (p.lands, p.overshoots, p.warns))
    undone = "it can be undone" if p.undo else "it cannot be undone"
    side = ", ".join(
        f"{label(name)} {_signed(low)} to {_signed(high)} %"
        for name, (low, high) in p.side.items()
        if max(abs(low), abs(high)) >= NOTED
    )
    besides = f"; besides, {side}" if side else ""
    return f"Set once: inside {lands}, too far {past}, a new warning {warns}; {undone}{besides}."


def _signed(part: float) -> str:
    """A change in whole percent with its sign; 0 without one."""
    return f"{100 * part:+.0f}" if abs(100 * part) >= 0.5 else "0"


def _still_wrong(p: Proposal) -> tuple[str, ...]:
    """What is wrong with the knife even after a proposal."""
    if p.after is None or p.after.sound:
        return ()
    return (still_wrong(p.after),)


_PINNED = {"rest_angle", "draw_torque"}  # what a stop pin sets by itself


def why_nothing(advice: Advice) -> tuple[str, ...]:
    """Why nothing meets what is wanted: wishes out of reach by themselves, then those that pull against each other.

    Parameters
    ----------
    advice : Advice
        Without a proposal.
    """
    units = advice.build.units
    missed = tuple(out_of_reach_words(one, units) for one in advice.missed)
    pairs = tuple(f"{label(one)} and {label(other)}" for one, other in advice.against)
    apart = tuple(
        f"{pair[0].upper()}{pair[1:]} can each be reached, but pull against each other here." for pair in pairs
    )
    untried = advice.build["stop.radius"] is None and not _PINNED.isdisjoint(aim.name for aim in advice.aims)
    pin = ("A thicker or thinner stop pin was not tried, since the build gives no stop.radius.",) if untried else ()
    if missed or apart or len(advice.aims) < 3:
        return (*missed, *apart, *pin)
    return ("Any two of these wishes can be met together, but not all of them at once.",)
