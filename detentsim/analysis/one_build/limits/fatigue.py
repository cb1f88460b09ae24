"""Fatigue of the bar: stress range over one opening and closing against the endurance of its metal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import bend, bending, fatigue, remembered

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record
    from detentsim.shop.materials import Material

# Openings of a long life: fifty a day for five years and more (judgement, no source).
OPENINGS = 1e5


@dataclass(frozen=True)
class Fatigue:
    """Stress of the bar over one opening and closing, and the endurance limit of its metal [MPa].

    Attributes
    ----------
    low, high : float
        Residual stress included: locked or free, and unlocked, at the place that tires first. A bar that loses bend has
        shaken down.
    endurance, ultimate : float
        Fully reversed endurance strength and ultimate strength.
    mean_limit : float
        Mean stress to which the line is drawn: the ultimate strength, or the part of it that the metal's source gives.
    openings, strength : float
        A long life of a knife, and the fully reversed strength for so many cycles.
    use, use_for_ever : float
        By the straight line from the endurance strength to `mean_limit`, for that life and for any number of openings;
        over 1 it cracks.
    """

    low: float
    high: float
    endurance: float
    ultimate: float
    mean_limit: float
    openings: float
    strength: float
    use: float
    use_for_ever: float


def read_fatigue(record: Record, lockup_force: float, material: Material) -> Fatigue | None:
    """Use of the fatigue strength at the worst place of the bar, mean stress by Goodman's line or the metal's own.

    Parameters
    ----------
    record : Record
        One design.
    lockup_force : float
        At its tip while the knife is locked open [N]; 0 for free.
    material : Material
        Of the bar.

    Returns
    -------
    Fatigue or None
        None where the table has no endurance or ultimate strength.
    """
    if material.endurance_strength is None or material.ultimate_strength is None:
        return None
    unlock = max(float(bend.unlock_travel(record)), 0.0)
    settled = record._replace(pushed_back=np.maximum(unlock, record.pushed_back))
    locked = lockup_force * record.tip_from_root / bending.yield_moment(record)
    shares = np.array([float(locked), float(remembered.share_of_travel(record, unlock))])
    bar_stress = remembered.stresses(settled, shares) / 1e6
    ultimate = material.ultimate_strength / 1e6
    given = material.endurance_strength / 1e6
    endurance = float(fatigue.fully_reversed(given, material.endurance_ratio, ultimate))
    strength = float(fatigue.strength_at(OPENINGS, endurance, ultimate))
    limit = material.mean_stress_share * ultimate
    uses = fatigue.goodman_use(np.min(bar_stress, axis=0), np.max(bar_stress, axis=0), strength, limit)
    worst = int(np.argmax(uses))
    low, high = float(np.min(bar_stress[:, worst])), float(np.max(bar_stress[:, worst]))
    use, for_ever = float(uses[worst]), float(fatigue.goodman_use(low, high, endurance, limit))
    return Fatigue(low, high, endurance, ultimate, limit, OPENINGS, strength, use, for_ever)
