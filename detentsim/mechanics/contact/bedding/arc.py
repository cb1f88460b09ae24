"""Arc on which a line foundation round the dimple is loaded: mean cosine and overlap by the load.

At azimuth `phi` about the dimple's axis the ball overlaps its rim by `A + B cos(phi)`, and the line load is K times
that where it is positive. Everything follows from `z`, the normal load over `K a B`. Stands alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

# Growth of the rim's stiffness from the whole ring to a short arc, whose outer field is shorter (fit).
ARC = 0.25

# Normal load over `K a B` from which the ring carries all round (derived), and t = z^(2/3) there.
RING = 2 * np.pi
ARC_END = RING ** (2 / 3)

# Mean cosine of the azimuth on a loaded arc, and overlap at azimuth 0 over B: polynomials in t, coefficients from the
# constant up. The first two follow from a short arc, the others from all arcs (derived), to 0.005.
COSINE = (1.0, -0.112924323, -0.00290985, -0.00207082)
OVERLAP = (0.0, 0.564621617, 0.01632747, -0.00283326)


def polynomial(coefficients: tuple[float, float, float, float], t: Array) -> Array:
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


def growth(coefficients: tuple[float, float, float, float], t: Array) -> Array:
    """Slope over t of a cubic in t, coefficients from the constant up.

    >>> float(growth((1.0, 0.0, 2.0, 1.0), np.array(2.0)))
    20.0
    """
    _, c1, c2, c3 = coefficients
    value = (3 * c3) * t
    value += 2 * c2
    value *= t
    value += c1
    return np.asarray(value)
