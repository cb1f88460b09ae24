"""Results of motion: opens fully, falls shut, carry; for many designs at once.

Uses ``panels`` (resistance along the path) and ``swing`` (energy over angle); ``response`` and ``analysis.motion``
use it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion import chebyshev, panels, pivot, resistance, shutting, swing
from detentsim.mechanics.motion.resistance import LOOKS, Panels
from detentsim.mechanics.motion.settled import settled
from detentsim.mechanics.motion.shutting import Fall
from detentsim.mechanics.motion.swing import Throw
from detentsim.mechanics.names import THROWN_NAMES
from detentsim.mechanics.path import segment_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Index, Record

# Designs integrated together: some tens of megabytes of arrays where they are thrown, which calls a solver for each
# panel; where they fall, few enough that the arrays stay in a cache.
AT_ONCE, FALLING = 2048, 512

_CLOSING = ("falls_shut", "hang_angle", "closing_spare")


class Start(NamedTuple):
    """Start of a motion, for n designs in one row; fields of shape (n,)."""

    load: SolvedDetent  # flattened
    phi: Array  # ball angle at rest [rad]
    rest: Array  # blade angle at rest [rad]
    angle: Array  # blade angle at the breakout force, NaN where there is none [rad]
    force: Array  # breakout force [N]
    torque: Array  # breakout torque [N m]
    push: Array  # of the bar on the tang there [N]


def motion_results(start: Start, wanted: Collection[str]) -> dict[str, Array]:
    """Results of motion by name, each of shape (n,) in SI units; NaN where one does not exist.

    Parameters
    ----------
    start : Start
        Of n designs.
    wanted : collection of str
        Of `names.MOTION_NAMES`; what is wanted decides which motions are integrated.

    Returns
    -------
    dict of str to array

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.response import starts
    >>> float(motion_results(starts(ds.curve(ds.demo()).response), {"falls_shut"})["falls_shut"][0])
    1.0
    """
    results: dict[str, Array] = {}
    if not set(THROWN_NAMES).isdisjoint(wanted):
        results |= _in_parts(_opened, start, AT_ONCE)
    if not set(_CLOSING).isdisjoint(wanted):
        results |= _closed(start, wanted)
    if "carry_g" in wanted:
        results["carry_g"] = carry(start)
    return results


def _in_parts(solve: Callable[[Start], dict[str, Array]], start: Start, size: int) -> dict[str, Array]:
    """Results of many designs, a block at a time."""
    count = start.phi.size
    if count <= size:
        return solve(start)
    parts = [solve(chosen(start, np.arange(i, min(i + size, count)))) for i in range(0, count, size)]
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


def finger_force(start: Start) -> Array:
    """Force of the finger at rest: its effort times what overcomes detent, pivot and weight, shape (n,) [N].

    `F0 = effort (F_breakout - T_g/lever)`; the breakout force leaves the weight out. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> from detentsim.mechanics.response import starts
    >>> round(float(finger_force(starts(ds.curve(ds.demo()).response))[0]), 2)
    10.89
    """
    record = start.load.record
    weight = np.nan_to_num(pivot.gravity_torque(record, start.angle)) / pivot.lever(record, start.angle)
    return np.asarray(record.finger_effort * np.maximum(start.force - weight, 0))


def throw(start: Start) -> tuple[Index, Panels, Throw]:
    """Energy of every blade thrown open that has a breakout and an inertia.

    Parameters
    ----------
    start : Start
        Of n designs.

    Returns
    -------
    rows : array of int, shape (k,)
        The designs that are thrown.
    way : Panels
        Their paths.
    flight : Throw
        Their motion.
    """
    known = np.isfinite(start.force) & np.isfinite(start.angle) & np.isfinite(start.torque)
    known = known & np.isfinite(start.load.record.blade_inertia)
    rows = np.flatnonzero(known)
    if not rows.size:
        return rows, Panels(*[np.zeros((0, 1, chebyshev.POINTS.size))] * 3), Throw(_NOTHING, _NOTHING)
    some = chosen(start, rows)
    way = panels.opening(some.load, some.phi, some.angle)
    return rows, way, swing.thrown(some.load.record, way, np.broadcast_to(finger_force(some), rows.size))


def fall(start: Start) -> tuple[Index, Panels, Fall]:
    """Energy of every blade let fall shut whose weight is known.

    Parameters
    ----------
    start : Start
        Of n designs.

    Returns
    -------
    rows : array of int, shape (k,)
        The designs that are let fall.
    way : Panels
        Their paths.
    flight : Fall
        Their motion.
    """
    record = start.load.record
    known = np.isfinite(record.blade_mass * record.balance_radius) & np.ones(start.phi.size, bool)
    rows = np.flatnonzero(known)
    if not rows.size:
        return rows, Panels(*[np.zeros((0, 1, chebyshev.POINTS.size))] * 3), Fall(_NOTHING, _NOTHING)
    some = chosen(start, rows)
    from_angle = np.broadcast_to(np.minimum(some.load.record.close_from, some.load.record.open_angle), rows.size)
    way = panels.closing(some.load, some.phi, from_angle, some.rest)
    return rows, way, shutting.fallen(way)


def chosen(start: Start, rows: Index) -> Start:
    """Some designs of a start, by row numbers.

    >>> import detentsim as ds
    >>> from detentsim.mechanics.response import starts
    >>> chosen(starts(ds.curve(ds.demo()).response), np.array([0, 0, 0])).phi.size
    3
    """
    return Start(segment_rows.select_designs(start.load, rows), *(field[rows] for field in start[1:]))


_NOTHING = np.zeros((0, 1, LOOKS))


def _opened(start: Start) -> dict[str, Array]:
    rows, way, flight = throw(start)
    inertia = np.broadcast_to(start.load.record.blade_inertia, start.phi.size)[rows]
    stall = resistance.first_stop(flight.theta, flight.energy)
    opens, least, last = np.isnan(stall), np.min(flight.energy, axis=(1, 2)), flight.energy[:, -1, -1]
    values = {
        "opens_fully": opens.astype(float),
        "stall_angle": stall,
        "arrival_speed": np.where(opens, np.sqrt(2 * np.maximum(last, 0) / inertia), np.nan),
        "arrival_energy": np.where(opens, last, np.nan),
        "wrist_energy": np.where(opens, np.nan, -least),
        "opening_spare": np.where(opens, _coasting_least(way, flight.energy), least),
    }
    return {name: _spread(value, rows, start.phi.size) for name, value in values.items()}


def _coasting_least(way: Panels, energy: Array) -> Array:
    """Least energy from where the finger leaves the blade to lock-up, or at lock-up where it stays, shape (n,) [J]."""
    coasts = ~np.any(way.arm > 0, axis=2) & (way.theta[..., -1] > way.theta[..., 0])
    lowest = np.min(np.where(coasts[..., None], energy, np.inf), axis=(1, 2), initial=np.inf)
    return np.asarray(np.minimum(lowest, energy[:, -1, -1]))


def _closed(start: Start, wanted: Collection[str]) -> dict[str, Array]:
    """Results of the falling blade; followed are only the falls that bounds do not settle, and what else is wanted."""
    weighed = np.isfinite(start.load.record.blade_mass * start.load.record.balance_radius)
    shuts, hangs = settled(start.load, start.phi, start.rest)
    told = np.zeros(1, bool) if "closing_spare" in wanted else shuts if "hang_angle" in wanted else shuts | hangs
    rows = np.flatnonzero(np.broadcast_to(weighed & ~told, start.phi.shape))
    names = [name for name in _CLOSING if name in wanted or name == "falls_shut"]
    results = {name: np.full(start.phi.size, np.nan) for name in names}
    results["falls_shut"][:] = np.where(weighed, shuts, np.nan)
    if rows.size:
        followed = _in_parts(lambda part: _fell(part, wanted), chosen(start, rows), FALLING)
        for name, column in results.items():
            column[rows] = followed[name]
    return results


def _fell(start: Start, wanted: Collection[str]) -> dict[str, Array]:
    """Results of falls that are followed, of blades whose weight is known."""
    _, _, flight = fall(start)
    values = {"falls_shut": (~resistance.stops(flight.energy)).astype(float)}
    if "hang_angle" in wanted:
        values["hang_angle"] = resistance.first_stop(flight.theta, flight.energy)
    if "closing_spare" in wanted:
        values["closing_spare"] = shutting.spare_torque(flight)
    return values


def _spread(values: Array, rows: Index, count: int) -> Array:
    column = np.full(count, np.nan)
    column[rows] = values
    return column


def carry(start: Start) -> Array:
    """Weight, in its worst direction, that the detent holds the blade shut against, over the blade's own weight [-].

    `(T_breakout + T_piv)/(m g r_c)`, derived in studies/00-the-model.ipynb; shape (n,), NaN where the weight is
    unknown.

    >>> import detentsim as ds
    >>> from detentsim.mechanics.response import starts
    >>> round(float(carry(starts(ds.curve(ds.demo()).response))[0]), 2)
    9.54
    """
    record = start.load.record
    weight = record.blade_mass * pivot.GRAVITY * record.balance_radius
    held = start.torque + pivot.pivot_torque(record, start.push, start.torque)
    return np.where(np.isfinite(held) & (weight > 0), held / np.where(weight > 0, weight, 1), np.nan)


def with_friction(record: Record, share: float) -> Record:
    """Record with its friction, on the tang and at the pivot, multiplied by `share` [-].

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(with_friction(knife, 0.5).friction / knife.friction)
    0.5
    """
    names = ("friction", "static_friction", "washer_friction", "friction_circle", "pivot_torque")
    return record._replace(**{name: getattr(record, name) * share for name in names})


def throw_scaled(start: Start, scale: Array) -> tuple[Array, Array]:
    """Throw blades whose detents are scaled above their drag: truth of each opening fully, and its breakout force [N].

    Parameters
    ----------
    start : Start
        Of n designs that have a breakout and an inertia.
    scale : array, shape (n,)
        1 for the detent as it is, 0 for drag alone.

    Returns
    -------
    opens : array of bool, shape (n,)
    force : array, shape (n,)
        Breakout force of the scaled detent [N].

    Notes
    -----
    Resistance and breakout force are interpolated linearly between drag and detent (derived).

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.response import starts
    >>> start = starts(ds.curve(ds.demo()).response)
    >>> float(throw_scaled(start, np.ones(1))[1][0] / start.force[0])
    1.0
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
    flight = swing.thrown(record, way._replace(resist=resist), np.broadcast_to(finger, scale.shape))
    return np.isnan(resistance.first_stop(flight.theta, flight.energy)), force
