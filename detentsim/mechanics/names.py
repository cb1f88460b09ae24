"""Names of the results and flags of ``response``.

Self-contained; used wherever results are asked for by name.
"""

from __future__ import annotations

LIMIT_NAMES = (
    "working_stress",
    "yield_strength",
    "contact_pressure",
    "contact_pressure_limit",
    "travel_before_loss",
    "travel_to_unlock",
    "push_for_bend",
    "springback",
    "lockup_force",
)
"""Every result of `limits.limit_results`."""

THROWN_NAMES = (
    "opens_fully",
    "stall_angle",
    "arrival_speed",
    "arrival_energy",
    "wrist_energy",
    "opening_spare",
)
"""Results of a blade thrown open."""

MOTION_NAMES = (
    *THROWN_NAMES,
    "falls_shut",
    "hang_angle",
    "closing_spare",
    "carry_g",
)
"""Every result of `motion.in_motion.motion_results`; truths as 0 and 1."""

FOLLOWED_NAMES = (*THROWN_NAMES, "hang_angle", "closing_spare")
"""Results for which a motion is followed along its path; they cost several times as much as all others together."""

RESULT_NAMES = (
    "bar_stiffness",
    "lateral_stiffness",
    "free_offset",
    "seat_depth",
    "rim_diameter",
    "loose_ball_height",
    "riding_force",
    "seated_force",
    "lift_force_open",
    "lift_force_closed",
    "drag_torque",
    "preload",
    "contact_angle",
    "draw_torque",
    "rest_angle",
    "lash",
    "breakout_torque",
    "breakout_angle",
    "breakout_force",
    "breakout_force_angle",
    "let_go_angle",
    "breakout_energy",
    "breakout_to_drag",
    "drag_force",
    "pull_in_angle",
)
"""Results that `response.respond` gives by default."""

ALL_NAMES = (*RESULT_NAMES, *LIMIT_NAMES, *MOTION_NAMES)
"""Every result of `response.respond`; limits and motion only where they are wanted by name."""

NO_BREAKOUT = ("floats", "misses_dimple", "locks_solid", "stopped_short", "never_lets_go")
"""Flags of a build that no finger opens out of its dimple: it has no breakout."""

NO_PUSH = (*NO_BREAKOUT, "lacks_lever")
"""Flags of a build that the push at its opener does not open: it has no breakout force."""

BY_PUSH = ("breakout_force", "breakout_force_angle", *THROWN_NAMES)
"""Results of the push at the opener."""

FLAG_NAMES = (
    "floats",
    "misses_dimple",
    "stopped_short",
    "never_lets_go",
    "lacks_lever",
    "hangs_loose",
    "bar_on_tang",
    "ball_on_floor",
    "locks_solid",
    "stands_proud",
    "snaps",
    "loses_bend",
    "dents_tang",
)
"""Every flag of `response.respond`."""
