"""The verdict of advice in words: one text for report, figure and JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.proposals import Advice


def standing(advice: Advice) -> tuple[str, ...]:
    """What is wrong with the build as it stands, a sentence each: warnings, then limits that it passes.

    Parameters
    ----------
    advice : Advice

    Returns
    -------
    tuple of str
        Empty where nothing is.
    """
    flags = tuple(f"{FLAGS[flag]} [{flag}]" for flag in advice.faults)
    past = (f"It is past a limit: {' and '.join(advice.past)}; see detentsim limits.",) if advice.past else ()
    return (*flags, *past)


def verdict(advice: Advice) -> tuple[str, ...]:
    """Whether the build is to be left as it is, or nothing gets it there; a sentence each.

    Parameters
    ----------
    advice : Advice

    Returns
    -------
    tuple of str
        Empty where proposals say it.
    """
    if advice.right:
        if standing(advice):
            return ("Leave its feel alone: it meets what is wanted. But mind what is wrong with it as it stands.",)
        return ("Leave it alone: this build is right as it is.",)
    if advice.best is not None:
        return ()
    pairs = (f"{one} and {other}".replace("_", " ").capitalize() for one, other in advice.against)
    return (
        "No single move and no two together get there without a new fault.",
        *(f"{pair} can each be reached, but pull against each other here." for pair in pairs),
    )
