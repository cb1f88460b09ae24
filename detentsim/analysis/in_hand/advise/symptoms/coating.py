"""Symptom of a knife that feels different after coating: the effect of each coat's thickness, and of its friction.

Called by ``symptoms``. The build's own coats are removed one by one; where it has none, a usual one is added.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.results import number
from detentsim.knife.record.fields import COATS
from detentsim.knife.target.target import FELT
from detentsim.shop.friction import friction_states
from detentsim.units.numbers import digits, two_digits

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.symptoms.case import Case

# A usual hard coat on tang and on slab with its bar [m]; common practice, no source.
USUAL = {"tang.coating": 3e-6, "bar.coating": 3e-6}

_BREAKOUT = "breakout_force"


def coated(case: Case) -> tuple[bool | None, str, tuple[Aim, ...]]:
    """Whether coats are felt, the sentence on them, and the aim that takes the feel back to that before them.

    Parameters
    ----------
    case : Case

    Returns
    -------
    present : bool or None
        None where no thickness is felt, for then the coat's friction decides, which the build does not tell.
    words : str
    aims : tuple of Aim
    """
    own = case.value(_BREAKOUT)
    if math.isnan(own):
        return False, "there is no breakout to change", ()
    given = {name: _given(case, name) for name in COATS if _given(case, name) > 0}
    if given:
        return _taken_off(case, own, given)
    words, change = _thickness(case, USUAL, own, _with(case, USUAL))
    return True if abs(change) > FELT else None, f"{words}; {_films(case, USUAL)}", ()


def _taken_off(case: Case, own: float, given: dict[str, float]) -> tuple[bool | None, str, tuple[Aim, ...]]:
    """Answer for a build that states its coats."""
    bare = _with(case, dict.fromkeys(COATS, 0.0))
    words, change = _thickness(case, given, bare, own)
    parts = f", from {_force(case, bare)} to {_force(case, own)}{_where(case)}"
    if not abs(change) > FELT:
        return None, f"{words}{parts}; {_films(case, given)}", ()
    low, high = (1 - FELT / 2) * bare, (1 + FELT / 2) * bare
    aims = () if math.isnan(bare) else (Aim(_BREAKOUT, low, high, None, FELT * high),)
    return True, words + parts, aims


def _thickness(case: Case, coats: dict[str, float], before: float, after: float) -> tuple[str, float]:
    """Sentence on what thickness alone does, and the change of breakout as a share."""
    change = math.inf if math.isnan(before) or math.isnan(after) else after / before - 1
    *first, last = (f"{case.said(t * 1e6, 'um')} on the {_PARTS[name]}" for name, t in coats.items())
    laid = f"{', '.join(first)} and {last}" if first else last
    shown = f"{'+' if change > 0 else ''}{two_digits(100 * change)} %" if math.isfinite(change) else "all there is"
    return f"a coating of {laid} changes breakout by {shown} by its thickness", change


def _force(case: Case, newtons: float) -> str:
    """A force in three digits, so that forces told side by side differ as their change says; `none` without one."""
    if math.isnan(newtons):
        return "none"
    number, unit = case.units.pair(newtons, "N")
    return f"{digits(number, 3)} {unit}"


_PARTS = {"tang.coating": "tang", "ball.coating": "ball", "bar.coating": "bar"}


def _where(case: Case) -> str:
    """What masking the pivot's seats or leaving them coated would do, in a few words; empty where the tang is bare."""
    if not _given(case, "tang.coating") + _given(case, "bar.coating") > 0:
        return ""
    seats = number(case.numbers, "pivot.seats") > 0
    other = _with(case, {"pivot.seats": 0.0 if seats else 1.0})
    return f"; with the pivot's seats {'masked' if seats else 'coated too'} it would be {_force(case, other)}"


def _films(case: Case, coats: dict[str, float]) -> str:
    """What friction between that of the slickest and the stickiest film would make of it."""
    low, high = friction_states()["dry film"].band
    slick, sticky = (
        _with(case, coats | {"friction.ball_on_tang": mu, "friction.ball_on_tang_static": mu}) for mu in (low, high)
    )
    return (
        f"with a friction of {low:g} to {high:g}, as dry films have, breakout would be "
        f"{case.force(slick)} to {case.force(sticky)}; give friction.ball_on_tang as it is with the coating to compare"
    )


def _given(case: Case, name: str) -> float:
    value = number(case.numbers, name) if name in case.numbers else math.nan
    return 0.0 if math.isnan(value) else value


def _with(case: Case, numbers: dict[str, float]) -> float:
    """Breakout force with some plain numbers changed [N]; NaN where there is none."""
    found = case.with_numbers(numbers)[_BREAKOUT]
    return math.nan if found is None else found
