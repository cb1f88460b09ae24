"""Verdict on a build, made of its ``checks``; every report opens with it.

Every command takes its verdict from here, so that none calls fine what another calls unsafe.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.answers import Answer, answers
from detentsim.analysis.one_build.checks import (
    Check,
    as_sentence,
    check_limits,
    check_stays_shut,
    check_target,
    check_warnings,
)
from detentsim.analysis.one_build.layout.layout import laid_out
from detentsim.analysis.one_build.limits.limits import Limits, limits
from detentsim.analysis.one_build.sizes import size_doubts
from detentsim.analysis.results import in_unit
from detentsim.knife.outcomes import RESULTS, label
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.detent.balance import twist
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.path.contact_at import wedged_share
from detentsim.mechanics.path.segments import cut, ends, flatten
from detentsim.mechanics.response import Response, respond
from detentsim.units.errors import InputError
from detentsim.units.numbers import beyond

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


TOLD = 4  # faults of a layout that a verdict tells; the command ``layout`` tells them all

CHECKED = 0.9, 76.0
"""Share of the load that friction takes, and contact angle [deg], up to which tests/regression compares elastic rims
with an elastic solution."""

PAST = 1e-9
"""Angle past the breakout that is looked at too: where the ball breaks out as it meets the rim, it carries from there
on [rad]."""


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
        """Target met, flies open, falls shut, stays shut, within limits: yes, no or not known."""
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
        return ", ".join(_wrong(check) for check in self.bad)

    @property
    def words(self) -> str:
        """The verdict in one sentence."""
        if not self.sound:
            return f"Not right as it is: {self.wrong}."
        wanted = ", on target" if self["target"].state == "good" else ""
        weak = ", but held shut lightly" if self["stays shut"].state == "mind" else ""
        doubtful = [check.name for check in self.checks if check.name in ("layout", "sizes") and check.state == "mind"]
        doubt = f"; but check its {' and '.join(doubtful)}" if doubtful else ""
        limits = "within all limits that are known" if self["limits"].unknown else "within its limits"
        return f"No warning, {limits}{wanted}{weak}{doubt}."

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


def _wrong(check: Check) -> str:
    if len(check.exceeded) > 1:
        return f"{len(check.exceeded)} limits are exceeded"
    return _WRONG[check.name] + "".join(f" ({which})" for which in check.exceeded)


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
    if known is None:
        return limits_and_summary(build)[1]
    numbers = plain(build)
    return checked(build, numbers, respond(assemble(numbers), judged_by(build)), known)


def limits_and_summary(build: Build) -> tuple[Limits, Summary]:
    """Limits of a build, and its verdict, from one response.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.
    """
    bar = limits(build, judged_by(build))
    return bar, checked(build, plain(build), bar.response, bar)


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
    results = check_warnings(response), check_limits(bar), check_target(build, response)
    shut = check_stays_shut(response, build.units)
    drawn = () if build.layout is None else (_layout(build, numbers, response),)
    return Summary((*results, shut, *drawn, _sizes(build, numbers, response)), build)


def _layout(build: Build, numbers: Plain, response: Response) -> Check:
    """Faults of the layout: bad ones, else what is thin or early; not known where its drawing cannot be read."""
    try:
        found = laid_out(build, numbers, response)
    except InputError as error:
        return Check("layout", "unknown", as_sentence(f"the drawing counts for nothing here: {error.message}"))
    if not found.faults:
        return Check("layout", "good", "The ball's way, its dimple and its hole keep clear of every edge.")
    state = found.faults[0].state
    words = [fault.words for fault in found.faults if fault.state == state]
    more = f"And {len(words) - TOLD} more: detentsim layout." if len(words) > TOLD else ""
    return Check("layout", state, " ".join([*words[:TOLD], more]).strip())


def _sizes(build: Build, numbers: Plain, response: Response) -> Check:
    """Inputs and results that look like a slip, and a breakout from an elastic rim that was never checked."""
    doubts = " ".join([*size_doubts(build, numbers, response), *_rim_doubt(build, response)])
    return Check("sizes", "mind" if doubts else "good", doubts or "Nothing looks like a slip.")


def _rim_doubt(build: Build, response: Response) -> Iterator[str]:
    """Sentence on a breakout from an elastic rim that nothing has been compared with."""
    record = response.load.record
    if not record.elastic_rim or not np.isfinite(response.results["breakout_torque"]):
        return
    taken, angle = _most_wedged(response), float(in_unit("contact_angle", response.results["contact_angle"]))
    if taken > CHECKED[0]:
        met = f"Friction takes {beyond(taken, CHECKED[0], 2)} of what the rim carries (at 1 the ball locks)"
        most = f"{CHECKED[0]:g}"
    elif angle > CHECKED[1]:
        met, most = f"The ball meets its rim at {beyond(angle, CHECKED[1], 2)} deg", f"{CHECKED[1]:g} deg"
    else:
        return
    yield f"{met}; an elastic rim has been checked only up to {most}. {_on_rigid_rim(build, response)}"


def _on_rigid_rim(build: Build, response: Response) -> str:
    """Sentence on the breakout that the same build has on a rigid rim: a torque where its opener lacks a lever."""
    record = response.load.record._replace(elastic_rim=np.zeros(()))
    name = "breakout_force" if np.isfinite(response.results["breakout_force"]) else "breakout_torque"
    value = in_unit(name, respond(record, (name,)).results[name])
    known = np.isfinite(value)
    other = f"it is {build.units.two_digits(float(value), RESULTS[name].unit)}" if known else "there is none"
    return f'Be wary of this {label(name)}: with contact.rim = "rigid" {other}.'


def _most_wedged(response: Response) -> float:
    """Largest `wedged_share` from rest to the breakout."""
    load, eps = flatten(response.load, ()), response.load.record.overclose
    torque, theta = (response.results[name] for name in ("breakout_torque", "breakout_angle"))
    end = np.reshape(theta + eps - twist(response.load.spring.twist_give, torque) + PAST, 1)
    ways = cut(load, np.reshape(response.rest.phi, 1), end)
    return float(wedged_share(ways, ends(ways)).max())
