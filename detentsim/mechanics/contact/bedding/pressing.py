"""Spread of the load round an elastic rim at ball angles of segments, and how it grows.

The load spreads round the rim: its resultant leans less than the rigid rim's normal at the nearest point, by the mean
cosine of the loaded arc. Ball and rim approach, so that the ball sits lower, the normal leans more and carries less of
the bar: the load grows. A rim of no give has an arc of no length, and all stays as it is. Stands alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.contact.bedding.wedging import Wedged
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Truth

Cubic = tuple[float, float, float, float]

# Normal load over `K a B` from which the ring carries all round (derived), and t there.
RING = 2 * np.pi
ARC_END = RING ** (2 / 3)


def _meeting(c0: float, c1: float, c2: float, *, end: float) -> Cubic:
    """Cubic in t that is `end` over `ARC_END` there."""
    return c0, c1, c2, (end / ARC_END - c0 - c1 * ARC_END - c2 * ARC_END**2) / ARC_END**3


# What the mean cosine of the azimuth lacks of 1, and overlap at azimuth 0 over B, each over t: cubics in t, the
# constant first (fit). They meet the whole ring's 1/2 and 2.
LACKS = _meeting(0.09286, 0.05194, -0.02459, end=0.5)
DENTS = _meeting(0.56716, 0.17295, -0.1025, end=2.0)

# A ball that moves sideways without climbing loads half the ring at most: t there, and its growth with the load over
# `K a B` of a ball that does not rub (fit; a ring whose overlap grows by the offset has 1.67 and 0.277).
HALF = 1.491
TO_RING = (ARC_END - HALF) / RING

# Overlap and what the mean cosine lacks of 1, over t, where they change what the load carries: of middling arcs (fit).
TURNS, SPREADS = 0.495, 0.1195

# Least part of the rim's stiffness against further load that a ball leaves which wedges itself ever deeper.
WEDGES = 0.4

# Push that hardly dents ball and rim: below it the ball sinks in proportion, so that a first touch has a slope [N].
LIGHT = 0.02
# Floors of offset [m], force [N], cosine and arc that something is divided by, far below any that counts.
LEAST, BARE, UPRIGHT, SHORT = 1e-12, 1e-12, 1e-8, 1e-9


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
    lean: Array  # mean cosine of the azimuth about the dimple's axis, weighted by the load [-]
    aside: Array  # fall of the resultant's lean, since the ball stands beside that axis: (1 - lean) s/R [-]
    dent: Array  # overlap of ball and rim over B [-]
    sunk: Array  # approach along the dimple's axis over the ball's radius [-]
    turned: Array  # turn of the normal [rad]
    light: Array  # push of the bar and `LIGHT` [N]
    share: Array  # of the bar's push that is left where the ball has sunk in [-]
    slow: Array  # share of the force that a ball has which cannot climb so fast [-]
    wedged: Wedged | None = None  # what ``wedging`` changes; None where nothing is near wedging


def polynomial(coefficients: Cubic, t: Array) -> Array:
    """Cubic in t, coefficients from the constant up.

    >>> float(polynomial((1.0, 0.0, 2.0, 1.0), np.array(2.0)))
    17.0
    """
    c0, c1, c2, c3 = coefficients
    value = c3 * t + c2
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

    >>> [part.round(2).tolist() for part in carried(*[np.array([0.0, 1.0])] * 2, None)]
    [[1.0, 0.88], [0.0, 0.65]]
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
    (before, ring), lean, dent = on_ring, -polynomial(FALLS, arc), polynomial(DEEPENS, arc)
    if ring is not None:
        lean = np.where(ring, -1.5 * before / np.maximum(t, ARC_END), lean)
        dent = np.where(ring, (1.5 / RING) * np.sqrt(t), dent)
    return lean, dent


def freely(
    way: tuple[Array, Array, Array], mu: Array, wide: tuple[Array, Array], load: Array
) -> tuple[Array, Array, Array, Array]:
    """`Spread.gain`, `held`, `room` and `free`.

    Of `sin(psi)`, `sin(psi) c_ut` and `cos(psi)`, friction, `Spread.deep` and `grip`, and the bar's push over `K a B`:
    `gain = (TURNS deep sin^2(psi) - SPREADS mu sin(psi) c_ut cos^2(psi))/g`, `held = (load/g)^(2/3)` up to the ring's,
    `room = 1 - 3/2 gain held` and `free = (load/g)^(2/3) (1 + gain held/(3/2 room))`.
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
    return np.asarray(np.minimum(first * (1 + first * sine * sine / (2 * cosine)), 0.5 * cosine))


def spread(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Spread:
    """How the load spreads round the rim, of a contact on a rigid one.

    Parameters
    ----------
    at : Columns
        Numbers of the segments.
    touch : Contact
        On the rigid rim; where two edges share the load, with their mean normal (``sharing``).
    mu : array
        Friction, negative in closing [-].
    locks : array of bool or None
        Where friction alone would hold the ball on a rigid rim: it wedges, and there the rim counts as rigid. None
        where it nowhere does.

    Notes
    -----
    With the rim a line foundation under the normal load `N/g`: approach `e = dent B/cos psi` down, `B = s a/R`,
    mean cosine and dent by `carried`, e to its second power. The normal turns by it about the middle of the edge:
    of the broken edge, all along the path, so that no force jumps where edges meet. The resultant leans by `sin psi`
    times the mean cosine, less `(1 - lean) s/R` since the ball stands beside the middle of its arc, and friction goes
    with it. `g` counts turn and lean to their first power in t, in which `t^(3/2) g(t)` is solved to the second
    (derived). On the first micrometres a ball may not climb: it moves sideways until half the ring is bare, which
    bounds t and takes its share of the force: `slow` (fit; near wedging see ``wedging``). The push of the bar falls by
    `k (e - e_flat)`, with e_flat on the flat, where it is measured.
    """
    offset = np.maximum(touch.offset, LEAST)
    radius = offset + at.ball * touch.sine
    reach = radius * offset
    upright = np.maximum(touch.cosine, UPRIGHT)
    grip = touch.cosine - mu * touch.uphill
    np.maximum(grip, UPRIGHT, out=grip)
    deep = reach / (at.ball * at.ball * upright)
    load = touch.push * at.bed if locks is None else np.where(locks, 0.0, touch.push * at.bed)
    load /= radius * reach
    gain, held, room, free = freely((touch.sine, touch.uphill, touch.cosine), mu, (deep, grip), load)
    load /= upright
    bound = np.minimum(load, RING)
    bound *= TO_RING
    bound += HALF
    if load.max(initial=0.0) > RING:
        bound = np.where(load > RING, np.cbrt(load) ** 2, bound)
    t = np.minimum(free, bound)
    ring = t > ARC_END if t.max(initial=0.0) > ARC_END else None
    arc = t if ring is None else np.minimum(t, ARC_END)
    lean, dent = carried(t, arc, ring)
    aside = (1 - lean) * offset / at.ball
    sunk = sinking(deep * dent, touch.sine, upright)
    turned = sunk * touch.sine * at.hinge
    light = touch.push + LIGHT
    share = light / ((at.lift * at.ball) * sunk + light)
    slow = (t + SHORT) / (free + SHORT)
    return Spread(
        offset, radius, upright, grip, deep, gain, held, room, free, bound, ring, t, arc, lean, aside, dent, sunk,
        turned, light, share, slow,
    )  # fmt: skip


def widens(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread) -> tuple[Array, Array, Array]:
    """Slopes of the mean cosine, of the sinking and of `Spread.slow` over the ball angle."""
    was, rise = rigid
    # Relative growth: `wider` of a, `apart` of s a and in the end of `Spread.deep`, `loads` of the load over `K a B`,
    # `grips` of g, `stands` of cos(psi).
    wider = at.ball * rise.sine
    wider += rise.offset
    wider /= wide.radius
    apart = rise.offset / wide.offset
    apart += wider
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
    lean, dent = growth(wide.t, wide.arc, (wide.lean, wide.ring))
    lean *= t
    dent *= t
    dent += apart * wide.dent
    dent *= wide.deep
    sunk = _sinks(rigid, wide, dent)
    free *= wide.slow
    t -= free
    t /= wide.free + SHORT
    return lean, sunk, t


def _sinks(rigid: tuple[Contact, Contact], wide: Spread, first: Array) -> Array:
    """Slope of the sinking, of that of its first order."""
    was, rise = rigid
    before = wide.deep * wide.dent
    steep = was.sine / wide.upright
    grows = (rise.sine - 0.5 * steep * rise.cosine) * before + was.sine * first
    grows *= before * steep
    grows += first
    deepest = wide.sunk >= 0.5 * was.cosine
    return np.where(deepest, 0.5 * rise.cosine, grows) if deepest.any() else np.asarray(grows)


def _frees(rigid: tuple[Contact, Contact], mu: Array, wide: Spread, grows: tuple[Array, Array, Array]) -> Array:
    """Slope of `Spread.free`, of the relative growth of the load over `K a B`, of g and of `Spread.deep`."""
    was, rise = rigid
    loads, grips, deeper = grows
    held = loads - grips
    held *= 2 / 3
    gain = deeper * was.sine
    gain += 2 * rise.sine
    gain *= TURNS * wide.deep * was.sine
    leans = rise.uphill * was.cosine
    leans += 2 * was.uphill * rise.cosine
    leans *= was.cosine
    leans *= -SPREADS * mu
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
