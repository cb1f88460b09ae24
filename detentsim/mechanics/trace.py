"""Torque against blade angle: the path of `path` read the other way round, at blade angles somebody asks for."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import detent, path
from .detent import Load
from .path import POINTS, Grid, T, Torques
from .record import Array, Index, last_axis

FAR = 1e6  # [rad], [N m]


class Felt(NamedTuple):
    """What the blade feels at blade angles; shape (..., m)."""

    torque: Array  # of the ball: resists opening, or pulls in [N m]
    push: Array  # of the bar on the tang, through ball or face [N]
    face_drag: Array  # friction torque of the bar's face where it lies on the tang [N m]


class Table(NamedTuple):
    """One way along the path, its blade angles never decreasing; shapes (..., M)."""

    grid: Grid
    phi: Array  # ball angle [rad]
    theta: Array  # blade angle at it [rad]
    reached: Array  # blade angle reached there: what the blade jumps over is levelled [rad]


def opening_table(solved: Load, phi: Array, slip: Array) -> Table:
    """Opening path from ball angle `phi` [rad], slipping first at blade angle `slip` [rad]."""
    grid = path.make_grid(solved, phi, path.mouth_angle(solved))
    points = path.flat_points(grid.phi)
    theta = path.blade_angle(solved, points, path.flat_points(path.on_grid(solved, grid).opening))
    return Table(grid, points, theta, np.maximum.accumulate(np.maximum(theta, slip[..., None]), axis=-1))


def closing_table(solved: Load, phi: Array) -> Table:
    """Closing path down to ball angle `phi` [rad]."""
    grid = path.make_grid(solved, phi, path.mouth_angle(solved))
    points = path.flat_points(grid.phi)
    theta = path.blade_angle(solved, points, path.flat_points(path.on_grid(solved, grid).closing))
    back = np.minimum.accumulate(theta[..., ::-1], axis=-1)[..., ::-1]
    return Table(grid, points, theta, back)


def felt_at(solved: Load, table: Table, theta: ArrayLike, *, opening: bool, above: bool) -> Felt:
    """What the blade feels at blade angles, friction against the motion.

    Parameters
    ----------
    solved : Load
    table : Table
    theta : array_like
        Blade angles not below rest [rad], shape (..., m).
    opening : bool
        Sense of motion, that of the table.
    above : bool
        At a jump, the limit from larger angles (True) or from smaller ones.

    Returns
    -------
    Felt
    """
    theta = np.broadcast_to(np.asarray(theta, float), (*table.phi.shape[:-1], np.shape(theta)[-1]))
    known = table.reached[..., None, :]
    passed = known <= theta[..., None] if above else known < theta[..., None]
    cell = np.sum(passed, axis=-1)
    inside = (cell > 0) & (cell < table.phi.shape[-1])
    flat = _on_flat(solved, opening)
    slipping = _in_cell(solved, table, theta, np.where(inside, cell, 1), opening)
    sticking = _stick(solved, table, theta, opening)
    choices = zip(sticking, slipping, flat, strict=True)
    return Felt(*(np.where(cell == 0, stick, np.where(inside, slip, end)) for stick, slip, end in choices))


def felt_on(solved: Load, found: Torques, opening: bool) -> Felt:
    """What the blade feels where the ball slips, from torques of shape (..., m)."""
    record = last_axis(solved.record)
    face = record.friction * record.pivot_to_ball * (found.push - found.force)
    return Felt(found.opening if opening else found.closing, found.push, face)


def _on_flat(solved: Load, opening: bool) -> Felt:
    riding = detent.ball_force(solved.spring, 0.0)[..., None]
    return Felt(detent.drag(solved, opening=opening)[..., None], riding, np.zeros_like(riding))


def _stick(solved: Load, table: Table, theta: Array, opening: bool) -> Felt:
    """What is felt while the ball stays where it is and only the bar gives sideways."""
    first = table.phi[..., 0]
    found = path.here(solved, first)
    held = felt_on(solved, Torques(*(field[..., None] for field in found)), opening)
    return held._replace(torque=_given(solved, theta, first[..., None], held.torque))


def _given(solved: Load, theta: Array, phi: Array, rigid: Array) -> Array:
    """Torque of the bar's side give between ball and blade angle; `rigid` where the bar gives nothing."""
    give = solved.spring.twist_give[..., None]
    eps = solved.record.overclose[..., None]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(give > 0, (theta + eps - phi) / give, rigid)


def _in_cell(solved: Load, table: Table, theta: Array, cell: Index, opening: bool) -> Felt:
    """What is felt while the ball slips, between the table's points `cell - 1` and `cell`."""
    wide = np.broadcast_to(np.arange(theta[..., 0].size).reshape(theta.shape[:-1])[..., None], theta.shape)
    target = theta.ravel()
    solved = path.pick(_flat_axis(solved), wide.ravel())
    low, high = _gather(table.phi, cell - 1), _gather(table.phi, cell)
    stretch = cell // POINTS
    piece, bears = _gather(table.grid.piece, stretch), _gather(table.grid.bears, stretch)

    def felt(phi: Array, i: Index) -> Felt:
        found = path.at_points(solved, phi, piece, bears, i)
        return felt_on(path.pick(solved, i), Torques(*(field[..., None] for field in found)), opening)

    def ahead(phi: Array, i: Index) -> Array:
        angle = path.blade_angle(path.pick(solved, i), phi[..., None], felt(phi, i).torque)
        # A ball that locks is at no angle; a solver needs a number to stay away from.
        return np.minimum(angle[..., 0], FAR) - target[i]

    phi = path.root(ahead, low, high)
    found = felt(phi, np.arange(phi.size))
    elastic = _given(solved, target[..., None], phi[..., None], found.torque)
    found = found._replace(torque=np.where((high > low)[..., None], found.torque, elastic))
    return Felt(*(np.asarray(field.reshape(theta.shape)) for field in found))


def _flat_axis(solved: Load) -> Load:
    """Join the designs' axes into one."""
    record = type(solved.record)(*(field.reshape(-1) for field in solved.record))
    spring = type(solved.spring)(*(field.reshape(-1) for field in solved.spring))
    shape = type(solved.shape)(*(field.reshape(-1, field.shape[-1]) for field in solved.shape))
    return Load(record, spring, shape)


def _gather(field: NDArray[T], index: Index) -> NDArray[T]:
    """Entries along the last axis at (..., m) indices, on one flat axis."""
    return np.asarray(np.take_along_axis(field, index, axis=-1)).ravel()
