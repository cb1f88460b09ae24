"""Torque against blade angle: the ball's way read the other way round, at blade angles somebody asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import at_ball_angle, segments, stable

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.detent.balance import SolvedDetent
    from detentsim.mechanics.path.segments import Segments
    from detentsim.mechanics.record import Array, Index, Truth

# Points of a part of the way between which its inverse is sought; a power of two and one.
NODES = (1 - np.cos(np.pi * np.arange(17) / 16)) / 2

SECANTS = 5

# As near as a blade angle is met [rad].
NEAR = 1e-14


class Torque(NamedTuple):
    """What the blade feels at blade angles; shape (..., m)."""

    torque: Array  # of the ball: resists opening, or pulls in [N m]
    push: Array  # of the bar on the tang, through ball or face [N]
    face_drag: Array  # friction torque of the bar's face where it lies on the tang [N m]


class TorqueTable(NamedTuple):
    """What a blade meets one way, for designs of one shape; parts outward, in the order of the designs."""

    shape: tuple[int, ...]
    load: SolvedDetent  # lean
    begin: Segments  # one of each design, where its way begins
    phi: Array  # ball angle there, shape (n,) [rad]
    slip: Array  # blade angle up to which the ball stays there in opening; inf in closing [rad]
    met: stable.StableBranches
    part: Index  # which part is a design's first, second ...; shape (n, k), -1 where it has none
    nodes: Array  # ball angle along each part, shape (c, 17) [rad]
    theta: Array  # blade angle there, never falling


def opening_table(solved: SolvedDetent, phi: Array, slip: Array) -> TorqueTable:
    """Opening path from ball angle `phi` [rad], slipping first at blade angle `slip` [rad]; designs of one shape."""
    return _table(solved, phi, np.ravel(slip), opening=True)


def closing_table(solved: SolvedDetent, phi: Array) -> TorqueTable:
    """Closing path down to ball angle `phi` [rad]; designs of one shape."""
    return _table(solved, phi, np.full(phi.size, np.inf), opening=False)


def _table(solved: SolvedDetent, phi: Array, slip: Array, *, opening: bool) -> TorqueTable:
    shape, count = phi.shape, phi.size
    lean = segments.flatten(solved, shape)
    start = np.ravel(phi)
    ways = segments.cut(lean, start, np.broadcast_to(at_ball_angle.mouth_angle(lean), count))
    ends = segments.points(ways, segments.ENDS)
    torque = segments.torque(ways, ends, opening=opening)
    theta = segments.angle(ways, ends, torque)
    falling = stable.falls(ways, torque, theta, opening=opening)
    met = stable.stable_branches(ways, theta, falling, slip, opening=opening)
    nodes = segments.points(met.ways, NODES)
    along = np.maximum.accumulate(stable.turn(opening=opening)(met.ways, nodes), axis=1)
    part = _ranked(met.ways.design, count)
    return TorqueTable(shape, lean, segments.select(ways, ways.first), start, slip, met, part, nodes, along)


def _ranked(design: Index, count: int) -> Index:
    """Places of each design's parts in the list, side by side."""
    rank = np.arange(design.size) - np.searchsorted(design, design)
    found = np.full((count, int(rank.max(initial=0)) + 1), -1)
    found[design, rank] = np.arange(design.size)
    return found


def angles(table: TorqueTable) -> Array:
    """Blade angles at which the curve of a single design bends, on one axis [rad]."""
    return np.ravel(table.theta)


def torque_at(table: TorqueTable, theta: ArrayLike, *, opening: bool, above: bool) -> Torque:
    """What the blade feels at blade angles, friction against the motion.

    Parameters
    ----------
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
    wide = (*table.shape, np.shape(theta)[-1])
    asked = np.broadcast_to(np.asarray(theta, float), wide).reshape(table.phi.size, wide[-1])
    part, slips, stays = _where(table, asked, above)
    beyond = ~stays & ~slips & (part == np.max(table.part, axis=1)[:, None])
    felt = _held(table, asked, part, stays, opening)
    flat = _on_flat(table, opening)
    felt = Torque(*(np.where(beyond, np.reshape(end, (-1, 1)), held) for held, end in zip(felt, flat, strict=True)))
    rows = np.nonzero(slips)
    if rows[0].size:
        slipping = _slipping(table, part[rows], asked[rows], opening)
        for field, values in zip(felt, slipping, strict=True):
            field[rows] = values
    return Torque(*(np.reshape(field, wide) for field in felt))


def _where(table: TorqueTable, theta: Array, above: bool) -> tuple[Index, Truth, Truth]:
    """Which part each angle lies on or was passed last, whether the ball slips there, whether it stays as at rest."""
    part = np.full(theta.shape, -1)
    slips = np.zeros(theta.shape, bool)
    low, high = (np.append(end, np.inf) for end in (table.met.low, table.met.high))
    for column in table.part.T:
        known = column[:, None] >= 0
        begins, ends = low[column][:, None], high[column][:, None]
        passed = known & (theta >= begins if above else theta > begins)
        part = np.where(passed, column[:, None], part)
        slips = np.where(passed, theta < ends if above else theta <= ends, slips)
    slip = table.slip[:, None]
    return part, slips, (part < 0) & (theta < slip if above else theta <= slip)


def _held(table: TorqueTable, theta: Array, part: Index, stays: Truth, opening: bool) -> Torque:
    """What is felt while the ball stays where it is and only the bar gives sideways: at rest, or at a hand-over.

    A moving ball holds where it comes onto the next part of its way: outward in opening, inward in closing. There it
    carries the bar, and its torque is what lies between those of either side.
    """
    ways = segments.widened(table.begin)
    give, eps = ways.spring.twist_give, ways.record.overclose
    at_rest = Torque(*(field[:, None] for field in torque_slipping(table.begin, table.phi, opening=opening)))
    near = np.where(part < 0, table.part[:, :1], part + 1) if opening else part
    phi = np.where(stays, table.phi[:, None], np.append(table.met.hold, np.nan)[near])
    pushes = segments.contact_at(table.met.ways, table.met.hold)[1]
    push = np.where(stays, at_rest.push, np.append(pushes, np.nan)[near])
    face_drag = np.where(stays, at_rest.face_drag, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = np.where(give > 0, (theta + eps - phi) / give, at_rest.torque)
    return Torque(torque, push, face_drag)


def torque_slipping(ways: Segments, phi: Array, *, opening: bool) -> Torque:
    """What the blade feels with the ball slipping at ball angles of shape (m,) or (m, k)."""
    wide = segments.widened(ways) if phi.ndim > 1 else ways
    torque, push = segments.torque_and_push(ways, phi, opening=opening)
    drag = wide.record.friction * wide.record.pivot_to_ball * push
    return Torque(torque, push, np.where(wide.bears, 0.0, drag))


def _on_flat(table: TorqueTable, opening: bool) -> Torque:
    riding = np.broadcast_to(balance.ball_force(table.load.spring, 0.0), table.phi.shape)
    drag = np.broadcast_to(balance.drag(table.load, opening=opening), table.phi.shape)
    return Torque(drag, riding, np.zeros_like(riding))


def _slipping(table: TorqueTable, part: Index, theta: Array, opening: bool) -> Torque:
    """What is felt while the ball slips, at one blade angle for each named part."""
    ways = segments.select(table.met.ways, part)
    rule = stable.turn(opening=opening)
    phi = np.clip(theta + ways.record.overclose, ways.left, ways.right)
    some = np.flatnonzero(np.broadcast_to(ways.spring.twist_give > 0, theta.shape))
    if some.size:
        inside = segments.select(ways, some)._replace(design=np.arange(some.size))
        angle = theta[some]
        phi[some] = _sought(inside, *_cell(table, part[some], angle), lambda w, x: rule(w, x) - angle[w.design])
    return torque_slipping(ways, phi, opening=opening)


def _cell(table: TorqueTable, part: Index, theta: Array) -> tuple[Array, Array, Array, Array]:
    """Ends of the piece of each part between whose nodes a blade angle lies, and how far off they are [rad]."""
    at = np.zeros_like(part)
    for step in (8, 4, 2, 1):
        at += step * (table.theta[part, at + step] <= theta)
    at = np.minimum(at, NODES.size - 2)
    low, high = table.nodes[part, at], table.nodes[part, at + 1]
    return low, high, table.theta[part, at] - theta, table.theta[part, at + 1] - theta


def _sought(ways: Segments, low: Array, high: Array, under: Array, over: Array, rule: segments.Rule) -> Array:
    """Ball angle at which `rule` vanishes between two points: a few secant steps, a bracketing solver for the rest."""
    with np.errstate(divide="ignore", invalid="ignore"):
        last, missed = high, over
        phi = np.where(over > under, low - under * (high - low) / (over - under), low)
        for _ in range(SECANTS):
            found = rule(ways, phi)
            low, high = np.where(found <= 0, phi, low), np.where(found > 0, phi, high)
            step = found * (phi - last) / (found - missed)
            last, missed = phi, found
            following = phi - np.where(found == 0, 0.0, step)
            phi = np.where((following >= low) & (following <= high), following, (low + high) / 2)
    left = np.flatnonzero((np.abs(rule(ways, phi)) > NEAR) & (high > low))
    if left.size:
        phi[left] = segments.root(segments.select(ways, left), low[left], high[left], rule)
    return phi
