"""Names, units and meanings of the results; names, severities and texts of the flags.

Read by every room above; knows nothing of how a result is computed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Outcome:
    """One result.

    Attributes
    ----------
    unit : str
        The one unit it is given in; empty for a ratio; ``truth`` for true or false.
    meaning : str
        One plain line.
    """

    unit: str
    meaning: str

    @property
    def is_truth(self) -> bool:
        """Whether it is true or false rather than a number."""
        return self.unit == "truth"


@dataclass(frozen=True)
class Flag:
    """One flag.

    Attributes
    ----------
    severity : str
        ``fatal`` where the detent does not work, ``fault`` where it works but the design is unsound, ``trait`` where
        the flag only describes it.
    words : str
        One plain line.
    """

    severity: Literal["fatal", "fault", "trait"]
    words: str


_LABELS = {
    "breakout_force": "breakout",
    "drag_force": "drag at mid-swing",
    "breakout_energy": "work to break out",
    "breakout_to_drag": "breakout over drag",
    "draw_torque": "draw onto the stop",
    "let_go_angle": "let-go",
    "pull_in_angle": "pull-in by the ball alone",
    "seat_depth": "seat below the flat",
    "loose_ball_height": "loose ball's height",
    "contact_pressure_limit": "contact pressure limit",
    "carry_g": "hold against its own weight",
    "opens_fully": "flies open",
    "opening_spare": "energy to spare in opening",
    "closing_spare": "torque to spare in falling shut",
}


def label(name: str) -> str:
    """Return a result's name in the trade's words, for reports.

    Parameters
    ----------
    name : str
        Key of `RESULTS`.

    Returns
    -------
    str

    Examples
    --------
    >>> label("breakout_force"), label("rest_angle")
    ('breakout', 'rest angle')
    """
    return _LABELS.get(name, name.replace("_", " "))


RESULTS: dict[str, Outcome] = {
    "bar_stiffness": Outcome("N/mm", "push on the bar at the ball for each millimetre it moves"),
    "lateral_stiffness": Outcome("N/mm", "the same across the bar's width, at the ball's contact"),
    "free_offset": Outcome("mm", "how far the ball would stand inward of flat with nothing in the bar's way"),
    "seat_depth": Outcome("mm", "how deep a ball resting on the dimple reaches below the flat"),
    "rim_diameter": Outcome("mm", "diameter of the dimple where it meets the flat, before the edge is broken"),
    "loose_ball_height": Outcome("mm", "how high a loose ball laid in the dimple stands proud of the flat"),
    "preload": Outcome("N", "the bar's push on the ball with the blade closed and at rest"),
    "seated_force": Outcome(
        "N", "the bar's push on the ball centred in the dimple; none where its face keeps the ball off its seat"
    ),
    "riding_force": Outcome("N", "the bar's push while the ball rides the flat"),
    "lift_force_open": Outcome("N", "pull at the bar's tip that just lifts the ball off the flat"),
    "lift_force_closed": Outcome("N", "pull at the bar's tip that just lifts it off the closed blade"),
    "breakout_force": Outcome("N", "greatest push at the opener on the way out of the dimple"),
    "drag_force": Outcome("N", "push at the opener that keeps the blade moving at mid-swing"),
    "breakout_torque": Outcome("N*mm", "greatest torque of the ball against opening"),
    "draw_torque": Outcome("N*mm", "torque that draws the resting blade onto its stop; negative stands proud"),
    "drag_torque": Outcome("N*mm", "torque of the ball's drag on the flat"),
    "contact_angle": Outcome("deg", "slope of the contact between ball and dimple at rest"),
    "rest_angle": Outcome("deg", "blade angle at rest; above zero when it stands proud of its stop"),
    "breakout_angle": Outcome("deg", "blade angle at which the ball's torque is greatest"),
    "breakout_force_angle": Outcome("deg", "blade angle at which the push at the opener is greatest"),
    "let_go_angle": Outcome("deg", "blade angle at which the ball has left the dimple"),
    "pull_in_angle": Outcome("deg", "largest blade angle from which the ball alone pulls the blade shut"),
    "lash": Outcome("deg", "angle the closed blade can rattle through when the ball hangs loose"),
    "breakout_energy": Outcome("mJ", "work against the detent from rest until it lets go, drag left out"),
    "breakout_to_drag": Outcome("", "breakout over drag, both with the pivot's friction"),
    "working_stress": Outcome("MPa", "greatest stress in the bar in service, with what bending left in it"),
    "yield_strength": Outcome("MPa", "stress at which the bar's metal takes a set"),
    "contact_pressure": Outcome("MPa", "peak pressure of the ball on the flat"),
    "contact_pressure_limit": Outcome("MPa", "peak pressure at which the ball begins to dent the tang"),
    "travel_before_loss": Outcome("mm", "outward travel at the ball before the bar loses bend"),
    "travel_to_unlock": Outcome("mm", "outward travel at the ball that unlocking needs"),
    "push_for_bend": Outcome("mm", "how far the tip must be pushed to leave the wanted bend"),
    "springback": Outcome("mm", "how much of that push comes back"),
    "lockup_force": Outcome("N", "the bar's push at lock-up"),
    "opens_fully": Outcome("truth", "whether the blade reaches lock-up"),
    "falls_shut": Outcome("truth", "whether the blade falls shut by its own weight"),
    "stall_angle": Outcome("deg", "blade angle at which an opening blade stalls"),
    "hang_angle": Outcome("deg", "blade angle at which a falling blade hangs"),
    "arrival_speed": Outcome("rad/s", "blade's speed at lock-up"),
    "arrival_energy": Outcome("mJ", "blade's energy at lock-up"),
    "wrist_energy": Outcome("mJ", "what a stalled blade lacked to reach lock-up"),
    "opening_spare": Outcome("mJ", "blade's least energy after the finger has left it; negative: what it lacked"),
    "closing_spare": Outcome("N*mm", "drag that a blade falling shut could bear in addition; negative: how much less"),
    "carry_g": Outcome("", "how many times its own weight the detent holds the blade shut against"),
}
"""Every result by name."""

SHARE_INSIDE = "share_inside"
"""Name under which a sweep gives the share of a batch's knives that are inside."""

OUTCOMES = RESULTS | {
    SHARE_INSIDE: Outcome("", "share of the knives made to a design that meet the target and give no unsound warning")
}
"""What a sweep may hold: every result of one knife, and the share of many."""

_FLAGS: dict[str, Flag] = {
    "floats": Flag("fatal", "The ball never reaches the tang: bend the bar further in, or close the gap."),
    "misses_dimple": Flag(
        "fatal",
        "With the blade closed the ball lies on the flat beside its dimple: lower overclose or radial_error.",
    ),
    "stopped_short": Flag(
        "fatal", "The over-travel stop meets the bar before the ball is out of its dimple: widen its gap."
    ),
    "never_lets_go": Flag(
        "fatal", "The ball is still in its dimple at lock-up: the bar gives too far sideways to open."
    ),
    "lacks_lever": Flag(
        "fatal", "The opener has almost no lever before the ball is out of its dimple: change opener.push_angle."
    ),
    "hangs_loose": Flag(
        "fault", "The ball rides the flat but hangs loose in the dimple: the closed blade will rattle."
    ),
    "bar_on_tang": Flag(
        "fault", "The bar's face lies on the tang before the ball seats: widen the gap or raise the ball."
    ),
    "ball_on_floor": Flag(
        "fault", "The ball rests on the bottom of the hole, not on its rim: drill the first hole deeper."
    ),
    "locks_solid": Flag("fatal", "Friction holds the ball in the dimple: no push at the opener will open this blade."),
    "stands_proud": Flag("fault", "The blade rests proud of its closed stop: the dimple holds it short of closed."),
    "snaps": Flag("trait", "The bar gives sideways and the ball snaps out: the push drops all at once."),
    "loses_bend": Flag("fault", "Service pushes the bar past its yield: it will lose some of its bend."),
    "dents_tang": Flag("fault", "The ball presses hard enough to dent the tang."),
}

CARRY = 6.0
"""Own weights that the detent of a carried knife should hold; a judgement, no source."""

OTHERWISE = {
    "stays_shut": f"; whether a blade stays shut is told by carry_g, which should be at least {CARRY:g}",
    "flies_open": "; did you mean opens_fully",
}
"""What a verdict's answers are called as results, to end a sentence on a name that is none."""

FLAGS: dict[str, str] = {name: flag.words for name, flag in _FLAGS.items()}
"""Every flag by name, in plain words."""

UNSOUND: tuple[str, ...] = tuple(name for name, flag in _FLAGS.items() if flag.severity != "trait")
"""Flags of an unsound design, fatal or not: advice must not raise them, and maps hatch them as faults."""

FATAL: tuple[str, ...] = tuple(name for name, flag in _FLAGS.items() if flag.severity == "fatal")
"""Flags of a detent that does not work: advice must remove them."""
