"""What a blade in motion comes to: does it fly open, fall shut, stay shut in a pocket; for many designs at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion import chebyshev, panels, pivot, swing
from detentsim.mechanics.motion.panels import Panels
from detentsim.mechanics.motion.swing import Fall, Throw
from detentsim.mechanics.path import segments

if TYPE_CHECKING:
    from collections.abc import Collection

    from detentsim.mechanics.detent.balance import SolvedDetent
    from detentsim.mechanics.record import Array, Index, Record

MOTION_NAMES = (
    "opens_fully",
    "stall_angle",
    "arrival_speed",
    "arrival_energy",
    "wrist_energy",
    "falls_shut",
    "hang_angle",
    "carry_g",
)
"""Every result of `motion_results`; truths as 0 and 1."""

# Designs that move together: some tens of megabytes of work.
AT_ONCE = 2048

_OPENING = MOTION_NAMES[:5]

_CLOSING = MOTION_NAMES[5:7]


class Start(NamedTuple):
    """What a motion starts from, for n designs in one row."""

    load: SolvedDetent  # lean
    phi: Array  # ball angle at rest [rad]
    rest: Array  # blade angle at rest [rad]
    angle: Array  # where the finger has overcome the detent, or not a number [rad]
    force: Array  # breakout force [N]
    torque: Array  # breakout torque [N m]
    push: Array  # of the bar on the tang there [N]


def motion_results(start: Start, wanted: Collection[str]) -> dict[str, Array]:
    """Results of motion, shape (n,); not a number where there is none to give.

    Parameters
    ----------
    start : Start
    wanted : collection of str
        Of `MOTION_NAMES`.
    """
    count = start.phi.size
    if count > AT_ONCE:
        parts = [
            motion_results(chosen(start, np.arange(i, min(i + AT_ONCE, count))), wanted)
            for i in range(0, count, AT_ONCE)
        ]
        return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    found: dict[str, Array] = {}
    if not set(_OPENING).isdisjoint(wanted):
        found |= _opened(start)
    if not set(_CLOSING).isdisjoint(wanted):
        found |= _closed(start)
    if "carry_g" in wanted:
        found["carry_g"] = carry(start)
    return found


def finger_force(start: Start) -> Array:
    """Force of the finger at rest: its effort times what overcomes detent, pivot and weight [N].

    The weight is that of the attitude, which the breakout force leaves out.
    """
    record = start.load.record
    weight = np.nan_to_num(pivot.gravity_torque(record, start.angle)) / pivot.lever(record, start.angle)
    return np.asarray(record.finger_effort * np.maximum(start.force - weight, 0))


def throw(start: Start) -> tuple[Index, Panels, Throw]:
    """Throw open every blade that has a breakout and an inertia; which of the designs those are comes first."""
    known = np.isfinite(start.force) & np.isfinite(start.angle) & np.isfinite(start.torque)
    known = known & np.isfinite(start.load.record.blade_inertia)
    rows = np.flatnonzero(known)
    if not rows.size:
        return rows, Panels(*[np.zeros((0, 1, chebyshev.POINTS.size))] * 3), Throw(*[_NOTHING] * 4)
    some = chosen(start, rows)
    way = panels.opening(some.load, some.phi, some.angle)
    return rows, way, swing.thrown(some.load.record, way, np.broadcast_to(finger_force(some), rows.size))


def fall(start: Start) -> tuple[Index, Panels, Fall]:
    """Let fall every blade whose weight is known; which of the designs those are comes first."""
    record = start.load.record
    known = np.isfinite(record.blade_mass * record.balance_radius) & np.ones(start.phi.size, bool)
    rows = np.flatnonzero(known)
    if not rows.size:
        return rows, Panels(*[np.zeros((0, 1, chebyshev.POINTS.size))] * 3), Fall(_NOTHING, _NOTHING)
    some = chosen(start, rows)
    from_angle = np.broadcast_to(np.minimum(some.load.record.close_from, some.load.record.open_angle), rows.size)
    way = panels.closing(some.load, some.phi, from_angle, some.rest)
    return rows, way, swing.fallen(way)


def chosen(start: Start, rows: Index) -> Start:
    """Some designs of a start."""
    return Start(segments.select_designs(start.load, rows), *(field[rows] for field in start[1:]))


_NOTHING = np.zeros((0, 1, swing.LOOKS))


def _opened(start: Start) -> dict[str, Array]:
    rows, _, found = throw(start)
    inertia = np.broadcast_to(start.load.record.blade_inertia, start.phi.size)[rows]
    stall, least, last = swing.first_stop(found.theta, found.energy), _least(found.energy), found.energy[:, -1, -1]
    opens = np.isnan(stall)
    values = {
        "opens_fully": opens.astype(float),
        "stall_angle": stall,
        "arrival_speed": np.where(opens, np.sqrt(2 * np.maximum(last, 0) / inertia), np.nan),
        "arrival_energy": np.where(opens, last, np.nan),
        "wrist_energy": np.where(opens, np.nan, -least),
    }
    return {name: _spread(value, rows, start.phi.size) for name, value in values.items()}


def _least(energy: Array) -> Array:
    return np.asarray(np.min(energy, axis=(1, 2)))


def _closed(start: Start) -> dict[str, Array]:
    rows, _, found = fall(start)
    hangs = swing.first_stop(found.theta, found.energy)
    values = {"falls_shut": np.isnan(hangs).astype(float), "hang_angle": hangs}
    return {name: _spread(value, rows, start.phi.size) for name, value in values.items()}


def _spread(values: Array, rows: Index, count: int) -> Array:
    found = np.full(count, np.nan)
    found[rows] = values
    return found


def carry(start: Start) -> Array:
    """How many times its own weight, in the worst direction, the detent holds the blade shut against [-].

    `(breakout torque + pivot friction)/(m g r_c)`.
    """
    record = start.load.record
    weight = record.blade_mass * pivot.GRAVITY * record.balance_radius
    held = start.torque + pivot.pivot_torque(record, start.push)
    return np.where(np.isfinite(held) & (weight > 0), held / np.where(weight > 0, weight, 1), np.nan)


def with_friction(record: Record, share: float) -> Record:
    """The same knife with its friction, on the tang and at the pivot, multiplied by a share."""
    names = ("friction", "static_friction", "washer_friction", "pivot_torque")
    return record._replace(**{name: getattr(record, name) * share for name in names})


def throw_scaled(start: Start, scale: Array) -> tuple[Array, Array]:
    """Throw blades whose detents are scaled above their drag: whether each opens fully, and its breakout force [N].

    Parameters
    ----------
    start : Start
        Of n designs that have a breakout and an inertia.
    scale : array, shape (n,)
        1 for the detent as it is, 0 for drag alone.
    """
    record = start.load.record
    way = panels.opening(start.load, start.phi, start.angle)
    floor = panels.floor(start.load, way.theta)
    resist = floor + scale[:, None, None] * (way.resist - floor)
    arm = pivot.lever(record, start.angle)
    weight = np.nan_to_num(pivot.gravity_torque(record, start.angle))
    drag = panels.floor(start.load, np.broadcast_to(start.angle, scale.shape)[:, None, None])[:, 0, 0] + weight
    force = drag / arm + scale * (start.force - drag / arm)
    finger = record.finger_effort * np.maximum(force - weight / arm, 0)
    found = swing.thrown(record, way._replace(resist=resist), np.broadcast_to(finger, scale.shape))
    return np.isnan(swing.first_stop(found.theta, found.energy)), force
