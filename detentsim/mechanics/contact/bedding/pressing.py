"""Contact of the ball on an elastic rim at ball angles of segments, and its slopes.

The load spreads round the rim: its resultant leans less than the rigid rim's normal at the nearest point, by the mean
cosine of the loaded arc. Ball and rim approach, so that the ball sits lower, the normal leans more and carries less of
the bar: the load grows. A rim of no give has an arc of no length, and all stays as it is. Stands on ``arc``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact.bedding.arc import (
    ARC_END,
    HALF,
    LEAST,
    RING,
    SPREADS,
    TO_RING,
    TURNS,
    UPRIGHT,
    WEDGES,
    carried,
    freely,
    growth,
    sinking,
)

if TYPE_CHECKING:
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Truth

# Least of the resultant's lean that is left where the ball comes out onto the flat.
BESIDE = 0.5

# Push that hardly dents ball and rim: below it the ball sinks in proportion, so that a first touch has a slope [N].
LIGHT = 0.02

# Floors of force [N] and arc that something is divided by, far below any that counts.
BARE, SHORT = 1e-12, 1e-9


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

    Returns
    -------
    Spread

    Notes
    -----
    With the rim a line foundation under the normal load `N/g`: approach `e = a dent B/(R cos psi)` down, `B = s a/R`,
    mean cosine and dent by `arc.carried`, e to its second power. The normal turns by it about the middle of the edge:
    of the broken edge, all along the path, so that no force jumps where edges meet. The resultant leans by `sin psi`
    times the mean cosine, less `(1 - lean) s/R` since the ball stands beside the middle of its arc, and friction goes
    with it. `g` counts turn and lean to their first power in t, in which `t^(3/2) g(t)` is solved to the second
    (derived). On the first micrometres a ball near wedging cannot climb: it moves sideways until half the ring is
    bare, which bounds t, and its friction turns from across to down meanwhile: `slow` (fit). The push of the bar falls
    by `k (e - e_flat)`, with e_flat on the flat, where it is measured.
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
    aside = 1 - lean
    aside *= offset
    aside /= at.ball
    sunk = sinking(deep * dent, touch.sine, upright)
    turned = sunk * touch.sine
    turned *= at.hinge
    light = touch.push + LIGHT
    share = light / ((at.lift * at.ball) * sunk + light)
    slow = (t + SHORT) / (free + SHORT)
    return Spread(
        offset, radius, upright, grip, deep, gain, held, room, free, bound, ring, t, arc, lean, aside, dent, sunk,
        turned, light, share, slow,
    )  # fmt: skip


def pressed(at: Columns, touch: Contact, wide: Spread) -> Contact:
    """Contact on the elastic rim, of one on a rigid rim and the spread of its load."""
    sine, cosine = touch.sine + wide.turned * touch.cosine, touch.cosine - wide.turned * touch.sine
    uphill = _leans(sine, wide)
    uphill *= touch.along
    path = cosine * cosine
    path += uphill * uphill
    np.maximum(path, UPRIGHT**2, out=path)
    np.sqrt(path, out=path)
    push = at.flat / wide.light
    push += wide.share
    push *= wide.slow
    push *= touch.push
    return touch._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def _leans(sine: Array, wide: Spread) -> Array:
    """Lean of the resultant across the edge [-]: its line load is round the dimple's axis, the ball beside that."""
    leans = sine * wide.lean
    return np.asarray(np.maximum(leans - wide.aside, BESIDE * leans))


def slopes(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread, touch: Contact) -> Contact:
    """Slopes of `pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk, slow = _widens(at, rigid, mu, wide)
    turns = sunk * was.sine
    turns += wide.sunk * rise.sine
    turns *= at.hinge
    sine = turns * was.cosine
    sine += rise.sine
    sine += wide.turned * rise.cosine
    cosine = rise.cosine - turns * was.sine
    cosine -= wide.turned * rise.sine
    leans = _leans(touch.sine, wide)
    uphill = sine * wide.lean
    uphill += touch.sine * lean
    beside = ((1 - wide.lean) * rise.offset - wide.offset * lean) / at.ball
    uphill = np.where(leans > BESIDE * touch.sine * wide.lean, uphill - beside, BESIDE * uphill)
    uphill *= was.along
    uphill += leans * rise.along
    path = touch.cosine * cosine
    path += touch.uphill * uphill
    path /= touch.path
    falls = (at.lift * at.ball) * sunk
    falls += rise.push
    falls *= wide.share
    gains = at.flat / wide.light
    push = rise.push - falls
    push *= wide.share
    push -= gains * rise.push
    push *= was.push
    push /= wide.light
    gains += wide.share
    push += gains * rise.push
    push *= wide.slow
    push += was.push * gains * slow
    return rise._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


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
    grows = rise.sine - 0.5 * steep * rise.cosine
    grows *= before
    grows += was.sine * first
    grows *= before
    grows *= steep
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
