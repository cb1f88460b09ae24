"""Over-close as it is set: how far the clamp moves the blade, read at the ball, at the tip and at the stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.units.systems import UnitSystem

# Leaves of common feeler gauges (common practice, no source) [mm], [thou].
METRIC_LEAVES = (0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, *(0.05 * n for n in range(2, 21)))
INCH_LEAVES = (1.5, *(float(n) for n in range(2, 26)))


@dataclass(frozen=True)
class Reading:
    """Over-close read at one place.

    Attributes
    ----------
    where : str
        ``ball``, ``blade's tip`` or ``stop``.
    radius : float
        Of that place from the pivot [mm].
    moves : float
        How far the blade moves there; positive past its stop [mm].
    leaf : float or None
        The feeler leaf nearest to it; None where no leaf is near [mm].
    gives : float or None
        Over-close at the ball that this leaf sets [mm].
    """

    where: str
    radius: float
    moves: float
    leaf: float | None
    gives: float | None


def read_overclose(build: Build, angle: float, arm: float, stop_radius: float) -> tuple[Reading, ...]:
    """Over-close in words of a clamp: the blade's movement past its stop at each place where it can be read.

    Parameters
    ----------
    build : Build
    angle : float
        Over-close [rad].
    arm : float
        From the pivot to the ball [m].
    stop_radius : float
        From the pivot to the stop; not a number where it is not known [m].

    Returns
    -------
    tuple of Reading
        Places of known radius alone; empty where there is no over-close.
    """
    if angle == 0:
        return ()
    places = {"ball": arm, "blade's tip": build.si("blade.length"), "stop": stop_radius}
    return tuple(_reading(where, far, angle, arm, build.units) for where, far in places.items() if np.isfinite(far))


def _reading(where: str, far: float, angle: float, arm: float, units: UnitSystem) -> Reading:
    moves = angle * far * 1e3
    leaf = nearest_leaf(abs(moves), units)
    gives = None if leaf is None else float(np.sign(angle)) * leaf * arm / far
    return Reading(where, far * 1e3, moves, leaf, gives)


def leaves_of(units: UnitSystem) -> tuple[float, ...]:
    """Leaves of a common feeler gauge, in metric or inch steps [mm].

    Parameters
    ----------
    units : UnitSystem
    """
    return tuple(leaf * 0.0254 for leaf in INCH_LEAVES) if units.length == "in" else METRIC_LEAVES


def nearest_leaf(thickness: float, units: UnitSystem) -> float | None:
    """The leaf of a feeler gauge nearest to a thickness.

    Parameters
    ----------
    thickness : float
        [mm]
    units : UnitSystem
        Metric or inch leaves.

    Returns
    -------
    float or None
        None where the thinnest leaf is too thick by half, or the thickest too thin [mm].

    Examples
    --------
    >>> from detentsim.units.systems import INCH, METRIC
    >>> nearest_leaf(0.052, METRIC), nearest_leaf(0.052, INCH), nearest_leaf(0.001, METRIC)
    (0.05, 0.0508, None)
    """
    leaves = leaves_of(units)
    found = min(leaves, key=lambda leaf: abs(leaf - thickness))
    if thickness < leaves[0] / 2 or thickness > max(leaves) + 0.05:
        return None
    return round(found, 6)
