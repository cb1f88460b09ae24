"""Contact of the ball on an elastic rim at ball angles of segments, and its slopes.

The load spreads round the rim: its resultant leans less than the rigid rim's normal at the nearest point, by the mean
cosine of the loaded arc. Ball and rim approach, so that the ball sits lower, the normal leans more and carries less of
the bar: the load grows. Where one edge takes the ball over from another, both carry it for a while. A rim of no give
has an arc of no length, and all stays as it is. Stands alone; ``path.segments`` passes `on_rim` and `rise_on_rim` along
with segments whose rim gives.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import Spring
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Index, Truth

# Growth of the rim's stiffness from the whole ring to a short arc, whose outer field is shorter (fit).
ARC = 0.25

# Normal load over `K a B` from which the ring carries all round (derived), and t = z^(2/3) there.
RING = 2 * np.pi
ARC_END = RING ** (2 / 3)

# Mean cosine of the azimuth on a loaded arc, and overlap at azimuth 0 over B: polynomials in t, coefficients from the
# constant up. The first two follow from a short arc, the others from all arcs (derived), to 0.005.
COSINE = (1.0, -0.112924323, -0.00290985, -0.00207082)
OVERLAP = (0.0, 0.564621617, 0.01632747, -0.00283326)

# A ball that moves sideways without climbing loads half the ring at most: t there, and its growth with the load over
# `K a B` of a ball that does not rub (fit, near the 1.67 and 0.277 of a ring whose overlap grows by the offset).
HALF = 1.65
TO_RING = (ARC_END - HALF) / RING

# Least part of the rim's stiffness against further load that a ball leaves which wedges itself ever deeper.
WEDGES = 0.4

# Share of the load on the edge that leads, beyond one half, in odd powers of its lead over its approach: of two edges
# alike whose load grows as approach^(3/2) (fit, to 0.01).
LEADS = (0.595, 0.06, -0.155)

# Cut of a path near the crest that the rim's give makes, over `Spring.spread`.
SPREADS = (4.0,)

# Push that hardly dents ball and rim: below it the ball sinks in proportion, so that a first touch has a slope [N].
LIGHT = 0.02

# Floors of offset [m], force [N], cosine, sinking and arc that something is divided by, far below any that counts.
LEAST, BARE, UPRIGHT, SHALLOW, SHORT = 1e-12, 1e-12, 1e-8, 1e-12, 1e-9


class Spread(NamedTuple):
    """How the load spreads round the rim; all of one shape."""

    offset: Array  # s, at least `LEAST` [m]
    radius: Array  # a, of the contact's ring [m]
    upright: Array  # cos(psi), at least `UPRIGHT` [-]
    grip: Array  # g = cos(psi) - mu sin(psi) c_ut, what a unit of normal load carries [-]
    deep: Array  # B over R^2 cos(psi): sinking for a dent of 1 [-]
    gain: Array  # fall of g with t, over g [-]
    held: Array  # t of a ball that carries by g, at most that of the whole ring [-]
    room: Array  # left of the rim's stiffness where the load grows as the ball sinks in, at least `WEDGES` [-]
    free: Array  # t of a ball that climbs as fast as it likes [-]
    bound: Array  # t of one that moves sideways alone [-]
    ring: Truth | None  # whether the ring carries all round; None where it nowhere does
    t: Array  # z^(2/3), z the normal load over `K a B` [-]
    arc: Array  # the same, at most that of the whole ring [-]
    lean: Array  # mean cosine of the azimuth, weighted by the load [-]
    dent: Array  # overlap of ball and rim over B [-]
    sunk: Array  # approach along the dimple's axis over the ball's radius [-]
    lead: Array | None  # height of this edge over the other one, over the approach, at most 1; None without another
    turned: Array  # turn of the normal [rad]
    light: Array  # push of the bar and `LIGHT` [N]
    share: Array  # of the bar's push that is left where the ball has sunk in [-]
    slow: Array  # share of the force that a ball has which cannot climb so fast [-]


def cuts(bar: Spring) -> list[Array]:
    """Offsets at which paths are cut, that each segment has one crest [m]; none where no rim gives.

    >>> from detentsim.mechanics.detent.solution import Spring
    >>> bar = Spring(*map(np.array, (20e3, 0.5e-3, 0.6e-3, 0.0, 0.0)))
    >>> len(cuts(bar)), len(cuts(bar._replace(bed=np.array(1e-14))))
    (0, 2)
    """
    return [*(share * bar.spread for share in SPREADS), bar.shared] if np.any(bar.bed) else []


def beside(at: Columns, meet: Array, piece: Index) -> Columns:
    """Numbers of segments on given pieces with what the other edge needs, from where two share the load, (m, 5).

    `meet` is as `dimple.hand_over` gives it, of the segments' designs; one for all has no axis but the last.
    """
    offset, turn, before, after, outer = np.moveaxis(meet, -1, 0)
    side = np.where(piece < outer, 1.0, -1.0)
    return at._replace(kink=turn * side * (at.bed > 0), meet=offset, parts=(before - after) * side / at.ball)


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
    `B = s a/R`; the normal turns by it about the edge; the resultant leans by `sin psi` times the mean cosine, and
    friction goes with it. `g` counts the turn and the lean to their first power in t (derived), which solves
    `t^(3/2) g(t)` to the second. On the first micrometres a ball near wedging cannot climb: it moves sideways until
    half the ring is bare, which bounds t; its friction then turns from down to across, which the last factor on the
    push stands for (fit). The push of the bar falls by `k (e - e_flat)`, with e_flat on the flat, where it is measured.
    Two edges share the load as two such foundations: the one that leads has `1/2 + LEADS(lead)` of it.
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
    """Slope of a cubic over t."""
    _, c1, c2, c3 = coefficients
    value = (3 * c3) * t
    value += 2 * c2
    value *= t
    value += c1
    return np.asarray(value)


def _spread(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Spread:
    offset = np.maximum(touch.offset, LEAST)
    radius = offset + at.ball * touch.sine
    reach = radius * offset
    upright = np.maximum(touch.cosine, UPRIGHT)
    grip = touch.cosine - mu * touch.uphill
    np.maximum(grip, UPRIGHT, out=grip)
    deep = reach / (at.ball * at.ball * upright)
    load = touch.push * at.bed if locks is None else np.where(locks, 0.0, touch.push * at.bed)
    load /= radius * reach
    gain, held, room, free = _freely(touch, mu, deep, grip, load)
    load /= upright
    bound = np.minimum(load, RING)
    bound *= TO_RING
    bound += HALF
    if load.max(initial=0.0) > RING:
        bound = np.where(load > RING, np.cbrt(load) ** 2, bound)
    t = np.minimum(free, bound)
    ring = t > ARC_END if t.max(initial=0.0) > ARC_END else None
    arc = t if ring is None else np.minimum(t, ARC_END)
    lean, dent = polynomial(COSINE, arc), polynomial(OVERLAP, arc)
    if ring is not None:  # there the mean cosine falls as 1/z, and the overlap grows with z
        over = np.maximum(t, ARC_END)
        over *= np.sqrt(over) / RING
        lean /= over
        dent += over - 1
    sunk = np.minimum(deep * dent, 0.5 * touch.cosine)
    lead, turned = _turned(at, touch, sunk)
    light = touch.push + LIGHT
    share = light / ((at.lift * at.ball) * sunk + light)
    slow = (t + SHORT) / (free + SHORT)
    return Spread(
        offset, radius, upright, grip, deep, gain, held, room, free, bound, ring, t, arc, lean, dent, sunk, lead,
        turned, light, share, slow,
    )  # fmt: skip


def _freely(touch: Contact, mu: Array, deep: Array, grip: Array, load: Array) -> tuple[Array, Array, Array, Array]:
    """`Spread.gain`, `held`, `room` and `free`, of the load over `K a B` that each unit of normal load would carry."""
    gain = OVERLAP[1] * deep * touch.sine
    gain *= touch.sine
    gain += (COSINE[1] * mu) * touch.uphill * touch.cosine * touch.cosine
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


def _turned(at: Columns, touch: Contact, sunk: Array) -> tuple[Array | None, Array]:
    """Lead over the other edge, and turn of the normal as the ball sinks in and toward the other edge's [rad]."""
    turned = sunk * touch.sine
    if not at.kink.any():
        return None, turned
    lead = at.parts * (touch.offset - at.meet)
    lead += SHALLOW
    lead /= np.maximum(sunk, SHALLOW)
    np.minimum(lead, 1, out=lead)
    square = lead * lead
    c1, c3, c5 = LEADS
    left = 0.5 - lead * (c1 + square * (c3 + c5 * square))
    left *= at.kink
    turned += left
    return lead, turned


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
    push *= wide.slow
    push *= touch.push
    return touch._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _slopes(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread, touch: Contact) -> Contact:
    """Slopes of `_pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk, slow = _widens(at, rigid, mu, wide)
    turns = sunk * was.sine
    turns += wide.sunk * rise.sine
    if wide.lead is not None:
        turns -= _shifts(at, rise, wide, wide.lead, sunk)
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
    push *= wide.slow
    push += was.push * slow
    push *= wide.share
    push *= 1 + at.flat
    return rise._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _shifts(at: Columns, rise: Contact, wide: Spread, lead: Array, sunk: Array) -> Array:
    """Slope of the turn away from the other edge's normal, as this edge takes the load."""
    grows = at.parts * rise.offset
    grows -= lead * sunk
    grows /= np.maximum(wide.sunk, SHALLOW)
    square = lead * lead
    c1, c3, c5 = LEADS
    grows *= c1 + square * (3 * c3 + 5 * c5 * square)
    grows *= at.kink
    grows *= lead < 1
    return np.asarray(grows)


def _widens(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread) -> tuple[Array, Array, Array]:
    """Slopes of the mean cosine, of the sinking and of `Spread.slow` over the ball angle."""
    was, rise = rigid
    wider = at.ball * rise.sine
    wider += rise.offset
    wider /= wide.radius
    apart = rise.offset / wide.offset
    apart += wider
    # Relative growth of the load over `K a B`, of g, and of what a dent of 1 lets the ball sink.
    loads = rise.push / np.maximum(was.push, BARE)
    loads -= apart
    loads -= wider
    grips = (rise.cosine - mu * rise.uphill) / wide.grip
    stands = rise.cosine / wide.upright
    apart -= stands
    free = _frees(rigid, mu, wide, (loads, grips, apart))
    loads -= stands
    bound = loads * (wide.bound - HALF)
    if wide.ring is not None:
        bound = np.where(wide.bound > ARC_END, (2 / 3) * loads * wide.bound, bound)
    t = np.where(wide.free < wide.bound, free, bound)
    lean, dent = _growth(COSINE, wide.arc), _growth(OVERLAP, wide.arc)
    if wide.ring is not None:
        lean = np.where(wide.ring, -1.5 * wide.lean / np.maximum(wide.t, ARC_END), lean)
        dent = np.where(wide.ring, (1.5 / RING) * np.sqrt(wide.t), dent)
    lean *= t
    dent *= t
    dent += apart * wide.dent
    dent *= wide.deep
    bound = wide.sunk >= 0.5 * was.cosine
    sunk = np.where(bound, 0.5 * rise.cosine, dent) if bound.any() else dent
    free *= wide.slow
    t -= free
    t /= wide.free + SHORT
    return lean, sunk, t


def _frees(rigid: tuple[Contact, Contact], mu: Array, wide: Spread, grows: tuple[Array, Array, Array]) -> Array:
    """Slope of `Spread.free`, of the relative growth of the load over `K a B`, of g and of `Spread.deep`."""
    was, rise = rigid
    loads, grips, deeper = grows
    held = loads - grips
    held *= 2 / 3
    gain = deeper * was.sine
    gain += 2 * rise.sine
    gain *= OVERLAP[1] * wide.deep * was.sine
    leans = rise.uphill * was.cosine
    leans += 2 * was.uphill * rise.cosine
    leans *= was.cosine
    leans *= COSINE[1] * mu
    gain += leans
    gain /= wide.grip
    gain -= wide.gain * grips
    grown = held * (wide.held < ARC_END)
    grown *= wide.gain
    grown += gain
    grown *= wide.held
    grown /= 1.5 * wide.room * np.where(wide.room > WEDGES, wide.room, 1.0)
    # The growth as the ball sinks in is `free` over what it was before.
    before = 1 + wide.gain * wide.held / (1.5 * wide.room)
    grown /= before
    grown += held
    grown *= wide.free
    return np.asarray(grown)
