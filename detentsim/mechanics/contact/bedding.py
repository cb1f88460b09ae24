"""Contact of the ball on an elastic rim at ball angles of segments, and its slopes.

The load spreads round the rim: its resultant leans less than the rigid rim's normal at the nearest point, by the mean
cosine of the loaded arc. Ball and rim approach, so that the ball sits lower and the normal leans more. A rim of no give
has an arc of no length, and all stays as it is. Stands alone; ``path.segments`` passes `on_rim` and `rise_on_rim` along
with segments whose rim gives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Truth

# Growth of the rim's stiffness from the whole ring to a short arc, whose outer field is shorter (fit).
ARC = 0.25

# Normal load over `K a B` from which the ring carries all round (derived), and t = z^(2/3) there.
RING = 2 * np.pi
ARC_END = RING ** (2 / 3)

# Mean cosine of the azimuth on a loaded arc, and overlap at azimuth 0 over B: polynomials in t, coefficients from the
# constant up. The first two follow from a short arc, the others from all arcs (derived), to 0.005.
COSINE = (1.0, -0.112924323, -0.00290985, -0.00207082)
OVERLAP = (0.0, 0.564621617, 0.01632747, -0.00283326)

# Share of the friction on a rigid rim that counts in the normal load of an elastic one, on whose arc it is less (fit).
RUBS = 0.88

# Cut of a path near the crest that the rim's give makes, over `Spring.spread`.
SPREADS = (4.0,)

# Push that hardly dents ball and rim: below it the ball sinks in proportion, so that a first touch has a slope [N].
LIGHT = 0.02

# Floors of offset [m], force [N] and cosine that something is divided by, far below any that counts.
LEAST, BARE, UPRIGHT = 1e-12, 1e-12, 1e-8


class Spread(NamedTuple):
    """How the load spreads round the rim; all of one shape."""

    offset: Array  # s, at least `LEAST` [m]
    radius: Array  # a, of the contact's ring [m]
    grip: Array  # g = cos(psi) - 0.88 mu sin(psi) c_ut [-]
    upright: Array  # cos(psi), at least `UPRIGHT` [-]
    z: Array  # of `rim.arc`, N R/(K a^2 s g) [-]
    ring: Truth | None  # whether the ring carries all round; None where it nowhere does
    t: Array  # z^(2/3), at most that of the whole ring [-]
    lean: Array  # mean cosine of the azimuth, weighted by the load [-]
    dent: Array  # overlap of ball and rim over B [-]
    deep: Array  # B over R^2 cos(psi): sinking for a dent of 1 [-]
    sunk: Array  # approach along the dimple's axis over the ball's radius [-]
    turned: Array  # turn of the normal by it [rad]
    share: Array  # of the bar's push that is left where the ball has sunk in [-]


def on_rim(at: Columns, touch: Contact, mu: Array, locks: Truth) -> Contact:
    """Contact on an elastic rim, of a contact on a rigid one.

    Parameters
    ----------
    at : Columns
        Numbers of the segments.
    touch : Contact
        On the rigid rim.
    mu : array
        Friction, negative in closing [-].
    locks : array of bool
        Where friction alone would hold the ball on a rigid rim: it wedges, and there the rim counts as rigid.

    Returns
    -------
    Contact

    Notes
    -----
    With the rim a line foundation (`rim.arc`) under the normal load `N/g`: approach `e = a dent B/(R cos psi)` down,
    `B = s a/R`; the normal turns by it about the edge; the resultant leans by `sin psi` times the mean cosine. The push
    of the bar falls by `k (e - e_flat)`, with e_flat on the flat, where it is measured. Friction goes with the
    resultant (derived); over the first micrometres that leaves out how it turns round the ring, and the ball's sinking.
    Where one edge takes the ball over from another, both carry it over 0.01 to 0.04 mm; here the second carries all of
    it at once, and the crest there is 1 to 7 % high (tests/benchmarks/elastic_rim.py).
    """
    return _pressed(at, touch, _spread(at, touch, mu, locks))


def rise_on_rim(at: Columns, rigid: tuple[Contact, Contact], mu: Array, locks: Truth) -> tuple[Contact, Contact]:
    """Contact on an elastic rim and its slopes over the ball angle, of those on a rigid one; see `on_rim`."""
    wide = _spread(at, rigid[0], mu, locks)
    touch = _pressed(at, rigid[0], wide)
    return touch, _slopes(at, rigid, mu, wide, touch)


def polynomial(coefficients: tuple[float, float, float, float], t: Array) -> Array:
    """Cubic in t, coefficients from the constant up.

    >>> float(polynomial((1.0, 0.0, 2.0, 1.0), np.array(2.0)))
    17.0
    """
    c0, c1, c2, c3 = coefficients
    return np.asarray(((c3 * t + c2) * t + c1) * t + c0)


def _slope(coefficients: tuple[float, float, float, float], t: Array) -> Array:
    _, c1, c2, c3 = coefficients
    return np.asarray((3 * c3 * t + 2 * c2) * t + c1)


def _spread(at: Columns, touch: Contact, mu: Array, locks: Truth) -> Spread:
    offset = np.maximum(touch.offset, LEAST)
    radius = offset + at.ball * touch.sine
    upright = np.maximum(touch.cosine, UPRIGHT)
    grip = np.maximum(touch.cosine - (RUBS * mu) * touch.uphill, UPRIGHT)
    push = np.where(locks, 0.0, touch.push) if locks.any() else touch.push
    reach = radius * offset
    z = push * at.bed / (radius * reach * grip)
    ring = z > RING
    whole = bool(ring.any())
    arc = np.minimum(z, RING) if whole else z
    t = np.cbrt(arc)
    t = t * t
    lean, dent = polynomial(COSINE, t), polynomial(OVERLAP, t)
    if whole:  # there the mean cosine falls as 1/z, and the overlap grows with z
        lean, dent = lean * (RING / np.maximum(z, RING)), dent + (z - arc) / RING
    deep = reach / (at.ball * at.ball * upright)
    sunk = np.minimum(deep * dent, 0.5 * touch.cosine)
    turned = np.maximum(sunk * touch.sine - at.kink, 0)
    light = touch.push + LIGHT
    share = light / (light + (at.lift * at.ball) * sunk)
    some = ring if whole else None
    return Spread(offset, radius, grip, upright, z, some, t, lean, dent, deep, sunk, turned, share)


def _pressed(at: Columns, touch: Contact, wide: Spread) -> Contact:
    """Contact on the elastic rim, of one on a rigid rim and the spread of its load."""
    sine, cosine = touch.sine + wide.turned * touch.cosine, touch.cosine - wide.turned * touch.sine
    uphill = sine * wide.lean * touch.along
    path = np.sqrt(np.maximum(cosine * cosine + uphill * uphill, UPRIGHT**2))
    return touch._replace(
        sine=sine, cosine=cosine, uphill=uphill, path=path, push=touch.push * (1 + at.flat) * wide.share
    )


def _slopes(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread, touch: Contact) -> Contact:
    """Slopes of `_pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk = _widens(at, rigid, mu, wide)
    turns = np.where(wide.turned > 0, sunk * was.sine + wide.sunk * rise.sine, 0.0)
    sine = rise.sine + turns * was.cosine + wide.turned * rise.cosine
    cosine = rise.cosine - turns * was.sine - wide.turned * rise.sine
    uphill = (sine * wide.lean + touch.sine * lean) * was.along + touch.sine * wide.lean * rise.along
    path = (touch.cosine * cosine + touch.uphill * uphill) / touch.path
    falls = wide.share * (rise.push + (at.lift * at.ball) * sunk)
    push = (1 + at.flat) * wide.share * (rise.push + was.push * (rise.push - falls) / (was.push + LIGHT))
    return rise._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _widens(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread) -> tuple[Array, Array]:
    """Slopes of the mean cosine and of the sinking over the ball angle."""
    was, rise = rigid
    wider, farther = (rise.offset + at.ball * rise.sine) / wide.radius, rise.offset / wide.offset
    apart = wider + farther
    # Relative growth of z.
    grip = (rise.cosine - (RUBS * mu) * rise.uphill) / wide.grip
    grows = rise.push / np.maximum(was.push, BARE) - apart - wider - grip
    t = wide.t * (1 / 1.5)
    lean, dent = t * _slope(COSINE, wide.t), t * _slope(OVERLAP, wide.t)
    if wide.ring is not None:
        lean, dent = np.where(wide.ring, -wide.lean, lean), np.where(wide.ring, wide.z / RING, dent)
    sunk = wide.deep * (grows * dent + wide.dent * (apart - rise.cosine / wide.upright))
    least = 0.5 * was.cosine
    return grows * lean, np.where(wide.sunk < least, sunk, 0.5 * rise.cosine)
