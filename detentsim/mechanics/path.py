"""The way of the ball through the dimple while the blade opens or closes: stick, slip, snap.

The bar gives sideways, so the ball's angle `phi` in the dimple and the blade's angle `theta` differ:
`theta = phi - eps + C T(phi)`, C the twist give. Along the path `phi` is the parameter. Where `theta(phi)` turns
back the blade jumps at constant `theta`. The range from rest to the flat is cut at every place where something
changes, and each stretch carries Chebyshev points, so that maxima and integrals are those of smooth functions.
"""

from collections.abc import Callable
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.optimize.elementwise import find_root

from . import detent, dimple
from .detent import Load
from .record import Array, Index, Truth, last_axis

POINTS = 21
_UNIT = (1 - np.cos(np.pi * np.arange(POINTS) / (POINTS - 1))) / 2


class Grid(NamedTuple):
    """Stretches of ball angle with their points; shapes (..., J, n) and (..., J)."""

    phi: Array  # [rad]
    piece: Index  # which piece of the dimple carries the ball
    bears: Truth  # whether the ball carries the bar, or the bar's face lies on the tang


class Torques(NamedTuple):
    """Torque on a grid, shape (..., J, n)."""

    opening: Array  # [N m]
    closing: Array  # [N m]
    force: Array  # on the ball [N]
    push: Array  # of the bar on the tang, through ball or face [N]
    depth: Array  # ball tip below the face [m]
    sine: Array  # of the contact angle [-]


T = TypeVar("T", bound=np.generic)


def pick(solved: Load, index: Index | Truth) -> Load:
    """Some of a flat axis of designs."""
    record = type(solved.record)(*(field[index] for field in solved.record))
    spring = type(solved.spring)(*(field[index] for field in solved.spring))
    return Load(record, spring, type(solved.shape)(*(field[index] for field in solved.shape)))


def loose_offset(solved: Load) -> Array:
    """Offset within which the ball hangs loose or the bar's face lies on the tang, s_L; else 0 [m]."""
    limit = np.minimum(solved.spring.protrusion, solved.spring.reach)
    return dimple.offset_at_depth(solved.shape, np.maximum(limit, 0))


def mouth_angle(solved: Load) -> Array:
    """Ball angle at which the ball comes onto the flat [rad]."""
    return detent.phi_at_offset(solved.record, solved.shape.start[..., -1])


def make_grid(solved: Load, start: Array, end: Array) -> Grid:
    """Cut the ball angles from `start` to `end` [rad] at every change of contact."""
    record = solved.record
    offsets = np.concatenate([solved.shape.start, loose_offset(solved)[..., None]], axis=-1)
    angles = detent.phi_at_offset(last_axis(record), offsets)
    # A radial error bends the path within a few times itself; cuts there keep the points dense where it matters.
    near = np.abs(record.radial_error / record.pivot_to_ball)[..., None] * [4.0, 16.0]
    cuts = np.concatenate([angles, near, start[..., None], end[..., None]], axis=-1)
    cuts = np.sort(np.clip(cuts, start[..., None], np.maximum(start, end)[..., None]), axis=-1)
    left, right = cuts[..., :-1], cuts[..., 1:]
    phi = left[..., None] + (right - left)[..., None] * _UNIT
    middle, _ = detent.offset_at_phi(last_axis(record), (left + right) / 2)
    piece = dimple.piece_at(solved.shape, middle)
    touch = detent.contact(solved, (left + right) / 2, piece)
    return Grid(phi, piece, touch.depth <= solved.spring.protrusion[..., None])


def torques(solved: Load, phi: Array, piece: Index, bears: Truth, static: bool = False) -> Torques:
    """Torques at ball angles `phi` [rad] on named pieces, all of shape (..., m)."""
    record = last_axis(solved.record)
    bar = detent.Spring(*(np.asarray(field)[..., None] for field in solved.spring))
    touch = detent.contact(solved, phi, piece)
    push = detent.tang_force(bar, touch.depth)
    force = np.where(bears, push, 0.0)
    mu = record.static_friction if static else record.friction
    arm = record.pivot_to_ball
    opening = detent.torque(force, touch, mu, arm, bar.swing, opening=True)
    closing = detent.torque(force, touch, mu, arm, bar.swing, opening=False)
    return Torques(opening, closing, force, push, touch.depth, touch.sine)


def on_grid(solved: Load, grid: Grid) -> Torques:
    """Torques on every point of a grid, shape (..., J, n)."""
    wide = np.broadcast_to(grid.piece[..., None], grid.phi.shape)
    bears = np.broadcast_to(grid.bears[..., None], grid.phi.shape)
    flat = (*grid.phi.shape[:-2], grid.phi.shape[-2] * grid.phi.shape[-1])
    found = torques(solved, grid.phi.reshape(flat), wide.reshape(flat), bears.reshape(flat))
    return Torques(*(np.broadcast_to(field, wide.reshape(flat).shape).reshape(wide.shape) for field in found))


def here(solved: Load, phi: Array, *, outward: bool = True, static: bool = False) -> Torques:
    """Torques at one ball angle for each design, as a limit from outward or inward; shape (...)."""
    offset, _ = detent.offset_at_phi(solved.record, phi)
    piece = dimple.piece_at(solved.shape, offset[..., None], outward=outward)
    touch = detent.contact(solved, phi[..., None], piece)
    # A hair of depth decides between ball and face at the very offset where one takes over from the other.
    slack = 1e-12 * solved.shape.ball
    bears = touch.depth <= solved.spring.protrusion[..., None] + (slack if outward else -slack)
    found = torques(solved, phi[..., None], piece, bears, static)
    return Torques(*(field[..., 0] for field in found))


def twist(give: Array, torque: Array) -> Array:
    """Angle by which the bar gives under a torque, 0 for a rigid one whatever the torque [rad]."""
    with np.errstate(invalid="ignore"):
        return np.where(give > 0, give * torque, 0.0)


def blade_angle(solved: Load, phi: Array, torque: Array) -> Array:
    """Blade angle for a ball angle and its torque, `phi - eps + C T` [rad]; both of shape (..., m)."""
    return phi - solved.record.overclose[..., None] + twist(solved.spring.twist_give[..., None], torque)


def at_points(solved: Load, phi: Array, piece: Index, bears: Truth, index: Index) -> Torques:
    """Torques of some designs of a flat axis, one ball angle each, on the pieces named for them."""
    found = torques(pick(solved, index), phi[..., None], piece[index][..., None], bears[index][..., None])
    return Torques(*(field[..., 0] for field in found))


def root(function: Callable[[Array, Index], Array], low: Array, high: Array) -> Array:
    """Root of `function(x, index of the design)` between `low` and `high`; `low` where there is no room."""
    found = find_root(function, (low, high), args=(np.arange(low.size),))
    return np.where(found.success, found.x, low)


def flat_points(field: Array) -> Array:
    """Join stretches and points into one axis of points."""
    return field.reshape(*field.shape[:-2], field.shape[-2] * field.shape[-1])


def take(field: NDArray[T], index: Index) -> NDArray[T]:
    """Value at `index` along the last axis, for each design; an index past the end takes the last."""
    index = np.clip(index, 0, field.shape[-1] - 1)
    return np.asarray(np.take_along_axis(field, index[..., None], axis=-1)[..., 0])
