"""The work of opening: along the ball's slipping way, over the hand-overs where it sticks; jumps left out."""

from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre

from . import detent, stretches
from .opening import INSIDE, Way
from .record import Array, Index
from .stretches import Stretches

FAR = 1e6  # [rad]
POINTS = 16


class Climbs(NamedTuple):
    """Parts of the way on which the blade angle only rises, in the order of the way; shape (m,)."""

    ways: Stretches  # cut down to these parts
    low: Array  # blade angle at their beginning [rad]
    high: Array  # and at their end
    reached: Array  # largest blade angle before each


def energy(one: Way, let_go: Array) -> Array:
    """Work above drag from rest to let-go, shape (n,) [J]; what the blade jumps over it takes by itself.

    Parameters
    ----------
    one : Way
    let_go : array
        Blade angle at which the dimple lets go [rad].
    """
    rest, give = one.rest, np.broadcast_to(one.load.spring.twist_give, one.rest.phi.shape)
    with np.errstate(invalid="ignore"):
        stick = give * (rest.stick**2 - rest.start**2) / 2
        slip = _slip_work(_climbs(one), let_go.size)
        return np.asarray(stick + slip - detent.drag(one.load, opening=True) * (let_go - rest.angle))


def _turn(ways: Stretches, phi: Array) -> Array:
    return np.minimum(stretches.opening_angle(ways, phi), FAR)


def _climbs(one: Way) -> Climbs:
    """Cut the way where the blade angle turns, and leave out the falls."""
    ways, order = one.stretches, np.arange(one.falls.size) * 2.0
    low, high = one.theta[:, 0], one.theta[:, 3]
    falling = np.flatnonzero(one.falls)
    if falling.size:
        part = stretches.chosen(ways, falling)
        crest, valley = _turns(part)
        tops, bottoms = (_turn(part, phi) for phi in (crest, valley))
        right = np.array(ways.right)
        right[falling], high = crest, np.array(high)
        high[falling] = tops
        index = np.concatenate([np.arange(one.falls.size), falling])
        order = np.concatenate([order, order[falling] + 1])
        low, high = np.concatenate([low, bottoms]), np.concatenate([high, one.theta[falling, 3]])
        left, right = np.concatenate([ways.left, valley]), np.concatenate([right, part.right])
        put = np.argsort(order)
        ways = stretches.chosen(ways, index[put])._replace(left=left[put], right=right[put])
        low, high = low[put], high[put]
    return Climbs(ways, low, high, _reached(ways.design, high, one.rest.slip))


def _turns(part: Stretches) -> tuple[Array, Array]:
    """Ball angles at which the blade angle begins to fall and at which it last ceases to [rad]."""
    phi = stretches.points(part, SHARES)
    theta = _turn(part, phi)
    falls = theta[:, 1:] < theta[:, :-1]
    rows, last = np.arange(len(phi)), SHARES.size - 1
    first = np.argmax(falls, axis=1)
    final = last - np.argmax(falls[:, ::-1], axis=1)
    crest, valley = phi[:, 0].copy(), phi[:, -1].copy()
    inside = np.flatnonzero((first > 0) & np.any(falls, axis=1))
    if inside.size:
        low, high = phi[inside, first[inside] - 1], phi[inside, first[inside] + 1]
        crest[inside] = stretches.zoom(stretches.chosen(part, inside), _turn, low, high)[1]
    inside = np.flatnonzero((final < last) & np.any(falls, axis=1))
    if inside.size:
        low, high = phi[rows[inside], final[inside] - 1], phi[rows[inside], final[inside] + 1]
        valley[inside] = stretches.zoom(stretches.chosen(part, inside), _back, low, high)[1]
    return crest, np.maximum(crest, valley)


def _back(ways: Stretches, phi: Array) -> Array:
    return -_turn(ways, phi)


def _reached(design: Index, high: Array, slip: Array) -> Array:
    """Largest blade angle before each part: where the ball slips first, then the ends of the parts before [rad]."""
    first = np.searchsorted(design, design)
    rank = np.arange(design.size) - first
    reached = slip[design]
    for step in range(1, int(rank.max(initial=0)) + 1):
        here = np.flatnonzero(rank == step)
        reached[here] = np.maximum(reached[here - 1], high[here - 1])
    return reached


def _slip_work(climbs: Climbs, count: int) -> Array:
    """Work of the ball on its slipping way, and while it sticks where one edge hands over to the next [J]."""
    seen = np.flatnonzero(climbs.high > climbs.reached)
    part, low, reached = stretches.chosen(climbs.ways, seen), climbs.low[seen], climbs.reached[seen]
    start = np.array(part.left)
    jumped = np.flatnonzero(low < reached)
    if jumped.size:
        start[jumped] = _landing(stretches.chosen(part, jumped), reached[jumped])
    give, eps = part.spring.twist_give, part.record.overclose
    ends = stretches.torque(part, np.stack([start, part.right], axis=1), opening=True)
    elastic = give * (ends[:, 1] ** 2 - ends[:, 0] ** 2) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        held = ((low + eps - part.left) ** 2 - (reached + eps - part.left) ** 2) / (2 * give)
    held = np.where((low > reached) & (give > 0), held, 0.0)
    part = part._replace(left=start)
    values = stretches.torque(part, stretches.points(part, NODES), opening=True)
    work = (part.right - start) * (values @ WEIGHTS) + elastic + held
    return np.asarray(np.bincount(part.design, work, count), float)


def _landing(part: Stretches, reached: Array) -> Array:
    """Ball angle at which a blade that jumped meets the way again [rad]."""
    part = part._replace(design=np.arange(reached.size))
    return stretches.root(part, part.left, part.right, lambda ways, phi: _turn(ways, phi) - reached[ways.design])


_LEGENDRE = legendre.leggauss(POINTS)
NODES, WEIGHTS = (1 + _LEGENDRE[0]) / 2, _LEGENDRE[1] / 2
"""Gauss and Legendre's rule on [0, 1]; only a ball on the verge of locking leaves more than 1e-8."""

SHARES = np.union1d(INSIDE, stretches.ENDS)
