"""Change of a result, or of the whole opening, in hand-steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.hand_steps import Distance, distance, steps_between
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
    own, now = _felt_force(name, start), _felt_force(name, look)
    return None if own is None or now is None or own * now < 0 else float(steps_between(abs(own), abs(now)))


def _felt_force(name: str, look: Look) -> float | None:
    """Force at the opener that stands for a result [N]."""
    value = look.results.get(name)
    if value is None or look.build is None:
        return None
    return value if RESULTS[name].unit == "N" else value / (1e3 * look.build.si("opener.radius"))


def felt_apart(look: Look, start: Look) -> Distance:
    """Distance between the present and the starting opening, as a comparison of the two builds gives it.

    Parameters
    ----------
    look, start : Look
        Present and starting setting.

    Returns
    -------
    Distance
        By `detentsim.analysis.hand_steps.distance`.
    """
    if look.way is None or start.way is None:
        return Distance(None, why="these sizes make no knife")
    return distance(start.way, look.way)
