"""Sentences on knives made to a build: how many are inside, what some of them show, where they leave the drawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.show.many_builds.sweep.regions import MARKS
from detentsim.units.numbers import of_ten, percent

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.analysis.one_build.curve.curve import Curve

RARE = 0.01
"""Share of the knives below which the short report passes over a flag."""


def as_drawn_words(c: Curve, names: Iterable[str]) -> str:
    """What "as drawn" says of a result; empty where none of those named is told so.

    Parameters
    ----------
    c : Curve
    names : iterable of str
        Results that the report tells.
    """
    if not any(c.is_unlikely(name) for name in names):
        return ""
    return (
        "As drawn: with every size exactly as typed. Shop errors nearly always move that number the same way: fewer "
        "than one knife in twenty reaches it."
    )


def made_words(c: Curve, full: bool = True) -> str:
    """What knives made to the build come to: the share inside the target, and what flags some of them raise."""
    least = 0.0 if full else RARE
    may = [f"{_in_short(flag)} {percent(share)}" for flag, share in c.likely.may.items() if share >= least]
    inside = c.likely.inside
    them = "them" if inside is not None else "the knives made to this build"
    shows = f"Some of {them} would show: {', '.join(may)}." if may else ""
    if inside is None:
        return shows
    ten = f"Of ten knives made to this build {of_ten(inside)} inside the target (detentsim batch says more)."
    return f"{ten} {shows}".rstrip()


def _in_short(flag: str) -> str:
    """A flag in a few words, or the fault of sizes that fit no knife in its own."""
    return MARKS[flag].words if flag in MARKS else flag
