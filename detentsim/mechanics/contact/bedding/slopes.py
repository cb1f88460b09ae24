"""Slopes over the ball angle of a contact on an elastic rim: the chain rule on ``pressing``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact.bedding.arc import ARC_END, COSINE, OVERLAP, RING, growth
from detentsim.mechanics.contact.bedding.pressing import BARE, HALF, SHORT, WEDGES, pressed, spread
from detentsim.mechanics.contact.bedding.sharing import mixed_rise

if TYPE_CHECKING:
    from detentsim.mechanics.contact.bedding.pressing import Spread
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Truth


def rise_on_rim(at: Columns, rigid: tuple[Contact, Contact], mu: Array, locks: Truth | None) -> tuple[Contact, Contact]:
    """Contact on an elastic rim and its slopes over the ball angle, of those on a rigid one; see `on_rim`."""
    rigid = mixed_rise(at, rigid, mu, locks)
    wide = spread(at, rigid[0], mu, locks)
    touch = pressed(at, rigid[0], wide)
    return touch, _slopes(at, rigid, mu, wide, touch)


def _slopes(at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread, touch: Contact) -> Contact:
    """Slopes of `pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk, slow = _widens(at, rigid, mu, wide)
    turns = sunk * was.sine
    turns += wide.sunk * rise.sine
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
    lean, dent = growth(COSINE, wide.arc), growth(OVERLAP, wide.arc)
    if wide.ring is not None:
        lean = np.where(wide.ring, -1.5 * wide.lean / np.maximum(wide.t, ARC_END), lean)
        dent = np.where(wide.ring, (1.5 / RING) * np.sqrt(wide.t), dent)
    lean *= t
    dent *= t
    dent += apart * wide.dent
    dent *= wide.deep
    deepest = wide.sunk >= 0.5 * was.cosine
    sunk = np.where(deepest, 0.5 * rise.cosine, dent) if deepest.any() else dent
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
