"""A blade's way as legs on each of which everything is smooth: what resists it, and the arm a finger has on it.

A leg runs from share 0 to 1 over the parts of the ball's way that the blade meets (by the ball's angle), over
hand-overs where the ball holds, and over the flat (by the blade's angle). Values stand at Chebyshev's points of a leg,
so that any other point, slope and area follow from one polynomial. Jumps have no leg: there the blade stands still.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.chebyshev import AREA, COUNT, POINTS, slope, weights
from detentsim.mechanics.path import at_blade_angle, segments
from detentsim.mechanics.record import Array, Record, Truth, last_axis
from detentsim.mechanics.roots import bisected

if TYPE_CHECKING:
    from detentsim.mechanics.detent.balance import SolvedDetent

# A leg ends where the finger does, but for rounding [rad].
HELD = 1e-12

# Halvings by which a leg is cut: down to rounding.
HALVINGS = 60


class Panels(NamedTuple):
    """Legs of n designs in the order they are met; values shape (n, j, 17), a leg of no length all alike."""

    theta: Array  # blade angle [rad]
    resist: Array  # torque against the motion: ball, face, pivot and weight [N m]
    arm: Array  # of the finger's push; 0 where it pushes no more [m]


def work(track: Panels) -> Array:
    """Work against what resists, from the start of each leg to each of its points, shape (n, j, 17) [J]."""
    found = (track.resist * slope(track.theta)) @ AREA
    # A leg of no length takes nothing, rounding or not.
    return np.where(track.theta[..., -1:] == track.theta[..., :1], 0.0, found)


def opening(solved: SolvedDetent, phi: Array, start: Array) -> Panels:
    """The way from blade angle `start` to lock-up.

    Parameters
    ----------
    solved : Load
        Lean, of n designs that have a way out.
    phi : array, shape (n,)
        Ball angle at rest [rad].
    start : array, shape (n,)
        Blade angle at which the ball slips, or later [rad].
    """
    table = at_blade_angle.opening_table(solved, phi, start)
    mouth = _mouth(table, start)
    last = np.maximum(solved.record.open_angle, mouth)
    leaves = np.clip(finger_leaves(solved.record), mouth, last)
    ends = np.stack(np.broadcast_arrays(mouth, leaves, last), axis=-1)
    return _joined(_inside(table, mouth, opening=True), _flat(solved, ends, opening=True))


def closing(solved: SolvedDetent, phi: Array, start: Array, rest: Array) -> Panels:
    """The way from blade angle `start` in to the dimple and down to rest; no finger.

    Parameters
    ----------
    solved : Load
        Lean, of n designs.
    phi, start, rest : array, shape (n,)
        Ball angle at rest, blade angle it comes from, and blade angle at rest [rad].
    """
    table = at_blade_angle.closing_table(solved, phi)
    mouth = _mouth(table, rest)
    flat = _flat(solved, np.stack([np.maximum(start, mouth), mouth], axis=-1), opening=False)
    inside = _inside(table, mouth, opening=False)
    way = _joined(flat, Panels(*(field[:, ::-1, ::-1] for field in inside)))
    return clipped(_joined(way, _seated(table, way.theta[:, -1, -1], rest)), rest, np.maximum(start, rest))


def clipped(way: Panels, low: Array, high: Array) -> Panels:
    """Inward legs cut down to what lies between two blade angles of each design, shape (n,) [rad]."""
    way = _cut(way, way.theta[..., 0] > high[:, None], high, keep_end=True)
    return _cut(way, way.theta[..., -1] < low[:, None], low, keep_end=False)


def _cut(way: Panels, which: Truth, bound: Array, *, keep_end: bool) -> Panels:
    """Cut some legs where they pass a blade angle, read off each one's polynomial; keep what follows, or precedes."""
    rows, leg = np.nonzero(which)
    if not rows.size:
        return way
    some, at = way.theta[rows, leg], bound[rows]
    share = _share_at(some, at)[:, None]
    kept = weights(share + (1 - share) * POINTS if keep_end else share * POINTS)
    fields = [np.array(field) for field in way]
    for field in fields:
        field[rows, leg] = np.einsum("mqk,mk->mq", kept, field[rows, leg])
    whole = some[:, -1] > at if keep_end else some[:, 0] < at
    fields[0][rows[whole], leg[whole]] = at[whole, None]
    return Panels(*fields)


def _share_at(theta: Array, bound: Array) -> Array:
    """Share of each falling leg at which it passes a blade angle; its nearer end where it does not."""

    def above(share: Array) -> Truth:
        return np.asarray(np.einsum("mk,mk->m", weights(share), theta) > bound)

    before, after = bisected(above, np.zeros(bound.size), np.ones(bound.size), HALVINGS)
    return (before + after) / 2


def _seated(table: at_blade_angle.TorqueTable, last: Array, rest: Array) -> Panels:
    """The leg on which the ball is at rest already and only the bar gives sideways, down to the stop."""
    begin = table.begin
    give = np.broadcast_to(begin.spring.twist_give, last.shape)
    low = np.where(give > 0, np.minimum(rest, last), last)
    theta = (last[:, None] + (low - last)[:, None] * POINTS)[:, None, :]
    felt = at_blade_angle.torque_slipping(begin, table.phi, opening=False)
    off = theta + np.reshape(np.broadcast_to(begin.record.overclose, last.shape) - table.phi, (-1, 1, 1))
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = np.where((last > low)[:, None, None], off / give[:, None, None], 0.0) - felt.face_drag[:, None, None]
    push = np.broadcast_to(felt.push[:, None, None], theta.shape)
    return _panels(table.load.record, theta, torque, push, opening=False)


def floor(solved: SolvedDetent, theta: Array) -> Array:
    """What would resist opening at blade angles of shape (n, j, k) on the flat: drag, pivot and weight [N m]."""
    count = theta.shape[0]
    push = np.broadcast_to(balance.ball_force(solved.spring, 0.0), count)[:, None, None]
    drag = np.broadcast_to(balance.drag(solved, opening=True), count)[:, None, None]
    return _panels(solved.record, theta, drag, push, opening=True).resist


def finger_leaves(record: Record) -> Array:
    """Blade angle at which the finger loses the blade: where told, or where its push runs through the pivot [rad]."""
    through = record.push_angle + np.pi / 2
    follows = np.where(np.cos(record.push_angle) > 0, np.inf, -np.inf)
    told = np.where(np.isnan(record.leaves_at), np.inf, record.leaves_at)
    return np.asarray(np.minimum(np.where(record.push_follows > 0, follows, through), told))


def _mouth(table: at_blade_angle.TorqueTable, least: Array) -> Array:
    """Blade angle from which the ball rides the flat, not below `least`; shape (n,) [rad]."""
    mouth = np.array(least)
    np.maximum.at(mouth, table.met.ways.design, table.met.high)
    return mouth


def _flat(solved: SolvedDetent, ends: Array, *, opening: bool) -> Panels:
    """Legs over the flat between blade angles of shape (n, k) [rad]."""
    theta = ends[:, :-1, None] + np.diff(ends, axis=1)[..., None] * POINTS
    count = ends.shape[0]
    push = np.broadcast_to(balance.ball_force(solved.spring, 0.0), count)[:, None, None]
    drag = np.broadcast_to(balance.drag(solved, opening=opening), count)[:, None, None]
    return _panels(solved.record, theta, drag, push, opening=opening)


def _panels(record: Record, theta: Array, torque: Array, push: Array, *, opening: bool) -> Panels:
    """Legs from the ball's torque (pull-in positive in closing) and the bar's push; shapes (n, j, 17)."""
    wide = last_axis(record, 2)
    weight = np.nan_to_num(pivot.gravity_torque(wide, theta))
    resist = pivot.pivot_torque(wide, push) + (torque - weight if opening else weight - torque)
    turned = wide.push_angle - np.where(wide.push_follows > 0, 0, theta)
    arm = wide.opener_radius * np.maximum(np.cos(turned), 0)
    held = opening & (theta[..., -1:] <= finger_leaves(wide) + HELD)
    return Panels(*np.broadcast_arrays(theta, resist, np.where(held, arm, 0.0)))


def _inside(table: at_blade_angle.TorqueTable, mouth: Array, *, opening: bool) -> Panels:
    """Legs inside the dimple, outward: each part the blade meets, and the hand-over where the ball holds beside it."""
    if not table.met.ways.design.size:  # the ball rests on the flat already
        return Panels(*[np.zeros((mouth.size, 0, COUNT))] * 3)
    felt = at_blade_angle.torque_slipping(table.met.ways, table.nodes, opening=opening)
    torque = felt.torque + (felt.face_drag if opening else -felt.face_drag)
    held = _held(table, opening)
    order = (0, 1) if opening else (1, 0)  # held before its part in opening, beyond it in closing

    def laid(hold: Array, part: Array, absent: Array) -> Array:
        both = np.stack([hold, part], axis=1)[:, order]
        found = np.where((table.part >= 0)[..., None, None], both[table.part], absent[:, None, None, None])
        return found.reshape(mouth.size, -1, COUNT)

    none = np.zeros_like(mouth)
    theta = laid(held[0], table.theta, mouth)
    return _panels(
        table.load.record, theta, laid(held[1], torque, none), laid(held[2], felt.push, none), opening=opening
    )


def _held(table: at_blade_angle.TorqueTable, opening: bool) -> tuple[Array, Array, Array]:
    """Blade angle, torque and push while the ball holds beside each part; shape (m, 17)."""
    met = table.met
    give, eps = met.ways.spring.twist_give, met.ways.record.overclose
    ends = (np.minimum(met.before, met.low), met.low) if opening else (met.high, np.maximum(met.before, met.high))
    far = np.where(np.isfinite(ends[1]), ends[1], ends[0])
    near = np.where(np.isfinite(ends[0]), ends[0], far)
    far = np.where(give > 0, far, near)  # a rigid ball holds nowhere
    theta = near[:, None] + (far - near)[:, None] * POINTS
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = (theta + np.reshape(eps - met.hold, (-1, 1))) / np.reshape(np.broadcast_to(give, near.size), (-1, 1))
    push = segments.contact_at(met.ways, met.hold)[1]
    return theta, np.where((far > near)[:, None], torque, 0.0), np.broadcast_to(push[:, None], theta.shape)


def _joined(first: Panels, second: Panels) -> Panels:
    return Panels(*(np.concatenate(pair, axis=1) for pair in zip(first, second, strict=True)))
