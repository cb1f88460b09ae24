"""Torque at given ball angles, and the ball angles at which the dimple ends and a loose ball touches.

The bar yields sideways under the ball's torque, so the ball angle `phi` and the blade angle `theta` differ:
`theta = phi - eps + C T(phi)`, with over-close `eps` and twist compliance `C`. `phi` is the parameter of the path;
where `theta(phi)` turns back, the blade jumps at constant `theta`. ``segments`` cuts the path by these angles.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance
from detentsim.mechanics.record import Array, Index, Truth, last_axis

if TYPE_CHECKING:
    from detentsim.mechanics.detent.balance import SolvedDetent


class Torques(NamedTuple):
    """Torques at ball angles; all of one shape."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    force: Array  # on the ball [N]
    push: Array  # of the bar on the tang, through ball or face [N]
    depth: Array  # ball tip below the face [m]
    sine: Array  # of the contact angle [-]


def loose_offset(solved: SolvedDetent) -> Array:
    """Offset within which the ball hangs loose or the bar's face lies on the tang, `s_L`; 0 where neither happens [m].

    Shape of the designs. The offset at depth `min(p, Y)`, with protrusion `p` and reach `Y`. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> float(loose_offset(ds.curve(ds.demo()).response.load))
    0.0
    """
    limit = np.minimum(solved.spring.protrusion, solved.spring.reach)
    return dimple.offset_at_depth(solved.shape, np.maximum(limit, 0))


def mouth_angle(solved: SolvedDetent) -> Array:
    """Ball angle at which the ball reaches the flat face around the dimple [rad]; shape of the designs.

    >>> import detentsim as ds
    >>> round(float(np.degrees(mouth_angle(ds.curve(ds.demo()).response.load))), 3)
    7.946
    """
    return balance.phi_at_offset(solved.record, solved.shape.start[..., -1])


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
    bar = balance.Spring(*(np.asarray(field)[..., None] for field in solved.spring))
    touch = balance.contact(solved, phi, piece)
    push = balance.tang_force(bar, touch.depth)
    force = np.where(bears, push, 0.0)
    mu = record.static_friction if static else record.friction
    arm = record.pivot_to_ball
    opening = balance.torque(force, touch, mu, arm, bar.swing, opening=True)
    closing = balance.torque(force, touch, mu, arm, bar.swing, opening=False)
    return Torques(opening, closing, force, push, touch.depth, touch.sine)


def here(solved: SolvedDetent, phi: Array, *, outward: bool = True, static: bool = False) -> Torques:
    """Torques, forces and depth at one ball angle of each design.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of shape (...).
    phi : array, shape (...)
        Ball angle [rad].
    outward : bool
        Where two pieces meet at `phi`: the limit from larger angles (True) or from smaller ones.
    static : bool
        Use the static coefficient of friction instead of the kinetic one.

    Returns
    -------
    Torques
        Fields of shape (...).

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> float(here(response.load, response.rest.phi).force) == float(response.results["preload"])
    True
    """
    offset, _ = balance.offset_at_phi(solved.record, phi)
    piece = dimple.piece_at(solved.shape, offset[..., None], outward=outward)
    touch = balance.contact(solved, phi[..., None], piece)
    # Where ball and face change over, rounding must not decide which of the two carries the bar.
    slack = 1e-12 * solved.shape.ball
    bears = touch.depth <= solved.spring.protrusion[..., None] + (slack if outward else -slack)
    at_phi = torques(solved, phi[..., None], piece, bears, static)
    return Torques(*(field[..., 0] for field in at_phi))


def twist(give: Array, torque: Array) -> Array:
    """Blade angle by which the bar yields sideways under a torque, `C T` [rad]; 0 for a rigid bar.

    Zero for a rigid bar even where the torque is infinite. `give` is the twist compliance `C = 1/(k_lat rho^2)` [rad/(N
    m)], `torque` in [N m]; they broadcast. Derived in studies/00-the-model.ipynb.

    >>> float(twist(np.array(0.02), np.array(0.5))), float(twist(np.array(0.0), np.array(np.inf)))
    (0.01, 0.0)
    """
    with np.errstate(invalid="ignore"):
        return np.where(give > 0, give * torque, 0.0)
