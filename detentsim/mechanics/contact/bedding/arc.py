"""Loaded arc of the rim: mean cosine of the load and dent, of t = (load over `K a B`)^(2/3).

A line foundation gives their form; ball and rim as elastic bodies the numbers. Stands alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Truth

Cubic = tuple[float, float, float, float]

# Growth of the rim's stiffness from the whole ring to a short arc (fit).
ARC = 0.25

# Normal load over `K a B` from which the ring carries all round (derived), and t there.
RING = 2 * np.pi
ARC_END = RING ** (2 / 3)


def _meeting(c0: float, c1: float, c2: float, *, end: float) -> Cubic:
    """Cubic in t that is `end` over `ARC_END` there."""
    return c0, c1, c2, (end / ARC_END - c0 - c1 * ARC_END - c2 * ARC_END**2) / ARC_END**3


# What the mean cosine of the azimuth lacks of 1, and overlap at azimuth 0 over B, each over t: cubics in t, the
# constant first (fit). They meet the whole ring's 1/2 and 2.
LACKS = _meeting(0.09262, 0.05245, -0.02527, end=0.5)
DENTS = _meeting(0.56826, 0.16428, -0.10132, end=2.0)

# A ball that moves sideways without climbing loads half the ring at most: t there, and its growth with the load over
# `K a B` of a ball that does not rub (fit; a ring whose overlap grows by the offset has 1.67 and 0.277).
HALF = 1.532
TO_RING = (ARC_END - HALF) / RING


# Overlap and what the mean cosine lacks of 1, over t, where they change what the load carries: of middling arcs (fit).
TURNS, SPREADS = 0.5175, 0.1159

# Least part of the rim's stiffness against further load that a ball leaves which wedges itself ever deeper.
WEDGES = 0.4

# Floors of offset [m] and cosine that something is divided by, far below any that counts.
LEAST, UPRIGHT = 1e-12, 1e-8


def polynomial(coefficients: Cubic, t: Array) -> Array:
    """Cubic in t, coefficients from the constant up.

    >>> float(polynomial((1.0, 0.0, 2.0, 1.0), np.array(2.0)))
    17.0
    """
    c0, c1, c2, c3 = coefficients
    value = c3 * t
    value += c2
    value *= t
    value += c1
    value *= t
    value += c0
    return np.asarray(value)


def _grown(coefficients: Cubic) -> Cubic:
    """Slope of t times a cubic, as a cubic."""
    c0, c1, c2, c3 = coefficients
    return c0, 2 * c1, 3 * c2, 4 * c3


FALLS, DEEPENS = _grown(LACKS), _grown(DENTS)


def carried(t: Array, arc: Array, ring: Truth | None) -> tuple[Array, Array]:
    """Mean cosine of the azimuth, weighted by the line load, and overlap at azimuth 0 over B.

    `arc` is t, at most `ARC_END`; `ring` is true where t is more, None where it nowhere is. There the mean cosine falls
    as 1/z and the overlap grows with z = t^(3/2) (derived).

    >>> [part.tolist() for part in carried(*[np.array([0.0, 1.0])] * 2, None)]
    [[1.0, 0.87535], [0.0, 0.63861]]
    """
    lean, dent = polynomial(LACKS, arc), polynomial(DENTS, arc)
    dent *= arc
    lean *= -arc
    lean += 1
    if ring is not None:
        over = np.maximum(t, ARC_END)
        over *= np.sqrt(over) / RING
        lean /= over
        dent += over - 1
    return lean, dent


def growth(t: Array, arc: Array, on_ring: tuple[Array, Truth | None]) -> tuple[Array, Array]:
    """Slopes of both over t, of `carried`'s parameters, with the mean cosine it gave before `ring` (derived)."""
    before, ring = on_ring
    lean, dent = -polynomial(FALLS, arc), polynomial(DEEPENS, arc)
    if ring is not None:
        lean = np.where(ring, -1.5 * before / np.maximum(t, ARC_END), lean)
        dent = np.where(ring, (1.5 / RING) * np.sqrt(t), dent)
    return lean, dent


def freely(
    way: tuple[Array, Array, Array], mu: Array, wide: tuple[Array, Array], load: Array
) -> tuple[Array, Array, Array, Array]:
    """`Spread.gain`, `held`, `room` and `free` of ``pressing``.

    Of `sin(psi)`, `sin(psi) c_ut` and `cos(psi)`, friction, `Spread.deep` and `grip`, and the bar's push over `K a B`.
    """
    (sine, uphill, cosine), (deep, grip) = way, wide
    gain = TURNS * deep * sine
    gain *= sine
    gain += (-SPREADS * mu) * uphill * cosine * cosine
    gain /= grip
    free = np.cbrt(load / grip)
    free *= free
    held = np.minimum(free, ARC_END)
    grows = gain * held
    room = np.maximum(1 - 1.5 * grows, WEDGES)
    grows /= 1.5 * room
    grows += 1
    free *= grows
    return gain, held, room, free


def sinking(first: Array, sine: Array, cosine: Array) -> Array:
    """`Spread.sunk` of its first order: the overlap is the way down times a cosine that falls as the ball sinks.

    >>> sinking(*map(np.array, (0.004, 0.8, 0.6))).round(6).tolist(), sinking(*map(np.array, (2.0, 0.8, 0.6))).tolist()
    (0.004009, 0.3)
    """
    deeper = first * sine
    deeper *= sine
    deeper /= 2 * cosine
    deeper += 1
    deeper *= first
    return np.asarray(np.minimum(deeper, 0.5 * cosine))
