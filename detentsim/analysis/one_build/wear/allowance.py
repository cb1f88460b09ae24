"""How far breakout moves as the edges wear in, and what to do about it.

Takes the numbers of ``worn_in`` and puts them into sentences for the bench. All of it is of a knife that is kept oiled:
dry wear is told in the table alone.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.wear.edges import SETTLES
from detentsim.knife.outcomes import UNSOUND
from detentsim.knife.target.target import FELT, stated_band
from detentsim.units.numbers import digits

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.worn_in import WornIn

OILED = ("worn in", "oiled, least", "oiled, most")
"""Stages between which a knife that is kept oiled is likely to stand once its edges have worn in."""

HARDLY = 0.005
"""Change of breakout that is not worth a word [-]."""

BAND = (
    "The ranges run from the least to the most wear by coefficients known from memory, a hundredfold apart when oiled: "
    "orders of magnitude, not likely ranges."
)
"""How far the ranges after many openings may be trusted."""

JUDGE = f"judge it after {SETTLES} openings"

MEASURE = f"Open it {SETTLES} times before the last bend or polish, and measure again."


def direction(moves: tuple[float, float] | None) -> str:
    """Which way breakout goes: ``heavier``, ``lighter``, ``either``, ``hardly``; ``lost`` where it may have none.

    Parameters
    ----------
    moves : tuple of float or None
        Least and greatest change [-].

    Examples
    --------
    >>> direction((0.02, 0.2)), direction((-0.1, 0.001)), direction((-0.1, 0.1)), direction((-0.001, 0.002))
    ('heavier', 'lighter', 'either', 'hardly')
    """
    if moves is None:
        return "lost"
    least, most = moves
    if max(-least, most) < HARDLY:
        return "hardly"
    return "heavier" if least > -HARDLY else "lighter" if most < HARDLY else "either"


def felt(moves: tuple[float, float] | None) -> bool:
    """Whether a hand feels the greatest change.

    Parameters
    ----------
    moves : tuple of float or None
        Least and greatest change [-].
    """
    return moves is not None and max(map(abs, moves)) >= FELT


def change_words(moves: tuple[float, float]) -> str:
    """Least and greatest change of breakout.

    Parameters
    ----------
    moves : tuple of float
        [-].

    Examples
    --------
    >>> change_words((0.025, 0.044)), change_words((-0.25, -0.155)), change_words((-0.01, 0.02))
    ('2.5 to 4.4 % heavier', '15.5 to 25.0 % lighter', '1.0 % lighter to 2.0 % heavier')
    """
    least, most = (100 * part for part in moves)
    sense = direction(moves)
    if sense == "either":
        return f"{-least:.1f} % lighter to {most:.1f} % heavier"
    low, high = (least, most) if sense == "heavier" else (-most, -least)
    span = f"{low:.1f} to " if high - low >= 0.1 and low >= 0.05 else "up to " if low < 0.05 else ""
    return f"{span}{high:.1f} % {sense}"


def fresh_wanted(w: WornIn) -> tuple[float, float] | None:
    """Least and greatest fresh breakout that stays inside the build's target in all stages of `OILED` [N].

    Parameters
    ----------
    w : WornIn

    Returns
    -------
    tuple of float or None
        None without such a target, or where breakout may be lost. The least is above the greatest where no fresh knife
        stays inside. Wear-in is taken to change a slightly heavier or lighter knife by the same share.
    """
    band = stated_band(w.build.target, "breakout_force")
    return None if band is None or w.moves is None else (band[0] / (1 + w.moves[0]), band[1] / (1 + w.moves[1]))


def moved(w: WornIn) -> str:
    """What wearing in is likely to do to a breakout that is there, in one sentence.

    Parameters
    ----------
    w : WornIn
    """
    if w.moves is None or w.direction == "hardly":
        return "The edges withstand the ball as they are: breakout will hardly move."
    hand = "which a hand feels" if felt(w.moves) else "less than a hand feels"
    return f"Kept oiled, breakout is likely to get {change_words(w.moves)} over {_openings(w)}, {hand}."


def what_to_do(w: WornIn) -> str:
    """What to do about a breakout that is there before and after, in one to three sentences.

    Parameters
    ----------
    w : WornIn
    """
    wanted = fresh_wanted(w)
    if wanted is not None and _inside(w):
        return f"Worn in, breakout is inside its target: {_leave(w)}"
    if wanted is None and (not felt(w.moves) or w.direction == "either"):
        return _leave(w).capitalize()
    return f"{_allowing(w) if wanted is None else _toward(w, wanted)}{_polish(w)} {MEASURE}"


def _fresh(w: WornIn) -> float:
    return w["fresh"].results["breakout_force"] or 0.0


def _openings(w: WornIn) -> str:
    return f"{w.openings:,} opening{'s' * (w.openings != 1)}"


def _inside(w: WornIn) -> bool:
    """Whether breakout is inside its target in all stages of `OILED`; true without one."""
    low, high = fresh_wanted(w) or (-math.inf, math.inf)
    return low <= _fresh(w) <= high


def _force(w: WornIn, newtons: float, unit: bool = True) -> str:
    """Force in the build's units, three digits as in the table."""
    scale, name = w.build.units.scale("N"), w.build.units.unit("N")
    return digits(newtons * scale, 3) + (f" {name}" if unit else "")


def _leave(w: WornIn) -> str:
    """That breakout is well as it is set, which says nothing of warnings that wearing in raises."""
    new = {flag for name in OILED for flag in w[name].flags if flag in UNSOUND} - set(w["fresh"].flags)
    if new:
        return "it needs no allowance, but heed the warning that wearing in raises."
    return f"nothing to allow for, but {JUDGE}." if felt(w.moves) else "nothing to allow for."


def _allowing(w: WornIn) -> str:
    """How to set a knife that is to have worn in what it has now."""
    change = w.change("breakout_force", "worn in") or 0.0
    sense = "light" if w.direction == "heavier" else "heavy"
    aim, fresh = _force(w, _fresh(w)), _force(w, _fresh(w) / (1 + change))
    return f"Set it {sense} to allow for that: about {fresh} fresh to have {aim} worn in."


def _toward(w: WornIn, wanted: tuple[float, float]) -> str:
    """Which way to set a knife whose breakout does not stay inside its target."""
    low, high = wanted
    if low > high:
        return f"No fresh reading keeps it inside its target from worn in to {_openings(w)}."
    if math.isfinite(low) and math.isfinite(high):
        span = f"{_force(w, low, unit=False)} to {_force(w, high)}"
    else:
        span = f"at least {_force(w, low)}" if math.isfinite(low) else f"at most {_force(w, high)}"
    sense = "heavier" if _fresh(w) < low else "lighter"
    return f"Set it {sense}: about {span} fresh, to be inside its target worn in; now it is {_force(w, _fresh(w))}."


def _polish(w: WornIn) -> str:
    """What rounding the edge beforehand would leave of the change, where that keeps breakout inside its target."""
    other = w.polished
    if other is None or other.moves is None or not _inside(other):
        return ""
    edge, start = w.build.units.size(other["fresh"].edge_radius), _force(w, _fresh(other))
    left = "hardly changes it" if other.direction == "hardly" else f"makes it {change_words(other.moves)}"
    low, high = fresh_wanted(w) or (0.0, 0.0)
    way = "Or round" if low <= high else "Round"
    return f" {way} the dimple's edge to {edge} first: then it starts at {start}, and wear {left}."
