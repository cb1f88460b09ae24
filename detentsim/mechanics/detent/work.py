"""Work of opening, from rest to let-go: along the stable branches and while the ball sticks; jumps add nothing.

Stands on ``opening`` and on the stable branches; ``response`` gives it as the breakout energy.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.polynomial import legendre

from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import segments, stable

if TYPE_CHECKING:
    from detentsim.mechanics.detent.opening import OpeningPath
    from detentsim.mechanics.path.stable import StableBranches
    from detentsim.mechanics.record import Array

POINTS = 12

_LEGENDRE = legendre.leggauss(POINTS)

# The torque bends most at the inner end of a branch, where the dimple is steepest: the variable is the root of the
# share of its width.
NODES, WEIGHTS = ((1 + _LEGENDRE[0]) / 2) ** 2, _LEGENDRE[1] * (1 + _LEGENDRE[0]) / 2
"""Gauss-Legendre rule on [0, 1]; relative error above 1e-8 only for a ball on the verge of locking."""


def energy(one: OpeningPath, let_go: Array) -> Array:
    """Work of opening above drag, from rest to let-go, shape (n,) [J].

    Parameters
    ----------
    one : OpeningPath
        Of n designs.
    let_go : array, shape (n,)
        Blade angle at let-go [rad].

    Returns
    -------
    array, shape (n,)

    Notes
    -----
    `W = int (T_open - T_drag) d theta` over what the blade feels; a jump at constant blade angle adds nothing. Derived
    in studies/00-the-model.ipynb. 0 where the whole way out costs no more than drag.
    """
    rest, give = one.rest, np.broadcast_to(one.load.spring.twist_give, one.rest.phi.shape)
    with np.errstate(invalid="ignore"):
        stick = give * (rest.stick**2 - rest.start**2) / 2
        met = stable.stable_branches(one.segments, one.theta, one.falls, rest.slip, opening=True)
        slip = _slip_work(met, let_go.size)
        return np.maximum(stick + slip - balance.drag(one.load, opening=True) * (let_go - rest.angle), 0.0)


def _slip_work(met: StableBranches, count: int) -> Array:
    """Work along the stable branches, and while the ball sticks between one and the next [J]."""
    part = met.ways
    values = segments.torque(part, segments.points(part, NODES), opening=True)
    work = (part.right - part.left) * (WEIGHTS @ values)
    if np.any(part.give):
        work = work + _stored(met)
    return np.asarray(np.bincount(part.design, work, count), float)


def _stored(met: StableBranches) -> Array:
    """What the bar's side give takes up along each branch, and while the ball sticks before it [J].

    `C T^2/2` at its end less that at its beginning, from `C T = theta + eps - phi` (derived); 0 where the bar is rigid.
    """
    part = met.ways
    give, eps = part.give, part.overclose

    def stored(theta: Array, phi: Array) -> Array:
        return np.asarray((theta + eps - phi) ** 2)

    slips = stored(met.high, part.right) - stored(met.low, part.left)
    sticks = stored(met.low, met.hold) - stored(met.before, met.hold)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(give > 0, (slips + np.where(met.low > met.before, sticks, 0.0)) / (2 * give), 0.0)
