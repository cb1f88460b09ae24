"""Mass, balance and inertia of a blade: of a tapered plate, or from a pendulum's period.

Self-contained; the record's inertia is made from these where a build gives a shape or a period.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion.pivot import GRAVITY

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array


class Plate(NamedTuple):
    """A flat plate about a pivot in the middle of its wide end; fields of one shape."""

    area: Array  # [m^2]
    centre: Array  # distance of its centre of mass from the pivot [m]
    square: Array  # inertia over mass, radius of gyration squared [m^2]


def tapered(root: ArrayLike, tip: ArrayLike, length: ArrayLike) -> Plate:
    """Area, centre of mass and inertia over mass of a plate that tapers from `root` to `tip` over its length.

    Parameters
    ----------
    root, tip : array_like
        Widths at both ends [m]; the pivot is in the middle of the root.
    length : array_like
        [m].

    Returns
    -------
    Plate

    Notes
    -----
    `x = L (w0+2w1)/(3(w0+w1))`, `I/m = [L^3 (w0+3w1)/12 + L (w0^3+w0^2 w1+w0 w1^2+w1^3)/48]/A`, area integrals of a
    trapezoid (derived). A rectangle gives `L^2/3 + w^2/12`; source: any text on mechanics.

    Examples
    --------
    >>> plate = tapered(30.0, 10.0, 100.0)
    >>> float(plate.area), round(float(plate.centre), 4), round(float(plate.square), 3)
    (2000.0, 41.6667, 2541.667)
    """
    w0, w1, span = (np.asarray(part, float) for part in (root, tip, length))
    area = span * (w0 + w1) / 2
    centre = span * (w0 + 2 * w1) / (3 * (w0 + w1))
    along = span**3 * (w0 + 3 * w1) / 12
    across = span * (w0**3 + w0**2 * w1 + w0 * w1**2 + w1**3) / 48
    return Plate(np.asarray(area), np.asarray(centre), np.asarray((along + across) / area))


def pendulum_inertia(period: ArrayLike, mass: ArrayLike, balance: ArrayLike) -> Array:
    """Moment of inertia about the pivot from the period of free swings, `m g r T^2/(4 pi^2)` [kg m^2].

    Parameters
    ----------
    period : array_like
        Of one full swing, a few degrees either way [s].
    mass, balance : array_like
        [kg], and distance of the centre of mass from the pivot [m].

    Returns
    -------
    array

    Notes
    -----
    Compound pendulum; source: any text on mechanics. The period is 0.8 % longer at 20 degrees either way.

    Examples
    --------
    >>> round(float(pendulum_inertia(1.638226, 1.0, 0.5)), 6)
    0.333333
    """
    weight = np.asarray(mass, float) * GRAVITY * np.asarray(balance, float)
    return np.asarray(weight * np.asarray(period, float) ** 2 / (4 * np.pi**2))
