"""Checks of a build's results: warnings, limits, target, staying shut.

Reads the kernel's response and the limits; ``summary`` makes the verdict of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from detentsim.analysis.missing import why_missing
from detentsim.analysis.results import in_unit, raised, told
from detentsim.knife.outcomes import CARRY, FLAGS, UNSOUND, label
from detentsim.knife.target.verdict import judge
from detentsim.knife.target.words import result_words, wanted_words
from detentsim.units.numbers import beyond

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.limits.margins import Limit
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target
    from detentsim.mechanics.response import Response
    from detentsim.units.systems import UnitSystem

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
    exceeded, unknown : tuple of str
        Of the check of limits: names of those that are exceeded, the worst first, and of those that are not known.
    """

    name: str
    state: State
    words: str
    exceeded: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


def check_warnings(response: Response) -> Check:
    """Flags of an unsound design.

    Parameters
    ----------
    response : Response
    """
    flags = [name for name in UNSOUND if bool(response.flags[name])]
    if not flags:
        return Check("warnings", "good", "None.")
    return Check("warnings", "bad", " ".join(FLAGS[name] for name in flags))


def check_limits(bar: Limits) -> Check:
    """Passed limits, the worst first; else the nearest.

    Parameters
    ----------
    bar : Limits
        Of the build.
    """
    unknown = _full_names(bar.unknown)
    if not bar.within:
        worst = sorted(bar.passed, key=lambda limit: -(limit.use or 0.0))
        return Check("limits", "bad", " ".join(limit.words for limit in worst), _full_names(worst), unknown)
    if bar.first is None:
        return Check("limits", "unknown", "None could be computed.", unknown=unknown)
    which = "All that are known hold" if unknown else "All hold"
    words = f"{which}; the nearest is {bar.first.full_name}, {bar.first.used} used."
    return Check("limits", "good", words, unknown=unknown)


def _full_names(some: Iterable[Limit]) -> tuple[str, ...]:
    return tuple(limit.full_name for limit in some)


def check_target(build: Build, response: Response) -> Check:
    """Targets missed, else met; a wanted change is given in words but cannot be judged on the build itself.

    Parameters
    ----------
    build : Build
    response : Response
    """
    results = wanted_results(build, response)
    verdicts = judge([t for t in build.target if t.change is None], results, units=build.units)
    changed = [wanted for wanted in build.target if wanted.change is not None]
    changes = [_change_words(wanted, results[wanted.name], build.units) for wanted in changed]
    missed = [verdict for verdict in verdicts if not verdict.met]
    if not verdicts:
        return Check("target", "unknown", " ".join(changes) or "None is set.")
    told = " ".join([*(as_sentence(verdict.text) for verdict in missed or verdicts), *changes])
    return Check("target", "bad" if missed else "good", told)


def _change_words(wanted: Target, result: Result, units: UnitSystem) -> str:
    """A wanted change of this very build, which advice looks for."""
    now = f"{label(wanted.name)} has no value" if result is None else result_words(wanted.name, result, units)
    return as_sentence(f"{now}: {wanted_words(wanted, units)} from this build is wanted")


def as_sentence(text: str) -> str:
    """A clause with a capital and a full stop.

    Parameters
    ----------
    text : str
    """
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
    return told(name, in_unit(name, response.results[name]))


def check_stays_shut(response: Response, units: UnitSystem) -> Check:
    """Whether the detent holds the closed blade against its own weight in the worst direction.

    Parameters
    ----------
    response : Response
    units : UnitSystem
        To word it in.
    """
    if bool(response.flags["floats"]):
        return Check("stays shut", "bad", "The ball never reaches the tang; only the pivot's friction holds the blade.")
    if bool(response.flags["misses_dimple"]):
        return Check("stays shut", "bad", "The ball lies beside its dimple; friction alone holds the blade.")
    fast = held_fast(raised(response.flags))
    if fast:
        return Check("stays shut", "good", fast)
    draw = _value(response, "draw_torque")
    if draw is not None and draw < -ROUNDING and not bool(response.flags["stands_proud"]):
        pressed = units.two_digits(-draw, "N*mm")
        return Check(
            "stays shut", "bad", f"Nothing draws the blade shut: it takes {pressed} to press it onto its stop."
        )
    carry = _value(response, "carry_g")
    if carry is None:
        return Check("stays shut", "unknown", f"Not known: {why_missing('carry_g', raised(response.flags))}.")
    return held_shut(carry)


_FAST = {
    "locks_solid": "Friction locks the ball in its dimple: the blade cannot come open.",
    "stopped_short": "The over-travel stop keeps the ball in its dimple: the blade cannot come open.",
}


def held_fast(flags: tuple[str, ...]) -> str:
    """Why a blade cannot leave its detent at all, in one sentence; empty where it can.

    Parameters
    ----------
    flags : tuple of str
        Raised flags.

    Examples
    --------
    >>> held_fast(("locks_solid",)), held_fast(())
    ('Friction locks the ball in its dimple: the blade cannot come open.', '')
    """
    return next((words for flag, words in _FAST.items() if flag in flags), "")


def times_held(carry: float) -> str:
    """How many times its own weight a blade is held shut against, never rounded up to what counts as enough.

    Parameters
    ----------
    carry : float
        ``carry_g``.

    Examples
    --------
    >>> times_held(5.97), times_held(9.54)
    ('5.97', '9.5')
    """
    return beyond(carry, CARRY, 2)


def held_shut(carry: float) -> Check:
    """Whether a detent that holds this many times the blade's weight counts as keeping it shut.

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
    words = f"The detent holds {times_held(carry)} times the blade's weight in the worst direction"
    if carry < CARRY:
        return Check("stays shut", "mind", f"{words}; below {CARRY:g} it may come open when carried.")
    return Check("stays shut", "good", f"{words}.")
