"""Contact, push and torque of the ball at ball angles of segments, and their slopes: the path's innermost formulas.

Stands on the rows of segments; everything that asks for a torque along the path stands on this file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array, Truth

# Least cosine to divide by. Against a vertical wall slopes are infinite; the cosine is rounded by that much there.
TINY = 1e-8


class Contact(NamedTuple):
    """Contact of the ball at ball angles, or the slope of each field over the ball angle; all of one shape."""

    offset: Array  # of the ball from the dimple's axis [m]
    along: Array  # c_ut, share of the slope along the ball's path [-]
    sine: Array  # of the contact angle [-]
    cosine: Array  # [-]
    uphill: Array  # sin(psi) c_ut [-]
    path: Array  # sqrt(cos(psi)^2 + (sin(psi) c_ut)^2) [-]
    push: Array  # of the bar on the tang [N]


class Felt(NamedTuple):
    """Torque against opening, push of the bar, and their slopes over the ball angle; all of one shape."""

    torque: Array  # [N m]
    push: Array  # of the bar on the tang, through ball or face [N]
    torque_slope: Array  # [N m/rad]; 0 where the ball locks
    push_slope: Array  # [N/rad]


def contact(ways: Segments, phi: Array) -> Contact:
    """Contact of the ball and push of the bar at ball angles `phi` [rad] of shape (m,) or (k, m).

    Offset and share of the slope as in `balance.offset_at_phi`, height as in `dimple.on_piece`.
    """
    at = ways.at
    half = np.tan(0.5 * phi)
    along = 1 / np.sqrt(1 + half * half)  # cosine of the half angle; numpy computes a tangent faster than a sine
    sine_half = half * along
    offset = at.twice_ball * sine_half
    if not ways.centred:
        offset, along = _beside(ways, sine_half, along)
    sine = np.maximum(at.sine - at.turn * offset, 0)
    level = np.maximum(1 - sine * sine, 0)
    cosine, uphill = np.sqrt(level), sine * along
    push = np.maximum(at.push + at.push_cosine * cosine + at.push_offset * offset, 0)
    path = np.sqrt(np.maximum(level + uphill * uphill, TINY**2))
    return Contact(offset, along, sine, cosine, uphill, path, push)


def _beside(ways: Segments, sine: Array, cosine: Array) -> tuple[Array, Array]:
    """Offset [m] and share of the slope along the path, with a radial error.

    From sine and cosine of half the ball angle. A share of 1 at offset 0, which only a dimple without radial error has.
    """
    at = ways.at
    reach = at.twice_dimple * sine
    offset = np.sqrt(at.miss_squared + at.twice_ball * sine * reach)
    if offset.all():
        return offset, reach * cosine / offset
    bare = offset == 0
    return offset, np.where(bare, 1.0, reach * cosine / (offset + bare))


def slopes(ways: Segments, touch: Contact) -> Contact:
    """Slope of every field of a contact over the ball angle [1/rad]; derived, the chain rule on `contact`."""
    at = ways.at
    ball = at.twice_ball / 2
    offset = ball * touch.along
    if ways.centred:
        along = touch.offset * (-0.25 / ball)
    else:
        bare = touch.offset if touch.offset.all() else touch.offset + (touch.offset == 0)
        half = at.twice_dimple / 2 - (touch.offset * touch.offset - at.miss_squared) / at.twice_ball
        along = (half - ball * touch.along * touch.along) / bare
    sine = -at.turn * offset
    fall = touch.sine * sine
    cosine = -fall / np.maximum(touch.cosine, TINY)
    uphill = sine * touch.along + touch.sine * along
    path = (touch.uphill * uphill - fall) / touch.path
    push = at.push_cosine * cosine + at.push_offset * offset
    return Contact(offset, along, sine, cosine, uphill, path, push)


def on_rim(ways: Segments, touch: Contact, *, opening: bool, static: bool = False) -> Contact:
    """Contact on the elastic rim, of one on a rigid rim; the same where no rim gives. Friction spreads the load."""
    return touch if ways.bed is None else ways.bed.touch(ways.at, touch, *_rubs(ways, touch, opening, static))


def _rubs(ways: Segments, touch: Contact, opening: bool, static: bool = False) -> tuple[Array, Truth | None]:
    """Friction, negative in closing [-], and truth of the ball locking on a rigid rim; None where it nowhere does."""
    mu = ways.at.static_friction if static else ways.at.friction
    if ways.square:
        if not opening:  # friction then helps to lift the bar
            return -mu, None
        if touch.cosine.min(initial=np.inf) > mu.max(initial=0):  # steeper than any friction angle nowhere
            return mu, None
    carried = pushed_and_carried(ways, touch, opening=opening, static=static)[2]
    locks = carried <= 0
    return mu if opening else -mu, locks if locks.any() else None


def pushed_and_carried(
    ways: Segments, touch: Contact, *, opening: bool, static: bool = False
) -> tuple[Array, Array, Array]:
    """Friction over the path's slope; force along the path, and force that lifts the bar, over the contact force [-].

    `mu/v cos(psi)`, `sin(psi) c_ut +- mu/v` and `cos(psi) -+ mu m/v` of `balance.torque`; `static` takes the static
    coefficient of friction. A ball locks where the last is not positive. `touch` is as `on_rim` gives it.
    """
    at = ways.at
    mu = at.static_friction if static else at.friction
    rub = (mu if opening else -mu) / touch.path
    pushed = touch.uphill + rub * touch.cosine
    carried = touch.cosine - rub * touch.uphill
    return rub, pushed, carried if ways.square else carried - at.swing * pushed


def wedged_share(ways: Segments, phi: Array) -> Array:
    """Share that friction takes, in opening, of what a rigid rim carries [-]; from 1 on the ball locks.

    At ball angles `phi` [rad] of shape (m,) or (k, m); 0 where the ball carries nothing. Where the ball travels square
    across the bar and through the dimple's middle it is friction times the tangent of the contact angle. Derived in
    studies/00-the-model.ipynb.
    """
    touch = contact(ways, phi)
    carried = pushed_and_carried(ways, touch, opening=True)[2]
    return np.where(ways.at.arm * touch.push > 0, 1 - carried / np.maximum(touch.cosine, TINY), 0.0)


def torque_of(ways: Segments, touch: Contact, *, opening: bool, static: bool = False) -> Array:
    """Torque in one sense of motion [N m] for a contact with a rigid rim; inf where the ball locks.

    Balance of forces as in `balance.torque`, derived in studies/00-the-model.ipynb; on the rim as it gives.
    """
    touch = on_rim(ways, touch, opening=opening, static=static)
    _, pushed, carried = pushed_and_carried(ways, touch, opening=opening, static=static)
    return _torque(ways.at.arm * touch.push, pushed, carried)


def _torque(force: Array, pushed: Array, carried: Array) -> Array:
    locks = carried <= 0
    if not locks.any():
        return np.asarray(force * pushed / carried)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(force <= 0, 0.0, np.where(locks, np.inf, force * pushed / carried))


def climb_of(ways: Segments, touch: Contact, rise: Contact, *, opening: bool) -> tuple[Array, Array]:
    """Torque in one sense of motion [N m], and its slope over the ball angle [N m/rad], 0 where the ball locks.

    Quotient rule on `torque_of` (derived); `rise` has the slopes of the contact.
    """
    at = ways.at
    if ways.bed is not None:
        touch, rise = ways.bed.rise(at, (touch, rise), *_rubs(ways, touch, opening))
    rub, pushed, carried = pushed_and_carried(ways, touch, opening=opening)
    turned = -rub * rise.path / touch.path
    pushed_rise = rise.uphill + turned * touch.cosine + rub * rise.cosine
    carried_rise = rise.cosine - turned * touch.uphill - rub * rise.uphill
    if not ways.square:
        carried_rise = carried_rise - at.swing * pushed_rise
    force, force_rise = at.arm * touch.push, at.arm * rise.push
    locks = carried <= 0
    if not locks.any():
        torque = force * pushed / carried
        return torque, (force_rise * pushed + force * pushed_rise - torque * carried_rise) / carried
    borne = np.where(locks, 1.0, carried)
    share = np.where(locks, 0.0, pushed) / borne
    slope = force_rise * share + force * np.where(locks, 0.0, pushed_rise - share * carried_rise) / borne
    # A ball that comes to bear just there locks as well.
    return np.where(locks & ((force > 0) | (force_rise > 0)), np.inf, force * share), np.where(locks, 0.0, slope)


def climb(ways: Segments, phi: Array, *, opening: bool) -> tuple[Array, Array]:
    """Torque in one sense of motion [N m] and its slope [N m/rad] at ball angles `phi` [rad] of shape (m,) or (k, m).

    Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    touch = contact(ways, phi)
    return climb_of(ways, touch, slopes(ways, touch), opening=opening)


def felt(ways: Segments, touch: Contact) -> Felt:
    """Torque against opening, push and their slopes for a contact.

    Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    rise = slopes(ways, touch)
    torque, slope = climb_of(ways, touch, rise, opening=True)
    return Felt(torque, touch.push, slope, rise.push)


def face_drag(ways: Segments, push: Array) -> Array:
    """Drag torque of the bar's face where it lies on the tang under the force `push` [N], `mu rho N` (Coulomb) [N m].

    0 where the ball carries the bar.
    """
    at = ways.at
    # The arm is 0 where the face carries the bar.
    return np.asarray(at.friction * (at.twice_ball / 2 - at.arm) * push)
