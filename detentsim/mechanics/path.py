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
ZOOM_POINTS, ZOOM_ROUNDS = 9, 6


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


Rule = Callable[[Array, Torques], Array]
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


def rest_phi(solved: Load) -> Array:
    """Ball angle in the dimple with the blade at rest [rad].

    0 while side give keeps the ball centred (`0 <= eps <= C T_close(0+)`) and for a blade that stands proud;
    else the largest root of `phi + C T_close(phi) = eps`.
    """
    eps, give = solved.record.overclose, solved.spring.twist_give
    first = here(solved, np.zeros_like(eps)).closing
    off_centre = (eps >= 0) & (eps > give * first)
    phi = np.where(off_centre, eps, 0.0)
    todo = off_centre & (give > 0)
    if np.any(todo):
        phi[todo] = _largest_rest(pick(solved, todo))
    return phi


def _largest_rest(solved: Load) -> Array:
    """Largest ball angle at which a closing blade stops at its stop; one flat axis of designs."""
    end = np.maximum(solved.record.overclose, mouth_angle(solved))
    end = end - solved.spring.twist_give * detent.drag(solved, opening=False) * (1 + 1e-9) + 1e-12
    grid = make_grid(solved, np.zeros_like(end), end)
    theta = blade_angle(solved, flat_points(grid.phi), flat_points(on_grid(solved, grid).closing))
    last = last_true(theta <= 0)
    stretch = np.minimum(last // POINTS, grid.piece.shape[-1] - 1)
    low, high = take(flat_points(grid.phi), last), take(flat_points(grid.phi), last + 1)
    piece, bears = take(grid.piece, stretch), take(grid.bears, stretch)

    def short(phi: Array, i: Index) -> Array:
        closing = at_points(solved, phi, piece, bears, i).closing
        return blade_angle(pick(solved, i), phi[..., None], closing[..., None])[..., 0]

    return root(short, low, high)


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


def last_true(truth: Truth) -> Index:
    """Index of the last true point along the last axis; -1 where none is."""
    count = truth.shape[-1]
    back = np.argmax(truth[..., ::-1], axis=-1)
    return np.where(np.any(truth, axis=-1), count - 1 - back, -1)


def peak(solved: Load, grid: Grid, values: Array, rule: Rule) -> tuple[Array, Array, Index]:
    """Largest value of a quantity over a grid, found to rounding inside its stretch.

    Parameters
    ----------
    solved : Load
    grid : Grid
    values : array
        The quantity on the grid's points, shape (..., J*n); -inf where it must not count.
    rule : callable
        `rule(phi, found)` gives the quantity for `phi` of shape (..., m) and its `Torques`.

    Returns
    -------
    value, phi, stretch : array
        The largest value, its ball angle [rad] and the stretch it belongs to: at a hand-over two stretches meet at
        one angle, and only one of them has the supremum.
    """
    best = np.argmax(values, axis=-1)
    stretch = best // POINTS
    phi = flat_points(grid.phi)
    low = take(phi, np.maximum(best - 1, stretch * POINTS))
    high = take(phi, np.minimum(best + 1, stretch * POINTS + POINTS - 1))
    piece, bears = take(grid.piece, stretch)[..., None], take(grid.bears, stretch)[..., None]
    top, where = take(values, best), take(phi, best)
    for _ in range(ZOOM_ROUNDS):
        near = low[..., None] + (high - low)[..., None] * np.linspace(0, 1, ZOOM_POINTS)
        found = rule(near, torques(solved, near, piece, bears))
        index = np.argmax(found, axis=-1)
        better = take(found, index) > top
        top, where = np.where(better, take(found, index), top), np.where(better, take(near, index), where)
        low, high = take(near, np.maximum(index - 1, 0)), take(near, index + 1)
    return top, where, stretch


def pull_in(solved: Load, grid: Grid, found: Torques) -> Array:
    """Largest blade angle on the closing path at which the ball alone pulls in [rad]; NaN if it never does."""
    closing, phi = flat_points(found.closing), flat_points(grid.phi)
    theta = blade_angle(solved, phi, closing)
    last = last_true((closing > 0) & (flat_points(found.force) > 0))
    turn = _closing_zero(solved, grid, last)
    beyond = np.arange(phi.shape[-1]) > np.maximum(last, 0)[..., None]

    def jump(phi: Array, found: Torques) -> Array:
        return np.where(phi < turn[..., None], -np.inf, -blade_angle(solved, phi, found.closing))

    # A closing blade that snaps in gets to the pull at the angle it snaps from.
    top, _, _ = peak(solved, grid, np.where(beyond, -theta, -np.inf), jump)
    angle = np.minimum(turn - solved.record.overclose, np.where(np.any(beyond, axis=-1), -top, np.inf))
    return np.where(last >= 0, angle, np.nan)


def _closing_zero(solved: Load, grid: Grid, last: Index) -> Array:
    """Ball angle at which the closing torque changes sign, next to the grid's point `last` [rad]."""
    phi = flat_points(grid.phi)
    low, high = take(phi, last), take(phi, last + 1)
    zero = np.array(low)
    todo = (last >= 0) & (high > low)
    if np.any(todo):
        part, stretch = pick(solved, todo), (last // POINTS)[todo]
        piece, bears = take(grid.piece[todo], stretch), take(grid.bears[todo], stretch)

        def closing(x: Array, i: Index) -> Array:
            return at_points(part, x, piece, bears, i).closing

        zero[todo] = root(closing, low[todo], high[todo])
    return zero
