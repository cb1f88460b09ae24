"""Path of a blade as piecewise-Chebyshev panels: blade angle, resisting torque and the finger's lever.

A panel runs over a stable branch of the ball's path (in ball angle), over a range in which the ball sticks, or over the
flat (both in blade angle); on it everything is smooth. Values stand at 17 Chebyshev points, so that any other point,
derivative and integral follows from one polynomial (``chebyshev``). A jump has no panel: the blade stands still.
``swing`` integrates over the panels.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.chebyshev import COUNT, POINTS, weights
from detentsim.mechanics.motion.resistance import Panels
from detentsim.mechanics.path import at_blade_angle, burr, contact_at
from detentsim.mechanics.record import Array, Index, Record, Truth, last_axis
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import SolvedDetent

# Rounding allowed where a panel ends at the angle at which the finger leaves [rad].
HELD = 1e-12


def opening(solved: SolvedDetent, phi: Array, start: Array) -> Panels:
    """Panels from blade angle `start` to lock-up.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs that can be opened.
    phi : array, shape (n,)
        Ball angle at rest [rad].
    start : array, shape (n,)
        Blade angle at which the ball slips, or a larger one [rad].

    Returns
    -------
    Panels

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.path import segments
    >>> response = ds.curve(ds.demo()).response
    >>> flat, phi, slip = segments.flatten(response.load, ()), np.ravel(response.rest.phi), np.ravel(response.rest.slip)
    >>> float(np.degrees(opening(flat, phi, slip).theta[0, -1, -1]))
    180.0
    """
    table = at_blade_angle.opening_table(solved, phi, start)
    mouth = _mouth(table, start)
    last = np.maximum(solved.record.open_angle, mouth)
    leaves = np.clip(finger_leaves(solved.record), mouth, last)
    ends = np.stack(np.broadcast_arrays(mouth, leaves, last), axis=-1)
    return _joined(_inside(table, mouth, opening=True), _flat(solved, ends, opening=True))


def closing(solved: SolvedDetent, phi: Array, start: Array, rest: Array) -> Panels:
    """Panels from blade angle `start` inward to the dimple and down to rest, without a finger.

    Parameters
    ----------
    solved : SolvedDetent
        Flattened, n designs.
    phi, start, rest : array, shape (n,)
        Ball angle at rest, blade angle at the start, and blade angle at rest [rad].

    Returns
    -------
    Panels

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.path import segments
    >>> response = ds.curve(ds.demo()).response
    >>> flat, phi = segments.flatten(response.load, ()), np.ravel(response.rest.phi)
    >>> float(closing(flat, phi, np.ones(1), np.zeros(1)).theta[0, -1, -1])
    0.0
    """
    table = at_blade_angle.closing_table(solved, phi)
    mouth = _mouth(table, rest)
    flat = _outside(table, np.maximum(start, mouth), mouth)
    inside = _inside(table, mouth, opening=False)
    way = _joined(flat, Panels(*(field[:, ::-1, ::-1] for field in inside)))
    return clipped(_joined(way, _seated(table, way.theta[:, -1, -1], rest)), rest, np.maximum(start, rest))


def clipped(way: Panels, low: Array, high: Array) -> Panels:
    """Inward panels cut down to the range between two blade angles of each design, shape (n,) [rad]."""
    way = _cut(way, way.theta[..., 0] > high[:, None], high, keep_end=True)
    return _cut(way, way.theta[..., -1] < low[:, None], low, keep_end=False)


def _cut(way: Panels, which: Truth, bound: Array, *, keep_end: bool) -> Panels:
    """Panels cut at a blade angle, by their polynomials; the rest is kept after it, or before it."""
    rows, panel = np.nonzero(which)
    if not rows.size:
        return way
    some, at = way.theta[rows, panel], bound[rows]
    share = _share_at(some, at)[:, None]
    kept = weights(share + (1 - share) * POINTS if keep_end else share * POINTS)
    fields = [np.array(field) for field in way]
    for field in fields:
        field[rows, panel] = np.einsum("mqk,mk->mq", kept, field[rows, panel])
    whole = some[:, -1] > at if keep_end else some[:, 0] < at
    fields[0][rows[whole], panel[whole]] = at[whole, None]
    return Panels(*fields)


def _share_at(theta: Array, bound: Array) -> Array:
    """Share of each inward panel at which it passes a blade angle; its nearer end where it does not."""
    left = theta - bound[:, None]

    def miss(share: Array, row: Index) -> Array:
        return np.asarray(np.einsum("mk,mk->m", weights(share), left[row]))

    ends = left[:, 0], left[:, -1]
    share = bracketed_root(miss, np.zeros(bound.size), np.ones(bound.size), ends=ends)
    return np.where(np.isnan(share), np.where(ends[1] > 0, 1.0, 0.0), share)


def _seated(table: at_blade_angle.TorqueTable, last: Array, rest: Array) -> Panels:
    """Panel on which the ball is at rest already and the bar alone yields sideways, down to the stop."""
    begin = table.begin
    give = np.broadcast_to(begin.give, last.shape)
    low = np.where(give > 0, np.minimum(rest, last), last)
    theta = (last[:, None] + (low - last)[:, None] * POINTS)[:, None, :]
    felt = at_blade_angle.torque_slipping(begin, table.phi, opening=False)
    off = theta + np.reshape(np.broadcast_to(begin.overclose, last.shape) - table.phi, (-1, 1, 1))
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = np.where((last > low)[:, None, None], off / give[:, None, None], 0.0) - felt.face_drag[:, None, None]
    push = np.broadcast_to(felt.push[:, None, None], theta.shape)
    return _panels(table.load.record, theta, torque, push, opening=False)


def floor(solved: SolvedDetent, theta: Array) -> Array:
    """Resisting torque of opening at blade angles of shape (n, j, k) on the flat: drag, pivot and weight [N m].

    Terms as in `balance.drag`, `pivot.pivot_torque` and `pivot.gravity_torque`; derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> from detentsim.mechanics.path import segments
    >>> response = ds.curve(ds.demo()).response
    >>> floor(segments.flatten(response.load, ()), np.zeros((1, 1, 1))).shape
    (1, 1, 1)
    """
    count = theta.shape[0]
    push = np.broadcast_to(balance.ball_force(solved.spring, 0.0), count)[:, None, None]
    drag = np.broadcast_to(balance.drag(solved, opening=True), count)[:, None, None]
    return _panels(solved.record, theta, drag, push, opening=True).resist


def finger_leaves(record: Record) -> Array:
    """Blade angle at which the finger leaves the blade: as given, or where its push has no lever left [rad].

    `push_angle + arccos(r_f/r_o)` for a push fixed in the handle, which passes through the pivot's friction circle
    there (derived); inf for one that turns with the blade.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(np.degrees(finger_leaves(knife._replace(leaves_at=np.array(np.nan))))), 9)
    110.0
    """
    least = np.minimum(record.friction_circle / record.opener_radius, 1.0)
    through = record.push_angle + np.arccos(least)
    follows = np.where(np.cos(record.push_angle) > least, np.inf, -np.inf)
    given = np.where(np.isnan(record.leaves_at), np.inf, record.leaves_at)
    return np.asarray(np.minimum(np.where(record.push_follows > 0, follows, through), given))


def _mouth(table: at_blade_angle.TorqueTable, least: Array) -> Array:
    """Blade angle from which the ball rides the flat, at least `least`; shape (n,) [rad]."""
    mouth = np.array(least)
    np.maximum.at(mouth, table.met.ways.design, table.met.high)
    return mouth


def _flat(solved: SolvedDetent, ends: Array, *, opening: bool) -> Panels:
    """Panels over the flat between blade angles of shape (n, k) [rad]."""
    theta = ends[:, :-1, None] + np.diff(ends, axis=1)[..., None] * POINTS
    count = ends.shape[0]
    push = np.broadcast_to(balance.ball_force(solved.spring, 0.0), count)[:, None, None]
    drag = np.broadcast_to(balance.drag(solved, opening=opening), count)[:, None, None]
    return _panels(solved.record, theta, drag, push, opening=opening)


def _outside(table: at_blade_angle.TorqueTable, start: Array, mouth: Array) -> Panels:
    """Panels over the flat from `start` to the dimple's mouth in closing, and up a burr round it; shape (n,) [rad]."""
    if not np.any(table.load.record.burr_height):
        return _flat(table.load, np.stack([start, mouth], axis=-1), opening=False)
    over = burr.lip(table)
    met = np.clip(np.where(np.isnan(over.touch), mouth, over.touch), mouth, start)
    flat = _flat(table.load, np.stack([start, met], axis=-1), opening=False)
    theta = met[:, None] + (mouth - met)[:, None] * POINTS
    torque, push = burr.on_lip(table, np.where(np.isnan(over.crest), mouth, over.crest), theta)
    climb = _panels(table.load.record, *(field[:, None, :] for field in (theta, torque, push)), opening=False)
    return _joined(flat, climb)


def _panels(record: Record, theta: Array, torque: Array, push: Array, *, opening: bool) -> Panels:
    """Panels from the ball's torque (pull-in positive in closing) and the force of the bar; shapes (n, j, 17)."""
    wide = last_axis(record, 2)
    weight = np.nan_to_num(pivot.gravity_torque(wide, theta))
    resist = pivot.pivot_torque(wide, push, torque) + (torque - weight if opening else weight - torque)
    turned = wide.push_angle - np.where(wide.push_follows > 0, 0, theta)
    arm = np.maximum(wide.opener_radius * np.cos(turned) - wide.friction_circle, 0)
    held = opening & (theta[..., -1:] <= finger_leaves(wide) + HELD)
    return Panels(*np.broadcast_arrays(theta, resist, np.where(held, arm, 0.0)))


def _inside(table: at_blade_angle.TorqueTable, mouth: Array, *, opening: bool) -> Panels:
    """Panels inside the dimple, outward: each stable branch, and the range beside it in which the ball sticks."""
    if not table.met.ways.design.size:  # the ball rests on the flat already
        return Panels(*[np.zeros((mouth.size, 0, COUNT))] * 3)
    felt = at_blade_angle.torque_slipping(table.met.ways, table.nodes, opening=opening)
    torque = felt.torque + (felt.face_drag if opening else -felt.face_drag)
    held = _held(table, opening)
    order = (0, 1) if opening else (1, 0)  # the ball sticks before its branch in opening, beyond it in closing

    def laid(hold: Array, part: Array, absent: Array) -> Array:
        both = np.stack([hold, part], axis=1)[:, order]
        rows = np.where((table.part >= 0)[..., None, None], both[table.part], absent[:, None, None, None])
        return rows.reshape(mouth.size, -1, COUNT)

    none = np.zeros_like(mouth)
    theta = laid(held[0], table.theta, mouth)
    return _panels(
        table.load.record, theta, laid(held[1], torque, none), laid(held[2], felt.push, none), opening=opening
    )


def _held(table: at_blade_angle.TorqueTable, opening: bool) -> tuple[Array, Array, Array]:
    """Blade angle, torque and force of the bar while the ball sticks beside each branch; shape (m, 17)."""
    met = table.met
    give, eps = met.ways.give, met.ways.overclose
    ends = (np.minimum(met.before, met.low), met.low) if opening else (met.high, np.maximum(met.before, met.high))
    far = np.where(np.isfinite(ends[1]), ends[1], ends[0])
    near = np.where(np.isfinite(ends[0]), ends[0], far)
    far = np.where(give > 0, far, near)  # with a rigid bar the ball never sticks
    theta = near[:, None] + (far - near)[:, None] * POINTS
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = (theta + np.reshape(eps - met.hold, (-1, 1))) / np.reshape(np.broadcast_to(give, near.size), (-1, 1))
    push = contact_at.contact(met.ways, met.hold).push
    return theta, np.where((far > near)[:, None], torque, 0.0), np.broadcast_to(push[:, None], theta.shape)


def _joined(first: Panels, second: Panels) -> Panels:
    return Panels(*(np.concatenate(pair, axis=1) for pair in zip(first, second, strict=True)))
