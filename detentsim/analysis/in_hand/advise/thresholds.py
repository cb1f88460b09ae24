"""Constants that rank and word advice.

Self-contained; `trials`, `words`, `advise` and the reports use it.
"""

from __future__ import annotations

from detentsim.mechanics.names import MOTION_NAMES

# Results of a thrown or falling blade: each costs several times all others together.
MOVING = frozenset(MOTION_NAMES) - {"carry_g"}

# Largest room that counts, in errors of a careful bench.
AMPLE = 4.0

# Results that make one knife feel like another.
FEEL = ("breakout_force", "drag_force", "falls_shut")

# Of a knife in the hand: chance inside from which it is left alone, gain in that chance that is worth a move, part of
# the best chance from which what can be undone goes first, chance of going too far for good that no move may pass.
SURE, GAIN, CLOSE, PAST = 0.9, 0.02, 0.85, 0.05

# Room of a single move's amount, in errors of a careful bench, under which pairs of moves are tried beside it.
ROOM = 0.5

# Hand-steps of drag at mid-swing that a move may add without going behind the others.
DRAGS = 2

# A single finger's pull on a panel control, MIL-STD-1472E 5.4.3.1.8.7, and a push button's least [N] (from memory).
STIFFEST, LIGHTEST = 18.0, 2.8

NO_HELP = "It does not help with this."

# Results that a hand or an eye notices; their changes are a move's side effects where they are no aims.
NOTICED = ("breakout_force", "drag_force", "draw_torque", "let_go_angle", "falls_shut")
