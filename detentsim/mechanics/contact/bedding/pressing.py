"""Contact of the ball on an elastic rim at ball angles of segments.

The load spreads round the rim: its resultant leans less than the rigid rim's normal at the nearest point, by the mean
cosine of the loaded arc. Ball and rim approach, so that the ball sits lower, the normal leans more and carries less of
the bar: the load grows. A rim of no give has an arc of no length, and all stays as it is. Stands on ``arc`` and
``sharing``; ``slopes`` has the slopes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact.bedding.arc import ARC_END, COSINE, OVERLAP, RING, polynomial
from detentsim.mechanics.contact.bedding.sharing import mixed

if TYPE_CHECKING:
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Truth

# A ball that moves sideways without climbing loads half the ring at most: t there, and its growth with the load over
# `K a B` of a ball that does not rub (fit, near the 1.67 and 0.277 of a ring whose overlap grows by the offset).
HALF = 1.65
TO_RING = (ARC_END - HALF) / RING

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
    lean: Array  # mean cosine of the azimuth, weighted by the load [-]
    dent: Array  # overlap of ball and rim over B [-]
    sunk: Array  # approach along the dimple's axis over the ball's radius [-]
    turned: Array  # turn of the normal [rad]
    light: Array  # push of the bar and `LIGHT` [N]
    share: Array  # of the bar's push that is left where the ball has sunk in [-]
    slow: Array  # share of the force that a ball has which cannot climb so fast [-]


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
    touch = mixed(at, touch, mu, locks)
    return pressed(at, touch, spread(at, touch, mu, locks))


def spread(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Spread:
    """How the load spreads round the rim, of a contact on a rigid one; parameters as of `on_rim`."""
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
    lean, dent = polynomial(COSINE, arc), polynomial(OVERLAP, arc)
    if ring is not None:  # there the mean cosine falls as 1/z, and the overlap grows with z
        over = np.maximum(t, ARC_END)
        over *= np.sqrt(over) / RING
        lean /= over
        dent += over - 1
    sunk = np.minimum(deep * dent, 0.5 * touch.cosine)
    turned = sunk * touch.sine
    light = touch.push + LIGHT
    share = light / ((at.lift * at.ball) * sunk + light)
    slow = (t + SHORT) / (free + SHORT)
    return Spread(
        offset, radius, upright, grip, deep, gain, held, room, free, bound, ring, t, arc, lean, dent, sunk, turned,
        light, share, slow,
    )  # fmt: skip


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
    cosine = np.maximum(np.sqrt(1 - sine * sine), UPRIGHT)
    offset = np.maximum(offset, LEAST)
    radius = offset + ball * sine
    deep = radius * offset / (ball * ball * cosine)
    free = freely((sine, sine, cosine), np.zeros(()), (deep, cosine), load / (radius * radius * offset))[3]
    return np.asarray(ball * deep * polynomial(OVERLAP, np.minimum(free, ARC_END)))


def freely(
    way: tuple[Array, Array, Array], mu: Array, wide: tuple[Array, Array], load: Array
) -> tuple[Array, Array, Array, Array]:
    """`Spread.gain`, `held`, `room` and `free`.

    Of `sin(psi)`, `sin(psi) c_ut` and `cos(psi)`, friction, `Spread.deep` and `grip`, and the bar's push over `K a B`.
    """
    (sine, uphill, cosine), (deep, grip) = way, wide
    gain = OVERLAP[1] * deep * sine
    gain *= sine
    gain += (COSINE[1] * mu) * uphill * cosine * cosine
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


def pressed(at: Columns, touch: Contact, wide: Spread) -> Contact:
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
