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
    light: Array  # push of the bar and `LIGHT` [N]
    share: Array  # of the bar's push that is left where the ball has sunk in [-]


def on_rim(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Contact:
    """Contact on an elastic rim, of a contact on a rigid one.

    Parameters
    ----------
    at : Columns
        Numbers of the segments.
    touch : Contact
        On the rigid rim.
    mu : array
        Friction, negative in closing [-].
    locks : array of bool or None
        Where friction alone would hold the ball on a rigid rim: it wedges, and there the rim counts as rigid. None
        where it nowhere does.

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


def rise_on_rim(at: Columns, rigid: tuple[Contact, Contact], mu: Array, locks: Truth | None) -> tuple[Contact, Contact]:
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
    value = c3 * t
    value += c2
    value *= t
    value += c1
    value *= t
    value += c0
    return np.asarray(value)


def _growth(coefficients: tuple[float, float, float, float], t: Array) -> Array:
    """Slope of a cubic in t over the logarithm of z, `2/3 t` times that over t."""
    _, c1, c2, c3 = coefficients
    value = (2 * c3) * t
    value += (4 / 3) * c2
    value *= t
    value += (2 / 3) * c1
    value *= t
    return np.asarray(value)


def _spread(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Spread:
    offset = np.maximum(touch.offset, LEAST)
    radius = offset + at.ball * touch.sine
    reach = radius * offset
    grip = touch.cosine - (RUBS * mu) * touch.uphill
    np.maximum(grip, UPRIGHT, out=grip)
    z = touch.push * at.bed if locks is None else np.where(locks, 0.0, touch.push * at.bed)
    z /= radius * reach * grip
    ring = z > RING if z.max(initial=0.0) > RING else None
    arc = z if ring is None else np.minimum(z, RING)
    t = np.cbrt(arc)
    t *= t
    lean, dent = polynomial(COSINE, t), polynomial(OVERLAP, t)
    if ring is not None:  # there the mean cosine falls as 1/z, and the overlap grows with z
        lean *= RING / np.maximum(z, RING)
        dent += (z - arc) / RING
    upright = np.maximum(touch.cosine, UPRIGHT)
    deep = reach / (at.ball * at.ball * upright)
    sunk = np.minimum(deep * dent, 0.5 * touch.cosine)
    turned = sunk * touch.sine - at.kink
    np.maximum(turned, 0, out=turned)
    light = touch.push + LIGHT
    share = light / ((at.lift * at.ball) * sunk + light)
    return Spread(offset, radius, grip, upright, z, ring, t, lean, dent, deep, sunk, turned, light, share)


def _pressed(at: Columns, touch: Contact, wide: Spread) -> Contact:
    """Contact on the elastic rim, of one on a rigid rim and the spread of its load."""
    sine, cosine = touch.sine + wide.turned * touch.cosine, touch.cosine - wide.turned * touch.sine
    uphill = sine * wide.lean
    uphill *= touch.along
    path = cosine * cosine
    path += uphill * uphill
    np.maximum(path, UPRIGHT**2, out=path)
    np.sqrt(path, out=path)
    push = (1 + at.flat) * wide.share
    push *= touch.push
    return touch._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _slopes(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread, touch: Contact) -> Contact:
    """Slopes of `_pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk = _widens(at, rigid, mu, wide)
    turns = sunk * was.sine
    turns += wide.sunk * rise.sine
    turns *= wide.turned > 0
    sine = turns * was.cosine
    sine += rise.sine
    sine += wide.turned * rise.cosine
    cosine = rise.cosine - turns * was.sine
    cosine -= wide.turned * rise.sine
    uphill = sine * wide.lean
    uphill += touch.sine * lean
    uphill *= was.along
    uphill += touch.sine * wide.lean * rise.along
    path = touch.cosine * cosine
    path += touch.uphill * uphill
    path /= touch.path
    falls = (at.lift * at.ball) * sunk
    falls += rise.push
    falls *= wide.share
    push = rise.push - falls
    push *= was.push
    push /= wide.light
    push += rise.push
    push *= wide.share
    push *= 1 + at.flat
    return rise._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _widens(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread) -> tuple[Array, Array]:
    """Slopes of the mean cosine and of the sinking over the ball angle."""
    was, rise = rigid
    wider = at.ball * rise.sine
    wider += rise.offset
    wider /= wide.radius
    apart = rise.offset / wide.offset
    apart += wider
    # Relative growth of z.
    grows = (RUBS * mu) * rise.uphill
    grows -= rise.cosine
    grows /= wide.grip
    grows += rise.push / np.maximum(was.push, BARE)
    grows -= apart
    grows -= wider
    lean, dent = _growth(COSINE, wide.t), _growth(OVERLAP, wide.t)
    if wide.ring is not None:
        lean, dent = np.where(wide.ring, -wide.lean, lean), np.where(wide.ring, wide.z / RING, dent)
    lean *= grows
    dent *= grows
    apart -= rise.cosine / wide.upright
    apart *= wide.dent
    apart += dent
    apart *= wide.deep
    bound = wide.sunk >= 0.5 * was.cosine
    return lean, np.where(bound, 0.5 * rise.cosine, apart) if bound.any() else apart
