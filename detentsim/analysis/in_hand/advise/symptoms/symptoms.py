"""Symptoms: complaints of a maker or a customer, checked on the computed results of this build.

Each has a rule on results, a sentence with this build's numbers, and the aims that would cure it. The thresholds are
judgement, no source, unless one is named.
"""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.in_hand.advise.symptoms.case import LIVELY, QUIET, SEEN, WORN, Case, Symptom
from detentsim.analysis.in_hand.advise.symptoms.clicks import click_words
from detentsim.analysis.in_hand.advise.symptoms.coating import coated
from detentsim.analysis.in_hand.advise.symptoms.said import symptom_name
from detentsim.analysis.in_hand.advise.thresholds import LIGHTEST, STIFFEST
from detentsim.analysis.one_build.limits.contact import read_contact
from detentsim.analysis.one_build.limits.service import read_service
from detentsim.analysis.one_build.motion.holding import met_burr
from detentsim.knife.outcomes import CARRY
from detentsim.knife.table.schema import suggestion
from detentsim.knife.target.target import FELT
from detentsim.units.errors import InputError
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.knife.model import Build


def _at_least(name: str, low: float) -> Aim:
    return Aim(name, low, math.inf, None, max(FELT * abs(low), 1e-6))


def _at_most(name: str, high: float) -> Aim:
    return Aim(name, -math.inf, high, None, FELT * abs(high) or SEEN)


def _truth(name: str) -> Aim:
    return Aim(name, -math.inf, math.inf, True, 1.0)


# Whether it is present, or None where the build does not tell; the sentence, or what gives it; the aims.
_Told = tuple[bool | None, "str | Callable[[], str]", tuple[Aim, ...]]


def _rattles(case: Case) -> _Told:
    lash, draw = case.value("lash"), case.value("draw_torque")
    if case.flag("floats"):
        return True, "the ball never reaches the tang, so nothing holds the closed blade", (_at_least("preload", 0.5),)
    if lash > 1e-6:
        words = f"the ball hangs loose in its dimple: the closed blade moves freely through {two_digits(lash)} deg"
        return True, words, (_at_most("lash", 0.0), _at_least("draw_torque", QUIET))
    if case.value("rest_angle") > 0:
        return False, "the dimple holds the blade off its stop, and still", (_at_least("draw_torque", QUIET),)
    words = f"the ball draws the blade onto its stop with {case.said(draw, 'N*mm')}"
    return draw < QUIET, words, (_at_least("draw_torque", QUIET),)


def _shaken(case: Case) -> _Told:
    carry = case.value("carry_g")
    if math.isnan(carry):
        if case.flag("locks_solid") or case.flag("stopped_short"):
            return False, "the ball cannot leave its dimple", ()
        loose = case.flag("floats") or case.flag("misses_dimple")
        return loose or None, "it needs blade.mass, blade.balance_radius and a detent", ()
    words = f"the detent holds the blade shut against {two_digits(carry)} times its own weight"
    return carry < CARRY, words, (_at_least("carry_g", CARRY),)


def _hangs(case: Case) -> _Told:
    falls, at = case.value("falls_shut"), case.value("hang_angle")
    if math.isnan(falls):
        return None, "it needs blade.mass and blade.balance_radius", ()
    stays = abs(at - math.degrees(float(case.record.close_from))) < 0.01
    stops = "stays where it is" if stays else f"hangs at {at:.0f} deg"
    words = f"let go, it {'falls shut' if falls else stops}{_over_burr(case)}"
    return not falls, words, (_truth("falls_shut"),)


def _over_burr(case: Case) -> str:
    """What the burr round the dimple takes of a closing blade; empty without one."""
    met = met_burr(case.response)
    return "" if met is None else f"; {met.words(case.units)}"


def _stalls(case: Case) -> _Told:
    opens, at = case.value("opens_fully"), case.value("stall_angle")
    if math.isnan(opens):
        return None, "it needs blade.inertia and a breakout", ()
    words = (
        "thrown by a usual finger, it reaches lock-up"
        if opens
        else f"thrown by a usual finger, it stalls at {at:.0f} deg"
    )
    return not opens, words, (_truth("opens_fully"),)


def _gritty(case: Case) -> _Told:
    contact = read_contact(case.response.load)
    starts = case.said(contact.yield_pressure, "MPa")
    words = f"the ball presses {case.said(contact.pressure, 'MPa')} on the tang, which yields inside from {starts}"
    dent = f", leaving a track about {case.said(contact.dent, 'um')} deep to run in" if contact.dent else ""
    aims = (_at_most("contact_pressure", contact.yield_pressure),)
    return contact.pressure > contact.yield_pressure, words + dent, aims


def _force_aim(low: float, high: float) -> Aim:
    ends = [abs(end) for end in (low, high) if math.isfinite(end)]
    return Aim("breakout_force", low, high, None, FELT * max(ends))


def _stiff(case: Case) -> _Told:
    """Too stiff: above the build's own band where it has one, else above what one finger gives."""
    force, (low, high) = case.value("breakout_force"), case.wanted("breakout_force")
    own = math.isfinite(high)
    aims = (_force_aim(low, high) if own else _at_most("breakout_force", max(STIFFEST, low)),)
    if case.flag("locks_solid"):
        return True, "the ball locks solid: no push opens it", aims
    if math.isnan(force):
        return False, "there is no breakout", aims
    finger = f"one finger pulls a control with at most {case.said(STIFFEST, 'N')} (MIL-STD-1472E)"
    against = f"the build's target is {case.typed('breakout_force')}" if own else finger
    return force > aims[0].high, f"it takes {case.said(force, 'N')} to open; {against}", aims


def _light(case: Case) -> _Told:
    """Too light: below the build's own band where it has one, else below what throws the blade or a button gives."""
    force, (low, high) = case.value("breakout_force"), case.wanted("breakout_force")
    own = math.isfinite(low)
    # What takes more than a finger is not light.
    least = low if own else min(max(LIGHTEST, min(case.launch or 0.0, STIFFEST)), high)
    aims = (_force_aim(low, high) if own else _force_aim(min(least * (1 + FELT / 2), high), high),)
    if math.isnan(force):
        return case.flag("floats") or case.flag("misses_dimple"), "there is no breakout", aims

    def words() -> str:
        flies = "" if not case.launch else f", and it flies open from {case.said(case.launch, 'N')}"
        button = f"a push button gives at least {case.said(LIGHTEST, 'N')}"
        against = f"the build's target is {case.typed('breakout_force')}" if own else button
        return f"it takes {case.said(force, 'N')} to open; {against}{flies}"

    return force < least, words, aims


def _proud(case: Case) -> _Told:
    rest, draw = case.value("rest_angle"), case.value("draw_torque")
    far = rest * math.pi / 180 * case.record.pivot_to_ball * 1e3
    words = (
        f"it rests {two_digits(rest)} deg off its stop, {case.said(float(far), 'mm')} at the ball"
        if rest > 0
        else (f"it rests on its stop, drawn there with {case.said(draw, 'N*mm')}")
    )
    return rest > 0, words, (_at_most("rest_angle", 0.0), _at_least("draw_torque", QUIET))


def _clicks(case: Case) -> _Told:
    if len(case.crests) < 2:
        return False, "the push rises to one crest on the way out", ()
    return True, partial(click_words, case), ()


def _drags(case: Case) -> _Told:
    ratio, force = case.value("breakout_to_drag"), case.value("drag_force")
    if math.isnan(ratio):
        return False, "there is no drag to speak of", ()
    drag = "" if math.isnan(force) else f"drag at mid-swing is {case.said(force, 'N')}, and "
    words = f"{drag}breakout {two_digits(ratio)} times the drag"
    aims = (_at_least("breakout_to_drag", LIVELY),)
    if not case.flag("dents_tang"):
        return ratio < LIVELY, words, aims
    borne = read_contact(case.response.load).limit
    return True, words + "; the ball dents the tang as it rides", (*aims, _at_most("contact_pressure", borne))


def _soft(case: Case) -> _Told:
    own = case.value("breakout_force")
    if math.isnan(own):
        return False, "there is no breakout to lose", ()
    lost, left = _lost_bend(case, own)
    worn = case.with_record(edge_radius=float(case.record.edge_radius) + WORN)["breakout_force"]
    rounded = worn is None or abs(worn / own - 1) > FELT
    wear = f"an edge rounded {case.said(WORN * 1e3, 'mm')} more by use takes breakout to {case.force(worn)}"
    parts = [left] * lost + [wear] * rounded
    if parts:
        return True, "; ".join(parts), ()
    change = (worn or own) / own - 1
    return False, f"{left}, and a worn edge changes breakout by {100 * change:+.0f} %", ()


def _lost_bend(case: Case, own: float) -> tuple[bool, str]:
    """Whether a hand feels the bend lost in the first full unlock, and the sentence on it."""
    service = read_service(case.response, None)
    if not service.use > 1 or service.bend_after is None:
        return False, "no bend is lost"
    after = case.with_record(bend=service.bend_after * 1e-3)["breakout_force"]
    words = f"the first full unlock leaves {case.size(service.bend_after)} of bend"
    if after is not None and abs(after / own - 1) <= FELT:
        return False, f"{words}, which no hand feels"
    return True, f"{words}, and breakout {case.force(after)} instead of {case.force(own)}"


SYMPTOMS: dict[str, Callable[[Case], _Told]] = {
    "rattles closed": _rattles,
    "opens when shaken": _shaken,
    "will not fall shut": _hangs,
    "stalls half way": _stalls,
    "gritty": _gritty,
    "too stiff": _stiff,
    "too light": _light,
    "proud of its stop": _proud,
    "two clicks": _clicks,
    "drags or grooves": _drags,
    "went soft after a week": _soft,
    "worse after coating": coated,
}
"""Every symptom by name, with the rule that reads it."""


def symptoms(build: Build) -> tuple[Symptom, ...]:
    """Read every symptom of a build.

    Parameters
    ----------
    build : Build
        With the sections of the feel curve; motion symptoms need the blade's data.

    Returns
    -------
    tuple of Symptom
        In the order of `SYMPTOMS`.

    Raises
    ------
    BuildError
        Where a section is missing.
    """
    case = Case(build)
    return tuple(_read(case, name) for name in SYMPTOMS)


def _read(case: Case, name: str) -> Symptom:
    present, words, aims = SYMPTOMS[name](case)
    says = words if callable(words) else partial(str, words)
    return Symptom(name, bool(present), says, aims, present is not None)


def symptom(build: Build, name: str) -> Symptom:
    """Read one symptom of a build.

    Parameters
    ----------
    build : Build
    name : str
        One of `SYMPTOMS`, or another way of saying one (`said.SPELLINGS`).

    Raises
    ------
    InputError
        For an unknown one; the message names those there are.
    """
    key = symptom_name(name)[:60]
    if key not in SYMPTOMS:
        known = ", ".join(SYMPTOMS)
        raise InputError("symptom", name, f'"{key}" is no symptom{suggestion(key, SYMPTOMS) or f"; there are {known}"}')
    return _read(Case(build), key)
