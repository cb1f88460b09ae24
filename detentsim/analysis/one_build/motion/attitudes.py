"""Attitudes of the handle in which a falling blade is judged."""

from __future__ import annotations

# Attitudes of the handle by where straight down lies from the closed blade, in the opening sense [deg].
ATTITUDES = {
    "butt-down": 0.0,
    "tilted 45 deg, slot up": -45.0,
    "level, slot up": -90.0,
    "level, slot down": 90.0,
    "butt-up": 180.0,
}
