"""Elastic contact of the ball on its rim: a line contact of two radii that spreads round the dimple.

The rim is a line foundation: at azimuth `phi` about the dimple's axis the ball overlaps it by `A + B cos(phi)` and the
line load is the stiffness `K` times that, where the overlap is positive. Centred, the whole ring carries; with the ball
offset, an arc on one side. `K` joins Hertz's line contact to the outer give of ball and rim, the rim being a wedge with
a rounded edge. Numbers marked "fit" come from the elastic solution in tests/helpers/elastic_rim.py, with which
tests/validation compares what comes of them.

Stands on ``bedding``; ``detent.bar_spring`` takes the stiffness from here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from detentsim.mechanics.contact.bedding import pressing
from detentsim.mechanics.contact.bedding.pressing import ARC_END, RING, polynomial

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Record

# Outer length of the logarithm over the contact's radius, for ball and rim; share of the wedge's give that a ring
# around a hole has, and outer length of its logarithm over the contact's radius (fit).
BALL_REACH, RIM_REACH, WEDGE_SHARE, WEDGE_REACH = 5.5, 3.2, 0.85, 0.3

# Growth of the rim's stiffness from the whole ring to a short arc (fit).
ARC = 0.25

# Line load that sets the contact's width, over the mean of one radian of the ring (fit).
LOADED = 0.8

# Largest sine of a contact angle: a vertical wall would take an infinite load.
STEEPEST = 0.995

# Mean cosine of the azimuth on a loaded arc, and overlap at azimuth 0 over B, of a line foundation: polynomials in t,
# the constant first. The first two follow from a short arc, the others from all arcs (derived), to 0.005.
COSINE = (1.0, -0.112924323, -0.00290985, -0.00207082)
OVERLAP = (0.0, 0.564621617, 0.01632747, -0.00283326)

Moduli = tuple[ArrayLike, ArrayLike]
"""Plane-strain moduli `E/(1 - nu^2)` of ball and tang [Pa]."""


class Edge(NamedTuple):
    """Edge of the dimple that carries the ball; fields broadcast."""

    ball: ArrayLike  # radius of the ball [m]
    sine: ArrayLike  # of the contact angle of the centred ball [-]
    rounding: ArrayLike  # radius of the edge [m]; inf on a straight flank
    wedge: ArrayLike  # angle that the metal fills at the edge [rad]; pi on a flank
    middle: ArrayLike  # contact angle in the middle of the edge [rad]


def moduli_of(record: Record) -> tuple[Array, Array]:
    """Plane-strain moduli of ball and tang, `E/(1 - nu^2)`, in the designs' shape [Pa].

    Source: K. L. Johnson, Contact Mechanics (1985), section 4.1.

    >>> import detentsim as ds
    >>> [round(float(modulus) / 1e9) for modulus in moduli_of(ds.curve(ds.demo()).response.load.record)]
    [334, 224]
    """
    ball = record.ball_modulus / (1 - record.ball_poisson**2)
    return ball, record.tang_modulus / (1 - record.tang_poisson**2)


class Bedded(NamedTuple):
    """How the ball beds in its rim."""

    line_load: Array  # greatest, at azimuth 0 [N/m]
    pressure: Array  # peak of it [Pa]
    approach: Array  # of ball and rim at azimuth 0, along the normal [m]


def wedge_give(angle: ArrayLike, tilt: ArrayLike) -> Array:
    """Give of a wedge under a line load on its edge, less that of a half space, over the logarithm of distance [-].

    Parameters
    ----------
    angle : array_like
        That the metal fills, alpha [rad]; pi for a half space.
    tilt : array_like
        Of the load from the bisector, theta [rad].

    Returns
    -------
    array
        `2 cos(theta)^2/(alpha + sin alpha) + 2 sin(theta)^2/(alpha - sin alpha) - 2/pi`.

    Notes
    -----
    From J. H. Michell's radial stresses in a wedge: S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd ed.,
    art. 38.

    Examples
    --------
    >>> float(wedge_give(np.pi, 0.0)), round(float(wedge_give(np.pi / 2, 0.0)), 4)
    (0.0, 0.1413)
    """
    alpha, theta = np.asarray(angle, float), np.asarray(tilt, float)
    along, across = alpha + np.sin(alpha), alpha - np.sin(alpha)
    return np.asarray(2 * np.cos(theta) ** 2 / along + 2 * np.sin(theta) ** 2 / across - 2 / np.pi)


def half_width(line_load: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Half width of a line contact, `b^2 = 4 w R/(pi E*) + (w/E*)^2` [m].

    `line_load` w [N/m], `radius` R = R1 R2/(R1 + R2) [m], `modulus` E* [Pa]. Source: K. L. Johnson, Contact Mechanics
    (1985), eq. 4.43; the second term is the order of width to which a perfectly sharp edge flattens (derived).

    >>> round(float(half_width(1e5, 0.01, 110e9)) * 1e3, 4)
    0.1076
    """
    w, modulus = np.asarray(line_load, float), np.asarray(modulus, float)
    return np.asarray(np.sqrt(4 * w * np.asarray(radius, float) / (np.pi * modulus) + (w / modulus) ** 2))


def line_pressure(line_load: ArrayLike, radius: ArrayLike, modulus: ArrayLike) -> Array:
    """Peak pressure of a line contact, `p0 = 2 w/(pi b)` [Pa]; parameters as in `half_width`.

    Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.45.

    >>> round(float(line_pressure(1e5, 0.01, 110e9)) / 1e6)
    592
    """
    width = half_width(line_load, radius, modulus)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(width > 0, 2 * np.asarray(line_load, float) / (np.pi * width), 0.0)


def reduced(edge: Edge) -> Array:
    """Radius of a cylinder on a flat that touches as ball and edge do, `R r/(R + r)` [m].

    Source: K. L. Johnson, Contact Mechanics (1985), eq. 4.2.

    >>> float(reduced(Edge(0.8e-3, 0.9, np.inf, np.pi, 0.5)))
    0.0008
    """
    ball = np.asarray(edge.ball, float)
    with np.errstate(divide="ignore"):
        return np.asarray(1 / (1 / ball + 1 / np.asarray(edge.rounding, float)))


def line_stiffness(edge: Edge, moduli: Moduli, force: ArrayLike) -> Array:
    """Stiffness of the line foundation, line load over overlap [Pa], of the whole ring under `force` [N] on the ball.

    Parameters
    ----------
    edge : Edge
    moduli : Moduli
    force : array_like
        Along the dimple's axis [N].

    Returns
    -------
    array

    Notes
    -----
    `1/K = 2/pi [ln(5.5 a/b)/E_b + ln(3.2 a/b)/E_t] + 0.85 chi ln(0.3 a/r)/E_t`, with the contact's radius a = R sin psi
    and its half width b: a line load on a half space (K. L. Johnson, Contact Mechanics, 1985, section 2.3) with the
    lengths that ball and hole give the logarithm, and `wedge_give` chi (fit). Within 10 % of the elastic solution for
    contact angles from 30 to 76 degrees.

    Examples
    --------
    >>> edge = Edge(0.8e-3, 0.93, 0.03e-3, np.pi / 2, np.pi / 4)
    >>> round(float(line_stiffness(edge, (230e9, 230e9), 15.0)) / 1e9, 1)
    24.1
    """
    ball_modulus, tang_modulus = (np.asarray(part, float) for part in moduli)
    sine = np.minimum(edge.sine, STEEPEST)
    at = np.asarray(edge.ball, float) * np.maximum(sine, 0.05)
    width = _width(edge, moduli, force / np.sqrt(1 - sine**2) / at)
    chi = wedge_give(edge.wedge, np.arcsin(sine) - edge.middle)
    sharp = np.log(np.maximum(WEDGE_REACH * at / np.maximum(edge.rounding, width), 1))
    near = np.log(BALL_REACH * at / width) / ball_modulus + np.log(RIM_REACH * at / width) / tang_modulus
    return np.asarray(1 / (2 / np.pi * near + WEDGE_SHARE * chi * sharp / tang_modulus))


def _width(edge: Edge, moduli: Moduli, line_load: ArrayLike) -> Array:
    """Half width that the logarithm takes [m]; at least a nanometre, where nothing is carried."""
    loaded = LOADED * np.asarray(line_load, float)
    return np.maximum(half_width(loaded, reduced(edge), _joined(moduli)), 1e-9)


def _joined(moduli: Moduli) -> Array:
    return np.asarray(1 / (1 / np.asarray(moduli[0], float) + 1 / np.asarray(moduli[1], float)))


def arc(z: ArrayLike) -> tuple[Array, Array]:
    """Loaded arc: mean cosine of the azimuth, weighted by the line load, and overlap at azimuth 0 over B.

    Parameters
    ----------
    z : array_like
        Normal load over `K a B` [-]; 0 for a rigid rim.

    Returns
    -------
    cosine, overlap : array

    Notes
    -----
    Whole ring, z >= 2 pi: `pi/z` and `1 + z/(2 pi)`; an arc of half angle p: `z = 2 (sin p - p cos p)`, mean cosine
    `(p - sin p cos p)/z`, overlap `1 - cos p`, by `COSINE` and `OVERLAP`, with the growth of the stiffness (derived).

    Examples
    --------
    >>> [float(part) for part in arc(0.0)], [float(part) for part in arc(4 * np.pi)]
    ([1.0, 0.0], [0.25, 3.0])
    """
    z = np.asarray(z, float)
    near = np.minimum(z, RING)
    t = np.cbrt(near) ** 2
    return polynomial(COSINE, t) * (RING / np.maximum(z, RING)), polynomial(OVERLAP, t) + (z - near) / RING


def bedded(edge: Edge, moduli: Moduli, force: ArrayLike, offset: ArrayLike) -> Bedded:
    """Greatest line load, its pressure, and approach of ball and rim, without friction.

    Parameters
    ----------
    edge : Edge
    moduli : Moduli
    force : array_like
        Along the dimple's axis [N].
    offset : array_like
        Of the ball from the dimple's axis [m].

    Returns
    -------
    Bedded

    Notes
    -----
    `z = N/(cos psi K a B)` with `B = s a/R`; the line load is `K (1 + 0.25 (1 - t/t1))` times the overlap of a line
    foundation (`arc`), where t1 is the whole ring's t. The approach is that of elastic bodies, as along the path.

    Examples
    --------
    >>> edge = Edge(0.8e-3, 0.93, 0.03e-3, np.pi / 2, np.pi / 4)
    >>> centred, aside = (bedded(edge, (230e9, 230e9), 15.0, s) for s in (0.0, 0.01e-3))
    >>> round(float(centred.pressure) / 1e9, 1), round(float(aside.pressure) / 1e9, 1)
    (3.3, 8.4)
    """
    ball, rounding = np.asarray(edge.ball, float), np.asarray(edge.rounding, float)
    with np.errstate(invalid="ignore"):
        turned = np.where(np.isfinite(rounding), np.asarray(offset, float) / (ball + rounding), 0.0)
    sine = np.clip(edge.sine - turned, 0, 0.9999)
    aside = np.asarray(offset, float)
    at = aside + ball * sine
    normal = np.asarray(force, float) / np.sqrt(1 - sine**2)
    stiffness = line_stiffness(edge, moduli, force)
    # A centred ball is as one a thousandth of a nanometre beside its place.
    lean = np.maximum(aside, 1e-12) * at / ball
    z = normal / (stiffness * at * lean)
    near = np.minimum(z, RING)
    t = np.cbrt(near) ** 2
    approach = (pressing.carried(t, t, None)[1] + (z - near) / RING) * lean
    load = stiffness * (1 + ARC * (1 - t / ARC_END)) * arc(z)[1] * lean
    return Bedded(load, line_pressure(load, reduced(edge), _joined(moduli)), approach)


def approach(ball: Array, sine: Array, offset: Array, load: Array) -> Array:
    """How far a ball sinks into its rim along the dimple's axis, without friction [m]; all broadcast.

    Parameters
    ----------
    ball, sine, offset : array
        Radius of the ball [m], sine of the contact angle on a rigid rim [-], offset from the dimple's axis [m].
    load : array
        Push of the bar times `Spring.bed` [m^3].

    Returns
    -------
    array

    Examples
    --------
    >>> 1e6 * float(approach(*map(np.array, (0.8e-3, 0.8, 0.1e-3, 10 * 4e-14)))) < 20
    True
    """
    cosine = np.maximum(np.sqrt(1 - sine * sine), pressing.UPRIGHT)
    offset = np.maximum(offset, pressing.LEAST)
    radius = offset + ball * sine
    deep = radius * offset / (ball * ball * cosine)
    free = pressing.freely((sine, sine, cosine), np.zeros(()), (deep, cosine), load / (radius * radius * offset))[3]
    dent = pressing.carried(free, np.minimum(free, ARC_END), free > ARC_END)[1]
    return np.asarray(ball * pressing.sinking(deep * dent, sine, cosine))
