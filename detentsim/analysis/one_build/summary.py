"""Verdict on a build: warnings, limits, target, staying shut, and sizes to check; every report opens with it.

Reads the kernel's response and the limits, so that no command calls fine what another calls unsafe.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np

from detentsim.analysis.one_build.answers import Answer, answers
from detentsim.analysis.one_build.layout.layout import laid_out
from detentsim.analysis.one_build.limits.limits import Limits, limits
from detentsim.analysis.one_build.sizes import size_doubts
from detentsim.analysis.results import in_unit, raised, why_missing
from detentsim.knife.outcomes import CARRY, FLAGS, RESULTS, UNSOUND, label
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.verdict import judge
from detentsim.knife.target.words import result_words, wanted_words
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import Response, respond
from detentsim.units.errors import InputError
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.knife.target.target import Target
    from detentsim.units.systems import UnitSystem

TOLD = 4  # faults of a layout that a verdict tells; the command ``layout`` tells them all

ROUNDING = 1e-6  # a torque this small is rounding [N*mm]

State = Literal["good", "mind", "bad", "unknown"]
Result = float | bool | None


@dataclass(frozen=True)
class Check:
    """One check of a build.

    Attributes
    ----------
    name : str
        ``warnings``, ``limits``, ``target``, ``stays shut``, ``layout`` or ``sizes``.
    state : str
        ``good``, ``mind`` (weak), ``bad`` or ``unknown``; nothing wanted counts as unknown.
    words : str
        One sentence.
    """

    name: str
    state: State
    words: str


@dataclass(frozen=True)
class Summary:
    """Verdict on a build.

    Attributes
    ----------
    checks : tuple of Check
        Warnings, limits, target, staying shut, the layout where the build has one, and sizes, in this order.
    build : Build
    """

    checks: tuple[Check, ...]
    build: Build = field(repr=False, compare=False)

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """Target met, flies open, falls shut, stays shut, within limits: yes, no or not told."""
        return answers(self.build, self)

    @property
    def sound(self) -> bool:
        """Whether no check is bad."""
        return all(check.state != "bad" for check in self.checks)

    @property
    def bad(self) -> tuple[Check, ...]:
        """The checks that are bad."""
        return tuple(check for check in self.checks if check.state == "bad")

    @property
    def wrong(self) -> str:
        """What is bad, in a few words; empty where nothing is."""
        return ", ".join(_WRONG[check.name] for check in self.bad)

    @property
    def words(self) -> str:
        """The verdict in one sentence."""
        if not self.sound:
            return f"Not right as it is: {self.wrong}."
        wanted = ", on target" if self["target"].state == "good" else ""
        weak = ", but held shut lightly" if self["stays shut"].state == "mind" else ""
        doubtful = [check.name for check in self.checks if check.name in ("layout", "sizes") and check.state == "mind"]
        doubt = f"; but check its {' and '.join(doubtful)}" if doubtful else ""
        return f"No warning, within its limits{wanted}{weak}{doubt}."

    def __getitem__(self, name: str) -> Check:
        """Return a check by its name."""
        return next(check for check in self.checks if check.name == name)


_WRONG = {
    "warnings": "it has warnings",
    "limits": "a limit is exceeded",
    "target": "the target is missed",
    "stays shut": "it does not stay shut",
    "layout": "the layout is wrong",
}


def summary(build: Build, known: Limits | None = None) -> Summary:
    """Check a build for warnings, limits, target and staying shut.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.
    known : Limits, optional
        Its limits, where they are at hand.

    Returns
    -------
    Summary

    Raises
    ------
    BuildError
        Where a section is missing.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> summary(demo()).words
    'No warning, within its limits, on target.'
    """
    numbers = plain(build)
    response = respond(assemble(numbers), judged_by(build))
    return checked(build, numbers, response, limits(build) if known is None else known)


def judged_by(build: Build) -> tuple[str, ...]:
    """Names of the results that the checks of a build, and its targets, are about.

    Parameters
    ----------
    build : Build
    """
    return (*RESULT_NAMES, "carry_g", *(target.name for target in build.target))


def checked(build: Build, numbers: Plain, response: Response, bar: Limits) -> Summary:
    """Verdict on a build whose response and limits are at hand.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    response : Response
        With the results that `judged_by` names.
    bar : Limits
    """
    checks = _warnings(response), _limits(bar), _target(build, response), _stays_shut(response, build.units)
    drawn = () if build.layout is None else (_layout(build, numbers, response),)
    return Summary((*checks, *drawn, _sizes(build, numbers, response)), build)


def _layout(build: Build, numbers: Plain, response: Response) -> Check:
    """Faults of the layout: bad ones, else what is thin or early; not known where its drawing cannot be read."""
    try:
        found = laid_out(build, numbers, response)
    except InputError as error:
        return Check("layout", "unknown", _sentence(f"the drawing counts for nothing here: {error.message}"))
    if not found.faults:
        return Check("layout", "good", "The ball's way, its dimple and its hole keep clear of every edge.")
    state = found.faults[0].state
    words = [fault.words for fault in found.faults if fault.state == state]
    more = f"And {len(words) - TOLD} more: detentsim layout." if len(words) > TOLD else ""
    return Check("layout", state, " ".join([*words[:TOLD], more]).strip())


def _warnings(response: Response) -> Check:
    """Flags of an unsound design."""
    flags = [name for name in UNSOUND if bool(response.flags[name])]
    if not flags:
        return Check("warnings", "good", "None.")
    return Check("warnings", "bad", " ".join(FLAGS[name] for name in flags))


def _limits(bar: Limits) -> Check:
    """Passed limits, the worst first; else the nearest."""
    if not bar.within:
        worst = sorted(bar.passed, key=lambda limit: -(limit.use or 0.0))
        return Check("limits", "bad", " ".join(limit.words for limit in worst))
    if bar.first is None:
        return Check("limits", "unknown", "None could be computed.")
    near, used = bar.first, f"{100 * (bar.first.use or 0.0):.0f} %"
    return Check("limits", "good", f"All hold; the nearest is the {near.part}'s {near.called}, {used} used.")


def _target(build: Build, response: Response) -> Check:
    """Targets missed, else met; a wanted change has no base here: it is told, but counts for nothing."""
    results = wanted_results(build, response)
    verdicts = judge([t for t in build.target if t.change is None], results, units=build.units)
    changes = [_change_words(wanted, results[wanted.name], build.units) for wanted in build.target if wanted.change]
    missed = [verdict for verdict in verdicts if not verdict.met]
    if not verdicts:
        return Check("target", "unknown", " ".join(changes) or "None is set.")
    told = " ".join([*(_sentence(verdict.text) for verdict in missed or verdicts), *changes])
    return Check("target", "bad" if missed else "good", told)


def _change_words(wanted: Target, result: Result, units: UnitSystem) -> str:
    """A wanted change of this very build, which advice looks for."""
    now = f"{label(wanted.name)} has no value" if result is None else result_words(wanted.name, result, units)
    return _sentence(f"{now}: {wanted_words(wanted, units)} from this build is wanted")


def _sentence(text: str) -> str:
    """A clause with a capital and a full stop."""
    return f"{text[0].upper()}{text[1:]}."


def wanted_results(build: Build, response: Response) -> dict[str, Result]:
    """Results that the targets of a build are about, in their own units.

    Parameters
    ----------
    build : Build
    response : Response
        With these results.

    Returns
    -------
    dict of str to float, bool or None
        None where there is no value.
    """
    return {wanted.name: _value(response, wanted.name) for wanted in build.target}


def _value(response: Response, name: str) -> Result:
    """A result in its own unit, as a truth where it is one; None where it has no value."""
    value = float(in_unit(name, response.results[name]))
    if not np.isfinite(value):
        return None
    return bool(value) if RESULTS[name].is_truth else value


def _stays_shut(response: Response, units: UnitSystem) -> Check:
    """Whether the detent holds the closed blade against its own weight in the worst direction."""
    if bool(response.flags["floats"]):
        return Check("stays shut", "bad", "The ball never reaches the tang; only the pivot's friction holds the blade.")
    if bool(response.flags["misses_dimple"]):
        return Check("stays shut", "bad", "The ball lies beside its dimple; friction alone holds the blade.")
    draw = _value(response, "draw_torque")
    if draw is not None and draw < -ROUNDING and not bool(response.flags["stands_proud"]):
        pressed = units.two_digits(-float(draw), "N*mm")
        words = f"Nothing draws the blade shut: it takes {pressed} to press it onto its stop."
        return Check("stays shut", "bad", words)
    carry = _value(response, "carry_g")
    if carry is None:
        return Check("stays shut", "unknown", f"Not known: {why_missing('carry_g', raised(response.flags))}.")
    return held_shut(float(carry))


def held_shut(carry: float) -> Check:
    """Whether the detent that holds so many times the blade's weight keeps it shut.

    Parameters
    ----------
    carry : float
        ``carry_g``.

    Examples
    --------
    >>> held_shut(0.4).words
    "In the worst direction the blade's own weight opens it."
    """
    if carry < 1:
        return Check("stays shut", "bad", "In the worst direction the blade's own weight opens it.")
    words = f"The detent holds {two_digits(carry)} times the blade's weight in the worst direction"
    if carry < CARRY:
        return Check("stays shut", "mind", f"{words}; below {CARRY:g} it may come open when carried.")
    return Check("stays shut", "good", f"{words}.")


def _sizes(build: Build, numbers: Plain, response: Response) -> Check:
    """Inputs and results that look like a slip: a wrong unit, a lost digit, sizes and measurement that disagree."""
    doubts = " ".join(size_doubts(build, numbers, response))
    return Check("sizes", "mind" if doubts else "good", doubts or "Nothing looks like a slip.")
