"""Change of a result, or of the whole curve, in hand-steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.compare.distance import FLOOR, hand_steps, steps_between
from detentsim.knife.outcomes import RESULTS

if TYPE_CHECKING:
    from detentsim.analysis.explore.look import Look

FELT_BY_HAND = ("breakout_force", "drag_force", "draw_torque")
"""Results that a hand feels as a force."""


def felt_change(name: str, look: Look, start: Look) -> float | None:
    """Change of one result in hand-steps; positive is heavier.

    Parameters
    ----------
    name : str
        One of `FELT_BY_HAND`; a torque counts as the force that it makes at the opener.
    look, start : Look
        Present and starting setting.

    Returns
    -------
    float or None
        None where either has no value, or their signs differ.
    """
    own, now = start.results.get(name), look.results.get(name)
    if own is None or now is None or own * now < 0 or look.build is None:
        return None
    arm = 1.0 if RESULTS[name].unit == "N" else 1e3 * look.build.si("opener.radius")
    return float(steps_between(abs(own) / arm, abs(now) / arm)) if max(abs(own), abs(now)) / arm > FLOOR else 0.0


def felt_apart(look: Look, start: Look) -> float | None:
    """Distance in hand-steps between the present and the starting opening curve, from breakout to let-go.

    Parameters
    ----------
    look, start : Look
        Present and starting setting.

    Returns
    -------
    float or None
        By `detentsim.analysis.in_hand.compare.distance.hand_steps`; None where there is nothing to compare.
    """
    marks = [[one.results.get(n) for n in ("breakout_force_angle", "let_go_angle")] for one in (look, start)]
    if any(mark is None for pair in marks for mark in pair):
        return None
    low = max(min(float(pair[0] or 0) for pair in marks), look.angle[0], start.angle[0])
    high = max(float(pair[1] or 0) for pair in marks)
    angle = np.unique(np.concatenate([look.angle, start.angle, [low, high]]))
    angle = angle[(angle >= low) & (angle <= high)]
    one, other = (np.interp(angle, side.angle, side.opening) for side in (start, look))
    known = np.isfinite(one) & np.isfinite(other)
    return hand_steps(angle[known], one[known], other[known]) if np.count_nonzero(known) > 1 and high > low else None
