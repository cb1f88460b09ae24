"""Why a result has no value, in words."""

from __future__ import annotations

from detentsim.mechanics.names import BY_PUSH, NO_BREAKOUT

_WHY = {
    "floats": "the ball never reaches the tang",
    "locks_solid": "the ball locks solid",
    "misses_dimple": "the ball rests beside its dimple",
    "stopped_short": "the over-travel stop keeps the ball in its dimple",
    "never_lets_go": "the ball is still in its dimple at lock-up",
    "lacks_lever": "the opener has almost no lever before the ball is out of its dimple",
    "hangs_loose": "the ball hangs loose in the dimple",
    "bar_on_tang": "the bar's face lies on the tang",
}

_WHATEVER = ("lateral_stiffness", "drag_force", "lockup_force", "push_for_bend", "springback")
"""Results that no flag takes away."""

_ABSENT = {
    "pull_in_angle": "the ball alone pulls the blade shut from no angle",
    "lateral_stiffness": "the bar is taken as rigid sideways",
    "drag_force": "the opener has almost no lever at mid-swing, or the ball is still in its dimple there",
    "breakout_to_drag": "there is no drag",
    "contact_angle": "the ball carries nothing at rest",
    "lockup_force": "bar.lockup_travel is not given",
    "push_for_bend": "the bar is flat, bent over an edge, or folds before it takes that bend",
    "springback": "the bar is flat, bent over an edge, or folds before it takes that bend",
    "carry_g": "blade.mass or blade.balance_radius is not given",
    "opens_fully": "blade.mass, blade.balance_radius or blade.inertia is not given",
    "falls_shut": "blade.mass or blade.balance_radius is not given",
}


def why_missing(name: str, flags: tuple[str, ...]) -> str:
    """Reason in words why a result has no value.

    Parameters
    ----------
    name : str
    flags : tuple of str
        Flags of the design.

    Examples
    --------
    >>> why_missing("breakout_force", ("floats",))
    'the ball never reaches the tang'
    """
    # A loose ball, or a face on the tang, carries nothing at rest but works later; a lever is short whatever it does.
    stops = list(_WHY) if name == "contact_angle" else [*NO_BREAKOUT]
    if name in BY_PUSH:
        stops.append("lacks_lever")
    for flag in stops if name not in _WHATEVER else ():
        if flag in flags:
            return _WHY[flag]
    return _ABSENT.get(name, "it does not apply to this build")
