"""Greatest line load of a ball on an edge: on one side an ellipse of Hertz's, in the middle a ring.

``rim`` takes one stiffness for the whole curve of the force, whose logarithm ends at the ring: the line load of a short
arc comes out 5 to 24 % low with it. Here the logarithm ends at the arc's own length.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.bedding.pressing import LEAST, RING, polynomial
from detentsim.mechanics.contact.rim import WEDGE_REACH, WEDGE_SHARE, half_width, reduced, wedge_give

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.contact.rim import Edge, Moduli
    from detentsim.mechanics.record import Array

# Outer length of the logarithm over half the arc's chord, `4/e`: Hertz's ellipse much longer than wide (K. L. Johnson,
# Contact Mechanics, 1985, section 4.2; derived). What its square has to add for one as wide as long (fit to Hertz's
# integrals, to 0.04 of the logarithm).
REACH, ROUND = 4 / np.e, 3.0

# Overlap at azimuth 0 over `B t`, polynomial in `t = z^(2/3)`: as `rim.arc`, but of one stiffness. The first from a
# short arc, the others from all arcs, to 0.1 % (derived).
OVERLAP = (0.65518535, -0.01537727, 0.000678, -0.00057672)

# Steps from a half chord of 0.5; each leaves a fifth of the error before, the last 0.2 %.
STEPS = 4

# Largest sine of a contact angle, and least half width [m] where nothing is carried.
STEEPEST, NARROWEST = 0.9999, 1e-9


def line_load(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike) -> Array:
    """Greatest line load of a ball on an edge, without friction [N/m].

    Parameters
    ----------
    edge : Edge
        `sine` is that of the contact angle under the load.
    moduli : Moduli
    force : array_like
        Along the dimple's axis [N].
    offset : array_like
        Of the ball from the dimple's axis [m].

    Returns
    -------
    array

    Notes
    -----
    Loaded arc of half chord c round a ring of radius a, as in `rim.arc`, with the stiffness
    `1/K = 2/pi ln(4 c a/(e b)) (1/E_b + 1/E_t) + 0.85 chi ln(0.3 min(c, 1) a/r)/E_t`: b is the half width under the
    load itself, the wedge's part that of `rim.line_stiffness`. The ball sinks as it is pressed, which turns the normal
    about the edge. Within 1.5 % of Hertz's ellipse on one side, and within 2.5 % of the elastic solution up to 0.15 of
    the ball's radius aside.

    Examples
    --------
    >>> from detentsim.mechanics.contact.rim import Edge
    >>> edge = Edge(0.8e-3, 0.9, 0.03e-3, np.pi / 2, np.pi / 4)
    >>> (line_load(edge, (230e9, 230e9), 15.0, [0.0, 0.1e-3]) / 1e3).round(1).tolist()
    [7.6, 133.4]
    """
    ball, sine = np.asarray(edge.ball, float), np.minimum(edge.sine, STEEPEST)
    push, cosine = np.asarray(force, float), np.sqrt(1 - sine**2)
    aside = np.maximum(offset, LEAST)
    radius = aside + ball * sine
    lean = aside * radius / ball
    turn = sine**2 / (cosine * (ball + edge.rounding))
    of_ball, of_tang = (1 / np.asarray(part, float) for part in moduli)
    flat, across = of_ball + of_tang, reduced(edge)
    wedge = WEDGE_SHARE * wedge_give(edge.wedge, np.arcsin(sine) - edge.middle) * of_tang
    half, load = np.asarray(0.5), push / (cosine * radius)
    for _ in range(STEPS):
        width = np.maximum(half_width(load, across, 1 / flat), NARROWEST)
        stiffness = _stiffness((half, radius, width), np.maximum(edge.rounding, width), (flat, wedge))
        upright = np.maximum(cosine - turn * load / stiffness, 0.5 * cosine)
        z = push / (upright * stiffness * radius * lean)
        near = np.minimum(z, RING)
        t = np.cbrt(near) ** 2
        overlap = t * polynomial(OVERLAP, t)
        load = stiffness * lean * (overlap + (z - near) / RING)
        half = np.sqrt(2 * overlap)
    return np.asarray(load)


def _stiffness(arc: tuple[Array, Array, Array], blunt: Array, gives: tuple[Array, Array]) -> Array:
    """Line load over overlap on an arc [Pa].

    Of its half chord over the ring's radius, that [m] and half its width [m]; of the larger of the edge's radius and
    that [m]; of the give of two half spaces and of the wedge, over the logarithms [1/Pa].
    """
    (half, radius, width), (flat, wedge) = arc, gives
    near = np.log((REACH * half * radius / width) ** 2 + ROUND) * flat / np.pi
    reach = WEDGE_REACH * np.minimum(half, 1) * radius
    return np.asarray(1 / (near + wedge * np.log(np.maximum(reach / blunt, 1))))
