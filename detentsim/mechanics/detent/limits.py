"""Limits of bar and contact: stress, pressure, travel, push for the bend, lock-up force.

Stands on ``bar``, ``contact`` and ``detent.balance``; ``response`` gives the results by name, for reports and sweeps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import beam, bend, bending, remembered
from detentsim.mechanics.bar.plastic import HINGE
from detentsim.mechanics.contact import hertz
from detentsim.mechanics.detent import balance

if TYPE_CHECKING:
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Record


def limit_results(solved: SolvedDetent) -> dict[str, Array]:
    """Limits of bar and contact by name, in SI units; shapes broadcast, NaN where one does not exist.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of any shape.

    Returns
    -------
    dict of str to array
        By the names of `names.LIMIT_NAMES`.

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.mechanics.names import LIMIT_NAMES
    >>> set(limit_results(ds.curve(ds.demo()).response.load)) == set(LIMIT_NAMES)
    True
    """
    record = solved.record
    riding = balance.ball_force(solved.spring, 0.0)
    unlock = bend.unlock_travel(record)
    push, back = bending_in(record)
    return {
        "working_stress": remembered.stress(record, remembered.share_of_travel(record, unlock)),
        "yield_strength": np.asarray(record.yield_strength),
        "contact_pressure": hertz.pressure_on_tang(record, riding),
        "contact_pressure_limit": hertz.pressure_limit(record.tang_hardness),
        "travel_before_loss": remembered.travel_before_loss(record),
        "travel_to_unlock": np.where(unlock > 0, unlock, np.nan),
        "push_for_bend": push,
        "springback": back,
        "lockup_force": lockup_force(record),
    }


def bending_in(record: Record) -> tuple[Array, Array]:
    """Travel of the tip from flat that leaves the bar its bend, and the part of it that springs back [m].

    By a push at one point, or formed to an even curvature where the bar is bent along its length. Signed as the bend
    is. NaN for a flat bar, for one bent over an edge, and where the root would become a plastic hinge first. Derived in
    studies/00-the-model.ipynb (`bending.bend_left`, `bending.springback`).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> push, back = bending_in(knife)
    >>> round(float((push - back) / knife.bend), 12)
    1.0
    """
    moment = bending.root_moment(record)
    pushed = np.where(moment < HINGE, bending.springback(record, bending.push_force(record, moment)), np.nan)
    even = (np.asarray(record.bend_along) > 0) & np.isnan(record.bend_at)
    back = np.where(even, bending.even_springback(record), np.where(bending.by_push(record) > 0, pushed, np.nan))
    back = np.where(record.bend != 0, back * np.sign(record.bend), np.nan)
    return np.asarray(record.bend + back), back


def lockup_force(record: Record) -> Array:
    """Force of the bar's tip toward lock-up with its face `lockup_travel` onto the open tang [N].

    `max(0, k_tip (b - g - travel))`: the tip is `g + travel` inward of flat there, and a bar bent less presses nothing.
    Linear spring (derived).

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(lockup_force(knife._replace(bend=np.array(0.0))))
    0.0
    """
    tip = record.tip_from_root
    free = record.bend - record.face_gap - record.lockup_travel
    stiffness = record.calibration / beam.flexibility(record, tip, tip)
    return np.asarray(stiffness * np.maximum(free, 0))
