"""Names of the explorer's results, and tips: what a result, a unit or a knob means, shown where the mouse rests."""

from __future__ import annotations

from detentsim.analysis.explore.felt import FELT_BY_HAND
from detentsim.knife.outcomes import OUTCOMES, SHARE_INSIDE
from detentsim.knife.table.schema import INPUTS
from detentsim.show.theme.rows import HAND_STEP

ROWS = {
    "breakout_force": "breakout",
    "drag_force": "drag at mid-swing",
    "draw_torque": "draw onto the stop",
    "let_go_angle": "lets go at",
    "contact_angle": "contact",
    "seat_depth": "seat below the flat",
    "opens_fully": "flies open",
    "falls_shut": "falls shut",
    "carry_g": "held shut against",
}
"""Results that are shown of a setting, with their names in the table; share and whole curve follow them."""

SHARE, WHOLE = "of a batch, inside", "whole curve"

FELT_ROWS = (*FELT_BY_HAND, WHOLE)
"""Rows whose change is given in hand-steps."""

APART = "How far apart a hand feels the opening now and at the start, from breakout to let-go."

WEIGHTS = "One weight is the blade's own, hanging from it in the worst direction."

POINTS = "Knives of a hundred; of 256 made to this drawing once a knob rests, of 32 while it turns."


def result_tip(row: int) -> str:
    """What a row of the results means, with its unit of change.

    Parameters
    ----------
    row : int
        Of `headlines`.

    Examples
    --------
    >>> result_tip(0).endswith("A hand-step is 10 % of force, the least difference that a finger feels.")
    True
    """
    name = (*ROWS, SHARE_INSIDE, WHOLE)[row]
    meaning = APART if name == WHOLE else sentence(OUTCOMES[name].meaning)
    units = {"carry_g": WEIGHTS, SHARE_INSIDE: POINTS}
    return " ".join(filter(None, [meaning, HAND_STEP if name in FELT_ROWS else units.get(name, "")]))


def knob_tip(name: str) -> str:
    """What the input that a knob turns is.

    Parameters
    ----------
    name : str
        Dotted name.

    Examples
    --------
    >>> knob_tip("bar.bend")
    "Inward offset of the tip from flat with nothing in the bar's way."
    """
    return sentence(INPUTS[name].help)


def sentence(words: str) -> str:
    """Words as a sentence.

    Parameters
    ----------
    words : str
    """
    return f"{words[:1].upper()}{words[1:]}."
