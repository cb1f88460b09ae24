"""Spread of the load near wedging, where friction keeps the ball from climbing as fast as it would, and its slopes.

It changes the spread of ``pressing`` where friction times the tangent of the contact angle is above `FADE`. Elsewhere
nothing changes, to the last digit, whatever else is solved beside it. Stands alone: it is handed the functions of
``pressing`` and ``leaning`` that it needs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from detentsim.mechanics.contact.bedding.pressing import Spread
    from detentsim.mechanics.path.contact_at import Contact
    from detentsim.mechanics.path.segment_rows import Columns
    from detentsim.mechanics.record import Array, Index, Truth

    Places = tuple[Index, ...]

# Floors of offset [m] and cosine; t from which the ring carries all round (derived): as in ``pressing``.
LEAST, UPRIGHT, ARC_END = 1e-12, 1e-8, (2 * np.pi) ** (2 / 3)

# Friction times tangent of the contact angle, x, from which and up to which it comes in; a ball wedges at 1.
FADE = (0.3, 0.4)

# t from which a ball that moves sideways alone leaves that of a whole ring, along its tangent over the load (fit).
TANGENT = 5.0

# Share that it loses as the ball begins to climb: per x, x of none, per square of the contact angle's cosine (fit).
CLIMBS = (0.363, 0.528, 0.463)

# Share by which a ball lags that climbs at last, per square of the gain (fit).
LAGS = 6.8

# Power by which one t gives way to the other (fit).
SHARP = 8

# Most of the second over the first, and of the gain, beyond which nothing changes.
FAR, STEEPEST = 1e3, 1e2

# Mean of the sine of the azimuth over sqrt(1 - C^4), C its mean cosine: of a whole ring, and to 0.5 % of a half ring
# loaded by the cosine (derived).
ASIDE = 2 / np.pi

# Rounding where none of the rim's stiffness is left; step by which slopes are taken, far below any number's last digit.
LEFT, STEP = 0.1, 1e-30


class Rules(NamedTuple):
    """Functions that hold away from wedging too."""

    spread: Callable[[Columns, Contact, Array, Truth | None], Spread]  # of ``pressing``, as the next three
    widens: Callable[[Columns, tuple[Contact, Contact], Array, Spread], tuple[Array, ...]]
    carried: Callable[[Array, Array, Truth | None], tuple[Array, Array]]
    sinking: Callable[[Array, Array, Array], Array]
    leans: Callable[[Array, Array, Array], Array]  # of ``leaning``


class Wedged(NamedTuple):
    """What is changed near wedging."""

    before: Spread  # the spread without it
    near: Places  # of the changes
    mix: Array  # share of what is changed there; it and the next are complex where slopes are taken [-]
    parts: tuple[Array, Array, Array, Array]  # lean, sinking, `slow` and `down` there [-]
    down: Array  # share of the friction that is turned down the slope, over that of a ball that climbs [-]


class Ball(NamedTuple):
    """Numbers of a ball near wedging; all of one shape."""

    touch: Contact  # on the rigid rim; complex where slopes are taken, as is the next
    taken: Array  # by friction, of the load that is carried [-]
    friction: Array
    swing: Array
    ball: Array
    hinge: Array
    bed: Array


class _State(NamedTuple):
    """Ball pressed in by t: as of `Spread` and of the contact on the elastic rim."""

    lean: Array
    sunk: Array
    cosine: Array
    uphill: Array
    path: Array
    carried: Array  # of a unit of load, by a ball whose friction is turned down [-]


def spread(rules: Rules, at: Columns, touch: Contact, mu: Array, locks: Truth | None, rise: Contact | None) -> Spread:
    """How the load spreads round the rim; as `pressing.spread`, and near wedging.

    Parameters
    ----------
    rules : Rules
    at, touch, mu, locks
        As of `pressing.spread`.
    rise : Contact or None
        Slopes of the contact, where those of the spread are to follow by `widens`.

    Returns
    -------
    Spread
        `wedged` is None where nothing is near wedging.

    Notes
    -----
    A ball near wedging climbs late: it is pressed in farther, and its friction is turned across the dimple in part. All
    follows from its overlap t (derived): the load P; the share w of the friction that acts down the slope, from the
    push that must be carried, `N = P (cos(psi) - mu f)`; the friction across that is left, `S (1 - w^4)` standing for
    `S sqrt(1 - w^2)`; and the force, P times lean and friction. t is the smaller of two, smoothly (fit). One is that of
    a ball that moves sideways alone, less what it loses as it begins to climb. The other is that of a ball that climbs
    freely, by `t^1.5 (1 - gain t)` with the gain of the load carried at the first; past the crest it lags behind it.
    Five numbers and a power are fitted to the tests' own solution, at x 0.4 to 0.9, ball 1.2 to 2.4 mm, 3 to 40 N and
    friction 0.12 to 0.5.
    """
    wide = rules.spread(at, touch, mu, locks)
    found = _near(at, touch, mu, locks)
    if found is None:
        return wide
    ball = _ball(at, touch, mu, found, rise)
    mix, parts = _mix(ball), _lagging(rules, ball)
    lean, sunk, slow, down = wide.lean.copy(), wide.sunk.copy(), wide.slow.copy(), np.ones(wide.lean.shape)
    for whole, part in zip((lean, sunk, slow, down), parts, strict=True):
        whole[found] += mix.real * (part.real - whole[found])
    return wide._replace(
        lean=lean, sunk=sunk, slow=slow, aside=(1 - lean) * wide.offset / at.ball, turned=sunk * touch.sine * at.hinge,
        share=wide.light / ((at.lift * at.ball) * sunk + wide.light), wedged=Wedged(wide, found, mix, parts, down),
    )  # fmt: skip


def widens(rules: Rules, at: Columns, rigid: tuple[Contact, Contact], mu: Array, wide: Spread) -> tuple[Array, ...]:
    """Slopes of the mean cosine, of the sinking, of `Spread.slow` and, near wedging, of `Wedged.down`.

    Near wedging by the step along the imaginary axis that `spread` took, which is exact to rounding.
    """
    wedged = wide.wedged
    if wedged is None:
        return rules.widens(at, rigid, mu, wide)
    slopes = [*rules.widens(at, rigid, mu, wedged.before), np.zeros(wide.lean.shape)]
    near, mix, before = wedged.near, wedged.mix, wedged.before
    mixes = mix.imag / STEP
    was = before.lean[near], before.sunk[near], before.slow[near], np.ones(mix.shape)
    for slope, part, old in zip(slopes, wedged.parts, was, strict=True):
        slope[near] += mix.real * (part.imag / STEP - slope[near]) + mixes * (part.real - old)
    return tuple(slopes)


def _near(at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Places | None:
    """Places near wedging; None where there are none."""
    if mu.max(initial=0.0) <= 0:
        return None
    close = _taken((touch.cosine, touch.uphill), mu, at.swing) > FADE[0] * touch.cosine
    if not close.any():
        return None
    # Without friction nothing wedges, however askew the ball travels.
    close &= (mu > 0) & (at.bed > 0) & (touch.push > 0) & (touch.cosine > UPRIGHT)
    if locks is not None:
        close &= ~locks
    return np.nonzero(close) if close.any() else None


def _taken(way: tuple[Array, Array], mu: Array, swing: Array, path: Array | None = None) -> Array:
    """What friction and a ball that travels sideways take from the load that is carried, per load [-].

    Of cosine and uphill of a contact (`Contact`), friction, `Columns.swing`, and the contact's path if known.
    """
    cosine, uphill = way
    return mu / (_path(cosine, uphill) if path is None else path) * (uphill + swing * cosine) + swing * uphill


def _path(cosine: Array, uphill: Array) -> Array:
    """`Contact.path`, complex where they are."""
    return _raised(cosine * cosine + uphill * uphill, 0.5)


def _raised(base: Array, power: float) -> Array:
    """Power of positive numbers; an imaginary part is a slope's step, of which the first power is exact.

    >>> complex(_raised(np.array(4 + 1e-30j), 0.5))
    (2+2.5e-31j)
    """
    value = base.real**power
    return _stepped(value, power * value / base.real * base.imag) if np.iscomplexobj(base) else np.asarray(value)


def _fourth(base: Array) -> Array:
    square = base * base
    return np.asarray(square * square)


def _stepped(value: Array, step: Array) -> Array:
    """Complex number of a value and its step along the imaginary axis."""
    number = np.empty(value.shape, complex)
    number.real, number.imag = value, step
    return number


def _ball(at: Columns, touch: Contact, mu: Array, near: Places, rise: Contact | None) -> Ball:
    """Numbers at the given places; with slopes of the contact a step along the imaginary axis."""
    there = [one[near] for one in touch]
    if rise is not None:
        there = [_stepped(one, STEP * slope[near]) for one, slope in zip(there, rise, strict=True)]
    here = type(touch)(*there)
    # A slope at the dimple's axis is that at the least offset.
    here = here._replace(offset=here.offset + np.maximum(LEAST - here.offset.real, 0))
    numbers = [np.broadcast_to(one, touch.offset.shape)[near] for one in (mu, at.swing, at.ball, at.hinge, at.bed)]
    return Ball(here, _taken((here.cosine, here.uphill), numbers[0], numbers[1]), *numbers)


def _mix(ball: Ball) -> Array:
    """Share of what changes near wedging, smooth from 0 to 1."""
    share = np.minimum((ball.taken / ball.touch.cosine - FADE[0]) / (FADE[1] - FADE[0]), 1)
    return np.asarray(share * share * (3 - 2 * share))


def _lagging(rules: Rules, ball: Ball) -> tuple[Array, Array, Array, Array]:
    """Lean, sinking, `slow` and `down` of a ball near wedging."""
    touch, radius = ball.touch, ball.touch.offset + ball.ball * ball.touch.sine
    load = touch.push * ball.bed / (radius * radius * touch.offset)
    t, climbs = _overlap(rules, ball, radius, load)
    state = _state(rules, ball, radius, t)
    rub = ball.friction / state.path
    borne = _raised(t, 1.5) / load  # load of the overlap over the push
    # What is carried without friction, and what friction down the slope takes from it; the share of it that does.
    lift = np.maximum(state.cosine - ball.swing * state.uphill, UPRIGHT)
    takes = rub * (state.uphill + ball.swing * state.cosine)
    round_ring = _fourth(1 - state.lean)
    down = lift - _raised(1 + _raised(borne * lift, -SHARP), -1 / SHARP) / borne
    down = down / np.maximum(takes + ball.friction * round_ring, UPRIGHT)
    across = ball.friction * ASIDE * _raised(1 - _fourth(state.lean), 0.5) * (1 - _fourth(down))
    pushed = state.uphill + down * rub * state.cosine + across
    lacks = 1 - borne * state.carried
    climbing = (state.uphill + rub * state.cosine) * climbs * lacks / (1 + 4 * lacks * lacks)
    # `leaning` gives the force of a ball whose friction is turned down by a share; `slow` is what it lacks of it.
    down = down + (1 - down) * round_ring
    given = (state.uphill + down * rub * state.cosine) / (lift - down * takes)
    return state.lean, state.sunk, borne * (pushed + climbing) / given, down


def _overlap(rules: Rules, ball: Ball, radius: Array, load: Array) -> tuple[Array, Array]:
    """Overlap t of a ball that climbs late, and how far it climbs as the rim is steep, 0 to 1."""
    touch = ball.touch
    alone, grip = load / touch.cosine, np.maximum(touch.cosine - ball.taken, UPRIGHT)
    bound, ring = TANGENT / 3 + 2 / (3 * np.sqrt(TANGENT)) * alone, alone.real > TANGENT**1.5
    if ring.any():
        bound = np.where(ring, _raised(alone, 2 / 3), bound)
    bare = _raised(load / grip, 2 / 3)
    gain = np.minimum((1 - _state(rules, ball, radius, bound).carried / grip) / bound * bare, STEEPEST)
    room = 1 - 1.5 * gain
    room = (room + _raised(room * room + LEFT * LEFT, 0.5)) / 2
    free = bare * (1 + gain / (1.5 * room))
    beyond = _fourth(np.minimum(free / bound, FAR))
    slope, least, steep = CLIMBS
    lacks = slope * (1 - grip / touch.cosine - least) + steep * touch.cosine * touch.cosine
    bound = bound * (1 - lacks / (1 + beyond))
    free = free * (1 + LAGS * np.maximum(gain, 0) * np.maximum(gain, 0) / (1 + 1 / (beyond * beyond)))
    free = np.minimum(free, FAR * bound)
    over = 1 + _raised(free / bound, SHARP)
    return free * _raised(over, -1 / SHARP), 1 / (over * over)


def _state(rules: Rules, ball: Ball, radius: Array, t: Array) -> _State:
    """Ball pressed in by t on the elastic rim."""
    touch, arc, ring = ball.touch, np.minimum(t, ARC_END), t.real > ARC_END
    lean, dent = rules.carried(t, arc, ring if ring.any() else None)
    deep = radius * touch.offset / (ball.ball * ball.ball * touch.cosine)
    sunk = rules.sinking(deep * dent, touch.sine, touch.cosine)
    turned = sunk * touch.sine * ball.hinge
    sine, cosine = touch.sine + turned * touch.cosine, touch.cosine - turned * touch.sine
    uphill = rules.leans(sine, lean, (1 - lean) * touch.offset / ball.ball) * touch.along
    path = _path(cosine, uphill)
    carried = cosine - _taken((cosine, uphill), ball.friction, ball.swing, path)
    return _State(lean, sunk, cosine, uphill, path, carried)
