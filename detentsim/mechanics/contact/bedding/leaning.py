"""Contact of the ball on an elastic rim of the spread of its load, and its slopes. Stands alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.contact.bedding.pressing import Spread
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array

    Widens = tuple[Array, ...]

# Least cosine to divide by.
UPRIGHT = 1e-8

# Least of the resultant's lean that is left where the ball comes out onto the flat.
BESIDE = 0.5


def pressed(at: Columns, touch: Contact, wide: Spread) -> Contact:
    """Contact on the elastic rim, of one on a rigid rim and the spread of its load."""
    sine, cosine = touch.sine + wide.turned * touch.cosine, touch.cosine - wide.turned * touch.sine
    uphill = leans(sine, wide.lean, wide.aside)
    uphill *= touch.along
    # path = sqrt(cosine^2 + uphill^2) as of every contact; over `down`, the share of the friction mu/path that acts so.
    path = cosine * cosine
    path += uphill * uphill
    np.maximum(path, UPRIGHT**2, out=path)
    np.sqrt(path, out=path)
    if wide.wedged is not None:
        path /= wide.wedged.down
    # push = N slow (share + flat/(N + LIGHT))
    push = at.flat / wide.light
    push += wide.share
    push *= wide.slow
    push *= touch.push
    return touch._replace(sine=sine, cosine=cosine, uphill=uphill, path=path, push=push)


def leans(sine: Array, lean: Array, aside: Array) -> Array:
    """Lean of the resultant across the edge [-]: its line load is round the dimple's axis, the ball beside that.

    Of the normal's sine, and `Spread.lean` and `aside`.

    >>> float(leans(np.array(0.8), np.array(0.9), np.array(0.02)))
    0.7
    """
    across = sine * lean
    return np.asarray(np.maximum(across - aside, BESIDE * across))


def slopes(at: Columns, rigid: tuple[Contact, Contact], wide: Spread, touch: Contact, widens: Widens) -> Contact:
    """Slopes of `pressed`, of a contact on a rigid rim with its slopes and of `touch` on the elastic one (derived)."""
    was, rise = rigid
    lean, sunk, slow, *down = widens
    # Of turned = sunk sin(psi) hinge; of the turned sine and cosine; of uphill = leans(sine, lean, aside) along.
    turns = sunk * was.sine
    turns += wide.sunk * rise.sine
    turns *= at.hinge
    sine = turns * was.cosine
    sine += rise.sine
    sine += wide.turned * rise.cosine
    cosine = rise.cosine - turns * was.sine
    cosine -= wide.turned * rise.sine
    across = leans(touch.sine, wide.lean, wide.aside)
    uphill = sine * wide.lean
    uphill += touch.sine * lean
    beside = ((1 - wide.lean) * rise.offset - wide.offset * lean) / at.ball
    uphill = np.where(across > BESIDE * touch.sine * wide.lean, uphill - beside, BESIDE * uphill)
    uphill *= was.along
    uphill += across * rise.along
    # Of path, whose square was differentiated: (cos cos' + uphill uphill')/path.
    path = touch.cosine * cosine
    path += touch.uphill * uphill
    path /= touch.path
    if wide.wedged is not None:
        path /= wide.wedged.down
        path -= touch.path * down[0]
        path /= wide.wedged.down
    # Of push = N slow (share + flat/light), where light = N + LIGHT and share = light/(light + lift R sunk), so that
    # share' = share (N' - share (N' + lift R sunk'))/light.
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
