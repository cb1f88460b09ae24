"""Two edges that share the ball's load where one takes it over from the other.

Each is a line foundation whose load grows as its approach to 3/2. The ball is at one height, so that the edge that
leads is dented deeper by its lead; alone it carries once it leads by its approach. Stands alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import Spring
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Index, Truth

# Share of the load on the edge that leads, beyond one half, in odd powers of its lead over its approach: of two edges
# alike (derived, fitted to 0.013).
LEADS = (0.533, 0.184, -0.217)

# Least of the way on which two edges share the load without friction, over that with it, by its first power (derived).
LEAST_SPARE = 0.25

# Cut of a path near the crest that the rim's give makes, over `Spring.spread`.
CREST = 4.0


def cuts(bar: Spring, meet: Array, friction: Array) -> list[Array]:
    """Offsets at which paths are cut, that each segment has one crest [m]; none where no rim gives.

    One beyond the crest that the rim's give makes, where two edges begin to share the load if they do so farther out;
    one where the second edge carries alone, since the torque falls fastest from there. `meet` is the offset at which
    one edge takes the ball over [m].

    >>> from detentsim.mechanics.detent.solution import Spring
    >>> bar, meet, mu = Spring(*map(np.array, (20e3, 0.5e-3, 0.6e-3, 0.0, 0.0))), np.array(1e-4), np.array(0.1)
    >>> len(cuts(bar, meet, mu)), len(cuts(bar._replace(bed=np.array(1e-14)), meet, mu))
    (0, 2)
    """
    if not np.any(bar.bed):
        return []
    shared, alone = (meet + (end - meet) / _spare(bar.rubs, friction) for end in (bar.shared, bar.alone))
    return [np.maximum(shared, CREST * bar.spread), alone]


def beside(at: Columns, bar: tuple[Array, Array, Array], meet: Array, piece: Index) -> Columns:
    """Numbers of segments on given pieces with what the other edge needs.

    `bar` has `Spring.shared`, `alone` and `rubs`, and `meet` is as `dimple.hand_over` gives it, of the segments'
    designs; one for all has no axis but the last.
    """
    offset, turn, *_, outer = np.moveaxis(meet, -1, 0)
    inward = piece < outer
    kink = 2 * np.tan(turn / 2) * np.where(inward, 1.0, -1.0) * (at.bed > 0)
    return at._replace(kink=kink, meet=offset, parts=leads(bar, (offset, turn), inward), rubs=bar[2])


def leads(bar: tuple[Array, Array, Array], meet: tuple[Array, Array], inward: Truth) -> Array:
    """Growth of an edge's lead over the other, over its approach without friction, per offset [1/m]; 0 without other.

    Of `Spring.shared`, `alone` and `rubs`, offset [m] and turn [rad] where one takes over, and truth of the inner edge.

    >>> float(leads(tuple(map(np.array, (1e-4, 3e-4, 0.0))), (np.array(2e-4), np.array(0.1)), np.array(False)).round(3))
    10000.0
    """
    offset, turn = meet
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(turn > 0, 1 / (np.where(inward, bar[0], bar[1]) - offset), 0.0)


def carries(lead: Array) -> Array:
    """Share of the load on an edge, of its lead over the other, over its approach, 0 to 1 (fit).

    >>> carries(np.array([0.0, 1.0])).round(9).tolist()
    [0.5, 1.0]
    """
    square = lead * lead
    c1, c3, c5 = LEADS
    return np.asarray(0.5 + lead * (c1 + square * (c3 + c5 * square)))


def mixed(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Contact:
    """Contact with the mean normal of two edges where they share the load; parameters as of `pressing.spread`."""
    lead = _lead(at, touch, mu)
    return touch if lead is None else _turned(touch, _turn(at, lead, locks))


def mixed_rise(at: Columns, rigid: tuple[Contact, Contact], mu: Array, locks: Truth | None) -> tuple[Contact, Contact]:
    """Contact by `mixed` and its slopes over the ball angle, of those on a rigid rim."""
    touch, rise = rigid
    lead = _lead(at, touch, mu)
    if lead is None:
        return rigid
    turn, square = _turn(at, lead, locks), lead * lead
    c1, c3, c5 = LEADS
    slope = c1 + square * (3 * c3 + 5 * c5 * square)
    slope *= (lead < 1) if locks is None else (lead < 1) & ~locks
    slope *= -at.kink * at.parts * _spare(at.rubs, mu)
    slope *= rise.offset
    mean = _turned(touch, turn)
    sine = rise.sine + turn * rise.cosine + slope * touch.cosine
    cosine = rise.cosine - turn * rise.sine - slope * touch.sine
    uphill = sine * touch.along + mean.sine * rise.along
    return mean, rise._replace(sine=sine, cosine=cosine, uphill=uphill)


def _lead(at: Columns, touch: Contact, mu: Array) -> Array | None:
    """Height of the edge over the other one, over its approach, at most 1; None where no other shares the load."""
    if not at.kink.any():
        return None
    lead = touch.offset - at.meet
    lead *= at.parts * _spare(at.rubs, mu)
    return np.minimum(lead, 1)


def _spare(rubs: Array, mu: Array) -> Array:
    """Way on which two edges share the load without friction, over that with it."""
    return np.maximum(1 - rubs * mu, LEAST_SPARE)


def _turn(at: Columns, lead: Array, locks: Truth | None) -> Array:
    """Turn of the normal toward the other edge's [rad]; none where the ball wedges."""
    turn = (1 - carries(lead)) * at.kink
    return turn if locks is None else np.where(locks, 0.0, turn)


def _turned(touch: Contact, turn: Array) -> Contact:
    sine, cosine = touch.sine + turn * touch.cosine, touch.cosine - turn * touch.sine
    return touch._replace(sine=sine, cosine=cosine, uphill=sine * touch.along)
