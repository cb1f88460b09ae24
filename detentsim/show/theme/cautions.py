"""Cautions, each written once; a report ends with those of the work that it asks for."""

from __future__ import annotations

CUTTING = "Do not breathe hard-metal dust; titanium chips and dust burn."
"""Where a cut is asked for."""

CHANGE_FIRST = "Change the build before you cut."
"""Where the verdict on a build is bad."""

BENCH = (
    "Wear eye protection: small carbide drills shatter, and a ball can fly or burst in the press. Cover the edge; "
    "check the lock after any change of bend; carry the knife only once it stays shut. Follow qualified practice and "
    "your local law on knives and how they open."
)
"""Where the dimple, the ball or the bar is worked on."""

BENDING = (
    "Wear eye protection: a bar can slip from its clamp, and a ball can fly or burst in the press, so stand clear of "
    "its line. Cover the edge; check the lock after any change of bend. Follow qualified practice."
)
"""Where the bar is bent and nothing is cut."""

DRILLING = (
    "Wear eye protection: small carbide drills shatter, and a ball can fly or burst in the press. Titanium chips and "
    "dust burn: keep them swept up, away from sparks and water. Do not breathe dust of hard metal or vapour of "
    "solvents. Cover the edge; check the lock after any change of bend. Follow qualified practice and local law."
)
"""Where a knife is made from the first hole on."""
