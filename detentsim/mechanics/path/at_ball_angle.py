"""Torque at given ball angles, by the reference formulas of ``balance``.

The path itself runs on the same balance of forces in ``contact_at``; tests compare the two, and ``rest`` takes the
depth of the ball from here.

The bar yields sideways under the ball's torque, so the ball angle `phi` and the blade angle `theta` differ:
`theta = phi - eps + C T(phi)`, with over-close `eps` and twist compliance `C`. `phi` is the parameter of the path;
where `theta(phi)` turns back, the blade jumps at constant `theta`. ``segments`` cuts the path by these angles.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance, solution
from detentsim.mechanics.detent.balance import BallContact, offset_at_phi
from detentsim.mechanics.detent.solution import SolvedDetent, Torques
from detentsim.mechanics.record import Array, Index, Truth, last_axis

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


def contact(solved: SolvedDetent, phi: ArrayLike, piece: Index) -> BallContact:
    """Depth and contact angle of the ball at ball angles `phi`, on given pieces of the dimple.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of shape (...).
    phi : array_like, shape (..., m)
        Ball angle, >= 0 [rad].
    piece : array of int, shape (..., m)
        Piece of the dimple that carries the ball.

    Returns
    -------
    BallContact
        Fields of shape (..., m).
    """
    offset, along = offset_at_phi(last_axis(solved.record), phi)
    height, sine = dimple.height_and_slope(solved.shape, offset, piece)
    return BallContact(solved.shape.ball - height, sine, along)


def torques(solved: SolvedDetent, phi: Array, piece: Index, bears: Truth, static: bool = False) -> Torques:
    """Torques, forces and depth at ball angles `phi` on given pieces of the dimple.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of shape (...).
    phi : array, shape (..., m)
        Ball angle [rad].
    piece : array of int, shape (..., m)
        Piece of the dimple that carries the ball.
    bears : array of bool, shape (..., m)
        True where the ball carries the bar, False where the bar's face lies on the tang.
    static : bool
        Use the static coefficient of friction instead of the kinetic one.

    Returns
    -------
    Torques
        Fields of shape (..., m).

    Notes
    -----
    Balance of forces in `balance.torque`, derived in studies/00-the-model.ipynb.
    """
    record = last_axis(solved.record)
    bar = solution.Spring(*(np.asarray(field)[..., None] for field in solved.spring))
    touch = contact(solved, phi, piece)
    push = balance.tang_force(bar, touch.depth)
    force = np.where(bears, push, 0.0)
    mu = record.static_friction if static else record.friction
    arm = record.pivot_to_ball
    opening = balance.torque(force, touch, mu, arm, bar.swing, opening=True)
    closing = balance.torque(force, touch, mu, arm, bar.swing, opening=False)
    return Torques(opening, closing, force, push, touch.depth, touch.sine)
