"""Resisting torque of a motion on Chebyshev points of its panels, the work against it, and where a blade stops.

``panels`` makes it from the path; ``swing`` and ``shutting`` get the blade's energy from it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.motion.chebyshev import AREA, applied, shares, slope
from detentsim.mechanics.roots import bisected

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Truth


# Number of points of a panel at which the energy is given.
LOOKS = 65

AT = np.linspace(0, 1, LOOKS)
"""Square roots of these points' shares of the panel."""


# An energy below zero by less than this share of the path's largest one is rounding.
ROUNDING = 1e-12

# Halvings of the bracket about a stop between two points.
HALVINGS = 40


class Panels(NamedTuple):
    """Panels of n designs in the order of the motion; fields of shape (n, j, 17), constant on a panel of no length."""

    theta: Array  # blade angle [rad]
    resist: Array  # torque against the motion: ball, face, pivot and weight [N m]
    arm: Array  # lever of the finger's force; 0 where it no longer pushes [m]


def work(track: Panels) -> Array:
    """Work against the resisting torque, from the start of each panel to each of its points, shape (n, j, 17) [J].

    `int T d theta` of the interpolating polynomial; any text on mechanics.

    >>> from detentsim.mechanics.motion.chebyshev import COUNT, POINTS
    >>> theta = np.broadcast_to(POINTS, (1, 1, COUNT))
    >>> round(float(work(Panels(theta, 2.0 * theta, theta))[0, 0, -1]), 12)
    1.0
    """
    area = applied(track.resist * slope(track.theta), AREA)
    # A panel of no length takes no work, whatever the rounding.
    return np.where(track.theta[..., -1:] == track.theta[..., :1], 0.0, area)


def spent(way: Panels) -> Array:
    """Work against the resisting torque from the start of a motion, at 65 even square roots of each panel's share [J].

    Parameters
    ----------
    way : Panels

    Returns
    -------
    array, shape (n, j, 65)

    Notes
    -----
    `work`, carried on from panel to panel.

    Examples
    --------
    >>> from detentsim.mechanics.motion.chebyshev import COUNT, POINTS
    >>> theta = np.broadcast_to(POINTS, (1, 1, COUNT))
    >>> round(float(spent(Panels(theta, 2.0 * theta, theta))[0, 0, -1]), 12)
    1.0
    """
    return from_the_start(shares(work(way), AT**2))


def from_the_start(within: Array) -> Array:
    """What adds up along a motion, from what adds up within each of its panels; shape (n, j, k).

    >>> from_the_start(np.array([[[0.0, 1.0], [0.0, 2.0]]])).tolist()
    [[[0.0, 1.0], [1.0, 3.0]]]
    """
    ends = np.cumsum(within[..., -1], axis=1)
    before = np.concatenate([np.zeros_like(ends[:, :1]), ends[:, :-1]], axis=1)
    return np.asarray(within + before[..., None])


def first_stop(theta: Array, energy: Array) -> Array:
    """Blade angle at which the energy first falls below zero, shape (n,) [rad]; NaN where it never does.

    Parameters
    ----------
    theta, energy : array, shape (n, j, 65)
        Blade angle [rad] and energy [J] along the motion.

    Returns
    -------
    array, shape (n,)

    Examples
    --------
    >>> theta = np.linspace(0, 1, LOOKS).reshape(1, 1, LOOKS)
    >>> round(float(first_stop(theta, 0.3 - theta)[0]), 9), bool(np.isnan(first_stop(theta, 0 * theta + 1)[0]))
    (0.3, True)
    """
    looks = energy.shape[2]
    stop, rows = np.full(energy.shape[0], np.nan), np.flatnonzero(stops(energy))
    held = energy[rows].reshape(rows.size, energy.shape[1] * looks)
    none = ROUNDING * np.max(np.abs(held), axis=1, initial=0)
    at = np.argmax(held < -none[:, None], axis=1)
    panel, look = at // looks, at % looks
    # A cubic through four points about the crossing, bisected between the last positive and the first negative one.
    near = np.clip(look - 2, 0, looks - 4)[:, None] + np.arange(4)
    four = [field[rows[:, None], panel[:, None], near] for field in (theta, energy)]
    ends = np.maximum(look - 1.0, 0) - near[:, 0], look - near[:, 0].astype(float)
    before, after = bisected(lambda place: np.sum(_cubic(place) * four[1], axis=1) > 0, *ends, HALVINGS)
    crossed = np.sum(_cubic((before + after) / 2) * four[0], axis=1)
    last = np.maximum(look - 1, 0)
    still = energy[rows, panel, last] <= none  # it never left that angle
    stop[rows] = np.where(still, theta[rows, panel, last], crossed)
    return stop


def stops(energy: Array) -> Truth:
    """Whether the energy of each blade falls below zero before the end of its way; shape (n,).

    Parameters
    ----------
    energy : array, shape (n, j, 65)
        Along the motion [J].

    Examples
    --------
    >>> energy = 0.3 - np.linspace(0, 1, LOOKS).reshape(1, 1, LOOKS)
    >>> stops(energy).tolist(), stops(energy + 1).tolist()
    ([True], [False])
    """
    ends = (1, 2)
    least, most = np.min(energy, axis=ends, initial=0), np.max(energy, axis=ends, initial=0)
    return np.asarray(least < -ROUNDING * np.maximum(most, -least))


def _cubic(at: Array) -> Array:
    """Lagrange weights of four even points at a place among them, shape (n, 4)."""
    a, b, c, d = at, at - 1, at - 2, at - 3
    return np.stack([-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6], axis=1)
