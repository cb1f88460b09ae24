"""Five yes-no answers on a build, for the strip that its figures show: target, opening, closing, staying shut, limits.

Reads the checks of `summary`, and asks the kernel whether the blade flies open and falls shut.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.checks import held_fast
from detentsim.analysis.one_build.sizes import too_little_inertia
from detentsim.analysis.results import raised
from detentsim.knife.outcomes import label
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from detentsim.analysis.one_build.summary import Summary
    from detentsim.knife.model import Build

MOTIONS = ("opens_fully", "falls_shut")

# Name of an answer that is read from a check of the verdict.
_OF_CHECK = {"target": "target met", "stays shut": "stays shut", "limits": "within limits"}


@dataclass(frozen=True)
class Answer:
    """One answer.

    Attributes
    ----------
    name : str
        ``target met``, ``flies open``, ``falls shut``, ``stays shut`` or ``within limits``.
    yes : bool or None
        None where it is not known.
    weak : bool
        Whether a yes is one only just: the blade is held shut, but lightly.
    why : str
        Why it is not known; empty where it is.
    missing : str
        What stands for a yes or no that is not known.
    """

    name: str
    yes: bool | None
    weak: bool = False
    why: str = ""
    missing: str = "not known"

    @property
    def words(self) -> str:
        """The answer in a word or two.

        Examples
        --------
        >>> Answer("stays shut", True, weak=True).words, Answer("flies open", None, why="no mass").words
        ('yes, lightly', 'not known')
        """
        if self.yes is None:
            return self.missing
        return ("yes, lightly" if self.weak else "yes") if self.yes else "no"


def answers(build: Build, checked: Summary) -> tuple[Answer, ...]:
    """Answer whether a build meets its target, flies open, falls shut, stays shut and keeps within its limits.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.
    checked : Summary
        Its verdict.

    Returns
    -------
    tuple of Answer
        Five, always in this order.

    Examples
    --------
    >>> import detentsim as ds
    >>> [(one.name, one.words) for one in ds.curve(ds.demo()).summary.answers][1:3]
    [('flies open', 'yes'), ('falls shut', 'yes')]
    """
    target, shut, limits = (_from_check(checked, name) for name in _OF_CHECK)
    return (target, *_motions(build), shut, limits)


def _from_check(checked: Summary, name: str) -> Answer:
    check = checked[name]
    if check.state == "unknown":
        missing = "none set" if name == "target" and not checked.build.target else "not known"
        return Answer(_OF_CHECK[name], None, why=check.words, missing=missing)
    return Answer(_OF_CHECK[name], check.state != "bad", check.state == "mind")


def _motions(build: Build) -> tuple[Answer, ...]:
    """Whether the blade flies open and falls shut; not known where the blade's sizes for it are missing."""
    record = assemble(plain(build))
    response = respond(record, MOTIONS)
    flags = raised(response.flags)
    impossible = too_little_inertia(record)  # the motion of such a blade is not computed
    told = []
    for name in MOTIONS:
        value = float(response.results[name])
        if name == "opens_fully" and held_fast(flags):
            told.append(Answer(label(name), False))
        elif impossible or not np.isfinite(value):
            why = "the blade's inertia is too little for its mass" if impossible else why_missing(name, flags)
            told.append(Answer(label(name), None, why=why))
        else:
            told.append(Answer(label(name), bool(value)))
    return tuple(told)
