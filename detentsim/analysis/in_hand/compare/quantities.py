"""Results that a comparison sets side by side, with their units."""

from __future__ import annotations

DRAG = "drag_after_let_go"

UNITS = {
    "breakout_force": "N",
    "breakout_force_angle": "deg",
    "let_go_angle": "deg",
    "breakout_energy": "mJ",
    DRAG: "N",
    "drag_force": "N",
    "draw_torque": "N*mm",
}
"""Results that are compared, and their units; `drag_after_let_go` is the mean force from let-go to twice its angle."""

UNREAD = "not to be read off a feel curve; builds alone have it"
